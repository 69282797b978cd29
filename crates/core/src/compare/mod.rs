//! Ways of laying one roof side by side: each laid, counted, and held against the others.
//!
//! In: a plan, and what is to be varied ([`Alternative`]). Out: an [`Outcome`] for each, with its counts, a small picture,
//! and what it is beaten by. It works in steps, never by the clock, in two rounds. First every way is laid with a short
//! search, so that all can be told apart soon; then the way that stands, and each that no other beats, is searched to its
//! end. A way beaten after its short search stays beaten in the list, though a whole search might bring it nearer: it says
//! that it was searched shortly. It changes no plan; [`with_alternative`] tells what taking one would make of it.

mod aspects;
mod counts;
mod sketch;
mod vary;

pub use aspects::{Alternative, Aspects};
pub use counts::{Count, Counts, Standing, standings};
pub use sketch::{Sketch, SketchBay};
pub use vary::with_alternative;

use crate::layout::Layout;
use crate::plan::Plan;
use crate::search::{Effort, Roof, Search};
use serde::{Deserialize, Serialize};

/// Most ways compared at once, the one that stands not counted: more than anybody can choose from.
pub const MOST_WAYS: usize = 24;

/// One way of laying the roof, and what it comes to.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Outcome {
    /// What it does otherwise than the plan; nothing for the way that stands.
    pub way: Alternative,
    /// What it comes to.
    pub counts: Counts,
    /// Whether it was searched to its end, and not shortly only.
    pub whole: bool,
    /// What it looks like.
    pub sketch: Sketch,
    /// How it stands among those known so far.
    pub standing: Standing,
}

/// How far a comparison has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Progress {
    /// Ways laid, shortly or to the end.
    pub laid: usize,
    /// All ways.
    pub ways: usize,
    /// Ways searched to their end.
    pub whole: usize,
    /// Ways that are, or are still to be, searched to their end, as known so far.
    pub wanted: usize,
}

/// A comparison, done in slices.
#[derive(Clone, Debug)]
pub struct Comparer {
    plan: Plan,
    roof: Roof,
    /// The plan as it stands laid shortly, once it is: it tells where its zones lie.
    stands: Option<Layout>,
    ways: Vec<Alternative>,
    /// One for each way laid so far, in their order.
    found: Vec<Outcome>,
    at_work: Option<(usize, Effort, Box<Search>)>,
    /// The short search that ended last, and its way: the next may differ in gangs and melters only.
    last: Option<(Alternative, Box<Search>)>,
    steps: u64,
}

/// Compares ways of laying a plan, to the end.
pub fn compare(plan: &Plan, ways: &[Alternative]) -> Vec<Outcome> {
    let mut comparer = Comparer::new(plan, ways);
    while !comparer.is_done() {
        comparer.advance(u64::MAX);
    }
    comparer.found
}

impl Comparer {
    /// A comparison of the plan as it stands with up to [`MOST_WAYS`] others; those beyond, and repeated ones, are left out.
    pub fn new(plan: &Plan, others: &[Alternative]) -> Self {
        let mut ways = vec![Alternative::default()];
        for way in others {
            if ways.len() <= MOST_WAYS && !ways.contains(way) {
                ways.push(*way);
            }
        }
        let roof = Roof::of(plan);
        Self {
            plan: plan.clone(),
            roof,
            stands: None,
            ways,
            found: Vec::new(),
            at_work: None,
            last: None,
            steps: 0,
        }
    }

    /// What is known so far, the way that stands first.
    pub fn found(&self) -> &[Outcome] {
        &self.found
    }

    /// How far it has come.
    pub fn progress(&self) -> Progress {
        let whole = self.found.iter().filter(|o| o.whole).count();
        let wanted = self.found.iter().enumerate().filter(|(n, o)| o.whole || self.deserves(*n)).count();
        Progress { laid: self.found.len(), ways: self.ways.len(), whole, wanted }
    }

    /// Whether nothing more will come of working on.
    pub fn is_done(&self) -> bool {
        self.next().is_none()
    }

    /// Steps taken so far.
    pub fn steps(&self) -> u64 {
        self.steps
    }

    /// Goes on for about so many steps, of the size of those of [`Search`]; which ways were laid meanwhile, by their place
    /// in [`Comparer::found`]. Standings of others may have changed with them.
    pub fn advance(&mut self, steps: u64) -> Vec<usize> {
        let end = self.steps.saturating_add(steps.max(1));
        let mut laid = Vec::new();
        while self.steps < end {
            let Some((n, effort)) = self.next() else { break };
            let mut search = match self.at_work.take() {
                Some((m, of, search)) if (m, of) == (n, effort) => search,
                _ => self.begin(n, effort),
            };
            let before = search.steps();
            search.advance(end - self.steps);
            self.steps += (search.steps() - before).max(1);
            if search.is_done() {
                self.note(n, effort, search.layout().clone());
                self.last = (effort == Effort::SHORT).then(|| (self.ways[n], search));
                laid.push(n);
            } else {
                self.at_work = Some((n, effort, search));
            }
        }
        laid
    }

    /// What is to be laid next, and with how much effort.
    fn next(&self) -> Option<(usize, Effort)> {
        if self.found.len() < self.ways.len() {
            return Some((self.found.len(), Effort::SHORT));
        }
        (0..self.found.len())
            .find(|&n| !self.found[n].whole && self.deserves(n))
            .map(|n| (n, Effort::COMPARED))
    }

    /// Whether a way is worth searching to its end: the one that stands is, and one that no other beats.
    fn deserves(&self, n: usize) -> bool {
        n == 0 || self.found[n].standing.beaten_by.is_none()
    }

    fn begin(&self, n: usize, effort: Effort) -> Box<Search> {
        let plan = match &self.stands {
            Some(stands) => with_alternative(&self.plan, stands, &self.ways[n]),
            None => self.plan.clone(),
        };
        let alike = |last: &&(Alternative, Box<Search>)| last.0.laid_alike(&self.ways[n]);
        let last = self.last.as_ref().filter(|_| effort == Effort::SHORT).filter(alike);
        let known = last.and_then(|(_, last)| last.with_gangs_of(plan.clone(), self.roof.clone()));
        Box::new(known.unwrap_or_else(|| Search::on(plan, self.roof.clone(), effort, None)))
    }

    fn note(&mut self, n: usize, effort: Effort, layout: Layout) {
        let outcome = Outcome {
            way: self.ways[n],
            counts: Counts::of(&layout),
            whole: effort == Effort::COMPARED,
            sketch: Sketch::of(&layout),
            standing: Standing::default(),
        };
        match self.found.get_mut(n) {
            Some(known) => *known = outcome,
            None => self.found.push(outcome),
        }
        if self.stands.is_none() {
            self.stands = Some(layout);
        }
        let counts: Vec<Counts> = self.found.iter().map(|o| o.counts).collect();
        for (outcome, standing) in self.found.iter_mut().zip(standings(&counts)) {
            outcome.standing = standing;
        }
    }
}

#[cfg(test)]
mod tests;
