//! Settings of falls and drainage: the rule falls are judged by, the rain, what outlets take, and bay edges held in place.
//!
//! In: edits and files. Out: plain data. No figure here is a requirement: rules carry their source where they are used
//! ([`crate::falls`]), and a project value is always allowed.

use super::{Id, Mm};
use crate::geom::Pt;
use serde::{Deserialize, Serialize};

/// Rule sets that falls are judged by. Their figures and sources stand in [`crate::falls::rules`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum FallRule {
    /// BS 6229:2018: finished fall at least 1:80, designed at 1:40.
    #[default]
    Bs6229,
    /// BS 6229:2018, zero falls: level allowed, back-falls not, designed at 1:80.
    Bs6229ZeroFall,
    /// DIN 18531-1: planned fall at least 2 %.
    Din18531,
    /// AS 4654.2:2012: at least 1:100.
    As4654,
    /// International Building Code 1507: at least 1/4 inch in 12 (1:48).
    Ibc1507,
    /// MIL-HDBK-1001/5: plaza decks, at least 1/4 inch in a foot, 1/2 inch preferred.
    MilHdbk1001,
    /// The project's own values.
    Project,
}

/// Falls and drainage of the job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Drainage {
    /// The rule set that falls are judged by.
    pub rule: FallRule,
    /// Least fall as 1 in so many, for [`FallRule::Project`]; 0 is level.
    pub least_one_in: u32,
    /// Fall wanted by design as 1 in so many, for [`FallRule::Project`]; 0 is level.
    pub design_one_in: u32,
    /// A fall of less than 1 in so many counts as flat. Common practice, no source.
    pub flat_one_in: u32,
    /// Ponds shallower than this are not reported, mm. Common practice, no source.
    pub least_pond: Mm,
    /// Rain, tenths of a mm per hour; absent until the user says, and then no flow is worked out.
    pub rain: Option<u32>,
    /// Share of the rain that runs off, thousandths.
    pub runoff: u32,
    /// Height of the walls above the roof (edges that are an abutting wall), mm; 0 counts none.
    pub wall_height: Mm,
    /// Share of a wall's area that is added to the roof it drains on to, thousandths.
    pub wall_share: u32,
    /// Whether courses across the fall are preferred to fewer rolls.
    pub across_fall_first: bool,
}

impl Default for Drainage {
    fn default() -> Self {
        Self {
            rule: FallRule::Bs6229,
            least_one_in: 80,
            design_one_in: 40,
            flat_one_in: 500,
            least_pond: 2,
            rain: None,
            runoff: 1000,
            wall_height: 0,
            wall_share: 500,
            across_fall_first: true,
        }
    }
}

/// The opening that an outlet takes water through.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Mouth {
    /// A round one.
    Round {
        /// Effective diameter, mm.
        diameter: Mm,
    },
    /// Any other.
    Other {
        /// Length that water runs in over, mm.
        weir: Mm,
        /// Area in plan, mm2.
        area: i64,
    },
}

/// What an outlet takes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Intake {
    /// Level of its rim or sole, mm above the level datum; absent where it is the deck's at its place.
    pub level: Option<Mm>,
    /// How far its sill stands above the deck or that level, mm: for overflows and chutes.
    pub sill: Mm,
    /// Its opening; absent until the user says, and then its capacity is not worked out.
    pub mouth: Option<Mouth>,
    /// Whether a strainer or grating halves what it takes.
    pub strainer: bool,
    /// Depth of water over it that it is judged at, mm.
    pub head: Mm,
    /// Whether it is taken to be blocked.
    pub blocked: bool,
}

impl Default for Intake {
    /// Head 35 mm: test head of roof outlets, EN 1253-2:2015 as reported.
    fn default() -> Self {
        Self { level: None, sill: 0, mouth: None, strainer: false, head: 35, blocked: false }
    }
}

/// A place that a bay edge is wanted at.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BayEdge {
    /// Identity.
    pub id: Id,
    /// A place on it.
    pub at: Pt,
    /// Whether it runs along the courses (between two of them) or across them.
    #[serde(default)]
    pub along: bool,
}
