//! What lies on the membrane of an inverted roof: drainage, insulation, separating layer, stones, paving.
//!
//! In: edits and files. Out: plain data. Every size is the user's or the maker's; figures with a source are told by
//! [`crate::coverings`].

use super::Mm;
use serde::{Deserialize, Serialize};

/// One layer of the covering.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Covering {
    /// Name, may be empty.
    #[serde(default)]
    pub name: String,
    /// What it is.
    pub layer: Layer,
}

/// Kinds of layer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Layer {
    /// Drainage layer, in rolls.
    Drainage {
        /// Width of a roll, mm.
        width: Mm,
        /// Length of a roll, mm.
        length: Mm,
        /// Lap, mm; 0 when butted.
        lap: Mm,
    },
    /// Insulation, in boards of one layer.
    Insulation {
        /// Thickness, mm.
        thickness: Mm,
        /// Width of a board, mm.
        width: Mm,
        /// Length of a board, mm.
        length: Mm,
        /// Density, kg per m3.
        density: i64,
    },
    /// Separating layer or filter fabric, in rolls.
    Separating {
        /// Width of a roll, mm.
        width: Mm,
        /// Length of a roll, mm.
        length: Mm,
        /// Lap, mm.
        lap: Mm,
    },
    /// Stones.
    Stones {
        /// Width of the margin along upstands, mm; absent when they lie over the whole deck.
        #[serde(default)]
        margin: Option<Mm>,
        /// Mass, kg per m2; absent, and then by the thickness of the insulation ([`crate::coverings::stone_mass`]).
        #[serde(default)]
        mass: Option<i64>,
    },
    /// Paving on supports, inside the margin of stones where there is one.
    Paving {
        /// Width of a slab, mm.
        width: Mm,
        /// Length of a slab, mm.
        length: Mm,
        /// Joint between slabs, mm.
        joint: Mm,
    },
}

impl Default for Layer {
    /// Stones over the whole deck.
    fn default() -> Self {
        Layer::Stones { margin: None, mass: None }
    }
}
