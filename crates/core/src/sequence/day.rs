//! A day that grows by the bays of a row.
//!
//! In: a task, a row, bay after bay. Out: what the day costs should it end there, and the turns of its gangs. A bay goes to
//! the gang that the row names, else to the one that is free first and shuts nobody in. Each gang lays its bays in the order
//! of the row; which of two gangs begins first follows from their times. What a day of the same bays in the same order comes
//! to is kept in mind. It ends no day by itself but where no gang can go on.

use super::split::{Row, Worth};
use super::worth::Parts;
use super::{Placed, Task, first};
use crate::plan::Mm;

/// Days of more bays are not looked for.
const MOST_A_DAY: usize = 64;

/// How much longer a day takes to work out than to find again.
const LEARNING: u64 = 20;

/// What days of one task are reckoned with.
#[derive(Clone, Debug)]
pub(super) struct Grower {
    /// Words of a set of sites.
    pub(super) words: usize,
    /// For each site the sites it touches, as bits.
    beside: Vec<u64>,
    exits: Vec<u64>,
    /// For each site the neighbours that lie nearer to an exit, the nearest first; and all of them, the nearest last.
    towards: Vec<Vec<usize>>,
    around: Vec<Vec<usize>>,
    touching: Vec<Vec<Touching>>,
    /// For each site and gang minutes, and units of what is walked; minutes of a day by gang.
    minutes: Vec<u32>,
    haul: Vec<i64>,
    day: Vec<u32>,
    /// The gang that each site is tied to.
    ties: Vec<Option<usize>>,
    /// Units of a group of bays more.
    parted: i64,
    /// Whether bays must be begun in the order of the row, as where they are tied to a turn.
    in_order: bool,
    known: Vec<Known>,
    /// Work done so far: a day with one bay more, as many times again where it is not kept in mind.
    pub(super) work: u64,
    barred: Vec<u64>,
    seen: Vec<u64>,
    edge: Vec<usize>,
}

/// A site beside another, in units.
#[derive(Clone, Copy, Debug)]
struct Touching {
    site: usize,
    /// A day joint between them.
    joint: i64,
    /// How much more faces the water when this one, later in the row, is begun before the other.
    turned: i64,
}

/// What follows when a bay is laid next on a day that has grown so far.
#[derive(Clone, Copy, Debug)]
struct Known {
    /// Names the day with the bay.
    name: u64,
    /// Units of laps that face the water because gangs begin in another order than that of the row.
    turned: i64,
    /// Bays of the day that have no way off until they are done, by their places in it, as bits.
    shut: u64,
    /// Groups of bays beyond the first of each gang.
    parted: u16,
    /// The gang that lays it; none when the day must end before it.
    gang: Option<u8>,
}

/// A day that is growing along the row.
#[derive(Clone, Debug, Default)]
pub(super) struct Stretch {
    /// When each gang is free.
    ends: Vec<u32>,
    /// What each gang lays, as bits, and all of it in the order of the row.
    hands: Vec<u64>,
    turns: Vec<Placed>,
    /// Of these those that have no way off until they are done, by their places in it, as bits.
    shut: u64,
    /// Units of walks and of laps turned to the water, and of day joints.
    units: i64,
    joints: i64,
    name: u64,
}

impl Stretch {
    pub(super) fn clear(&mut self) {
        self.ends.fill(0);
        self.hands.fill(0);
        self.turns.clear();
        (self.shut, self.units, self.joints, self.name) = (0, 0, 0, 0xCBF2_9CE4_8422_2325);
    }

    /// Its turns in the order they are begun.
    pub(super) fn in_order(&self) -> Vec<Placed> {
        let mut turns = self.turns.clone();
        turns.sort_unstable();
        turns
    }
}

impl Grower {
    /// Days kept in mind; a power of two.
    const KEPT: usize = 1 << 14;

    pub(super) fn new(task: &Task) -> Self {
        let n = task.sites.len();
        let words = n.div_ceil(64).max(1);
        let (mut beside, mut exits) = (vec![0; n * words], vec![0; words]);
        for (i, site) in task.sites.iter().enumerate() {
            site.beside.iter().for_each(|b| beside[i * words + b.site / 64] |= 1 << (b.site % 64));
            exits[i / 64] |= u64::from(site.exit) << (i % 64);
        }
        let depth = first::depths(task);
        let by_depth = |i: usize| {
            let mut near: Vec<usize> = task.sites[i].beside.iter().map(|b| b.site).collect();
            near.sort_by_key(|&j| depth[j]);
            near
        };
        let towards = |i: usize| by_depth(i).into_iter().filter(|&j| depth[j] < depth[i]).collect();
        let around = |i: usize| by_depth(i).into_iter().rev().collect();
        let walk = |mm: &Mm| Parts { haul: *mm, ..Parts::default() }.units(&task.prices);
        Self {
            words,
            beside,
            exits,
            towards: (0..n).map(towards).collect(),
            around: (0..n).map(around).collect(),
            touching: (0..n).map(|i| touching(task, i)).collect(),
            minutes: task.sites.iter().flat_map(|s| s.minutes.iter().copied()).collect(),
            haul: task.sites.iter().flat_map(|s| s.haul.iter().map(walk)).collect(),
            day: task.day.clone(),
            ties: task.sites.iter().map(|s| s.tie.gang).collect(),
            parted: Parts { parted: 1, ..Parts::default() }.units(&task.prices),
            in_order: task.sites.iter().any(|s| s.tie.turn.is_some()),
            known: vec![Known { name: 0, turned: 0, shut: 0, parted: 0, gang: None }; Self::KEPT],
            work: 0,
            barred: vec![0; words],
            seen: vec![0; words],
            edge: Vec::new(),
        }
    }

