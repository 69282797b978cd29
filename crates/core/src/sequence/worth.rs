//! What an order comes to: laws and ties broken, lengths, walks, and the cost of them.
//!
//! In: a task and every site placed. Out: its score, in whole units. It is the one place that says what an order costs;
//! the searches reckon parts of it and are held against it by tests.

use super::{Placed, Task};
use crate::layout::days::Score;
use crate::plan::{Mm, OrderPrices};
use std::collections::BTreeMap;

/// Units of a hundredth of money: costs are compared in these, so that nothing is rounded before the end.
pub(super) const UNIT: i64 = 100_000;

/// What is to be paid for, counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Parts {
    pub days: u32,
    pub facing: Mm,
    pub joints: Mm,
    pub bad: Mm,
    pub parted: u32,
    pub behind: u32,
    pub haul: Mm,
}

impl Parts {
    /// Their cost in units of [`UNIT`].
    pub(super) fn units(&self, prices: &OrderPrices) -> i64 {
        let metres = prices.facing_metre * self.facing
            + prices.joint_metre * self.joints
            + prices.bad_joint_metre * self.bad;
        let each = prices.day * i64::from(self.days)
            + prices.parted * i64::from(self.parted)
            + prices.left_behind * i64::from(self.behind);
        metres * (UNIT / 1000) + prices.haul * self.haul + each * UNIT
    }
}

/// Units as hundredths of money, rounded to the nearest.
pub(super) fn money(units: i64) -> i64 {
    (units + UNIT / 2).div_euclid(UNIT)
}

/// The score of an order; nothing is said of what is least.
pub(super) fn score(task: &Task, placed: &[Placed]) -> Score {
    let mut order = placed.to_vec();
    order.sort_unstable();
    let parts = Parts {
        days: order.last().map_or(0, |p| p.day + 1),
        facing: facing(task, &order),
        parted: parted(task, &order),
        behind: behind(task, &order),
        haul: order.iter().map(|p| task.sites[p.site].haul[p.gang]).sum(),
        ..joints(task, &order)
    };
    let cost = money(parts.units(&task.prices));
    Score {
        broken: u32::try_from(broken(task, &order).len()).unwrap_or(u32::MAX),
        days: parts.days,
        facing: parts.facing,
        joints: parts.joints,
        bad_joints: parts.bad,
        parted: parts.parted,
        left_behind: parts.behind,
        haul: parts.haul,
        cost,
        least: 0,
        proved: false,
    }
}

/// A law or a tie that an order breaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Broken {
    /// The site.
    pub site: usize,
    /// What is broken.
    pub law: Law,
}

/// What an order can break.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Law {
    /// It is only reached over bays laid the same day (law 9).
    Reach,
    /// It is reached, and when it is done other gangs have begun bays of that day all round its ways off (law 9).
    Leave,
    /// Tied to another day.
    Day,
    /// Tied to another gang.
    Gang,
    /// Tied to another turn.
    Turn,
    /// It does not fit into the day with what its gang lays before it.
    Time,
}

/// All that an order breaks, in its order.
pub fn broken(task: &Task, order: &[Placed]) -> Vec<Broken> {
    let mut out = Vec::new();
    for (turn, p) in order.iter().enumerate() {
        let tie = &task.sites[p.site].tie;
        let mut add = |law| out.push(Broken { site: p.site, law });
        if !reaches(task, p.site, barred(order, |q| (q.day, q.from, q.gang) < (p.day, p.from, p.gang), p)) {
            add(Law::Reach);
        } else if !reaches(task, p.site, barred(order, |q| q.from < p.to, p)) {
            add(Law::Leave);
        }
        if tie.day.is_some_and(|d| d != p.day) {
            add(Law::Day);
        }
        if tie.gang.is_some_and(|g| g != p.gang) {
            add(Law::Gang);
        }
        if tie.turn.is_some_and(|t| t as usize != turn) {
            add(Law::Turn);
        }
        if p.from > 0 && p.to > task.day[p.gang] {
            add(Law::Time);
        }
    }
    out
}

