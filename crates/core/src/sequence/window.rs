//! What a changed row is worth: only days that the change touches are weighed again.
//!
//! In: a task, a row that is kept, and rows that differ from it. Out: what each is worth, as [`Splitter`] says it. Days wholly
//! before or behind the places that differ cost what they cost in the row kept: what is laid before a day, and what comes
//! after it, is the same. Where bays are tied to days, days are told apart up to the last that a bay is tied to.

use super::Task;
use super::day::Stretch;
use super::split::{NONE, Row, Splitter, Worth, plus};
use super::worth::Parts;

/// A row that is kept, and what is known of it and of the row weighed last.
#[derive(Clone, Debug)]
pub(super) struct Window {
    row: Row,
    kept: Known,
    tried: Known,
    /// Places that differ in the row weighed last: the first, and the one behind the last.
    changed: (usize, usize),
    /// Least worth of the row kept up to a place at the end of a day, and from there on: for each place by days told apart.
    ahead: Vec<Worth>,
    rest: Vec<Worth>,
    /// Days told apart: up to the last that a bay is tied to, and all later ones as one.
    layers: usize,
    /// Whether every split can be had without a law broken.
    lawful: bool,
    /// Units of the end of a day, and of a bay left behind at it.
    evening: [i64; 2],
    /// Buffers: a day that is growing, and ends of days.
    stretch: Stretch,
    ends: Vec<Worth>,
}

/// What is known of a row, by its places.
#[derive(Clone, Debug, Default)]
struct Known {
    /// For each first bay of a day and each number of bays what that day costs, ties to days left out; [`NONE`] where it
    /// cannot be so long.
    days: Vec<Worth>,
    /// At each place the bays from there on, as bits, those of them with a way off over bays from there on, and how many
    /// have none.
    bare: Vec<u64>,
    reached: Vec<u64>,
    behind: Vec<u32>,
    /// For each place by days told apart: bays before it that are tied to another day.
    off: Vec<u32>,
    /// Turns that are tied and not kept, and laps that face the water.
    always: Worth,
}

/// Most places times days told apart that are kept in tables.
const CELLS: usize = 1 << 18;

impl Window {
    /// Keeps a first row. `None` when there is nothing to change, or too many days are to be told apart.
    pub(super) fn new(task: &Task, splitter: &mut Splitter, row: &Row) -> Option<Self> {
        let (n, words, most) = (row.sites.len(), splitter.grower.words, splitter.most);
        let last_tie = task.sites.iter().filter_map(|s| s.tie.day).max();
        let layers = last_tie.map_or(1, |day| day as usize + 2);
        if n < 2 || layers.saturating_mul(n + 1) > CELLS {
            return None;
        }
        splitter.put(row, (0, n));
        let known = Known {
            days: vec![NONE; n * most],
            bare: vec![0; (n + 1) * words],
            reached: vec![0; (n + 1) * words],
            behind: vec![0; n + 1],
            off: vec![0; (n + 1) * layers],
            always: always(task, splitter, row, (0, n)),
        };
        let units = |parts: Parts| parts.units(&task.prices);
        let mut window = Self {
            row: row.clone(),
            kept: known.clone(),
            tried: known,
            changed: (0, n),
            ahead: vec![NONE; (n + 1) * layers],
            rest: vec![(0, 0); (n + 1) * layers],
            layers,
            lawful: task.sites.iter().all(|s| s.tie.day.is_none() && s.tie.turn.is_none()),
            evening: [
                units(Parts { days: 1, ..Parts::default() }),
                units(Parts { behind: 1, ..Parts::default() }),
            ],
            stretch: splitter.grower.empty(),
            ends: Vec::new(),
        };
        window.look_behind(splitter, row);
        window.ahead[0] = (0, 0);
        let idle_first = window.idle(&window.tried, 0);
        idle(&mut window.ahead[..layers], idle_first);
        window.look(task, splitter, row);
        window.keep(splitter, row);
        Some(window)
    }

    /// What a row is worth.
    pub(super) fn weigh(&mut self, task: &Task, splitter: &mut Splitter, row: &Row) -> Worth {
        let differs = |place: &usize| {
            let (own, other) = (self.row.sites[*place], row.sites[*place]);
            own != other || self.row.gangs[own] != row.gangs[other]
        };
        let n = row.sites.len();
        // A row that does not differ is looked at from its end.
        let first = (0..n).find(differs).unwrap_or(n.saturating_sub(1));
        let last = (first..n).rev().find(differs).unwrap_or(first);
        self.changed = (first, n.min(last + 1));
        let worth = self.look(task, splitter, row);
        // The places are those of the row kept until another is.
        splitter.put(&self.row, self.changed);
        worth
    }

