//! The plan: everything a person draws and sets, as stored in the file.
//!
//! In: edits and files. Out: plain data, whole millimetres, nothing derived. It may hold any nonsense a person can
//! draw (a crossed outline, an opening in mid-air): [`crate::model`] is what turns it into checked geometry.
//! Ids are unique over the whole plan. All types here are version 1 of the file; when version 2 comes these are
//! frozen in `plan/file/v1.rs` and migrated from there.

pub mod coverings;
pub mod date;
pub mod detailing;
pub mod drainage;
pub mod file;
pub mod programme;
pub mod records;

pub use coverings::{Covering, Layer};
pub use date::Date;
pub use detailing::Detailing;
pub use drainage::{BayEdge, Drainage, FallRule, Intake, Mouth};
pub use programme::{Calendar, DetailsBy, NamedGang, OrderPrices, Programme, Rates, Tie};
pub use records::{Entry, Record, Recording, Tested, WorkStep};

use crate::geom::Pt;
use serde::{Deserialize, Serialize};

/// Identity of a thing in the plan; unique over the whole plan, never used again while the plan is open.
pub type Id = u32;

/// Millimetres.
pub type Mm = i64;

/// A whole job.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Plan {
    /// Name, place and people of the job.
    pub job: Job,
    /// The separate decks, each with its outline.
    pub decks: Vec<Deck>,
    /// Holes in the decks with a kerb or a bare edge: roof lights, courtyards, shafts, plinths.
    pub openings: Vec<Opening>,
    /// Pipes, posts and cable ways through the deck.
    pub penetrations: Vec<Penetration>,
    /// Rainwater outlets.
    pub outlets: Vec<Outlet>,
    /// Movement joints: nothing laid may cross them.
    pub joints: Vec<Line>,
    /// Lines that the user draws to end one zone and begin another.
    pub zone_lines: Vec<ZoneLine>,
    /// Laying direction and start side of zones, each tied to a place within its zone.
    pub zones: Vec<ZoneSetting>,
    /// Levels and falls.
    pub levels: Levels,
    /// Ways on to and off the roof.
    pub ways: Vec<Place>,
    /// Where the melters stand.
    pub melters: Vec<Melter>,
    /// Base line and zero that setting-out is measured from.
    pub datum: Option<Datum>,
    /// Rolls, laps, sheet and membrane.
    pub products: Products,
    /// Who lays it, how fast, within which limits.
    pub gang: Gang,
    /// How falls are judged and what water the roof has to shed.
    pub drainage: Drainage,
    /// Places that bay edges are wanted at.
    pub bay_edges: Vec<BayEdge>,
    /// How the work is put into days.
    pub programme: Programme,
    /// How details are made, as far as it decides what they take.
    pub detailing: Detailing,
    /// What lies on the membrane, from the bottom up.
    pub coverings: Vec<Covering>,
    /// How records are judged and how many are due.
    #[serde(skip_serializing_if = "Recording::is_usual")]
    pub recording: Recording,
    /// What was done, tested, read and signed for; the list only grows.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub records: Vec<Record>,
}

/// Data of the job for the title block.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Job {
    /// Name of the job.
    pub name: String,
    /// Number or reference of the job.
    pub number: String,
    /// Part of the building, e.g. "Roof level 4".
    pub part: String,
    /// Who the job is for.
    pub client: String,
    /// Who drew the plan.
    pub drawn_by: String,
    /// Revision of the plan, as the user writes it.
    pub revision: String,
    /// Date as the user writes it; the program has no clock.
    pub date: String,
    /// Anything else worth printing.
    pub notes: String,
    /// Direction of north, thousandths of a degree anticlockwise from +x (90000 is up the sheet).
    pub north_mdeg: Option<i32>,
}

