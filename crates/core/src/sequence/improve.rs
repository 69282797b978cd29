//! A better order of a job too large to try all orders of: bays, days and gangs moved about, worse ones borne less and
//! less.
//!
//! In: a list to begin with and a number of moves. Out: the best list met. The moves are drawn from a fixed sequence of
//! numbers, so that the same task always ends in the same order.

use super::Task;
use super::genes::{Gene, Scales, Worth};
use super::worth::UNIT;

/// What a broken law counts for while moving, in money: more than any job costs.
const BROKEN: f64 = 1e9;

/// Starting and last warmth, shares of the price of a day.
const WARMTH: [f64; 2] = [0.3, 0.002];

/// What a minute that does not fit counts for while moving, as a share of the price of a day: days are passed through
/// that are a little too full.
const OVER: f64 = 0.01;

/// Moves between two looks at the best: a walk that has gone far astray starts from it again.
const ROUND: u64 = 4_000;

/// An improvement under way.
#[derive(Clone, Debug)]
pub(super) struct Improve {
    genes: Vec<Gene>,
    worth: Worth,
    over: u32,
    best: Vec<Gene>,
    best_worth: Worth,
    scales: Scales,
    draw: Draw,
    moves: u64,
    most: u64,
    idle: bool,
}

impl Improve {
    /// Begins with a list that fits.
    pub(super) fn new(task: &Task, genes: Vec<Gene>, most: u64) -> Self {
        let mut scales = Scales::new(task);
        let (worth, over) = scales.weigh(task, &genes);
        Self {
            best: genes.clone(),
            genes,
            worth,
            over,
            best_worth: worth,
            scales,
            draw: Draw(20_261_125),
            moves: 0,
            most,
            idle: task.sites.iter().any(|s| s.tie.day.is_some()),
        }
    }

    pub(super) fn is_done(&self) -> bool {
        self.moves >= self.most
    }

    pub(super) fn best(&self) -> &[Gene] {
        &self.best
    }

    /// Makes so many moves.
    pub(super) fn advance(&mut self, task: &Task, moves: u64) {
        let end = self.most.min(self.moves + moves);
        while self.moves < end {
            self.moves += 1;
            if self.moves.is_multiple_of(ROUND) {
                self.genes.clone_from(&self.best);
                (self.worth, self.over) = (self.best_worth, 0);
            }
            let Some(moved) = self.moved(task) else { continue };
            let (worth, over) = self.scales.weigh(task, &moved);
            if self.bears(task, worth, over) {
                self.genes = moved;
                (self.worth, self.over) = (worth, over);
                if over == 0 && worth < self.best_worth {
                    self.best_worth = worth;
                    self.best.clone_from(&self.genes);
                }
            }
        }
    }

    /// Whether a worth is borne: always when it is no worse, and the less likely the worse it is and the later.
    #[allow(clippy::cast_precision_loss)]
    fn bears(&mut self, task: &Task, worth: Worth, over: u32) -> bool {
        let day = task.prices.day.max(1) as f64;
        let money = |w: Worth, over: u32| {
            f64::from(w.0) * BROKEN + w.1 as f64 / UNIT as f64 + f64::from(over) * OVER * day
        };
        let worse = money(worth, over) - money(self.worth, self.over);
        if worse <= 0.0 {
            return true;
        }
        let share = self.moves as f64 / self.most as f64;
        let warmth = day * WARMTH[0] * libm::pow(WARMTH[1] / WARMTH[0], share);
        self.draw.share() < libm::exp(-worse / warmth)
    }

    /// The list with one move made, in the order of days and gangs.
    fn moved(&mut self, task: &Task) -> Option<Vec<Gene>> {
        let mut genes = self.genes.clone();
        let n = genes.len();
        let at = self.draw.below(n);
        match self.draw.below(20) {
            0..=8 => self.beside(task, &mut genes, at)?,
            9..=11 => self.swap(task, &mut genes, at)?,
            12 => self.alone(&mut genes, at),
            13 => self.reverse(&mut genes, at),
            14 => self.other_gang(task, &mut genes, at)?,
            15 => join_days(&mut genes, at),
            16 | 17 => self.swap_days(&mut genes, at),
            18 => self.move_day(&mut genes, at),
            _ => self.tail(&mut genes, at),
        }
        if !self.idle {
            close_up(&mut genes);
        }
        Some(genes)
    }

    /// Puts a bay before or after one it touches, on its day and with its gang.
    fn beside(&mut self, task: &Task, genes: &mut Vec<Gene>, at: usize) -> Option<()> {
        let gene = genes.remove(at);
        let beside = &task.sites[gene.site].beside;
        let other = if beside.is_empty() || self.draw.below(8) == 0 {
            self.draw.below(genes.len().max(1))
        } else {
            let site = beside[self.draw.below(beside.len())].site;
            genes.iter().position(|g| g.site == site)?
        };
        let target = *genes.get(other)?;
        let place = other + self.draw.below(2);
        genes.insert(place, Gene { site: gene.site, ..target });
        Some(())
    }

