//! The best order of a small job: every set of bays laid so far, and every day that could follow it.
//!
//! In: a task of few sites, and what an order of it is known to cost. Out: the best order of all, unless the budget of
//! steps is spent first. What a day costs depends only on the bays laid before it and on its own, so the best way to each
//! set of bays laid is enough to know; the same holds within a day for the sets that each gang has laid, with the bays under
//! way that another gang could still close in. Nothing is left out: days may end early.

use super::worth::{Parts, left_behind, parts_of};
use super::{Placed, Site, Task};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// Jobs of more sites are not tried: the sets of bays grow threefold with each, for several gangs faster.
const MOST: [usize; 2] = [16, 12];

/// Jobs of more gangs are not tried.
const GANGS: usize = 4;

/// What is broken, then what it costs.
type Worth = (u32, i64);

/// Bays laid at the end of a day: how many, the day, which ones.
type Key = (u32, u32, u32);

/// A day that is growing.
#[derive(Clone, Copy, Debug)]
struct Partial {
    /// Bays laid by each gang.
    hands: [u32; GANGS],
    /// When each gang is free.
    ends: [u32; GANGS],
    /// When the last bay was begun, and by whom.
    last: (u32, usize),
    /// Of each gang the bay under way, as a bit, where a bay begun next could close the last way off it.
    open: [u32; GANGS],
    worth: Worth,
    /// The day that it grew from, by its place in the list, and the bay and gang that it has more.
    before: usize,
    turn: (usize, usize),
}

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
    /// What is known to be within reach: whatever cannot come down to it is let go.
    within: Worth,
    /// Least walk of each bay, mm, and least minutes.
    least: Vec<(i64, u32)>,
    answer: Option<Vec<Placed>>,
}

