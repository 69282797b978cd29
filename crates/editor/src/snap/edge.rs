//! Snapping to edges.
//!
//! In: a query, and the direction that the next side is held to. Out: a point on the nearest edge in reach: where that
//! direction crosses it, or square to a corner, or at a step from its start, or nearest.

use super::angle::Ray;
use super::{Query, Snap, SnapKind, distance, dot, on, round, stepped, sub, vector};
use baylap_core::geom::Pt;

/// A point on the nearest edge.
pub(super) fn nearest(q: &Query<'_>, ray: Option<&Ray>) -> Option<Snap> {
    let foot = |&(a, b): &(Pt, Pt)| {
        let (at, length) = along(a, b)?;
        let t = dot(sub(q.at, vector(a)), at).clamp(0.0, length);
        Some((distance(on(vector(a), at, t), q.at), t))
    };
    let edges = q.targets.edges.iter().filter_map(|e| Some((e, foot(e)?)));
    let near = edges.filter(|(_, (d, _))| *d <= q.reach);
    let (&(a, b), (_, t)) = near.min_by(|x, y| x.1.0.total_cmp(&y.1.0))?;
    let (dir, length) = along(a, b)?;
    let crossing = ray.and_then(|ray| crossing(vector(a), dir, ray));
    let t = crossing
        .filter(|c| (c - t).abs() <= q.reach)
        .unwrap_or_else(|| settle(q, a, dir, t))
        .clamp(0.0, length);
    Some(Snap { at: round(on(vector(a), dir, t)), kind: SnapKind::Edge, guide: None })
}

/// Unit vector and length of an edge.
fn along(a: Pt, b: Pt) -> Option<([f64; 2], f64)> {
    let length = a.distance(b);
    let d = sub(vector(b), vector(a));
    (length > 0.0).then(|| ([d[0] / length, d[1] / length], length))
}

/// Where a ray crosses the line, as a distance from `a`.
fn crossing(a: [f64; 2], dir: [f64; 2], ray: &Ray) -> Option<f64> {
    let sine = dir[0] * ray.dir[1] - dir[1] * ray.dir[0];
    let to = sub(ray.from, a);
    (sine.abs() > 0.01).then(|| (to[0] * ray.dir[1] - to[1] * ray.dir[0]) / sine)
}

/// A tidy place near `t` along the edge: square to a corner, else at a step from its start.
fn settle(q: &Query<'_>, a: Pt, dir: [f64; 2], t: f64) -> f64 {
    if q.settings.in_line {
        let square = q.drawn.iter().map(|c| dot(sub(vector(*c), vector(a)), dir));
        let near = square.filter(|s| (s - t).abs() <= q.reach);
        if let Some(s) = near.min_by(|x, y| (x - t).abs().total_cmp(&(y - t).abs())) {
            return s;
        }
    }
    let step = stepped(t, q.settings.step);
    if q.settings.grid && (step - t).abs() <= q.reach { step } else { t }
}
