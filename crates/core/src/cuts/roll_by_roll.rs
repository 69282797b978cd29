//! One roll after the other: the next roll that holds the piece most pressing, filled as well as it can be.
//!
//! In: pieces waiting, rolls already cut, what a piece of each kind is held to be worth. Out: rolls until nothing waits,
//! one at a time. With a limit of part-used rolls the most pressing piece is the longest of the first bay that waits, and
//! the roll takes pieces only from bays that it can be carried to without passing the limit; a nearer bay is preferred if
//! it fills the roll as well. It never looks back: that is for what calls it.

use super::knapsack::Effort;
use super::levels::{self, Wanted};
use super::packing::{Packing, Rolled};
use super::shop::Shop;
use crate::plan::Mm;

/// How rolls are filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Habit {
    /// Whether rolls part-used are limited.
    pub(super) keep_limit: bool,
    /// Whether the most pressing piece is of the first bay, rather than the longest of all.
    pub(super) by_bay: bool,
    /// A rest no longer than this is as good as none, mm.
    pub(super) content: Mm,
    /// What a bay that a roll is carried on takes off its worth, in thousandths.
    pub(super) carrying: i64,
    /// How hard to look, in nodes.
    pub(super) nodes: u64,
}

/// Rolls cut and pieces waiting.
#[derive(Clone, Debug)]
pub(super) struct RollByRoll {
    /// For each kind the items waiting, the last of the laying order first.
    waiting: Vec<Vec<usize>>,
    /// Rolls part-used at the end of each bay.
    open: Vec<usize>,
    /// Rolls left, by shelf.
    left: Vec<usize>,
    packing: Packing,
}

impl RollByRoll {
    /// Everything waits.
    pub(super) fn new(shop: &Shop) -> Self {
        let items: Vec<usize> = (0..shop.kind_of.len()).collect();
        Self::resume(shop, Vec::new(), &items)
    }

    /// Some rolls are cut, some items wait.
    pub(super) fn resume(shop: &Shop, rolls: Vec<Rolled>, items: &[usize]) -> Self {
        let mut waiting = vec![Vec::new(); shop.kinds.len()];
        let mut sorted = items.to_vec();
        sorted.sort_unstable_by_key(|&i| std::cmp::Reverse(i));
        sorted
            .into_iter()
            .filter_map(|i| shop.kind_of[i].map(|k| (i, k)))
            .for_each(|(i, k)| waiting[k].push(i));
        let mut left: Vec<usize> = shop.shelves.iter().map(|s| s.count).collect();
        rolls.iter().for_each(|r| left[r.shelf] = left[r.shelf].saturating_sub(1));
        let open = super::packing::open_at_ends(shop, &rolls);
        Self { waiting, open, left, packing: Packing { rolls, uncut: Vec::new() } }
    }

    pub(super) fn is_done(&self) -> bool {
        self.waiting.iter().all(Vec::is_empty)
    }

    /// The rolls cut so far.
    pub(super) fn into_packing(self) -> Packing {
        self.packing
    }

    /// Cuts one roll more; what work it took.
    pub(super) fn next_roll(&mut self, shop: &Shop, worths: &[i64], habit: &Habit) -> u64 {
        let Some((leader, bay)) = self.most_pressing(shop, habit) else { return 0 };
        let last = self.last_bay(shop, bay, habit);
        let from = self.first_bay(shop, bay, habit);
        let mut best: Option<Candidate> = None;
        let mut work = 10;
        for shelf in (0..shop.shelves.len()).filter(|&s| self.left[s] > 0 && shop.holds(s, leader)) {
            let mut ahead = if habit.by_bay { 0 } else { last };
            loop {
                let until = (bay + ahead).min(last);
                let candidate = self.candidate(shop, (shelf, leader), (from, until), worths, habit);
                work += candidate.work + 200;
                let content = candidate.rest <= habit.content;
                if best.as_ref().is_none_or(|b| candidate.beats(b)) {
                    best = Some(candidate);
                }
                if content || until == last {
                    break;
                }
                ahead = (ahead * 3).div_ceil(2).max(ahead + 1);
            }
        }
        match best {
            Some(candidate) => self.take(shop, &candidate.cuts, candidate.shelf, candidate.window),
            None => self.packing.uncut.extend(self.waiting[leader].pop()),
        }
        work
    }

    /// The kind that must be cut next and the first bay that waits.
    fn most_pressing(&self, shop: &Shop, habit: &Habit) -> Option<(usize, usize)> {
        let waits = |&k: &usize| self.waiting[k].last().map(|&i| (shop.bay_of[i], k));
        let all = || (0..self.waiting.len()).filter_map(|k| waits(&k));
        let first = all().min()?;
        let longest = all().min_by_key(|w| w.1)?;
        let (bay, leader) = if habit.by_bay { first } else { longest };
        Some((leader, bay))
    }

