//! Dragging what is there: corners, edges, whole things, the datum.
//!
//! In: where a pointer went down on a handle, and where it is. Out: the plan changed with it, as a drag that is one
//! undo step at its end and none when it is given up. Every step starts from the plan before the drag.

use super::Session;
use super::pointer::reach;
use crate::change::whole::{contents, stands_on};
use crate::change::{Change, Shift};
use crate::history::Policy;
use crate::hit;
use crate::message::{Effects, Modifiers, PointerEvent, PointerKind, Px};
use crate::overlay::{HandleKind, handles};
use crate::selection::Selection;
use crate::snap::{self, Except, Query, SnapSettings, Targets, vector};
use crate::thing::{self, Thing};
use baylap_core::Plan;
use baylap_core::geom::Pt;
use baylap_core::plan::{Datum, Deck, Id};
use std::sync::Arc;

/// What is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Grab {
    /// A corner or point.
    Corner { id: Id, corner: u32 },
    /// An edge, moved at right angles to itself.
    Edge { id: Id, edge: u32 },
    /// A whole thing.
    Whole { id: Id },
    /// One end of the datum.
    Datum { end: u32 },
    /// The selected bay, carried to another day or turn.
    Bay { bay: u32 },
}

/// A drag that is going on.
#[derive(Clone, Debug)]
pub(crate) struct Drag {
    grab: Grab,
    /// Where the pointer went down, mm.
    start: [f64; 2],
    /// What is moved, as it was: for an edge its middle.
    from: Pt,
    targets: Arc<Targets>,
    reach_px: f64,
}

impl Session {
    /// What a pointer that goes down at a place would drag. A finger must meet a handle; a mouse may take hold of
    /// small things at once.
    pub(super) fn grab_at(&self, at: Px, kind: PointerKind) -> Option<Grab> {
        let near = handles(self).into_iter().filter(|h| h.handle.at.distance(at) <= reach(kind));
        let nearest = near.min_by(|a, b| {
            let rank = |k: HandleKind| u8::from(k != HandleKind::Corner);
            let (da, db) = (a.handle.at.distance(at), b.handle.at.distance(at));
            rank(a.handle.kind).cmp(&rank(b.handle.kind)).then(da.total_cmp(&db))
        });
        if let Some(found) = nearest {
            return Some(found.grab);
        }
        let small = |found: Selection| match found {
            Selection::Thing(id) => {
                let small = thing::find(&self.plan, id).is_some_and(|t| t.edge_count() == 0);
                small.then_some(Grab::Whole { id })
            }
            _ => None,
        };
        let thing = if kind == PointerKind::Touch { None } else { self.hit(at, reach(kind)).and_then(small) };
        thing.or_else(|| self.carried_from(at).map(|bay| Grab::Bay { bay }))
    }

    /// The corner or edge whose handle was tapped, so that it is selected rather than what lies under it.
    pub(super) fn grabbed_part(&self, e: &PointerEvent) -> Option<Selection> {
        match self.grab_at(e.at, e.kind)? {
            Grab::Corner { id, corner } => Some(Selection::Corner { id, corner }),
            Grab::Edge { id, edge } => Some(Selection::Edge { id, edge }),
            Grab::Whole { id } => Some(Selection::Thing(id)),
            Grab::Datum { .. } => Some(Selection::Datum),
            Grab::Bay { .. } => None,
        }
    }

    pub(super) fn begin_drag(&mut self, grab: Grab, (start, kind): (Px, PointerKind), fx: &mut Effects) {
        if let Grab::Bay { bay } = grab {
            return self.carry(bay, start, fx);
        }
        let Some(from) = held_at(&self.plan, grab) else { return };
        let (x, y) = self.camera().to_plan_f(start);
        self.drag = Some(Drag {
            grab,
            start: [x, y],
            from,
            targets: Arc::new(targets(&self.plan, grab)),
            reach_px: reach(kind),
        });
    }

