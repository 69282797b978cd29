//! A row of bays split into days at the least cost.
//!
//! In: a task, its bays in a row, and the gang that is to lay a bay where one is named. Out: the best days that keep the
//! row: each day a stretch of it, its bays handed to the gang named or the one that is free first. Every end of every day is weighed, so a search need only look for the row. What a stretch
//! costs by itself is kept in mind between calls. The worth agrees with [`super::worth::score`]; a test holds them together.

use super::worth::Parts;
use super::{Placed, Task};

/// What a row is worth: laws and ties broken, then units of cost.
pub(super) type Worth = (u32, i64);

/// Bays in a row, and for each bay, by its number, the gang that is to lay it.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Row {
    pub sites: Vec<usize>,
    pub gangs: Vec<Option<usize>>,
}

impl Row {
    /// A row with no gang named.
    pub(super) fn new(sites: Vec<usize>) -> Self {
        Self { gangs: vec![None; sites.len()], sites }
    }
}

/// A worth that no row has.
const NONE: Worth = (u32::MAX, i64::MAX);

/// Splits rows of one task; keeps its buffers between calls.
#[derive(Clone, Debug)]
pub(super) struct Splitter {
    words: usize,
    /// For each site the sites it touches, as bits.
    beside: Vec<u64>,
    exits: Vec<u64>,
    /// For each site, for each it touches: the other, and the units of a day joint between them.
    joints: Vec<Vec<(usize, i64)>>,
    tied: bool,
    last_tie: u32,
    place: Vec<usize>,
    behind: Vec<u32>,
    /// Best worth of the row up to a place at the end of a day, and the place and day it is reached from; the row's own
    /// [`Self::always`] left out.
    best: Vec<(Worth, usize)>,
    /// The row that this was worked out for, and its worth: what a new row has in common with it is not done again.
    split: Row,
    /// Most bays of one day.
    most: usize,
    always: Worth,
    reach: Reach,
    known: Vec<(u64, [u32; 2])>,
}

/// Buffers of a flood over bays.
#[derive(Clone, Debug, Default)]
struct Reach {
    seen: Vec<u64>,
    edge: Vec<usize>,
}

/// A day that is growing along the row.
struct Stretch {
    ends: Vec<u32>,
    /// When the last bay was begun, and by whom.
    last: Option<(u32, usize)>,
    today: Vec<u64>,
    /// The bays of each gang.
    hands: Vec<Vec<usize>>,
    worth: Worth,
    joints: i64,
    name: u64,
    /// Gangs whose last bay has no way off any more.
    shut: u32,
}

impl Stretch {
    fn new(gangs: usize, words: usize) -> Self {
        Self {
            ends: vec![0; gangs],
            last: None,
            today: vec![0; words],
            hands: vec![Vec::new(); gangs],
            worth: (0, 0),
            joints: 0,
            name: 0xCBF2_9CE4_8422_2325,
            shut: 0,
        }
    }

    fn clear(&mut self) {
        self.ends.fill(0);
        self.today.fill(0);
        self.hands.iter_mut().for_each(Vec::clear);
        (self.last, self.worth, self.joints) = (None, (0, 0), 0);
        (self.name, self.shut) = (0xCBF2_9CE4_8422_2325, 0);
    }

    /// The gangs that are at work on a bay after so many minutes and can leave it yet, each with that bay.
    fn at_work(&self, from: u32) -> impl Iterator<Item = (usize, usize)> + '_ {
        let gangs = (0..self.ends.len()).filter(move |&g| self.ends[g] > from && self.shut >> g & 1 == 0);
        gangs.filter_map(|g| self.hands[g].last().map(|&site| (g, site)))
    }

    /// The gang that lays a bay next, and when; `None` when the day must end before it. Bays are begun in the order of the
    /// row, of those begun at once the smaller gang's first.
    fn hand(&self, task: &Task, site: usize, named: Option<usize>) -> Option<(u32, usize)> {
        let own = &task.sites[site];
        let fits = |&gang: &usize| {
            let from = self.ends[gang];
            own.tie.gang.or(named).is_none_or(|g| g == gang)
                && (from == 0 || from + own.minutes[gang] <= task.day[gang])
                && self.last.is_none_or(|last| (from, gang) > last)
        };
        (0..self.ends.len()).filter(fits).map(|gang| (self.ends[gang], gang)).min()
    }
}

