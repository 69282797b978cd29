//! Diving: from the mix of part-patterns to whole rolls, a few at a time.
//!
//! In: a solved programme of columns. Out, step by step: patterns for whole rolls that cut everything. The surest patterns of the
//! mix are fixed, what is left is solved again with new patterns of its own, and so on until nothing is left. Dives differ
//! in what they fix first. It gives up as soon as what is fixed and the bound of what is left cannot be cheaper than what
//! is known.

use super::columns::Columns;
use super::levels::Pattern;
use super::packing::{Packing, Rolled};
use super::shop::Shop;

/// A dive under way.
#[derive(Clone, Debug)]
pub(super) struct Dive {
    /// Which dive it is: what it fixes first.
    number: usize,
    depth: usize,
    fixed: Vec<Pattern>,
    columns: Columns,
}

/// How a step of a dive ended.
#[derive(Clone, Debug)]
pub(super) enum Dived {
    On,
    GaveUp,
    Found(Vec<Pattern>),
}

impl Dive {
    /// From a solved programme.
    pub(super) fn new(number: usize, columns: &Columns) -> Self {
        Self { number, depth: 0, fixed: Vec::new(), columns: columns.clone() }
    }

    /// One step on; `known` is the price to beat. Returns the steps it took.
    pub(super) fn step(&mut self, shop: &Shop, known: i64) -> (u64, Dived) {
        if !self.columns.is_done() {
            return (self.columns.step(shop, i64::MAX), Dived::On);
        }
        let price = |p: &Pattern| shop.shelves[p.shelf].price;
        let spent: i64 = self.fixed.iter().map(price).fold(0, i64::saturating_add);
        let too_dear = self.depth > 0 && spent.saturating_add(self.columns.bound()) >= known;
        if too_dear {
            return (1, Dived::GaveUp);
        }
        let before = self.fixed.len();
        for pattern in self.surest() {
            self.fixed.extend(self.columns.fix(shop, pattern));
        }
        self.depth += 1;
        if self.columns.is_cut() {
            return (1, Dived::Found(std::mem::take(&mut self.fixed)));
        }
        if self.fixed.len() == before {
            return (1, Dived::GaveUp);
        }
        self.columns.go_on(shop);
        (1 + self.columns.mix().len() as u64 / 50, Dived::On)
    }

    /// Patterns to fix: those that are whole in the mix, else the one nearest to it.
    fn surest(&self) -> Vec<Pattern> {
        let mix = self.columns.mix();
        let mut sure: Vec<Pattern> = Vec::new();
        for (pattern, amount) in &mix {
            let mut amount = *amount + 1e-4;
            while amount >= 1.0 {
                sure.push((*pattern).clone());
                amount -= 1.0;
            }
        }
        if !sure.is_empty() {
            return sure;
        }
        let mut parts: Vec<(usize, f64)> =
            mix.iter().map(|m| m.1).enumerate().filter(|m| m.1 > 1e-5).collect();
        parts.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        // Each dive goes another way at one depth: the second best there, or the third.
        let turn = self.number > 0 && self.depth == (self.number - 1) / 2;
        let first = if turn { 1 + (self.number - 1) % 2 } else { 0 };
        let first = first.min(parts.len().saturating_sub(1));
        let Some(&(best, _)) = parts.get(first) else { return sure };
        sure.push(mix[best].0.clone());
        // With many pieces left, others that are nearly whole go with it.
        let others = parts.iter().filter(|p| p.0 != best && p.1 > 0.8).map(|p| mix[p.0].0.clone());
        sure.extend(others);
        sure
    }
}

/// The packing that patterns make of the kinds of a part, or of all kinds: items in laying order; what no pattern holds is
/// uncut.
pub(super) fn of_patterns(shop: &Shop, patterns: &[Pattern], part: Option<usize>) -> Packing {
    let mut waiting: Vec<Vec<usize>> =
        shop.members.iter().map(|m| m.iter().rev().copied().collect()).collect();
    let mut packing = Packing::default();
    for pattern in patterns {
        let mut roll = Rolled { shelf: pattern.shelf, cuts: Vec::new() };
        for cut in &pattern.cuts {
            let items: Vec<usize> = cut.iter().filter_map(|&k| waiting[k].pop()).collect();
            if !items.is_empty() {
                roll.cuts.push(items);
            }
        }
        if !roll.cuts.is_empty() {
            packing.rolls.push(roll);
        }
    }
    let left = waiting.iter().enumerate().filter(|(k, _)| part.is_none_or(|p| shop.part_of[*k] == p));
    packing.uncut = left.flat_map(|(_, items)| items.iter().copied()).collect();
    packing.take_cheapest_rolls(shop);
    packing
}
