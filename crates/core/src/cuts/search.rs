//! The search: which method works when, and what it hands to the next.
//!
//! In: a problem. Out, step by step: better packings and better bounds, until the answer is proved the best or the methods
//! are through. First fit answers at once. A dozen pieces go to the exact finish. Else, part by part, column generation
//! gives the bound and dives the rolls, whatever the limit of open rolls. If that answer breaks the limit, packings by value
//! correction, then the same columns and dives by bay within the limit. Last, moves that improve the answer: its price while
//! that may fall, then its scrap and offcuts. It holds no method of its own.

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
/// Most dives from one mix, and steps that dives may take in all.
const DIVES: usize = 16;
const DIVING: u64 = 60_000;
/// Rounds of value correction.
const ROUNDS: u32 = 40;
/// Most pieces that a round of it is done for before the first answer.
const AT_ONCE: usize = 400;
/// Moves of improving, more for every roll, and no more than so many.
const IMPROVING: (u64, u64, u64) = (2_000, 100, 10_000);
const SETTLING: (u64, u64, u64) = (500, 20, 3_000);

/// A search under way.
#[derive(Clone, Debug)]
pub(super) struct Search {
    shop: Shop,
    /// The same with kinds apart by bay, when rolls part-used are limited.
    by_bay: Option<Box<Shop>>,
    best: Best,
    stage: Stage,
}

/// What columns and dives are about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Scope {
    /// One part, whatever the limit.
    Part(usize),
    /// Everything within the limit.
    Limit,
}

/// What is being worked on.
#[derive(Clone, Debug)]
enum Stage {
    Exact(Box<Exact>),
    Bound(Scope, Box<Columns>),
    Dive(Box<Diving>),
    Values(Box<ValueCorrection>),
    /// Improving the price or, with false, what does not change it.
    Improve(Box<Improve>, bool),
    Done,
}

/// Dives from one mix.
#[derive(Clone, Debug)]
struct Diving {
    scope: Scope,
    columns: Columns,
    dive: Dive,
    number: usize,
    steps: u64,
}

impl Search {
    /// Begins with the best of the quick methods.
    pub(super) fn new(problem: &Problem) -> Self {
        let shop = Shop::new(problem);
        let mut best = Best::new(&shop, first_fit::pack(&shop));
        let mut by_bay = None;
        best.offer(&shop, &first_fit::pack_in_order(&shop));
        if shop.limits_open() {
            best.offer(&shop, &first_fit::pack_by_bay(&shop));
            by_bay = Some(Box::new(Shop::by_bay(problem)));
            if shop.holdable() <= AT_ONCE {
                let mut values = ValueCorrection::new(&shop, 1, true);
                while !values.is_done() {
                    values.step(&shop).1.iter().for_each(|packing| {
                        best.offer(&shop, packing);
                    });
                }
            }
        }
        let mut search = Self { shop, by_bay, best, stage: Stage::Done };
        search.stage = match search.shop.holdable() {
            0 => Stage::Done,
            n if n <= exact::MOST_PIECES => Stage::Exact(Box::new(Exact::new(&search.shop))),
            _ => search.bound_from(0),
        };
        search
    }

    /// The same without the exact finish, to try the other methods on what it knows.
    #[cfg(test)]
    fn of_many(problem: &Problem) -> Self {
        let mut search = Self::new(problem);
        if search.shop.holdable() > 0 {
            search.stage = search.bound_from(0);
        }
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
        let (steps, next) = match &mut stage {
            Stage::Done => (0, None),
            Stage::Exact(exact) => self.step_exact(exact, better),
            Stage::Bound(scope, columns) => self.step_bound(*scope, columns, better),
            Stage::Dive(diving) => self.step_dive(diving, better),
            Stage::Values(values) => {
                let (work, packing) = values.step(&self.shop);
                *better |= packing.is_some_and(|p| self.best.offer(&self.shop, &p));
                let over = values.is_done() || self.best.is_price_settled();
                (1 + work / NODES_A_STEP, over.then(|| self.after_values()))
            }
            Stage::Improve(improve, gather) => {
                let (work, packing) = improve.step(&self.shop);
                *better |= packing.is_some_and(|p| self.best.offer(&self.shop, &p));
                let over = improve.is_done() || *gather && self.best.is_price_settled();
                let next = over.then(|| if *gather { self.settle() } else { Stage::Done });
                (1 + work / NODES_A_STEP, next)
            }
        };
        self.stage = next.unwrap_or(stage);
        steps
    }

