//! Drawing: the tools that set points.
//!
//! In: taps, the keyboard's cross and what is typed. Out: points of the draft, and when it is complete one change of
//! the plan. Undo while drawing takes back a point.

use super::{Cursor, Session};
use crate::change::Change;
use crate::history::Policy;
use crate::measure;
use crate::message::{Effects, Look, Px};
use crate::selection::Selection;
use crate::snap::{self, Query, Snap, SnapKind, SnapSettings, Targets, vector};
use crate::tool::draft::Placed;
use crate::tool::entry::Slot;
use crate::tool::{Form, Tool, made};
use baylap_core::geom::Pt;
use baylap_core::geom::ring::{self, doubled_area};

impl Session {
    /// The point that would be set now; `None` when there is no cursor and nothing is typed.
    pub(crate) fn aim(&self, targets: &Targets) -> Option<Result<Snap, String>> {
        let pointer = match (self.cursor.shown, self.draft.points().last()) {
            (true, _) => self.snapped(targets),
            (false, Some(&last)) if !self.draft.entry.is_empty() => {
                Snap { at: last, kind: SnapKind::Free, guide: None }
            }
            _ => return None,
        };
        Some(self.draft.aim(self.tool, pointer, self.base()))
    }

    fn snapped(&self, targets: &Targets) -> Snap {
        let c = self.cursor;
        let off = SnapSettings { on: false, ..self.snap() };
        let settings = if c.free || c.by_keys { off } else { self.snap() };
        let reach = if c.by_keys { 0.5 } else { self.camera().mm(c.reach_px) };
        snap::snap(&Query {
            at: c.at,
            reach,
            settings,
            targets,
            drawn: if matches!(self.draft.form(self.tool), Form::Box) { &[] } else { self.draft.points() },
            closes: self.draft.form(self.tool) == Form::Ring,
            base: self.base(),
            lock: c.lock && !c.by_keys,
        })
    }

    /// Sets a point where the cursor is.
    pub(super) fn place_here(&mut self, fx: &mut Effects) {
        let targets = self.targets();
        match self.aim(&targets) {
            Some(Ok(snap)) => self.place(snap, fx),
            Some(Err(problem)) => self.refuse(problem, fx),
            None => self.refuse(
                "There is no place to set a point: move the pointer or the cross first.".to_owned(),
                fx,
            ),
        }
    }

    fn place(&mut self, snap: Snap, fx: &mut Effects) {
        if !self.read_sizes(fx) {
            return;
        }
        fx.overlay = true;
        fx.tool = true;
        let before = self.draft.points().last().copied();
        match self.draft.place(self.tool, &snap) {
            Placed::Goes => {
                self.problem = None;
                fx.announce = Some(self.said_of(before, snap.at));
                self.follow(snap.at);
                self.keep_in_sight(snap.at, fx);
            }
            Placed::Complete => self.finish(fx),
            Placed::Same if self.draft.points().len() > 1 || self.encloses() => self.finish(fx),
            Placed::Same => self.refuse("The point is where the last one is: move on first.".to_owned(), fx),
        }
    }

    /// The keyboard's cross goes to the point set.
    fn follow(&mut self, at: Pt) {
        if self.cursor.by_keys || !self.cursor.shown {
            self.cursor = Cursor { at: vector(at), by_keys: true, shown: true, ..self.cursor };
        }
    }

    /// A side typed past the edge of the view must not end where nobody sees it: zooms out, so that what was in sight
    /// and the pointer's next way stay in it.
    fn keep_in_sight(&mut self, at: Pt, fx: &mut Effects) {
        let camera = self.camera();
        if camera.sees(at, 0.0) {
            return;
        }
        let corners = [Px::new(0.0, 0.0), Px::new(camera.width, camera.height)].map(|px| camera.to_plan(px));
        if let Some((lo, hi)) = ring::bounds(&[corners[0], corners[1], at]) {
            self.show_box(lo, hi, fx);
        }
    }

    fn said_of(&self, before: Option<Pt>, at: Pt) -> String {
        let n = self.draft.points().len();
        match before {
            Some(before) => format!("Point {n}, side {}.", measure::metres(rounded(before.distance(at)))),
            None => format!("Point {n}, {} right, {} up.", measure::metres(at.x), measure::metres(at.y)),
        }
    }