    /// A day on which nothing is laid yet.
    pub(super) fn empty(&self) -> Stretch {
        let mut day = Stretch::default();
        (day.ends, day.hands) = (vec![0; self.day.len()], vec![0; self.day.len() * self.words]);
        day.clear();
        day
    }

    /// A day that begins at a place of the row with the bay of one place more: what it costs if it ends there, its end left
    /// out. `None` when it must end before. `place` says where each site stands.
    pub(super) fn grow(
        &mut self,
        stretch: &mut Stretch,
        (row, place): (&Row, &[usize]),
        (start, end): (usize, usize),
    ) -> Option<Worth> {
        let site = row.sites[end];
        let named = self.ties[site].or(row.gangs[site]);
        let word = (site as u64) << 8 | named.map_or(0, |g| g as u64 + 1);
        stretch.name = (stretch.name ^ word).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        stretch.name ^= stretch.name >> 29;
        #[allow(clippy::cast_possible_truncation)] // the low bits are the slot
        let slot = stretch.name as usize & (Self::KEPT - 1);
        self.work += 1;
        if self.known[slot].name != stretch.name {
            self.work += LEARNING;
            self.known[slot] = self.learn(stretch, site, named);
        }
        let Known { turned, shut, parted, gang, .. } = self.known[slot];
        let turn = self.turn(stretch, site, usize::from(gang?));
        stretch.ends[turn.gang] = turn.to;
        stretch.hands[turn.gang * self.words + site / 64] |= 1 << (site % 64);
        stretch.turns.push(turn);
        stretch.shut = shut;
        stretch.units += turned + self.haul[site * self.day.len() + turn.gang];
        // Of its joints, those to bays of the same day are none, and those to earlier days are counted there.
        for touching in &self.touching[site] {
            let other = place[touching.site];
            if other > end {
                stretch.joints += touching.joint;
            } else if other >= start {
                stretch.joints -= touching.joint;
            }
        }
        Some((shut.count_ones(), stretch.units + stretch.joints + i64::from(parted) * self.parted))
    }

    /// Adds a site to bare ones, and to those that are reached over bare ones all that it opens the way to.
    pub(super) fn open(&mut self, site: usize, bare: &mut [u64], reached: &mut [u64]) {
        let words = self.words;
        bare[site / 64] |= 1 << (site % 64);
        let own = &self.beside[site * words..][..words];
        if !has(&self.exits, site) && own.iter().zip(reached.iter()).all(|(a, b)| a & b == 0) {
            return;
        }
        self.edge.clear();
        self.edge.push(site);
        reached[site / 64] |= 1 << (site % 64);
        while let Some(i) = self.edge.pop() {
            for w in 0..words {
                let fresh = self.beside[i * words + w] & bare[w] & !reached[w];
                reached[w] |= fresh;
                push_all(&mut self.edge, w, fresh);
            }
        }
    }

    /// What follows when a site is laid next: by the gang named, else by the first free that can go on and shuts nobody in,
    /// or where none does the first free that can go on.
    fn learn(&mut self, stretch: &Stretch, site: usize, named: Option<usize>) -> Known {
        let mut best: Option<(Placed, u64)> = None;
        let mut tried = None;
        while let Some(turn) = self.next_free(stretch, (site, named), tried) {
            let shut = self.shut(stretch, turn);
            best = best.filter(|_| shut != stretch.shut).or(Some((turn, shut)));
            if shut == stretch.shut {
                break;
            }
            tried = Some((turn.from, turn.gang));
        }
        let Some((turn, shut)) = best else {
            return Known { name: stretch.name, turned: 0, shut: 0, parted: 0, gang: None };
        };
        let later = |other: usize| {
            stretch.turns.iter().any(|p| p.site == other && (p.from, p.gang) > (turn.from, turn.gang))
        };
        let turned = self.touching[site].iter().filter(|t| later(t.site)).map(|t| t.turned).sum();
        let parted = self.parted(stretch, turn);
        let parted = u16::try_from(parted).unwrap_or(u16::MAX);
        Known { name: stretch.name, turned, shut, parted, gang: u8::try_from(turn.gang).ok() }
    }

