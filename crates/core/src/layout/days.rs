//! The days of a layout: what is laid when and by whom, the work and the materials of each bay and day.
//!
//! In: nothing; the later stages fill it. Out: plain data. Minutes of a day count from its start of work. Bays are named
//! by their numbers in the layout, which is the order they are poured in. Figures that rest on an example rate are no
//! promise: [`Days::examples`] names the rates that nobody has confirmed.

use crate::geom::Pt;
use crate::plan::date::Date;
use crate::plan::{Id, Mm, UpstandKind};
use serde::{Deserialize, Serialize};

/// The programme of a layout.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Days {
    /// The gangs, numbered from 1 by their place here.
    pub gangs: Vec<GangOut>,
    /// The work of each bay, in number order.
    pub bays: Vec<BayWork>,
    /// The days, first to last.
    pub days: Vec<Day>,
    /// What the order of the bays comes to.
    pub score: Score,
    /// Settings of rates that are absent from the plan, by their path: an example stands in for each.
    pub examples: Vec<String>,
    /// Last day worked with the days allowed for weather, where there is a first date.
    pub finish: Option<Date>,
    /// Materials of the whole job.
    #[serde(default)]
    pub materials: Materials,
    /// Bays whose details are done before the first day, when others do them.
    #[serde(default)]
    pub details_before: Vec<u32>,
    /// Working days before the first one that these take.
    #[serde(default)]
    pub days_ahead: u32,
}

/// A gang as planned with.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct GangOut {
    /// Id in the plan; 0 for the only gang of a plan that names none.
    pub id: Id,
    /// Name.
    pub name: String,
    /// People.
    pub people: u32,
    /// Minutes of a day that are left for bays, behind the bond test and the first litre of the melter.
    pub minutes: u32,
}

/// The work of one bay.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BayWork {
    /// Number of the bay.
    pub bay: u32,
    /// Upstands along it.
    pub upstands: Vec<UpstandWork>,
    /// Corners of upstands that stand into the deck.
    pub outside_corners: u32,
    /// Corners of upstands that the deck runs into.
    pub inside_corners: u32,
    /// Length of free edges, mm.
    pub free_edges: Mm,
    /// Length of movement joints beside it, mm; a joint between two bays is done with one of them.
    pub joints: Mm,
    /// Ids of penetrations outside pitch pockets.
    pub penetrations: Vec<Id>,
    /// Numbers of the pitch pockets.
    pub pockets: Vec<u32>,
    /// Ids of outlets.
    pub outlets: Vec<Id>,
    /// Membrane of the field, millilitres cold.
    pub millilitres: i64,
    /// Membrane of its upstands and pitch pockets, millilitres cold.
    #[serde(default)]
    pub details_millilitres: i64,
    /// Buckets of membrane to be carried by the gang that pours it.
    #[serde(default)]
    pub loads: u32,
    /// Id of the melter each gang draws from for it; 0 when the plan has none.
    #[serde(default)]
    pub melters: Vec<Id>,
    /// Way from the melter to its middle for each gang, mm, by bays; 0 when the plan has no melter.
    pub haul: Vec<Mm>,
    /// Minutes it takes each gang.
    pub minutes: Vec<Minutes>,
}

/// Upstands of one kind and height along a bay.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct UpstandWork {
    /// Kind.
    pub kind: UpstandKind,
    /// Height, mm.
    pub height: Mm,
    /// Length, mm.
    pub length: Mm,
    /// Girth of its reinforcement: height and foot, mm.
    pub girth: Mm,
}

/// Minutes of one gang at one bay, by trade.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Minutes {
    /// Priming.
    pub prime: u32,
    /// Upstands, joints, penetrations, outlets; 0 when others do them.
    pub details: u32,
    /// Pouring and reinforcing.
    pub pour: u32,
    /// Carrying membrane from the melter.
    pub haul: u32,
    /// Laying the protection sheet.
    pub protect: u32,
}

