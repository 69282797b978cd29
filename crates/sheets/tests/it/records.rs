//! The table of site records gives back the records it was made from, every field of every one.
#![allow(clippy::unwrap_used)] // a test that cannot go on says where it stopped

use crate::canopy;
use baylap_core::Plan;
use baylap_core::geom::Pt;
use baylap_core::plan::{Date, Entry, Record, Tested, WorkStep};
use baylap_sheets::records_csv;
use std::collections::BTreeMap;

type Row = BTreeMap<String, String>;

/// The rows by the heads of their columns, read by the CSV library.
fn rows(text: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let heads: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let row = |line: csv::StringRecord| heads.iter().cloned().zip(line.iter().map(str::to_owned)).collect();
    reader.records().map(|line| row(line.unwrap())).collect()
}

/// Text as it was before it was kept from being taken for a formula.
fn text(cell: &str) -> String {
    match cell.strip_prefix('\'') {
        Some(rest) if rest.trim_start().starts_with(['=', '+', '-', '@']) => rest.to_owned(),
        _ => cell.to_owned(),
    }
}

/// A decimal number in steps of its last place.
fn steps(cell: &str) -> i64 {
    cell.replace('.', "").parse().unwrap()
}

fn some<T>(cell: &str, read: impl Fn(&str) -> T) -> Option<T> {
    (!cell.is_empty()).then(|| read(cell))
}

fn whole(cell: &str) -> i64 {
    cell.parse().unwrap()
}

/// The record that a row was made from.
fn record(row: &Row) -> Record {
    let cell = |name: &str| row[name].as_str();
    let place = || Pt::new(whole(cell("x_mm")), whole(cell("y_mm")));
    Record {
        key: cell("key").to_owned(),
        replaces: some(cell("replaces"), str::to_owned),
        date: some(cell("date"), |d| d.parse::<Date>().unwrap()),
        time: text(cell("time")),
        by: text(cell("by")),
        at: (!cell("x_mm").is_empty()).then(place),
        what: entry(row),
    }
}

fn entry(row: &Row) -> Entry {
    let cell = |name: &str| row[name].as_str();
    let (passed, note) = (cell("result") == "passed", text(cell("note")));
    match cell("what") {
        "bond test" => Entry::Bond { passed, note },
        "thickness" => Entry::Thickness {
            hundredths: steps(cell("thickness_mm")),
            with_sheet: cell("with_sheet") == "yes",
            note,
        },
        "leak test" => Entry::Leak { over: tested(row), passed, note },
        "weather" => Entry::Weather {
            air: steps(cell("air_c")),
            humidity: whole(cell("humidity_percent")),
            deck: some(cell("deck_c"), steps),
            note,
        },
        "done" => Entry::Done {
            step: match cell("step") {
                "primed" => WorkStep::Primed,
                "details" => WorkStep::Details,
                "poured" => WorkStep::Poured,
                "protected" => WorkStep::Protected,
                "covered" => WorkStep::Covered,
                other => panic!("no step {other}"),
            },
        },
        "sign-off" => Entry::SignOff { note },
        "note" => Entry::Note { text: note },
        "withdrawn" => Entry::Withdrawn { why: note },
        other => panic!("nothing is called {other}"),
    }
}

fn tested(row: &Row) -> Tested {
    match row["tested"].as_str() {
        "bay" => Tested::Bay,
        "roof" => Tested::Roof,
        _ => Tested::Area {
            corners: row["tested_corners_mm"]
                .split("; ")
                .map(|pair| pair.split_once(' ').unwrap())
                .map(|(x, y)| Pt::new(whole(x), whole(y)))
                .collect(),
        },
    }
}

/// One record of each kind, with texts that try the table: commas, quotes, line ends, what looks like a formula.
fn every_kind() -> Vec<Record> {
    let note = |text: &str| text.to_owned();
    let mut list = vec![
        Entry::Bond { passed: true, note: note("held, torn in the deck") },
        Entry::Bond { passed: false, note: note("=damp") },
        Entry::Thickness { hundredths: 612, with_sheet: false, note: note("") },
        Entry::Thickness { hundredths: 5, with_sheet: true, note: note("two\nlines") },
        Entry::Leak { over: Tested::Bay, passed: true, note: note("\"quoted\"") },
        Entry::Leak { over: Tested::Roof, passed: false, note: note("") },
        Entry::Weather { air: -5, humidity: 88, deck: Some(-12), note: note("-frost") },
        Entry::Weather { air: 125, humidity: 60, deck: None, note: note("") },
        Entry::SignOff { note: note("agreed; as seen") },
        Entry::Note { text: note("rain from 14:00") },
        Entry::Withdrawn { why: note("entered twice") },
    ];
    list.push(Entry::Leak {
        over: Tested::Area { corners: vec![Pt::new(0, 0), Pt::new(-900, 0), Pt::new(5, 1200)] },
        passed: true,
        note: note(""),
    });
    list.extend(WorkStep::ALL.map(|step| Entry::Done { step }));
    let of = |(i, what): (usize, Entry)| Record {
        key: format!("k3f9-{i}"),
        replaces: (i == 10).then(|| "k3f9-9".to_owned()),
        date: (i != 3).then(|| Date::new(2026, 11, 30).unwrap().plus(u32::try_from(i / 6).unwrap())),
        time: ["7:40", "", "after lunch"][i % 3].to_owned(),
        by: ["A. Person", "+B", ""][i % 3].to_owned(),
        at: (i % 5 != 4).then(|| Pt::new(1000 + 37 * i64::try_from(i).unwrap(), 900)),
        what,
    };
    list.into_iter().enumerate().map(of).collect()
}

#[test]
fn every_record_is_read_back_as_it_was() {
    let plan = Plan { records: every_kind(), ..canopy::plan() };
    let table = records_csv(&plan, &canopy::layout());
    let mut back: Vec<Record> = rows(&table).iter().map(record).collect();
    let mut expect = plan.records.clone();
    back.sort();
    expect.sort();
    assert_eq!(back, expect);
}

#[test]
fn those_replaced_and_withdrawn_are_marked_and_stay() {
    let plan = Plan { records: every_kind(), ..canopy::plan() };
    let rows = rows(&records_csv(&plan, &canopy::layout()));
    let state = |key: &str| rows.iter().find(|r| r["key"] == key).unwrap()["state"].clone();
    assert_eq!(state("k3f9-9"), "withdrawn");
    assert_eq!(state("k3f9-10"), "withdrawal");
    assert_eq!(state("k3f9-8"), "in force");
    assert_eq!(rows.len(), plan.records.len());
}

/// Coats of 3 and 3 mm (common practice, no source): 6.12 mm is enough.
#[test]
fn each_line_says_what_is_made_of_it() {
    let plan = Plan { records: every_kind(), ..canopy::plan() };
    let rows = rows(&records_csv(&plan, &canopy::layout()));
    let row = |key: &str| rows.iter().find(|r| r["key"] == key).unwrap();
    assert_eq!((row("k3f9-2")["judged"].as_str(), row("k3f9-2")["bay"].as_str()), ("sound", "1"));
    assert_eq!(row("k3f9-2")["said"], "6.12 mm meets the nominal 6.00 mm.");
    assert_eq!(row("k3f9-1")["judged"], "failed");
    assert_eq!(row("k3f9-9")["judged"], "", "what was withdrawn is held against nothing");
    assert!(rows.iter().all(|r| r["program"] == baylap_sheets::PROGRAM));
}

#[test]
fn no_records_give_the_heads_alone() {
    assert_eq!(records_csv(&canopy::plan(), &canopy::layout()).lines().count(), 1);
}
