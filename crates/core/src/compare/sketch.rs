//! A small picture of a layout: bays by day, and which way the courses run.
//!
//! In: a layout. Out: outlines in plan coordinates with as few corners as a picture of a thumb's size shows, and an arrow in
//! each zone. It draws nothing.

use crate::geom::{Pt, ring};
use crate::layout::{Layout, Zone};
use crate::plan::Mm;
use serde::{Deserialize, Serialize};

/// Corners closer than this share of the roof are drawn as one.
const FINE: Mm = 160;

/// What a layout looks like from afar.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sketch {
    /// Lower left and upper right of all that is drawn.
    pub bounds: [Pt; 2],
    /// The bays, each ring of each by itself.
    pub bays: Vec<SketchBay>,
    /// In each zone, a line in its laying direction.
    pub along: Vec<[Pt; 2]>,
}

/// A ring of a bay.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct SketchBay {
    /// Day it is laid, from 1; 0 when that is not known.
    pub day: u32,
    /// Its corners.
    pub ring: Vec<Pt>,
}

impl Sketch {
    /// The picture of a layout.
    pub fn of(layout: &Layout) -> Self {
        let corners = layout.bays.iter().flat_map(|b| b.area.iter().flatten().flatten());
        let Some((lo, hi)) = ring::bounds(corners) else { return Self::default() };
        let fine = (hi.x - lo.x).max(hi.y - lo.y) / FINE;
        let day = |number: u32| {
            let days = layout.days.as_ref().map_or(&[][..], |d| d.days.as_slice());
            days.iter().find(|d| d.turns.iter().any(|t| t.bay == number)).map_or(0, |d| d.number)
        };
        let rings = layout.bays.iter().flat_map(|bay| {
            let day = day(bay.number);
            bay.area.iter().filter_map(|r| r.first()).map(move |ring| (day, ring))
        });
        let bays = rings.map(|(day, ring)| SketchBay { day, ring: thinned(ring, fine) });
        let along = layout.zones.iter().filter_map(|zone| arrow(layout, zone));
        Self { bounds: [lo, hi], bays: bays.collect(), along: along.collect() }
    }
}

/// A ring without the corners that lie close to the one before; never fewer than three.
#[allow(clippy::cast_precision_loss)]
fn thinned(points: &[Pt], fine: Mm) -> Vec<Pt> {
    let mut kept: Vec<Pt> = Vec::new();
    for p in points {
        if kept.last().is_none_or(|last| last.distance(*p) > fine as f64) {
            kept.push(*p);
        }
    }
    if kept.len() < 3 { points.to_vec() } else { kept }
}

/// A line in the laying direction of a zone, about the middle of its largest bay.
#[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
fn arrow(layout: &Layout, zone: &Zone) -> Option<[Pt; 2]> {
    let bay = layout.bays.iter().filter(|b| b.zone == zone.number).max_by_key(|b| (b.size, b.number))?;
    let (lo, hi) = ring::bounds(zone.area.iter().flatten().flatten())?;
    let half = (hi.x - lo.x).min(hi.y - lo.y) as f64 * 0.3;
    let [x, y] = zone.frame.along;
    let (dx, dy) = (libm::round(x * half) as Mm, libm::round(y * half) as Mm);
    let at = bay.label;
    Some([Pt::new(at.x - dx, at.y - dy), Pt::new(at.x + dx, at.y + dy)])
}
