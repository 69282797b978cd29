//! Snapping in line with corners, along the base line and across it.
//!
//! In: a query. Out: a point that has a corner's offset along or across the base line, or two corners' offsets.

use super::{Query, Snap, SnapKind, dot, round, stepped, sub, unit, vector};
use baylap_core::geom::Pt;

/// A point in line with one or two corners.
pub(super) fn nearest(q: &Query<'_>) -> Option<Snap> {
    let along = unit(q.base)?;
    let across = [-along[1], along[0]];
    let (u, v) = (line(q, along), line(q, across));
    let guide = u.or(v)?.1;
    let place = |found: Option<(f64, Pt)>, dir| found.map_or_else(|| free(q, dir), |(offset, _)| offset);
    let (u, v) = (place(u, along), place(v, across));
    let at = round([u * along[0] + v * across[0], u * along[1] + v * across[1]]);
    Some(Snap { at, kind: SnapKind::InLine, guide: Some(guide) })
}

/// The offset of the corner nearest in one direction.
fn line(q: &Query<'_>, dir: [f64; 2]) -> Option<(f64, Pt)> {
    let here = dot(q.at, dir);
    let offsets = q.targets.corners.iter().chain(q.drawn).map(|c| (dot(vector(*c), dir), *c));
    let near = offsets.filter(|(o, _)| (o - here).abs() <= q.reach);
    let far = |c: &Pt| {
        let d = sub(vector(*c), q.at);
        dot(d, d)
    };
    near.min_by(|a, b| {
        (a.0 - here).abs().total_cmp(&(b.0 - here).abs()).then(far(&a.1).total_cmp(&far(&b.1)))
    })
}

/// The offset in a direction that no corner holds: on the grid, when that is on.
fn free(q: &Query<'_>, dir: [f64; 2]) -> f64 {
    let here = dot(q.at, dir);
    if q.settings.grid { stepped(here, q.settings.step) } else { here }
}
