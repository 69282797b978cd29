//! Undo and redo.
//!
//! In: plans, each with how it came about. Out: the plan before, the plan after. At most [`MOST_STEPS`] steps are
//! kept; a new step clears what was undone; a drag or a run of one field is one step. It knows nothing of what changed.

use baylap_core::Plan;
use std::sync::Arc;

/// Steps kept: a day's work, and with shared plans a few tens of MB at the worst.
pub const MOST_STEPS: usize = 500;

/// How a change enters the history.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Policy {
    /// A step of its own.
    Commit,
    /// One step together with the one before, when that had the same key.
    Coalesce(u64),
    /// No step yet: something is being dragged; it is committed or restored at its end.
    Transient,
}

/// The stacks of undo and redo.
#[derive(Clone, Debug, Default)]
pub struct History {
    undo: Vec<Arc<Plan>>,
    redo: Vec<Arc<Plan>>,
    run: Option<u64>,
    before_drag: Option<Arc<Plan>>,
}

impl History {
    /// Whether there is a step to undo.
    pub fn can_undo(&self) -> bool {
        !self.undo.is_empty()
    }

    /// Whether there is a step to do again.
    pub fn can_redo(&self) -> bool {
        !self.redo.is_empty()
    }

    /// Number of steps that can be undone.
    pub fn undo_len(&self) -> usize {
        self.undo.len()
    }

    /// Number of steps that can be done again.
    pub fn redo_len(&self) -> usize {
        self.redo.len()
    }
}
