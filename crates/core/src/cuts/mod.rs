//! Cuts: which piece comes from which roll.
//!
//! In: pieces (length, width, the bay they are laid in), the rolls in stock, kerf and rules. Out: rolls with their cuts,
//! and a price that no cut list can go below. It answers at once and improves in slices of steps; the same number of
//! steps gives the same answer on every machine. "Proved" is only said where the bound meets the answer.

mod best;
mod columns;
mod dive;
mod exact;
pub mod first_fit;
mod improve;
mod knapsack;
mod levels;
mod lp;
mod packing;
mod roll_by_roll;
mod search;
mod shop;
mod value_correction;

use crate::plan::Mm;

/// A piece to be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Item {
    /// Length, mm.
    pub length: Mm,
    /// Width it needs, mm.
    pub width: Mm,
    /// Whether it may be slit: lie beside others in one length of a wider roll. When not, it needs a roll of its very width.
    pub slit: bool,
    /// Number of the bay that it is laid in; items stand in laying order.
    pub bay: u32,
}

/// A kind of roll in stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stock {
    /// Length, mm.
    pub length: Mm,
    /// Width, mm.
    pub width: Mm,
    /// How many there are; `None` for as many as needed.
    pub count: Option<u32>,
    /// Price of one, 1 or more.
    pub price: i64,
}

/// Rules of cutting.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Terms {
    /// Lost per cut, mm, along and across.
    pub kerf: Mm,
    /// Shortest rest worth keeping, mm.
    pub least_offcut: Mm,
    /// Most rolls part-used at the end of any bay: begun in it or before and needed after it. `None` for no limit.
    pub open_most: Option<u32>,
}

/// A cutting problem.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Problem {
    /// The pieces, in laying order.
    pub items: Vec<Item>,
    /// The rolls.
    pub stocks: Vec<Stock>,
    /// The rules.
    pub terms: Terms,
}

/// One length cut across a roll, with the pieces slit from it side by side.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cut {
    /// Where it starts, mm from the free end.
    pub from: Mm,
    /// Its length: that of its longest piece, mm.
    pub length: Mm,
    /// Its pieces: index of the item and where across the roll it starts, mm.
    pub items: Vec<(usize, Mm)>,
}

/// A roll with its cuts.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RollCuts {
    /// Which stock, from 0.
    pub stock: usize,
    /// Its cuts from the free end on.
    pub cuts: Vec<Cut>,
    /// What is left at the end, mm.
    pub rest: Mm,
}

/// A cut list.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CutList {
    /// The rolls opened, in the order they are first needed; on each, cuts in laying order.
    pub rolls: Vec<RollCuts>,
    /// Items that no roll in stock holds, or that the stock ran out for.
    pub uncut: Vec<usize>,
    /// Sum of the prices of the rolls opened.
    pub price: i64,
    /// Lowest price found if any number of rolls may be part-used: what the limit costs is the difference.
    pub price_unlimited: i64,
    /// No cut list of these items has a lower price, whatever the limit of open rolls.
    pub least_price: i64,
    /// No cut list that keeps to the limit of open rolls has a lower price.
    pub least_price_within_limit: i64,
    /// No cut list of these items opens fewer rolls.
    pub least_rolls: usize,
    /// Whether `price` meets `least_price` with nothing uncut: it is proved the least.
    pub proved: bool,
    /// Most rolls part-used at the end of any bay.
    pub open: u32,
}

/// Solves a problem in slices.
///
/// A step is a fixed amount of work, 10 to 50 µs on a machine of today. What was found depends only on how many steps
/// were granted in all, not on the slices they were granted in.
#[derive(Clone, Debug)]
pub struct Solver {
    problem: Problem,
    list: CutList,
    search: search::Search,
    granted: u64,
    steps: u64,
}

impl Solver {
    /// A solver that already holds a good answer.
    pub fn new(problem: Problem) -> Self {
        let search = search::Search::new(&problem);
        Self { problem, list: search.list(), search, granted: 0, steps: 0 }
    }

    /// The best answer so far.
    pub fn list(&self) -> &CutList {
        &self.list
    }

    /// The problem.
    pub fn problem(&self) -> &Problem {
        &self.problem
    }

    /// Works on for about so many steps; whether the answer got better or its proof did.
    pub fn advance(&mut self, steps: u64) -> bool {
        self.granted = self.granted.saturating_add(steps);
        let mut better = false;
        while self.steps < self.granted && !self.search.is_done() {
            self.steps += self.search.step(&mut better).max(1);
        }
        if better {
            self.list = self.search.list();
        }
        better
    }

    /// Whether nothing more will come of working on.
    pub fn is_done(&self) -> bool {
        self.search.is_done()
    }

    /// Steps taken so far.
    pub fn steps(&self) -> u64 {
        self.steps
    }
}

/// The best answer within a budget of steps.
pub fn solve(problem: Problem, steps: u64) -> CutList {
    let mut solver = Solver::new(problem);
    while !solver.is_done() && solver.steps() < steps {
        solver.advance(steps - solver.steps());
    }
    solver.list
}
