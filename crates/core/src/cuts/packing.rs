//! A packing: which items come from which roll, and how good that is.
//!
//! In: rolls, each a row of cuts, each cut some items side by side. Out: its rank against other packings (fewest uncut,
//! within the limit of open rolls, least price, least scrap, fewest offcuts, fewest open), and the cut list that people
//! read: rolls by first need, cuts in laying order. Ranks are whole numbers, so the order is the same on every machine.

use super::shop::Shop;
use super::{Cut, CutList, RollCuts};
use crate::plan::Mm;

/// A roll and what is cut from it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Rolled {
    pub(super) shelf: usize,
    /// For each cut, its items side by side.
    pub(super) cuts: Vec<Vec<usize>>,
}

/// Rolls and the items left over.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Packing {
    pub(super) rolls: Vec<Rolled>,
    /// Items that a roll would hold but the stock ran out for.
    pub(super) uncut: Vec<usize>,
}

/// How good a packing is: less is better, the first difference decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Rank {
    pub(super) uncut: usize,
    /// Rolls part-used beyond the limit.
    pub(super) over: usize,
    pub(super) price: i64,
    /// Area opened that is neither piece nor kept offcut, mm².
    pub(super) scrap: i128,
    /// Offcuts kept.
    pub(super) kept: usize,
    /// Most rolls part-used at the end of any bay.
    pub(super) open: usize,
}

impl Rolled {
    /// Length of each cut: that of its longest piece, mm.
    fn cut_length(&self, shop: &Shop, cut: usize) -> Mm {
        let length = |&i: &usize| shop.kind_of[i].map_or(0, |k| shop.kinds[k].length);
        self.cuts[cut].iter().map(length).max().unwrap_or(0)
    }

    /// What is left at the end, mm.
    pub(super) fn rest(&self, shop: &Shop) -> Mm {
        let used: Mm = (0..self.cuts.len()).map(|c| self.cut_length(shop, c) + shop.kerf).sum();
        (shop.shelves[self.shelf].length - used).max(0)
    }

    /// The first and the last bay that it is needed in.
    pub(super) fn span(&self, shop: &Shop) -> (usize, usize) {
        let bays = || self.cuts.iter().flatten().map(|&i| shop.bay_of[i]);
        (bays().min().unwrap_or(0), bays().max().unwrap_or(0))
    }

    /// Every item cut from it.
    pub(super) fn items(&self) -> impl Iterator<Item = usize> + '_ {
        self.cuts.iter().flatten().copied()
    }
}

/// Whether a rest is long enough to keep.
pub(super) fn is_kept(shop: &Shop, rest: Mm) -> bool {
    rest > 0 && rest >= shop.least_offcut
}

/// Scrap of one roll, mm²: all that is neither piece nor kept offcut.
pub(super) fn scrap(shop: &Shop, roll: &Rolled) -> i128 {
    let shelf = &shop.shelves[roll.shelf];
    let area = |k: usize| i128::from(shop.kinds[k].length) * i128::from(shop.kinds[k].width);
    let pieces: i128 = roll.items().filter_map(|i| shop.kind_of[i]).map(area).sum();
    let rest = roll.rest(shop);
    let kept = if is_kept(shop, rest) { i128::from(rest) * i128::from(shelf.width) } else { 0 };
    i128::from(shelf.length) * i128::from(shelf.width) - pieces - kept
}

/// How many rolls are part-used at the end of each bay.
pub(super) fn open_at_ends(shop: &Shop, rolls: &[Rolled]) -> Vec<usize> {
    let mut open = vec![0; shop.bays];
    for roll in rolls {
        let (first, last) = roll.span(shop);
        open[first..last].iter_mut().for_each(|n| *n += 1);
    }
    open
}

impl Packing {
    pub(super) fn price(&self, shop: &Shop) -> i64 {
        self.rolls.iter().map(|r| shop.shelves[r.shelf].price).fold(0, i64::saturating_add)
    }

