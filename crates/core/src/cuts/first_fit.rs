//! First fit: a good cut list at once, and a bound.
//!
//! In: pieces longest first, rolls in stock. Out: rolls with their pieces, and a price and a number of rolls that no cut
//! list can go below. First-fit decreasing: every piece, longest first, from the first roll with room; by bay, when rolls
//! part-used are limited. The bound is the better of the material bound and, for rolls of one kind, Martello and Toth's
//! L2 (Knapsack Problems, 1990, ch. 8: pieces over half a roll cannot share). It does not look for the optimum.

use super::knapsack::gcd;
use super::packing::{Packing as Cutting, Rolled};
use super::shop::{Part, Shop};
use crate::plan::Mm;

/// Pieces packed into rolls of one length.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Packing {
    /// For each roll, indexes of the pieces cut from it, longest first.
    pub rolls: Vec<Vec<usize>>,
    /// No packing of these pieces opens fewer rolls.
    pub least: usize,
}

/// First-fit decreasing over all bays, with no regard to part-used rolls.
pub(super) fn pack(shop: &Shop) -> Cutting {
    let mut bench = Bench::new(shop);
    (0..shop.kinds.len()).for_each(|k| shop.members[k].iter().for_each(|&i| bench.place(i, k)));
    bench.finish()
}

/// First-fit decreasing bay by bay; at the end of a bay the rolls with most left are carried on, as many as may be.
pub(super) fn pack_by_bay(shop: &Shop) -> Cutting {
    let mut bench = Bench::new(shop);
    let mut bays: Vec<Vec<(usize, usize)>> = vec![Vec::new(); shop.bays];
    for (k, members) in shop.members.iter().enumerate() {
        members.iter().for_each(|&i| bays[shop.bay_of[i]].push((k, i)));
    }
    for bay in bays {
        bay.into_iter().for_each(|(k, i)| bench.place(i, k));
        bench.carry(shop.open_most);
    }
    bench.finish()
}

/// Pieces in laying order, each from the roll in use as long as it fits; one roll of a width is in use at a time. This is
/// how rolls that run on are laid: their pieces fit one after the other.
pub(super) fn pack_in_order(shop: &Shop) -> Cutting {
    let mut bench = Bench::new(shop);
    for (item, kind) in shop.kind_of.iter().enumerate().filter_map(|(i, k)| k.map(|k| (i, k))) {
        bench.place(item, kind);
        bench.keep_newest();
    }
    bench.finish()
}

/// The price and the number of rolls that no cut list of a part goes below.
pub(super) fn least(shop: &Shop, part: &Part) -> (i64, usize) {
    let area = |need: Mm, across: Mm| i128::from(need) * i128::from(across);
    let wanted: i128 = (part.kinds.iter())
        .map(|&k| area(shop.kinds[k].need, shop.kinds[k].across) * shop.members[k].len() as i128)
        .sum();
    let shelves: Vec<_> = part.shelves.iter().map(|&s| &shop.shelves[s]).filter(|s| s.count > 0).collect();
    let up = |a: i128, b: i128| i64::try_from((a + b - 1) / b.max(1)).unwrap_or(i64::MAX);
    let unit = shelves.iter().map(|s| s.price).fold(0, gcd).max(1);
    let price = |s: &&super::shop::Shelf| {
        let units = up(wanted * i128::from(s.price), area(s.room, s.breadth) * i128::from(unit));
        units.saturating_mul(unit)
    };
    let rolls = |s: &&super::shop::Shelf| up(wanted, area(s.room, s.breadth));
    let mut least_price = shelves.iter().map(price).min().unwrap_or(0);
    let mut least_count = shelves.iter().map(rolls).min().unwrap_or(0);
    if let ([shelf], false) = (shelves.as_slice(), part.slit) {
        let needs: Vec<Mm> = (part.kinds.iter())
            .flat_map(|&k| std::iter::repeat_n(shop.kinds[k].need, shop.members[k].len()))
            .collect();
        let count = i64::try_from(least_rolls(&needs, shelf.room)).unwrap_or(i64::MAX);
        least_count = least_count.max(count);
        least_price = least_price.max(count.saturating_mul(shelf.price));
    }
    (least_price, usize::try_from(least_count).unwrap_or(usize::MAX))
}

