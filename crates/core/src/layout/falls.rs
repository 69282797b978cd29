//! Falls, ponds, drainage and the verdicts on edges and laps, as the layout holds them.
//!
//! In: nothing; [`crate::falls`] and [`crate::seams`] fill it. Levels are thousandths of a mm above the level datum, areas
//! mm2, places whole mm.

use crate::geom::{Pt, Region};
use crate::plan::{FallRule, Mm};
use serde::{Deserialize, Serialize};

/// Classes of fall, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum FallClass {
    /// Falls away from the place its water must leave by.
    BackFall,
    /// As good as level.
    Flat,
    /// Falls, but less than the rule's least.
    BelowLeast,
    /// Between the least and the design fall.
    BelowDesign,
    /// The design fall or more.
    Good,
}

/// The rule set used, with its source.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RuleUsed {
    /// Which.
    pub rule: FallRule,
    /// Its name with its edition.
    pub name: String,
    /// Where its figures come from and how sure they are, one sentence.
    pub source: String,
    /// Least fall, millionths (1:80 is 12500).
    pub least_ppm: i64,
    /// Design fall, millionths.
    pub design_ppm: i64,
    /// Less than this is flat, millionths.
    pub flat_ppm: i64,
}

/// The surface of the decks, its classes, and where water goes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Falls {
    /// The rule set used.
    pub rule: RuleUsed,
    /// Points of the surface: x, y, level, all thousandths of a mm.
    pub points: Vec<[i64; 3]>,
    /// Its facets.
    pub facets: Vec<Facet>,
    /// Area of each class, worst first, in the order of [`FallClass`], mm2. Together the decks with a surface.
    pub class_areas: [i64; 5],
    /// Ponds, deepest first.
    pub ponds: Vec<Pond>,
    /// Outlets, in the order of the plan.
    pub outlets: Vec<OutletWork>,
    /// Deck area whose water runs over free edges, mm2.
    pub over_edges: i64,
    /// Deck area whose water has nowhere to go: it stands in a pond with no way out, mm2.
    pub trapped: i64,
    /// Lines of equal level, level (whole mm) and polylines.
    pub contours: Vec<Contour>,
    /// Edges of the surface where falls meet at the bottom.
    pub low_lines: Vec<[Pt; 2]>,
    /// Edges of the surface where falls part at the top.
    pub ridges: Vec<[Pt; 2]>,
    /// What went in.
    pub input: LevelInput,
    /// Length of bay edges, side laps and end laps by verdict, mm.
    pub lengths: Vec<VerdictLength>,
}

impl Falls {
    /// Falls of which no more is known than the rule and what goes in.
    pub fn bare(rule: RuleUsed, input: LevelInput) -> Self {
        Self {
            rule,
            points: Vec::new(),
            facets: Vec::new(),
            class_areas: [0; 5],
            ponds: Vec::new(),
            outlets: Vec::new(),
            over_edges: 0,
            trapped: 0,
            contours: Vec::new(),
            low_lines: Vec::new(),
            ridges: Vec::new(),
            input,
            lengths: Vec::new(),
        }
    }
}

/// A facet of the surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Facet {
    /// Its corners in [`Falls::points`], anticlockwise.
    pub corners: [u32; 3],
    /// Id of the deck.
    pub deck: u32,
    /// Fall, millionths.
    pub fall_ppm: i64,
    /// Direction that water runs, thousandths of a degree anticlockwise from +x; 0 when level.
    pub direction_mdeg: i32,
    /// Class.
    pub class: FallClass,
    /// Where the water of its middle goes.
    pub drains_to: Sink,
}

/// Where water goes in the end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Sink {
    /// An outlet of the plan, by its id.
    Outlet(u32),
    /// Over a free edge of the deck or opening with this id.
    Edge(u32),
    /// Nowhere: it stands until it dries.
    Nowhere,
}

/// Water that stands after rain.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Pond {
    /// Number, from 1.
    pub number: u32,
    /// Id of the deck.
    pub deck: u32,
    /// Where water stands.
    pub area: Vec<Region>,
    /// How large that is, mm2.
    pub size: i64,
    /// Level of the water, thousandths of a mm.
    pub level_um: i64,
    /// Greatest depth, thousandths of a mm.
    pub depth_um: i64,
    /// The deepest place: an outlet here would drain it.
    pub deepest: Pt,
    /// Volume, mm3.
    pub volume: i64,
    /// Mass of the water at 1 kg per litre, hundredths of a kg.
    pub mass: i64,
    /// Where it spills over; lowering the deck here by the depth would drain it. Absent when it has no way out.
    pub spill: Option<Pt>,
    /// Where the water that spills goes.
    pub drains_to: Sink,
}