impl Minutes {
    /// All of them.
    pub fn all(&self) -> u32 {
        self.prime + self.details + self.pour + self.haul + self.protect
    }
}

/// One working day.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Day {
    /// Number, from 1.
    pub number: u32,
    /// Its date, where there is a first one.
    pub date: Option<Date>,
    /// The bays poured, in the order they are begun.
    pub turns: Vec<Turn>,
    /// Bays whose details are done ahead on this day, when others do them.
    #[serde(default)]
    pub details_of: Vec<u32>,
    /// Edges of its bays that are left open at its end.
    pub joints: Vec<DayJoint>,
    /// Where the bond test is made.
    pub test_at: Option<Pt>,
    /// Each melter that is drawn from.
    #[serde(default)]
    pub melters: Vec<MelterDay>,
    /// What the day takes.
    #[serde(default)]
    pub materials: Materials,
}

/// One bay on a day.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Turn {
    /// Number of the bay.
    pub bay: u32,
    /// Number of the gang.
    pub gang: u32,
    /// Begun, minutes from the start of the day: the bond test and the melting of the first litre come before.
    pub from: u32,
    /// Done.
    pub to: u32,
}

/// An edge left open at the end of a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DayJoint {
    /// The bay laid.
    pub laid: u32,
    /// The bay to come.
    pub next: u32,
    /// Length, mm.
    pub length: Mm,
    /// Of that in a pond, at an outlet or along a low line, mm.
    pub bad: Mm,
}

/// A melter through a day.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct MelterDay {
    /// Id of the melter in the plan; 0 when the plan has none.
    pub melter: Id,
    /// Litres drawn, hot.
    pub drawn: u32,
    /// Litres it can have melted by the last pour.
    pub melted: u32,
    /// Minute of the day at which it first runs short, if it does.
    pub short_at: Option<u32>,
    /// Litres in it: minute of the day and litres, straight lines between.
    pub level: Vec<[u32; 2]>,
}

/// What an order of bays comes to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Score {
    /// Laws and ties broken.
    pub broken: u32,
    /// Days.
    pub days: u32,
    /// Laps between bays that face the water, mm.
    pub facing: Mm,
    /// Day joints, mm.
    pub joints: Mm,
    /// Of those in bad places, mm.
    pub bad_joints: Mm,
    /// Groups of bays beyond the first that one gang lays in one day.
    pub parted: u32,
    /// Bays left at the ends of days that are only reached over finished ones.
    pub left_behind: u32,
    /// Walked with full buckets, mm.
    pub haul: Mm,
    /// All that at the prices of the plan, hundredths.
    pub cost: i64,
    /// No order of these bays costs less, hundredths.
    pub least: i64,
    /// Whether the order is proved the best: `cost` meets `least` and nothing is broken.
    pub proved: bool,
}

/// Materials of a bay, a day or a job: ordered figures, whole units.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Materials {
    /// Membrane of the field, kg.
    pub membrane_kg: i64,
    /// Membrane of upstands and pitch pockets, kg.
    pub details_kg: i64,
    /// Blocks to melt for both.
    pub blocks: i64,
    /// Primer, litres.
    pub primer_litres: i64,
    /// Numbers of rolls first opened: to be carried up.
    pub rolls_up: Vec<u32>,
    /// Numbers of rolls that lie part-used at the end.
    pub rolls_part: Vec<u32>,
    /// Protection sheet, mm2, laps included.
    pub sheet_area: i64,
    /// Uncured elastomeric strip, mm.
    pub strip: Mm,
    /// Area of that strip, mm2: its length times its girth.
    #[serde(default)]
    pub strip_area: i64,
    /// Termination bar, mm.
    pub bar: Mm,
    /// Fixings of the bar.
    pub fixings: i64,
    /// Gas, hundredths of a kg.
    pub gas: i64,
}
