//! The search: which method works when, and what it hands to the next.
//!
//! In: a problem. Out, step by step: better packings and better bounds, until the answer is proved the best or the methods
//! are through. First fit answers at once; then, part by part, column generation for the bound, then whole packings by
//! value correction. It holds no method of its own.

use super::best::Best;
use super::columns::Columns;
use super::dive::{self, Dive, Dived};
use super::exact::{self, Exact, Finding};
use super::improve::Improve;
use super::levels::Pattern;
use super::packing::Packing;
use super::shop::Shop;
use super::value_correction::ValueCorrection;
use super::{CutList, Problem, first_fit};

/// Nodes of a method that make a step.
const NODES_A_STEP: u64 = 1_000;

/// Most dives into one part.
const DIVES: usize = 12;

/// Moves of improving, and more for every roll.
const IMPROVING: (u64, u64) = (2_000, 200);
const SETTLING: (u64, u64) = (500, 20);

/// A search under way.
#[derive(Clone, Debug)]
pub(super) struct Search {
    shop: Shop,
    best: Best,
    stage: Stage,
}

/// What is being worked on.
#[derive(Clone, Debug)]
enum Stage {
    Exact(Box<Exact>),
    Bound(usize, Box<Columns>),
    /// Part, its solved programme, the number of the dive and the dive.
    Dive(usize, Box<Columns>, usize, Box<Dive>),
    Values(Box<ValueCorrection>),
    /// Improving the price, then the rank.
    Improve(Box<Improve>, bool),
    Done,
}

impl Search {
    /// Begins with the best of the quick methods.
    pub(super) fn new(problem: &Problem) -> Self {
        let shop = Shop::new(problem);
        let mut best = Best::new(&shop, first_fit::pack(&shop));
        if shop.limits_open() {
            best.offer(&shop, &first_fit::pack_by_bay(&shop));
        }
        let mut search = Self { shop, best, stage: Stage::Done };
        let few = search.shop.holdable() <= exact::MOST_PIECES;
        search.stage = match search.shop.holdable() {
            0 => Stage::Done,
            _ if few => Stage::Exact(Box::new(Exact::new(&search.shop))),
            _ => search.bound_from(0),
        };
        search
    }

    pub(super) fn list(&self) -> CutList {
        self.best.list(&self.shop)
    }

    pub(super) fn is_done(&self) -> bool {
        matches!(self.stage, Stage::Done)
    }

    /// One piece of work; how many steps it took. Sets `better` when the answer or its proof is.
    pub(super) fn step(&mut self, better: &mut bool) -> u64 {
        let mut stage = std::mem::replace(&mut self.stage, Stage::Done);
        let steps = match &mut stage {
            Stage::Done => 0,
            Stage::Exact(exact) => {
                let (steps, finding) = exact.step(&self.shop);
                if let Some(next) = self.take_exact(exact.least(), finding, better) {
                    stage = next;
                }
                steps
            }
            Stage::Bound(part, columns) => {
                let steps = columns.step(&self.shop, self.best.known(*part));
                *better |= self.best.raise_price(&self.shop, *part, columns.bound());
                if columns.is_done() {
                    stage = self.dive(*part, columns.clone(), 0);
                }
                steps
            }
            Stage::Dive(part, columns, number, dive) => {
                let (steps, dived) = dive.step(&self.shop, self.best.known(*part));
                let ended = !matches!(dived, Dived::On);
                if let Dived::Found(patterns) = dived {
                    let packing = dive::of_patterns(&self.shop, &patterns, Some(*part));
                    *better |= self.best.offer_part(&self.shop, *part, packing);
                }
                if ended {
                    stage = self.dive(*part, columns.clone(), *number + 1);
                }
                steps
            }
            Stage::Values(values) => {
                let (work, packing) = values.step(&self.shop);
                *better |= packing.is_some_and(|p| self.best.offer(&self.shop, &p));
                if values.is_done() || self.best.is_price_proved() {
                    stage = self.improve();
                }
                1 + work / NODES_A_STEP
            }
            Stage::Improve(improve, gather) => {
                let (work, packing) = improve.step(&self.shop);
                *better |= packing.is_some_and(|p| self.best.offer(&self.shop, &p));
                if improve.is_done() || self.best.is_price_proved() && *gather {
                    stage = if *gather { self.settle() } else { Stage::Done };
                }
                1 + work / NODES_A_STEP
            }
        };
        self.stage = stage;
        steps
    }

    /// Takes in what the exact search brought; the stage that follows when it is over.
    fn take_exact(
        &mut self,
        least: Option<(i64, usize)>,
        finding: Finding,
        better: &mut bool,
    ) -> Option<Stage> {
        *better |= least.is_some_and(|(price, rolls)| self.best.raise_whole(price, rolls));
        match finding {
            Finding::Nothing => None,
            Finding::Loose(packing) => {
                *better |= self.best.offer(&self.shop, &packing);
                *better |= packing.uncut.is_empty() && self.best.raise_whole(packing.price(&self.shop), 0);
                None
            }
            Finding::Best(packing) => {
                *better |= self.best.offer(&self.shop, &packing);
                if !self.shop.limits_open() && packing.uncut.is_empty() {
                    *better |= self.best.raise_whole(packing.price(&self.shop), 0);
                }
                Some(Stage::Done)
            }
            Finding::GaveUp => Some(self.bound_from(0)),
        }
    }

    /// The bound of the next part that is not proved.
    fn bound_from(&self, part: usize) -> Stage {
        let Some(next) = (part..self.shop.parts.len()).find(|&p| !self.best.is_proved(p)) else {
            return if self.best.is_price_proved() { self.settle() } else { self.values() };
        };
        let prices: Vec<i64> = self.shop.shelves.iter().map(|s| s.price).collect();
        let mut columns = Columns::new(&self.shop, &self.shop.parts[next], &prices);
        patterns(&self.shop, self.best.loose(next)).for_each(|p| columns.add(&self.shop, p));
        Stage::Bound(next, Box::new(columns))
    }

    /// The next dive of a part, or the next part when this one is proved or dived enough.
    fn dive(&self, part: usize, columns: Box<Columns>, number: usize) -> Stage {
        if number >= DIVES || self.best.is_proved(part) {
            return self.bound_from(part + 1);
        }
        let dive = Dive::new(number, &columns);
        Stage::Dive(part, columns, number, Box::new(dive))
    }

    fn values(&self) -> Stage {
        Stage::Values(Box::new(ValueCorrection::new(&self.shop, 60, self.shop.limits_open())))
    }

    /// Improving for a lower price.
    fn improve(&self) -> Stage {
        if self.best.is_price_proved() {
            return self.settle();
        }
        Stage::Improve(Box::new(self.improving(true, IMPROVING)), true)
    }

    /// Improving what does not change the price.
    fn settle(&self) -> Stage {
        Stage::Improve(Box::new(self.improving(false, SETTLING)), false)
    }

    fn improving(&self, gather: bool, moves: (u64, u64)) -> Improve {
        let start = self.best.packing.clone();
        let moves = moves.0 + moves.1 * start.rolls.len() as u64;
        Improve::new(&self.shop, start, gather, moves, 1)
    }
}

/// The patterns of a packing.
fn patterns<'a>(shop: &'a Shop, packing: &'a Packing) -> impl Iterator<Item = Pattern> + 'a {
    packing.rolls.iter().map(|r| {
        let kinds = |c: &Vec<usize>| c.iter().filter_map(|&i| shop.kind_of[i]).collect();
        Pattern { shelf: r.shelf, cuts: r.cuts.iter().map(kinds).collect() }
    })
}
