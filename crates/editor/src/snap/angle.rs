//! Snapping to angles: right angles and 45 degrees to the side before, or to the base line for the first side.
//!
//! In: a query with a point drawn already. Out: the nearest ray from it, and a point along that ray. The rays are made
//! from whole numbers, so that a right angle to a side along an axis is exact.

use super::{Query, Snap, SnapKind, distance, dot, on, round, stepped, sub, unit, vector};
use baylap_core::geom::Pt;

/// A direction from the last point drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Ray {
    /// Where it starts.
    pub(crate) from: [f64; 2],
    /// Unit vector along it.
    pub(crate) dir: [f64; 2],
    /// What it is to the side before.
    pub(crate) kind: SnapKind,
}

/// The ray that the pointer is nearest to, when that is within `reach` and the pointer is not at its start.
pub(super) fn nearest(q: &Query<'_>, reach: f64) -> Option<Ray> {
    let from = vector(*q.drawn.last()?);
    let to = sub(q.at, from);
    let off = |ray: &Ray| (to[0] * ray.dir[1] - to[1] * ray.dir[0]).abs();
    let ahead = rays(q).into_iter().filter(|ray| dot(to, ray.dir) > 0.0 && off(ray) <= reach);
    ahead.min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// All rays from the last point drawn.
fn rays(q: &Query<'_>) -> Vec<Ray> {
    let [.., last] = q.drawn else { return Vec::new() };
    let before = q.drawn.iter().rev().skip(1).find(|p| *p != last);
    let base = before.map_or(q.base, |b| [last.x - b.x, last.y - b.y]);
    let mut turned = base;
    let mut rays = Vec::new();
    for eighth in 0..8 {
        if let Some(dir) = unit(turned).filter(|_| before.is_none() || eighth != 4) {
            rays.push(Ray { from: vector(*last), dir, kind: kind(eighth, before.is_some()) });
        }
        turned = [turned[0] - turned[1], turned[0] + turned[1]];
    }
    rays
}

fn kind(eighth: u32, after_a_side: bool) -> SnapKind {
    match (after_a_side, eighth) {
        (true, 0) => SnapKind::StraightOn,
        (true, 2 | 6) => SnapKind::RightAngle,
        (false, 0 | 2 | 4 | 6) => SnapKind::Axis,
        _ => SnapKind::Half,
    }
}

/// A tidy point along a ray near the pointer: square to a corner, else at a step from its start.
pub(super) fn along(q: &Query<'_>, ray: &Ray) -> Snap {
    let t = dot(sub(q.at, ray.from), ray.dir).max(0.0);
    let s = q.settings;
    if let Some((t, corner)) = square_to_a_corner(q, ray, t).filter(|_| s.on && s.in_line) {
        return Snap { at: round(on(ray.from, ray.dir, t)), kind: ray.kind, guide: Some(corner) };
    }
    let t = if s.on && s.grid { stepped(t, s.step) } else { t };
    Snap { at: round(on(ray.from, ray.dir, t)), kind: ray.kind, guide: None }
}

fn square_to_a_corner(q: &Query<'_>, ray: &Ray, t: f64) -> Option<(f64, Pt)> {
    let corners = q.targets.corners.iter().chain(q.drawn);
    let feet = corners.map(|c| (dot(sub(vector(*c), ray.from), ray.dir), *c));
    let near = feet.filter(|(foot, _)| *foot > q.reach && (foot - t).abs() <= q.reach);
    near.min_by(|a, b| {
        let far = |(_, c): &(f64, Pt)| distance(vector(*c), q.at);
        (a.0 - t).abs().total_cmp(&(b.0 - t).abs()).then(far(a).total_cmp(&far(b)))
    })
}