    pub(super) fn rank(&self, shop: &Shop) -> Rank {
        let open = open_at_ends(shop, &self.rolls).into_iter().max().unwrap_or(0);
        Rank {
            uncut: self.uncut.len(),
            over: open.saturating_sub(shop.open_most),
            price: self.price(shop),
            scrap: self.rolls.iter().map(|r| scrap(shop, r)).sum(),
            kept: self.rolls.iter().filter(|r| is_kept(shop, r.rest(shop))).count(),
            open,
        }
    }

    /// Its rolls and left-over items that belong to one part.
    pub(super) fn of_part(&self, shop: &Shop, part: usize) -> Self {
        let belongs = |i: usize| shop.kind_of[i].is_some_and(|k| shop.part_of[k] == part);
        Self {
            rolls: self.rolls.iter().filter(|r| r.items().next().is_some_and(belongs)).cloned().collect(),
            uncut: self.uncut.iter().copied().filter(|&i| belongs(i)).collect(),
        }
    }

    /// Moves each roll's cuts to the cheapest roll in stock that holds them.
    pub(super) fn take_cheapest_rolls(&mut self, shop: &Shop) {
        let mut left: Vec<usize> = shop.shelves.iter().map(|s| s.count).collect();
        self.rolls.iter().for_each(|r| left[r.shelf] -= 1);
        for roll in &mut self.rolls {
            let used = shop.shelves[roll.shelf].length - roll.rest(shop);
            let width = |s: usize| shop.shelves[s].width;
            let holds = |s: usize, i: usize| shop.kind_of[i].is_some_and(|k| shop.holds(s, k));
            let cheaper = |&s: &usize| {
                let (new, old) = (&shop.shelves[s], &shop.shelves[roll.shelf]);
                left[s] > 0
                    && (new.price, new.length) < (old.price, old.length)
                    && new.length >= used
                    && (width(s) >= width(roll.shelf) || roll.cuts.iter().all(|c| c.len() == 1))
                    && roll.items().all(|i| holds(s, i))
            };
            let best = (0..shop.shelves.len())
                .filter(cheaper)
                .min_by_key(|&s| (shop.shelves[s].price, shop.shelves[s].length));
            if let Some(s) = best {
                left[roll.shelf] += 1;
                left[s] -= 1;
                roll.shelf = s;
            }
        }
    }

    /// The cut list: rolls by first need, cuts in laying order. What it knows nothing of (bounds) is left at naught.
    pub(super) fn list(&self, shop: &Shop) -> CutList {
        let mut rolls: Vec<RollCuts> = Vec::new();
        for roll in &self.rolls {
            let mut order: Vec<usize> = (0..roll.cuts.len()).collect();
            order.sort_by_key(|&c| roll.cuts[c].iter().min().copied());
            let mut from = 0;
            let mut cuts = Vec::new();
            for c in order {
                let length = roll.cut_length(shop, c);
                cuts.push(Cut { from, length, items: side_by_side(shop, &roll.cuts[c]) });
                from += length + shop.kerf;
            }
            rolls.push(RollCuts { stock: roll.shelf, cuts, rest: roll.rest(shop) });
        }
        let first_need = |r: &RollCuts| r.cuts.iter().flat_map(|c| &c.items).map(|&(i, _)| i).min();
        rolls.sort_by_key(first_need);
        let held_nowhere = (0..shop.kind_of.len()).filter(|&i| shop.kind_of[i].is_none());
        let mut uncut: Vec<usize> = self.uncut.iter().copied().chain(held_nowhere).collect();
        uncut.sort_unstable();
        let open = open_at_ends(shop, &self.rolls).into_iter().max().unwrap_or(0);
        CutList {
            rolls,
            uncut,
            price: self.price(shop),
            open: u32::try_from(open).unwrap_or(u32::MAX),
            ..CutList::default()
        }
    }
}

/// Items of one cut with where across the roll each starts.
fn side_by_side(shop: &Shop, cut: &[usize]) -> Vec<(usize, Mm)> {
    let mut items = cut.to_vec();
    items.sort_unstable();
    let mut at = 0;
    let place = |i: usize| {
        let across = at;
        at += shop.kind_of[i].map_or(0, |k| shop.kinds[k].across);
        (i, across)
    };
    items.into_iter().map(place).collect()
}
