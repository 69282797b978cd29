//! What happens when an outlet is blocked: how deep water stands over it, how far, and where it then goes.
//!
//! In: a surface, its flood without that outlet, and a place. Out: a [`Standing`], exact for the faceted surface. Where
//! there is no other way out the water rises to the lowest upstand round it. It says nothing about it: see
//! [`super::outlets`].

use super::feet::{Foot, over_upstand};
use super::flood::Flood;
use super::flow::{Flow, SAME};
use super::mesh::Mesh;
use super::ponds::under_water;
use crate::layout::falls::{Blocked, Sink};

/// Water that stands over a place.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Standing {
    /// Depth over the place, mm.
    pub depth: f64,
    /// Size of the pond round it, mm2.
    pub size: f64,
    /// Its volume, mm3.
    pub volume: f64,
    /// Where its water goes; nothing when it runs over an upstand or nowhere.
    pub goes_to: Option<Sink>,
    /// Whether water runs over an upstand before it finds its way out, with the point at whose foot and the level, mm.
    pub over: Option<(f64, usize)>,
}

/// What stands over a point when the outlet there is blocked: `mesh` and `flood` are those without it.
pub fn standing(mesh: &Mesh, flood: &Flood, feet: &[Foot], point: usize) -> Standing {
    let flow = Flow::new(mesh, flood);
    let path = flow.path_from_point(point);
    // Water that runs on from the point may stand lower down, and rise over the point from there.
    let pit = path.ponds.first().copied().filter(|&pit| flood.water[pit] > mesh.z[point] + SAME);
    let goes_to = Some(path.sink).filter(|sink| *sink != Sink::Nowhere);
    let Some(pit) = pit else { return Standing { goes_to, ..Standing::default() } };
    let beside = mesh.neighbours();
    let over = over_upstand(mesh, feet, &beside, pit).filter(|(level, _)| *level < flood.water[pit]);
    let level = over.map_or(flood.water[pit], |(level, _)| level);
    if !level.is_finite() {
        return Standing { goes_to, over, ..Standing::default() };
    }
    // Water that runs over an upstand goes where nobody knows.
    let goes_to = goes_to.filter(|_| over.is_none());
    if level <= mesh.z[point] {
        // It runs over an upstand lower down before it rises over the place.
        return Standing { goes_to, over, ..Standing::default() };
    }
    let (size, volume) = under(mesh, &beside, pit, level);
    Standing { depth: (level - mesh.z[point]).max(0.0), size, volume, goes_to, over }
}

impl Standing {
    /// As the layout holds it.
    #[allow(clippy::cast_possible_truncation)]
    pub fn written(&self) -> Blocked {
        Blocked {
            depth_um: (self.depth * 1000.0).round() as i64,
            size: self.size.round() as i64,
            volume: self.volume.round() as i64,
            goes_to: self.goes_to.unwrap_or(Sink::Nowhere),
        }
    }
}

/// Size, mm2, and volume, mm3, of the water at a level round a point that is under it.
fn under(mesh: &Mesh, beside: &[Vec<usize>], from: usize, level: f64) -> (f64, f64) {
    let mut wet = vec![false; mesh.at.len()];
    let mut open = vec![from];
    while let Some(point) = open.pop() {
        if !std::mem::replace(&mut wet[point], true) {
            open.extend(beside[point].iter().filter(|&&p| !wet[p] && mesh.z[p] < level));
        }
    }
    let (mut size, mut volume) = (0.0, 0.0);
    for (f, corners) in mesh.facets.iter().enumerate().filter(|(_, c)| c.iter().any(|&p| wet[p])) {
        let (part, held) = under_water(mesh.doubled_area(f) / 2.0, corners.map(|p| level - mesh.z[p]));
        (size, volume) = (size + part, volume + held);
    }
    (size, volume)
}