    /// Keeps the row weighed last.
    pub(super) fn keep(&mut self, splitter: &mut Splitter, row: &Row) {
        let (first, end) = self.changed;
        let (n, words, most, layers) = (row.sites.len(), splitter.grower.words, splitter.most, self.layers);
        self.row.clone_from(row);
        splitter.put(row, self.changed);
        let starts = (first + 1).saturating_sub(most)..end;
        let days = starts.start * most..starts.end * most;
        self.kept.days[days.clone()].copy_from_slice(&self.tried.days[days]);
        let places = first * words..end * words;
        self.kept.bare[places.clone()].copy_from_slice(&self.tried.bare[places.clone()]);
        self.kept.reached[places.clone()].copy_from_slice(&self.tried.reached[places]);
        self.kept.behind[first..end].copy_from_slice(&self.tried.behind[first..end]);
        let cells = first * layers..(end + 1) * layers;
        self.kept.off[cells.clone()].copy_from_slice(&self.tried.off[cells]);
        self.kept.always = self.tried.always;
        for place in first + 1..=n {
            self.come_to(place, most);
        }
        for place in (0..end).rev() {
            self.go_on_from(place, (n, most));
        }
    }

    /// The least worth of the row kept up to a place.
    fn come_to(&mut self, place: usize, most: usize) {
        let layers = self.layers;
        let mut least = std::mem::take(&mut self.ends);
        least.clear();
        least.resize(layers, NONE);
        for start in place.saturating_sub(most)..place {
            let day = self.kept.days[start * most + place - start - 1];
            if day == NONE {
                continue;
            }
            for layer in 0..layers {
                let off = self.kept.off[place * layers + layer] - self.kept.off[start * layers + layer];
                let worth = plus(self.ahead[start * layers + layer], (day.0 + off, day.1));
                let next = layers.min(layer + 2) - 1;
                least[next] = least[next].min(worth);
            }
        }
        idle(&mut least, self.idle(&self.kept, place));
        self.ahead[place * layers..][..layers].copy_from_slice(&least);
        self.ends = least;
    }

    /// The least worth of the row kept from a place on.
    fn go_on_from(&mut self, place: usize, (n, most): (usize, usize)) {
        let layers = self.layers;
        for layer in (0..layers).rev() {
            let next = layers.min(layer + 2) - 1;
            let mut least = NONE;
            for end in place + 1..=n.min(place + most) {
                let day = self.kept.days[place * most + end - place - 1];
                if day == NONE {
                    break;
                }
                let off = self.kept.off[end * layers + layer] - self.kept.off[place * layers + layer];
                least = least.min(plus((day.0 + off, day.1), self.rest[end * layers + next]));
            }
            if layer + 2 < layers {
                least = least.min(plus(self.idle(&self.kept, place), self.rest[place * layers + layer + 1]));
            }
            self.rest[place * layers + layer] = least;
        }
    }

    /// What a day without work costs between two places of the row.
    fn idle(&self, known: &Known, place: usize) -> Worth {
        (0, self.evening[0] + self.evening[1] * i64::from(known.behind[place]))
    }

