//! Words of today's view.
//!
//! In: records, numbers, verdicts. Out: labels and short lines in the trade's terms.

use baylap_core::plan::{Entry, Record, Tested, WorkStep};
use baylap_core::records::Verdict;
use baylap_editor::measure;

/// What the view is for.
pub(super) const LEAD: &str = "What this day's bays need, and what is recorded of them. It works without a connection and is kept in this browser; save the plan file in the evening and merge it at the desk.";
/// Cautions head.
pub(super) const CAUTIONS: &str = "Before anybody starts";
/// Date.
pub(super) const DATE: &str = "Date";
/// Name.
pub(super) const BY: &str = "Your name";
/// Day.
pub(super) const DAY: &str = "Work of";
/// Bays.
pub(super) const BAYS: &str = "Bays";
/// No layout.
pub(super) const NO_BAYS: &str = "Nothing is laid yet: draw a deck, or open a job.";
/// Work head.
pub(super) const LAY: &str = "Lay";
/// Cuts head.
pub(super) const CUT: &str = "Cut";
/// Carry head.
pub(super) const CARRY: &str = "Carry up";
/// Ticks head.
pub(super) const DONE: &str = "Done";
/// Bond head.
pub(super) const BOND: &str = "Bond test of the day";
/// Bond lead.
pub(super) const BOND_LEAD: &str =
    "A square of 300 x 300 mm at the first bay, before anything is poured (common practice, no source).";
/// Thickness head.
pub(super) const THICKNESS: &str = "Thickness";
/// Thickness lead.
pub(super) const THICKNESS_LEAD: &str =
    "Read cold membrane: hot it stands about a tenth thicker. Tap the picture to read at another place.";
/// With the sheet.
pub(super) const WITH_SHEET: &str = "Read with the protection sheet";
/// Leak head.
pub(super) const LEAK: &str = "Electronic leak test";
/// Leak lead.
pub(super) const LEAK_LEAD: &str =
    "Before anything covers the membrane. For a fault, tap its place on the picture first.";
/// Weather head.
pub(super) const WEATHER: &str = "Weather";
/// Sign-off head.
pub(super) const SIGN: &str = "Sign off";
/// Note head.
pub(super) const NOTE: &str = "Note";
/// Outstanding head.
pub(super) const OUTSTANDING: &str = "Still to do";
/// Nothing outstanding.
pub(super) const NOTHING_OUTSTANDING: &str = "Nothing is missing of what is ticked.";
/// List head.
pub(super) const RECORDS: &str = "Records";
/// Empty list.
pub(super) const NO_RECORDS: &str = "Nothing is recorded yet.";
/// List lead.
pub(super) const RECORDS_LEAD: &str =
    "Nothing is ever changed or taken out: a correction or a withdrawal is a record of its own.";
/// Readings settings head.
pub(super) const SETTINGS: &str = "How readings are judged";

/// Button of a step.
pub(super) const fn step(step: WorkStep) -> &'static str {
    match step {
        WorkStep::Primed => "Primed",
        WorkStep::Details => "Details done",
        WorkStep::Poured => "Poured and reinforced",
        WorkStep::Protected => "Protection sheet laid",
        WorkStep::Covered => "Covered by other layers",
    }
}

/// Name of a step for styles and tests.
pub(super) const fn slug(step: WorkStep) -> &'static str {
    match step {
        WorkStep::Primed => "primed",
        WorkStep::Details => "details",
        WorkStep::Poured => "poured",
        WorkStep::Protected => "protected",
        WorkStep::Covered => "covered",
    }
}

/// Word of a verdict.
pub(super) const fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Sound => "Sound",
        Verdict::Doubtful => "Look at it",
        Verdict::Failed => "Failed",
    }
}

/// Class of a verdict.
pub(super) const fn class(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Sound => "sev sound",
        Verdict::Doubtful => "sev warning",
        Verdict::Failed => "sev error",
    }
}

/// Hundredths of a mm.
pub(super) fn hundredths(value: i64) -> String {
    format!("{} mm", measure::decimal(value, 2))
}

/// What a record says, in a few words.
pub(super) fn entry(entry: &Entry) -> String {
    let result = |passed: bool| if passed { "passed" } else { "failed" };
    let with = |words: String, note: &str| {
        if note.trim().is_empty() { words } else { format!("{words} ({})", note.trim()) }
    };
    match entry {
        Entry::Bond { passed, note } => with(format!("Bond test {}", result(*passed)), note),
        Entry::Thickness { hundredths: h, with_sheet, note } => {
            let sheet = if *with_sheet { " with the sheet" } else { "" };
            with(format!("Thickness {}{sheet}", hundredths(*h)), note)
        }
        Entry::Leak { over, passed, note } => {
            let what = match over {
                Tested::Bay => "of the bay",
                Tested::Roof => "of the whole roof",
                Tested::Area { .. } => "of an area",
            };
            let found = if *passed { "no fault" } else { "a fault" };
            with(format!("Leak test {what}: {found}"), note)
        }
        Entry::Weather { air, humidity, deck, note } => {
            let deck = deck.map_or_else(String::new, |d| format!(", deck {} °C", measure::decimal(d, 1)));
            with(format!("Air {} °C, {humidity} %{deck}", measure::decimal(*air, 1)), note)
        }
        Entry::Done { step: s } => step(*s).to_owned(),
        Entry::SignOff { note } => with("Signed off".to_owned(), note),
        Entry::Note { text } => text.clone(),
        Entry::Withdrawn { why } => with("Withdrawn".to_owned(), why),
    }
}

/// When, where and by whom.
pub(super) fn heading(record: &Record, bay: Option<u32>) -> String {
    let mut parts: Vec<String> = Vec::new();
    parts.extend(record.date.map(|d| d.to_string()));
    parts.extend([&record.time, &record.by].into_iter().filter(|t| !t.is_empty()).cloned());
    parts.extend(bay.map(|n| format!("bay {n}")));
    parts.push(record.key.clone());
    parts.join(" · ")
}

/// Withdraws a record.
pub(super) fn withdraw(key: &str) -> String {
    format!("Withdraw {key}")
}

/// Corrects a record.
pub(super) fn correct(key: &str) -> String {
    format!("Correct {key}")
}

/// While a record is being corrected.
pub(super) fn correcting(key: &str) -> String {
    format!("The next entry takes the place of record {key}.")
}

/// Where a place lies, in whole rolls.
pub(super) fn rolls(numbers: &[u32]) -> String {
    let words: Vec<String> = numbers.iter().map(u32::to_string).collect();
    let noun = if numbers.len() == 1 { "Roll" } else { "Rolls" };
    format!("{noun} {}", words.join(", "))
}
