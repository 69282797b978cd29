//! The whole engine in one call.
//!
//! In: a plan. Out: a layout. [`lay`] looks for the best layout as long as [`crate::search`] has anything to try;
//! [`lay_quick`] takes the first one. Neither fails: what cannot be laid is left out and named in the findings.

use crate::layout::Layout;
use crate::plan::Plan;
use crate::search::Search;

/// Lays a plan: the best layout the engine finds.
///
/// Never fails: what cannot be laid is left out and named in [`Layout::findings`].
pub fn lay(plan: &Plan) -> Layout {
    let mut search = Search::new(plan.clone(), None);
    while !search.is_done() {
        search.advance(u64::MAX);
    }
    search.into_layout()
}

/// Lays a plan at once: along the longest walls, from a wall, with a cut list that is good but not improved.
pub fn lay_quick(plan: &Plan) -> Layout {
    Search::new(plan.clone(), None).into_layout()
}
