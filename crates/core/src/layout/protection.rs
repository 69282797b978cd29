//! The protection sheet as laid out: its courses by bay, its pieces, its laps, its rolls.
//!
//! In: nothing; [`crate::protection`] fills it. Out: plain data. Lengths whole millimetres, areas square millimetres. Places
//! along and across are those of the frame of the piece's zone; polygons are in plan coordinates. The numbers of pieces
//! and rolls count from 1 and are those of the sheet alone: reinforcement has numbers of its own.

use super::Course;
use crate::geom::{Pt, Region};
use crate::plan::Mm;
use serde::{Deserialize, Serialize};

/// The protection sheet of a layout.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Protection {
    /// What is laid with each bay, in the order of the bays.
    pub bays: Vec<SheetBay>,
    /// The pieces, in number order: by bay, course and place along the course.
    pub pieces: Vec<SheetPiece>,
    /// The laps, by the pieces they join.
    pub laps: Vec<SheetLap>,
    /// Edges of pieces nearer to a lap of the reinforcement than asked, beside those of laps that say so themselves.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub near_edges: Vec<SheetEdge>,
    /// The rolls opened, each with its pieces.
    pub rolls: Vec<SheetRoll>,
    /// What of the decks it leaves bare; nothing as a rule.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bare: Vec<Region>,
    /// A place of each stretch where four pieces or more lie on one another.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub deep: Vec<Pt>,
    /// Sums.
    pub totals: SheetTotals,
}

/// The sheet laid with one bay: over the bay, short of edges still to be joined, and over edges joined to bays before it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SheetBay {
    /// Number of the bay.
    pub bay: u32,
    /// Zone it lies in.
    pub zone: u32,
    /// Its courses of sheet, in order across the zone, numbered from 1 in the bay.
    pub courses: Vec<Course>,
    /// Numbers of its pieces.
    pub pieces: Vec<u32>,
    /// Area of its pieces as cut, mm2.
    pub cut_area: i64,
}

/// One length of protection sheet.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SheetPiece {
    /// Number of the piece, over all of the sheet.
    pub number: u32,
    /// Zone whose frame it is measured in.
    pub zone: u32,
    /// Bay it is laid with.
    pub bay: u32,
    /// Course of the bay that it lies in; for a patch a number beyond those of the courses.
    pub course: u32,
    /// Chainage u of its start, mm.
    pub from: Mm,
    /// Chainage u of its end, mm.
    pub to: Mm,
    /// Offsets v of its edges as cut, mm; narrower than the roll when it is slit.
    pub across: [Mm; 2],
    /// Cut length, mm: `to - from`.
    pub length: Mm,
    /// As laid: what is left after cutting round the edge of the deck and along edges still to be joined.
    pub as_laid: Vec<Region>,
    /// Area as laid, mm2.
    pub area: i64,
    /// Roll it is cut from; 0 when no roll holds it.
    pub roll: u32,
    /// Where on the roll its cut starts, mm from the roll's free end.
    pub roll_from: Mm,
    /// Where across the roll it is slit from, mm from the roll's edge.
    pub roll_across: Mm,
}

/// How a lap of the sheet runs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum SheetLapKind {
    /// Along the courses.
    #[default]
    Side,
    /// Across them.
    End,
    /// Over a drawn line between two zones, however it runs.
    ZoneLine,
}

/// A lap of two pieces of the sheet: to be sealed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SheetLap {
    /// How it runs.
    pub kind: SheetLapKind,
    /// The pieces: the one laid first, then the one on top of it.
    pub pieces: [u32; 2],
    /// Chainage of its start and end, mm; both 0 over a drawn line.
    pub along: [Mm; 2],
    /// Offsets of its edges, mm; both 0 over a drawn line.
    pub across: [Mm; 2],
    /// Its length as laid, mm.
    pub length: Mm,
    /// Its middle on the plan.
    pub at: Pt,
    /// Distance from the nearest lap of the reinforcement that runs the same way, mm, where it is less than asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub off: Option<Mm>,
    /// Length over which it is nearer than asked, mm.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub near: Mm,
    /// Whether it is narrower than asked: a patch makes it good.
    #[serde(default, skip_serializing_if = "is_false")]
    pub narrow: bool,
    /// Distance from the nearest end lap of a neighbouring course of its bay, mm, where it is less than the stagger.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stagger: Option<Mm>,
}

/// A stretch of a piece's edge that runs nearer to a lap of the reinforcement than asked.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SheetEdge {
    /// Number of the piece.
    pub piece: u32,
    /// How it runs: along the courses or across them.
    pub kind: SheetLapKind,
    /// Chainages of its ends, mm.
    pub along: [Mm; 2],
    /// Offsets of its ends, mm.
    pub across: [Mm; 2],
    /// Distance from the lap, mm.
    pub off: Mm,
}

/// One roll of protection sheet opened.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SheetRoll {
    /// Number of the roll.
    pub number: u32,
    /// Numbers of the pieces cut from it, in order from its free end, then across.
    pub pieces: Vec<u32>,
    /// What is left at its end, mm.
    pub rest: Mm,
    /// Whether the rest is long enough to be kept.
    pub kept: bool,
}

/// Sums over the sheet. Areas mm2, lengths mm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SheetTotals {
    /// Pieces.
    pub pieces: u32,
    /// Area of the pieces as cut: what is carried up.
    pub cut_area: i64,
    /// Area of the pieces as laid, laps counted twice.
    pub laid_area: i64,
    /// Sum of cut lengths.
    pub cut_length: Mm,
    /// Length of laps along the courses.
    pub side_laps: Mm,
    /// Length of laps across the courses.
    pub end_laps: Mm,
    /// Length of laps over drawn lines.
    pub line_laps: Mm,
    /// Length of laps nearer to a lap of the reinforcement than asked.
    pub near: Mm,
    /// Rolls opened.
    pub rolls: u32,
    /// No cut list of these pieces opens fewer.
    pub rolls_least: u32,
}

#[allow(clippy::trivially_copy_pass_by_ref)]
fn is_zero(length: &Mm) -> bool {
    *length == 0
}

#[allow(clippy::trivially_copy_pass_by_ref)]
fn is_false(is: &bool) -> bool {
    !is
}
