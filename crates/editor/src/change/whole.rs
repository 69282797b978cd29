//! Changes of whole things: put, delete, move, name.
//!
//! In: a plan and a thing or its id. Out: the plan changed, or one sentence. What stands on a deck is what begins
//! inside its outline.

use super::{Shift, gone};
use crate::thing::{self, Thing};
use baylap_core::geom::Pt;
use baylap_core::geom::ring::{Side, locate};
use baylap_core::plan::{Deck, Direction, Id, Plan, SpotLevel};

/// Puts a thing in, with a new id when it has none.
pub(super) fn put(plan: &mut Plan, thing: &Thing) -> Result<(), String> {
    let (count, least) = (thing.points().len(), least_points(thing));
    if count < least {
        return Err(format!("A {} needs {least} points and has {count}: draw on.", thing.noun()));
    }
    let mut thing = thing.clone();
    if thing.id() == 0 {
        thing = thing.with_id(free_id(plan));
    }
    let old = thing::find(plan, thing.id());
    let other = match &old {
        Some(old) => std::mem::discriminant(old) != std::mem::discriminant(&thing),
        None => thing::is_taken(plan, thing.id()),
    };
    if other {
        return Err(format!("Number {} is taken by another thing: leave the number out.", thing.id()));
    }
    thing::put(plan, thing);
    Ok(())
}

/// Adds spot levels; those without an id get the next ones.
pub(super) fn add_spots(plan: &mut Plan, spots: &[SpotLevel], replace: bool) -> Result<(), String> {
    let mut last = thing::greatest_id(plan);
    if replace {
        plan.levels.spots.clear();
    }
    for spot in spots {
        let mut spot = spot.clone();
        if spot.id == 0 {
            last = last.checked_add(1).ok_or("No numbers are left for so many levels: leave some out.")?;
            spot.id = last;
        }
        plan.levels.spots.push(spot);
    }
    Ok(())
}

fn least_points(thing: &Thing) -> usize {
    match thing {
        Thing::Deck(_) | Thing::Opening(_) => 3,
        Thing::Joint(_) | Thing::ZoneLine(_) | Thing::LevelLine(_) => 2,
        Thing::Penetration(_) if thing.closed() => 3,
        _ => 1,
    }
}

/// An id above all others, or the least free one when there is none above.
fn free_id(plan: &Plan) -> Id {
    thing::greatest_id(plan)
        .checked_add(1)
        .unwrap_or_else(|| (1..Id::MAX).find(|id| !thing::is_taken(plan, *id)).unwrap_or(Id::MAX))
}

/// Deletes a thing.
pub(super) fn delete(plan: &mut Plan, id: Id) -> Result<(), String> {
    thing::find(plan, id).ok_or_else(|| gone(id))?;
    thing::remove(plan, id);
    Ok(())
}

/// Moves a thing, and what stands on it.
pub(super) fn shift(plan: &mut Plan, id: Id, by: Shift, with_contents: bool) -> Result<(), String> {
    let moved = thing::find(plan, id).ok_or_else(|| gone(id))?;
    let mut all = vec![moved.clone()];
    if let (true, Thing::Deck(deck)) = (with_contents, &moved) {
        all.extend(contents(plan, deck));
        if let Some(datum) = plan.datum.as_mut().filter(|d| stands_on(deck, d.zero)) {
            datum.zero = by.of(datum.zero);
            datum.along = by.of(datum.along);
        }
        for tie in plan.programme.ties.iter_mut().filter(|tie| stands_on(deck, tie.at)) {
            tie.at = by.of(tie.at);
        }
    }
    all.into_iter().for_each(|t| thing::put(plan, shifted(t, by)));
    Ok(())
}

/// What stands on a deck: other things that begin inside its outline.
pub(crate) fn contents(plan: &Plan, deck: &Deck) -> Vec<Thing> {
    let others = thing::all(plan).into_iter().filter(|t| !matches!(t, Thing::Deck(_)));
    others.filter(|t| t.points().first().is_some_and(|p| stands_on(deck, *p))).collect()
}

/// Whether a place is inside a deck's outline or on it.
pub(crate) fn stands_on(deck: &Deck, place: Pt) -> bool {
    let ring: Vec<Pt> = deck.ring.iter().map(|c| c.at).collect();
    locate(place, [ring.as_slice()]) != Side::Outside
}

/// Moves everything.
pub(super) fn shift_all(plan: &mut Plan, by: Shift) -> Result<(), String> {
    thing::all(plan).into_iter().for_each(|t| thing::put(plan, shifted(t, by)));
    if let Some(datum) = plan.datum.as_mut() {
        datum.zero = by.of(datum.zero);
        datum.along = by.of(datum.along);
    }
    for tie in &mut plan.programme.ties {
        tie.at = by.of(tie.at);
    }
    Ok(())
}

fn shifted(mut thing: Thing, by: Shift) -> Thing {
    thing.points_mut().into_iter().for_each(|p| *p = by.of(*p));
    if let Thing::Zone(zone) = &mut thing
        && let Direction::Along { from, to } = &mut zone.direction
    {
        *from = by.of(*from);
        *to = by.of(*to);
    }
    thing
}

/// Names a thing.
pub(super) fn rename(plan: &mut Plan, id: Id, name: &str) -> Result<(), String> {
    let mut thing = thing::find(plan, id).ok_or_else(|| gone(id))?;
    let noun = thing.noun();
    match thing.name_mut() {
        Some(place) => name.clone_into(place),
        None => return Err(format!("A {noun} has no name.")),
    }
    thing::put(plan, thing);
    Ok(())
}
