//! What no order of a task costs less than.
//!
//! In: a task. Out: units of cost. It adds up what cannot be had more cheaply part by part: as many days as the time
//! takes, the shortest walks, and the day joints that so many days need at the least. It is a bound, not an order.

use super::Task;
use super::worth::Parts;
use crate::plan::Mm;

/// The bound.
pub(super) fn units(task: &Task) -> i64 {
    if task.sites.is_empty() {
        return 0;
    }
    let days = days(task);
    let joints = joints(task, days);
    let haul = task.sites.iter().map(|s| s.haul.iter().copied().min().unwrap_or(0)).sum();
    Parts { days, joints, haul, ..Parts::default() }.units(&task.prices)
}

/// Days that the time alone takes: all minutes over all gangs' minutes, bays longer than a day counted as a day; and as many
/// as ties ask for.
fn days(task: &Task) -> u32 {
    let longest = task.day.iter().copied().max().unwrap_or(0).max(1);
    let minutes = |m: &u32| u64::from((*m).min(longest));
    let each = task.sites.iter().map(|s| s.minutes.iter().map(minutes).min().unwrap_or(0));
    let (all, a_day): (u64, u64) = (each.sum(), task.day.iter().map(|m| u64::from(*m)).sum());
    // Two bays of more than half a day each never share one gang's day.
    let halves = |s: &&super::Site| s.minutes.iter().zip(&task.day).all(|(m, d)| 2 * m > *d);
    let large = task.sites.iter().filter(halves).count().div_ceil(task.day.len().max(1));
    let by_time = u32::try_from(all.div_ceil(a_day.max(1))).unwrap_or(u32::MAX);
    let tied = task.sites.iter().filter_map(|s| s.tie.day).max().map_or(1, |d| d + 1);
    by_time.max(u32::try_from(large).unwrap_or(u32::MAX)).max(tied).max(1)
}

/// Bays on so many days leave so many parts of the roof joined to one another: at least one edge fewer than parts, each at
/// least as long as the shortest there are. Idle days join nothing, so ties make it no surer than the time does.
fn joints(task: &Task, days: u32) -> Mm {
    if task.sites.iter().any(|s| s.tie.day.is_some()) {
        return 0;
    }
    let mut edges: Vec<Mm> = Vec::new();
    for (i, site) in task.sites.iter().enumerate() {
        edges.extend(site.beside.iter().filter(|b| b.site > i).map(|b| b.length));
    }
    edges.sort_unstable();
    let all: Vec<usize> = (0..task.sites.len()).collect();
    let groups = super::worth::parts_of(task, &all);
    edges.iter().take(days.saturating_sub(groups) as usize).sum()
}