impl Splitter {
    /// Stretches kept in mind; a power of two.
    const KEPT: usize = 1 << 14;

    pub(super) fn new(task: &Task) -> Self {
        let n = task.sites.len();
        let words = n.div_ceil(64).max(1);
        let mut beside = vec![0; n * words];
        let mut exits = vec![0; words];
        for (i, site) in task.sites.iter().enumerate() {
            for b in &site.beside {
                beside[i * words + b.site / 64] |= 1 << (b.site % 64);
            }
            exits[i / 64] |= u64::from(site.exit) << (i % 64);
        }
        let units = |joints, bad| Parts { joints, bad, ..Parts::default() }.units(&task.prices);
        let joints: Vec<Vec<(usize, i64)>> = task
            .sites
            .iter()
            .map(|s| s.beside.iter().map(|b| (b.site, units(b.length, b.bad))).collect())
            .collect();
        let ties = || task.sites.iter().map(|s| s.tie);
        Self {
            words,
            beside,
            exits,
            joints,
            tied: ties().any(|t| t.day.is_some() || t.turn.is_some()),
            last_tie: ties().filter_map(|t| t.day).max().unwrap_or(0),
            place: vec![0; n],
            behind: vec![0; n + 1],
            best: Vec::new(),
            split: Row::default(),
            most: most_a_day(task),
            always: (0, 0),
            reach: Reach { seen: vec![0; words], edge: Vec::new() },
            known: vec![(0, [0; 2]); Self::KEPT],
        }
    }

    /// What a row is worth.
    pub(super) fn weigh(&mut self, task: &Task, row: &Row) -> Worth {
        self.split(task, row);
        let plus = |end: usize| (self.best[end].0.0 + self.always.0, self.best[end].0.1 + self.always.1);
        self.end(row).map_or(NONE, plus)
    }

    /// Every site of a row placed, in the order they are begun.
    pub(super) fn placed(&mut self, task: &Task, row: &Row) -> Vec<Placed> {
        self.split(task, row);
        let n = row.sites.len();
        let Some(mut at) = self.end(row) else { return Vec::new() };
        let mut ends = vec![at % (n + 1)];
        let mut days = vec![at / (n + 1)];
        while at % (n + 1) > 0 || at / (n + 1) > 0 {
            at = self.best[at].1;
            ends.push(at % (n + 1));
            days.push(at / (n + 1));
        }
        ends.reverse();
        let mut placed = Vec::with_capacity(n);
        let mut stretch = Stretch::new(task.day.len(), self.words);
        for (day, w) in (0_u32..).zip(ends.windows(2)) {
            stretch.clear();
            for &site in &row.sites[w[0]..w[1]] {
                let Some((from, gang)) = stretch.hand(task, site, row.gangs[site]) else { return Vec::new() };
                let to = from + task.sites[site].minutes[gang];
                placed.push(Placed { day, from, gang, site, to });
                stretch.ends[gang] = to;
                stretch.last = Some((from, gang));
            }
        }
        placed
    }

    /// Days that are told apart: one more than the last tie to a day and those it could push; one where there is none.
    fn days(&self, row: &Row) -> usize {
        if self.last_tie == 0 && !self.tied { 1 } else { row.sites.len() + self.last_tie as usize + 2 }
    }

    /// The best end of the row.
    fn end(&self, row: &Row) -> Option<usize> {
        let n = row.sites.len();
        let ends = (0..self.days(row)).map(|d| d * (n + 1) + n);
        ends.filter(|&e| self.best[e].0 != NONE).min_by_key(|&e| self.best[e].0)
    }

