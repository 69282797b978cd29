//! Settings of the programme: gangs, rates, the working day, the calendar, bays tied to a day, and what an order is
//! judged by.
//!
//! In: edits and files. Out: plain data. No published norm was found for any rate: each is the user's own, and where it is
//! absent an example stands in ([`crate::rates`]), named as such in the result. Bays are named by a place inside them, as
//! their numbers change with the layout.

use super::date::Date;
use super::{Id, Mm};
use crate::geom::Pt;
use serde::{Deserialize, Serialize};

/// How the work is put into days.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Programme {
    /// The gangs; none means one gang, of the people of [`super::Gang`], at the nearest melter.
    pub gangs: Vec<NamedGang>,
    /// How fast the work goes.
    pub rates: Rates,
    /// Who does the upstands, joints and penetrations.
    pub details: DetailsBy,
    /// The days that are worked.
    pub calendar: Calendar,
    /// Bays tied to a day, a gang or a turn.
    pub ties: Vec<Tie>,
    /// What an order of bays is judged by.
    pub prices: OrderPrices,
}

/// One of several gangs.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct NamedGang {
    /// Identity.
    pub id: Id,
    /// Name, may be empty.
    #[serde(default)]
    pub name: String,
    /// People.
    pub people: u32,
    /// The melter it draws from; absent for the nearest to each bay.
    #[serde(default)]
    pub melter: Option<Id>,
}

/// Who does the details.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum DetailsBy {
    /// The gang, bay by bay before it pours.
    #[default]
    Gang,
    /// Other people, so many, ahead of the gangs in the same order of bays.
    Others {
        /// People.
        people: u32,
    },
}

/// How fast the work goes, for a gang of the people of [`super::Gang`]; another gang is as much faster as it is larger.
/// Absent ones are the user's to give: an example stands in and is named. The pouring and reinforcing of the field goes at
/// [`super::Gang::rate`].
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Rates {
    /// Priming, hundredths of a m2 an hour.
    pub prime: Option<i64>,
    /// Laying the protection sheet, hundredths of a m2 an hour.
    pub protect: Option<i64>,
    /// Upstands, mm an hour.
    pub upstand: Option<Mm>,
    /// Free edges, mm an hour.
    pub free_edge: Option<Mm>,
    /// Movement joints, mm an hour.
    pub joint: Option<Mm>,
    /// One penetration outside pitch pockets, minutes.
    pub penetration: Option<u32>,
    /// One pitch pocket, minutes.
    pub pocket: Option<u32>,
    /// One outlet, minutes.
    pub outlet: Option<u32>,
    /// Start of the working day, minutes after midnight.
    pub day_start: Option<u32>,
    /// Bond test and setting out at the start of a day, minutes.
    pub first_thing: Option<u32>,
    /// From lighting the melter to the first litre, minutes.
    pub melt_start: Option<u32>,
    /// Litres a melter melts in an hour.
    pub melt_rate: Option<u32>,
    /// What a melter holds where it does not say, litres.
    pub melter_litres: Option<u32>,
    /// What one person carries in a bucket, hundredths of a litre.
    pub bucket: Option<i64>,
    /// Walking with a full bucket, mm a minute.
    pub walk: Option<Mm>,
    /// From the end of a bay's details to its first pour at the least, minutes.
    pub lead: Option<u32>,
    /// Gas that melts 100 kg of membrane, hundredths of a kg.
    pub gas: Option<i64>,
}

/// The days that are worked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Calendar {
    /// The first day; absent, and then days have numbers only.
    pub start: Option<Date>,
    /// Which days of a week are worked, Monday first.
    pub week: [bool; 7],
    /// Days that are not worked.
    pub holidays: Vec<Date>,
    /// Days lost, to weather or anything else: everything behind them moves, ties stay.
    pub lost: Vec<Date>,
    /// Days to allow for weather in every hundred worked; they are added at the end.
    pub weather: u32,
}

impl Default for Calendar {
    fn default() -> Self {
        let week = [true, true, true, true, true, false, false];
        Self { start: None, week, holidays: Vec::new(), lost: Vec::new(), weather: 0 }
    }
}

/// A bay tied to a day, a gang or a turn.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Tie {
    /// Identity.
    pub id: Id,
    /// A place inside the bay.
    pub at: Pt,
    /// The day it is laid, counted from 1.
    #[serde(default)]
    pub day: Option<u32>,
    /// The date it is laid; goes before `day`.
    #[serde(default)]
    pub date: Option<Date>,
    /// The gang that lays it.
    #[serde(default)]
    pub gang: Option<Id>,
    /// Its turn over the whole job, counted from 1.
    #[serde(default)]
    pub turn: Option<u32>,
}

/// What an order of bays is judged by, hundredths of the user's money. The usual values are our own weights, no source.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct OrderPrices {
    /// A working day, whatever the number of gangs.
    pub day: i64,
    /// A metre of lap between bays that faces the water.
    pub facing_metre: i64,
    /// A metre of day joint.
    pub joint_metre: i64,
    /// A metre of day joint in a pond, at an outlet or along a low line, besides.
    pub bad_joint_metre: i64,
    /// Each further group of bays that do not touch, laid by one gang in one day.
    pub parted: i64,
    /// A bay left at the end of a day that is only reached over finished bays.
    pub left_behind: i64,
    /// Each 100 m walked with full buckets.
    pub haul: i64,
}

impl Default for OrderPrices {
    fn default() -> Self {
        Self {
            day: 80_000,
            facing_metre: 4_000,
            joint_metre: 500,
            bad_joint_metre: 4_000,
            parted: 4_000,
            left_behind: 8_000,
            haul: 20,
        }
    }
}
