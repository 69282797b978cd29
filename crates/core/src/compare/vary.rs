//! A plan with one way of laying taken.
//!
//! In: a plan, any layout of it (it tells where the zones lie), an alternative. Out: the plan that lays it so. A direction
//! that the user holds stays. Bays tied to a gang or to a day stay tied; where that no longer fits, the layout says so.

use super::Alternative;
use crate::geom::ring::{self, Side};
use crate::layout::{Layout, Zone};
use crate::plan::{Direction, Id, NamedGang, Plan, StartSide, ZoneSetting, file};

/// The plan with an alternative taken.
pub fn with_alternative(plan: &Plan, layout: &Layout, way: &Alternative) -> Plan {
    let mut plan = plan.clone();
    turn(&mut plan, layout, way);
    if let Some(laying) = way.laying {
        plan.products.laying = laying;
    }
    if let Some(roll) = way.roll {
        keep_roll(&mut plan, roll as usize);
    }
    if let Some(courses) = way.courses_per_bay {
        plan.gang.courses_per_bay = courses;
    }
    if let Some(melter) = way.melter.filter(|id| plan.melters.iter().any(|m| m.id == *id)) {
        plan.melters.retain(|m| m.id == melter);
        for gang in &mut plan.programme.gangs {
            gang.melter = None;
        }
    }
    if let Some(gangs) = way.gangs {
        set_gangs(&mut plan, gangs as usize);
    }
    plan
}

/// Gives each zone that is free the direction and the side.
fn turn(plan: &mut Plan, layout: &Layout, way: &Alternative) {
    if way.direction_mdeg.is_none() && way.start.is_none() {
        return;
    }
    for zone in &layout.zones {
        let known = plan.zones.iter().position(|s| lies_in(s, zone));
        let i = match known {
            Some(i) => i,
            None => {
                let Some(bay) = layout.bays.iter().find(|b| b.zone == zone.number) else { continue };
                let id = free_id(plan);
                plan.zones.push(ZoneSetting { id, at: bay.label, ..ZoneSetting::default() });
                plan.zones.len() - 1
            }
        };
        let setting = &mut plan.zones[i];
        if setting.direction != Direction::Best {
            continue;
        }
        if let Some(mdeg) = way.direction_mdeg {
            setting.direction = Direction::Angle { mdeg };
            setting.first = None;
        }
        if let Some(start) = way.start {
            setting.start = start;
            setting.first = None;
        } else if way.direction_mdeg.is_some() {
            setting.start = StartSide::Best;
        }
    }
}

fn lies_in(setting: &ZoneSetting, zone: &Zone) -> bool {
    zone.area.iter().any(|r| ring::locate_in(setting.at, r) != Side::Outside)
}

/// Leaves one kind of roll, at its price.
fn keep_roll(plan: &mut Plan, kind: usize) {
    let Some(kept) = plan.products.rolls.get(kind) else { return };
    let price = plan.products.price(kept);
    let mut kept = kept.clone();
    // By area its price hangs on the first kind, which goes.
    kept.price = Some(price);
    plan.products.rolls = vec![kept];
}

/// Leaves so many gangs, or adds some like the last one.
fn set_gangs(plan: &mut Plan, gangs: usize) {
    let gangs = gangs.max(1);
    plan.programme.gangs.truncate(gangs);
    if plan.programme.gangs.is_empty() && gangs == 1 {
        return;
    }
    while plan.programme.gangs.len() < gangs {
        let id = free_id(plan);
        let last = plan.programme.gangs.last();
        let people = last.map_or(plan.gang.people, |g| g.people);
        let melter = last.and_then(|g| g.melter);
        plan.programme.gangs.push(NamedGang { id, name: String::new(), people, melter });
    }
}

/// An id above all others, or the least free one when there is none above.
fn free_id(plan: &Plan) -> Id {
    let taken: Vec<Id> = file::ids(plan).into_iter().map(|(_, id)| id).collect();
    let above = taken.iter().max().map_or(Some(1), |highest| highest.checked_add(1));
    above.unwrap_or_else(|| (1..Id::MAX).find(|id| !taken.contains(id)).unwrap_or(Id::MAX))
}