    pub(super) fn drag_to(&mut self, at: Px, modifiers: Modifiers, fx: &mut Effects) {
        if self.carry_to(at, fx) {
            return;
        }
        let Some(drag) = self.drag.clone() else { return };
        let base = Arc::clone(self.history.before_drag().unwrap_or(&self.plan));
        let (x, y) = self.camera().to_plan_f(at);
        let from = vector(drag.from);
        let meant = [from[0] + x - drag.start[0], from[1] + y - drag.start[1]];
        let to = self.dropped_at(&drag, &base, meant, modifiers);
        self.cursor.shown = false;
        if let Some(change) = moved(&base, &drag, to) {
            self.commit(change, Policy::Transient, fx);
        }
    }

    /// The point meant for what is held.
    fn dropped_at(&self, drag: &Drag, base: &Plan, meant: [f64; 2], modifiers: Modifiers) -> Pt {
        let free = SnapSettings { on: false, ..self.snap() };
        let drawn = match drag.grab {
            Grab::Corner { id, corner } => sides_before(base, id, corner),
            Grab::Datum { end: 1 } => base.datum.iter().map(|d| d.zero).collect(),
            _ => Vec::new(),
        };
        let query = Query {
            at: meant,
            reach: self.camera().mm(drag.reach_px),
            settings: if modifiers.alt { free } else { self.snap() },
            targets: &drag.targets,
            drawn: &drawn,
            closes: false,
            base: if matches!(drag.grab, Grab::Datum { .. }) { [1, 0] } else { self.base() },
            lock: modifiers.shift,
        };
        snap::snap(&query).at
    }

    /// Ends a drag: one undo step.
    pub(super) fn end_drag(&mut self, fx: &mut Effects) {
        if self.set_down(fx) {
            return;
        }
        self.drag = None;
        if self.history.before_drag().is_some() {
            self.history.commit_drag(&self.plan);
            (fx.save, fx.tool, fx.overlay) = (true, true, true);
            fx.announce = Some("Moved.".to_owned());
        }
    }

    /// Gives a drag up: everything is put back.
    pub(super) fn cancel_drag(&mut self, fx: &mut Effects) -> bool {
        if self.drop_carried(fx) {
            return true;
        }
        self.drag = None;
        let before = self.history.cancel_drag();
        let dragging = before.is_some();
        if let Some(before) = before {
            self.put_plan(before, fx);
            fx.save = true;
            fx.announce = Some("Put back.".to_owned());
        }
        dragging
    }

    /// A double click with the select tool: a new corner on the edge under it.
    pub(super) fn split_at(&mut self, e: &PointerEvent, fx: &mut Effects) {
        let under = match self.grab_at(e.at, e.kind) {
            Some(Grab::Edge { id, edge }) => Some((id, edge)),
            _ => match self.selection {
                Some(Selection::Edge { id, edge }) => Some((id, edge)),
                _ => None,
            },
        };
        let place = self.camera().to_plan(e.at);
        let near = |(id, edge): (Id, u32)| {
            let found = thing::find(&self.plan, id)?;
            let (a, b) = found.edge(edge)?;
            let (nearest, off) = hit::nearest_edge(&found, place)?;
            (nearest == edge && off <= self.camera().mm(reach(e.kind))).then(|| (id, edge, foot(a, b, place)))
        };
        if let Some((id, edge, at)) = under.and_then(near)
            && self.commit(Change::InsertCorner { id, edge, at }, Policy::Commit, fx).is_some()
        {
            self.select(Some(Selection::Corner { id, corner: edge + 1 }), fx);
            fx.announce = Some("Corner put in.".to_owned());
        }
    }
}

