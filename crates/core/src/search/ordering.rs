//! The order of the bays looked for: from a layout written out in a first workable order to the days of the best one.
//!
//! In: the ground, a layout with bays and the order its bays stand in. Out: the order to number them by, and the days. The
//! same bays are put in order once: what is known of them is kept.

use super::effort::Effort;
use super::ground::Ground;
use crate::days;
use crate::layout::Layout;
use crate::layout::days::{BayWork, Days, GangOut};
use crate::sequence::{Answer, Broken, Sequencer, Task, broken};
use crate::work;

/// Moves of the order that count for one step of the search: about as much work.
const MOVES_A_STEP: u64 = 100;

/// An order being looked for.
#[derive(Clone, Debug)]
pub(super) struct Ordering {
    /// Which bay, counted zone by zone, stands at each place of the layout it was begun with.
    stood: Vec<usize>,
    works: Vec<BayWork>,
    gangs: Vec<GangOut>,
    task: Task,
    sequencer: Sequencer,
}

impl Ordering {
    /// Begins with a layout whose bays stand as `stood` says; goes on from `known` when that is of the same bays.
    pub(super) fn new(
        ground: &Ground,
        layout: &Layout,
        (stood, known): (Vec<usize>, Option<Self>),
        effort: Effort,
    ) -> Self {
        let gangs = work::gangs(&ground.plan);
        let works = work::of_bays(&ground.plan, &ground.model, &layout.bays);
        let task = days::task(&ground.plan, &ground.model, layout, (&works, &gangs), ground.lines());
        let sequencer = match known {
            Some(known) if known.task == task => known.sequencer,
            _ => match effort.order {
                Some(work) => Sequencer::brief(task.clone(), work),
                None => Sequencer::new(task.clone()),
            },
        };
        Self { stood, works, gangs, task, sequencer }
    }

    /// Goes on for a step or some; how many, and whether it has ended.
    pub(super) fn advance(&mut self) -> (u64, bool) {
        let before = self.sequencer.steps();
        self.sequencer.advance(10 * MOVES_A_STEP);
        ((self.sequencer.steps() - before) / MOVES_A_STEP + 1, self.sequencer.is_done())
    }

    /// The bays, counted zone by zone, in the best order.
    pub(super) fn order(&self) -> Vec<usize> {
        self.answer().placed.iter().map(|p| self.stood[p.site]).collect()
    }

    /// The days of a layout whose bays are numbered in the best order, without materials, and the laws it breaks.
    pub(super) fn days(&self, ground: &Ground, layout: &Layout) -> (Days, Vec<Broken>) {
        let answer = self.answer();
        let days =
            days::write(&ground.plan, layout, (&self.works, &self.gangs), self.sequencer.task(), &answer);
        let place = |site| answer.placed.iter().position(|p| p.site == site).unwrap_or(0);
        let broken = broken(self.sequencer.task(), &answer.placed);
        (days, broken.into_iter().map(|b| Broken { site: place(b.site), ..b }).collect())
    }

    fn answer(&self) -> Answer {
        self.sequencer.answer()
    }
}
