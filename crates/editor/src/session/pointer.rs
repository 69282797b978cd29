//! Mouse, finger and pen.
//!
//! In: pointer events. Out: taps for the tools, drags, pans and pinches. One pointer uses the tool, two fingers move
//! the view and never set a point; a finger that slides less than [`TAP_TOUCH`] taps, one that slides on pans.
//!
//! ```text
//! Free --down--> Pressing --up--> tap, Free
//!                   |--slide--> Dragging --up--> one step, Free   (cancel, second finger: put back)
//!                   |--slide--> Panning  --up--> Free
//!                   '--second finger--> Pinching --one up--> Spent --all up--> Free
//! ```

use super::Session;
use super::drag::Grab;
use crate::message::{Button, Effects, Modifiers, Phase, PointerEvent, PointerKind, Px};
use crate::tool::{Form, Tool};
use std::collections::BTreeMap;

/// A finger that slides less than this taps, pixels.
pub(crate) const TAP_TOUCH: f64 = 8.0;
/// A mouse or pen that slides less than this clicks, pixels.
const TAP_MOUSE: f64 = 4.0;
/// Two clicks within this time are a double click, ms.
const DOUBLE_MS: f64 = 400.0;
/// Two clicks within this distance are a double click, pixels.
const DOUBLE_PX: f64 = 8.0;
/// A touch within this time of the pen is the heel of the hand, ms.
const PALM_MS: f64 = 500.0;
/// Reach of a mouse, pixels.
pub(crate) const REACH_MOUSE: f64 = 10.0;
/// Reach of a finger, pixels: half a target of 44.
pub(crate) const REACH_TOUCH: f64 = 22.0;

/// What the pointers are doing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
enum Hold {
    /// Nothing is down.
    #[default]
    Free,
    /// Down, not yet slid.
    Pressing { id: i32, start: Px, grab: Option<Grab>, slid: bool },
    /// Moving the view.
    Panning { id: i32, last: Px },
    /// Dragging something.
    Dragging { id: i32 },
    /// Two fingers.
    Pinching { a: i32, b: i32 },
    /// Waiting for the last finger to leave after a pinch.
    Spent,
}

/// The pointers on the surface.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Pointers {
    down: BTreeMap<i32, Px>,
    hold: Hold,
    last_tap: Option<(f64, Px)>,
    last_pen: Option<f64>,
}

impl Session {
    pub(super) fn on_pointer(&mut self, event: &PointerEvent, fx: &mut Effects) {
        if !(event.at.x.is_finite() && event.at.y.is_finite()) {
            return;
        }
        if event.kind == PointerKind::Pen {
            self.pointers.last_pen = Some(event.time_ms);
        }
        match event.phase {
            Phase::Down => self.on_down(event, fx),
            Phase::Move => self.on_move(event, fx),
            Phase::Up => self.on_up(event, fx),
            Phase::Cancel => self.on_lost(event.id, fx),
            Phase::Leave => self.on_leave(fx),
        }
    }

    pub(super) fn on_wheel(&mut self, at: Px, [dx, dy]: [f64; 2], modifiers: Modifiers, fx: &mut Effects) {
        if !(dx.is_finite() && dy.is_finite() && at.x.is_finite() && at.y.is_finite()) {
            return;
        }
        if modifiers.shift {
            self.camera.pan(-dx - dy, 0.0);
        } else {
            // 100 px is one notch of a usual wheel; a pinch on a trackpad comes in smaller steps that count more.
            let strength = if modifiers.ctrl { 0.01 } else { 0.002 };
            self.camera.zoom_about(at, libm::exp(-dy.clamp(-600.0, 600.0) * strength));
            self.camera.pan(-dx, 0.0);
        }
        self.viewed(fx);
    }

    pub(super) fn viewed(&mut self, fx: &mut Effects) {
        (fx.view, fx.overlay, fx.save) = (true, true, true);
        if self.cross_mode {
            self.cross_to_middle(fx);
        }
    }

    fn on_down(&mut self, e: &PointerEvent, fx: &mut Effects) {
        if self.is_palm(e) {
            return;
        }
        self.pointers.down.insert(e.id, e.at);
        fx.overlay = true;
        match (self.pointers.hold, e.button) {
            (Hold::Free, Button::Other) => self.act_or_cancel(fx),
            (Hold::Free, Button::Middle) => self.pointers.hold = Hold::Panning { id: e.id, last: e.at },
            (Hold::Free, Button::Main) if self.tool == Tool::Pan => {
                self.pointers.hold = Hold::Panning { id: e.id, last: e.at };
            }
            (Hold::Free, Button::Main) => self.press(e, fx),
            (Hold::Pressing { id, .. } | Hold::Panning { id, .. } | Hold::Dragging { id }, _)
                if e.kind == PointerKind::Touch && id != e.id =>
            {
                self.cancel_drag(fx);
                self.cursor.shown &= self.cross_mode;
                self.pointers.hold = Hold::Pinching { a: id, b: e.id };
            }
            _ => {}
        }
    }

