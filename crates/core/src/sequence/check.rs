//! Whether a task holds together: every bay with figures for every gang, neighbours that name each other.
//!
//! In: a task from outside. Out: one sentence that says what is wrong with it. It mends nothing.

use super::Task;
use crate::plan::Mm;

/// Most bays that are put in order at once.
const MOST: usize = 2_000;

/// Largest length and price.
const LARGEST: i64 = 1_000_000_000;

/// Checks a task.
///
/// # Errors
/// One sentence about the first thing that is wrong.
pub fn check(task: &Task) -> Result<(), String> {
    if task.day.is_empty() || task.day.contains(&0) {
        return Err("day: give each gang the minutes of its day, one gang at the least.".to_owned());
    }
    if task.day.len() > 16 || task.day.iter().any(|m| *m > 1440) {
        return Err("day: at most 16 gangs and 1440 minutes are planned with.".to_owned());
    }
    if task.sites.len() > MOST {
        return Err(format!("sites: at most {MOST} bays are put in order at once."));
    }
    let prices = &task.prices;
    let each = [
        prices.day,
        prices.facing_metre,
        prices.joint_metre,
        prices.bad_joint_metre,
        prices.parted,
        prices.left_behind,
        prices.haul,
    ];
    if !each.iter().all(|p| (0..=LARGEST).contains(p)) {
        return Err(format!("prices: write prices from 0 to {LARGEST}."));
    }
    (0..task.sites.len()).try_for_each(|i| check_site(task, i))
}

fn check_site(task: &Task, i: usize) -> Result<(), String> {
    let site = &task.sites[i];
    let gangs = task.day.len();
    if site.minutes.len() != gangs || site.haul.len() != gangs {
        return Err(format!("sites[{i}]: give minutes and haul for each of {gangs} gangs."));
    }
    if !site.minutes.iter().all(|m| (1..=100_000).contains(m)) {
        return Err(format!("sites[{i}].minutes: write minutes from 1 to 100000."));
    }
    let sound = |mm: Mm| (0..=LARGEST).contains(&mm);
    if !site.haul.iter().all(|h| sound(*h)) {
        return Err(format!("sites[{i}].haul: write mm from 0 to {LARGEST}."));
    }
    for b in &site.beside {
        let back = task.sites.get(b.site).and_then(|other| other.beside.iter().find(|o| o.site == i));
        let alike = back.is_some_and(|o| o.length == b.length && o.bad == b.bad);
        let once = site.beside.iter().filter(|o| o.site == b.site).count() == 1;
        if b.site == i || !alike || !once || ![b.length, b.bad, b.above].into_iter().all(sound) {
            return Err(format!(
                "sites[{i}].beside: each bay names each one it touches once, and both give the same length and bad."
            ));
        }
    }
    if site.tie.gang.is_some_and(|g| g >= gangs) || site.tie.day.is_some_and(|d| d > 10_000) {
        return Err(format!("sites[{i}].tie: gangs count from 0 to {}, days from 0 to 10000.", gangs - 1));
    }
    Ok(())
}
