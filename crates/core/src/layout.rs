//! The layout: everything the engine computes from a plan, as plain data.
//!
//! In: nothing; [`lay`](fn@crate::lay) fills it. Out: what the sheets draw, what the screen shows, and what
//! `layout.json` holds. All lengths whole millimetres, areas square millimetres; polygons in plan coordinates.
//! Numbers of zones, bays, pieces and rolls count from 1 and are the same on screen, sheet and file.

pub mod coverings;
pub mod days;
pub mod falls;
pub mod protection;

pub use coverings::CoveringSum;
pub use days::Days;
pub use falls::{Falls, Seam, SeamKind, SeamPart, Sink, Verdict};
pub use protection::Protection;

use crate::finding::Finding;
use crate::geom::ring::{self, Side};
use crate::geom::{Pt, Region};
use crate::plan::{Mm, UpstandKind};
use serde::{Deserialize, Serialize};

/// Name of the layout format.
pub const FORMAT: &str = "baylap-layout";
/// Version of the layout format.
pub const VERSION: u32 = 1;

/// A whole layout.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Layout {
    /// Always `baylap-layout`.
    pub format: String,
    /// Version of this format.
    pub version: u32,
    /// Name of the job.
    pub job: String,
    /// The zones, in number order.
    pub zones: Vec<Zone>,
    /// The bays, in the order they are poured: bay 1 is the first.
    pub bays: Vec<Bay>,
    /// The pieces, in number order: by bay, course and place along the course.
    pub pieces: Vec<Piece>,
    /// The rolls opened, each with its cuts.
    pub rolls: Vec<Roll>,
    /// What stands round the deck and through it, to be done before the field.
    pub details: Details,
    /// Strips of upstands, when they are cut from the same rolls.
    #[serde(default)]
    pub strips: Vec<Strip>,
    /// What was tried for each zone and what was taken.
    #[serde(default)]
    pub choices: Vec<Choice>,
    /// The surface of the decks and where water goes; absent when no levels are known.
    #[serde(default)]
    pub falls: Option<Falls>,
    /// Bay edges and laps: which side is on top, and what it does to the water. Empty when no levels are known.
    #[serde(default)]
    pub seams: Vec<Seam>,
    /// The days: what is laid when, and what each day takes. Absent until the order of the bays has been looked for.
    #[serde(default)]
    pub days: Option<Days>,
    /// The protection sheet. Absent until the order of the bays has been looked for, and where none can be laid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protection: Option<Protection>,
    /// The layers on the membrane, from the bottom up.
    #[serde(default)]
    pub coverings: Vec<CoveringSum>,
    /// Sums.
    pub totals: Totals,
    /// What the program has to say, errors first.
    pub findings: Vec<Finding>,
}

impl Layout {
    /// Index of the bay that a place lies in or on the edge of, the first of several.
    pub fn bay_at(&self, at: Pt) -> Option<usize> {
        let holds = |r: &Region| ring::locate_in(at, r) != Side::Outside;
        self.bays.iter().position(|bay| bay.area.iter().any(holds))
    }
}

/// The working frame of a zone. A place (u, v) of the frame, in mm, is on the plan at
/// `origin / 1000 + u * along + v * across`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Frame {
    /// Zero of the frame on the plan, thousandths of a mm.
    pub origin_um: [i64; 2],
    /// Unit vector of the laying direction: chainage u grows along it.
    pub along: [f64; 2],
    /// Unit vector at right angles to it: course offsets v grow along it. Left or right of `along`.
    pub across: [f64; 2],
}

/// Part of the deck laid in one direction.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Zone {
    /// Number of the zone.
    pub number: u32,
    /// Id of the deck in the plan that it is part of.
    pub deck: u32,
    /// Its working frame. Courses start at v = 0 or below; u = 0 is the first place of the field.
    pub frame: Frame,
    /// Laying direction, thousandths of a degree anticlockwise from +x, 0 to 179999.
    pub direction_mdeg: i32,
    /// The deck of the zone, with every crossing of a line between bays as a corner: the bays partition it exactly.
    pub area: Vec<Region>,
    /// What the reinforcement must cover, with every crossing of a course line as a corner.
    pub field: Vec<Region>,
    /// The courses, in order across the zone.
    pub courses: Vec<Course>,
}

/// One run of roll across a zone.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Course {
    /// Number of the course in its zone.
    pub number: u32,
    /// Offset v of its first edge, mm.
    pub from: Mm,
    /// Offset v of its second edge, mm.
    pub to: Mm,
}

