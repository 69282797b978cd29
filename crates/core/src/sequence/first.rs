//! A first order: day by day, each gang goes on beside what it has just laid, low bays before those above them.
//!
//! In: a task. Out: its bays in a row that could be laid so. It is quick and looks one bay ahead; ties to days and gangs are
//! kept where that is no trouble.

use super::Task;
use super::worth::{left_behind, reaches};
use crate::plan::Mm;

/// A first row.
pub(super) fn row(task: &Task) -> Vec<usize> {
    let depth = depths(task);
    let mut state = State { laid: vec![false; task.sites.len()], today: vec![false; task.sites.len()] };
    let mut row: Vec<usize> = Vec::with_capacity(task.sites.len());
    let mut day = 0;
    while row.len() < task.sites.len() {
        let mut ends = vec![0_u32; task.day.len()];
        let mut resting = vec![false; task.day.len()];
        let mut last: Vec<Option<usize>> = vec![None; task.day.len()];
        state.today.fill(false);
        while let Some(gang) = (0..ends.len()).filter(|&g| !resting[g]).min_by_key(|&g| ends[g]) {
            let fits = |&i: &usize| {
                let site = &task.sites[i];
                let free = !state.laid[i]
                    && site.tie.day.is_none_or(|d| d <= day)
                    && site.tie.gang.is_none_or(|g| g == gang);
                let time = ends[gang] == 0 || ends[gang] + site.minutes[gang] <= task.day[gang];
                free && time && reaches(task, i, |b| state.today[b])
            };
            let next = (0..task.sites.len())
                .filter(fits)
                .min_by_key(|&i| state.rank(task, i, last[gang], (day, depth[i])));
            let Some(site) = next else {
                resting[gang] = true;
                continue;
            };
            ends[gang] += task.sites[site].minutes[gang];
            last[gang] = Some(site);
            state.laid[site] = true;
            state.today[site] = true;
            row.push(site);
        }
        // A day on which ties let nothing be laid stays idle; should it never end, the rest follows as it comes.
        day += 1;
        if day as usize > 2 * task.sites.len() + latest_tie(task) {
            row.extend((0..task.sites.len()).filter(|&i| !state.laid[i]));
        }
    }
    row
}

fn latest_tie(task: &Task) -> usize {
    task.sites.iter().filter_map(|s| s.tie.day).max().unwrap_or(0) as usize
}

/// What is laid so far.
struct State {
    laid: Vec<bool>,
    today: Vec<bool>,
}

impl State {
    /// How good a bay is to go on with, the less the better: tied to today, nothing of it faces the water, nothing left
    /// behind, beside the last one, beside anything, far from the way off.
    fn rank(
        &self,
        task: &Task,
        site: usize,
        last: Option<usize>,
        (day, depth): (u32, u32),
    ) -> (bool, Mm, u32, bool, bool, std::cmp::Reverse<u32>, usize) {
        let own = &task.sites[site];
        let facing: Mm = own.beside.iter().filter(|b| !self.laid[b.site]).map(|b| b.above).sum();
        let beside_last = last.is_some_and(|l| own.beside.iter().any(|b| b.site == l));
        let beside_any = own.beside.iter().any(|b| self.laid[b.site]);
        let behind = left_behind(task, |i| self.laid[i] || i == site);
        let due = own.tie.day == Some(day);
        (!due, facing, behind, !beside_last, !beside_any, std::cmp::Reverse(depth), site)
    }
}

/// Bays between each site and an exit.
fn depths(task: &Task) -> Vec<u32> {
    let mut depth = vec![u32::MAX; task.sites.len()];
    let mut queue: std::collections::VecDeque<usize> =
        (0..task.sites.len()).filter(|&i| task.sites[i].exit).collect();
    queue.iter().for_each(|&i| depth[i] = 0);
    while let Some(i) = queue.pop_front() {
        for b in &task.sites[i].beside {
            if depth[b.site] == u32::MAX {
                depth[b.site] = depth[i] + 1;
                queue.push_back(b.site);
            }
        }
    }
    depth
}