impl Exact {
    /// A search for an order that costs no more than `within`; it gives up when more than so many steps are taken. `None`
    /// for a job too large.
    pub(super) fn new(task: &Task, budget: u64, within: Worth) -> Option<Self> {
        let n = task.sites.len();
        if n == 0 || task.day.len() > GANGS || n > MOST[usize::from(task.day.len() > 1)] {
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
            within,
            least: task.sites.iter().map(least).collect(),
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
        let start = Partial {
            hands: [0; GANGS],
            ends: [0; GANGS],
            last: (0, 0),
            open: [0; GANGS],
            worth: (0, 0),
            before: usize::MAX,
            turn: (0, 0),
        };
        let mut grown = vec![start];
        // The best day for each set of bays, and its place in the list. Days grow a bay at a time, so that a set is done
        // with before it is gone on from.
        let mut closed: BTreeMap<u32, (Worth, usize)> = BTreeMap::new();
        let mut from = 0;
        while from < grown.len() {
            let to = grown.len();
            for place in from..to {
                steps += 1;
                if steps > self.budget {
                    return steps;
                }
                let partial = grown[place];
                let today = partial.today();
                if today != 0 || idle {
                    let worth = (partial.worth.0, partial.worth.1 + self.parted(task, &partial.hands));
                    let best = closed.entry(today).or_insert((worth, place));
                    if worth < best.0 {
                        *best = (worth, place);
                    }
                }
                self.grow(task, (at, before), (place, &partial), &mut grown);
            }
            thin(&mut grown, to);
            from = to;
        }
        for (today, (worth, place)) in closed {
            let laid = at.2 | today;
            let worth = (before.0 + worth.0, before.1 + worth.1 + self.evening(task, laid, today));
            if self.beyond(task, laid, worth) {
                continue;
            }
            let day = if self.last_tie.is_some() { at.1 + 1 } else { 0 };
            let known = self.known.entry((laid.count_ones(), day, laid));
            let turns = || Known { worth, before: Some(at), day: turns(task, &grown, place) };
            match known {
                Entry::Occupied(mut known) if worth < known.get().worth => {
                    known.insert(turns());
                }
                Entry::Occupied(_) => {}
                Entry::Vacant(free) => {
                    free.insert(turns());
                }
            }
        }
        steps
    }

    /// Whether a job with some bays laid cannot come down to what is within reach.
    fn beyond(&self, task: &Task, laid: u32, worth: Worth) -> bool {
        let left = || (0..task.sites.len()).filter(|i| laid & (1 << i) == 0).map(|i| self.least[i]);
        let (walks, minutes) = left().fold((0, 0), |sum, own| (sum.0 + own.0, sum.1 + own.1));
        let a_day: u32 = task.day.iter().sum();
        let longest = task.day.iter().copied().max().unwrap_or(1);
        // A bay longer than a day fills one and no more.
        let days = if self.least.iter().all(|own| own.1 <= longest) {
            minutes.div_ceil(a_day)
        } else {
            u32::from(minutes > 0)
        };
        let least = Parts { days, haul: walks, ..Parts::default() }.units(&task.prices);
        (worth.0, worth.1 + least) > self.within
    }

    /// All days with one bay more.
    fn grow(
        &self,
        task: &Task,
        (at, before): (Key, Worth),
        (place, partial): (usize, &Partial),
        grown: &mut Vec<Partial>,
    ) {
        let today = partial.today();
        let laid = at.2 | today;
        for site in (0..task.sites.len()).filter(|&i| laid & (1 << i) == 0) {
            let reached = self.reached(today | 1 << site);
            for gang in 0..task.day.len() {
                let from = partial.ends[gang];
                let to = from + task.sites[site].minutes[gang];
                // Bays of a day are begun in order, of those begun at once the smaller gang's first.
                if today != 0 && (from, gang) <= partial.last || from > 0 && to > task.day[gang] {
                    continue;
                }
                let mut next = *partial;
                let shut = self.shut_in(&mut next, reached, (site, gang));
                let broken = shut + ties_broken(task, at, today, (site, gang));
                if broken > 0 && !self.tied {
                    continue;
                }
                next.hands[gang] |= 1 << site;
                next.ends[gang] = to;
                next.last = (from, gang);
                (next.before, next.turn) = (place, (site, gang));
                next.worth.0 += broken;
                next.worth.1 += self.own(task, site, gang, laid);
                if (before.0 + next.worth.0, before.1 + next.worth.1) <= self.within {
                    next.settle(task.day.len());
                    grown.push(next);
                }
            }
        }
    }

    /// What a bay costs by itself when others are laid before it: its walks, and its laps that then face the water.
    fn own(&self, task: &Task, site: usize, gang: usize, laid: u32) -> i64 {
        let own = &task.sites[site];
        let above = own.beside.iter().filter(|b| laid & (1 << b.site) == 0).map(|b| b.above);
        let parts = Parts { facing: above.sum(), haul: own.haul[gang], ..Parts::default() };
        parts.units(&task.prices)
    }

    /// Bays that have no way off once a gang begins one: that itself, and those under way whose last way it closes. Notes
    /// which are open yet.
    fn shut_in(&self, next: &mut Partial, reached: u32, (site, gang): (usize, usize)) -> u32 {
        let from = next.ends[gang];
        let mut shut = 0;
        for (open, _) in next.open.iter_mut().zip(next.ends).filter(|(_, end)| *end > from) {
            if *open != 0 && self.is_cut_off(open.trailing_zeros() as usize, reached) {
                *open = 0;
                shut += 1;
            }
        }
        let cut_off = self.is_cut_off(site, reached);
        next.open[gang] = if cut_off || self.exits & (1 << site) != 0 { 0 } else { 1 << site };
        shut + u32::from(cut_off)
    }

    fn is_cut_off(&self, site: usize, reached: u32) -> bool {
        self.exits & (1 << site) == 0 && self.beside[site] & reached == 0
    }

    /// The sites with a way to an exit over sites that are not barred, themselves none of these.
    fn reached(&self, barred: u32) -> u32 {
        let mut seen = self.exits & !barred;
        let mut edge = seen;
        while edge != 0 {
            let mut next = 0;
            while edge != 0 {
                next |= self.beside[edge.trailing_zeros() as usize];
                edge &= edge - 1;
            }
            edge = next & !barred & !seen;
            seen |= edge;
        }
        seen
    }

    /// What the groups of bays that do not touch cost.
    fn parted(&self, task: &Task, masks: &[u32; GANGS]) -> i64 {
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

impl Partial {
    /// All bays laid.
    fn today(&self) -> u32 {
        self.hands.iter().fold(0, |all, hand| all | hand)
    }

    /// Lets go of bays under way that are done before another gang can begin one.
    fn settle(&mut self, gangs: usize) {
        for gang in 0..gangs {
            let (ends, last) = (&self.ends, self.last);
            let begins = |g: &usize| *g != gang && (ends[*g], *g) > last && ends[*g] < ends[gang];
            if !(0..gangs).any(|g| begins(&g)) {
                self.open[gang] = 0;
            }
        }
    }
}

/// Of days on which the gangs have laid the same, the last bay was begun alike and the same bays can be closed in, leaves
/// the best alone.
fn thin(grown: &mut Vec<Partial>, from: usize) {
    let mut fresh = grown.split_off(from);
    fresh.sort_unstable_by_key(|p| (p.hands, p.last, p.open, p.worth, p.before, p.turn));
    fresh.dedup_by_key(|p| (p.hands, p.last, p.open));
    grown.append(&mut fresh);
}

/// Ties broken by pouring a bay now.
fn ties_broken(task: &Task, at: Key, today: u32, (site, gang): (usize, usize)) -> u32 {
    let tie = &task.sites[site].tie;
    let turn = at.0 + today.count_ones();
    u32::from(tie.day.is_some_and(|d| d != at.1))
        + u32::from(tie.gang.is_some_and(|g| g != gang))
        + u32::from(tie.turn.is_some_and(|t| t != turn))
}

/// The turns of a day that has grown.
fn turns(task: &Task, grown: &[Partial], mut place: usize) -> Vec<Placed> {
    let mut turns = Vec::new();
    while let Some(partial) = grown.get(place).filter(|p| p.before != usize::MAX) {
        let (site, gang) = partial.turn;
        let to = partial.ends[gang];
        turns.push(Placed { day: 0, from: to - task.sites[site].minutes[gang], gang, site, to });
        place = partial.before;
    }
    turns.reverse();
    turns
}

/// Least walk of a bay, mm, and least minutes.
fn least(site: &Site) -> (i64, u32) {
    let walk = site.haul.iter().copied().min().unwrap_or(0);
    (walk, site.minutes.iter().copied().min().unwrap_or(0))
}
