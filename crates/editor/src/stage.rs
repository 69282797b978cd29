//! The stages of a job, in the trade's order.
//!
//! In: nothing. Out: a name for each. A stage changes what the drawing stresses; it hides nothing and forbids nothing.

use serde::{Deserialize, Serialize};

/// A stage of the job.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// Outline, edges, openings, penetrations, outlets.
    #[default]
    Deck,
    /// Levels and falls.
    Falls,
    /// Direction, courses, pieces, cuts.
    Rolls,
    /// Bays, gang and order.
    Days,
    /// The setting-out sheets.
    Sheets,
}

impl Stage {
    /// All stages, first to last.
    pub const ALL: [Stage; 5] = [Stage::Deck, Stage::Falls, Stage::Rolls, Stage::Days, Stage::Sheets];

    /// Its name on screen.
    pub const fn name(self) -> &'static str {
        match self {
            Stage::Deck => "Deck",
            Stage::Falls => "Falls",
            Stage::Rolls => "Rolls",
            Stage::Days => "Days",
            Stage::Sheets => "Sheets",
        }
    }
}