    /// Right button: ends what is being drawn when it can be ended, else gives it up.
    fn act_or_cancel(&mut self, fx: &mut Effects) {
        if self.draft.complete(self.tool).is_ok() && !self.draft.is_empty() {
            self.finish(fx);
        } else {
            self.give_up(fx);
        }
    }

    fn press(&mut self, e: &PointerEvent, fx: &mut Effects) {
        let grab = if self.tool == Tool::Select { self.grab_at(e.at, e.kind) } else { None };
        self.aim_at(e, fx);
        self.pointers.hold = Hold::Pressing { id: e.id, start: e.at, grab, slid: false };
    }

    fn on_move(&mut self, e: &PointerEvent, fx: &mut Effects) {
        let before = self.pointers.down.get(&e.id).copied();
        if before.is_some() {
            self.pointers.down.insert(e.id, e.at);
        }
        match self.pointers.hold {
            Hold::Free if before.is_none() && !self.is_palm(e) => self.hover(e, fx),
            Hold::Pressing { id, start, grab, slid }
                if id == e.id && (slid || start.distance(e.at) >= tap_slide(e.kind)) =>
            {
                self.slide(e, start, grab, fx);
            }
            Hold::Panning { id, last } if id == e.id => {
                self.camera.pan(e.at.x - last.x, e.at.y - last.y);
                self.pointers.hold = Hold::Panning { id, last: e.at };
                self.viewed(fx);
            }
            Hold::Dragging { id } if id == e.id => self.drag_to(e.at, e.modifiers, fx),
            Hold::Pinching { a, b } if e.id == a || e.id == b => {
                let other = self.pointers.down.get(if e.id == a { &b } else { &a }).copied();
                if let (Some(before), Some(other)) = (before, other) {
                    self.pinch(before, e.at, other, fx);
                }
            }
            _ => {}
        }
    }

    /// A pressed pointer has slid too far to be a tap.
    fn slide(&mut self, e: &PointerEvent, start: Px, grab: Option<Grab>, fx: &mut Effects) {
        let touch = e.kind == PointerKind::Touch;
        match (self.draft.form(self.tool), grab) {
            (Form::Nothing, Some(grab)) => {
                self.pointers.hold = Hold::Dragging { id: e.id };
                self.begin_drag(grab, (start, e.kind), fx);
                self.drag_to(e.at, e.modifiers, fx);
            }
            (Form::Nothing, None) => self.pan_from(e, start, fx),
            _ if touch => self.pan_from(e, start, fx),
            (form, _) => {
                if matches!(form, Form::Box | Form::Stretch) && self.draft.points().is_empty() {
                    self.aim_at(&PointerEvent { at: start, ..*e }, fx);
                    self.place_here(fx);
                }
                self.aim_at(e, fx);
                self.pointers.hold = Hold::Pressing { id: e.id, start, grab: None, slid: true };
            }
        }
    }

    fn pan_from(&mut self, e: &PointerEvent, start: Px, fx: &mut Effects) {
        self.camera.pan(e.at.x - start.x, e.at.y - start.y);
        self.pointers.hold = Hold::Panning { id: e.id, last: e.at };
        self.cursor.shown &= self.cross_mode;
        self.viewed(fx);
    }

    /// One of two fingers moved from `before` to `now`; the other is at `other`.
    fn pinch(&mut self, before: Px, now: Px, other: Px, fx: &mut Effects) {
        let middle = |p: Px| Px::new(f64::midpoint(p.x, other.x), f64::midpoint(p.y, other.y));
        let (from, to) = (middle(before), middle(now));
        self.camera.pan(to.x - from.x, to.y - from.y);
        // Fingers that touch give no measure of the spread.
        if before.distance(other) > 1.0 && now.distance(other) > 1.0 {
            self.camera.zoom_about(to, now.distance(other) / before.distance(other));
        }
        self.viewed(fx);
    }

