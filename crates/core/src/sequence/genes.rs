//! An order as a list that moves can be made on: every site with its day and gang, day by day, gang by gang.
//!
//! In: a task and such a list. Out: what it is worth, reckoned in one pass over the edges a day, and every site placed.
//! The worth agrees with [`super::worth::score`]; a test holds the two together.

use super::worth::Parts;
use super::{Placed, Task};

/// A site in a list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Gene {
    pub day: u32,
    pub gang: usize,
    pub site: usize,
}

/// What a list is worth: laws and ties broken, then units of cost.
pub(super) type Worth = (u32, i64);

/// Reckons lists of one task; keeps its buffers between calls.
#[derive(Clone, Debug)]
pub(super) struct Scales {
    placed: Vec<Placed>,
    turn: Vec<usize>,
    day: Vec<u32>,
    reached: Vec<bool>,
    open: Vec<bool>,
    stack: Vec<usize>,
    neighbours: Vec<Vec<usize>>,
    exits: Vec<usize>,
}

impl Scales {
    pub(super) fn new(task: &Task) -> Self {
        let n = task.sites.len();
        Self {
            placed: Vec::with_capacity(n),
            turn: vec![0; n],
            day: vec![0; n],
            reached: vec![false; n],
            open: vec![false; n],
            stack: Vec::with_capacity(n),
            neighbours: task.sites.iter().map(|s| s.beside.iter().map(|b| b.site).collect()).collect(),
            exits: (0..n).filter(|&i| task.sites[i].exit).collect(),
        }
    }

    /// Every site of the list placed, in the order they are begun; `None` when a gang's bays do not fit into a day.
    pub(super) fn placed(&mut self, task: &Task, genes: &[Gene]) -> Option<Vec<Placed>> {
        (self.place(task, genes) == 0).then(|| self.placed.clone())
    }

    /// What a list is worth, and the minutes that do not fit into days.
    pub(super) fn weigh(&mut self, task: &Task, genes: &[Gene]) -> (Worth, u32) {
        let over = self.place(task, genes);
        let mut parts = Parts { days: self.placed.last().map_or(0, |p| p.day + 1), ..Parts::default() };
        for (turn, p) in self.placed.iter().enumerate() {
            self.turn[p.site] = turn;
            self.day[p.site] = p.day;
            parts.haul += task.sites[p.site].haul[p.gang];
        }
        self.joined(task, &mut parts);
        parts.parted = self.parted(genes);
        parts.behind = self.behind();
        ((self.ties_broken(task) + self.unreached(), parts.units(&task.prices)), over)
    }

    /// Puts times to a list; the minutes that do not fit into days.
    fn place(&mut self, task: &Task, genes: &[Gene]) -> u32 {
        self.placed.clear();
        let (mut day_start, mut from, mut over) = (0, 0, 0);
        for (n, gene) in genes.iter().enumerate() {
            let first = n == 0 || (genes[n - 1].day, genes[n - 1].gang) != (gene.day, gene.gang);
            if n > 0 && genes[n - 1].day != gene.day {
                self.placed[day_start..].sort_unstable();
                day_start = n;
            }
            if first {
                from = 0;
            }
            let to = from + task.sites[gene.site].minutes[gene.gang];
            if from > 0 {
                over += to.saturating_sub(task.day[gene.gang].max(from));
            }
            self.placed.push(Placed { day: gene.day, from, gang: gene.gang, site: gene.site, to });
            from = to;
        }
        self.placed[day_start..].sort_unstable();
        over
    }

    fn joined(&self, task: &Task, parts: &mut Parts) {
        for (i, site) in task.sites.iter().enumerate() {
            for b in &site.beside {
                if self.turn[b.site] > self.turn[i] {
                    parts.facing += b.above;
                }
                if b.site > i && self.day[b.site] != self.day[i] {
                    parts.joints += b.length;
                    parts.bad += b.bad;
                }
            }
        }
    }