    /// Takes over a diameter or level that was typed; false when it does not read.
    fn read_sizes(&mut self, fx: &mut Effects) -> bool {
        let slots = self.draft.slots(self.tool);
        for slot in [Slot::Diameter, Slot::Level, Slot::OneIn] {
            match (self.draft.entry.value(slots, slot), slot) {
                (Ok(None), _) => {}
                // The level of a point of a line is the point's own.
                (Ok(Some(_)), Slot::Level) if matches!(self.tool, Tool::LowLine | Tool::Ridge) => {}
                (Ok(Some(mm)), Slot::Level) => self.sizes.level = mm,
                (Ok(Some(n)), Slot::OneIn) => self.sizes.one_in = u32::try_from(n).unwrap_or(0),
                (Ok(Some(mm)), _) => self.sizes.diameter = mm,
                (Err(problem), _) => {
                    self.refuse(problem, fx);
                    return false;
                }
            }
        }
        true
    }

    /// Enter: sets the side that is typed, or the point at the cross when that was moved, or ends the drawing.
    pub(super) fn enter(&mut self, fx: &mut Effects) {
        let typed = !self.draft.entry.is_empty();
        let last = self.draft.points().last().copied();
        let moved = self.cursor.by_keys && last != Some(snap::round(self.cursor.at));
        if typed && self.draft.form(self.tool) == Form::Place && !moved {
            if self.read_sizes(fx) {
                self.draft.entry.clear();
                fx.announce = Some(self.sizes_said());
            }
            fx.overlay = true;
        } else if typed || moved || self.draft.form(self.tool) == Form::Place {
            self.place_here(fx);
        } else {
            self.finish(fx);
        }
    }

    fn sizes_said(&self) -> String {
        match self.tool {
            Tool::Spot => format!("Level {}. Now place it.", measure::metres(self.sizes.level)),
            _ => format!("Diameter {}. Now place it.", measure::millimetres(self.sizes.diameter)),
        }
    }

    /// Ends the drawing and puts what was drawn into the plan.
    pub(super) fn finish(&mut self, fx: &mut Effects) {
        fx.overlay = true;
        let whole_deck = self.encloses() && self.draft.points().len() == 1;
        if let Err(problem) = self.draft.complete(self.tool)
            && !whole_deck
        {
            self.refuse(problem, fx);
            return;
        }
        let points = self.draft.points();
        let flat = match self.draft.form(self.tool) {
            Form::Ring => doubled_area(points) == 0 && !whole_deck,
            Form::Box => points[0].x == points[1].x || points[0].y == points[1].y,
            _ => false,
        };
        if flat {
            let last = self.draft.take_back();
            debug_assert!(last.is_some(), "a complete draft has points");
            self.refuse("It would enclose nothing: move the last corner aside.".to_owned(), fx);
            return;
        }
        if self.encloses() {
            self.settle_area(fx);
            return;
        }
        if let Some(look) = self.look() {
            fx.look = Some(look);
            fx.announce = Some(self.made_said());
            self.draft = Default::default();
            return;
        }
        let made = made::change(self.tool, &self.draft, self.sizes, &self.plan, self.layout());
        if let Some(change) = made {
            self.put_made(change, fx);
        }
    }

    /// What the drawing asks to look at, for the tools that change nothing.
    fn look(&self) -> Option<Look> {
        let points = self.draft.points();
        match self.tool {
            Tool::Water => points.first().map(|&at| Look::Water(at)),
            Tool::Section => Some(Look::Section(points.to_vec())),
            _ => None,
        }
    }

    /// Whether the part of the deck that a plane of fall holds for is being drawn.
    fn encloses(&self) -> bool {
        self.tool == Tool::Plane && self.draft.area().is_none()
    }

    fn settle_area(&mut self, fx: &mut Effects) {
        self.draft.settle_area();
        self.problem = None;
        fx.tool = true;
        fx.announce = Some(self.draft.hint(self.tool).to_owned());
    }

