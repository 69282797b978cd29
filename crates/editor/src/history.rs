//! Undo and redo.
//!
//! In: plans, each with how it came about. Out: the plan before, the plan after. At most [`MOST_STEPS`] steps are
//! kept, fewer of huge plans; a new step clears what was undone; a drag or a run of one field is one step. It keeps
//! whole plans, so no change needs an inverse, and knows nothing of what changed. Site records alone are not undone: a step
//! back takes along what was recorded since, unless it goes over to another job.

use crate::thing;
use baylap_core::Plan;
use std::sync::Arc;

/// Steps kept: a day's work.
pub const MOST_STEPS: usize = 500;
/// Corners kept over all steps, about 100 MB of them; beyond that the oldest steps go.
const MOST_CORNERS: usize = 1_500_000;
/// Steps kept however large the plan is.
const LEAST_STEPS: usize = 8;

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

/// A plan to go back or on to.
#[derive(Clone, Debug)]
struct Step {
    plan: Arc<Plan>,
    /// Whether the plan on the other side of the step is another job: then each keeps its own records.
    other_job: bool,
}

impl Step {
    /// The plan, with what was recorded since where it is the same job.
    fn taken_from(&self, now: &Plan) -> Arc<Plan> {
        if self.other_job || self.plan.records == now.records {
            return Arc::clone(&self.plan);
        }
        Arc::new(Plan { records: now.records.clone(), ..(*self.plan).clone() })
    }
}

/// The stacks of undo and redo.
#[derive(Clone, Debug, Default)]
pub struct History {
    undo: Vec<Step>,
    redo: Vec<Step>,
    /// Key of the run that the last step belongs to.
    run: Option<u64>,
    /// The plan before the drag that is going on.
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

    /// Plans that undo brings back, the next one last.
    pub(crate) fn undo_plans(&self) -> Vec<Arc<Plan>> {
        self.undo.iter().map(|step| Arc::clone(&step.plan)).collect()
    }

    /// Plans that redo brings back, the next one last.
    pub(crate) fn redo_plans(&self) -> Vec<Arc<Plan>> {
        self.redo.iter().map(|step| Arc::clone(&step.plan)).collect()
    }

    /// The steps of undo and of redo, counted from the last, that go over to another job.
    pub(crate) fn other_jobs(&self) -> [Vec<usize>; 2] {
        let of = |steps: &[Step]| {
            steps.iter().rev().enumerate().filter(|(_, step)| step.other_job).map(|(n, _)| n).collect()
        };
        [of(&self.undo), of(&self.redo)]
    }

    /// The stacks as they were saved.
    pub(crate) fn restored(undo: Vec<Plan>, redo: Vec<Plan>, other_jobs: &[Vec<usize>; 2]) -> Self {
        let steps = |plans: Vec<Plan>, other_jobs: &[usize]| {
            let count = plans.len();
            let step =
                |(i, plan)| Step { plan: Arc::new(plan), other_job: other_jobs.contains(&(count - 1 - i)) };
            plans.into_iter().enumerate().map(step).collect()
        };
        Self { undo: steps(undo, &other_jobs[0]), redo: steps(redo, &other_jobs[1]), ..Self::default() }
    }

    /// The step noted last leads to another job.
    pub(crate) fn another_job(&mut self) {
        if let Some(last) = self.undo.last_mut() {
            last.other_job = true;
        }
    }

    /// Notes that `before` gives way to another plan.
    pub(crate) fn record(&mut self, before: &Arc<Plan>, policy: Policy) {
        match policy {
            Policy::Transient => {
                self.before_drag.get_or_insert_with(|| Arc::clone(before));
            }
            Policy::Coalesce(key) if self.run == Some(key) => self.redo.clear(),
            Policy::Coalesce(key) => {
                self.push(Arc::clone(before));
                self.run = Some(key);
            }
            Policy::Commit => {
                self.push(Arc::clone(before));
                self.run = None;
            }
        }
    }

    /// Ends the run of one field: the next change is a step of its own.
    pub(crate) fn end_run(&mut self) {
        self.run = None;
    }

