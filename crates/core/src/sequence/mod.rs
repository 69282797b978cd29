//! The order of the bays over the days: which gang pours which bay on which day.
//!
//! In: bays as sites, with what they take, what they touch, which of them lies above the other, the ways off, and bays
//! tied to a day, a gang or a turn. Out: every site placed, and what the order comes to. Laws first: a bay is reached,
//! poured and left over bays not laid the same day. It knows nothing of plans, dates or metres of roof.
//!
//! One day: each gang pours its bays one after the other, without a break. The order of a day is the order of beginning,
//! the gang with the smaller number first. A bay that takes longer than a day fills one by itself.

use crate::layout::days::Score;
use crate::plan::{Mm, OrderPrices};

/// A bay to be poured.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Site {
    /// Minutes it takes each gang.
    pub minutes: Vec<u32>,
    /// What each gang walks with full buckets, mm.
    pub haul: Vec<Mm>,
    /// The bays it touches.
    pub beside: Vec<Beside>,
    /// Whether people leave the roof from it.
    pub exit: bool,
    /// What it is tied to.
    pub tie: SiteTie,
}

/// A bay beside another. Both name each other, with the same length and `bad`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Beside {
    /// The other one, from 0.
    pub site: usize,
    /// Their common edge, mm; 0 when people pass but nothing is joined, as across a movement joint.
    pub length: Mm,
    /// How much of it is a bad place for a day joint, mm.
    pub bad: Mm,
    /// Over how much of it this bay lies above the other one, mm: laid first, that much faces the water.
    pub above: Mm,
}

/// What a site is tied to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SiteTie {
    /// Day, from 0.
    pub day: Option<u32>,
    /// Gang, from 0.
    pub gang: Option<usize>,
    /// Turn over the whole job, from 0.
    pub turn: Option<u32>,
}

/// A job to be put in order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Task {
    /// The bays.
    pub sites: Vec<Site>,
    /// Minutes of a day that each gang has for bays; one entry a gang.
    pub day: Vec<u32>,
    /// What an order is judged by.
    pub prices: OrderPrices,
}

/// A site placed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Placed {
    /// Day, from 0.
    pub day: u32,
    /// Begun, minutes from the first pour of the day.
    pub from: u32,
    /// Gang, from 0.
    pub gang: usize,
    /// Site, from 0.
    pub site: usize,
    /// Done, minutes from the first pour of the day.
    pub to: u32,
}

/// An order of the whole job.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Answer {
    /// Every site, in the order they are begun.
    pub placed: Vec<Placed>,
    /// What it comes to.
    pub score: Score,
}
