//! Details that others do ahead: on which day those of each bay are done, and how many days before the first pour.
//!
//! In: the days with their turns, the minutes of details of each bay. Out: for each day the bays whose details are done on
//! it. They are done in the order of pouring, each as late as it may be: so that the lead is kept and the people have no
//! gap behind them. It moves no pour.

use crate::layout::days::Days;
use crate::plan::{DetailsBy, Plan};
use crate::rates::Resolved;
use crate::work::details_minutes;

/// Puts the details of bays on days, when others than the gangs do them.
pub(super) fn put(plan: &Plan, rates: &Resolved, days: &mut Days) {
    let DetailsBy::Others { people } = plan.programme.details else { return };
    let day_long = i64::from(rates.day_minutes.max(1));
    let turns: Vec<(i64, u32)> = days
        .days
        .iter()
        .zip(0..)
        .flat_map(|(day, n)| day.turns.iter().map(move |t| (n * day_long + i64::from(t.from), t.bay)))
        .collect();
    let mut free_until = i64::MAX;
    let mut first = 0;
    for (from, bay) in turns.into_iter().rev() {
        let Some(work) = days.bays.iter().find(|w| w.bay == bay) else { continue };
        let end = free_until.min(from - i64::from(rates.lead));
        let minutes = i64::from(details_minutes(work, rates, people));
        free_until = end - minutes;
        if minutes == 0 {
            continue;
        }
        first = first.min(free_until);
        let on = (end - 1).div_euclid(day_long);
        match usize::try_from(on).ok().and_then(|n| days.days.get_mut(n)) {
            Some(day) => day.details_of.push(bay),
            None => days.details_before.push(bay),
        }
    }
    days.details_before.reverse();
    days.days.iter_mut().for_each(|day| day.details_of.reverse());
    days.days_ahead = u32::try_from((-first + day_long - 1).div_euclid(day_long)).unwrap_or(0);
}
