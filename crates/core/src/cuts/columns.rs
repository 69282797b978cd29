//! Column generation: the least price if rolls could be opened in part, and a bound that is proved in whole numbers.
//!
//! In: the kinds of one part and how many of each are wanted, the rolls left, their prices; where kinds are kept apart by
//! bay, how many rolls may be part-used at the end of each. Out, step by step: patterns worth having (Gilmore and Gomory's
//! method), how much of each, and a price that no cut list goes below. The worths of the pieces come from floating-point
//! duals; they are rounded down to whole numbers, and the dearest pattern by them is sought in whole numbers, so the bound
//! holds however wrong the duals are: a cut list of price P opens rolls whose patterns are each worth no more than their
//! price times the worst ratio found, and all pieces are worth their sum.

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
/// Patterns dearer than this beyond their worth, in rolls, are not taken along when patterns are fixed.
const DEAR: f64 = 0.2;
/// Steps after which it leaves off with the bound it has.
const MOST_STEPS: u64 = 120_000;
/// Work that makes one step.
const WORK_A_STEP: u64 = 20_000;

/// The programme of one part.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    /// Kind of each row; the rows of limits follow.
    kinds: Vec<usize>,
    /// Pieces left of each row's kind.
    demand: Vec<usize>,
    shelves: Vec<usize>,
    /// Rolls left, by shelf of the shop, and the row of each shelf that has one.
    left: Vec<usize>,
    limit_row: Vec<Option<usize>>,
    /// Rolls that may still be carried over the end of each bay, and the row of the first end; none without a limit.
    open_left: Vec<usize>,
    open_row: usize,
    /// Price of each shelf of the shop.
    prices: Vec<i64>,
    lp: Lp,
    patterns: Vec<Pattern>,
    bound: i64,
    stage: Stage,
    /// The bay that rolls begin in that is priced next, how many were priced since the worths changed, and what came of it.
    begin: usize,
    priced: usize,
    round: Round,
    /// Whether the bound is wanted, not only patterns.
    proving: bool,
    /// Steps taken since it was set up.
    spent: u64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stage {
    Pivot,
    Price(Effort),
    Done,
}

/// What pricing has found since the worths changed.
#[derive(Clone, Copy, Debug)]
struct Round {
    /// The worst ratio of worth to price, as worth and price.
    worst: (i128, i64),
    /// Whether every pattern was looked at.
    searched: bool,
}

impl Round {
    const NEW: Self = Self { worst: (0, 1), searched: true };
}

impl Columns {
    /// For a part of the shop; with kinds by bay, within the limit of open rolls.
    pub(super) fn new(shop: &Shop, part: &Part, prices: &[i64]) -> Self {
        let by_bay = shop.kinds.iter().any(|k| k.bay > 0);
        let left: Vec<usize> = shop.shelves.iter().map(|s| s.count).collect();
        let mut columns = Self {
            demand: part.kinds.iter().map(|&k| shop.members[k].len()).collect(),
            kinds: part.kinds.clone(),
            shelves: part.shelves.iter().copied().filter(|&s| left[s] > 0).collect(),
            left,
            limit_row: vec![None; shop.shelves.len()],
            open_left: vec![shop.open_most; if by_bay { shop.bays - 1 } else { 0 }],
            open_row: 0,
            prices: prices.to_vec(),
            lp: Lp::new(&[], 0, 1.0),
            patterns: Vec::new(),
            bound: 0,
            stage: Stage::Pivot,
            begin: 0,
            priced: 0,
            round: Round::NEW,
            proving: true,
            spent: 0,
        };
        columns.begin(shop);
        columns
    }

    /// Sets up the programme of what is left, without columns.
    fn begin(&mut self, shop: &Shop) {
        let wanted: Vec<bool> = self.demand.iter().map(|n| *n > 0).collect();
        let mut rows = wanted.iter();
        self.kinds.retain(|_| rows.next() == Some(&true));
        self.demand.retain(|n| *n > 0);
        let total: usize = self.demand.iter().sum();
        let mut need: Vec<f64> = self.demand.iter().map(|&n| n as f64).collect();
        self.limit_row = vec![None; shop.shelves.len()];
        for &s in self.shelves.iter().filter(|&&s| shop.shelves[s].limited && self.left[s] < total) {
            self.limit_row[s] = Some(need.len());
            need.push(-(self.left[s] as f64));
        }
        // Where a limited shelf alone holds a kind, the stock may run out: lacking must then be dear.
        let no_end =
            |&k: &usize| (self.shelves.iter()).any(|&s| self.limit_row[s].is_none() && shop.holds(s, k));
        let lack = if self.kinds.iter().all(no_end) { 4.0 } else { 1000.0 };
        self.open_row = need.len();
        need.extend(self.open_left.iter().map(|&n| -(n as f64)));
        self.lp = Lp::new(&need, need.len() - self.demand.len(), lack);
        self.patterns = Vec::new();
        self.stage = Stage::Pivot;
        (self.bound, self.priced, self.round, self.spent) = (0, 0, Round::NEW, 0);
    }

