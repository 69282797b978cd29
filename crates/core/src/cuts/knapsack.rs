//! Which things fill a roll best: the bounded knapsack in whole numbers.
//!
//! In: sizes, values and how many there are of each, the room, and a value to beat. Out: the best choice above that value
//! and, always, a value that no choice passes. Branch and bound by value per length answers at once on most rolls; where
//! its budget runs out, dynamic programming over the room finishes exactly, if the room is small enough. It knows nothing
//! of pieces or rolls.

use crate::plan::Mm;

/// Something to put in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Thing {
    /// What it is to the caller.
    pub(super) name: usize,
    /// Room it takes, 1 or more.
    pub(super) size: Mm,
    /// What it is worth, 0 or more.
    pub(super) value: i64,
    /// How many there are.
    pub(super) most: usize,
}

/// What was found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Choice {
    /// Value of the choice, or the value to beat when nothing beats it.
    pub(super) value: i64,
    /// The choice, as name and how many; empty when nothing beats the value to beat.
    pub(super) things: Vec<(usize, usize)>,
    /// No choice is worth more.
    pub(super) most: i64,
    /// How much work it took, in nodes or cells.
    pub(super) work: u64,
}

/// How hard to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Effort {
    /// Nodes of branch and bound.
    pub(super) nodes: u64,
    /// Cells of dynamic programming; 0 for none.
    pub(super) cells: u64,
}

/// The best choice worth more than `floor`.
pub(super) fn best(things: &[Thing], room: Mm, floor: i64, effort: Effort) -> Choice {
    let mut fit: Vec<Thing> = things
        .iter()
        .filter(|t| t.size > 0 && t.size <= room && t.value > 0 && t.most > 0)
        .map(|t| Thing { most: t.most.min(usize::try_from(room / t.size).unwrap_or(usize::MAX)), ..*t })
        .collect();
    let denser = |a: &Thing, b: &Thing| {
        let (ab, ba) = (i128::from(a.value) * i128::from(b.size), i128::from(b.value) * i128::from(a.size));
        ba.cmp(&ab).then(b.size.cmp(&a.size)).then(a.name.cmp(&b.name))
    };
    fit.sort_by(denser);
    let mut tree = Tree::new(&fit, room, floor, effort.nodes);
    tree.branch(0, room, 0);
    let Tree { best, chosen, work, .. } = tree;
    if work < effort.nodes {
        return Choice { value: best, things: chosen, most: best, work };
    }
    let at_most = most_by_the_inch(&fit, room).max(floor);
    let mut choice = Choice { value: best, things: chosen, most: at_most, work };
    if let Some(exact) = table(&fit, room, best, effort.cells) {
        choice.work += exact.work;
        choice.most = exact.most;
        if exact.value > choice.value {
            (choice.value, choice.things) = (exact.value, exact.things);
        }
    }
    choice
}

/// The value if things could be divided: no choice passes it.
fn most_by_the_inch(fit: &[Thing], room: Mm) -> i64 {
    let (mut left, mut value) = (room, 0_i64);
    for t in fit {
        let whole = usize::try_from(left / t.size).unwrap_or(usize::MAX).min(t.most);
        left -= t.size * whole as i64;
        value += t.value * whole as i64;
        if whole < t.most {
            return value + part_of(left, t);
        }
    }
    value
}

/// Value of a thing that is cut to what is left, rounded down.
fn part_of(left: Mm, thing: &Thing) -> i64 {
    if let Some(product) = left.checked_mul(thing.value) {
        return product / thing.size;
    }
    let value = i128::from(left) * i128::from(thing.value) / i128::from(thing.size);
    i64::try_from(value).unwrap_or(i64::MAX)
}

/// Branch and bound, densest first.
struct Tree<'a> {
    fit: &'a [Thing],
    /// The least size from each thing on.
    least: Vec<Mm>,
    best: i64,
    chosen: Vec<(usize, usize)>,
    taken: Vec<(usize, usize)>,
    work: u64,
    limit: u64,
    /// No room for more than this, so reaching it ends the search.
    ceiling: i64,
}

impl<'a> Tree<'a> {
    fn new(fit: &'a [Thing], room: Mm, floor: i64, limit: u64) -> Self {
        let mut least: Vec<Mm> = fit.iter().map(|t| t.size).collect();
        for i in (1..least.len()).rev() {
            least[i - 1] = least[i - 1].min(least[i]);
        }
        let ceiling = most_by_the_inch(fit, room);
        Self { fit, least, best: floor, chosen: Vec::new(), taken: Vec::new(), work: 0, limit, ceiling }
    }