/// One length cut from one roll.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Piece {
    /// Number of the piece, over the whole layout.
    pub number: u32,
    /// Zone it lies in.
    pub zone: u32,
    /// Bay it belongs to.
    pub bay: u32,
    /// Course it lies in.
    pub course: u32,
    /// Chainage u of its start and end in the frame of its zone, mm.
    pub from: Mm,
    /// Chainage u of its end, mm.
    pub to: Mm,
    /// Offsets v of its edges as cut, mm; `across[1] - across[0]` is its cut width: that of its course, or less when it
    /// is slit.
    pub across: [Mm; 2],
    /// Cut length, mm: `to - from`.
    pub length: Mm,
    /// Overlap on to the piece before it in the same course, mm; 0 when it starts at the edge of the field.
    pub lap_from: Mm,
    /// Overlap on to the piece after it in the same course, mm; 0 when it ends at the edge of the field.
    pub lap_to: Mm,
    /// Side lap with the course before, mm; 0 when there is none.
    pub lap_before: Mm,
    /// Side lap with the course after, mm; 0 when there is none.
    pub lap_after: Mm,
    /// As laid: what is left after cutting round the edge of the field. One part, or more where an opening parts it.
    pub as_laid: Vec<Region>,
    /// Area as laid, mm2.
    pub area: i64,
    /// Roll it is cut from.
    pub roll: u32,
    /// Where on the roll its cut starts, mm from the roll's free end.
    pub roll_from: Mm,
    /// Where across the roll it is slit from, mm from the roll's edge; 0 when it is as wide as the roll.
    #[serde(default)]
    pub roll_across: Mm,
}

/// A strip for an upstand, cut along the roll to the girth of the upstand.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Strip {
    /// Number of the strip, over the whole layout.
    pub number: u32,
    /// Where its middle stands on the plan.
    pub at: Pt,
    /// Length, mm, its end laps included.
    pub length: Mm,
    /// Girth, mm: height of the upstand and foot.
    pub width: Mm,
    /// Roll it is cut from.
    pub roll: u32,
    /// Where on the roll its cut starts, mm from the roll's free end.
    pub roll_from: Mm,
    /// Where across the roll it starts, mm from the roll's edge.
    pub roll_across: Mm,
    /// Whether it comes from what the field left of its roll, and not from a roll opened for strips.
    pub from_offcut: bool,
}

/// What was tried for a zone: the directions, the place of the first course, and the one taken.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Choice {
    /// Number of the zone.
    pub zone: u32,
    /// The directions tried, by angle.
    pub ways: Vec<Way>,
    /// Which of them is taken, from 0.
    pub taken: u32,
    /// How far the first course starts outside the field, mm.
    pub first: Mm,
    /// Cut length by start: `[first, cut length]` for the direction taken, mm; straight between neighbours that are more
    /// than 1 mm apart.
    pub starts: Vec<[Mm; 2]>,
}

/// One direction tried for a zone.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Way {
    /// Direction, thousandths of a degree anticlockwise from +x, 0 to 179999.
    pub direction_mdeg: i32,
    /// Width of the rolls, mm.
    pub width: Mm,
    /// Least sum of run lengths over all starts, mm.
    pub cut_length: Mm,
    /// Start that gives it, mm.
    pub first: Mm,
    /// Rolls opened for the whole job with this way, when it was laid out in full.
    pub rolls: Option<u32>,
    /// Cost of the whole job with this way, hundredths of the user's money, when it was laid out in full.
    pub cost: Option<i64>,
    /// Whether its courses run more across the fall than down it; absent where the zone has no falls.
    #[serde(default)]
    pub across_fall: Option<bool>,
}

/// What one gang pours, reinforces and covers in one go.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Bay {
    /// Number of the bay, over the whole layout, in pouring order.
    pub number: u32,
    /// Zone it lies in.
    pub zone: u32,
    /// First and last course.
    pub courses: [u32; 2],
    /// Its part of the deck.
    pub area: Vec<Region>,
    /// Its area, mm2.
    pub size: i64,
    /// Length along the courses, mm.
    pub length: Mm,
    /// Numbers of its pieces.
    pub pieces: Vec<u32>,
    /// A place well inside it, for its number.
    pub label: Pt,
    /// Bays next to it.
    pub beside: Vec<u32>,
}

