//! The days written out: an order of bays as days with turns, joints left open and the place of the bond test.
//!
//! In: a layout whose bays are numbered in the order of the answer, their work, and the answer. Out: the days, without
//! materials of days; melters drawn from. Nothing is decided here.

use crate::calendar::Dates;
use crate::layout::Layout;
use crate::layout::days::{BayWork, Day, DayJoint, Days, GangOut, Turn};
use crate::plan::Plan;
use crate::sequence::{Answer, Placed, Task};
use crate::{melting, rates};

/// The days of an order. `task` and `works` are of the bays as they were when the order was looked for: site `i` is bay
/// `i`; `answer.placed[k]` has become bay `k + 1` of `layout`.
pub fn write(
    plan: &Plan,
    layout: &Layout,
    (works, gangs): (&[BayWork], &[GangOut]),
    task: &Task,
    answer: &Answer,
) -> Days {
    let rates = rates::resolve(plan);
    let mut number = vec![0_u32; task.sites.len()];
    for (placed, n) in answer.placed.iter().zip(1..) {
        number[placed.site] = n;
    }
    let mut bays: Vec<BayWork> = works.to_vec();
    for (work, n) in bays.iter_mut().zip(&number) {
        work.bay = *n;
    }
    bays.sort_by_key(|work| work.bay);
    let last = answer.placed.last().map_or(0, |p| p.day + 1);
    let dates = Dates::of(&plan.programme.calendar);
    let day = |n: u32| {
        let turns: Vec<&Placed> = answer.placed.iter().filter(|p| p.day == n).collect();
        Day {
            number: n + 1,
            date: dates.nth(n + 1),
            joints: joints(task, answer, n, &number),
            test_at: turns
                .first()
                .and_then(|p| layout.bays.get(number[p.site] as usize - 1))
                .map(|b| b.label),
            turns: turns.into_iter().map(|p| turn(p, &number, rates.before_bays())).collect(),
            ..Day::default()
        }
    };
    let mut days = Days {
        gangs: gangs.to_vec(),
        bays,
        days: (0..last).map(day).collect(),
        score: answer.score,
        examples: rates.examples.clone(),
        finish: if last > 0 { dates.finish(last) } else { None },
        ..Days::default()
    };
    super::ahead::put(plan, &rates, &mut days);
    for n in 0..days.days.len() {
        days.days[n].melters = melting::of_day(plan, &rates, &days.bays, &days.days[n]);
    }
    days
}

fn turn(placed: &Placed, number: &[u32], before: u32) -> Turn {
    Turn {
        bay: number[placed.site],
        gang: u32::try_from(placed.gang + 1).unwrap_or(u32::MAX),
        from: before + placed.from,
        to: before + placed.to,
    }
}

/// The edges that are open at the end of a day: between bays of that day and bays of later ones.
fn joints(task: &Task, answer: &Answer, day: u32, number: &[u32]) -> Vec<DayJoint> {
    let mut on = vec![0; task.sites.len()];
    for p in &answer.placed {
        on[p.site] = p.day;
    }
    let mut joints: Vec<DayJoint> = Vec::new();
    for p in answer.placed.iter().filter(|p| p.day == day) {
        for b in task.sites[p.site].beside.iter().filter(|b| on[b.site] > day && b.length > 0) {
            let (laid, next) = (number[p.site], number[b.site]);
            joints.push(DayJoint { laid, next, length: b.length, bad: b.bad });
        }
    }
    joints.sort_by_key(|j| (j.laid, j.next));
    joints
}
