//! What is recorded of each bay.
//!
//! In: a plan, its layout and the records in force. Out: for every bay the steps done, the places to read at with what was
//! read there, the tests and the signature. A record belongs to the bay that holds its place now, whatever number that bay
//! had when it was entered.

use super::places::{ReadingPlace, places_in, readings_due};
use super::standing::Standing;
use crate::geom::Pt;
use crate::geom::ring::{Side, locate, locate_in};
use crate::layout::{Bay, Layout};
use crate::plan::{Entry, Plan, Record, Tested, WorkStep};
use std::collections::{BTreeMap, BTreeSet};

/// Readings no further apart are at one spot: the second says how the first was mended, mm (our own figure).
const SAME_SPOT: i128 = 500;

/// What is recorded of a bay.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BayState<'a> {
    /// Number of the bay.
    pub bay: u32,
    /// Steps done, each with the first record that says so.
    pub done: BTreeMap<WorkStep, &'a Record>,
    /// Readings due.
    pub due: u32,
    /// Spots read at.
    pub read: u32,
    /// The places to read at, each with the last reading that it is the nearest place of.
    pub places: Vec<(ReadingPlace, Option<&'a Record>)>,
    /// Every reading in the bay, first to last.
    pub readings: Vec<&'a Record>,
    /// Leak tests that took in the bay, first to last.
    pub leaks: Vec<&'a Record>,
    /// The last signature.
    pub signed: Option<&'a Record>,
}

impl<'a> BayState<'a> {
    /// Whether a step is done.
    pub fn is_done(&self, step: WorkStep) -> bool {
        self.done.contains_key(&step)
    }

    /// The last leak test and whether the bay passed it.
    pub fn leak(&self) -> Option<(&'a Record, bool)> {
        let passed = |r: &Record| matches!(r.what, Entry::Leak { passed: true, .. });
        self.leaks.last().map(|r| (*r, passed(r)))
    }
}

/// The bay that holds a place: the first by number where it lies on an edge between two.
pub fn bay_at(layout: &Layout, at: Pt) -> Option<u32> {
    let holds = |bay: &&Bay| bay.area.iter().any(|region| locate_in(at, region) != Side::Outside);
    layout.bays.iter().find(holds).map(|bay| bay.number)
}

/// What is recorded of one bay.
pub fn bay_state<'a>(
    plan: &Plan,
    layout: &Layout,
    standing: &Standing<'a>,
    number: u32,
) -> Option<BayState<'a>> {
    let bay = layout.bays.iter().find(|b| b.number == number)?;
    states_of(plan, layout, standing, &[bay]).pop()
}

/// What is recorded of every bay of which anything is recorded, in number order.
pub fn bay_states<'a>(plan: &Plan, layout: &Layout, standing: &Standing<'a>) -> Vec<BayState<'a>> {
    let spoken_of: BTreeSet<u32> =
        standing.in_force().filter_map(|r| r.at).filter_map(|at| bay_at(layout, at)).collect();
    let bays: Vec<&Bay> = layout.bays.iter().filter(|b| spoken_of.contains(&b.number)).collect();
    states_of(plan, layout, standing, &bays)
}

fn states_of<'a>(plan: &Plan, layout: &Layout, standing: &Standing<'a>, bays: &[&Bay]) -> Vec<BayState<'a>> {
    let places = |bay: &Bay| places_in(plan, layout, bay).into_iter().map(|place| (place, None)).collect();
    let empty = |bay: &&Bay| BayState {
        bay: bay.number,
        due: readings_due(plan, bay),
        places: places(bay),
        ..BayState::default()
    };
    let mut states: Vec<BayState> = bays.iter().map(empty).collect();
    for record in standing.in_force() {
        let bay = record.at.and_then(|at| bay_at(layout, at));
        for (state, area) in states.iter_mut().zip(bays) {
            if let Entry::Leak { over, passed, .. } = &record.what {
                if took_in(area, over, (record.at, bay), *passed) {
                    state.leaks.push(record);
                }
            } else if bay == Some(state.bay) {
                enter(state, record);
            }
        }
    }
    states.iter_mut().for_each(give_readings_their_places);
    states
}

fn enter<'a>(state: &mut BayState<'a>, record: &'a Record) {
    match &record.what {
        Entry::Done { step } => {
            state.done.entry(*step).or_insert(record);
        }
        Entry::Thickness { .. } => state.readings.push(record),
        Entry::SignOff { .. } => state.signed = Some(record),
        _ => {}
    }
}

/// Whether a leak test says something of a bay. A fault is the fault of the bay it lies in; one without a place may lie
/// anywhere that was tested.
fn took_in(bay: &Bay, over: &Tested, (at, at_bay): (Option<Pt>, Option<u32>), passed: bool) -> bool {
    let tested = match over {
        Tested::Bay => at_bay == Some(bay.number),
        Tested::Roof => true,
        Tested::Area { corners } => {
            let inside = |p: &Pt| locate(*p, [corners.as_slice()]) != Side::Outside;
            corners.len() > 2 && bay.area.iter().flatten().flatten().all(inside)
        }
    };
    tested && (passed || at.is_none() || at_bay == Some(bay.number))
}

/// Each reading stands at the place nearest to it; of several at one place the last.
fn give_readings_their_places(state: &mut BayState<'_>) {
    for reading in &state.readings {
        let Some(at) = reading.at else { continue };
        let nearest = state.places.iter_mut().min_by_key(|(place, _)| at.distance_squared(place.at));
        if let Some((_, read)) = nearest {
            *read = Some(reading);
        }
    }
    let mut spots: Vec<Pt> = Vec::new();
    for at in state.readings.iter().filter_map(|r| r.at) {
        if spots.iter().all(|s| !same_spot(*s, at)) {
            spots.push(at);
        }
    }
    state.read = u32::try_from(spots.len()).unwrap_or(u32::MAX);
}

/// Whether two places are one spot to read at.
pub(super) fn same_spot(a: Pt, b: Pt) -> bool {
    a.distance_squared(b) <= SAME_SPOT * SAME_SPOT
}
