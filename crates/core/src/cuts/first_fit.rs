//! First-fit decreasing: a good cut list at once, and a bound.
//!
//! In: piece lengths, the roll length, the kerf. Out: rolls with their pieces, and a number of rolls that no cut list can
//! go below. First-fit decreasing: every piece, longest first, from the first roll with room. The bound is the better of
//! the material bound and Martello and Toth's L2 (Knapsack Problems, 1990, ch. 8: pieces over half a roll cannot
//! share). It claims the least only where the two meet. It does not look for the optimum.

use super::{Cut, CutList, Problem, RollCuts};
use crate::plan::Mm;

/// Pieces packed into rolls of one length.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Packing {
    /// For each roll, indexes of the pieces cut from it, longest first.
    pub rolls: Vec<Vec<usize>>,
    /// No packing of these pieces opens fewer rolls.
    pub least: usize,
}

/// First-fit decreasing for every width by itself, from the first stock of that width.
pub fn cut(problem: &Problem) -> CutList {
    let Some(stock) = problem.stocks.first() else {
        return CutList { uncut: (0..problem.items.len()).collect(), ..CutList::default() };
    };
    let lengths: Vec<Mm> = problem.items.iter().map(|i| i.length).collect();
    let kerf = problem.terms.kerf;
    let Packing { mut rolls, least } = first_fit_decreasing(&lengths, stock.length, kerf);
    rolls.iter_mut().for_each(|roll| roll.sort_unstable());
    rolls.sort();
    let roll_of = |pieces: &Vec<usize>| {
        let mut at = 0;
        let cuts = pieces.iter().map(|&i| {
            let from = at;
            at += lengths[i] + kerf;
            Cut { from, length: lengths[i], items: vec![(i, 0)] }
        });
        let cuts = cuts.collect();
        RollCuts { stock: 0, cuts, rest: (stock.length - at).max(0) }
    };
    let rolls: Vec<RollCuts> = rolls.iter().map(roll_of).collect();
    let count = i64::try_from(rolls.len()).unwrap_or(i64::MAX);
    let least_price = i64::try_from(least).unwrap_or(i64::MAX) * stock.price;
    CutList {
        price: count * stock.price,
        least_price,
        least_rolls: least,
        proved: count * stock.price == least_price,
        uncut: (0..lengths.len()).filter(|&i| lengths[i] > stock.length).collect(),
        open: 0,
        rolls,
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
