//! The site records as a CSV file for spreadsheets.
//!
//! In: plan and layout. Out: comma-separated text, one line a record in order of time, those replaced and withdrawn with
//! them and marked as such; then what the layout makes of it: the bay that its place lies in now, and what is said of it.
//! Every field of a record stands in a column of its own, so that the table gives back the records it was made from. It
//! judges nothing itself.

use crate::csv_lists::{Sheet, guarded};
use baylap_core::Plan;
use baylap_core::geom::Pt;
use baylap_core::layout::Layout;
use baylap_core::plan::{Entry, Record, Tested, WorkStep};
use baylap_core::records::{State, Verdict, bay_at, judge, standing};

/// Heads of the columns.
const HEADS: [&str; 25] = [
    "job",
    "key",
    "state",
    "replaces",
    "date",
    "time",
    "by",
    "bay",
    "x_mm",
    "y_mm",
    "what",
    "result",
    "thickness_mm",
    "with_sheet",
    "tested",
    "tested_corners_mm",
    "air_c",
    "humidity_percent",
    "deck_c",
    "step",
    "note",
    "judged",
    "said",
    "plan_revision",
    "program",
];

/// What an entry puts in the columns that not all have.
#[derive(Default)]
struct Columns {
    what: &'static str,
    passed: Option<bool>,
    thickness: String,
    with_sheet: String,
    tested: &'static str,
    corners: String,
    weather: [String; 3],
    step: &'static str,
    note: String,
}

/// The records: one line each, first to last in time.
pub fn records_csv(plan: &Plan, layout: &Layout) -> String {
    let mut sheet = Sheet::new(&HEADS);
    for (record, state) in &standing(&plan.records).all {
        sheet.line(line(plan, layout, record, *state));
    }
    sheet.finish()
}

fn line(plan: &Plan, layout: &Layout, record: &Record, state: State) -> Vec<String> {
    let columns = columns(&record.what);
    let optional = |text: Option<String>| text.unwrap_or_default();
    let bay = record.at.and_then(|at| bay_at(layout, at));
    let mut cells = vec![guarded(&layout.job), record.key.clone(), state.name().to_owned()];
    cells.push(record.replaces.clone().unwrap_or_default());
    cells.push(optional(record.date.map(|d| d.to_string())));
    cells.extend([guarded(&record.time), guarded(&record.by), optional(bay.map(|n| n.to_string()))]);
    cells.push(optional(record.at.map(|p| p.x.to_string())));
    cells.push(optional(record.at.map(|p| p.y.to_string())));
    cells.push(columns.what.to_owned());
    cells.push(columns.passed.map_or("", |p| if p { "passed" } else { "failed" }).to_owned());
    cells.extend([columns.thickness, columns.with_sheet, columns.tested.to_owned(), columns.corners]);
    cells.extend(columns.weather);
    cells.extend([columns.step.to_owned(), guarded(&columns.note)]);
    // What no longer stands is not judged: it would be held against records that came after it.
    let judged = (state == State::InForce).then(|| judge(plan, layout, record));
    cells.push(judged.as_ref().map_or("", |j| verdict_name(j.verdict)).to_owned());
    cells.push(optional(judged.map(|j| j.text)));
    cells.extend([guarded(&plan.job.revision), crate::PROGRAM.to_owned()]);
    cells
}

fn columns(entry: &Entry) -> Columns {
    let none = Columns::default();
    match entry {
        Entry::Bond { passed, note } => {
            Columns { what: "bond test", passed: Some(*passed), note: note.clone(), ..none }
        }
        Entry::Thickness { hundredths, with_sheet, note } => Columns {
            what: "thickness",
            thickness: decimals(*hundredths, 2),
            with_sheet: if *with_sheet { "yes" } else { "no" }.to_owned(),
            note: note.clone(),
            ..none
        },
        Entry::Leak { over, passed, note } => {
            let (tested, corners) = match over {
                Tested::Bay => ("bay", String::new()),
                Tested::Roof => ("roof", String::new()),
                Tested::Area { corners } => ("area", listed(corners)),
            };
            let note = note.clone();
            Columns { what: "leak test", passed: Some(*passed), tested, corners, note, ..none }
        }
        Entry::Weather { air, humidity, deck, note } => Columns {
            what: "weather",
            weather: [
                decimals(*air, 1),
                humidity.to_string(),
                deck.map_or_else(String::new, |d| decimals(d, 1)),
            ],
            note: note.clone(),
            ..none
        },
        Entry::Done { step } => Columns { what: "done", step: step_name(*step), ..none },
        Entry::SignOff { note } => Columns { what: "sign-off", note: note.clone(), ..none },
        Entry::Note { text } => Columns { what: "note", note: text.clone(), ..none },
        Entry::Withdrawn { why } => Columns { what: "withdrawn", note: why.clone(), ..none },
    }
}

/// A whole number of tenths or hundredths as a decimal number.
fn decimals(value: i64, places: u32) -> String {
    let unit = 10_u64.pow(places);
    let (sign, size) = (if value < 0 { "-" } else { "" }, value.unsigned_abs());
    format!("{sign}{}.{:0width$}", size / unit, size % unit, width = places as usize)
}

fn listed(corners: &[Pt]) -> String {
    let each: Vec<String> = corners.iter().map(|p| format!("{} {}", p.x, p.y)).collect();
    each.join("; ")
}

fn step_name(step: WorkStep) -> &'static str {
    match step {
        WorkStep::Primed => "primed",
        WorkStep::Details => "details",
        WorkStep::Poured => "poured",
        WorkStep::Protected => "protected",
        WorkStep::Covered => "covered",
    }
}

fn verdict_name(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Sound => "sound",
        Verdict::Doubtful => "doubtful",
        Verdict::Failed => "failed",
    }
}