    fn step_exact(&mut self, exact: &mut Exact, better: &mut bool) -> (u64, Option<Stage>) {
        let (steps, finding) = exact.step(&self.shop);
        *better |= exact.least().is_some_and(|(price, rolls)| self.best.raise_whole(price, rolls));
        let next = match finding {
            Finding::Nothing => None,
            Finding::Loose(packing) => {
                *better |= self.best.offer(&self.shop, &packing);
                *better |= packing.uncut.is_empty() && self.best.raise_whole(packing.price(&self.shop), 0);
                None
            }
            Finding::Best(packing) => {
                *better |= self.best.offer(&self.shop, &packing);
                if packing.uncut.is_empty() && self.best.rank.over == 0 {
                    let price = packing.price(&self.shop);
                    *better |= !self.shop.limits_open() && self.best.raise_whole(price, 0);
                    *better |= self.best.raise_within_limit(price);
                }
                Some(Stage::Done)
            }
            Finding::GaveUp => Some(self.bound_from(0)),
        };
        (steps, next)
    }

    fn step_bound(&mut self, scope: Scope, columns: &mut Columns, better: &mut bool) -> (u64, Option<Stage>) {
        let steps = columns.step(self.shop_of(scope), self.known(scope));
        *better |= match scope {
            Scope::Part(part) => self.best.raise_price(&self.shop, part, columns.bound()),
            Scope::Limit => self.best.raise_within_limit(columns.bound()),
        };
        (steps, columns.is_done().then(|| self.dive(scope, columns.clone(), 0, 0)))
    }

    fn step_dive(&mut self, diving: &mut Diving, better: &mut bool) -> (u64, Option<Stage>) {
        let scope = diving.scope;
        let (steps, dived) = diving.dive.step(self.shop_of(scope), self.known(scope));
        diving.steps += steps;
        let mut ended = diving.steps > DIVING;
        match dived {
            Dived::On => {}
            Dived::GaveUp => ended = true,
            Dived::Found(patterns) => {
                ended = true;
                *better |= match scope {
                    Scope::Part(part) => {
                        let packing = dive::of_patterns(&self.shop, &patterns, Some(part));
                        self.best.offer_part(&self.shop, part, packing)
                    }
                    Scope::Limit => {
                        let packing = dive::of_patterns(self.shop_of(scope), &patterns, None);
                        self.best.offer(&self.shop, &packing)
                    }
                };
            }
        }
        let next = || self.dive(scope, diving.columns.clone(), diving.number + 1, diving.steps);
        (steps, ended.then(next))
    }

    /// The shop that columns and dives work in.
    fn shop_of(&self, scope: Scope) -> &Shop {
        match (scope, &self.by_bay) {
            (Scope::Limit, Some(by_bay)) => by_bay,
            _ => &self.shop,
        }
    }

    /// The price to beat.
    fn known(&self, scope: Scope) -> i64 {
        match scope {
            Scope::Part(part) => self.best.known(part),
            Scope::Limit => self.best.known_within_limit(),
        }
    }

    /// The bound of the next part that is not proved.
    fn bound_from(&self, part: usize) -> Stage {
        let Some(next) = (part..self.shop.parts.len()).find(|&p| !self.best.is_proved(p)) else {
            return self.after_parts();
        };
        let prices: Vec<i64> = self.shop.shelves.iter().map(|s| s.price).collect();
        let mut columns = Columns::new(&self.shop, &self.shop.parts[next], &prices);
        patterns(&self.shop, self.best.loose(next)).for_each(|p| columns.add(&self.shop, p));
        Stage::Bound(Scope::Part(next), Box::new(columns))
    }

