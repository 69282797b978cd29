//! Bills: what a job comes to with certain ways of its zones, by quick or by improved cut lists.
//!
//! In: drafts of all zones. Out: rolls, price, cost and laps of the job: cut to length or run on, as
//! the stance has it. Bays are not yet in order there, so the limit of part-used rolls is left out.

use super::ground::{Candidate, Ground};
use crate::cuts::{Item, Problem, Solver, Terms};
use crate::draft::DraftPiece;
use crate::endlaps::Ends;
use crate::numbering::count;
use crate::plan::{Laying, Mm};
use crate::products::Rules;
use crate::rolling;
use crate::run_on::{self, Added, Place};
use crate::sums::Figures;

/// What a job comes to.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bill {
    pub(super) uncut: usize,
    pub(super) price: i64,
    pub(super) cost: i64,
    pub(super) rolls: u32,
    pub(super) side_laps: Mm,
}

impl Ground {
    /// The cutting problem of pieces of several ways, about as it will be once bays are in order.
    pub(super) fn problem(&self, all: &[&Candidate], pieces: &[Vec<DraftPiece>]) -> Problem {
        let item = |c: &Candidate, p: &DraftPiece| Item {
            length: p.to - p.from,
            width: p.width,
            slit: p.width < c.rules.width,
            bay: 0,
        };
        let items = all.iter().zip(pieces).flat_map(|(c, own)| own.iter().map(|p| item(c, p))).collect();
        let terms = Terms { open_most: None, ..rolling::terms(&self.plan) };
        Problem { items, stocks: rolling::stocks(&self.plan), terms }
    }

    /// What a job comes to, cut to length or run on as the stance has it.
    pub(super) fn bill(&self, all: &[&Candidate]) -> Bill {
        if !self.stance.runs_on {
            let pieces: Vec<Vec<DraftPiece>> = all.iter().map(|c| c.pieces.clone()).collect();
            return self.bill_of(all, &pieces);
        }
        let place = |(draft, c): (usize, &&Candidate)| -> Vec<Place> {
            c.pieces.iter().map(|&piece| Place { draft, piece }).collect()
        };
        let order: Vec<Place> = all.iter().enumerate().flat_map(place).collect();
        self.bill_with(all, &self.run_on(all, &order).0)
    }

    /// What a job comes to with end laps other than its own.
    pub(super) fn bill_with(&self, all: &[&Candidate], ends: &[Ends]) -> Bill {
        let slitting = self.stance.slitting;
        let pieces = all.iter().zip(ends).map(|(c, ends)| c.draft.pieces_with(ends, &c.rules, slitting));
        self.bill_of(all, &pieces.collect::<Vec<_>>())
    }

    pub(super) fn bill_of(&self, all: &[&Candidate], pieces: &[Vec<DraftPiece>]) -> Bill {
        let list = Solver::new(self.problem(all, pieces)).list().clone();
        let count_of: usize = pieces.iter().map(Vec::len).sum();
        let runs: usize = all.iter().map(|c| c.draft.courses.runs.iter().map(Vec::len).sum::<usize>()).sum();
        let figures = Figures {
            rolls: list.price,
            side_laps: all.iter().map(|c| c.side_laps).sum(),
            cuts: count_of,
            end_laps: count_of - runs.min(count_of),
            slit: pieces.iter().zip(all).map(|(own, c)| slit_length(own, &c.rules)).sum(),
        };
        Bill {
            uncut: list.uncut.len(),
            price: list.price,
            cost: figures.cost(&self.plan.products.prices),
            rolls: count(list.rolls.len()),
            side_laps: figures.side_laps,
        }
    }

    /// What bills are compared by while ways are tried.
    pub(super) fn money(&self, bill: &Bill) -> [i64; 2] {
        if self.stance.by_cost { [bill.cost, bill.price] } else { [bill.price, bill.cost] }
    }

    /// What whole layouts are compared by: price of the rolls first, or the whole cost first when laying is mixed.
    pub(super) fn by_money(&self, price: i64, cost: i64) -> [i64; 2] {
        if self.plan.products.laying == Laying::Mixed { [cost, price] } else { [price, cost] }
    }

    /// End laps with those that running on adds.
    pub(super) fn run_on(&self, all: &[&Candidate], order: &[Place]) -> (Vec<Ends>, Vec<Added>) {
        let mut laid: Vec<run_on::Laid> = all
            .iter()
            .map(|c| run_on::Laid { draft: &c.draft, rules: c.rules, ends: c.draft.ends.clone() })
            .collect();
        let stock = Problem {
            items: Vec::new(),
            stocks: rolling::stocks(&self.plan),
            terms: rolling::terms(&self.plan),
        };
        let added = run_on::lay(&mut laid, order, &stock);
        (laid.into_iter().map(|l| l.ends).collect(), added)
    }
}

/// Length slit along rolls, about, mm.
fn slit_length(pieces: &[DraftPiece], rules: &Rules) -> Mm {
    pieces.iter().filter(|p| p.width < rules.width).map(|p| p.to - p.from).sum()
}