    /// Lets two bays change places.
    fn swap(&mut self, task: &Task, genes: &mut [Gene], at: usize) -> Option<()> {
        let beside = &task.sites[genes[at].site].beside;
        let other = if beside.is_empty() || self.draw.below(3) == 0 {
            self.draw.below(genes.len())
        } else {
            let site = beside[self.draw.below(beside.len())].site;
            genes.iter().position(|g| g.site == site)?
        };
        let (a, b) = (genes[at].site, genes[other].site);
        genes[at].site = b;
        genes[other].site = a;
        Some(())
    }

    /// Gives a bay a day of its own, before or after the one it is on.
    fn alone(&mut self, genes: &mut Vec<Gene>, at: usize) {
        let gene = genes.remove(at);
        let day = gene.day + u32::from(self.draw.below(2) == 1);
        genes.iter_mut().filter(|g| g.day >= day).for_each(|g| g.day += 1);
        let place = genes.partition_point(|g| g.day < day);
        genes.insert(place, Gene { day, ..gene });
    }

    /// Turns a part of what a gang lays on a day round.
    fn reverse(&mut self, genes: &mut [Gene], at: usize) {
        let key = |g: &Gene| (g.day, g.gang);
        let of = key(&genes[at]);
        let start = genes.partition_point(|g| key(g) < of);
        let end = genes.partition_point(|g| key(g) <= of);
        let other = start + self.draw.below(end - start);
        let (from, to) = (at.min(other), at.max(other));
        let sites: Vec<usize> = genes[from..=to].iter().rev().map(|g| g.site).collect();
        for (gene, site) in genes[from..=to].iter_mut().zip(sites) {
            gene.site = site;
        }
    }

    /// Gives a bay to another gang on the same day.
    fn other_gang(&mut self, task: &Task, genes: &mut Vec<Gene>, at: usize) -> Option<()> {
        if task.day.len() < 2 {
            return None;
        }
        let gene = genes.remove(at);
        let gang = (gene.gang + 1 + self.draw.below(task.day.len() - 1)) % task.day.len();
        let start = genes.partition_point(|g| (g.day, g.gang) < (gene.day, gang));
        let end = genes.partition_point(|g| (g.day, g.gang) <= (gene.day, gang));
        let place = start + self.draw.below(end - start + 1);
        genes.insert(place, Gene { gang, ..gene });
        Some(())
    }

    /// Lets two days change places.
    fn swap_days(&mut self, genes: &mut [Gene], at: usize) {
        let (a, b) = (genes[at].day, genes[self.draw.below(genes.len())].day);
        for gene in genes.iter_mut() {
            if gene.day == a {
                gene.day = b;
            } else if gene.day == b {
                gene.day = a;
            }
        }
        genes.sort_by_key(|g| (g.day, g.gang));
    }

    /// Moves a day to another place.
    fn move_day(&mut self, genes: &mut [Gene], at: usize) {
        let (a, b) = (genes[at].day, genes[self.draw.below(genes.len())].day);
        for gene in genes.iter_mut() {
            if gene.day == a {
                gene.day = b;
            } else if a < b && gene.day > a && gene.day <= b {
                gene.day -= 1;
            } else if b < a && gene.day >= b && gene.day < a {
                gene.day += 1;
            }
        }
        genes.sort_by_key(|g| (g.day, g.gang));
    }

    /// Hands the rest of what a gang lays on a day on to the next day, before what it lays there.
    fn tail(&mut self, genes: &mut [Gene], at: usize) {
        let of = (genes[at].day, genes[at].gang);
        let end = genes.partition_point(|g| (g.day, g.gang) <= of);
        let fresh = self.draw.below(3) == 0;
        if fresh {
            genes.iter_mut().filter(|g| g.day > of.0).for_each(|g| g.day += 1);
        }
        genes[at..end].iter_mut().for_each(|g| g.day += 1);
        genes.sort_by_key(|g| (g.day, g.gang));
    }
}

/// Lays a day and the next one on one day.
fn join_days(genes: &mut [Gene], at: usize) {
    let day = genes[at].day;
    genes.iter_mut().filter(|g| g.day > day).for_each(|g| g.day -= 1);
    genes.sort_by_key(|g| (g.day, g.gang));
}

/// Takes out days on which nothing is laid.
fn close_up(genes: &mut [Gene]) {
    let (mut last, mut day) = (genes.first().map_or(0, |g| g.day), 0);
    for gene in genes {
        if gene.day != last {
            day += 1;
            last = gene.day;
        }
        gene.day = day;
    }
}

/// Numbers drawn from a fixed sequence (splitmix64).
#[derive(Clone, Copy, Debug)]
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `n`, or 0.
    #[allow(clippy::cast_possible_truncation)] // the high half of a product of two 32-bit numbers
    fn below(&mut self, n: usize) -> usize {
        (((self.next() >> 32) * n as u64) >> 32) as usize
    }

    /// A share from 0 to below 1.
    #[allow(clippy::cast_precision_loss)]
    fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
}