    /// The next dive, or what follows when the price is proved or the dives are through.
    fn dive(&self, scope: Scope, columns: Columns, number: usize, steps: u64) -> Stage {
        let proved = match scope {
            Scope::Part(part) => self.best.is_proved(part),
            Scope::Limit => self.best.is_price_settled(),
        };
        if number >= DIVES || steps > DIVING || proved {
            return match scope {
                Scope::Part(part) => self.bound_from(part + 1),
                Scope::Limit => self.improve(),
            };
        }
        let dive = Dive::new(number, &columns);
        Stage::Dive(Box::new(Diving { scope, columns, dive, number, steps }))
    }

    fn after_parts(&self) -> Stage {
        if self.best.is_price_settled() {
            return self.settle();
        }
        Stage::Values(Box::new(ValueCorrection::new(&self.shop, ROUNDS, self.shop.limits_open())))
    }

    fn after_values(&self) -> Stage {
        let Some(by_bay) = &self.by_bay else { return self.improve() };
        if self.best.is_price_settled() {
            return self.settle();
        }
        let prices: Vec<i64> = by_bay.shelves.iter().map(|s| s.price).collect();
        let mut columns = Columns::new(by_bay, &by_bay.whole(), &prices);
        patterns(by_bay, &self.best.packing).for_each(|p| columns.add(by_bay, p));
        Stage::Bound(Scope::Limit, Box::new(columns))
    }

    /// Improving for a lower price.
    fn improve(&self) -> Stage {
        if self.best.is_price_settled() {
            return self.settle();
        }
        Stage::Improve(Box::new(self.improving(true, IMPROVING)), true)
    }

    /// Improving what does not change the price.
    fn settle(&self) -> Stage {
        Stage::Improve(Box::new(self.improving(false, SETTLING)), false)
    }

    fn improving(&self, gather: bool, (few, each, most): (u64, u64, u64)) -> Improve {
        let start = self.best.packing.clone();
        let moves = (few + each * start.rolls.len() as u64).min(most);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cuts::{Item, Stock, Terms};
    use proptest::prelude::*;

    fn items() -> impl Strategy<Value = Vec<Item>> {
        let item = (5..=60_i64, 0..6_usize, 0..3_u32);
        proptest::collection::vec(item, 1..=10).prop_map(|list| {
            let mut bay = 0;
            let next = |(length, width, step): (i64, usize, u32)| {
                bay += u32::from(step == 0);
                let width = [10, 10, 10, 3, 5, 6][width];
                Item { length, width, slit: width < 10, bay }
            };
            list.into_iter().map(next).collect()
        })
    }

    fn stocks() -> impl Strategy<Value = Vec<Stock>> {
        let width = prop_oneof![3 => Just(10_i64), 1 => Just(7_i64)];
        let stock = (60..=100_i64, width, 1..5_i64, proptest::option::of(1..5_u32));
        proptest::collection::vec(stock, 1..=2).prop_map(|list| {
            let stock = |(length, width, price, count)| Stock { length, width, count, price };
            list.into_iter().map(stock).collect()
        })
    }

    fn done(mut search: Search) -> CutList {
        let mut better = false;
        while !search.is_done() {
            search.step(&mut better);
        }
        search.list()
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

        #[test]
        fn the_bounds_of_columns_never_pass_the_exact_finish(
            items in items(), stocks in stocks(), kerf in 0..3_i64, open_most in proptest::option::of(0..3_u32),
        ) {
            let problem = Problem { items, stocks, terms: Terms { kerf, least_offcut: 10, open_most } };
            let exact = done(Search::new(&problem));
            let many = done(Search::of_many(&problem));
            prop_assert!(exact.uncut.len() <= many.uncut.len());
            let over = |l: &CutList| open_most.is_some_and(|n| l.open > n);
            if many.uncut.is_empty() {
                prop_assert!(many.least_price <= exact.price_unlimited);
                prop_assert!(many.price_unlimited >= exact.price_unlimited);
            }
            if many.uncut.is_empty() && !over(&exact) {
                prop_assert!(many.least_price_within_limit <= exact.price);
                prop_assert!(over(&many) || many.price >= exact.price);
            }
        }
    }
}