/// One roll opened.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Roll {
    /// Number of the roll.
    pub number: u32,
    /// Which entry of `products.rolls` it is, from 0.
    pub kind: u32,
    /// Width, mm.
    pub width: Mm,
    /// Length, mm.
    pub length: Mm,
    /// Pieces cut from it, in order from its free end, then across.
    pub pieces: Vec<u32>,
    /// Strips of upstands cut from it.
    #[serde(default)]
    pub strips: Vec<u32>,
    /// Lost to cuts, mm.
    pub kerf: Mm,
    /// What is left, mm.
    pub rest: Mm,
    /// Whether the rest is long enough to be kept (an offcut) or is scrap.
    pub kept: bool,
}

/// What is done before the main deck: upstands, penetrations, outlets, joints.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Details {
    /// Upstands by kind and height.
    pub upstands: Vec<UpstandSum>,
    /// Length of free edges, mm.
    pub free_edges: Mm,
    /// Length of movement joints on the deck, mm.
    pub joints: Mm,
    /// Number of penetrations outside pitch pockets.
    pub penetrations: u32,
    /// Number of pitch pockets.
    pub pockets: u32,
    /// Number of outlets.
    pub outlets: u32,
}

/// Upstands of one kind and height.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct UpstandSum {
    /// Kind.
    pub kind: UpstandKind,
    /// Height, mm.
    pub height: Mm,
    /// Length, mm.
    pub length: Mm,
}

/// Sums over the layout. Areas mm2, lengths mm.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Totals {
    /// Deck: outlines less openings.
    pub deck_area: i64,
    /// Deck as measured: voids up to 1 m2 not deducted (trade.md §7; NRM2/SMM7 from memory).
    pub measured_area: i64,
    /// Area the reinforcement must cover.
    pub field_area: i64,
    /// Pieces.
    pub pieces: u32,
    /// Bays.
    pub bays: u32,
    /// Sum of cut lengths.
    pub cut_length: Mm,
    /// Length of side laps.
    pub side_lap_length: Mm,
    /// Number of end laps.
    pub end_laps: u32,
    /// Rolls opened.
    pub rolls: u32,
    /// No layout of these pieces can be cut from fewer rolls than this.
    pub rolls_least: u32,
    /// Whether `rolls` meets `rolls_least`: the cut list is proved the least for these pieces.
    pub proved: bool,
    /// Rolls that the area of the field alone fills: no layout of this roof, however cut, opens fewer.
    #[serde(default)]
    pub rolls_by_area: u32,
    /// Rolls that the least cut length of the directions and starts tried fills, when nothing is slit: no courses at the
    /// plain pitch in those directions open fewer.
    #[serde(default)]
    pub rolls_by_length: u32,
    /// Most rolls part-used at the end of any bay.
    #[serde(default)]
    pub open_rolls: u32,
    /// Cuts across rolls.
    #[serde(default)]
    pub cuts: u32,
    /// Length slit along rolls.
    #[serde(default)]
    pub slit_length: Mm,
    /// Cost of the field by the user's prices, hundredths: its rolls, side laps, cuts, end laps, slits.
    #[serde(default)]
    pub cost: i64,
    /// Rolls opened for upstand strips only.
    #[serde(default)]
    pub strip_rolls: u32,
    /// Area of upstand strips cut from what the field left of its rolls.
    #[serde(default)]
    pub strips_from_offcuts: i64,
    /// Area of the rolls opened for the field.
    pub roll_area: i64,
    /// Waste, split; the parts, the field and `strips_from_offcuts` add up to `roll_area`.
    pub waste: Waste,
    /// Membrane, whole kg.
    pub membrane_kg: i64,
    /// Blocks to melt.
    pub blocks: i64,
    /// Primer, litres rounded up.
    pub primer_litres: i64,
    /// Tins of primer.
    pub primer_tins: i64,
    /// Protection sheet as cut, laps included, mm2; by area alone, rounded up, as long as it is not laid out.
    pub sheet_area: i64,
    /// Rolls of protection sheet: of its cut list, or by area alone as long as it is not laid out.
    pub sheet_rolls: i64,
    /// Upstand reinforcement: length times (height + foot), mm2.
    pub upstand_area: i64,
}

/// Where the area of the opened rolls goes beyond the field, mm2.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Waste {
    /// Lying double in laps.
    pub laps: i64,
    /// Cut off pieces at edges and round openings.
    pub trim: i64,
    /// Roll rests too short to use, and kerf.
    pub scrap: i64,
    /// Roll rests long enough to be used again.
    pub offcuts: i64,
}