    /// The last bay that a roll begun in `bay` can be carried to.
    fn last_bay(&self, shop: &Shop, bay: usize, habit: &Habit) -> usize {
        let end = shop.bays.saturating_sub(1);
        if !habit.keep_limit {
            return end;
        }
        (bay..end).find(|&b| self.open[b] >= shop.open_most).unwrap_or(end)
    }

    /// The first bay that a roll needed in `bay` may be begun in.
    fn first_bay(&self, shop: &Shop, bay: usize, habit: &Habit) -> usize {
        if !habit.keep_limit {
            return 0;
        }
        (0..bay).rev().find(|&b| self.open[b] >= shop.open_most).map_or(0, |b| b + 1)
    }

    /// The leader with what fills its roll best from the bays up to `until`.
    fn candidate(
        &self,
        shop: &Shop,
        (shelf, leader): (usize, usize),
        (from, until): (usize, usize),
        worths: &[i64],
        habit: &Habit,
    ) -> Candidate {
        let effort = Effort { nodes: habit.nodes, cells: 0 };
        let mut wanted: Vec<Wanted> = Vec::new();
        for (kind, items) in self.waiting.iter().enumerate().filter(|(k, _)| shop.holds(shelf, *k)) {
            let near = self.near(shop, items, (from, until)).len();
            let most = near - usize::from(kind == leader);
            if most > 0 {
                wanted.push(Wanted { kind, worth: worths[kind].max(1), most });
            }
        }
        let mut cuts = vec![vec![leader]];
        let mut worth = worths[leader].max(1);
        let mut work = wanted.len() as u64;
        if shop.kinds[leader].slit {
            let beside = levels::strips_beside(shop, shelf, leader, &wanted, effort);
            cuts = beside.pattern.cuts;
            for k in &cuts[0][1..] {
                wanted.iter_mut().filter(|w| w.kind == *k).for_each(|w| w.most -= 1);
            }
            worth += beside.worth;
            work += beside.work;
        }
        let room = shop.shelves[shelf].room - shop.kinds[leader].need;
        let filled = levels::fill_within(shop, shelf, room, &wanted, effort);
        cuts.extend(filled.pattern.cuts);
        let used: Mm = cuts.iter().map(|c| levels::need_of(shop, c)).sum();
        let carried = if habit.by_bay { (until - from) as i64 * habit.carrying } else { 0 };
        Candidate {
            shelf,
            rest: shop.shelves[shelf].room - used,
            worth: i128::from(worth + filled.worth) * i128::from((1000 - carried).max(1)),
            price: shop.shelves[shelf].price,
            window: (from, until),
            cuts,
            work: work + filled.work,
        }
    }

    /// Where the items of the bays of a window stand among those waiting, the last of the laying order first.
    fn near(&self, shop: &Shop, items: &[usize], (from, until): (usize, usize)) -> std::ops::Range<usize> {
        items.partition_point(|&i| shop.bay_of[i] > until)..items.partition_point(|&i| shop.bay_of[i] >= from)
    }

    /// Takes the first items of the window that wait of each kind.
    fn take(&mut self, shop: &Shop, cuts: &[Vec<usize>], shelf: usize, window: (usize, usize)) {
        let mut roll = Rolled { shelf, cuts: Vec::new() };
        for cut in cuts {
            let mut items = Vec::new();
            for &k in cut {
                let end = self.near(shop, &self.waiting[k], window).end;
                items.push(self.waiting[k].remove(end - 1));
            }
            roll.cuts.push(items);
        }
        let (first, last) = roll.span(shop);
        debug_assert!(window.0 <= first && last <= window.1, "a roll is carried further than it may");
        self.open[first..last].iter_mut().for_each(|n| *n += 1);
        self.left[shelf] -= 1;
        self.packing.rolls.push(roll);
    }
}

/// A way to cut the next roll.
struct Candidate {
    shelf: usize,
    cuts: Vec<Vec<usize>>,
    window: (usize, usize),
    rest: Mm,
    worth: i128,
    price: i64,
    work: u64,
}

impl Candidate {
    /// More worth for the price.
    fn beats(&self, other: &Self) -> bool {
        self.worth * i128::from(other.price) > other.worth * i128::from(self.price)
    }
}

/// What a piece of each kind is worth by its size, the greatest about a million.
#[allow(clippy::cast_possible_truncation)]
pub(super) fn worths_by_size(shop: &Shop) -> Vec<f64> {
    let size = |k: &super::shop::Kind| k.need as f64 * if k.slit { k.across as f64 } else { k.width as f64 };
    let greatest = shop.kinds.iter().map(size).fold(1.0, f64::max);
    shop.kinds.iter().map(|k| size(k) / greatest * 1_000_000.0).collect()
}

/// Rounded to whole numbers, 1 or more.
#[allow(clippy::cast_possible_truncation)]
pub(super) fn whole(worths: &[f64]) -> Vec<i64> {
    worths.iter().map(|w| w.clamp(1.0, 1e12).round() as i64).collect()
}