    /// Adds a pattern, if it serves any row.
    pub(super) fn add(&mut self, shop: &Shop, pattern: Pattern) {
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
        rows.extend(self.carried(shop, &pattern).map(|b| (self.open_row + b, -1.0)));
        let column = Column { cost: self.prices[pattern.shelf] as f64 / self.dearest(), rows };
        if !self.lp.columns().contains(&column) {
            self.lp.add(column);
            self.patterns.push(pattern);
        }
    }

    /// The ends of bays that a pattern is carried over.
    fn carried(&self, shop: &Shop, pattern: &Pattern) -> std::ops::Range<usize> {
        let bays = || pattern.cuts.iter().flatten().map(|&k| shop.kinds[k].bay);
        let (first, last) = (bays().min().unwrap_or(0), bays().max().unwrap_or(0));
        if self.open_left.is_empty() { 0..0 } else { first..last }
    }

    fn dearest(&self) -> f64 {
        self.shelves.iter().map(|&s| self.prices[s]).max().unwrap_or(1).max(1) as f64
    }

    /// No cut list of the pieces left has a lower price.
    pub(super) fn bound(&self) -> i64 {
        self.bound
    }

    pub(super) fn is_done(&self) -> bool {
        self.stage == Stage::Done
    }

    /// Nothing is left to be cut.
    pub(super) fn is_cut(&self) -> bool {
        self.demand.iter().all(|&n| n == 0)
    }

    /// Patterns and how much of each is in the best mix.
    pub(super) fn mix(&self) -> Vec<(&Pattern, f64)> {
        self.patterns.iter().zip(self.lp.amounts()).collect()
    }

    /// Opens a roll and cuts it to a pattern, which loses what is not wanted. `None` when the limits do not allow it or
    /// nothing of it is wanted. `go_on` must follow.
    pub(super) fn fix(&mut self, shop: &Shop, mut pattern: Pattern) -> Option<Pattern> {
        let mut demand = self.demand.clone();
        self.trim(&mut pattern, &mut demand);
        let carried = self.carried(shop, &pattern);
        let allowed = self.left[pattern.shelf] > 0 && carried.clone().all(|b| self.open_left[b] > 0);
        if pattern.cuts.is_empty() || !allowed {
            return None;
        }
        self.demand = demand;
        self.left[pattern.shelf] -= 1;
        carried.for_each(|b| self.open_left[b] -= 1);
        Some(pattern)
    }

    /// Drops the pieces of a pattern that are not wanted and takes the others from the demand.
    fn trim(&self, pattern: &mut Pattern, demand: &mut [usize]) {
        for cut in &mut pattern.cuts {
            cut.retain(|k| {
                let Ok(r) = self.kinds.binary_search(k) else { return false };
                let wanted = demand[r] > 0;
                demand[r] -= usize::from(wanted);
                wanted
            });
        }
        pattern.cuts.retain(|c| !c.is_empty());
    }

    /// Makes the programme one of what is left after patterns were fixed, with the patterns that may still serve.
    pub(super) fn go_on(&mut self, shop: &Shop) {
        let mut serving: Vec<Pattern> = Vec::new();
        for (pattern, column) in self.patterns.iter().zip(self.lp.columns()) {
            if self.lp.dearness(column) < DEAR {
                let mut pattern = pattern.clone();
                self.trim(&mut pattern, &mut self.demand.clone());
                serving.push(pattern);
            }
        }
        self.shelves.retain(|&s| self.left[s] > 0);
        self.proving = false;
        self.begin(shop);
        for pattern in serving {
            let open = self.carried(shop, &pattern).all(|b| self.open_left[b] > 0);
            if open {
                self.add(shop, pattern);
            }
        }
    }

