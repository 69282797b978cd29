//! Site records: what was done, tested, read and signed for, as entered on the roof.
//!
//! In: entries, from a screen or a file. Out: plain data. The list only grows: a record is never changed and never taken
//! out; a correction or a withdrawal is a record of its own that names the one it replaces. So the lists of two devices
//! merge by their keys without loss ([`crate::records::merge()`]). A bay is named by a place inside it, as its number
//! changes with the layout. Nothing is judged here.

use super::Mm;
use super::date::Date;
use crate::geom::Pt;
use serde::{Deserialize, Serialize};

/// Longest key that is entered; a merge may make one that is longer by [`KEY_MARK`] characters.
pub const KEY: usize = 40;
/// What a merge adds to the key of a record that met another one with its key: a full stop and 16 hexadecimal digits.
pub const KEY_MARK: usize = 17;

/// One record.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// Key, one of its kind over all devices: mark of the device and a counter, as `k3f9-12`. Letters, digits, hyphens
    /// and full stops.
    pub key: String,
    /// Key of the record that this one takes the place of.
    #[serde(default)]
    pub replaces: Option<String>,
    /// Day it is about.
    #[serde(default)]
    pub date: Option<Date>,
    /// Time of day as typed.
    #[serde(default)]
    pub time: String,
    /// Who made it.
    #[serde(default)]
    pub by: String,
    /// Where: a place inside the bay it is about, of a reading its own place.
    #[serde(default)]
    pub at: Option<Pt>,
    /// What it says.
    pub what: Entry,
}

/// What a record says.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Entry {
    /// A bond test on a square of 300 x 300 mm (common practice, no source).
    Bond {
        /// Whether it held.
        passed: bool,
        /// What was seen.
        #[serde(default)]
        note: String,
    },
    /// A thickness read.
    Thickness {
        /// Hundredths of a mm.
        hundredths: i64,
        /// Whether the protection sheet was read along with the membrane.
        #[serde(default)]
        with_sheet: bool,
        /// What was seen.
        #[serde(default)]
        note: String,
    },
    /// An electronic leak test.
    Leak {
        /// What was tested.
        #[serde(default)]
        over: Tested,
        /// Whether no fault was found; a fault lies at the place of the record.
        passed: bool,
        /// What was seen.
        #[serde(default)]
        note: String,
    },
    /// The weather.
    Weather {
        /// Temperature of the air, tenths of a degree Celsius.
        air: i64,
        /// Relative humidity, per cent.
        humidity: i64,
        /// Temperature of the deck, tenths of a degree Celsius.
        #[serde(default)]
        deck: Option<i64>,
        /// What was seen.
        #[serde(default)]
        note: String,
    },
    /// A step of the work on a bay is done.
    Done {
        /// The step.
        step: WorkStep,
    },
    /// A bay is signed for, by whom the record names.
    SignOff {
        /// What was agreed.
        #[serde(default)]
        note: String,
    },
    /// Anything else.
    Note {
        /// What it says.
        text: String,
    },
    /// The record that this one replaces was entered in error, and nothing takes its place.
    Withdrawn {
        /// Why.
        #[serde(default)]
        why: String,
    },
}

/// What a leak test went over.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Tested {
    /// The bay that holds the place of the record.
    #[default]
    Bay,
    /// The whole roof.
    Roof,
    /// An area.
    Area {
        /// Its corners, three or more.
        corners: Vec<Pt>,
    },
}

/// Steps of the work on a bay, in their order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum WorkStep {
    /// Primed.
    Primed,
    /// Upstands, joints, penetrations and outlets done.
    Details,
    /// Poured and reinforced.
    Poured,
    /// Protection sheet laid.
    Protected,
    /// Covered by insulation or another finish: it can be tested and read no more.
    Covered,
}

impl WorkStep {
    /// All steps, first to last.
    pub const ALL: [WorkStep; 5] =
        [WorkStep::Primed, WorkStep::Details, WorkStep::Poured, WorkStep::Protected, WorkStep::Covered];

    /// Its word.
    pub const fn name(self) -> &'static str {
        match self {
            WorkStep::Primed => "primed",
            WorkStep::Details => "details done",
            WorkStep::Poured => "poured and reinforced",
            WorkStep::Protected => "protection sheet laid",
            WorkStep::Covered => "covered",
        }
    }

    /// What it says of a bay: "is primed".
    pub const fn told(self) -> &'static str {
        match self {
            WorkStep::Primed => "is primed",
            WorkStep::Details => "has its details done",
            WorkStep::Poured => "is poured and reinforced",
            WorkStep::Protected => "has its protection sheet laid",
            WorkStep::Covered => "is covered",
        }
    }
}

/// How records are judged and how many are due.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Recording {
    /// Area that one thickness reading is due for, hundredths of a m2. The usual 10 m2 is that of UFGS 07141 section 3.4.2,
    /// written for fluid-applied decks in general.
    pub reading_area: i64,
    /// Thickness of the protection sheet, hundredths of a mm, for readings that take it in; absent until the user says.
    pub sheet: Option<i64>,
    /// How far a single reading may stay below the nominal, hundredths of a mm. No published figure: 0 until the user says
    /// otherwise.
    pub allowance: i64,
    /// How far a place of a reading keeps from laps, openings and bay edges where there is room, mm (common practice, no
    /// source).
    pub reading_clear: Mm,
}

impl Default for Recording {
    fn default() -> Self {
        Self { reading_area: 1000, sheet: None, allowance: 0, reading_clear: 300 }
    }
}

impl Recording {
    /// Whether every setting is the usual one.
    pub fn is_usual(&self) -> bool {
        *self == Self::default()
    }
}

/// Whether a text can be a key: letters, digits, hyphens and full stops, neither none nor too many.
pub fn is_key(text: &str) -> bool {
    let sound = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '.';
    (1..=KEY + KEY_MARK).contains(&text.len()) && text.chars().all(sound)
}

/// Mark and counter of a key such as `k3f9-12`; counter 0 where the key has none.
pub fn parts_of(key: &str) -> (&str, u64) {
    let counter = |(mark, count): (_, &str)| count.parse().ok().map(|n| (mark, n));
    key.rsplit_once('-').and_then(counter).unwrap_or((key, 0))
}
