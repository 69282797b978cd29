//! A better order of a job too large to try all orders of: bays and stretches of bays moved about in the row, worse rows
//! borne less and less.
//!
//! In: rows to begin with and an amount of work. Out: the best row met. The moves are drawn from a fixed sequence of
//! numbers and the work is counted, not timed, so that the same task always ends in the same order.

use super::Task;
use super::split::{Row, Splitter, Worth};
use super::window::Window;
use super::worth::UNIT;

/// What a broken law counts for while moving, in money: more than any job costs.
const BROKEN: f64 = 1e9;

/// Starting and last warmth, shares of the price of a day.
const WARMTH: [f64; 2] = [0.1, 0.008];

/// Longest stretch of the row that is moved at once.
const STRETCH: usize = 8;

/// An improvement under way.
#[derive(Clone, Debug)]
pub(super) struct Improve {
    row: Row,
    worth: Worth,
    best: Row,
    best_worth: Worth,
    splitter: Splitter,
    /// None where rows are weighed as a whole.
    window: Option<Window>,
    draw: Draw,
    most: u64,
}

impl Improve {
    /// Begins with the best of some rows; does about so much work.
    pub(super) fn new(task: &Task, rows: Vec<Row>, most: u64) -> Self {
        let mut splitter = Splitter::new(task);
        let weighed = rows.into_iter().map(|row| (splitter.weigh(task, &row), row));
        let (worth, row) = weighed.min().unwrap_or_default();
        let best = row.clone();
        let window = Window::new(task, &mut splitter, &row);
        Self { row, worth, best, best_worth: worth, splitter, window, draw: Draw(20_261_125), most }
    }

    pub(super) fn is_done(&self) -> bool {
        self.row.sites.len() < 2 || self.work() >= self.most
    }

    /// Work done so far.
    pub(super) fn work(&self) -> u64 {
        self.splitter.grower.work
    }

    pub(super) fn best(&self) -> &Row {
        &self.best
    }

    /// What the best row is worth.
    pub(super) fn best_worth(&self) -> Worth {
        self.best_worth
    }

    /// Moves on until so much work has been done.
    pub(super) fn advance(&mut self, task: &Task, until: u64) {
        let mut moved = Row::default();
        while !self.is_done() && self.work() < until {
            // What a move takes besides; one that changes nothing is work as well, or it could go on for ever.
            self.splitter.grower.work += 20 + moved.sites.len() as u64 / 2;
            moved.clone_from(&self.row);
            self.change(task, &mut moved);
            if moved == self.row {
                continue;
            }
            let worth = self.weigh(task, &moved);
            if self.bears(task, worth) {
                if let Some(window) = &mut self.window {
                    window.keep(&mut self.splitter, &moved);
                }
                std::mem::swap(&mut self.row, &mut moved);
                self.worth = worth;
                if worth < self.best_worth {
                    self.best_worth = worth;
                    self.best.clone_from(&self.row);
                }
            }
        }
    }

    fn weigh(&mut self, task: &Task, row: &Row) -> Worth {
        match &mut self.window {
            Some(window) => window.weigh(task, &mut self.splitter, row),
            None => self.splitter.weigh(task, row),
        }
    }

    /// Whether a worth is borne: always when it is no worse, and the less likely the worse it is and the later.
    #[allow(clippy::cast_precision_loss)]
    fn bears(&mut self, task: &Task, worth: Worth) -> bool {
        let money = |w: Worth| f64::from(w.0) * BROKEN + w.1 as f64 / UNIT as f64;
        let worse = money(worth) - money(self.worth);
        if worse <= 0.0 {
            return true;
        }
        let share = self.work() as f64 / self.most as f64;
        let day = task.prices.day.max(1) as f64;
        let warmth = day * WARMTH[0] * libm::pow(WARMTH[1] / WARMTH[0], share);
        self.draw.share() < libm::exp(-worse / warmth)
    }

    /// Makes one move.
    fn change(&mut self, task: &Task, row: &mut Row) {
        let n = row.sites.len();
        let at = self.draw.below(n);
        let gangs = task.day.len();
        if gangs > 1 && self.draw.below(24) == 0 {
            let named = self.draw.below(gangs + 1);
            row.gangs[row.sites[at]] = (named < gangs).then_some(named);
            return;
        }
        let Row { sites: row, gangs: named } = row;
        match self.draw.below(16) {
            0..=6 => {
                let site = row.remove(at);
                let near = self.near(task, row, site);
                if gangs > 1 && self.draw.below(2) == 0 {
                    // Bays that touch are best laid by one gang.
                    named[site] = named[row[near]];
                }
                row.insert((near + self.draw.below(2)).min(row.len()), site);
            }
            7..=9 => {
                let other = self.near(task, row, row[at]);
                if gangs > 1 && self.draw.below(2) == 0 {
                    named.swap(row[at], row[other]);
                }
                row.swap(at, other);
            }
            10..=12 => {
                // A stretch moved to another place, by preference beside what its first or last bay touches.
                let end = (at + 2 + self.draw.below(STRETCH - 1)).min(n);
                let stretch: Vec<usize> = row.drain(at..end).collect();
                let end_site = if self.draw.below(2) == 0 { stretch[0] } else { stretch[stretch.len() - 1] };
                let place = if row.is_empty() {
                    0
                } else {
                    (self.near(task, row, end_site) + self.draw.below(2)).min(row.len())
                };
                let turned = self.draw.below(3) == 0;
                if turned {
                    row.splice(place..place, stretch.into_iter().rev());
                } else {
                    row.splice(place..place, stretch);
                }
            }
            13 | 14 => {
                let end = (at + 2 + self.draw.below(STRETCH - 1)).min(n);
                row[at..end].reverse();
            }
            _ => {
                let end = (at + 1 + self.draw.below(n)).min(n);
                row[at..end].reverse();
            }
        }
    }

    /// Place in the row of a bay that a bay touches; any place now and then.
    fn near(&mut self, task: &Task, row: &[usize], site: usize) -> usize {
        let beside = &task.sites[site].beside;
        if beside.is_empty() || self.draw.below(8) == 0 {
            return self.draw.below(row.len());
        }
        let other = beside[self.draw.below(beside.len())].site;
        row.iter().position(|&s| s == other).unwrap_or(0)
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
