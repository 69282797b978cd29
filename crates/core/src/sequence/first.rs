//! A first order: day by day, each gang goes on beside what it has just laid, low bays before those above them.
//!
//! In: a task. Out: its bays in a row that could be laid so, with the gang that lays each. It is quick and looks one bay
//! ahead; ties to days and gangs are kept where that is no trouble.

use super::Task;
use super::split::Row;
use super::worth::{left_behind, reaches};
use crate::plan::Mm;

/// A first row.
pub(super) fn row(task: &Task) -> Row {
    let depth = depths(task);
    let none = vec![false; task.sites.len()];
    let mut state = State { laid: none.clone(), today: none, ends: Vec::new(), last: Vec::new() };
    let mut row = Row::new(Vec::with_capacity(task.sites.len()));
    row.gangs = vec![None; task.sites.len()];
    let mut day = 0;
    while row.sites.len() < task.sites.len() {
        state.ends = vec![0; task.day.len()];
        state.last = vec![None; task.day.len()];
        state.today.fill(false);
        let mut resting = vec![false; task.day.len()];
        while let Some(gang) = (0..task.day.len()).filter(|&g| !resting[g]).min_by_key(|&g| state.ends[g]) {
            let next = (0..task.sites.len())
                .filter(|&i| state.may_lay(task, i, (gang, day)))
                .min_by_key(|&i| state.rank(task, i, state.last[gang], (day, depth[i])));
            let Some(site) = next else {
                resting[gang] = true;
                continue;
            };
            state.lay(task, site, gang);
            row.sites.push(site);
            row.gangs[site] = Some(gang);
        }
        // A day on which ties let nothing be laid stays idle; should it never end, the rest follows as it comes.
        day += 1;
        if day as usize > 2 * task.sites.len() + latest_tie(task) {
            row.sites.extend((0..task.sites.len()).filter(|&i| !state.laid[i]));
        }
    }
    row
}

fn latest_tie(task: &Task) -> usize {
    task.sites.iter().filter_map(|s| s.tie.day).max().unwrap_or(0) as usize
}

/// What is laid so far, and what the gangs do.
struct State {
    laid: Vec<bool>,
    today: Vec<bool>,
    /// When each gang is free.
    ends: Vec<u32>,
    /// The bay each has begun last today.
    last: Vec<Option<usize>>,
}

impl State {
    /// Whether a gang may go on with a bay: within its day, with a way off, and without closing that of another gang.
    fn may_lay(&self, task: &Task, i: usize, (gang, day): (usize, u32)) -> bool {
        let site = &task.sites[i];
        let free =
            !self.laid[i] && site.tie.day.is_none_or(|d| d <= day) && site.tie.gang.is_none_or(|g| g == gang);
        let time = self.ends[gang] == 0 || self.ends[gang] + site.minutes[gang] <= task.day[gang];
        let barred = |b| b == i || self.today[b];
        let at_work = |g: usize| self.last[g].filter(|_| self.ends[g] > self.ends[gang]);
        free && time
            && reaches(task, i, barred)
            && (0..self.ends.len()).filter_map(at_work).all(|p| reaches(task, p, barred))
    }

    fn lay(&mut self, task: &Task, site: usize, gang: usize) {
        self.ends[gang] += task.sites[site].minutes[gang];
        self.last[gang] = Some(site);
        self.laid[site] = true;
        self.today[site] = true;
    }

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
pub(super) fn depths(task: &Task) -> Vec<u32> {
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