/// What stands along an edge of a ring.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Edge {
    /// A vertical face the membrane turns up.
    Upstand {
        /// Height of the upstand above the deck, mm.
        height: Mm,
        /// What it is.
        kind: UpstandKind,
    },
    /// No upstand: a drip, a verge, a gutter lip.
    Free {
        /// What it is.
        kind: FreeKind,
    },
}

impl Default for Edge {
    /// A parapet 150 mm high: the usual edge of a roof that carries paving or planting.
    fn default() -> Self {
        Edge::Upstand { height: 150, kind: UpstandKind::Parapet }
    }
}

/// Kinds of upstand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum UpstandKind {
    /// Parapet wall.
    #[default]
    Parapet,
    /// Abutting wall of a higher part.
    Wall,
    /// Kerb of an opening.
    Kerb,
    /// Plinth of plant.
    Plinth,
    /// Door threshold.
    Threshold,
}

/// Kinds of free edge.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum FreeKind {
    /// Drip edge.
    #[default]
    Drip,
    /// Verge trim.
    Verge,
    /// Lip of a gutter.
    Gutter,
}

/// A corner of a ring, with the edge that runs from it to the next corner.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Corner {
    /// Where it is.
    pub at: Pt,
    /// What stands along the edge from here to the next corner.
    #[serde(default)]
    pub edge: Edge,
}

/// A closed ring of corners; the last joins the first. Either way round; not closed by repeating a corner.
pub type Ring = Vec<Corner>;

/// One deck: a roof surface with its outline. Its openings are listed in [`Plan::openings`].
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Deck {
    /// Identity.
    pub id: Id,
    /// Name, may be empty.
    #[serde(default)]
    pub name: String,
    /// Outline.
    pub ring: Ring,
}

/// A hole in a deck.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// Identity.
    pub id: Id,
    /// Name, may be empty.
    #[serde(default)]
    pub name: String,
    /// Outline of the hole.
    pub ring: Ring,
}

/// Shape of a penetration.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Shape {
    /// A round pipe or post.
    Circle {
        /// Its middle.
        centre: Pt,
        /// Its diameter, mm.
        diameter: Mm,
    },
    /// Any closed shape.
    Ring {
        /// Its corners, either way round.
        corners: Vec<Pt>,
    },
}

/// Something that comes through the deck.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Penetration {
    /// Identity.
    pub id: Id,
    /// Name, may be empty.
    #[serde(default)]
    pub name: String,
    /// Shape on the deck.
    pub shape: Shape,
    /// Penetrations with the same number stand in one pitch pocket.
    #[serde(default)]
    pub pocket: Option<u32>,
    /// Width of its collar, mm; when absent, [`Products::collar`].
    #[serde(default)]
    pub collar: Option<Mm>,
}

/// Kinds of outlet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum OutletKind {
    /// Outlet in the deck.
    #[default]
    Gravity,
    /// Emergency overflow.
    Overflow,
    /// Through a parapet.
    Chute,
    /// Siphonic outlet.
    Siphonic,
}

/// A rainwater outlet.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Outlet {
    /// Identity.
    pub id: Id,
    /// Name, may be empty.
    #[serde(default)]
    pub name: String,
    /// Its middle.
    pub at: Pt,
    /// Diameter of the bowl (sump), mm: no reinforcement is laid over it.
    pub bowl: Mm,
    /// What it is.
    #[serde(default)]
    pub kind: OutletKind,
    /// Radius about the middle within which no end lap and no bay edge may lie, mm.
    pub clear_zone: Mm,
    /// What it takes.
    #[serde(default)]
    pub intake: Intake,
}

/// A line on the plan, from corner to corner.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Line {
    /// Identity.
    pub id: Id,
    /// Name, may be empty.
    #[serde(default)]
    pub name: String,
    /// Its corners, two or more.
    pub points: Vec<Pt>,
}

/// Why a zone line is there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum ZoneLineKind {
    /// The user wants another direction beyond it; the reinforcement laps across it.
    #[default]
    Drawn,
    /// The deck changes level; nothing laps across it.
    LevelChange,
}