    /// One step; done once the bound reaches `known`, the price of a cut list at hand. Returns the steps it took.
    pub(super) fn step(&mut self, shop: &Shop, known: i64) -> u64 {
        if self.kinds.is_empty() || self.bound >= known || self.spent > MOST_STEPS {
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
        let steps = 1 + work / WORK_A_STEP;
        self.spent += steps;
        steps
    }

    /// Looks for patterns worth more than their price that begin in one bay, and takes the bound from how much the best are
    /// worth once every bay was looked at.
    fn price(&mut self, shop: &Shop, effort: Effort) -> u64 {
        let begins = self.open_left.len() + 1;
        let worths = self.whole_worths();
        let (work, found) = self.price_from(shop, self.begin, &worths, effort);
        self.begin = (self.begin + 1) % begins;
        self.priced += 1;
        if self.priced >= begins {
            self.raise_bound(&worths);
        }
        let before = self.patterns.len();
        found.into_iter().for_each(|p| self.add(shop, p));
        if self.patterns.len() > before {
            self.stage = Stage::Pivot;
            (self.priced, self.round) = (0, Round::NEW);
        } else if self.priced >= begins {
            let enough = self.round.searched || effort == FULL || !self.proving;
            self.stage = if enough { Stage::Done } else { Stage::Price(FULL) };
            (self.priced, self.round) = (0, Round::NEW);
        }
        work
    }

    /// Patterns that begin in one bay and are worth more than their price.
    fn price_from(
        &mut self,
        shop: &Shop,
        begin: usize,
        worths: &[i64],
        effort: Effort,
    ) -> (u64, Vec<Pattern>) {
        let mut work = 0;
        let mut found: Vec<Pattern> = Vec::new();
        for s in self.shelves.clone() {
            let base = self.whole_price(s) + self.limit_worth(self.limit_row[s]);
            let mut carrying = 0;
            for until in begin..=self.open_left.len() {
                if until > begin {
                    carrying += self.limit_worth(Some(self.open_row + until - 1));
                }
                let wanted = self.wanted(shop, s, (begin, until), worths);
                let used = |bay: usize| wanted.iter().any(|w| shop.kinds[w.kind].bay == bay);
                let whole_window = self.open_left.is_empty() || used(begin) && used(until);
                work += 20 + wanted.len() as u64;
                if !whole_window {
                    continue;
                }
                let floor = base + carrying + (1 << (SCALE_BITS - 23));
                let (best, others) = best_patterns(shop, s, wanted, floor, effort);
                work += others.iter().map(|c| c.work).sum::<u64>() + best.work;
                self.round.searched &= best.most <= floor.max(best.worth);
                let over = i128::from(best.most - (floor - self.whole_price(s)));
                let over = over + (1 << (SCALE_BITS - 23));
                if over * i128::from(self.round.worst.1) > self.round.worst.0 * i128::from(self.prices[s]) {
                    self.round.worst = (over, self.prices[s]);
                }
                found.extend(
                    [best].into_iter().chain(others).map(|c| c.pattern).filter(|p| !p.cuts.is_empty()),
                );
            }
        }
        (work, found)
    }

    /// What is wanted of a shelf from the bays of a window.
    fn wanted(
        &self,
        shop: &Shop,
        shelf: usize,
        (begin, until): (usize, usize),
        worths: &[i64],
    ) -> Vec<Wanted> {
        let near = |k: usize| self.open_left.is_empty() || (begin..=until).contains(&shop.kinds[k].bay);
        (self.kinds.iter().zip(worths).zip(&self.demand))
            .filter(|((k, w), n)| **n > 0 && **w > 0 && near(**k) && shop.holds(shelf, **k))
            .map(|((&kind, &worth), &most)| Wanted { kind, worth, most })
            .collect()
    }

    /// The price that the pieces cannot be cut for less than, rounded up to what prices can add up to.
    fn raise_bound(&mut self, worths: &[i64]) {
        let all: i128 = worths.iter().zip(&self.demand).map(|(&w, &n)| i128::from(w) * n as i128).sum();
        let shelves = self.shelves.iter().map(|&s| (self.limit_row[s], self.left[s]));
        let ends = self.open_left.iter().enumerate().map(|(b, &n)| (Some(self.open_row + b), n));
        let limits: i128 =
            shelves.chain(ends).map(|(r, n)| i128::from(self.limit_worth(r)) * n as i128).sum();
        let (worth, (worst, price)) = (all - limits, self.round.worst);
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

    /// What a limit one higher is worth, rounded up.
    #[allow(clippy::cast_possible_truncation)]
    fn limit_worth(&self, row: Option<usize>) -> i64 {
        row.map_or(0, |r| (self.lp.worth()[r].clamp(0.0, 1000.0) * self.scale()).ceil() as i64)
    }

    /// Price of a shelf in the same measure.
    #[allow(clippy::cast_possible_truncation)]
    fn whole_price(&self, shelf: usize) -> i64 {
        (self.prices[shelf] as f64 / self.dearest() * self.scale()).round() as i64
    }
}

/// The best pattern of a shelf, and others of pieces that the ones before leave.
fn best_patterns(
    shop: &Shop,
    shelf: usize,
    mut wanted: Vec<Wanted>,
    floor: i64,
    effort: Effort,
) -> (Filled, Vec<Filled>) {
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
