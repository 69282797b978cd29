//! The best order of a small job: every set of bays laid so far, and every day that could follow it.
//!
//! In: a task of few sites. Out: the best order of all, unless the budget of steps is spent first. What a day costs
//! depends only on the bays laid before it and on its own, so the best way to each set of bays laid is enough to know;
//! the same holds within a day for the sets that each gang has laid. Nothing is left out: days may end early.

use super::worth::{Parts, left_behind, parts_of};
use super::{Placed, Task};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// Jobs of more sites are not tried: the sets of bays grow threefold with each, for several gangs faster.
const MOST: [usize; 2] = [13, 10];

/// What is broken, then what it costs.
type Worth = (u32, i64);

/// Bays laid at the end of a day: how many, the day, which ones.
type Key = (u32, u32, u32);

/// Bays laid on a day so far by each gang, and when the last of them was begun and by whom.
type Partial = (Vec<u32>, u32, usize);

#[derive(Clone, Debug)]
struct Known {
    worth: Worth,
    before: Option<Key>,
    day: Vec<Placed>,
}

/// The search.
#[derive(Clone, Debug)]
pub(super) struct Exact {
    beside: Vec<u32>,
    exits: u32,
    all: u32,
    tied: bool,
    last_tie: Option<u32>,
    known: BTreeMap<Key, Known>,
    at: Option<Key>,
    budget: u64,
    answer: Option<Vec<Placed>>,
}

impl Exact {
    /// A search that gives up when more than so many steps are taken; `None` for a job too large.
    pub(super) fn new(task: &Task, budget: u64) -> Option<Self> {
        let n = task.sites.len();
        if n == 0 || n > MOST[usize::from(task.day.len() > 1)] {
            return None;
        }
        let mask = |sites: &mut dyn Iterator<Item = usize>| sites.fold(0, |m, i| m | (1_u32 << i));
        let ties = || task.sites.iter().map(|s| s.tie);
        let start = (0, 0, 0);
        let known = Known { worth: (0, 0), before: None, day: Vec::new() };
        Some(Self {
            beside: task.sites.iter().map(|s| mask(&mut s.beside.iter().map(|b| b.site))).collect(),
            exits: mask(&mut (0..n).filter(|&i| task.sites[i].exit)),
            all: mask(&mut (0..n)),
            tied: ties().any(|t| t.day.is_some() || t.gang.is_some() || t.turn.is_some()),
            last_tie: ties().filter_map(|t| t.day).max(),
            known: BTreeMap::from([(start, known)]),
            at: Some(start),
            budget,
            answer: None,
        })
    }

    /// Whether it has ended, with an answer or without.
    pub(super) fn is_done(&self) -> bool {
        self.at.is_none()
    }

    /// The best order, once it is known.
    pub(super) fn answer(&self) -> Option<&[Placed]> {
        self.answer.as_deref()
    }

    /// Looks at all the days that could follow one set of bays laid; the steps it took.
    pub(super) fn advance(&mut self, task: &Task) -> u64 {
        let Some(at) = self.at else { return 0 };
        let steps = self.follow(task, at);
        self.budget = self.budget.saturating_sub(steps);
        self.at = self
            .known
            .range((std::ops::Bound::Excluded(at), std::ops::Bound::Unbounded))
            .next()
            .map(|k| *k.0);
        let end = self.at.filter(|key| key.2 == self.all);
        if let Some(end) = end {
            self.answer = Some(self.trace(end));
            self.at = None;
        } else if self.budget == 0 {
            self.at = None;
        }
        steps
    }

    /// The order that leads to a key. Keys of all bays differ in their day only where ties ask for it: the best of them.
    fn trace(&self, end: Key) -> Vec<Placed> {
        let best = self.known.range(end..).min_by_key(|(_, known)| known.worth);
        let mut at = best.map(|(key, _)| *key);
        let mut days = Vec::new();
        while let Some(known) = at.and_then(|key| self.known.get(&key)) {
            if known.before.is_some() {
                days.push(known.day.clone());
            }
            at = known.before;
        }
        days.reverse();
        let numbered = |(day, turns): (usize, Vec<Placed>)| {
            let day = u32::try_from(day).unwrap_or(u32::MAX);
            turns.into_iter().map(move |p| Placed { day, ..p })
        };
        days.into_iter().enumerate().flat_map(numbered).collect()
    }

    /// All days that could follow a set of bays laid.
    fn follow(&mut self, task: &Task, at: Key) -> u64 {
        let Some(known) = self.known.get(&at) else { return 0 };
        let before = known.worth;
        let mut steps = 0;
        let idle = self.last_tie.is_some_and(|last| at.1 < last);
        let start: Partial = (vec![0; task.day.len()], 0, 0);
        let mut open: BTreeMap<Partial, (Worth, Vec<Placed>)> =
            BTreeMap::from([(start, ((0, 0), Vec::new()))]);
        // Days grow a bay at a time, so that a set is done with before it is gone on from.
        let mut closed: BTreeMap<u32, (Worth, Vec<Placed>)> = BTreeMap::new();
        while !open.is_empty() {
            let mut next: BTreeMap<Partial, (Worth, Vec<Placed>)> = BTreeMap::new();
            for (partial, (worth, turns)) in open {
                steps += 1;
                if steps > self.budget {
                    return steps;
                }
                let today = partial.0.iter().fold(0, |a, b| a | b);
                if today != 0 || idle {
                    let parted = self.parted(task, &partial.0);
                    let total = (worth.0, worth.1 + parted);
                    keep(&mut closed, today, total, || turns.clone());
                }
                self.grow(task, at, &partial, (worth, &turns), &mut next);
            }
            open = next;
        }
        for (today, (worth, turns)) in closed {
            let laid = at.2 | today;
            let end = self.evening(task, laid, today);
            let day = if self.last_tie.is_some() { at.1 + 1 } else { 0 };
            let key = (laid.count_ones(), day, laid);
            let worth = (before.0 + worth.0, before.1 + worth.1 + end);
            match self.known.entry(key) {
                Entry::Occupied(mut known) if worth < known.get().worth => {
                    known.insert(Known { worth, before: Some(at), day: turns });
                }
                Entry::Occupied(_) => {}
                Entry::Vacant(free) => {
                    free.insert(Known { worth, before: Some(at), day: turns });
                }
            }
        }
        steps
    }

