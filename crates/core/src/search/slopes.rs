//! Slopes of a zone: whether courses in a direction run across the fall or down it.
//!
//! In: a zone and the ground. Out: slopes at places spread over the zone, and for a frame whether its courses run more down
//! the fall than across it. Courses across the fall start at the low side and lap over one another like slates; how much
//! more they cost is shown, not hidden. It chooses nothing.

use crate::falls::ground::{Ground, Under};
use crate::geom::Pt;
use crate::geom::frame::Frame;
use crate::geom::ring;
use crate::zones::ZoneModel;

/// Places looked at along the longer side of a zone's bounds.
const PLACES: i64 = 24;

/// Courses run down the fall when that much more of it, in hundredths, lies along them than across.
const MORE: f64 = 1.1;

/// Slopes at places spread evenly over a zone; none where it is level or has no levels.
pub(super) fn slopes(zone: &ZoneModel, ground: Option<&Ground>) -> Vec<[f64; 2]> {
    let Some((ground, (lo, hi))) = ground.zip(ring::bounds(zone.area.iter().flatten())) else {
        return Vec::new();
    };
    let step = ((hi.x - lo.x).max(hi.y - lo.y) / PLACES).max(1);
    let rows = (0..=(hi.y - lo.y) / step).map(|k| lo.y + step / 2 + k * step);
    let mut found = Vec::new();
    for y in rows {
        for x in (0..=(hi.x - lo.x) / step).map(|k| lo.x + step / 2 + k * step) {
            let at = Pt::new(x, y);
            if ring::locate_in(at, &zone.area) != ring::Side::Outside {
                found.extend(slope(ground, at));
            }
        }
    }
    found
}

/// Whether courses of a frame run more down these slopes than across them; `None` where there is no slope.
pub(super) fn runs_down(slopes: &[[f64; 2]], frame: &Frame) -> Option<bool> {
    let (along, across) = frame.axes();
    let sum = |by: [f64; 2]| slopes.iter().map(|g| (g[0] * by[0] + g[1] * by[1]).abs()).sum::<f64>();
    (!slopes.is_empty()).then(|| sum(along) > MORE * sum(across))
}

/// The slope at a place, if it is not as good as level.
#[allow(clippy::cast_precision_loss)]
fn slope(ground: &Ground, at: Pt) -> Option<[f64; 2]> {
    let a = [at.x as f64, at.y as f64];
    let part = ground.along(a, [a[0] + 1.0, a[1]]).into_iter().next()?;
    match part.under {
        Under::Slope(slope) => Some(slope),
        Under::Level | Under::Unknown => None,
        Under::Outlet | Under::Pond | Under::LowLine | Under::Ridge => ground.slope_at(a),
    }
}