    fn branch(&mut self, start: usize, left: Mm, value: i64) {
        for i in start..self.fit.len() {
            if left < self.least[i] || self.best >= self.ceiling || self.work >= self.limit {
                return;
            }
            let thing = self.fit[i];
            if value + part_of(left, &thing) <= self.best {
                return;
            }
            if thing.size > left {
                continue;
            }
            let most = usize::try_from(left / thing.size).unwrap_or(usize::MAX).min(thing.most);
            for n in (1..=most).rev() {
                self.work += 1;
                let (left, value) = (left - thing.size * n as i64, value + thing.value * n as i64);
                self.taken.push((thing.name, n));
                if value > self.best {
                    self.best = value;
                    self.chosen.clone_from(&self.taken);
                }
                self.branch(i + 1, left, value);
                self.taken.pop();
            }
        }
    }
}

/// Dynamic programming over the room, when it takes no more than so many cells.
fn table(fit: &[Thing], room: Mm, floor: i64, cells: u64) -> Option<Choice> {
    let unit = fit.iter().map(|t| t.size).fold(0, gcd).max(1);
    let room = usize::try_from(room / unit).ok()?;
    // Many of a kind as bundles of 1, 2, 4, ...: every number of them is a sum of bundles.
    let mut bundles: Vec<(usize, usize, usize, i64)> = Vec::new();
    for (i, t) in fit.iter().enumerate() {
        let (mut left, mut n) = (t.most, 1);
        while left > 0 {
            let take = n.min(left);
            let size = usize::try_from(t.size / unit).ok()? * take;
            bundles.push((i, take, size, t.value * take as i64));
            left -= take;
            n *= 2;
        }
    }
    let work = (bundles.len() * (room + 1)) as u64;
    if work > cells {
        return None;
    }
    let words = room / 64 + 1;
    let mut best = vec![0_i64; room + 1];
    let mut took = vec![0_u64; words * bundles.len()];
    for (b, &(_, _, size, value)) in bundles.iter().enumerate() {
        let took = &mut took[b * words..(b + 1) * words];
        for at in (size..=room).rev() {
            let with = best[at - size] + value;
            if with > best[at] {
                best[at] = with;
                took[at / 64] |= 1 << (at % 64);
            }
        }
    }
    let value = best[room];
    if value <= floor {
        return Some(Choice { value: floor, things: Vec::new(), most: floor, work });
    }
    let mut counts = vec![0; fit.len()];
    let mut at = room;
    for (b, &(i, take, size, _)) in bundles.iter().enumerate().rev() {
        if took[b * words + at / 64] >> (at % 64) & 1 == 1 {
            counts[i] += take;
            at -= size;
        }
    }
    let things = counts.iter().zip(fit).filter(|(n, _)| **n > 0).map(|(&n, t)| (t.name, n)).collect();
    Some(Choice { value, things, most: value, work })
}

/// Greatest common divisor.
pub(super) fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Every choice, one by one.
    fn by_force(things: &[Thing], room: Mm) -> i64 {
        let Some((first, rest)) = things.split_first() else { return 0 };
        let take = |n: usize| {
            let left = room - first.size * n as i64;
            (left >= 0).then(|| first.value * n as i64 + by_force(rest, left))
        };
        (0..=first.most).filter_map(take).max().unwrap_or(0)
    }

    fn things() -> impl Strategy<Value = Vec<Thing>> {
        let thing = (1..40_i64, 0..60_i64, 0..4_usize);
        proptest::collection::vec(thing, 0..6).prop_map(|list| {
            let name = |(name, (size, value, most))| Thing { name, size, value, most };
            list.into_iter().enumerate().map(name).collect()
        })
    }

    proptest! {
        #[test]
        fn branching_and_the_table_find_the_most(things in things(), room in 1..100_i64) {
            let most = by_force(&things, room);
            for effort in [Effort { nodes: 1_000_000, cells: 0 }, Effort { nodes: 1, cells: 1_000_000 }] {
                let choice = best(&things, room, 0, effort);
                prop_assert_eq!(choice.value, most);
                prop_assert_eq!(choice.most, most);
                let size: i64 = choice.things.iter().map(|&(t, n)| things[t].size * n as i64).sum();
                let value: i64 = choice.things.iter().map(|&(t, n)| things[t].value * n as i64).sum();
                prop_assert!(size <= room && value == most);
            }
        }

        #[test]
        fn a_search_cut_short_still_says_what_none_passes(things in things(), room in 1..100_i64) {
            let choice = best(&things, room, 0, Effort { nodes: 3, cells: 0 });
            prop_assert!(choice.most >= by_force(&things, room));
        }
    }
}
