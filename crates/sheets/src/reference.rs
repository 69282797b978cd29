//! What setting-out is measured from: the plan's datum where it suits a zone, else the zone's own zero.
//!
//! In: the plan's datum and the zones with their frames. Out: for each zone where running offsets and chainages count
//! from, and a sentence that says so. A datum suits a zone when its base line runs along the courses or square to
//! them (to within 1 mm in 10 m).

use crate::figures::degrees;
use crate::place::in_frame;
use baylap_core::Plan;
use baylap_core::geom::Pt;
use baylap_core::layout::{Layout, Zone};
use baylap_core::plan::{Datum, Mm};
use std::collections::BTreeMap;

/// What one zone is measured from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Reference {
    /// Chainage, in the zone's frame, that counts as zero.
    pub along: Mm,
    /// Offset, in the zone's frame, that counts as zero.
    pub across: Mm,
    /// Whether zero is the plan's datum.
    pub datum: bool,
    /// Whether figures grow against the frame: they grow from the datum towards the middle of the zone, so that they
    /// are as rarely negative as can be.
    pub against: [bool; 2],
}

impl Reference {
    /// Running chainage of a place of the frame.
    pub const fn chainage(&self, u: Mm) -> Mm {
        if self.against[0] { self.along - u } else { u - self.along }
    }

    /// Running offset of a place of the frame.
    pub const fn offset(&self, v: Mm) -> Mm {
        if self.against[1] { self.across - v } else { v - self.across }
    }
}

/// References of all zones, by zone number.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct References {
    zones: BTreeMap<u32, Reference>,
}

impl References {
    /// Chooses what each zone is measured from.
    pub fn new(plan: &Plan, layout: &Layout) -> Self {
        let zones = layout.zones.iter().map(|zone| (zone.number, of_zone(plan.datum.as_ref(), zone)));
        Self { zones: zones.collect() }
    }

    /// The reference of a zone; that of an unknown zone is its own zero.
    pub fn of(&self, zone: u32) -> Reference {
        self.zones.get(&zone).copied().unwrap_or_default()
    }

    /// Whether every zone is measured from the datum.
    pub fn all_datum(&self) -> bool {
        !self.zones.is_empty() && self.zones.values().all(|r| r.datum)
    }
}

/// What all zones are measured from, one sentence each, or one for all where all use the datum.
pub fn sentences(plan: &Plan, layout: &Layout, references: &References) -> Vec<String> {
    let own = |zone: &Zone| sentence(plan, zone, references.of(zone.number));
    if references.all_datum() && layout.zones.len() > 1 {
        let first = layout.zones.first().map(own).unwrap_or_default();
        return vec![first.split_once(':').map_or_else(String::new, |(_, rest)| format!("All zones:{rest}"))];
    }
    layout.zones.iter().map(own).collect()
}

/// How to find the zero of a zone on the roof, in one sentence.
pub fn sentence(plan: &Plan, zone: &Zone, reference: Reference) -> String {
    let number = zone.number;
    match &plan.datum {
        Some(datum) if reference.datum => {
            let place = if datum.note.is_empty() { String::new() } else { format!(" ({})", datum.note) };
            format!("Zone {number}: offsets and chainages run from the datum{place}.")
        }
        Some(datum) => {
            let [along, across] = from_datum(datum, origin(zone));
            let side = if across < 0 { "right" } else { "left" };
            format!(
                "Zone {number}: the datum is askew to its courses, so they run from the zone's own zero: {along} along \
                 the datum line and {} to its {side}, courses at {} to plan east.",
                across.abs(),
                degrees(zone.direction_mdeg)
            )
        }
        None => {
            let at = origin(zone);
            format!(
                "Zone {number}: no datum is set, so offsets and chainages run from the zone's own zero, plan x {}, y {}; \
                 courses at {} to plan east.",
                at.x,
                at.y,
                degrees(zone.direction_mdeg)
            )
        }
    }
}

/// Zero of a zone's frame on the plan.
pub fn origin(zone: &Zone) -> Pt {
    crate::place::on_plan(&zone.frame, 0, 0)
}

fn of_zone(datum: Option<&Datum>, zone: &Zone) -> Reference {
    let Some(datum) = datum.filter(|d| suits(d, zone)) else { return Reference::default() };
    let [u, v] = in_frame(&zone.frame, datum.zero).map(crate::clip::whole);
    let places: Vec<[f64; 2]> =
        zone.area.iter().flatten().flatten().map(|p| in_frame(&zone.frame, *p)).collect();
    let middle = |axis: usize| {
        let most = places.iter().map(|p| p[axis]).fold(f64::MIN, f64::max);
        let least = places.iter().map(|p| p[axis]).fold(f64::MAX, f64::min);
        crate::clip::whole(f64::midpoint(least, most))
    };
    let against = if places.is_empty() { [false; 2] } else { [middle(0) < u, middle(1) < v] };
    Reference { along: u, across: v, datum: true, against }
}

fn suits(datum: &Datum, zone: &Zone) -> bool {
    let ([u0, v0], [u1, v1]) = (in_frame(&zone.frame, datum.zero), in_frame(&zone.frame, datum.along));
    let (along, across) = ((u1 - u0).abs(), (v1 - v0).abs());
    let length = along.max(across);
    length > 0.0 && along.min(across) <= length / 10_000.0 + 0.5
}

/// Distance along the datum line and to its left.
pub fn from_datum(datum: &Datum, p: Pt) -> [Mm; 2] {
    crate::clip::Ray::through(datum.zero, datum.along)
        .map_or([0, 0], |line| [line.reach(p), line.off(p)].map(crate::clip::whole))
}