    /// Weighs every end of every day.
    fn split(&mut self, task: &Task, row: &Row) {
        let n = row.sites.len();
        for (place, &site) in row.sites.iter().enumerate() {
            self.place[site] = place;
        }
        self.look_behind(row);
        self.always = self.always(task, row);
        let days = self.days(row);
        let told_apart = days > 1;
        // Ends of days before the first bay that stands elsewhere are reached as before.
        let alike = if told_apart || self.split.sites.len() != n { 0 } else { self.alike(row) };
        self.best.truncate(alike + 1);
        self.best.resize(days * (n + 1), (NONE, 0));
        self.best[0] = ((0, 0), 0);
        self.split.clone_from(row);
        let mut stretch = Stretch::new(task.day.len(), self.words);
        for day in 0..days {
            for start in (alike + 1).saturating_sub(self.most)..n {
                let at = day * (n + 1) + start;
                if self.best[at].0 == NONE {
                    continue;
                }
                let next_day = if told_apart { day + 1 } else { day };
                if next_day >= days {
                    continue;
                }
                if told_apart && day < self.last_tie as usize {
                    self.close(task, at, next_day * (n + 1) + start, (0, 0), start);
                }
                stretch.clear();
                for end in start..n {
                    let Some(own) = self.grow(task, &mut stretch, row, (start, end)) else { break };
                    if end < alike {
                        continue;
                    }
                    let off = |p: &usize| task.sites[*p].tie.day.is_some_and(|d| d as usize != day);
                    let ties =
                        if told_apart { row.sites[start..=end].iter().filter(|p| off(p)).count() } else { 0 };
                    let broken = u32::try_from(ties).unwrap_or(u32::MAX);
                    self.close(task, at, next_day * (n + 1) + end + 1, (own.0 + broken, own.1), end + 1);
                }
            }
        }
    }

    /// Bays at the head of the row that stand as they did, with the same gangs named.
    fn alike(&self, row: &Row) -> usize {
        let same = |(a, b): (&usize, &usize)| a == b && row.gangs[*a] == self.split.gangs[*a];
        row.sites.iter().zip(&self.split.sites).take_while(|pair| same(*pair)).count()
    }

    /// Keeps a day that ends at a place of the row, if nothing better is known.
    fn close(&mut self, task: &Task, from: usize, to: usize, own: Worth, end: usize) {
        let parts = Parts { days: 1, behind: self.behind[end], ..Parts::default() };
        let before = self.best[from].0;
        let worth = (before.0 + own.0, before.1 + own.1 + parts.units(&task.prices));
        if worth < self.best[to].0 {
            self.best[to] = (worth, from);
        }
    }

    /// A day with one bay of the row more: what it costs if it ends there. `None` when it must end before.
    fn grow(
        &mut self,
        task: &Task,
        stretch: &mut Stretch,
        row: &Row,
        (start, end): (usize, usize),
    ) -> Option<Worth> {
        let site = row.sites[end];
        let (from, gang) = stretch.hand(task, site, row.gangs[site])?;
        stretch.last = Some((from, gang));
        let word = (site as u64) << 8 | gang as u64;
        stretch.name = (stretch.name ^ word).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        stretch.name ^= stretch.name >> 29;
        stretch.today[site / 64] |= 1 << (site % 64);
        #[allow(clippy::cast_possible_truncation)] // the low bits are the slot
        let slot = stretch.name as usize & (Self::KEPT - 1);
        let fresh = self.known[slot].0 != stretch.name;
        let shut = if fresh { self.shuts(stretch, site, (from, gang)) } else { self.known[slot].1[0] };
        stretch.hands[gang].push(site);
        stretch.ends[gang] = from + task.sites[site].minutes[gang];
        if fresh {
            let parted = self.parted(&stretch.hands);
            self.known[slot] = (stretch.name, [shut, parted]);
        }
        let parted = self.known[slot].1[1];
        stretch.shut = stretch.shut & !(1 << gang) | shut;
        stretch.worth.0 += shut.count_ones();
        let haul = Parts { haul: task.sites[site].haul[gang], ..Parts::default() };
        stretch.worth.1 += haul.units(&task.prices);
        // Of its joints, those to bays of the same day are none, and those to earlier days are counted there.
        for &(other, units) in &self.joints[site] {
            let place = self.place[other];
            if place > end {
                stretch.joints += units;
            } else if place >= start {
                stretch.joints -= units;
            }
        }
        let parted = Parts { parted, ..Parts::default() };
        Some((stretch.worth.0, stretch.worth.1 + stretch.joints + parted.units(&task.prices)))
    }

    /// What no split changes: laps that face the water, turns that are tied.
    fn always(&self, task: &Task, row: &Row) -> Worth {
        let (mut facing, mut broken) = (0, 0);
        for (place, &site) in row.sites.iter().enumerate() {
            let own = &task.sites[site];
            for b in &own.beside {
                if self.place[b.site] > place {
                    facing += b.above;
                }
            }
            broken += u32::from(own.tie.turn.is_some_and(|t| t as usize != place));
        }
        (broken, Parts { facing, ..Parts::default() }.units(&task.prices))
    }

