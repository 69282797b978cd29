//! Filling one roll: which cuts across it, and what lies side by side in each.
//!
//! In: a shelf, the room left on its roll, the kinds wanted with their worth. Out: a pattern (a row of cuts, each one whole
//! piece or slit ones side by side), its worth, and a worth that no pattern passes. Slit pieces make it two-stage: for each
//! length the best strips side by side, then the best row of cuts. A cut is as long as its longest strip; the rest beside
//! shorter ones is trim. It knows nothing of bays.

use super::knapsack::{self, Effort, Thing};
use super::shop::Shop;
use crate::plan::Mm;

/// A kind that may go on the roll.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Wanted {
    pub(super) kind: usize,
    /// What a piece of it is worth.
    pub(super) worth: i64,
    /// How many are wanted.
    pub(super) most: usize,
}

/// What one roll is cut into.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Pattern {
    pub(super) shelf: usize,
    /// For each cut its kinds side by side.
    pub(super) cuts: Vec<Vec<usize>>,
}

/// A filled roll.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Filled {
    pub(super) pattern: Pattern,
    /// Its worth, or the worth to beat when no pattern beats it (the pattern is then empty).
    pub(super) worth: i64,
    /// No pattern is worth more.
    pub(super) most: i64,
    pub(super) work: u64,
}

impl Pattern {
    /// Its kinds and how many of each, by kind.
    pub(super) fn counts(&self) -> Vec<(usize, usize)> {
        let mut kinds: Vec<usize> = self.cuts.iter().flatten().copied().collect();
        kinds.sort_unstable();
        let mut counts: Vec<(usize, usize)> = Vec::new();
        for k in kinds {
            match counts.last_mut() {
                Some((last, n)) if *last == k => *n += 1,
                _ => counts.push((k, 1)),
            }
        }
        counts
    }
}

/// Length of a cut with its kerf, mm.
pub(super) fn need_of(shop: &Shop, cut: &[usize]) -> Mm {
    cut.iter().map(|&k| shop.kinds[k].need).max().unwrap_or(0)
}

/// The best pattern worth more than `floor`. Of slit pieces it may hold more than are wanted: strips of one length are
/// chosen again for every cut. So `most` holds for every pattern that keeps to what is wanted.
pub(super) fn fill(shop: &Shop, shelf: usize, wanted: &[Wanted], floor: i64, effort: Effort) -> Filled {
    let mut cuts = Cuts::default();
    cuts.offer_whole(shop, shelf, wanted);
    cuts.offer_strips(shop, shelf, wanted, effort);
    let room = shop.shelves[shelf].room;
    let choice = knapsack::best(&cuts.things, room, floor, effort);
    let slack = cuts.slack(room);
    let mut pattern = Pattern { shelf, cuts: Vec::new() };
    for &(name, n) in &choice.things {
        pattern.cuts.extend(std::iter::repeat_n(cuts.kinds[name].clone(), n));
    }
    Filled { pattern, worth: choice.value, most: choice.most + slack, work: cuts.work + choice.work }
}

/// A good pattern that keeps to what is wanted, in the room given.
pub(super) fn fill_within(shop: &Shop, shelf: usize, room: Mm, wanted: &[Wanted], effort: Effort) -> Filled {
    let mut left = wanted.to_vec();
    let mut room = room;
    let mut filled = Filled { pattern: Pattern { shelf, cuts: Vec::new() }, ..Filled::default() };
    loop {
        let mut cuts = Cuts::default();
        cuts.offer_whole(shop, shelf, &left);
        let whole = cuts.things.len();
        cuts.offer_strips(shop, shelf, &left, effort);
        for thing in &mut cuts.things[whole..] {
            thing.most = times_within(&cuts.kinds[thing.name], &left);
        }
        let choice = knapsack::best(&cuts.things, room, 0, effort);
        filled.work += cuts.work + choice.work;
        let mut took = false;
        for &(name, n) in &choice.things {
            let cut = &cuts.kinds[name];
            for _ in 0..n {
                if times_within(cut, &left) == 0 {
                    break;
                }
                for k in cut {
                    left.iter_mut().filter(|w| w.kind == *k).for_each(|w| {
                        w.most -= 1;
                        filled.worth += w.worth;
                    });
                }
                room -= need_of(shop, cut);
                filled.pattern.cuts.push(cut.clone());
                took = true;
            }
        }
        // Without strips the first choice is the best; with them, what was chosen twice leaves room.
        if !took || cuts.things.len() == whole {
            return filled;
        }
    }
}