    /// A day with one bay more.
    fn grow(
        &self,
        task: &Task,
        at: Key,
        partial: &Partial,
        so_far: (Worth, &[Placed]),
        next: &mut BTreeMap<Partial, (Worth, Vec<Placed>)>,
    ) {
        let (worth, turns) = so_far;
        let (masks, last, last_gang) = partial;
        let today = masks.iter().fold(0, |a, b| a | b);
        let laid = at.2 | today;
        for gang in 0..masks.len() {
            let from = turns.iter().filter(|p| p.gang == gang).map(|p| p.to).max().unwrap_or(0);
            // Bays of a day are begun in order, of those begun at once the smaller gang's first.
            if !turns.is_empty() && (from, gang) <= (*last, *last_gang) {
                continue;
            }
            for site in (0..task.sites.len()).filter(|&i| laid & (1 << i) == 0) {
                let to = from + task.sites[site].minutes[gang];
                if from > 0 && to > task.day[gang] {
                    continue;
                }
                let broken = self.broken(task, at, today, (site, gang));
                if broken > 0 && !self.tied {
                    continue;
                }
                let facing: i64 = task.sites[site]
                    .beside
                    .iter()
                    .filter(|b| laid & (1 << b.site) == 0)
                    .map(|b| b.above)
                    .sum();
                let parts = Parts { facing, haul: task.sites[site].haul[gang], ..Parts::default() };
                let worth = (worth.0 + broken, worth.1 + parts.units(&task.prices));
                let mut masks = masks.clone();
                masks[gang] |= 1 << site;
                let turn = Placed { day: 0, from, gang, site, to };
                keep(next, (masks, from, gang), worth, || {
                    let mut turns = turns.to_vec();
                    turns.push(turn);
                    turns
                });
            }
        }
    }

    /// Laws and ties broken by pouring a bay now.
    fn broken(&self, task: &Task, at: Key, today: u32, (site, gang): (usize, usize)) -> u32 {
        let tie = &task.sites[site].tie;
        let turn = at.0 + today.count_ones();
        u32::from(!self.reaches(site, today))
            + u32::from(tie.day.is_some_and(|d| d != at.1))
            + u32::from(tie.gang.is_some_and(|g| g != gang))
            + u32::from(tie.turn.is_some_and(|t| t != turn))
    }

    /// Whether a site reaches an exit over sites not laid today.
    fn reaches(&self, site: usize, today: u32) -> bool {
        let mut seen = 1_u32 << site;
        let mut edge = seen;
        while edge != 0 {
            if seen & self.exits != 0 {
                return true;
            }
            let mut next = 0;
            while edge != 0 {
                let i = edge.trailing_zeros() as usize;
                edge &= edge - 1;
                next |= self.beside[i];
            }
            edge = next & !today & !seen;
            seen |= edge;
        }
        false
    }

    /// What the groups of bays that do not touch cost.
    fn parted(&self, task: &Task, masks: &[u32]) -> i64 {
        let groups = masks.iter().filter(|m| **m != 0).map(|&m| {
            let group: Vec<usize> = (0..task.sites.len()).filter(|i| m & (1 << i) != 0).collect();
            parts_of(task, &group) - 1
        });
        Parts { parted: groups.sum(), ..Parts::default() }.units(&task.prices)
    }

    /// What the end of a day costs: the day, its joints and what is left behind.
    fn evening(&self, task: &Task, laid: u32, today: u32) -> i64 {
        let mut parts = Parts { days: 1, ..Parts::default() };
        for (i, site) in task.sites.iter().enumerate().filter(|(i, _)| today & (1 << i) != 0) {
            debug_assert!(laid & (1 << i) != 0);
            for b in site.beside.iter().filter(|b| laid & (1 << b.site) == 0) {
                parts.joints += b.length;
                parts.bad += b.bad;
            }
        }
        if laid != self.all {
            parts.behind = left_behind(task, |i| laid & (1 << i) != 0);
        }
        parts.units(&task.prices)
    }
}

/// Keeps the better of two ways to the same place.
fn keep<K: Ord>(
    map: &mut BTreeMap<K, (Worth, Vec<Placed>)>,
    key: K,
    worth: Worth,
    turns: impl FnOnce() -> Vec<Placed>,
) {
    match map.entry(key) {
        Entry::Occupied(mut known) if worth < known.get().0 => {
            known.insert((worth, turns()));
        }
        Entry::Occupied(_) => {}
        Entry::Vacant(free) => {
            free.insert((worth, turns()));
        }
    }
}
