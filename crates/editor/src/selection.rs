//! What is selected.
//!
//! In: ids of the plan and numbers of the layout. Out: one thing, a part of it, or a part of the layout; always the
//! same in the drawing, the tables and the panels. It does not check that the thing exists: [`Selection::holds`] does.

use crate::thing;
use baylap_core::plan::{Id, Plan};
use baylap_core::{About, Layout};
use serde::{Deserialize, Serialize};

/// A thing that can be selected.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Selection {
    /// A thing of the plan.
    Thing(Id),
    /// An edge of a deck, an opening or a ring-shaped penetration, or a stretch of a line.
    Edge {
        /// Id of the thing.
        id: Id,
        /// Edge number from 0: from corner `edge` to the next.
        edge: u32,
    },
    /// A corner of a ring, or a point of a line.
    Corner {
        /// Id of the thing.
        id: Id,
        /// Corner number from 0.
        corner: u32,
    },
    /// The datum, which has no id.
    Datum,
    /// A zone of the layout, by number.
    Zone(u32),
    /// A bay of the layout, by number.
    Bay(u32),
    /// A piece of the layout, by number.
    Piece(u32),
    /// A roll of the layout, by number.
    Roll(u32),
    /// A strip for an upstand, by number.
    Strip(u32),
    /// A pond, by number.
    Pond(u32),
    /// A day of the programme, by number: its bays.
    Day(u32),
}

impl Selection {
    /// What a finding is about, as a selection; `None` for the job and for settings.
    pub fn of(about: &About) -> Option<Self> {
        match *about {
            About::Plan(id) => Some(Selection::Thing(id)),
            About::Edge { id, edge } => Some(Selection::Edge { id, edge }),
            About::Zone(n) => Some(Selection::Zone(n)),
            About::Bay(n) => Some(Selection::Bay(n)),
            About::Piece(n) => Some(Selection::Piece(n)),
            About::Job | About::Setting(_) => None,
        }
    }

    /// Id of the thing of the plan it is or belongs to.
    pub const fn id(self) -> Option<Id> {
        match self {
            Selection::Thing(id) | Selection::Edge { id, .. } | Selection::Corner { id, .. } => Some(id),
            _ => None,
        }
    }

    /// Whether it exists in this plan and layout.
    pub fn holds(self, plan: &Plan, layout: &Layout) -> bool {
        match self {
            Selection::Thing(id) => thing::find(plan, id).is_some(),
            Selection::Edge { id, edge } => {
                thing::find(plan, id).is_some_and(|t| (edge as usize) < t.edge_count())
            }
            Selection::Corner { id, corner } => {
                thing::find(plan, id).is_some_and(|t| (corner as usize) < t.points().len())
            }
            Selection::Datum => plan.datum.is_some(),
            Selection::Zone(n) => layout.zones.iter().any(|z| z.number == n),
            Selection::Bay(n) => layout.bays.iter().any(|b| b.number == n),
            Selection::Piece(n) => layout.pieces.iter().any(|p| p.number == n),
            Selection::Roll(n) => layout.rolls.iter().any(|r| r.number == n),
            Selection::Strip(n) => layout.strips.iter().any(|s| s.number == n),
            // While the order is being looked for there are no days to say that it is none.
            Selection::Day(n) => {
                layout.days.as_ref().is_none_or(|d| d.days.iter().any(|day| day.number == n))
            }
            Selection::Pond(n) => layout.falls.iter().any(|f| f.ponds.iter().any(|p| p.number == n)),
        }
    }
}