/// The best strips to lie beside `beside` on one cut as long as it, keeping to what is wanted.
pub(super) fn strips_beside(
    shop: &Shop,
    shelf: usize,
    beside: usize,
    wanted: &[Wanted],
    effort: Effort,
) -> Filled {
    let (length, across) = (shop.kinds[beside].need, shop.kinds[beside].across);
    let things: Vec<Thing> = wanted
        .iter()
        .filter(|w| shop.kinds[w.kind].slit && shop.kinds[w.kind].need <= length && shop.holds(shelf, w.kind))
        .map(|w| Thing { name: w.kind, size: shop.kinds[w.kind].across, value: w.worth, most: w.most })
        .collect();
    let choice = knapsack::best(&things, shop.shelves[shelf].breadth - across, 0, effort);
    let mut cut = vec![beside];
    choice.things.iter().for_each(|&(k, n)| cut.extend(std::iter::repeat_n(k, n)));
    Filled {
        pattern: Pattern { shelf, cuts: vec![cut] },
        worth: choice.value,
        most: choice.most,
        work: choice.work,
    }
}

/// How often a cut can be made of what is left.
fn times_within(cut: &[usize], left: &[Wanted]) -> usize {
    let most = |k: usize| left.iter().find(|w| w.kind == k).map_or(0, |w| w.most);
    let uses = |k: usize| cut.iter().filter(|c| **c == k).count();
    cut.iter().map(|&k| most(k) / uses(k)).min().unwrap_or(0)
}

/// The cuts to choose from.
#[derive(Default)]
struct Cuts {
    things: Vec<Thing>,
    /// For each thing its kinds side by side.
    kinds: Vec<Vec<usize>>,
    /// By how much the worth of a cut may be short of the best of its length.
    short: i64,
    /// The shortest there could be, mm.
    least: Mm,
    work: u64,
}

impl Cuts {
    fn offer(&mut self, size: Mm, value: i64, most: usize, kinds: Vec<usize>) {
        self.things.push(Thing { name: self.kinds.len(), size, value, most });
        self.kinds.push(kinds);
    }

    fn offer_whole(&mut self, shop: &Shop, shelf: usize, wanted: &[Wanted]) {
        for w in wanted.iter().filter(|w| !shop.kinds[w.kind].slit && shop.holds(shelf, w.kind)) {
            self.offer(shop.kinds[w.kind].need, w.worth, w.most, vec![w.kind]);
        }
    }

    /// For each length, the best strips no longer than it.
    fn offer_strips(&mut self, shop: &Shop, shelf: usize, wanted: &[Wanted], effort: Effort) {
        let mut strips: Vec<&Wanted> = wanted
            .iter()
            .filter(|w| w.most > 0 && w.worth > 0 && shop.kinds[w.kind].slit && shop.holds(shelf, w.kind))
            .collect();
        strips.sort_by_key(|w| (shop.kinds[w.kind].need, w.kind));
        // No row of cuts that keeps to what is wanted has more cuts than pieces.
        let pieces = strips.iter().map(|w| w.most).fold(0, usize::saturating_add);
        self.least = strips.first().map_or(1, |w| shop.kinds[w.kind].need);
        let mut things: Vec<Thing> = Vec::new();
        let mut best = 0;
        for (i, w) in strips.iter().enumerate() {
            let kind = &shop.kinds[w.kind];
            things.push(Thing { name: w.kind, size: kind.across, value: w.worth, most: w.most });
            if strips.get(i + 1).is_some_and(|next| shop.kinds[next.kind].need == kind.need) {
                continue;
            }
            let choice = knapsack::best(&things, shop.shelves[shelf].breadth, best, effort);
            self.work += choice.work;
            self.short = self.short.max(choice.most - choice.value);
            let kinds: Vec<usize> =
                choice.things.iter().flat_map(|&(k, n)| std::iter::repeat_n(k, n)).collect();
            if !kinds.is_empty() {
                best = choice.value;
                self.offer(kind.need, choice.value, pieces, kinds);
            }
        }
    }

    /// What the worth of any row of cuts may be short by, because the strips of a cut were not searched to the end.
    fn slack(&self, room: Mm) -> i64 {
        if self.short == 0 {
            return 0;
        }
        let least = self.things.iter().map(|t| t.size).fold(self.least, Mm::min).max(1);
        (room / least).saturating_mul(self.short)
    }
}
