//! Snapping to corners.
//!
//! In: a query. Out: the nearest corner in reach, identical to it.

use super::{Query, Snap, SnapKind, distance, vector};
use baylap_core::geom::Pt;

/// The first corner of the ring being drawn, when it is in reach and three are set. Never turned off: it is how a ring
/// is closed.
pub(super) fn first(q: &Query<'_>) -> Option<Snap> {
    let &first = q.drawn.first().filter(|_| q.closes && q.drawn.len() >= 3)?;
    (distance(vector(first), q.at) <= q.reach).then_some(Snap {
        at: first,
        kind: SnapKind::Close,
        guide: None,
    })
}

/// The nearest corner in reach, but the one that the next side begins at.
pub(super) fn nearest(q: &Query<'_>) -> Option<Snap> {
    let last = q.drawn.last();
    let near = |p: &Pt| distance(vector(*p), q.at);
    let all = q.targets.corners.iter().chain(q.drawn).filter(|p| Some(*p) != last);
    let best = all.filter(|p| near(p) <= q.reach).min_by(|a, b| near(a).total_cmp(&near(b)))?;
    Some(Snap { at: *best, kind: SnapKind::Corner, guide: None })
}