/// Rolls being filled.
struct Bench<'a> {
    shop: &'a Shop,
    left: Vec<usize>,
    packing: Cutting,
    /// Room left on each roll.
    room: Vec<Mm>,
    /// Width left on each cut of each roll; none beside a whole piece.
    beside: Vec<Vec<Mm>>,
    /// Rolls that may still be cut from.
    at_hand: Vec<usize>,
}

impl<'a> Bench<'a> {
    fn new(shop: &'a Shop) -> Self {
        let left = shop.shelves.iter().map(|s| s.count).collect();
        let packing = Cutting::default();
        Self { shop, left, packing, room: Vec::new(), beside: Vec::new(), at_hand: Vec::new() }
    }

    fn place(&mut self, item: usize, kind: usize) {
        let placed = self.place_beside(item, kind) || self.place_behind(item, kind) || self.open(item, kind);
        if !placed {
            self.packing.uncut.push(item);
        }
    }

    /// Beside others of a cut that is long enough.
    fn place_beside(&mut self, item: usize, kind: usize) -> bool {
        let k = self.shop.kinds[kind];
        if !k.slit {
            return false;
        }
        let shop = self.shop;
        let length =
            |cut: &[usize]| cut.iter().filter_map(|&i| shop.kind_of[i]).map(|k| shop.kinds[k].need).max();
        for &r in &self.at_hand {
            let cuts = &mut self.packing.rolls[r].cuts;
            let fits = |c: &usize| self.beside[r][*c] >= k.across && length(&cuts[*c]) >= Some(k.need);
            if let Some(c) = (0..cuts.len()).find(fits) {
                cuts[c].push(item);
                self.beside[r][c] -= k.across;
                return true;
            }
        }
        false
    }

    /// Behind the last cut of a roll with room.
    fn place_behind(&mut self, item: usize, kind: usize) -> bool {
        let need = self.shop.kinds[kind].need;
        let fits =
            |r: &&usize| self.room[**r] >= need && self.shop.holds(self.packing.rolls[**r].shelf, kind);
        let Some(&r) = self.at_hand.iter().find(fits) else { return false };
        self.append(r, item, kind);
        true
    }

    /// From a new roll, the one with most area for its price.
    fn open(&mut self, item: usize, kind: usize) -> bool {
        let shelves = &self.shop.shelves;
        let cost = |s: usize, by: usize| {
            let by = &shelves[by];
            i128::from(shelves[s].price) * i128::from(by.length) * i128::from(by.width)
        };
        let best = (0..shelves.len())
            .filter(|&s| self.left[s] > 0 && self.shop.holds(s, kind))
            .min_by(|&a, &b| cost(a, b).cmp(&cost(b, a)).then(a.cmp(&b)));
        let Some(shelf) = best else { return false };
        self.left[shelf] -= 1;
        self.packing.rolls.push(Rolled { shelf, cuts: Vec::new() });
        self.room.push(shelves[shelf].room);
        self.beside.push(Vec::new());
        let roll = self.room.len() - 1;
        self.at_hand.push(roll);
        self.append(roll, item, kind);
        true
    }

    /// Puts away all but the newest roll of each width.
    fn keep_newest(&mut self) {
        let width = |r: usize| self.shop.shelves[self.packing.rolls[r].shelf].width;
        let newest = |r: &usize| !self.at_hand.iter().any(|q| q > r && width(*q) == width(*r));
        self.at_hand = self.at_hand.iter().copied().filter(newest).collect();
    }

    fn append(&mut self, roll: usize, item: usize, kind: usize) {
        let k = &self.shop.kinds[kind];
        let breadth = self.shop.shelves[self.packing.rolls[roll].shelf].breadth;
        self.packing.rolls[roll].cuts.push(vec![item]);
        self.room[roll] -= k.need;
        self.beside[roll].push(if k.slit { breadth - k.across } else { 0 });
    }

    /// Keeps at hand only the rolls with most left, no more than `most`.
    fn carry(&mut self, most: usize) {
        if self.at_hand.len() <= most {
            return;
        }
        self.at_hand.sort_by_key(|&r| (-self.room[r], r));
        self.at_hand.truncate(most);
        self.at_hand.sort_unstable();
    }