    /// For every end of a day: bays behind it in the row that are only reached over bays before it. From the end of the row
    /// to its start: a bay more can only open ways.
    fn look_behind(&mut self, row: &Row) {
        let words = self.words;
        let mut reached = vec![0_u64; words];
        let mut open = vec![0_u64; words];
        let (mut left, mut count) = (0, 0);
        self.behind[row.sites.len()] = 0;
        for place in (0..row.sites.len()).rev() {
            let site = row.sites[place];
            open[site / 64] |= 1 << (site % 64);
            left += 1;
            let own = &self.beside[site * words..][..words];
            let found = has(&self.exits, site) || own.iter().zip(&reached).any(|(a, b)| a & b != 0);
            if found {
                self.reach.edge.clear();
                self.reach.edge.push(site);
                reached[site / 64] |= 1 << (site % 64);
                while let Some(i) = self.reach.edge.pop() {
                    count += 1;
                    for w in 0..words {
                        let fresh = self.beside[i * words + w] & open[w] & !reached[w];
                        reached[w] |= fresh;
                        push_all(&mut self.reach.edge, w, fresh);
                    }
                }
            }
            self.behind[place] = left - count;
        }
    }

    /// The gangs that have no way off once a gang begins a bay: it itself, and those at work whose last way this closes.
    fn shuts(&mut self, stretch: &Stretch, site: usize, (from, gang): (u32, usize)) -> u32 {
        self.flood(&stretch.today);
        let cut_off = |site: usize| {
            let beside = &self.beside[site * self.words..][..self.words];
            !has(&self.exits, site) && beside.iter().zip(&self.reach.seen).all(|(a, b)| a & b == 0)
        };
        let others = stretch.at_work(from).filter(|&(_, other)| cut_off(other));
        others.fold(u32::from(cut_off(site)) << gang, |shut, (g, _)| shut | 1 << g)
    }

    /// Finds the sites with a way to an exit over sites not begun today, themselves none of these.
    fn flood(&mut self, today: &[u64]) {
        let words = self.words;
        let Reach { seen, edge } = &mut self.reach;
        edge.clear();
        for w in 0..words {
            seen[w] = self.exits[w] & !today[w];
            push_all(edge, w, seen[w]);
        }
        while let Some(i) = edge.pop() {
            let beside = &self.beside[i * words..][..words];
            for (w, own) in beside.iter().enumerate() {
                let fresh = own & !seen[w] & !today[w];
                seen[w] |= fresh;
                push_all(edge, w, fresh);
            }
        }
    }

    /// Groups beyond the first that do not touch, over the bays of each gang.
    fn parted(&mut self, hands: &[Vec<usize>]) -> u32 {
        hands.iter().map(|own| self.groups(own).saturating_sub(1)).sum()
    }

    fn groups(&mut self, own: &[usize]) -> u32 {
        let mut left = own.to_vec();
        let mut groups = 0;
        while let Some(first) = left.pop() {
            groups += 1;
            self.reach.edge.clear();
            self.reach.edge.push(first);
            while let Some(i) = self.reach.edge.pop() {
                let beside = &self.beside[i * self.words..][..self.words];
                let mut n = 0;
                while n < left.len() {
                    if has(beside, left[n]) {
                        self.reach.edge.push(left.swap_remove(n));
                    } else {
                        n += 1;
                    }
                }
            }
        }
        groups
    }
}

/// Puts the sites of a word of a set on a list.
fn push_all(list: &mut Vec<usize>, word: usize, mut sites: u64) {
    while sites != 0 {
        list.push(word * 64 + sites.trailing_zeros() as usize);
        sites &= sites - 1;
    }
}

fn has(set: &[u64], site: usize) -> bool {
    set[site / 64] >> (site % 64) & 1 == 1
}

/// Most bays that can be laid on one day: the shortest of them by all gangs.
fn most_a_day(task: &Task) -> usize {
    let mut minutes: Vec<u32> =
        task.sites.iter().map(|s| s.minutes.iter().copied().min().unwrap_or(1)).collect();
    minutes.sort_unstable();
    let all: u32 = task.day.iter().sum();
    let sums = minutes.iter().scan(0_u32, |sum, m| {
        *sum = sum.saturating_add(*m);
        Some(*sum)
    });
    // A gang may lay one bay that is longer than its day.
    sums.take_while(|sum| *sum <= all).count() + task.day.len()
}