/// A line that ends a zone.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ZoneLine {
    /// Identity.
    pub id: Id,
    /// Name, may be empty.
    #[serde(default)]
    pub name: String,
    /// Its corners, two or more.
    pub points: Vec<Pt>,
    /// Why it is there.
    #[serde(default)]
    pub kind: ZoneLineKind,
}

/// Direction that the courses run in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Direction {
    /// The one that needs the fewest rolls, then costs least: the engine tries every wall and its normal.
    #[default]
    Best,
    /// Along the longest wall of the zone.
    LongestWall,
    /// So many thousandths of a degree anticlockwise from +x.
    Angle {
        /// Thousandths of a degree.
        mdeg: i32,
    },
    /// Along a line between two points of the plan.
    Along {
        /// One end.
        from: Pt,
        /// The other end.
        to: Pt,
    },
}

/// Side of the zone that the first course lies against, seen along the laying direction.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum StartSide {
    /// The side that needs less roll.
    #[default]
    Best,
    /// On the right of the laying direction.
    Right,
    /// On the left of the laying direction.
    Left,
}

/// Settings of the zone that holds a place.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ZoneSetting {
    /// Identity.
    pub id: Id,
    /// Name, may be empty.
    #[serde(default)]
    pub name: String,
    /// A place within the zone.
    pub at: Pt,
    /// Laying direction.
    #[serde(default)]
    pub direction: Direction,
    /// Side of the first course.
    #[serde(default)]
    pub start: StartSide,
    /// How far the first course starts outside the field on its side, mm; absent where the engine finds it. With
    /// [`StartSide::Best`] it counts from the right.
    #[serde(default)]
    pub first: Option<Mm>,
}

/// Levels and falls of the deck.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Levels {
    /// Levels taken at points.
    pub spots: Vec<SpotLevel>,
    /// Ridges and low lines.
    pub lines: Vec<LevelLine>,
    /// Planes of fall.
    pub planes: Vec<FallPlane>,
}

/// A level taken at a point.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SpotLevel {
    /// Identity.
    pub id: Id,
    /// Where.
    pub at: Pt,
    /// Level, mm above the level datum.
    pub level: Mm,
}

/// Kinds of level line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum LevelLineKind {
    /// Falls meet here at the bottom.
    #[default]
    LowLine,
    /// Falls part here at the top.
    Ridge,
}

/// A point of a level line.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct LevelPoint {
    /// Where.
    pub at: Pt,
    /// Level, mm above the level datum, when known.
    #[serde(default)]
    pub level: Option<Mm>,
}

/// A ridge or a low line.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct LevelLine {
    /// Identity.
    pub id: Id,
    /// What it is.
    pub kind: LevelLineKind,
    /// Its points, two or more.
    pub points: Vec<LevelPoint>,
}

/// A plane of fall: it passes through a level at a point and falls in a direction.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FallPlane {
    /// Identity.
    pub id: Id,
    /// A point of the plane.
    pub at: Pt,
    /// Level at that point, mm above the level datum.
    pub level: Mm,
    /// Direction that water runs, thousandths of a degree anticlockwise from +x.
    pub direction_mdeg: i32,
    /// Fall as 1 in so many; 0 is level.
    pub one_in: u32,
    /// Part of the deck it holds for; empty means the whole deck that holds the point.
    #[serde(default)]
    pub area: Vec<Pt>,
}

/// A named place.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Identity.
    pub id: Id,
    /// Name, may be empty.
    #[serde(default)]
    pub name: String,
    /// Where.
    pub at: Pt,
}

/// Where a melter stands.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Melter {
    /// Identity.
    pub id: Id,
    /// Name, may be empty.
    #[serde(default)]
    pub name: String,
    /// Where.
    pub at: Pt,
    /// What it holds, litres.
    #[serde(default)]
    pub litres: Option<u32>,
}