    fn finish(mut self) -> Cutting {
        self.packing.take_cheapest_rolls(self.shop);
        self.packing
    }
}

/// Cuts pieces from rolls of one length. Pieces longer than a roll get none.
pub fn first_fit_decreasing(lengths: &[Mm], roll: Mm, kerf: Mm) -> Packing {
    let mut order: Vec<usize> = (0..lengths.len()).filter(|&i| lengths[i] <= roll).collect();
    order.sort_by_key(|&i| (-lengths[i], i));
    let mut rolls: Vec<Vec<usize>> = Vec::new();
    let mut room = Room::new(order.len());
    for &i in &order {
        // The last cut of a roll needs no kerf when it ends with the roll: the roll is reckoned a kerf longer.
        let need = lengths[i] + kerf;
        let roll_number = room.first_with(need, roll + kerf);
        if roll_number == rolls.len() {
            rolls.push(Vec::new());
        }
        rolls[roll_number].push(i);
        room.take(roll_number, need, roll + kerf);
    }
    let needs: Vec<Mm> = order.iter().map(|&i| lengths[i] + kerf).collect();
    Packing { rolls, least: least_rolls(&needs, roll + kerf) }
}

/// A number of rolls that no packing of `needs` (longest first) into rolls of `room` goes below.
pub fn least_rolls(needs: &[Mm], room: Mm) -> usize {
    if needs.is_empty() || room <= 0 {
        return 0;
    }
    let sums: Vec<i128> = std::iter::once(0)
        .chain(needs.iter().scan(0, |sum, &n| {
            *sum += i128::from(n);
            Some(*sum)
        }))
        .collect();
    let mut least = 0;
    let mut thresholds: Vec<Mm> = needs.iter().copied().filter(|&n| n * 2 <= room).collect();
    thresholds.dedup();
    thresholds.push(0);
    for small in thresholds {
        // Longest first: those over `room - small` stand alone, those over half share with small ones only.
        let alone = needs.partition_point(|&n| n > room - small);
        let over_half = needs.partition_point(|&n| n * 2 > room).max(alone);
        let end = needs.partition_point(|&n| n >= small);
        let spare = i128::from(room) * (over_half - alone) as i128 - (sums[over_half] - sums[alone]);
        let rest = sums[end.max(over_half)] - sums[over_half] - spare;
        let more = usize::try_from((rest.max(0) + i128::from(room) - 1) / i128::from(room)).unwrap_or(0);
        least = least.max(over_half + more);
    }
    least
}

/// Room left on each roll, as a tree of maxima: finds the first roll with room in logarithmic time.
struct Room {
    leaves: usize,
    most: Vec<Mm>,
    opened: usize,
}

impl Room {
    fn new(count: usize) -> Self {
        let leaves = count.max(1).next_power_of_two();
        Self { leaves, most: vec![-1; 2 * leaves], opened: 0 }
    }

    /// The first opened roll with room for `need`, or the number of the next one to open.
    fn first_with(&self, need: Mm, fresh: Mm) -> usize {
        debug_assert!(need <= fresh);
        if self.most[1] < need {
            return self.opened;
        }
        let mut at = 1;
        while at < self.leaves {
            at *= 2;
            if self.most[at] < need {
                at += 1;
            }
        }
        at - self.leaves
    }

    fn take(&mut self, roll: usize, need: Mm, fresh: Mm) {
        let mut at = self.leaves + roll;
        if roll == self.opened {
            self.opened += 1;
            self.most[at] = fresh;
        }
        self.most[at] -= need;
        while at > 1 {
            at /= 2;
            self.most[at] = self.most[2 * at].max(self.most[2 * at + 1]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_over_half_a_roll_stand_alone() {
        let list = first_fit_decreasing(&[60, 60, 60], 100, 0);
        assert_eq!((list.rolls.len(), list.least), (3, 3));
    }

    #[test]
    fn kerf_is_not_needed_after_the_last_cut_of_a_full_roll() {
        let list = first_fit_decreasing(&[50, 45], 100, 5);
        assert_eq!(list.rolls.len(), 1);
    }

    #[test]
    fn a_piece_longer_than_the_roll_gets_none() {
        assert_eq!(first_fit_decreasing(&[101], 100, 0).rolls.len(), 0);
    }
}
