//! Changes to a plan, as data.
//!
//! In: a plan and a [`Change`]. Out: a new plan, or one sentence that says why not; the plan given is never touched.
//! What comes out can always be saved: every number is within the limits of the plan file and no id stands twice.
//! Whether it makes a roof is not judged here: that is what findings are for.

mod corners;
mod edges;
pub(crate) mod whole;

use crate::thing::{self, Thing};
use baylap_core::geom::Pt;
use baylap_core::plan::{
    Datum, Detailing, Drainage, Edge, Gang, Id, Job, Mm, Plan, Products, Programme, Recording, SpotLevel,
    file,
};

/// Which end of an edge stays where it is when its length is typed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FixedEnd {
    /// The corner it starts at stays.
    #[default]
    Start,
    /// The corner it ends at stays.
    End,
}

/// A shift on the plan, mm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Shift {
    /// To the right.
    pub dx: Mm,
    /// Up.
    pub dy: Mm,
}

impl Shift {
    /// The shift from one point to another.
    pub fn between(from: Pt, to: Pt) -> Self {
        Self { dx: to.x.saturating_sub(from.x), dy: to.y.saturating_sub(from.y) }
    }

    /// A point after the shift.
    pub fn of(self, p: Pt) -> Pt {
        Pt::new(p.x.saturating_add(self.dx), p.y.saturating_add(self.dy))
    }
}

/// A change to the plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// Adds a thing (id 0: a new id is given) or puts it in place of the one with its id.
    Put(Thing),
    /// Deletes a thing.
    Delete(Id),
    /// Moves a thing; a deck takes what stands on it along when `with_contents`.
    Move {
        /// Which thing.
        id: Id,
        /// How far.
        by: Shift,
        /// Whether what lies inside a deck goes along.
        with_contents: bool,
    },
    /// Moves the whole plan.
    MoveAll(Shift),
    /// Moves one corner of a ring or one point of a line.
    MoveCorner {
        /// Which thing.
        id: Id,
        /// Which corner, from 0.
        corner: u32,
        /// Where to.
        to: Pt,
    },
    /// Moves an edge at right angles to itself; its neighbours stretch along their own lines.
    MoveEdge {
        /// Which thing.
        id: Id,
        /// Which edge, from 0.
        edge: u32,
        /// How far to the left of its direction, mm; negative is to the right.
        by: Mm,
    },
    /// Puts a new corner on an edge or a stretch of a line.
    InsertCorner {
        /// Which thing.
        id: Id,
        /// Which edge, from 0.
        edge: u32,
        /// Where.
        at: Pt,
    },
    /// Takes a corner out; its two edges become one of the first one's kind.
    DeleteCorner {
        /// Which thing.
        id: Id,
        /// Which corner, from 0.
        corner: u32,
    },
    /// Sets what stands along one edge.
    SetEdge {
        /// Which deck or opening.
        id: Id,
        /// Which edge, from 0.
        edge: u32,
        /// What stands there.
        kind: Edge,
    },
    /// Sets what stands along every edge of a ring.
    SetAllEdges {
        /// Which deck or opening.
        id: Id,
        /// What stands there.
        kind: Edge,
    },
    /// Gives an edge a length. One end stays; the other moves along the edge. In a ring of four corners or more, when
    /// the side beyond the moving corner stands at right angles, that side goes along unchanged and the one after it
    /// takes up the difference; else the moving corner alone moves. Of a line, all points beyond go along.
    SetEdgeLength {
        /// Which thing.
        id: Id,
        /// Which edge, from 0.
        edge: u32,
        /// New length, mm.
        length: Mm,
        /// Which end stays.
        fixed: FixedEnd,
    },
    /// Names a thing.
    Rename {
        /// Which thing.
        id: Id,
        /// Its name.
        name: String,
    },
    /// Sets the job data.
    Job(Job),
    /// Sets rolls, laps, sheet and membrane.
    Products(Products),
    /// Sets gang and limits.
    Gang(Gang),
    /// Sets the rule of falls, the rain and how water is reckoned.
    Drainage(Drainage),
    /// Sets gangs, rates, calendar, ties and prices of the order.
    Programme(Programme),
    /// Sets how details are made.
    Detailing(Detailing),
    /// Sets how records are judged and how many are due.
    Recording(Recording),
    /// Adds spot levels, many at once; those with id 0 get new ids.
    Spots {
        /// The levels.
        spots: Vec<SpotLevel>,
        /// Whether those there are go first.
        replace: bool,
    },
    /// Sets or removes the datum.
    Datum(Option<Datum>),
    /// Puts another plan in place of this one: load, clear.
    Replace(Box<Plan>),
    /// Several changes as one.
    All(Vec<Change>),
}