    /// Weighs the days of a row that touch the places that differ.
    fn look(&mut self, task: &Task, splitter: &mut Splitter, row: &Row) -> Worth {
        let (first, end) = self.changed;
        let (n, most, layers) = (row.sites.len(), splitter.most, self.layers);
        let was = always(task, splitter, &self.row, self.changed);
        splitter.put(row, self.changed);
        let is = always(task, splitter, row, self.changed);
        let before = self.kept.always;
        self.tried.always = (before.0 + is.0 - was.0, before.1 + is.1 - was.1);
        self.look_behind(splitter, row);
        self.look_at_ties(task, row);
        let from = (first + 1).saturating_sub(most);
        // Ends of days, from that of the first of these days on.
        let mut ahead = std::mem::take(&mut self.ends);
        ahead.clear();
        ahead.extend_from_slice(&self.ahead[from * layers..(first + 1) * layers]);
        ahead.resize((n.min(end - 1 + most) + 1 - from) * layers, NONE);
        let mut least = NONE;
        for start in from..end {
            let days = start * most..(start + 1) * most;
            if start < first && self.kept.days[days.start + first - start - 1] == NONE {
                // A day that ends before the places that differ.
                self.tried.days[days.clone()].copy_from_slice(&self.kept.days[days]);
                continue;
            }
            self.tried.days[days].fill(NONE);
            if start > first {
                idle(&mut ahead[(start - from) * layers..][..layers], self.idle(&self.tried, start));
            }
            self.stretch.clear();
            for place in start..n.min(start + most) {
                let own = splitter.grow(&mut self.stretch, row, (start, place));
                // Bays each on a day of their own break no law: where no tie asks for it no best split has a day that does.
                let Some(own) = own.filter(|own| own.0 == 0 || !self.lawful) else { break };
                // What a day leaves behind depends on where it ends alone.
                let of = if (first..end).contains(&(place + 1)) { &self.tried } else { &self.kept };
                let day = plus(own, self.idle(of, place + 1));
                self.tried.days[start * most + place - start] = day;
                if place < first {
                    continue;
                }
                for layer in 0..layers {
                    let off = self.off(place + 1, layer) - self.off(start, layer);
                    let worth = plus(ahead[(start - from) * layers + layer], (day.0 + off, day.1));
                    let next = layers.min(layer + 2) - 1;
                    let at = (place + 1 - from) * layers + next;
                    ahead[at] = ahead[at].min(worth);
                    if place + 1 >= end {
                        least = least.min(plus(worth, self.rest[(place + 1) * layers + next]));
                    }
                }
            }
        }
        self.ends = ahead;
        plus(least, self.tried.always)
    }

    /// Bays before a place of the row weighed last that are tied to another day.
    fn off(&self, place: usize, layer: usize) -> u32 {
        let (first, end) = self.changed;
        let of = if (first..=end).contains(&place) { &self.tried } else { &self.kept };
        of.off[place * self.layers + layer]
    }

    /// For every place that differs: which bays from there on have a way off over these. From the last to the first: a bay
    /// more can only open ways.
    fn look_behind(&mut self, splitter: &mut Splitter, row: &Row) {
        let (first, end) = self.changed;
        let words = splitter.grower.words;
        let at = |place: usize| place * words..(place + 1) * words;
        let Known { bare, reached, behind, .. } = &mut self.tried;
        bare[at(end)].copy_from_slice(&self.kept.bare[at(end)]);
        reached[at(end)].copy_from_slice(&self.kept.reached[at(end)]);
        for place in (first..end).rev() {
            bare.copy_within(at(place + 1), place * words);
            reached.copy_within(at(place + 1), place * words);
            splitter.grower.open(row.sites[place], &mut bare[at(place)], &mut reached[at(place)]);
            let open: u32 = reached[at(place)].iter().map(|w| w.count_ones()).sum();
            behind[place] = u32::try_from(row.sites.len() - place).unwrap_or(u32::MAX) - open;
        }
    }

    /// For every place that differs: how many bays before it are tied to another day.
    fn look_at_ties(&mut self, task: &Task, row: &Row) {
        let (first, end) = self.changed;
        let layers = self.layers;
        self.tried.off[first * layers..][..layers]
            .copy_from_slice(&self.kept.off[first * layers..][..layers]);
        for place in first..end {
            let tie = task.sites[row.sites[place]].tie.day;
            for layer in 0..layers {
                let off = u32::from(tie.is_some_and(|day| day as usize != layer));
                self.tried.off[(place + 1) * layers + layer] = self.tried.off[place * layers + layer] + off;
            }
        }
    }
}

/// Lets days pass without work up to the last that a bay is tied to.
fn idle(ends: &mut [Worth], cost: Worth) {
    for layer in 0..ends.len().saturating_sub(2) {
        ends[layer + 1] = ends[layer + 1].min(plus(ends[layer], cost));
    }
}

/// What no split changes, of a part of the row and between its bays: turns that are tied and not kept, laps that face the
/// water. The splitter holds their places.
fn always(task: &Task, splitter: &Splitter, row: &Row, (first, end): (usize, usize)) -> Worth {
    let (mut facing, mut turns) = (0, 0);
    for (place, &site) in (first..end).zip(&row.sites[first..end]) {
        let own = &task.sites[site];
        let later = |other: usize| splitter.place[other] > place && splitter.place[other] < end;
        facing += own.beside.iter().filter(|b| later(b.site)).map(|b| b.above).sum::<i64>();
        turns += u32::from(own.tie.turn.is_some_and(|turn| turn as usize != place));
    }
    (turns, Parts { facing, ..Parts::default() }.units(&task.prices))
}
