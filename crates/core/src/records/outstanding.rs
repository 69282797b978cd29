//! What is missing in the records: tests, readings, signatures, and records that do not hold together.
//!
//! In: a plan with its records, and its layout. Out: a list, each with a place, one sentence that says what is missing and
//! one that says what to do. Only work that is ticked as done gives rise to anything: what is not begun lacks nothing.

use super::bays::{BayState, bay_at, bay_states, same_spot};
use super::judge::nominal;
use super::standing::{Standing, standing};
use super::{hundredths, listed};
use crate::geom::Pt;
use crate::layout::Layout;
use crate::plan::{Date, Entry, Plan, Record, WorkStep};
use std::collections::BTreeMap;

/// What is missing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Due {
    /// A bond test of a day on which was poured.
    BondTest,
    /// Thickness of a reading that is too low.
    Thickness,
    /// A thickness reading.
    Reading,
    /// A leak that was found and not tested again.
    Leak,
    /// A leak test.
    LeakTest,
    /// A signature.
    SignOff,
    /// The place of a record.
    Place,
    /// Records that do not hold together.
    Correction,
}

/// One thing that is missing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Outstanding {
    /// What.
    pub kind: Due,
    /// Whether the work goes on over it all the same: it is a fault, not only a thing to come.
    pub late: bool,
    /// The bay it is about, where it is about one.
    pub bay: Option<u32>,
    /// Where, where it has a place.
    pub at: Option<Pt>,
    /// One sentence: what is missing.
    pub text: String,
    /// One sentence: what to do.
    pub mend: String,
}

impl Outstanding {
    fn new(kind: Due, text: impl Into<String>, mend: impl Into<String>) -> Self {
        Self { kind, late: false, bay: None, at: None, text: text.into(), mend: mend.into() }
    }

    fn late(mut self, late: bool) -> Self {
        self.late = late;
        self
    }

    fn of(mut self, bay: u32) -> Self {
        self.bay = Some(bay);
        self
    }

    fn at(mut self, at: Option<Pt>) -> Self {
        self.at = at;
        self
    }
}

/// What is missing in the records of a plan: by days, by bays, then what is wrong with single records.
pub fn outstanding(plan: &Plan, layout: &Layout) -> Vec<Outstanding> {
    let standing = standing(&plan.records);
    let states = bay_states(plan, layout, &standing);
    let mut out = bond_tests(layout, &standing);
    for state in &states {
        let label = layout.bays.iter().find(|b| b.number == state.bay).map(|b| b.label);
        out.extend(of_bay(plan, state).into_iter().map(|due| {
            let at = due.at.or(label);
            due.at(at)
        }));
    }
    out.extend(without_place(layout, &standing));
    out.extend(corrections(&standing));
    out
}

/// Days on which was poured without a bond test that passed.
fn bond_tests(layout: &Layout, standing: &Standing<'_>) -> Vec<Outstanding> {
    let mut poured: BTreeMap<Option<Date>, Vec<u32>> = BTreeMap::new();
    let mut tests: BTreeMap<Date, bool> = BTreeMap::new();
    for record in standing.in_force() {
        match (&record.what, record.date) {
            (Entry::Done { step: WorkStep::Poured }, date) => {
                poured.entry(date).or_default().extend(record.at.and_then(|at| bay_at(layout, at)));
            }
            (Entry::Bond { passed, .. }, Some(date)) => {
                tests.insert(date, *passed);
            }
            _ => {}
        }
    }
    let due = |(date, mut bays): (Option<Date>, Vec<u32>)| {
        bays.sort_unstable();
        bays.dedup();
        let place = bays.first().and_then(|n| layout.bays.iter().find(|b| b.number == *n)).map(|b| b.label);
        let what = match bays.as_slice() {
            [] => "something was".to_owned(),
            [one] => format!("bay {one} was"),
            _ => format!("bays {} were", listed(&bays)),
        };
        let (text, mend) = match (date, date.and_then(|d| tests.get(&d))) {
            (_, Some(true)) => return None,
            (None, _) => (
                format!(
                    "No date is given for the day when {what} poured, so no bond test can be told for it."
                ),
                "Replace the tick by one with its date.",
            ),
            (Some(date), None) => (
                format!("No bond test is recorded for {date}, when {what} poured."),
                "Record the test of that day, or cut a square of 300 x 300 mm now and record what it shows.",
            ),
            (Some(date), Some(false)) => (
                format!("The last bond test of {date} failed, and {what} poured that day."),
                "Find out how far the bond fails before anything is laid over it.",
            ),
        };
        let bay = bays.first().copied();
        Some(Outstanding { bay, late: true, ..Outstanding::new(Due::BondTest, text, mend).at(place) })
    };
    poured.into_iter().filter_map(due).collect()
}