    /// The plan before the drag that is going on.
    pub(crate) fn before_drag(&self) -> Option<&Arc<Plan>> {
        self.before_drag.as_ref()
    }

    /// Ends a drag: one step, unless it came back to where it began.
    pub(crate) fn commit_drag(&mut self, now: &Arc<Plan>) {
        if let Some(before) = self.before_drag.take() {
            self.run = None;
            if before != *now {
                self.push(before);
            }
        }
    }

    /// Gives up a drag: the plan to go back to.
    pub(crate) fn cancel_drag(&mut self) -> Option<Arc<Plan>> {
        self.before_drag.take()
    }

    /// One step back from `now`.
    pub(crate) fn undo(&mut self, now: &Arc<Plan>) -> Option<Arc<Plan>> {
        let before = self.undo.pop()?;
        self.redo.push(Step { plan: Arc::clone(now), other_job: before.other_job });
        self.run = None;
        Some(before.taken_from(now))
    }

    /// One step forward from `now`.
    pub(crate) fn redo(&mut self, now: &Arc<Plan>) -> Option<Arc<Plan>> {
        let after = self.redo.pop()?;
        self.undo.push(Step { plan: Arc::clone(now), other_job: after.other_job });
        self.run = None;
        Some(after.taken_from(now))
    }

    fn push(&mut self, before: Arc<Plan>) {
        self.redo.clear();
        self.undo.push(Step { plan: before, other_job: false });
        let mut corners = 0;
        let kept = self.undo.iter().rev().enumerate().take_while(|(n, step)| {
            corners += thing::weight(&step.plan);
            *n < LEAST_STEPS || (*n < MOST_STEPS && corners <= MOST_CORNERS)
        });
        let kept = kept.count();
        self.undo.drain(..self.undo.len() - kept);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use baylap_core::plan::{Corner, Deck};

    fn plan(n: u32) -> Arc<Plan> {
        Arc::new(Plan {
            ways: vec![baylap_core::plan::Place { id: n, ..Default::default() }],
            ..Plan::default()
        })
    }

    #[test]
    fn a_new_step_clears_what_was_undone() {
        let mut h = History::default();
        h.record(&plan(1), Policy::Commit);
        assert_eq!(h.undo(&plan(2)), Some(plan(1)));
        assert!(h.can_redo());
        h.record(&plan(1), Policy::Commit);
        assert!(!h.can_redo());
    }

    #[test]
    fn a_run_is_one_step_until_it_ends() {
        let mut h = History::default();
        h.record(&plan(1), Policy::Coalesce(7));
        h.record(&plan(2), Policy::Coalesce(7));
        assert_eq!(h.undo_len(), 1);
        h.end_run();
        h.record(&plan(3), Policy::Coalesce(7));
        h.record(&plan(4), Policy::Coalesce(8));
        assert_eq!(h.undo_len(), 3);
        assert_eq!(h.undo(&plan(5)), Some(plan(4)));
    }

    #[test]
    fn a_drag_that_comes_back_is_no_step() {
        let mut h = History::default();
        h.record(&plan(1), Policy::Transient);
        h.record(&plan(2), Policy::Transient);
        h.commit_drag(&plan(1));
        assert_eq!(h.undo_len(), 0);
        h.record(&plan(1), Policy::Transient);
        h.commit_drag(&plan(9));
        assert_eq!(h.undo(&plan(9)), Some(plan(1)));
    }

    #[test]
    fn steps_are_capped_by_number_and_by_size() {
        let mut h = History::default();
        for n in 0..600 {
            h.record(&plan(n), Policy::Commit);
        }
        assert_eq!(h.undo_len(), MOST_STEPS);
        assert_eq!(h.undo(&plan(600)), Some(plan(599)), "the oldest go, not the newest");
        let ring = vec![Corner::default(); 100_000];
        let huge = Arc::new(Plan { decks: vec![Deck { id: 1, ring, ..Deck::default() }], ..Plan::default() });
        for _ in 0..30 {
            h.record(&huge, Policy::Commit);
        }
        assert!((LEAST_STEPS..=15).contains(&h.undo_len()), "{}", h.undo_len());
    }
}