/// What an outlet has to take and what it takes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OutletWork {
    /// Id in the plan.
    pub id: u32,
    /// Whether it only works when water stands higher than its sill.
    pub overflow: bool,
    /// Level that water leaves at, thousandths of a mm; absent when the deck there has no level.
    pub level_um: Option<i64>,
    /// Its catchment.
    pub catchment: Vec<Region>,
    /// How large that is, mm2. Catchments, `over_edges` and `trapped` together are the deck.
    pub size: i64,
    /// Area added for walls, mm2.
    pub wall_area: i64,
    /// Flow at the rain given, thousandths of a litre per second.
    pub flow: Option<i64>,
    /// What it takes at its head, thousandths of a litre per second.
    pub capacity: Option<i64>,
    /// Depth of water that the flow needs, thousandths of a mm.
    pub head_um: Option<i64>,
    /// What happens when it is blocked.
    pub blocked: Option<Blocked>,
}

/// What happens when an outlet is blocked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Blocked {
    /// Depth of water over it, thousandths of a mm, before it spills elsewhere.
    pub depth_um: i64,
    /// Size of the pond round it, mm2.
    pub size: i64,
    /// Its volume, mm3.
    pub volume: i64,
    /// Where the water then goes.
    pub goes_to: Sink,
}

/// The way that water takes from a place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Trace {
    /// Its way, from the place asked for.
    pub points: Vec<Pt>,
    /// Numbers of the ponds that it fills on its way.
    pub ponds: Vec<u32>,
    /// Where it ends.
    pub drains_to: Sink,
}

/// A long section: the surface along a line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Section {
    /// Length of the line, mm.
    pub length: Mm,
    /// The surface in unbroken parts: distance from the start of the line in mm, level in thousandths of a mm.
    pub parts: Vec<Vec<[i64; 2]>>,
    /// Where water stands over it: from and to in mm, level in thousandths of a mm.
    pub water: Vec<[i64; 3]>,
}

/// A line of equal level.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Contour {
    /// Level, mm.
    pub level: Mm,
    /// Its lines.
    pub lines: Vec<Vec<Pt>>,
}

/// What the surface was made of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LevelInput {
    /// Spot levels used.
    pub spots: u32,
    /// Points of level lines used.
    pub line_points: u32,
    /// Fall planes used.
    pub planes: u32,
    /// Corners of decks and openings whose level was worked out from levels around them.
    pub between: u32,
    /// Corners whose level was assumed, beyond the levels given.
    pub beyond: u32,
}

/// What an edge or a lap does to the water.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Runs with the fall.
    WithFall,
    /// Runs across the fall, the higher side on top: water is shed.
    Sheds,
    /// Lies on level deck, where no side is the higher.
    Level,
    /// Runs along a ridge: water leaves it on both sides.
    Raised,
    /// Runs across the fall and faces the water: the lower side is on top.
    FacesWater,
    /// Runs along a low line.
    LowLine,
    /// Lies in a pond.
    InPond,
    /// Lies within the clear zone of an outlet.
    AtOutlet,
}

/// Length of edges and laps with one verdict, mm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct VerdictLength {
    /// The verdict.
    pub verdict: Verdict,
    /// Bay edges.
    pub bay_edges: Mm,
    /// Side laps.
    pub side_laps: Mm,
    /// End laps.
    pub end_laps: Mm,
}

/// Kinds of seam.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum SeamKind {
    /// An edge between two bays.
    BayEdge,
    /// A lap between pieces of neighbouring courses.
    SideLap,
    /// A lap between pieces of one course, or of two zones.
    EndLap,
}

/// A bay edge or a lap, with what it does to the water.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Seam {
    /// What it is.
    pub kind: SeamKind,
    /// Numbers of the two bays, or of the two pieces, that it joins.
    pub between: [u32; 2],
    /// The one that is laid later, and so lies on top.
    pub top: u32,
    /// Its parts.
    pub parts: Vec<SeamPart>,
}

/// A straight part of a seam with one verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SeamPart {
    /// Start.
    pub a: Pt,
    /// End.
    pub b: Pt,
    /// What it does to the water; absent when the deck here has no levels.
    pub verdict: Option<Verdict>,
    /// For a bay edge in a bad place: the nearest good place.
    pub better: Option<Better>,
}

/// The nearest good place for a bay edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Better {
    /// Where.
    pub at: Pt,
    /// How far, mm.
    pub distance: Mm,
    /// Which way, thousandths of a degree anticlockwise from +x.
    pub direction_mdeg: i32,
    /// Whether the edge runs along the courses.
    pub along: bool,
}
