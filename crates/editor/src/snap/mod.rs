//! Snapping: from where the pointer is to the point that is meant.
//!
//! In: a place on the plan, what is drawn already and the settings. Out: one point with the word for why it is there.
//! A corner wins over an edge, an edge over an angle, an angle over alignment, alignment over the grid; a snapped point
//! is identical to its target to the millimetre. One file per snapper; each gives at most one point.

mod align;
mod angle;
mod corner;
mod edge;
mod grid;
mod targets;

pub(crate) use targets::{Except, Targets};

use baylap_core::geom::Pt;
use baylap_core::plan::Mm;
use serde::{Deserialize, Serialize};

/// Why a point is where it is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SnapKind {
    /// On a corner that is there already.
    Corner,
    /// On the first corner: closes the ring.
    Close,
    /// On an edge.
    Edge,
    /// At a right angle to the side before.
    RightAngle,
    /// Straight on from the side before.
    StraightOn,
    /// At 45 degrees to the side before.
    Half,
    /// Along the x or y direction of the plan, or along the datum.
    Axis,
    /// In line with a corner.
    InLine,
    /// On the grid.
    Grid,
    /// Typed.
    Typed,
    /// Where the pointer is.
    #[default]
    Free,
}

impl SnapKind {
    /// The word for the screen; empty for [`SnapKind::Free`].
    pub const fn word(self) -> &'static str {
        match self {
            SnapKind::Corner => "corner",
            SnapKind::Close => "close the ring",
            SnapKind::Edge => "edge",
            SnapKind::RightAngle => "right angle",
            SnapKind::StraightOn => "straight on",
            SnapKind::Half => "45 degrees",
            SnapKind::Axis => "along the axis",
            SnapKind::InLine => "in line",
            SnapKind::Grid => "grid",
            SnapKind::Typed => "typed",
            SnapKind::Free => "",
        }
    }
}

/// What is snapped to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SnapSettings {
    /// All of it, on or off.
    pub on: bool,
    /// Corners.
    pub corners: bool,
    /// Edges.
    pub edges: bool,
    /// Right angle, 45 degrees and straight on.
    pub angles: bool,
    /// In line with corners.
    pub in_line: bool,
    /// Grid.
    pub grid: bool,
    /// Step of the grid and of the arrow keys, mm.
    pub step: Mm,
}

impl Default for SnapSettings {
    /// Everything on; 100 mm is a step that a tape shows.
    fn default() -> Self {
        Self { on: true, corners: true, edges: true, angles: true, in_line: true, grid: true, step: 100 }
    }
}

impl SnapSettings {
    /// The same settings with a step from 1 mm to 100 m.
    pub(crate) fn sound(self) -> Self {
        Self { step: self.step.clamp(1, 100_000), ..self }
    }
}

/// A point with its reason.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Snap {
    /// The point.
    pub(crate) at: Pt,
    /// Why there.
    pub(crate) kind: SnapKind,
    /// A corner that the point is in line with, or the start of the line it lies on.
    pub(crate) guide: Option<Pt>,
}

/// What a snapper is asked.
pub(crate) struct Query<'a> {
    /// Where the pointer is, mm.
    pub(crate) at: [f64; 2],
    /// How near is near, mm.
    pub(crate) reach: f64,
    /// What is snapped to.
    pub(crate) settings: SnapSettings,
    /// Corners and edges of the plan.
    pub(crate) targets: &'a Targets,
    /// Points set already of what is being drawn; the last is where the next side begins.
    pub(crate) drawn: &'a [Pt],
    /// Whether the first of them closes a ring.
    pub(crate) closes: bool,
    /// Direction of the base line: the datum's, else along x.
    pub(crate) base: [i64; 2],
    /// Whether the next side is held to the nearest right angle or 45 degrees, however far it is.
    pub(crate) lock: bool,
}

/// The point that is meant.
pub(crate) fn snap(q: &Query<'_>) -> Snap {
    let closing = corner::first(q);
    if let Some(snap) = closing {
        return snap;
    }
    if q.lock
        && let Some(ray) = angle::nearest(q, f64::INFINITY)
    {
        return angle::along(q, &ray);
    }
    if !q.settings.on {
        return Snap { at: round(q.at), kind: SnapKind::Free, guide: None };
    }
    let s = q.settings;
    let ray = if s.angles { angle::nearest(q, q.reach) } else { None };
    let corner = if s.corners { corner::nearest(q) } else { None };
    corner
        .or_else(|| if s.edges { edge::nearest(q, ray.as_ref()) } else { None })
        .or_else(|| ray.map(|ray| angle::along(q, &ray)))
        .or_else(|| if s.in_line { align::nearest(q) } else { None })
        .or_else(|| if s.grid { grid::nearest(q) } else { None })
        .unwrap_or(Snap { at: round(q.at), kind: SnapKind::Free, guide: None })
}

#[allow(clippy::cast_possible_truncation)]
pub(crate) fn round(p: [f64; 2]) -> Pt {
    Pt::new(p[0].round() as i64, p[1].round() as i64)
}

#[allow(clippy::cast_precision_loss)]
pub(crate) fn vector(p: Pt) -> [f64; 2] {
    [p.x as f64, p.y as f64]
}

fn sub(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// `a + t * d`
fn on(a: [f64; 2], d: [f64; 2], t: f64) -> [f64; 2] {
    [a[0] + t * d[0], a[1] + t * d[1]]
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    let d = sub(a, b);
    libm::hypot(d[0], d[1])
}

/// The unit vector along (x, y); `None` of nothing.
#[allow(clippy::cast_precision_loss)]
pub(crate) fn unit(v: [i64; 2]) -> Option<[f64; 2]> {
    let [x, y] = [v[0] as f64, v[1] as f64];
    let length = libm::hypot(x, y);
    (length > 0.0).then(|| [x / length, y / length])
}

/// A length to the nearest step.
#[allow(clippy::cast_precision_loss)]
fn stepped(length: f64, step: Mm) -> f64 {
    let step = step.max(1) as f64;
    (length / step).round() * step
}

#[cfg(test)]
mod tests;