/// Base line and zero of the setting-out.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Datum {
    /// The zero.
    pub zero: Pt,
    /// A second point on the base line.
    pub along: Pt,
    /// How a person finds it on the roof, e.g. "inside face of the north parapet".
    #[serde(default)]
    pub note: String,
}

/// A kind of reinforcement roll.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RollKind {
    /// Name, may be empty.
    #[serde(default)]
    pub name: String,
    /// Width, mm.
    pub width: Mm,
    /// Length, mm.
    pub length: Mm,
    /// How many are on hand; absent means as many as needed.
    #[serde(default)]
    pub on_hand: Option<u32>,
    /// Price of one, hundredths of the user's money; absent means by area, at the price of [`Prices::roll`] for the
    /// first kind.
    #[serde(default)]
    pub price: Option<i64>,
}

/// How runs are made of pieces.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Laying {
    /// Every piece is cut to its length from a roll that holds it.
    #[default]
    Cut,
    /// Where a roll ends inside a run, the next laps on to it.
    RunOn,
    /// Cut to length, but run on wherever that costs less at the user's prices.
    Mixed,
}

/// Which pieces may be cut narrower than the roll.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Slitting {
    /// None: every piece is as wide as its roll.
    #[default]
    None,
    /// Those of the first and the last course of a zone.
    OuterCourses,
    /// Any whose place is narrower than the roll: beside openings and at steps of the edge, too.
    AnyPiece,
}

/// What things cost, hundredths of the user's money. No published figure: the defaults are an example, to be overwritten.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Prices {
    /// One roll of the first kind.
    pub roll: i64,
    /// A metre of side lap.
    pub lap_metre: i64,
    /// A cut across a roll.
    pub cut: i64,
    /// An end lap.
    pub end_lap: i64,
    /// A metre slit along a roll.
    pub slit_metre: i64,
}

impl Default for Prices {
    fn default() -> Self {
        Self { roll: 10_000, lap_metre: 20, cut: 100, end_lap: 300, slit_metre: 50 }
    }
}

/// How a narrow last course is avoided.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum NarrowCourse {
    /// The first course is moved.
    #[default]
    MoveFirst,
    /// The side laps grow evenly.
    GrowLaps,
    /// It is laid as it falls.
    Leave,
}

/// Rolls, laps, sheet and membrane. Defaults are common practice with no published source, or flagged in `trade` notes;
/// the maker's data sheet overrides every one of them.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Products {
    /// Reinforcement rolls in stock: the engine lays each zone in the width that serves it best and cuts from any length.
    pub rolls: Vec<RollKind>,
    /// How runs are made of pieces.
    pub laying: Laying,
    /// Which pieces may be cut narrower than the roll.
    pub slitting: Slitting,
    /// Whether the strips of upstands are cut from these rolls: from the field's offcuts first.
    pub upstand_strips: bool,
    /// What things cost.
    pub prices: Prices,
    /// Least side lap, mm.
    pub side_lap: Mm,
    /// Least end lap, mm.
    pub end_lap: Mm,
    /// Least distance between end laps of neighbouring courses, mm.
    pub stagger: Mm,
    /// Distance the main reinforcement stops short of an upstand face, mm.
    pub clear: Mm,
    /// Distance it stops short of a free edge, mm.
    pub edge_gap: Mm,
    /// Width of upstand reinforcement dressed out on to the deck, mm.
    pub foot: Mm,
    /// Width of the collar round a penetration that has none of its own, mm.
    pub collar: Mm,
    /// Least width of a first or last course, mm.
    pub least_strip: Mm,
    /// Least length of a piece, mm.
    pub least_piece: Mm,
    /// Longest piece the gang can lay taut, mm.
    pub longest_piece: Mm,
    /// What to do about a narrow last course.
    pub narrow_course: NarrowCourse,
    /// Shortest roll rest worth keeping, mm.
    pub least_offcut: Mm,
    /// Lost per cut, mm.
    pub kerf: Mm,
    /// Width of protection sheet rolls, mm.
    pub sheet_width: Mm,
    /// Length of protection sheet rolls, mm.
    pub sheet_length: Mm,
    /// Least side lap of the protection sheet, mm.
    pub sheet_lap: Mm,
    /// Least end lap of the protection sheet, mm; absent means as its side lap.
    pub sheet_end_lap: Option<Mm>,
    /// Least distance of a lap of the protection sheet from a lap of the reinforcement that runs the same way, mm; and how
    /// far the sheet stops short of such a lap that is still to be made. Common practice, no source: the user's own.
    pub sheet_off_laps: Mm,
    /// Thickness of each coat, hundredths of a mm, first to last.
    pub coats: Vec<i64>,
    /// Density of the membrane, kg per m3.
    pub density: i64,
    /// Mass of one block, hundredths of a kg.
    pub block: i64,
    /// Primer coverage, hundredths of a m2 per litre.
    pub primer_coverage: i64,
    /// Primer in one tin, hundredths of a litre.
    pub primer_tin: i64,
}