/// What can be snapped to while something is dragged: all that does not move along.
fn targets(plan: &Plan, grab: Grab) -> Targets {
    match grab {
        Grab::Corner { id, corner } => Targets::of(plan, Except::Corner(id, corner)),
        Grab::Edge { id, edge } => Targets::of(plan, Except::Edge(id, edge)),
        Grab::Datum { .. } => Targets::of(&Plan { datum: None, ..plan.clone() }, Except::Nothing),
        Grab::Whole { id } => match thing::find(plan, id) {
            Some(Thing::Deck(deck)) => Targets::of(&without(plan, &deck), Except::Whole(id)),
            _ => Targets::of(plan, Except::Whole(id)),
        },
        Grab::Bay { .. } => Targets::of(plan, Except::Nothing),
    }
}

/// A plan without what stands on a deck.
fn without(plan: &Plan, deck: &Deck) -> Plan {
    let mut rest = plan.clone();
    contents(plan, deck).iter().for_each(|t| thing::remove(&mut rest, t.id()));
    rest.datum = rest.datum.filter(|d| !stands_on(deck, d.zero));
    rest
}

/// The two corners before one, so that its side can be held to a right angle.
fn sides_before(plan: &Plan, id: Id, corner: u32) -> Vec<Pt> {
    let Some(thing) = thing::find(plan, id) else { return Vec::new() };
    let points = thing.points();
    let n = corner as usize;
    let before = |back: usize| match n.checked_sub(back) {
        Some(m) => points.get(m).copied(),
        None if thing.closed() => (n + points.len()).checked_sub(back).and_then(|m| points.get(m).copied()),
        None => None,
    };
    [before(2), before(1)].into_iter().flatten().collect()
}

/// Where what is held is.
fn held_at(plan: &Plan, grab: Grab) -> Option<Pt> {
    match grab {
        Grab::Corner { id, corner } => thing::find(plan, id)?.points().get(corner as usize).copied(),
        Grab::Edge { id, edge } => {
            let (a, b) = thing::find(plan, id)?.edge(edge)?;
            Some(Pt::new(a.x.midpoint(b.x), a.y.midpoint(b.y)))
        }
        Grab::Whole { id } => thing::find(plan, id)?.points().first().copied(),
        Grab::Datum { end } => plan.datum.as_ref().map(|d| if end == 0 { d.zero } else { d.along }),
        // No part of the plan.
        Grab::Bay { .. } => None,
    }
}

/// The change that brings what is held to a point.
fn moved(plan: &Plan, drag: &Drag, to: Pt) -> Option<Change> {
    Some(match drag.grab {
        Grab::Corner { id, corner } => Change::MoveCorner { id, corner, to },
        Grab::Edge { id, edge } => {
            let (a, b) = thing::find(plan, id)?.edge(edge)?;
            Change::MoveEdge { id, edge, by: off_line(a, b, to) }
        }
        Grab::Whole { id } => {
            let deck = matches!(thing::find(plan, id)?, Thing::Deck(_));
            Change::Move { id, by: Shift::between(drag.from, to), with_contents: deck }
        }
        Grab::Datum { end } => {
            let old = plan.datum.as_ref()?;
            let (zero, along) = if end == 0 { (to, old.along) } else { (old.zero, to) };
            Change::Datum(Some(Datum { zero, along, note: old.note.clone() }))
        }
        Grab::Bay { .. } => return None,
    })
}

/// How far a point lies to the left of a line, mm.
#[allow(clippy::cast_precision_loss)]
fn off_line(a: Pt, b: Pt, p: Pt) -> i64 {
    let length = a.distance(b);
    if length > 0.0 { super::draw::rounded(a.turn(b, p) as f64 / length) } else { 0 }
}

/// The point of an edge nearest to a place, kept off its ends.
#[allow(clippy::cast_precision_loss)]
fn foot(a: Pt, b: Pt, place: Pt) -> Pt {
    let length = a.distance_squared(b) as f64;
    let t = if length > 0.0 { (a.dot(b, place) as f64 / length).clamp(0.01, 0.99) } else { 0.5 };
    snap::round([a.x as f64 + (b.x - a.x) as f64 * t, a.y as f64 + (b.y - a.y) as f64 * t])
}
