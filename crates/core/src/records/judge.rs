//! One sentence on each entry: whether it is sound, and what to do where it is not.
//!
//! In: a plan, its layout and a record, entered already or about to be. Out: a verdict and one sentence. Thickness is held
//! against the coats of the plan, steps of the work against their order and the day's bond test, weather against the dew
//! point. A verdict forbids nothing: what was seen on the roof is written down as it was.

use super::bays::{BayState, bay_at, bay_state};
use super::outstanding::of_bay;
use super::standing::standing;
use super::{hundredths, listed};
use crate::layout::Layout;
use crate::plan::{Entry, Plan, Record, Tested, WorkStep};

/// How good an entry is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Nothing against it.
    Sound,
    /// Something is missing or odd.
    Doubtful,
    /// The work does not pass.
    Failed,
}

/// What is to be said of an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Judged {
    /// How good it is.
    pub verdict: Verdict,
    /// One sentence.
    pub text: String,
}

impl Judged {
    fn sound(text: impl Into<String>) -> Self {
        Self { verdict: Verdict::Sound, text: text.into() }
    }

    fn doubtful(text: impl Into<String>) -> Self {
        Self { verdict: Verdict::Doubtful, text: text.into() }
    }

    fn failed(text: impl Into<String>) -> Self {
        Self { verdict: Verdict::Failed, text: text.into() }
    }
}

/// Nominal thickness, hundredths of a mm: the coats, and the protection sheet where it is read along. Nothing where the
/// plan does not say.
pub fn nominal(plan: &Plan, with_sheet: bool) -> Option<i64> {
    let coats: i64 = plan.products.coats.iter().sum();
    let sheet = if with_sheet { plan.recording.sheet? } else { 0 };
    (coats > 0).then_some(coats + sheet)
}

/// Judges an entry. The record may stand in the plan already or not.
pub fn judge(plan: &Plan, layout: &Layout, record: &Record) -> Judged {
    let bay = record.at.and_then(|at| bay_at(layout, at));
    match &record.what {
        Entry::Bond { passed, .. } => bond(*passed, record),
        Entry::Thickness { hundredths, with_sheet, .. } => thickness(plan, *hundredths, *with_sheet, bay),
        Entry::Leak { over, passed, .. } => Context::of(plan, layout, record, bay).leak(over, *passed),
        Entry::Weather { air, humidity, deck, .. } => weather(*air, *humidity, *deck),
        Entry::Done { step } => Context::of(plan, layout, record, bay).done(*step),
        Entry::SignOff { .. } => Context::of(plan, layout, record, bay).sign_off(),
        Entry::Note { text } if text.trim().is_empty() => {
            Judged::doubtful("The note is empty: write it, or leave it out.")
        }
        Entry::Note { .. } => Judged::sound("Noted."),
        Entry::Withdrawn { .. } => match &record.replaces {
            Some(key) => Judged::sound(format!("Record {key} is withdrawn and stays on the list as such.")),
            None => Judged::doubtful("It names no record that is withdrawn: name one."),
        },
    }
}

fn bond(passed: bool, record: &Record) -> Judged {
    match (passed, record.date) {
        (false, _) => Judged::failed("The bond test failed: do not pour, find out why, and test again."),
        (true, None) => {
            Judged::doubtful("The bond test passed, but without a date it speaks for no day: give the date.")
        }
        (true, Some(date)) => Judged::sound(format!("The bond test of {date} passed.")),
    }
}

fn thickness(plan: &Plan, read: i64, with_sheet: bool, bay: Option<u32>) -> Judged {
    let sheet = if with_sheet { " with the sheet" } else { "" };
    let told = format!("{} mm{sheet}", hundredths(read));
    let Some(nominal) = nominal(plan, with_sheet) else {
        let mend = if with_sheet && plan.recording.sheet.is_none() {
            "say how thick the protection sheet is, or read the membrane alone"
        } else {
            "set the thickness of the coats"
        };
        return Judged::doubtful(format!("{told} cannot be judged: {mend}."));
    };
    let (wanted, under) = (hundredths(nominal), nominal - read);
    if under > plan.recording.allowance {
        let text = format!(
            "{told} is {} mm under the nominal {wanted} mm: build it up and read it again.",
            hundredths(under)
        );
        return Judged::failed(text);
    }
    if read > nominal.saturating_mul(2) {
        let text = format!(
            "{told} is more than twice the nominal {wanted} mm: look at the figure and its unit again."
        );
        return Judged::doubtful(text);
    }
    if bay.is_none() {
        return Judged::doubtful(format!("{told} is thick enough, but lies in no bay: give its place."));
    }
    if under > 0 {
        let text = format!(
            "{told} is {} mm under the nominal {wanted} mm, within the {} mm that the plan allows.",
            hundredths(under),
            hundredths(plan.recording.allowance)
        );
        return Judged::sound(text);
    }
    Judged::sound(format!("{told} meets the nominal {wanted} mm."))
}

/// Weather against the dew point.
fn weather(air: i64, humidity: i64, deck: Option<i64>) -> Judged {
    super::weather::judge(air, humidity, deck)
}