impl Default for Products {
    fn default() -> Self {
        Self {
            rolls: vec![RollKind {
                name: String::new(),
                width: 1000,
                length: 50_000,
                on_hand: None,
                price: None,
            }],
            laying: Laying::Cut,
            slitting: Slitting::None,
            upstand_strips: false,
            prices: Prices::default(),
            side_lap: 75,
            end_lap: 75,
            stagger: 300,
            clear: 50,
            edge_gap: 0,
            foot: 150,
            collar: 100,
            least_strip: 300,
            least_piece: 1000,
            longest_piece: 25_000,
            narrow_course: NarrowCourse::MoveFirst,
            least_offcut: 1000,
            kerf: 0,
            sheet_width: 1000,
            sheet_length: 20_000,
            sheet_lap: 75,
            sheet_end_lap: None,
            sheet_off_laps: 150,
            coats: vec![300, 300],
            density: 1200,
            block: 1800,
            primer_coverage: 400,
            primer_tin: 2500,
        }
    }
}

impl Products {
    /// Price of a roll of a kind, hundredths, 1 or more: its own, or by area at the price of the first kind.
    pub fn price(&self, kind: &RollKind) -> i64 {
        let by_area = || {
            let first = self.rolls.first()?;
            let area = i128::from(first.width) * i128::from(first.length);
            let own = i128::from(kind.width) * i128::from(kind.length) * i128::from(self.prices.roll);
            (area > 0).then(|| i64::try_from((own + area / 2) / area).unwrap_or(i64::MAX))
        };
        kind.price.or_else(by_area).unwrap_or(1).max(1)
    }
}

/// Who lays it and within which limits. No published norm was found for any of these: they are the user's own.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Gang {
    /// People.
    pub people: u32,
    /// Courses in one bay.
    pub courses_per_bay: u32,
    /// Largest bay, hundredths of a m2; absent means no limit.
    pub bay_area: Option<i64>,
    /// Longest bay, mm; absent means no limit.
    pub bay_length: Option<Mm>,
    /// Area laid in an hour, hundredths of a m2; absent until the user says.
    pub rate: Option<i64>,
    /// Working day, minutes; absent until the user says.
    pub day_minutes: Option<u32>,
    /// Rolls part-used at once on the roof; 0 means as many as it takes.
    pub open_rolls: u32,
    /// Whether that is a limit to be kept whatever it costs; when not, it is kept where it costs no roll.
    pub hold_open_rolls: bool,
}

impl Default for Gang {
    fn default() -> Self {
        Self {
            people: 4,
            courses_per_bay: 3,
            bay_area: Some(6000),
            bay_length: None,
            rate: None,
            day_minutes: None,
            open_rolls: 3,
            hold_open_rolls: false,
        }
    }
}
