//! Column generation: the least price if rolls could be opened in part, and a bound that is proved in whole numbers.
//!
//! In: the kinds of one part and how many of each are wanted, the rolls left, their prices. Out, step by step: patterns
//! worth having (Gilmore and Gomory's method), how much of each, and a price that no cut list goes below. The worths of
//! the pieces come from floating-point duals; they are rounded down to whole numbers, and the dearest pattern by them is
//! sought in whole numbers, so the bound holds however wrong the duals are: a cut list of price P opens rolls whose
//! patterns are each worth no more than their price times the worst ratio found, and all pieces are worth their sum.

use super::knapsack::{Effort, gcd};
use super::levels::{self, Filled, Pattern, Wanted};
use super::lp::{Column, Lp};
use super::shop::{Part, Shop};

/// What one dearest roll is worth in whole numbers.
const SCALE_BITS: u32 = 30;
/// Most columns added in a round.
const COLUMNS_A_ROUND: usize = 12;
/// Quick pricing; what it leaves open is priced again in full.
const QUICK: Effort = Effort { nodes: 4_000, cells: 0 };
const FULL: Effort = Effort { nodes: 40_000, cells: 60_000_000 };
/// Work that makes one step.
const WORK_A_STEP: u64 = 20_000;

/// The programme of one part.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    /// Kind of each row; the rows of limited shelves follow.
    kinds: Vec<usize>,
    demand: Vec<usize>,
    shelves: Vec<usize>,
    /// Rolls left, by shelf of the shop.
    left: Vec<usize>,
    /// Row of each shelf that has one, by shelf of the shop.
    limit_row: Vec<Option<usize>>,
    /// Price of each shelf of the shop.
    prices: Vec<i64>,
    lp: Lp,
    patterns: Vec<Pattern>,
    bound: i64,
    stage: Stage,
    /// Whether the bound is wanted, not only patterns.
    proving: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stage {
    Pivot,
    Price(Effort),
    Done,
}

impl Columns {
    /// For a part of the shop, the demand by kind and the rolls left by shelf.
    pub(super) fn new(shop: &Shop, part: &Part, demand: &[usize], left: &[usize], prices: &[i64]) -> Self {
        let kinds: Vec<usize> = part.kinds.iter().copied().filter(|&k| demand[k] > 0).collect();
        let wanted: Vec<usize> = kinds.iter().map(|&k| demand[k]).collect();
        let total: usize = wanted.iter().sum();
        let shelves: Vec<usize> = part.shelves.iter().copied().filter(|&s| left[s] > 0).collect();
        let mut limit_row = vec![None; shop.shelves.len()];
        let mut need: Vec<f64> = wanted.iter().map(|&n| n as f64).collect();
        for &s in shelves.iter().filter(|&&s| shop.shelves[s].limited && left[s] < total) {
            limit_row[s] = Some(need.len());
            need.push(-(left[s] as f64));
        }
        let lack = if need.len() > kinds.len() { 1000.0 } else { 4.0 };
        Self {
            lp: Lp::new(&need, lack),
            kinds,
            demand: wanted,
            shelves,
            left: left.to_vec(),
            limit_row,
            prices: prices.to_vec(),
            patterns: Vec::new(),
            bound: 0,
            stage: Stage::Pivot,
            proving: true,
        }
    }

    /// Wants patterns, not a bound: quick pricing is enough.
    pub(super) fn without_proof(mut self) -> Self {
        self.proving = false;
        self
    }

    /// Adds a pattern, if it serves any row.
    pub(super) fn add(&mut self, pattern: Pattern) {
        let mut rows: Vec<(usize, f64)> = Vec::new();
        for (k, n) in pattern.counts() {
            if let Ok(r) = self.kinds.binary_search(&k) {
                rows.push((r, n as f64));
            }
        }
        if rows.is_empty() || !self.shelves.contains(&pattern.shelf) {
            return;
        }
        rows.extend(self.limit_row[pattern.shelf].map(|r| (r, -1.0)));
        let column = Column { cost: self.prices[pattern.shelf] as f64 / self.dearest(), rows };
        if !self.lp.columns().contains(&column) {
            self.lp.add(column);
            self.patterns.push(pattern);
        }
    }

    fn dearest(&self) -> f64 {
        self.shelves.iter().map(|&s| self.prices[s]).max().unwrap_or(1).max(1) as f64
    }

    /// No cut list of the pieces wanted has a lower price.
    pub(super) fn bound(&self) -> i64 {
        self.bound
    }

    pub(super) fn is_done(&self) -> bool {
        self.stage == Stage::Done
    }

    /// Patterns and how much of each is in the best mix.
    pub(super) fn mix(&self) -> Vec<(&Pattern, f64)> {
        self.patterns.iter().zip(self.lp.amounts()).collect()
    }

    /// Every pattern found, with what it costs beyond its worth, in rolls of the dearest kind.
    pub(super) fn found(&self) -> impl Iterator<Item = (&Pattern, f64)> {
        self.patterns.iter().zip(self.lp.columns().iter().map(|c| self.lp.dearness(c)))
    }

    /// Worth of each kind of the shop in whole numbers, 0 for those not in the part.
    pub(super) fn worths(&self, kinds: usize) -> Vec<i64> {
        let mut worths = vec![0; kinds];
        for (&k, w) in self.kinds.iter().zip(self.whole_worths()) {
            worths[k] = w;
        }
        worths
    }

