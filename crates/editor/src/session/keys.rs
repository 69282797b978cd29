//! The keyboard on the drawing surface.
//!
//! In: key presses. Out: typed sizes, steps of the cross or of what is selected, and the commands bound to keys in the
//! table. A key that means nothing here is left to the browser, so that Tab never traps the focus.

use super::Session;
use crate::change::{Change, Shift};
use crate::command::{self, CommandId};
use crate::history::Policy;
use crate::message::{Effects, KeyEvent, Modifiers};
use crate::selection::Selection;
use crate::thing::{self, Thing};
use baylap_core::plan::{Datum, Mm};

/// Steps of the arrow keys, mm: with Shift, with Alt. Without either it is the step of the grid.
const SMALL_STEP: Mm = 10;
const LEAST_STEP: Mm = 1;
/// How far an arrow key moves the view, pixels.
const PAN_STEP: f64 = 64.0;

impl Session {
    pub(super) fn on_key(&mut self, event: &KeyEvent, fx: &mut Effects) {
        let plain = !event.modifiers.command();
        fx.taken = plain && (self.type_key(event, fx) || self.arrow(event, fx));
        if fx.taken {
            return;
        }
        if let Some(info) = command::bound(event).filter(|c| c.enabled(self)) {
            fx.taken = true;
            self.act(info.id, fx);
        }
    }

    /// Keys of the length entry.
    fn type_key(&mut self, event: &KeyEvent, fx: &mut Effects) -> bool {
        if !self.tool.draws() {
            return false;
        }
        let slots = self.draft.slots(self.tool);
        let taken = match event.key.as_str() {
            "Tab" => self.is_drawing() && self.draft.entry.next(slots),
            "Backspace" => self.draft.entry.pop() || self.take_back(fx),
            "Enter" => {
                let anything = self.is_drawing() || self.cursor.by_keys;
                if anything {
                    self.enter(fx);
                }
                anything
            }
            key if !slots.is_empty() && !event.modifiers.alt => {
                let mut chars = key.chars();
                matches!((chars.next(), chars.next()), (Some(c), None) if self.draft.entry.push(slots, c))
            }
            _ => false,
        };
        fx.overlay |= taken;
        taken
    }

    fn arrow(&mut self, event: &KeyEvent, fx: &mut Effects) -> bool {
        let (x, y) = match event.key.as_str() {
            "ArrowLeft" => (-1, 0),
            "ArrowRight" => (1, 0),
            "ArrowUp" => (0, 1),
            "ArrowDown" => (0, -1),
            _ => return false,
        };
        let step = self.key_step(event.modifiers);
        if self.tool.draws() {
            self.step_cross(x * step, y * step, fx);
        } else if !self.nudge(Shift { dx: x * step, dy: y * step }, fx) {
            #[allow(clippy::cast_precision_loss)]
            self.camera.pan(-(x as f64) * PAN_STEP, y as f64 * PAN_STEP);
            self.viewed(fx);
        }
        true
    }

    fn key_step(&self, modifiers: Modifiers) -> Mm {
        match (modifiers.shift, modifiers.alt) {
            (_, true) => LEAST_STEP,
            (true, false) => SMALL_STEP,
            _ => self.snap().step.max(1),
        }
    }

    /// Moves what is selected; false when that is nothing that can move. Presses in a row are one undo step.
    fn nudge(&mut self, by: Shift, fx: &mut Effects) -> bool {
        let Some((change, key)) = self.selection.and_then(|s| self.nudged(s, by)) else { return false };
        if self.commit(change, Policy::Coalesce(key), fx).is_some() {
            fx.announce = Some(format!("Moved {} right, {} up.", by.dx, by.dy));
        }
        true
    }

    /// The change that moves a selection, and the key of its run.
    fn nudged(&self, what: Selection, by: Shift) -> Option<(Change, u64)> {
        let (change, part) = match what {
            Selection::Thing(id) => {
                let deck = matches!(thing::find(&self.plan, id)?, Thing::Deck(_));
                (Change::Move { id, by, with_contents: deck }, 1)
            }
            Selection::Corner { id, corner } => {
                let at = *thing::find(&self.plan, id)?.points().get(corner as usize)?;
                (Change::MoveCorner { id, corner, to: by.of(at) }, 2 + 2 * u64::from(corner))
            }
            Selection::Edge { id, edge } => {
                let (a, b) = thing::find(&self.plan, id)?.edge(edge)?;
                (Change::MoveEdge { id, edge, by: across(a, b, by) }, 3 + 2 * u64::from(edge))
            }
            Selection::Datum => {
                let d = self.plan.datum.clone()?;
                let moved = Datum { zero: by.of(d.zero), along: by.of(d.along), note: d.note };
                (Change::Datum(Some(moved)), 1)
            }
            _ => return None,
        };
        // Nudges have keys of their own: the top bit is set, which no field's key has.
        let id = u64::from(what.id().unwrap_or(0));
        Some((change, (1 << 63) | ((part & 0x3fff_ffff) << 32) | id))
    }

    /// Gives up what is going on, one thing at a time: typing, drag, drawing, tool, selection.
    pub(super) fn cancel(&mut self, fx: &mut Effects) {
        fx.overlay = true;
        if self.cancel_drag(fx) {
            self.let_go();
        } else if !self.draft.entry.is_empty() {
            self.draft.entry.clear();
        } else if self.is_drawing() {
            self.give_up(fx);
            fx.announce = Some("Drawing given up.".to_owned());
        } else if self.tool != crate::Tool::Select {
            self.act(CommandId::Tool(crate::Tool::Select), fx);
        } else {
            self.select(None, fx);
        }
        self.problem = None;
    }

    /// Leaves nothing half done.
    pub(super) fn give_up(&mut self, fx: &mut Effects) {
        if self.cancel_drag(fx) {
            self.let_go();
        }
        if !self.draft.is_empty() {
            (fx.overlay, fx.tool) = (true, true);
        }
        self.draft = Default::default();
        self.history.end_run();
    }
}

/// The part of a shift that is at right angles to an edge, to its left.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
fn across(a: baylap_core::geom::Pt, b: baylap_core::geom::Pt, by: Shift) -> Mm {
    let Some([ux, uy]) = crate::snap::unit([b.x - a.x, b.y - a.y]) else { return 0 };
    (ux * by.dy as f64 - uy * by.dx as f64).round() as Mm
}
