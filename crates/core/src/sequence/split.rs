//! A row of bays split into days at the least cost.
//!
//! In: a task, its bays in a row, and the gang that is to lay a bay where one is named. Out: the best days that keep the
//! row: each day a stretch of it, its bays handed to the gang named, or to the one that is free first and closes no way off. Every end of every day is weighed, so a search need only look for the row. What a stretch
//! costs by itself is kept in mind between calls. The worth agrees with [`super::worth::score`]; a test holds them together.
//! [`super::window::Window`] weighs rows that differ little, and grows its days here.

use super::day::{Grower, Stretch};
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
pub(super) const NONE: Worth = (u32::MAX, i64::MAX);

/// Two worths together.
pub(super) fn plus(one: Worth, other: Worth) -> Worth {
    if one == NONE || other == NONE { NONE } else { (one.0 + other.0, one.1 + other.1) }
}

/// Splits rows of one task; keeps its buffers between calls.
#[derive(Clone, Debug)]
pub(super) struct Splitter {
    pub(super) grower: Grower,
    tied: bool,
    last_tie: u32,
    /// Where each site stands in the row.
    pub(super) place: Vec<usize>,
    behind: Vec<u32>,
    /// Best worth of the row up to a place at the end of a day, and the place and day it is reached from; the row's own
    /// [`Self::always`] left out.
    best: Vec<(Worth, usize)>,
    /// Most bays of one day.
    pub(super) most: usize,
}

impl Splitter {
    pub(super) fn new(task: &Task) -> Self {
        let n = task.sites.len();
        let ties = || task.sites.iter().map(|s| s.tie);
        Self {
            grower: Grower::new(task),
            tied: ties().any(|t| t.day.is_some() || t.turn.is_some()),
            last_tie: ties().filter_map(|t| t.day).max().unwrap_or(0),
            place: vec![0; n],
            behind: vec![0; n + 1],
            best: Vec::new(),
            most: most_a_day(task).clamp(1, n.max(1)),
        }
    }

    /// What a row is worth.
    pub(super) fn weigh(&mut self, task: &Task, row: &Row) -> Worth {
        self.split(task, row);
        let always = self.always(task, row);
        self.end(row).map_or(NONE, |end| plus(self.best[end].0, always))
    }

    /// Notes where the sites of a part of a row stand.
    pub(super) fn put(&mut self, row: &Row, (first, end): (usize, usize)) {
        for (place, &site) in (first..end).zip(&row.sites[first..end]) {
            self.place[site] = place;
        }
    }

    /// Whether it matters which day is which.
    pub(super) fn tells_days_apart(&self) -> bool {
        self.tied || self.last_tie > 0
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
        let mut stretch = self.grower.empty();
        for (day, w) in (0_u32..).zip(ends.windows(2)) {
            stretch.clear();
            for place in w[0]..w[1] {
                if self.grow(&mut stretch, row, (w[0], place)).is_none() {
                    return Vec::new();
                }
            }
            placed.extend(stretch.in_order().into_iter().map(|p| Placed { day, ..p }));
        }
        placed
    }

    /// A day with one bay of the row more: what it costs if it ends there. `None` when it must end before.
    pub(super) fn grow(&mut self, stretch: &mut Stretch, row: &Row, part: (usize, usize)) -> Option<Worth> {
        self.grower.grow(stretch, (row, &self.place), part)
    }

    /// Days that are told apart: one more than the last tie to a day and those it could push; one where there is none.
    fn days(&self, row: &Row) -> usize {
        if self.tells_days_apart() { row.sites.len() + self.last_tie as usize + 2 } else { 1 }
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
        self.put(row, (0, n));
        self.look_behind(row);
        let days = self.days(row);
        let told_apart = days > 1;
        self.best.clear();
        self.best.resize(days * (n + 1), (NONE, 0));
        self.best[0] = ((0, 0), 0);
        let mut stretch = self.grower.empty();
        for day in 0..days {
            for start in 0..n {
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
                    let Some(own) = self.grow(&mut stretch, row, (start, end)) else { break };
                    let off = |p: &usize| task.sites[*p].tie.day.is_some_and(|d| d as usize != day);
                    let ties =
                        if told_apart { row.sites[start..=end].iter().filter(|p| off(p)).count() } else { 0 };
                    let broken = u32::try_from(ties).unwrap_or(u32::MAX);
                    self.close(task, at, next_day * (n + 1) + end + 1, (own.0 + broken, own.1), end + 1);
                }
            }
        }
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
        let (mut reached, mut bare) = (vec![0; self.grower.words], vec![0; self.grower.words]);
        self.behind[row.sites.len()] = 0;
        for (left, place) in (1..).zip((0..row.sites.len()).rev()) {
            self.grower.open(row.sites[place], &mut bare, &mut reached);
            self.behind[place] = left - reached.iter().map(|w| w.count_ones()).sum::<u32>();
        }
    }
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