    /// One step; done once the bound reaches `known`, the price of a cut list at hand. Returns the steps it took.
    pub(super) fn step(&mut self, shop: &Shop, known: i64) -> u64 {
        if self.kinds.is_empty() || self.bound >= known {
            self.stage = Stage::Done;
        }
        let work = match self.stage {
            Stage::Done => 0,
            Stage::Pivot => {
                if !self.lp.pivot() {
                    self.stage = Stage::Price(QUICK);
                }
                self.lp.work
            }
            Stage::Price(effort) => self.price(shop, effort),
        };
        1 + work / WORK_A_STEP
    }

    /// Looks for patterns worth more than their price, and takes the bound from how much the best are worth.
    fn price(&mut self, shop: &Shop, effort: Effort) -> u64 {
        let worths = self.whole_worths();
        let mut work = 0;
        let mut found: Vec<Pattern> = Vec::new();
        // The worst ratio of worth to price, as worth and price.
        let mut worst: (i128, i64) = (0, 1);
        let mut discount: i128 = 0;
        let mut searched = true;
        for &s in &self.shelves {
            let limit = self.limit_worth(s);
            let floor = self.whole_price(s) + limit + (1 << (SCALE_BITS - 23));
            let (best, columns) = self.best_patterns(shop, s, &worths, floor, effort);
            work += columns.iter().map(|c| c.work).sum::<u64>() + best.work;
            searched &= best.most <= floor.max(best.worth);
            let over = i128::from(best.most - limit);
            if over * i128::from(worst.1) > worst.0 * i128::from(self.prices[s]) {
                worst = (over, self.prices[s]);
            }
            discount += i128::from(limit) * self.left[s] as i128;
            found.extend(columns.into_iter().chain([best]).map(|c| c.pattern).filter(|p| !p.cuts.is_empty()));
        }
        let all: i128 = worths.iter().zip(&self.demand).map(|(&w, &n)| i128::from(w) * n as i128).sum();
        self.raise_bound(all - discount, worst);
        let before = self.patterns.len();
        found.into_iter().for_each(|p| self.add(p));
        self.stage = match (self.patterns.len() > before, searched || effort == FULL || !self.proving) {
            (true, _) => Stage::Pivot,
            (false, true) => Stage::Done,
            (false, false) => Stage::Price(FULL),
        };
        work
    }

    /// The best pattern of a shelf, and others of pieces that the ones before leave.
    fn best_patterns(
        &self,
        shop: &Shop,
        shelf: usize,
        worths: &[i64],
        floor: i64,
        effort: Effort,
    ) -> (Filled, Vec<Filled>) {
        let mut wanted: Vec<Wanted> = (self.kinds.iter().zip(worths).zip(&self.demand))
            .filter(|((k, _), _)| shop.holds(shelf, **k))
            .map(|((&kind, &worth), &most)| Wanted { kind, worth, most })
            .collect();
        let best = levels::fill(shop, shelf, &wanted, floor, effort);
        let mut others: Vec<Filled> = Vec::new();
        let mut last = best.pattern.clone();
        while !last.cuts.is_empty() && others.len() < COLUMNS_A_ROUND {
            for (k, n) in last.counts() {
                wanted.iter_mut().filter(|w| w.kind == k).for_each(|w| w.most = w.most.saturating_sub(n));
            }
            let next = levels::fill(shop, shelf, &wanted, floor, Effort { nodes: 1_000, cells: 0 });
            last = next.pattern.clone();
            others.push(next);
        }
        (best, others)
    }

    /// The price that pieces of this worth cannot be cut for less than, rounded up to what prices can add up to.
    fn raise_bound(&mut self, worth: i128, (worst, price): (i128, i64)) {
        if worst <= 0 || worth <= 0 {
            return;
        }
        let unit = self.shelves.iter().map(|&s| self.prices[s]).fold(0, gcd).max(1);
        let (top, bottom) = (worth * i128::from(price), worst * i128::from(unit));
        let units = (top + bottom - 1) / bottom;
        let bound = i64::try_from(units * i128::from(unit)).unwrap_or(i64::MAX);
        self.bound = self.bound.max(bound);
    }

    fn scale(&self) -> f64 {
        f64::from(1_u32 << SCALE_BITS)
    }

    /// Worth of each row's kind, rounded down.
    #[allow(clippy::cast_possible_truncation)]
    fn whole_worths(&self) -> Vec<i64> {
        let whole = |w: &f64| (w.clamp(0.0, 1000.0) * self.scale()).floor() as i64;
        self.lp.worth()[..self.kinds.len()].iter().map(whole).collect()
    }

    /// What one roll more of a limited shelf is worth, rounded up.
    #[allow(clippy::cast_possible_truncation)]
    fn limit_worth(&self, shelf: usize) -> i64 {
        let row = self.limit_row[shelf];
        row.map_or(0, |r| (self.lp.worth()[r].clamp(0.0, 1000.0) * self.scale()).ceil() as i64)
    }

    /// Price of a shelf in the same measure.
    #[allow(clippy::cast_possible_truncation)]
    fn whole_price(&self, shelf: usize) -> i64 {
        (self.prices[shelf] as f64 / self.dearest() * self.scale()).round() as i64
    }
}
