//! Bays as sites: what they take, what they touch, which lies above which, and where people leave.
//!
//! In: a plan, its model, a layout with bays, the work of each bay, the ground. Out: a task for the search of an order.
//! Lengths are rounded to the mm here, once.

use crate::calendar::Dates;
use crate::falls::ground::{Ground, Under};
use crate::geom::Pt;
use crate::geom::contact::common_edges;
use crate::layout::days::{BayWork, GangOut};
use crate::layout::{Bay, Layout};
use crate::model::{Model, distance_to};
use crate::numbering::distance_of;
use crate::plan::{Mm, Plan};
use crate::sequence::{Beside, Site, SiteTie, Task};

/// People step off the deck from every bay this near to a way off, beyond the nearest one, mm. Common practice, no source.
const STEP: f64 = 1000.0;

/// A common edge this near to a line that parts zones lies on it, mm.
const ON_LINE: f64 = 5.0;

/// The task of putting the bays of a layout in order.
pub fn task(
    plan: &Plan,
    model: &Model,
    layout: &Layout,
    (works, gangs): (&[BayWork], &[GangOut]),
    ground: Option<&Ground>,
) -> Task {
    let exits = exits(plan, &layout.bays);
    // Without levels, what is known of bad places is the outlets.
    let dry = || Ground::new(&[], 0.0, 0.0).with_lines(&[], &[], &model.outlets);
    let dry = ground.is_none().then(dry);
    let ground = ground.or(dry.as_ref());
    let ties = ties(plan, layout, gangs);
    let mut sites: Vec<Site> = works
        .iter()
        .enumerate()
        .map(|(i, work)| Site {
            minutes: work.minutes.iter().map(|m| m.all().max(1)).collect(),
            haul: work.haul.iter().map(|way| way * i64::from(work.loads)).collect(),
            beside: Vec::new(),
            exit: exits[i],
            tie: ties[i],
        })
        .collect();
    for (i, bay) in layout.bays.iter().enumerate() {
        for j in bay.beside.iter().map(|&n| n as usize - 1).filter(|&j| j > i) {
            let Some(ground) = ground else { continue };
            let (one, other) = joined(model, [bay, &layout.bays[j]], ground);
            sites[i].beside.push(Beside { site: j, ..one });
            sites[j].beside.push(Beside { site: i, ..other });
        }
    }
    for site in &mut sites {
        site.beside.sort_by_key(|b| b.site);
    }
    Task { sites, day: gangs.iter().map(|g| g.minutes).collect(), prices: plan.programme.prices.clone() }
}

/// What joins two bays, as each of them sees it.
fn joined(model: &Model, [one, other]: [&Bay; 2], ground: &Ground) -> (Beside, Beside) {
    let (mut length, mut bad, mut rises) = (0.0, 0.0, [0.0; 2]);
    for (a, b, towards) in common_edges(&one.area, &other.area) {
        if one.zone != other.zone && on_open_line(model, a, b) {
            continue;
        }
        let d = [b[0] - a[0], b[1] - a[1]];
        let own = (d[0] * d[0] + d[1] * d[1]).sqrt();
        length += own;
        let [up, down] = ground.rises(a, b, towards);
        rises = [rises[0] + up, rises[1] + down];
        bad += own * share_of_bad(ground, a, b);
    }
    let same = Beside { site: 0, length: whole(length), bad: whole(bad), above: 0 };
    (Beside { above: whole(rises[0]), ..same }, Beside { above: whole(rises[1]), ..same })
}

fn share_of_bad(ground: &Ground, a: [f64; 2], b: [f64; 2]) -> f64 {
    let bad = |under: Under| matches!(under, Under::Outlet | Under::Pond | Under::LowLine);
    ground.along(a, b).iter().filter(|s| bad(s.under)).map(|s| s.to - s.from).sum()
}

/// Whether an edge lies on a line that nothing is lapped across: no membrane joins the bays there.
fn on_open_line(model: &Model, a: [f64; 2], b: [f64; 2]) -> bool {
    #[allow(clippy::cast_possible_truncation)]
    let middle = Pt::new(f64::midpoint(a[0], b[0]).round() as i64, f64::midpoint(a[1], b[1]).round() as i64);
    let open = model.lines.iter().filter(|line| !line.lapped);
    open.flat_map(|line| line.points.windows(2)).any(|w| distance_to(middle, w[0], w[1]) <= ON_LINE)
}

/// Which bays people leave the roof from: those at each way off.
pub(super) fn exits(plan: &Plan, bays: &[Bay]) -> Vec<bool> {
    let mut exits = vec![false; bays.len()];
    for way in &plan.ways {
        let far: Vec<f64> = bays.iter().map(|bay| distance_of(way.at, &bay.area)).collect();
        let nearest = far.iter().copied().fold(f64::INFINITY, f64::min);
        for (exit, far) in exits.iter_mut().zip(far) {
            *exit |= far <= nearest || far <= STEP;
        }
    }
    exits
}

/// What each bay is tied to. A tie whose place lies in no bay is told by [`super::remark`].
fn ties(plan: &Plan, layout: &Layout, gangs: &[GangOut]) -> Vec<SiteTie> {
    let dates = Dates::of(&plan.programme.calendar);
    let mut ties = vec![SiteTie::default(); layout.bays.len()];
    for tie in &plan.programme.ties {
        let Some(bay) = layout.bay_at(tie.at) else { continue };
        let own = &mut ties[bay];
        let by_date = tie.date.and_then(|date| dates.day_of(date).ok());
        own.day = by_date.or(tie.day).map(|day| day.saturating_sub(1)).or(own.day);
        own.gang = tie.gang.and_then(|id| gangs.iter().position(|g| g.id == id)).or(own.gang);
        own.turn = tie.turn.map(|turn| turn.saturating_sub(1)).or(own.turn);
    }
    ties
}

#[allow(clippy::cast_possible_truncation)]
fn whole(mm: f64) -> Mm {
    libm::round(mm) as Mm
}
