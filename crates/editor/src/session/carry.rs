//! A bay carried over the plan to the day, or to the turn, of another one.
//!
//! In: the bay that is selected, where the pointer is. Out: what it would be tied to when let go, in words while it is
//! carried, and the tie. Only a bay that is selected is carried, with a finger as with a mouse: what is dragged
//! elsewhere moves the view. Let go beside all bays, or over itself, it stays as it was.

use super::Session;
use crate::message::{Effects, Px};
use crate::selection::Selection;
use crate::stage::Stage;
use crate::tie::TieTo;
use baylap_core::Layout;
use baylap_core::geom::Pt;
use baylap_core::layout::days::{Day, Turn};

/// A bay that is carried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Carried {
    /// Its number.
    pub(crate) bay: u32,
    /// Where the pointer is.
    pub(crate) at: Px,
}

/// What a bay that is carried is held over.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Over {
    /// The bay below it; its own where it would go nowhere.
    pub(crate) bay: u32,
    /// What it would be tied to.
    pub(crate) to: Option<TieTo>,
    /// What that is in words.
    pub(crate) words: String,
}

impl Session {
    /// The bay that a pointer at a place would carry: the selected one, at the stage of the days.
    pub(super) fn carried_from(&self, at: Px) -> Option<u32> {
        let Some(Selection::Bay(bay)) = self.selection.filter(|_| self.stage == Stage::Days) else {
            return None;
        };
        (bay_under(&self.layout, self.camera.to_plan(at)) == Some(bay)).then_some(bay)
    }

    pub(super) fn carry(&mut self, bay: u32, at: Px, fx: &mut Effects) {
        self.carried = Some(Carried { bay, at });
        fx.overlay = true;
    }

    /// Moves what is carried; whether anything is.
    pub(super) fn carry_to(&mut self, at: Px, fx: &mut Effects) -> bool {
        let Some(carried) = &mut self.carried else { return false };
        carried.at = at;
        fx.overlay = true;
        true
    }

    /// What is carried, and what it is held over.
    pub(crate) fn carrying(&self) -> Option<(Carried, Option<Over>)> {
        let carried = self.carried?;
        let below = bay_under(&self.layout, self.camera.to_plan(carried.at));
        Some((carried, below.map(|below| over(&self.layout, carried.bay, below))))
    }

    /// Lets go: the tie is made where there is one. Whether anything was carried.
    pub(super) fn set_down(&mut self, fx: &mut Effects) -> bool {
        let Some((carried, over)) = self.carrying() else { return false };
        self.carried = None;
        fx.overlay = true;
        match over.and_then(|over| over.to) {
            Some(to) => self.tie(carried.bay, to, fx),
            None => fx.announce = Some(format!("Bay {} stays as it was.", carried.bay)),
        }
        true
    }

    /// Gives it up. Whether anything was carried.
    pub(super) fn drop_carried(&mut self, fx: &mut Effects) -> bool {
        let carried = self.carried.take();
        if let Some(carried) = carried {
            fx.overlay = true;
            fx.announce = Some(format!("Bay {} stays as it was.", carried.bay));
        }
        carried.is_some()
    }
}

/// The bay that lies under a place.
fn bay_under(layout: &Layout, at: Pt) -> Option<u32> {
    layout.bay_at(at).map(|index| layout.bays[index].number)
}

/// What a bay held over another one would be tied to. Bays of one day and gang change their turns, others their day.
fn over(layout: &Layout, bay: u32, below: u32) -> Over {
    let stays = |words: String| Over { bay: below, to: None, words };
    if bay == below {
        return stays(format!("Bay {bay}"));
    }
    let (Some((own, mine)), Some((day, turn))) = (turn_of(layout, bay), turn_of(layout, below)) else {
        return stays(format!("Bay {bay}: no days are known yet"));
    };
    let several = layout.days.as_ref().is_some_and(|d| d.gangs.len() > 1);
    if own.number == day.number && mine.gang == turn.gang {
        let words = format!("Bay {bay}: turn {below}, in place of bay {below}");
        return Over { bay: below, to: Some(TieTo::Turn { turn: below }), words };
    }
    let gang = several.then_some(turn.gang);
    let by = gang.map_or_else(String::new, |gang| format!(", gang {gang}"));
    let words = format!("Bay {bay}: day {}{by}", day.number);
    Over { bay: below, to: Some(TieTo::Day { day: day.number, gang }), words }
}

/// The day a bay is laid on, and its turn there.
fn turn_of(layout: &Layout, bay: u32) -> Option<(&Day, &Turn)> {
    let days = &layout.days.as_ref()?.days;
    days.iter().find_map(|day| Some((day, day.turns.iter().find(|turn| turn.bay == bay)?)))
}
