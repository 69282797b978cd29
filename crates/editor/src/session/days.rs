//! The programme on the screen: the moment it is shown at, bays that are tied, a selected bay that gets another number.
//!
//! In: a moment, or a bay and what to tie it to. Out: the moment held, one change of the programme. A moment is no part of
//! the plan: it is not kept and is no undo step. It puts nothing in order.

use super::Session;
use crate::history::Policy;
use crate::message::Effects;
use crate::playing::{self, BayState, Moment};
use crate::selection::Selection;
use crate::stage::Stage;
use crate::tie::{self, TieTo};
use baylap_core::Layout;
use baylap_core::days::WayOff;

impl Session {
    /// The moment of the programme that the job is shown at: the nearest one that the days of the layout have.
    pub fn moment(&self) -> Option<Moment> {
        playing::nearest(self.layout.days.as_ref()?, self.moment?)
    }

    /// How far each bay is at the moment shown, where the stage is about the days; nothing when the plan is shown as it is.
    pub fn played(&self) -> Option<Vec<(u32, BayState)>> {
        let at = self.moment().filter(|_| self.stage == Stage::Days)?;
        self.layout.days.as_ref().map(|days| playing::states(days, at))
    }

    /// How people leave at the moment shown.
    pub fn ways_off(&self) -> Vec<WayOff> {
        let at = self.moment().filter(|_| self.stage == Stage::Days);
        at.map_or_else(Vec::new, |at| playing::ways_off(&self.plan, &self.layout, at))
    }

    pub(super) fn show_moment(&mut self, at: Option<Moment>, fx: &mut Effects) {
        let days = self.layout.days.as_ref();
        let at = at.and_then(|at| playing::nearest(days?, at));
        if at.is_some() && self.stage != Stage::Days {
            self.set_stage(Stage::Days, fx);
        }
        if at == self.moment {
            return;
        }
        self.moment = at;
        fx.overlay = true;
        let words = at.zip(self.layout.days.as_ref()).map(|(at, days)| playing::words(days, at));
        fx.announce = Some(words.unwrap_or_else(|| "The plan is shown as it is.".to_owned()));
    }

    pub(super) fn tie(&mut self, bay: u32, to: TieTo, fx: &mut Effects) {
        let (change, said) = match tie::change(&self.plan, &self.layout, bay, to) {
            Ok(made) => made,
            Err(problem) => return self.refuse(problem, fx),
        };
        if self.commit(change, Policy::Commit, fx).is_some() {
            fx.announce = Some(said);
        }
    }

    /// The bay of a coming layout that lies where the selected one does, when it has another number there: bays are
    /// numbered in the order they are poured, and what is selected is a place on the roof.
    pub(super) fn bay_followed(&self, coming: &Layout) -> Option<Selection> {
        let Some(Selection::Bay(n)) = self.selection else { return None };
        let label = self.layout.bays.iter().find(|b| b.number == n)?.label;
        let bay = coming.bays.get(coming.bay_at(label)?)?;
        (bay.number != n).then_some(Selection::Bay(bay.number))
    }
}