/// What bars the ways from a site placed: of the other sites of its day those that were begun so early.
fn barred<'a>(
    order: &'a [Placed],
    early: impl Fn(&Placed) -> bool + 'a,
    p: &'a Placed,
) -> impl Fn(usize) -> bool + 'a {
    let begun: Vec<usize> =
        order.iter().filter(|q| q.day == p.day && q.site != p.site && early(q)).map(|q| q.site).collect();
    move |site| begun.contains(&site)
}

/// Whether a site has a way to an exit over sites that are not barred.
pub(super) fn reaches(task: &Task, site: usize, barred: impl Fn(usize) -> bool) -> bool {
    let mut seen = vec![false; task.sites.len()];
    let mut stack = vec![site];
    seen[site] = true;
    while let Some(i) = stack.pop() {
        if task.sites[i].exit {
            return true;
        }
        for b in &task.sites[i].beside {
            if !barred(b.site) && !std::mem::replace(&mut seen[b.site], true) {
                stack.push(b.site);
            }
        }
    }
    false
}

fn facing(task: &Task, order: &[Placed]) -> Mm {
    let mut turn = vec![usize::MAX; task.sites.len()];
    for (n, p) in order.iter().enumerate() {
        turn[p.site] = n;
    }
    let of = |i: usize| -> Mm {
        task.sites[i].beside.iter().filter(|b| turn[b.site] > turn[i]).map(|b| b.above).sum()
    };
    (0..task.sites.len()).map(of).sum()
}

fn joints(task: &Task, order: &[Placed]) -> Parts {
    let mut day = vec![u32::MAX; task.sites.len()];
    for p in order {
        day[p.site] = p.day;
    }
    let mut parts = Parts::default();
    for (i, site) in task.sites.iter().enumerate() {
        for b in site.beside.iter().filter(|b| b.site > i && day[b.site] != day[i]) {
            parts.joints += b.length;
            parts.bad += b.bad;
        }
    }
    parts
}

fn parted(task: &Task, order: &[Placed]) -> u32 {
    let mut groups: BTreeMap<(u32, usize), Vec<usize>> = BTreeMap::new();
    for p in order {
        groups.entry((p.day, p.gang)).or_default().push(p.site);
    }
    groups.values().map(|group| parts_of(task, group) - 1).sum()
}

/// Number of parts that touch within a group.
pub(super) fn parts_of(task: &Task, group: &[usize]) -> u32 {
    let mut left = group.to_vec();
    let mut parts = 0;
    while let Some(start) = left.pop() {
        parts += 1;
        let mut stack = vec![start];
        while let Some(i) = stack.pop() {
            for b in &task.sites[i].beside {
                if let Some(n) = left.iter().position(|&s| s == b.site) {
                    left.swap_remove(n);
                    stack.push(b.site);
                }
            }
        }
    }
    parts
}

fn behind(task: &Task, order: &[Placed]) -> u32 {
    let mut laid = vec![false; task.sites.len()];
    let mut count = 0;
    for (n, p) in order.iter().enumerate() {
        laid[p.site] = true;
        let days = order.get(n + 1).map_or(0, |next| next.day - p.day);
        if days > 0 {
            count += days * left_behind(task, |i| laid[i]);
        }
    }
    count
}

/// Sites still to be laid that are only reached over laid ones.
pub(super) fn left_behind(task: &Task, laid: impl Fn(usize) -> bool) -> u32 {
    let n = task.sites.len();
    let mut seen = vec![false; n];
    let mut stack: Vec<usize> = (0..n).filter(|&i| task.sites[i].exit && !laid(i)).collect();
    for &i in &stack {
        seen[i] = true;
    }
    while let Some(i) = stack.pop() {
        for b in &task.sites[i].beside {
            if !laid(b.site) && !std::mem::replace(&mut seen[b.site], true) {
                stack.push(b.site);
            }
        }
    }
    u32::try_from((0..n).filter(|&i| !laid(i) && !seen[i]).count()).unwrap_or(u32::MAX)
}
