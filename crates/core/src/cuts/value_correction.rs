//! Sequential value correction: packings roll by roll, again and again, with worths that learn from the rests.
//!
//! In: worths to begin with. Out: a packing after every round. A piece that ended on a badly filled roll is worth more in
//! the next round, so it is cut earlier and in better company (Mukhacheva and others; Belov and Scheithauer's form). Every
//! round is the same on every machine. It proves nothing.

use super::packing::Packing;
use super::roll_by_roll::{Habit, RollByRoll, whole, worths_by_size};
use super::shop::Shop;

/// Rounds under way.
#[derive(Clone, Debug)]
pub(super) struct ValueCorrection {
    worths: Vec<f64>,
    whole: Vec<i64>,
    round: u32,
    rounds: u32,
    keep_limit: bool,
    rolls: RollByRoll,
}

impl ValueCorrection {
    /// So many rounds, with or without the limit of part-used rolls.
    pub(super) fn new(shop: &Shop, rounds: u32, keep_limit: bool) -> Self {
        // A little more than by size: long pieces are hard to place late.
        let longest = shop.kinds.iter().map(|k| k.need).max().unwrap_or(1).max(1) as f64;
        let by_size = worths_by_size(shop);
        let over = |(w, k): (f64, &super::shop::Kind)| w * (1.0 + 0.05 * k.need as f64 / longest);
        let worths: Vec<f64> = by_size.into_iter().zip(&shop.kinds).map(over).collect();
        Self { whole: whole(&worths), worths, round: 0, rounds, keep_limit, rolls: RollByRoll::new(shop) }
    }

    pub(super) fn is_done(&self) -> bool {
        self.round >= self.rounds
    }

    /// One roll more; a packing when the round is over. The work is in nodes.
    pub(super) fn step(&mut self, shop: &Shop) -> (u64, Option<Packing>) {
        let work = self.rolls.next_roll(shop, &self.whole, &self.habit(shop));
        if !self.rolls.is_done() {
            return (work, None);
        }
        let rolls = std::mem::replace(&mut self.rolls, RollByRoll::new(shop));
        let mut packing = rolls.into_packing();
        self.learn(shop, &packing);
        packing.take_cheapest_rolls(shop);
        self.round += 1;
        (work, Some(packing))
    }

    /// Rounds differ in how content they are with a rest and how far they look ahead.
    fn habit(&self, shop: &Shop) -> Habit {
        let longest = shop.shelves.iter().map(|s| s.length).max().unwrap_or(0);
        let contents = [longest / 100, longest / 400, 0, longest / 40];
        let carryings = [4, 0, 12, 1, 30];
        let round = self.round as usize;
        Habit {
            keep_limit: self.keep_limit,
            by_bay: self.keep_limit,
            content: contents[round % contents.len()],
            carrying: carryings[round % carryings.len()],
            nodes: 600,
        }
    }

    fn learn(&mut self, shop: &Shop, packing: &Packing) {
        let by_size = worths_by_size(shop);
        for roll in &packing.rolls {
            let length = shop.shelves[roll.shelf].room as f64;
            let used = length - roll.rest(shop) as f64;
            let kinds = || roll.items().filter_map(|i| shop.kind_of[i]);
            let area: f64 = kinds().map(|k| by_size[k]).sum();
            let whole: f64 = kinds().map(|k| shop.kinds[k].need as f64).sum::<f64>().max(1.0);
            // Worth of a piece: its share of what the roll cost.
            let share = (length / used.max(1.0)) * (used / whole).clamp(0.1, 1.0);
            if area > 0.0 {
                kinds().for_each(|k| {
                    let over = 1.0 + 0.03 * shop.kinds[k].need as f64 / length;
                    self.worths[k] = 0.6 * self.worths[k] + 0.4 * by_size[k] * over * share.clamp(1.0, 4.0);
                });
            }
        }
        self.whole = whole(&self.worths);
    }
}