    fn on_up(&mut self, e: &PointerEvent, fx: &mut Effects) {
        if self.pointers.down.remove(&e.id).is_none() {
            return;
        }
        fx.overlay = true;
        match self.pointers.hold {
            Hold::Pressing { id, start, slid, .. } if id == e.id => {
                self.pointers.hold = Hold::Free;
                // A finger rolls as it lifts: what it touched first is what was meant.
                let at = if e.kind == PointerKind::Touch && !slid { start } else { e.at };
                self.tap(&PointerEvent { at, ..*e }, fx);
            }
            Hold::Panning { id, .. } if id == e.id => self.pointers.hold = Hold::Free,
            Hold::Dragging { id } if id == e.id => {
                self.pointers.hold = Hold::Free;
                self.end_drag(fx);
            }
            Hold::Pinching { a, b } if e.id == a || e.id == b => self.pointers.hold = Hold::Spent,
            _ => {}
        }
        self.rest();
    }

    /// The system took a pointer away.
    fn on_lost(&mut self, id: i32, fx: &mut Effects) {
        if self.pointers.down.remove(&id).is_none() {
            return;
        }
        fx.overlay = true;
        match self.pointers.hold {
            Hold::Dragging { id: held } if held == id => {
                self.cancel_drag(fx);
                self.pointers.hold = Hold::Free;
            }
            Hold::Pressing { id: held, .. } | Hold::Panning { id: held, .. } if held == id => {
                self.pointers.hold = Hold::Free;
            }
            Hold::Pinching { a, b } if id == a || id == b => self.pointers.hold = Hold::Spent,
            _ => {}
        }
        self.rest();
    }

    /// Nothing is down any more: ready for the next.
    fn rest(&mut self) {
        if self.pointers.down.is_empty() {
            self.pointers.hold = Hold::Free;
        }
    }

    /// Lets go of what is held, without an event of the pointer.
    pub(super) fn let_go(&mut self) {
        if self.pointers.hold != Hold::Free {
            self.pointers.hold = Hold::Spent;
        }
        self.rest();
    }

    fn on_leave(&mut self, fx: &mut Effects) {
        if self.pointers.hold == Hold::Free && !self.cursor.by_keys && !self.cross_mode {
            self.cursor.shown = false;
            self.hovered = None;
            fx.overlay = true;
        }
    }

    fn hover(&mut self, e: &PointerEvent, fx: &mut Effects) {
        self.aim_at(e, fx);
        if self.tool.draws() {
            drop(self.targets());
        }
        if self.tool == Tool::Select {
            self.hovered = self.hit(e.at, reach(e.kind));
        }
        fx.overlay = true;
    }

    /// Puts the cursor where the pointer is; the fixed cross stays.
    fn aim_at(&mut self, e: &PointerEvent, fx: &mut Effects) {
        fx.overlay = true;
        if self.cross_mode {
            return;
        }
        let (x, y) = self.camera.to_plan_f(e.at);
        self.cursor = super::Cursor {
            at: [x, y],
            by_keys: false,
            shown: true,
            lock: e.modifiers.shift,
            free: e.modifiers.alt,
            reach_px: reach(e.kind),
        };
    }

    fn tap(&mut self, e: &PointerEvent, fx: &mut Effects) {
        let double = self.pointers.last_tap.is_some_and(|(time, at)| {
            (0.0..=DOUBLE_MS).contains(&(e.time_ms - time)) && at.distance(e.at) <= DOUBLE_PX
        });
        self.pointers.last_tap = (!double).then_some((e.time_ms, e.at));
        match self.draft.form(self.tool) {
            Form::Nothing if double => self.split_at(e, fx),
            Form::Nothing => {
                let found = self.hit(e.at, reach(e.kind));
                self.select(self.grabbed_part(e).or(found), fx);
            }
            _ if self.cross_mode => {}
            form => {
                self.aim_at(e, fx);
                if double && matches!(form, Form::Ring | Form::Line) && self.draft.points().len() > 1 {
                    self.finish(fx);
                } else {
                    self.place_here(fx);
                }
            }
        }
        if e.kind == PointerKind::Touch && !self.cross_mode {
            self.cursor.shown = false;
        }
    }

    /// A touch while a pen is in use, or just after.
    fn is_palm(&self, e: &PointerEvent) -> bool {
        let near = |pen: f64| (e.time_ms - pen).abs() < PALM_MS;
        e.kind == PointerKind::Touch && self.pointers.last_pen.is_some_and(near)
    }
}

const fn tap_slide(kind: PointerKind) -> f64 {
    match kind {
        PointerKind::Touch => TAP_TOUCH,
        PointerKind::Mouse | PointerKind::Pen => TAP_MOUSE,
    }
}

/// How near is near for a kind of pointer, pixels.
pub(super) const fn reach(kind: PointerKind) -> f64 {
    match kind {
        PointerKind::Touch => REACH_TOUCH,
        PointerKind::Mouse | PointerKind::Pen => REACH_MOUSE,
    }
}