    /// The turn of the gang that can go on first of those that are free after another one.
    fn next_free(
        &self,
        stretch: &Stretch,
        (site, named): (usize, Option<usize>),
        after: Option<(u32, usize)>,
    ) -> Option<Placed> {
        let gangs = (0..self.day.len()).filter(|&gang| named.is_none_or(|n| n == gang));
        let turns = gangs.map(|gang| self.turn(stretch, site, gang));
        let turns = turns.filter(|t| after.is_none_or(|a| (t.from, t.gang) > a) && self.fits(stretch, t));
        turns.min_by_key(|t| (t.from, t.gang))
    }

    fn turn(&self, stretch: &Stretch, site: usize, gang: usize) -> Placed {
        let from = stretch.ends[gang];
        Placed { day: 0, from, gang, site, to: from + self.minutes[site * self.day.len() + gang] }
    }

    /// Whether a gang can go on so within its day.
    fn fits(&self, stretch: &Stretch, turn: &Placed) -> bool {
        let early = |last: &Placed| (turn.from, turn.gang) <= (last.from, last.gang);
        stretch.turns.len() < MOST_A_DAY
            && (turn.from == 0 || turn.to <= self.day[turn.gang])
            && !(self.in_order && stretch.turns.last().is_some_and(early))
    }

    /// Bays of a day, with one more, that have no way off until they are done over bays not begun by then (law 9).
    fn shut(&mut self, stretch: &Stretch, turn: Placed) -> u64 {
        let mut shut = stretch.shut;
        let turns = stretch.turns.iter().chain([&turn]);
        for (at, p) in turns.clone().enumerate() {
            // A bay that is done when the new one is begun is left by then.
            if shut >> at & 1 == 1 || p.to <= turn.from {
                continue;
            }
            let mut barred = std::mem::take(&mut self.barred);
            barred.fill(0);
            for q in turns.clone().filter(|q| q.from < p.to && q.site != p.site) {
                barred[q.site / 64] |= 1 << (q.site % 64);
            }
            shut |= u64::from(!self.leads_off(p.site, &barred)) << at;
            self.barred = barred;
        }
        shut
    }

    /// Whether a way leads from a site to an exit over sites that are not barred. Mostly one that nears it at every step does.
    fn leads_off(&mut self, site: usize, barred: &[u64]) -> bool {
        let mut at = site;
        loop {
            if has(&self.exits, at) {
                return true;
            }
            match self.towards[at].iter().find(|&&next| !has(barred, next)) {
                Some(&next) => at = next,
                None => break,
            }
        }
        self.seen.copy_from_slice(barred);
        self.seen[site / 64] |= 1 << (site % 64);
        self.edge.clear();
        self.edge.push(site);
        while let Some(i) = self.edge.pop() {
            for &next in &self.around[i] {
                let (word, bit) = (next / 64, 1 << (next % 64));
                if self.seen[word] & bit == 0 {
                    if has(&self.exits, next) {
                        return true;
                    }
                    self.seen[word] |= bit;
                    self.edge.push(next);
                }
            }
        }
        false
    }

    /// Groups beyond the first that do not touch, over the bays of each gang, with a bay more of one of them.
    fn parted(&mut self, stretch: &Stretch, turn: Placed) -> u32 {
        let mut parted = 0;
        for (gang, own) in stretch.hands.chunks(self.words).enumerate() {
            self.seen.copy_from_slice(own);
            if gang == turn.gang {
                self.seen[turn.site / 64] |= 1 << (turn.site % 64);
            }
            let mut groups = 0_u32;
            while let Some(first) = (0..self.words).find(|&w| self.seen[w] != 0) {
                groups += 1;
                let site = first * 64 + self.seen[first].trailing_zeros() as usize;
                self.seen[first] &= self.seen[first] - 1;
                self.edge.clear();
                self.edge.push(site);
                while let Some(i) = self.edge.pop() {
                    for w in 0..self.words {
                        let fresh = self.beside[i * self.words + w] & self.seen[w];
                        self.seen[w] &= !fresh;
                        push_all(&mut self.edge, w, fresh);
                    }
                }
            }
            parted += groups.saturating_sub(1);
        }
        parted
    }
}

/// The neighbours of a site.
fn touching(task: &Task, i: usize) -> Vec<Touching> {
    let units = |parts: Parts| parts.units(&task.prices);
    let own = &task.sites[i].beside;
    own.iter()
        .map(|b| {
            let back: Mm = task.sites[b.site].beside.iter().filter(|o| o.site == i).map(|o| o.above).sum();
            Touching {
                site: b.site,
                joint: units(Parts { joints: b.length, bad: b.bad, ..Parts::default() }),
                turned: units(Parts { facing: b.above - back, ..Parts::default() }),
            }
        })
        .collect()
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
