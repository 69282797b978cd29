//! Places of a zone's working frame on the plan, and turns that read upright.
//!
//! In: the frame of the layout file. Out: whole-mm points of the plan, straight lines along and across the courses.
//! Display only: geometry that counts comes ready from the engine.

use crate::clip::{Ray, whole};
use baylap_core::geom::Pt;
use baylap_core::layout::Frame;
use baylap_core::plan::Mm;

/// The point of the plan at chainage `u` and offset `v` of a frame.
#[allow(clippy::cast_precision_loss)]
pub fn on_plan(frame: &Frame, u: Mm, v: Mm) -> Pt {
    let line = course_ray(frame, v);
    Pt::new(whole(line.at[0] + u as f64 * line.along[0]), whole(line.at[1] + u as f64 * line.along[1]))
}

/// The line along the courses at offset `v`; distances along it are chainages.
#[allow(clippy::cast_precision_loss)]
pub fn course_ray(frame: &Frame, v: Mm) -> Ray {
    let [x, y] = frame.origin_um.map(|um| um as f64 / 1000.0);
    let v = v as f64;
    Ray { at: [x + v * frame.across[0], y + v * frame.across[1]], along: frame.along }
}

/// Chainage and offset of a point of the plan, mm.
#[allow(clippy::cast_precision_loss)]
pub fn in_frame(frame: &Frame, p: Pt) -> [f64; 2] {
    let [x, y] = frame.origin_um.map(|um| um as f64 / 1000.0);
    let (dx, dy) = (p.x as f64 - x, p.y as f64 - y);
    [dx * frame.along[0] + dy * frame.along[1], dx * frame.across[0] + dy * frame.across[1]]
}

/// Direction of a vector, thousandths of a degree.
#[allow(clippy::cast_possible_truncation)]
pub fn turn_of(vector: [f64; 2]) -> i32 {
    let degrees = libm::atan2(vector[1], vector[0]) * 180_000.0 / core::f64::consts::PI;
    (degrees + 0.5).floor() as i32
}

/// The same direction or its opposite, whichever reads from below or from the right: over -90 to 90 degrees.
pub fn upright(turn_mdeg: i32) -> i32 {
    let half = turn_mdeg.rem_euclid(180_000);
    if half > 90_000 { half - 180_000 } else { half }
}