    fn put_made(&mut self, change: Change, fx: &mut Effects) {
        let said = self.made_said();
        let replaced = match &change {
            Change::Put(thing) if thing.id() != 0 => Some(thing.id()),
            _ => None,
        };
        let datum = matches!(change, Change::Datum(_));
        if self.commit(change, Policy::Commit, fx).is_none() {
            self.draft.take_back();
            return;
        }
        let points = self.draft.points();
        // The end of a plane's direction only points the way.
        let end = if self.tool == Tool::Plane { points.first() } else { points.last() }.copied();
        self.draft = Default::default();
        if let Some(end) = end {
            self.follow(end);
        }
        let made = if datum { Selection::Datum } else { Selection::Thing(replaced.unwrap_or(self.last_id)) };
        self.select(Some(made), fx);
        fx.announce = Some(said);
        // An outline, a datum and a direction are drawn once; openings and the like one after another.
        if matches!(self.tool, Tool::Deck | Tool::Datum | Tool::Direction) {
            self.tool = Tool::Select;
            fx.tool = true;
        }
    }

    fn made_said(&self) -> String {
        let points = self.draft.points();
        let area = || {
            let doubled = doubled_area(points).unsigned_abs() / 2;
            measure::square_metres(i64::try_from(doubled).unwrap_or(i64::MAX))
        };
        match self.draft.form(self.tool) {
            Form::Ring => format!("{} closed: {} corners, {}.", self.tool.name(), points.len(), area()),
            Form::Line => format!("{} drawn: {} points.", self.tool.name(), points.len()),
            _ => format!("{} placed.", self.tool.name()),
        }
    }

    /// Takes back the last point; true when there was one.
    pub(super) fn take_back(&mut self, fx: &mut Effects) -> bool {
        let had = self.draft.take_back().is_some();
        if had {
            (fx.overlay, fx.tool) = (true, true);
            fx.announce = Some(format!("Point taken back, {} left.", self.draft.points().len()));
            if let Some(&last) = self.draft.points().last() {
                self.follow(last);
            }
        }
        had
    }

    /// Sets the point taken back last again; true when there was one.
    pub(super) fn set_again(&mut self, fx: &mut Effects) -> bool {
        let again = self.draft.set_again();
        if let Some(at) = again {
            (fx.overlay, fx.tool) = (true, true);
            fx.announce = Some(format!("Point {} set again.", self.draft.points().len()));
            self.follow(at);
        }
        again.is_some()
    }

    /// Sets the text of the entry, from a real input.
    pub(super) fn set_entry(&mut self, text: &str, fx: &mut Effects) {
        fx.overlay = true;
        if !self.draft.slots(self.tool).is_empty() {
            self.draft.entry.set(text);
        }
    }

    /// Moves the keyboard's cross by whole steps; with a size typed it only points the way.
    pub(super) fn step_cross(&mut self, dx: i64, dy: i64, fx: &mut Effects) {
        let last = self.draft.points().last().copied();
        let typed = !self.draft.entry.is_empty() && self.draft.form(self.tool) != Form::Place;
        let from = match last {
            Some(last) if typed => last,
            _ if self.cursor.by_keys => snap::round(self.cursor.at),
            Some(last) => last,
            None => self.middle(),
        };
        let reach = baylap_core::plan::file::COORDINATE;
        let at = Pt::new((from.x + dx).clamp(-reach, reach), (from.y + dy).clamp(-reach, reach));
        self.cursor = Cursor { at: vector(at), by_keys: true, shown: true, ..Cursor::default() };
        self.cross_mode = false;
        if !self.camera().sees(at, 20.0) {
            self.show_box(at, at, fx);
        }
        fx.overlay = true;
        fx.announce = Some(match last {
            Some(last) => {
                format!("Cross {} from the last point.", measure::metres(rounded(last.distance(at))))
            }
            None => format!("Cross {} right, {} up.", measure::metres(at.x), measure::metres(at.y)),
        });
    }

    /// The middle of the view, to the step.
    fn middle(&self) -> Pt {
        let step = self.snap().step.max(1);
        let at = snap::round([self.camera().x, self.camera().y]);
        let tidy = |v: i64| v.div_euclid(step) * step;
        Pt::new(tidy(at.x), tidy(at.y))
    }

    /// Puts the cross in the middle of the view.
    pub(super) fn cross_to_middle(&mut self, fx: &mut Effects) {
        fx.overlay = true;
        let by_keys = !self.cross_mode;
        let at = if by_keys { vector(self.middle()) } else { [self.camera().x, self.camera().y] };
        let reach_px = super::pointer::REACH_TOUCH;
        self.cursor = Cursor { at, by_keys, shown: true, reach_px, ..Cursor::default() };
    }
}

#[allow(clippy::cast_possible_truncation)]
pub(crate) fn rounded(length: f64) -> i64 {
    length.round() as i64
}