    fn ties_broken(&self, task: &Task) -> u32 {
        let broken = |(turn, p): (usize, &Placed)| {
            let tie = &task.sites[p.site].tie;
            u32::from(tie.day.is_some_and(|d| d != p.day))
                + u32::from(tie.gang.is_some_and(|g| g != p.gang))
                + u32::from(tie.turn.is_some_and(|t| t as usize != turn))
        };
        self.placed.iter().enumerate().map(broken).sum()
    }

    /// Bays that are only reached over bays laid the same day. Each day is gone through backwards: taking the last bay up
    /// again can only open ways, never close one.
    fn unreached(&mut self) -> u32 {
        let mut count = 0;
        let mut end = self.placed.len();
        while end > 0 {
            let day = self.placed[end - 1].day;
            let start = self.placed[..end].iter().rposition(|p| p.day != day).map_or(0, |n| n + 1);
            self.open.fill(true);
            for p in &self.placed[start..end] {
                self.open[p.site] = false;
            }
            self.reached.fill(false);
            self.flood_from_exits();
            for n in (start..end).rev() {
                let site = self.placed[n].site;
                self.open[site] = true;
                count += u32::from(!self.open_up(site));
            }
            end = start;
        }
        count
    }

    /// Bays left at the ends of days that are only reached over laid ones, day by day, idle days too.
    fn behind(&mut self) -> u32 {
        let (mut count, mut left, mut reached) = (0, 0, 0);
        self.open.fill(false);
        self.reached.fill(false);
        let mut end = self.placed.len();
        while end > 0 {
            let day = self.placed[end - 1].day;
            let start = self.placed[..end].iter().rposition(|p| p.day != day).map_or(0, |n| n + 1);
            for n in start..end {
                let site = self.placed[n].site;
                self.open[site] = true;
                left += 1;
                if !self.reached[site] {
                    let before = self.stack.len();
                    debug_assert_eq!(before, 0);
                    reached += self.count_opened(site);
                }
            }
            // What is left on the evenings before this day: one evening, and one more for each idle day between.
            let earlier = start.checked_sub(1).map(|n| day - self.placed[n].day);
            count += earlier.unwrap_or(day) * (left - reached);
            end = start;
        }
        count
    }

    fn flood_from_exits(&mut self) {
        for n in 0..self.exits.len() {
            let exit = self.exits[n];
            if self.open[exit] && !self.reached[exit] {
                self.spread(exit);
            }
        }
    }

    /// Whether a site just opened is reached; goes on from it when it is.
    fn open_up(&mut self, site: usize) -> bool {
        let found = self.exits.contains(&site) || self.neighbours[site].iter().any(|&b| self.reached[b]);
        if found && !self.reached[site] {
            self.spread(site);
        }
        found
    }

    /// As [`Self::open_up`]; how many sites that reaches.
    fn count_opened(&mut self, site: usize) -> u32 {
        let found = self.exits.contains(&site) || self.neighbours[site].iter().any(|&b| self.reached[b]);
        if found { self.spread(site) } else { 0 }
    }

    /// Reaches a site and all open ones from there; how many.
    fn spread(&mut self, site: usize) -> u32 {
        let mut count = 1;
        self.reached[site] = true;
        self.stack.push(site);
        while let Some(i) = self.stack.pop() {
            for &b in &self.neighbours[i] {
                if self.open[b] && !self.reached[b] {
                    self.reached[b] = true;
                    count += 1;
                    self.stack.push(b);
                }
            }
        }
        count
    }

    /// Groups of bays beyond the first that one gang lays in one day.
    fn parted(&mut self, genes: &[Gene]) -> u32 {
        let mut count = 0;
        self.open.fill(false);
        self.reached.fill(false);
        for group in genes.chunk_by(|a, b| (a.day, a.gang) == (b.day, b.gang)) {
            group.iter().for_each(|g| self.open[g.site] = true);
            let mut parts = 0;
            for gene in group {
                if !self.reached[gene.site] {
                    self.spread(gene.site);
                    parts += 1;
                }
            }
            group.iter().for_each(|g| self.open[g.site] = false);
            count += parts - 1;
        }
        count
    }
}
