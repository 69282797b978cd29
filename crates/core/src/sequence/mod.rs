//! The order of the bays over the days: which gang pours which bay on which day.
//!
//! In: bays as sites, with what they take, what they touch, which of them lies above the other, the ways off, and bays
//! tied to a day, a gang or a turn. Out: every site placed, and what the order comes to. Laws first: a bay is reached,
//! poured and left over bays not begun that day, by whatever gang. It knows nothing of plans, dates or metres of roof.
//!
//! One day: each gang pours its bays one after the other, without a break. The order of a day is the order of beginning,
//! the gang with the smaller number first. A bay that takes longer than a day fills one by itself.

mod check;
mod day;
mod exact;
mod first;
mod improve;
mod least;
mod split;
#[cfg(test)]
mod tests;
mod window;
mod worth;

pub use check::check;
pub use worth::{Broken, Law, broken};

use crate::layout::days::Score;
use crate::plan::{Mm, OrderPrices};
use exact::Exact;
use improve::Improve;
use serde::{Deserialize, Serialize};
use split::{Row, Splitter};

/// A bay to be poured.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// Minutes it takes each gang.
    pub minutes: Vec<u32>,
    /// What each gang walks with full buckets, mm.
    pub haul: Vec<Mm>,
    /// The bays it touches.
    pub beside: Vec<Beside>,
    /// Whether people leave the roof from it.
    pub exit: bool,
    /// What it is tied to.
    #[serde(default)]
    pub tie: SiteTie,
}

/// A bay beside another. Both name each other, with the same length and `bad`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Beside {
    /// The other one, from 0.
    pub site: usize,
    /// Their common edge, mm; 0 when people pass but nothing is joined, as across a movement joint.
    pub length: Mm,
    /// How much of it is a bad place for a day joint, mm.
    pub bad: Mm,
    /// Over how much of it this bay lies above the other one, mm: laid first, that much faces the water.
    pub above: Mm,
}

/// What a site is tied to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SiteTie {
    /// Day, from 0.
    pub day: Option<u32>,
    /// Gang, from 0.
    pub gang: Option<usize>,
    /// Turn over the whole job, from 0.
    pub turn: Option<u32>,
}

/// A job to be put in order.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Task {
    /// The bays.
    pub sites: Vec<Site>,
    /// Minutes of a day that each gang has for bays; one entry a gang.
    pub day: Vec<u32>,
    /// What an order is judged by.
    #[serde(default)]
    pub prices: OrderPrices,
}

/// A site placed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Placed {
    /// Day, from 0.
    pub day: u32,
    /// Begun, minutes from the first pour of the day.
    pub from: u32,
    /// Gang, from 0.
    pub gang: usize,
    /// Site, from 0.
    pub site: usize,
    /// Done, minutes from the first pour of the day.
    pub to: u32,
}

/// An order of the whole job.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// Every site, in the order they are begun.
    pub placed: Vec<Placed>,
    /// What it comes to.
    pub score: Score,
}

/// The search for the best order. It works in steps, never by the clock.
#[derive(Clone, Debug)]
pub struct Sequencer {
    task: Task,
    exact: Option<Exact>,
    improve: Improve,
    steps: u64,
    /// Whether all orders of a small job are tried once moving about is over.
    tries_all: bool,
}

/// Steps that trying all orders may take.
const EXACT_STEPS: u64 = 800_000;

/// Work that improving takes, in days that grow by a bay, for a job of so many bays and more: some 150 ms. Smaller ones get as
/// much less as they are smaller.
const WORK: u64 = 5_500_000;
const WORK_FOR: u64 = 20;

/// Work that counts for one step.
const WORK_A_STEP: u64 = 300;

impl Sequencer {
    /// A search that already holds an order. Sites that no exit is reached from are all taken for exits.
    pub fn new(mut task: Task) -> Self {
        give_exits(&mut task);
        let work = work(&task);
        Self::with_work(task, work, true)
    }

    /// A search that takes so much work, in days that grow by a bay, and then ends: all orders are not tried, and little is
    /// proved.
    pub fn brief(mut task: Task, work: u64) -> Self {
        give_exits(&mut task);
        Self::with_work(task, work, false)
    }

    fn with_work(task: Task, work: u64, tries_all: bool) -> Self {
        let first = first::row(&task);
        let improve = Improve::new(&task, vec![Row::new(first.sites.clone()), first], work);
        Self { exact: None, improve, steps: 0, tries_all, task }
    }

    /// The task, with the exits that it was given.
    pub fn task(&self) -> &Task {
        &self.task
    }

    /// Whether there is nothing left to try.
    pub fn is_done(&self) -> bool {
        self.improve.is_done() && self.exact.as_ref().is_none_or(Exact::is_done)
    }

    /// Steps taken so far.
    pub fn steps(&self) -> u64 {
        self.steps
    }

    /// Goes on for about so many steps.
    pub fn advance(&mut self, steps: u64) {
        let end = self.steps.saturating_add(steps.max(1));
        while self.steps < end && !self.is_done() {
            if let Some(exact) = &mut self.exact {
                self.steps += exact.advance(&self.task).max(1);
                continue;
            }
            let before = self.improve.work();
            self.improve.advance(&self.task, before + (end - self.steps).min(500) * WORK_A_STEP);
            self.steps += ((self.improve.work() - before) / WORK_A_STEP).max(1);
            if self.tries_all && self.improve.is_done() {
                // What moving about has found is the mark: only what could meet it is looked at.
                self.exact = Exact::new(&self.task, EXACT_STEPS, self.improve.best_worth());
            }
        }
    }

    /// The best order so far.
    pub fn answer(&self) -> Answer {
        let exact = self.exact.as_ref().and_then(Exact::answer);
        let placed = match exact {
            Some(placed) => placed.to_vec(),
            None => Splitter::new(&self.task).placed(&self.task, self.improve.best()),
        };
        let mut score = worth::score(&self.task, &placed);
        // An order that breaks more laws could cost less: with laws broken only the bound holds.
        let all_tried = exact.is_some() && score.broken == 0;
        score.least =
            if all_tried { score.cost } else { worth::money(least::units(&self.task)).min(score.cost) };
        score.proved = score.broken == 0 && score.cost <= score.least;
        Answer { placed, score }
    }
}

/// The best order that is found.
pub fn order(task: &Task) -> Answer {
    let mut search = Sequencer::new(task.clone());
    while !search.is_done() {
        search.advance(u64::MAX);
    }
    search.answer()
}

/// Work that improving a task takes.
fn work(task: &Task) -> u64 {
    WORK * WORK_FOR.min(task.sites.len() as u64) / WORK_FOR
}

/// Takes every site of a group without an exit for one: such a group is reached from outside the plan.
fn give_exits(task: &mut Task) {
    let reached: Vec<bool> = (0..task.sites.len()).map(|i| worth::reaches(task, i, |_| false)).collect();
    for (site, reached) in task.sites.iter_mut().zip(reached) {
        site.exit |= !reached;
    }
}
