//! Snapping to the grid of whole steps.
//!
//! In: a query. Out: the nearest point whose x and y are whole steps. Always in reach: it only tidies.

use super::{Query, Snap, SnapKind, round, stepped};

/// The nearest point of the grid; the step shrinks with the view so that a point never jumps away from the pointer.
#[allow(clippy::cast_possible_truncation)]
pub(super) fn nearest(q: &Query<'_>) -> Option<Snap> {
    let mut step = q.settings.step.max(1);
    while step > 1 && step as f64 > 4.0 * q.reach {
        step /= 10;
    }
    let step = step.max(1);
    Some(Snap {
        at: round([stepped(q.at[0], step), stepped(q.at[1], step)]),
        kind: SnapKind::Grid,
        guide: None,
    })
}