/// The plan after a change.
///
/// # Errors
/// One sentence: what is wrong and what to do.
pub fn apply(plan: &Plan, change: &Change) -> Result<Plan, String> {
    let mut next = plan.clone();
    make(&mut next, change)?;
    within_reach(&next)?;
    file::check(&next).map_err(|problem| problem.to_string())?;
    Ok(next)
}

fn make(plan: &mut Plan, change: &Change) -> Result<(), String> {
    match change {
        Change::Put(thing) => whole::put(plan, thing),
        Change::Delete(id) => whole::delete(plan, *id),
        Change::Move { id, by, with_contents } => whole::shift(plan, *id, *by, *with_contents),
        Change::MoveAll(by) => whole::shift_all(plan, *by),
        Change::Rename { id, name } => whole::rename(plan, *id, name),
        Change::MoveCorner { id, corner, to } => edit(plan, *id, |t| corners::move_to(t, *corner, *to)),
        Change::InsertCorner { id, edge, at } => edit(plan, *id, |t| corners::insert(t, *edge, *at)),
        Change::DeleteCorner { id, corner } => edit(plan, *id, |t| corners::delete(t, *corner)),
        Change::MoveEdge { id, edge, by } => edit(plan, *id, |t| edges::shift(t, *edge, *by)),
        Change::SetEdge { id, edge, kind } => edit(plan, *id, |t| edges::set_kind(t, *edge, kind)),
        Change::SetAllEdges { id, kind } => edit(plan, *id, |t| edges::set_all_kinds(t, kind)),
        Change::SetEdgeLength { id, edge, length, fixed } => {
            edit(plan, *id, |t| edges::set_length(t, *edge, *length, *fixed))
        }
        Change::Job(job) => set(&mut plan.job, job),
        Change::Products(products) => set(&mut plan.products, products),
        Change::Gang(gang) => set(&mut plan.gang, gang),
        Change::Drainage(drainage) => set(&mut plan.drainage, drainage),
        Change::Programme(programme) => set(&mut plan.programme, programme),
        Change::Detailing(detailing) => set(&mut plan.detailing, detailing),
        Change::Recording(recording) => set(&mut plan.recording, recording),
        Change::Spots { spots, replace } => whole::add_spots(plan, spots, *replace),
        Change::Datum(datum) => set_datum(plan, datum),
        Change::Replace(new) => set(plan, new),
        Change::All(changes) => changes.iter().try_for_each(|c| make(plan, c)),
    }
}

fn set<T: Clone>(place: &mut T, value: &T) -> Result<(), String> {
    place.clone_from(value);
    Ok(())
}

fn set_datum(plan: &mut Plan, datum: &Option<Datum>) -> Result<(), String> {
    if datum.as_ref().is_some_and(|d| d.zero == d.along) {
        return Err(
            "The base line has no direction: give its second point another place than the zero.".to_owned()
        );
    }
    set(&mut plan.datum, datum)
}

/// Takes a thing out, changes it and puts it back.
fn edit(
    plan: &mut Plan,
    id: Id,
    change: impl FnOnce(&mut Thing) -> Result<(), String>,
) -> Result<(), String> {
    let mut thing = thing::find(plan, id).ok_or_else(|| gone(id))?;
    change(&mut thing)?;
    thing::put(plan, thing);
    Ok(())
}

fn gone(id: Id) -> String {
    format!("There is no thing {id} in the plan any more: select another.")
}

/// Checks places before the file's own check does, with words for somebody who draws.
fn within_reach(plan: &Plan) -> Result<(), String> {
    let reach = -file::COORDINATE..=file::COORDINATE;
    let far = |p: &Pt| !reach.contains(&p.x) || !reach.contains(&p.y);
    match thing::all(plan).iter().find(|t| t.points().iter().any(far)) {
        Some(t) => Err(format!(
            "{} would lie more than 10 km from the plan's origin: draw nearer to it.",
            capital(&t.title())
        )),
        None => Ok(()),
    }
}

/// The text with a capital at its start.
pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

#[cfg(test)]
mod tests;