/// A bay with what was recorded of it before, the record in question left out.
struct Context<'a> {
    plan: &'a Plan,
    record: &'a Record,
    bay: Option<u32>,
    /// The records in force without it and without what it replaces.
    others: Vec<Record>,
    layout: &'a Layout,
}

impl<'a> Context<'a> {
    fn of(plan: &'a Plan, layout: &'a Layout, record: &'a Record, bay: Option<u32>) -> Self {
        let other = |r: &&Record| r.key != record.key && Some(&r.key) != record.replaces.as_ref();
        let others = standing(&plan.records).in_force().filter(other).cloned().collect();
        Self { plan, record, bay, others, layout }
    }

    /// Says something of the bay as it is without the record.
    fn with_bay(&self, say: impl FnOnce(&BayState<'_>) -> Judged) -> Judged {
        let standing = standing(&self.others);
        let state = self.bay.and_then(|bay| bay_state(self.plan, self.layout, &standing, bay));
        match state {
            Some(state) => say(&state),
            None => Judged::doubtful("It lies in no bay: give its place."),
        }
    }

    fn done(&self, step: WorkStep) -> Judged {
        self.with_bay(|state| {
            let bay = state.bay;
            let before = WorkStep::ALL.iter().filter(|s| **s < step && !state.is_done(**s));
            let left_out: Vec<&str> = before.map(|s| s.name()).collect();
            if step == WorkStep::Poured && !self.bond_test_passed() {
                let day = self.record.date.map_or_else(|| "a day without a date".to_owned(), |d| d.to_string());
                return Judged::doubtful(format!(
                    "Bay {bay} is poured on {day}, for which no bond test that passed is recorded: record it."
                ));
            }
            if step == WorkStep::Covered && !state.leak().is_some_and(|(_, passed)| passed) {
                return Judged::doubtful(format!(
                    "Bay {bay} is covered without a leak test that found no fault: record the test, or uncover it."
                ));
            }
            if !left_out.is_empty() {
                return Judged::doubtful(format!(
                    "Bay {bay} {}, but is not ticked as {}: tick that as well, or take this back.",
                    step.told(),
                    listed(&left_out)
                ));
            }
            Judged::sound(format!("Bay {bay} {}.", step.told()))
        })
    }

    /// Whether the last bond test of the record's day passed.
    fn bond_test_passed(&self) -> bool {
        let standing = standing(&self.others);
        let of_day = standing.in_force().filter(|r| r.date.is_some() && r.date == self.record.date);
        let last = of_day.filter(|r| matches!(r.what, Entry::Bond { .. })).last();
        last.is_some_and(|r| matches!(r.what, Entry::Bond { passed: true, .. }))
    }

    fn leak(&self, over: &Tested, passed: bool) -> Judged {
        if !passed {
            return match (self.record.at, self.bay) {
                (Some(_), Some(bay)) => {
                    Judged::failed(format!("A leak is found in bay {bay}: mend it and test it again."))
                }
                (Some(_), None) => {
                    Judged::failed("A leak is found beside the bays: mend it and test it again.")
                }
                (None, _) => Judged::failed("A leak is found: give its place, mend it and test it again."),
            };
        }
        match over {
            Tested::Roof => Judged::sound("No leak is found on the whole roof."),
            Tested::Area { corners } if corners.len() < 3 => {
                Judged::doubtful("The area tested has fewer than three corners: give the others.")
            }
            Tested::Area { .. } => Judged::sound("No leak is found in the area tested."),
            Tested::Bay => self.with_bay(|state| {
                if state.is_done(WorkStep::Covered) {
                    let text = format!(
                        "Bay {} passed, but is ticked as covered: look at the order of the two.",
                        state.bay
                    );
                    return Judged::doubtful(text);
                }
                if !state.is_done(WorkStep::Poured) {
                    return Judged::doubtful(format!(
                        "Bay {} passed, but is not ticked as poured: tick it.",
                        state.bay
                    ));
                }
                Judged::sound(format!("No leak is found in bay {}.", state.bay))
            }),
        }
    }

    fn sign_off(&self) -> Judged {
        if self.record.by.trim().is_empty() {
            return Judged::doubtful("Nobody is named: say who signs for the bay.");
        }
        self.with_bay(|state| {
            let mut left = of_bay(self.plan, state);
            left.retain(|due| due.kind != super::Due::SignOff);
            match left.first() {
                None if !state.is_done(WorkStep::Protected) => Judged::doubtful(format!(
                    "Bay {} is signed for before its sheet is laid: look at it again.",
                    state.bay
                )),
                None => {
                    Judged::sound(format!("Bay {} is signed for by {}.", state.bay, self.record.by.trim()))
                }
                Some(first) => Judged::doubtful(format!(
                    "Bay {} is signed for by {} with {} outstanding, first this: {}",
                    state.bay,
                    self.record.by.trim(),
                    if left.len() == 1 { "one thing".to_owned() } else { format!("{} things", left.len()) },
                    first.text
                )),
            }
        })
    }
}
