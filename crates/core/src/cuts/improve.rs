//! Improving: a few rolls are taken back and cut again, and the better way is kept.
//!
//! In: a packing. Out, move by move: packings of better rank. The rolls taken back lie near each other in the laying
//! order, their pieces are cut again roll by roll with worths a little astray, and what comes out is kept if it is as good.
//! While the price may still fall, good means rests gathered on few rolls, so that one roll may empty; after that it is
//! the rank itself. What goes astray follows a fixed sequence of numbers: the same on every machine.

use super::packing::{Packing, Rank, Rolled};
use super::roll_by_roll::{Habit, RollByRoll, whole, worths_by_size};
use super::shop::Shop;

/// What is held to be better: fewer uncut, within the limit, cheaper, then rests gathered or the rank.
type Worth = (usize, usize, i64, i128, Rank);

/// Improving under way.
#[derive(Clone, Debug)]
pub(super) struct Improve {
    current: Packing,
    worth: Worth,
    /// Whether rests are gathered; else the rank decides.
    gather: bool,
    moves: u64,
    left: u64,
    sequence: Sequence,
    by_size: Vec<f64>,
}

impl Improve {
    /// So many moves from a packing.
    pub(super) fn new(shop: &Shop, start: Packing, gather: bool, moves: u64, seed: u64) -> Self {
        let worth = worth(shop, &start, gather);
        let sequence = Sequence(0x9E37_79B9_7F4A_7C15 ^ (seed << 7 | 1));
        Self { current: start, worth, gather, moves, left: moves, sequence, by_size: worths_by_size(shop) }
    }

    pub(super) fn is_done(&self) -> bool {
        self.left == 0 || self.current.rolls.is_empty()
    }

    /// One move; the packing, when it is better than all before. The work is in nodes.
    pub(super) fn step(&mut self, shop: &Shop) -> (u64, Option<Packing>) {
        self.left -= 1;
        let taken = self.rolls_to_take();
        let mut kept: Vec<Rolled> = Vec::with_capacity(self.current.rolls.len());
        let mut items: Vec<usize> = self.current.uncut.clone();
        for (r, roll) in self.current.rolls.iter().enumerate() {
            if taken.contains(&r) {
                items.extend(roll.items());
            } else {
                kept.push(roll.clone());
            }
        }
        let mut work = (shop.kind_of.len() * 2) as u64;
        let habit = self.habit(shop);
        let worths = self.worths();
        let mut again = RollByRoll::resume(shop, kept, &items);
        while !again.is_done() {
            work += again.next_roll(shop, &worths, &habit);
        }
        let mut packing = again.into_packing();
        packing.take_cheapest_rolls(shop);
        let worth = worth(shop, &packing, self.gather);
        let better = worth < self.worth;
        if worth <= self.allowed() {
            self.current = packing;
            self.worth = worth;
            return (work, better.then(|| self.current.clone()));
        }
        (work, None)
    }

    /// The worst that is taken in: while rests are gathered, a little worse at first, less and less so.
    fn allowed(&self) -> Worth {
        let mut allowed = self.worth;
        if self.gather {
            let share = i128::from(self.left) * 20 / i128::from(self.moves.max(1));
            allowed.3 += allowed.3.abs() * share / 10_000;
            allowed.4.scrap = i128::MAX;
        }
        allowed
    }

    /// A roll and some that are needed about the same time.
    fn rolls_to_take(&mut self) -> Vec<usize> {
        let count = self.current.rolls.len();
        let seed = self.sequence.below(count);
        let mut taken = vec![seed];
        let more = 1 + self.sequence.below(4).min(self.sequence.below(4));
        // Rolls stand about in the order they are first needed, so near in number is near in time.
        let reach = 4 + self.sequence.below(count.min(24));
        for _ in 0..more {
            let low = seed.saturating_sub(reach);
            let high = (seed + reach).min(count - 1);
            let near = low + self.sequence.below(high - low + 1);
            if !taken.contains(&near) {
                taken.push(near);
            }
        }
        taken
    }

    fn habit(&mut self, shop: &Shop) -> Habit {
        let longest = shop.shelves.iter().map(|s| s.length).max().unwrap_or(0);
        Habit {
            keep_limit: shop.limits_open(),
            by_bay: shop.limits_open() && self.sequence.below(2) == 0,
            content: [0, longest / 400, longest / 50][self.sequence.below(3)],
            carrying: [0, 1, 5, 20][self.sequence.below(4)],
            nodes: 300,
        }
    }

    /// Worths by size, each astray by up to a fifth.
    fn worths(&mut self) -> Vec<i64> {
        let astray = [0, 20, 100, 400][self.sequence.below(4)];
        let sequence = &mut self.sequence;
        let worths: Vec<f64> =
            self.by_size.iter().map(|w| w * (1.0 + sequence.below(astray + 1) as f64 / 1000.0)).collect();
        whole(&worths)
    }
}

fn worth(shop: &Shop, packing: &Packing, gather: bool) -> Worth {
    let rank = packing.rank(shop);
    let squares = |r: &Rolled| {
        let rest = i128::from(r.rest(shop));
        rest * rest * i128::from(shop.shelves[r.shelf].width)
    };
    let gathered = if gather { -packing.rolls.iter().map(squares).sum::<i128>() } else { 0 };
    (rank.uncut, rank.over, rank.price, gathered, rank)
}

/// A fixed sequence of numbers that looks like chance (xorshift, Marsaglia 2003).
#[derive(Clone, Copy, Debug)]
struct Sequence(u64);

impl Sequence {
    /// The next number below `n`; 0 for none.
    #[allow(clippy::cast_possible_truncation)]
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        // The rest is taken before the number is made small: a usize of WebAssembly holds only half of it.
        if n == 0 { 0 } else { ((self.0 >> 11) % n as u64) as usize }
    }
}
