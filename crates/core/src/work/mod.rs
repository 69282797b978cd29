//! Work: what each bay takes to lay, from its geometry and the rates.
//!
//! In: a plan, its checked decks, its bays with their numbers. Out: for each bay its upstands, corners, free edges, joints,
//! penetrations, pitch pockets and outlets, the membrane and the way it is carried, and the minutes of each gang. Bays
//! partition the decks, so every wall, joint and thing belongs to one bay and the sums are those of the layout's details.
//! Where bays share something it is done with the one poured first, the lower number: after bays are numbered anew the
//! work is asked for anew. It puts nothing in order and knows no dates.

mod haul;
mod joints;
mod minutes;
mod place;
mod pockets;
mod walls;

pub use minutes::{details_minutes, hot};
pub use pockets::{Pocket, pockets};

use crate::finding::{About, Finding};
use crate::geom::Pt;
use crate::layout::Bay;
use crate::layout::days::{BayWork, GangOut};
use crate::model::Model;
use crate::plan::{DetailsBy, Id, Mm, Plan};
use crate::rates::{self, Resolved};
use place::Place;

/// The gangs of a plan, numbered from 1 by their place: those it names, or the one of its people.
pub fn gangs(plan: &Plan) -> Vec<GangOut> {
    let rates = rates::resolve(plan);
    let minutes = rates.day_minutes.saturating_sub(rates.first_thing);
    let named = plan.programme.gangs.iter().map(|g| GangOut {
        id: g.id,
        name: g.name.clone(),
        people: g.people.max(1),
        minutes,
    });
    let gangs: Vec<GangOut> = named.collect();
    if gangs.is_empty() {
        return vec![GangOut { id: 0, name: String::new(), people: rates.people, minutes }];
    }
    gangs
}

/// The work of each bay, in the order of `bays`.
pub fn of_bays(plan: &Plan, model: &Model, bays: &[Bay]) -> Vec<BayWork> {
    let rates = rates::resolve(plan);
    let places = Place::all(bays);
    let mut work: Vec<BayWork> =
        bays.iter().map(|b| BayWork { bay: b.number, ..BayWork::default() }).collect();
    for (deck, own) in model.decks.iter().zip(place::by_deck(&model.decks, &places)) {
        for (place, along) in own.iter().zip(walls::along(deck, &own)) {
            let bay = &mut work[place.index];
            bay.upstands = along.upstands(&plan.products);
            bay.free_edges = along.free_edges();
            (bay.outside_corners, bay.inside_corners) = (along.outside, along.inside);
        }
        let joints = plan.joints.iter().map(|j| j.points.as_slice());
        for (place, length) in own.iter().zip(joints::along(deck, &own, joints)) {
            work[place.index].joints = walls::nearest(length);
        }
    }
    let filled = put_things(plan, &places, &rates, &mut work);
    let ways: Vec<(Id, Vec<Mm>)> =
        plan.melters.iter().map(|m| (m.id, haul::ways(plan, &places, m.at))).collect();
    let gangs = gangs(plan);
    for (index, (bay, out)) in bays.iter().zip(&mut work).enumerate() {
        pour(plan, bay, filled[index], out);
        let carried = out.millilitres + if by_gang(plan) { out.details_millilitres } else { 0 };
        out.loads = minutes::loads(carried, &rates);
        for (n, gang) in gangs.iter().enumerate() {
            let own = plan.programme.gangs.get(n).and_then(|g| g.melter);
            let (melter, way) = melter_for(&ways, own, index);
            out.melters.push(melter);
            out.haul.push(way);
            let mut took = minutes::of_gang(bay.size, out, &rates, (gang.people, way));
            if !by_gang(plan) {
                took.details = 0;
            }
            out.minutes.push(took);
        }
    }
    work
}

/// For each place the bay it belongs to, as an index into `bays`: of those that hold or touch it the one poured first,
/// else the nearest.
pub fn bays_at(bays: &[Bay], at: impl Iterator<Item = Pt>) -> Vec<Option<usize>> {
    let places = Place::all(bays);
    at.map(|p| place::nearest(&places, p)).collect()
}

/// Findings about gangs and melters.
pub fn check(plan: &Plan, findings: &mut Vec<Finding>) {
    for (n, gang) in plan.programme.gangs.iter().enumerate() {
        let Some(melter) = gang.melter.filter(|id| plan.melters.iter().all(|m| m.id != *id)) else {
            continue;
        };
        let text = format!("Gang {} draws from melter {melter}, which is not on the plan.", n + 1);
        let mend = "Choose one of the melters drawn; until then it draws from the nearest to each bay.";
        let about = About::Setting(format!("programme.gangs[{n}].melter"));
        findings.push(Finding::warning("gang-without-melter", about, text, mend));
    }
}

/// Whether the gangs do the details of the bays they pour.
fn by_gang(plan: &Plan) -> bool {
    plan.programme.details == DetailsBy::Gang
}

/// The melter a gang draws from for a bay, and the way from it: its own, else the nearest; 0 and no way when there is none.
fn melter_for(ways: &[(Id, Vec<Mm>)], own: Option<Id>, bay: usize) -> (Id, Mm) {
    let way = |(id, far): &(Id, Vec<Mm>)| (*id, far[bay]);
    let named = ways.iter().find(|(id, _)| Some(*id) == own).map(way);
    named.or_else(|| ways.iter().map(way).min_by_key(|(_, far)| *far)).unwrap_or((0, 0))
}

/// Gives each penetration, pocket and outlet to a bay; the membrane of the pockets of each bay, millilitres.
fn put_things(plan: &Plan, places: &[Place<'_>], rates: &Resolved, work: &mut [BayWork]) -> Vec<i64> {
    let mut filled = vec![0; work.len()];
    for penetration in plan.penetrations.iter().filter(|p| p.pocket.is_none()) {
        if let Some(i) = place::nearest(places, pockets::middle(penetration)) {
            work[i].penetrations.push(penetration.id);
        }
    }
    for pocket in pockets(plan, rates.pocket_depth) {
        if let Some(i) = place::nearest(places, pocket.at) {
            work[i].pockets.push(pocket.number);
            filled[i] += pocket.first + pocket.second;
        }
    }
    for outlet in &plan.outlets {
        if let Some(i) = place::nearest(places, outlet.at) {
            work[i].outlets.push(outlet.id);
        }
    }
    filled
}

/// The membrane of a bay: every coat over its area, and over the girth of its upstands.
fn pour(plan: &Plan, bay: &Bay, pockets: i64, out: &mut BayWork) {
    let coats: i128 = plan.products.coats.iter().map(|c| i128::from(*c)).sum();
    // mm2 x 1/100 mm: 10^2 to a mm3, 10^3 to a millilitre. To the nearest.
    let millilitres = |area: i128| i64::try_from((area * coats + 50_000) / 100_000).unwrap_or(i64::MAX);
    out.millilitres = millilitres(i128::from(bay.size));
    let girths = out.upstands.iter().map(|u| i128::from(u.length) * i128::from(u.girth)).sum();
    out.details_millilitres = millilitres(girths).saturating_add(pockets);
}

#[cfg(test)]
mod tests;

#[cfg(test)]
pub(crate) use tests::DEMOS;