/// What is missing of one bay.
pub(super) fn of_bay(plan: &Plan, state: &BayState<'_>) -> Vec<Outstanding> {
    let mut out = low_readings(plan, state);
    if !state.is_done(WorkStep::Poured) {
        return out;
    }
    let (bay, covered) = (state.bay, state.is_done(WorkStep::Covered));
    if state.read < state.due {
        let text = match state.read {
            0 => format!("No thickness reading is recorded in bay {bay}, of {} due.", state.due),
            read => format!("{read} of {} thickness readings are recorded in bay {bay}.", state.due),
        };
        let free = state.places.iter().find(|(_, reading)| reading.is_none()).map(|(place, _)| place.at);
        let due =
            Outstanding::new(Due::Reading, text, "Read at the places marked and record what the gauge says.");
        out.push(due.late(covered).of(bay).at(free));
    }
    match state.leak() {
        Some((_, true)) => {}
        Some((test, false)) => {
            let text = format!("The last leak test of bay {bay} found a fault.");
            let due = Outstanding::new(Due::Leak, text, "Mend it, test the bay again and record the test.");
            out.push(due.late(covered).of(bay).at(test.at));
        }
        None => {
            let text = if covered {
                format!("Bay {bay} is covered, and no leak test of it is recorded.")
            } else {
                format!("No leak test of bay {bay} is recorded yet.")
            };
            let due =
                Outstanding::new(Due::LeakTest, text, "Test it before it is covered, and record the test.");
            out.push(due.late(covered).of(bay));
        }
    }
    if state.is_done(WorkStep::Protected) && state.signed.is_none() {
        let text = format!("Bay {bay} is finished and not signed for.");
        let due = Outstanding::new(Due::SignOff, text, "Have it looked at and signed for.");
        out.push(due.late(covered).of(bay));
    }
    out
}

/// Readings that are too low, and were not read again well at their spot.
fn low_readings(plan: &Plan, state: &BayState<'_>) -> Vec<Outstanding> {
    let low = |r: &Record| match r.what {
        Entry::Thickness { hundredths, with_sheet, .. } => {
            nominal(plan, with_sheet).is_some_and(|n| n - hundredths > plan.recording.allowance)
        }
        _ => false,
    };
    let mut out = Vec::new();
    for (i, reading) in state.readings.iter().enumerate() {
        let (Some(at), Entry::Thickness { hundredths: read, .. }) = (reading.at, &reading.what) else {
            continue;
        };
        let again = state.readings[i + 1..].iter().any(|r| r.at.is_some_and(|p| same_spot(p, at)));
        if low(reading) && !again {
            let text =
                format!("A reading of {} mm in bay {} is under the nominal.", hundredths(*read), state.bay);
            let due = Outstanding::new(Due::Thickness, text, "Build the spot up and read it again.");
            out.push(due.late(state.is_done(WorkStep::Covered)).of(state.bay).at(Some(at)));
        }
    }
    out
}

/// Records that speak of a bay and lie in none.
fn without_place(layout: &Layout, standing: &Standing<'_>) -> Vec<Outstanding> {
    let of_a_bay = |r: &&Record| match &r.what {
        Entry::Thickness { .. } | Entry::Done { .. } | Entry::SignOff { .. } => true,
        Entry::Leak { over, .. } => *over == crate::plan::Tested::Bay,
        _ => false,
    };
    let lost = |r: &&Record| r.at.and_then(|at| bay_at(layout, at)).is_none();
    let due = |r: &Record| {
        let text = format!("Record {} lies in no bay of this layout.", r.key);
        Outstanding::new(Due::Place, text, "Replace it by one with a place inside its bay.").at(r.at)
    };
    standing.in_force().filter(of_a_bay).filter(lost).map(due).collect()
}

/// Records whose corrections do not hold together.
fn corrections(standing: &Standing<'_>) -> Vec<Outstanding> {
    let mut out = Vec::new();
    for (key, by) in &standing.unknown {
        let text = format!("Record {} takes the place of {key}, which is not here.", by.key);
        let mend = "Merge the file of the device that recorded it.";
        out.push(Outstanding::new(Due::Correction, text, mend).at(by.at));
    }
    for key in &standing.twins {
        let text = format!("Two devices gave different records the key {key}, and both stand.");
        let mend = "Look at both, and withdraw the one that is wrong.";
        out.push(Outstanding::new(Due::Correction, text, mend));
    }
    for (key, by) in &standing.rivals {
        let keys: Vec<&str> = by.iter().map(|r| r.key.as_str()).collect();
        let text =
            format!("Record {key} was replaced more than once, by {}, and these all stand.", listed(&keys));
        let mend = "Look at them, and withdraw the ones that are wrong.";
        out.push(Outstanding::new(Due::Correction, text, mend).at(by.first().and_then(|r| r.at)));
    }
    if !standing.circle.is_empty() {
        let keys: Vec<&str> = standing.circle.iter().map(|r| r.key.as_str()).collect();
        let text = format!(
            "Records {} replace one another in a circle, so that none of them stands.",
            listed(&keys)
        );
        out.push(Outstanding::new(Due::Correction, text, "Enter anew what is right."));
    }
    out
}
