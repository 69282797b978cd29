//! The files of the demo data: they read, they are written the way the program writes, and the bad ones are refused
//! with exactly the sentence given here.
//!
//! `UPDATE_DEMO=1` writes the plans again in the program's own lines; it never changes what a plan says.

use crate::places::{bad_files, demos, plan_of, same_or_rewrite, top};
use baylap_core::plan::file;

/// The files of `bad/` that are refused, each with its sentence.
const REFUSED: &[(&str, &str)] = &[
    (
        "duplicate-ids.json",
        "At plan.outlets[0].id (line 7, column 20), the id 1 stands a second time, plan.decks[0] having it already: give each thing an id of its own.",
    ),
    ("empty.json", "The file is empty: choose a plan saved by baylap, or a GeoJSON outline."),
    (
        "float-coordinate.json",
        "At plan.decks[0].ring[1].at[0] (line 3, column 11), 9000.5 is not a whole number of millimetres: round it.",
    ),
    (
        "huge-coordinate.json",
        "At plan.decks[0].ring[1].at[0] (line 3, column 11), 90000000 is out of range: write a whole number from -10000000 to 10000000.",
    ),
    (
        "longitude-latitude.geojson",
        "The outline is in degrees of longitude and latitude (in metres it would be less than 1 m across): save it again in a projected system in metres.",
    ),
    ("missing-field.json", "At plan.decks[0] (line 1, column 60), the field `id` is missing: add it."),
    (
        "negative-lap.json",
        "At plan.products.side_lap (line 7, column 26), -75 is out of range: write a whole number from 0 to 1000000.",
    ),
    (
        "newer-version.json",
        "The plan was made by a newer baylap: it is version 7 and this one reads up to 1; update baylap to open it.",
    ),
    (
        "no-area.geojson",
        "The GeoJSON holds no Polygon or MultiPolygon with an area: choose a file that holds the outline of a roof.",
    ),
    (
        "no-envelope.json",
        "The file is JSON but neither a baylap plan (it has no \"format\") nor a GeoJSON outline: choose another file.",
    ),
    (
        "no-version.json",
        "The plan file does not say its version: add \"version\": 1 beside \"format\" if it is of version 1.",
    ),
    (
        "not-a-number.json",
        "The file is not sound JSON at line 4, column 11: NaN is not a number; mend it there, or choose a plan saved by baylap.",
    ),
    (
        "not-json.json",
        "The file is not sound JSON at line 1, column 1: a value is wanted here; mend it there, or choose a plan saved by baylap.",
    ),
    (
        "odd-version.json",
        "The plan file says its version is \"1.0\", and there are versions 1 to 1: correct \"version\".",
    ),
    (
        "other-format.json",
        "The file says its format is \"another-plan\", not \"baylap-plan\": choose a plan saved by baylap.",
    ),
    (
        "three-coordinates.json",
        "At plan.decks[0].ring[1].at (line 3, column 10), there are not exactly two numbers: write a point as [x, y].",
    ),
    (
        "truncated.json",
        "The file stops in the middle, at line 4, column 16: it was probably cut off when it was saved or sent, so fetch a whole copy.",
    ),
    (
        "unknown-field.json",
        "At plan.decks[0].nmae (line 1, column 78), the field `nmae` is not known: take it out or correct its name, the known ones here being `id`, `name`, `ring`.",
    ),
    (
        "unknown-kind.json",
        "At plan.decks[0].ring[1].edge.free.kind (line 3, column 47), `eaves` is not a kind known here: write one of `drip`, `verge`, `gutter`.",
    ),
    (
        "wrong-type.json",
        "At plan.decks[0].name (line 1, column 78), there is 12 where a text in double quotes belongs: write a text in double quotes.",
    ),
    (
        "zero-roll.json",
        "At plan.products.rolls[0].length (line 7, column 50), 0 is out of range: write a whole number from 500 to 1000000.",
    ),
];

#[test]
fn bad_files_are_refused_with_their_sentence() {
    let found: Vec<(String, String)> = bad_files()
        .into_iter()
        .filter_map(|(name, text)| file::read_any(text.as_bytes()).err().map(|e| (name, e.to_string())))
        .collect();
    let expect: Vec<(String, String)> = REFUSED.iter().map(|&(n, s)| (n.to_owned(), s.to_owned())).collect();
    let wrong: Vec<_> = found.iter().filter(|f| !expect.contains(f)).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert_eq!(found.len(), expect.len(), "as many are refused as are listed");
}

#[test]
fn plans_stand_as_the_program_writes_them() {
    for (name, text) in demos() {
        let plan = plan_of(&name, &text);
        same_or_rewrite(&top().join("demo-data").join(&name), &file::write(&plan), "UPDATE_DEMO");
    }
    for (name, text) in bad_files() {
        if let Ok(plan) = file::read_any(text.as_bytes()) {
            same_or_rewrite(&top().join("demo-data/bad").join(&name), &file::write(&plan), "UPDATE_DEMO");
        }
    }
}

#[test]
fn the_index_lists_every_demo_plan_once() {
    let index = std::fs::read_to_string(top().join("demo-data/index.json")).unwrap();
    let index: serde_json::Value = serde_json::from_str(&index).unwrap();
    let listed: Vec<&str> = index.as_array().unwrap().iter().map(|e| e["file"].as_str().unwrap()).collect();
    let there: Vec<String> = demos().into_iter().map(|(name, _)| name).collect();
    assert_eq!(listed, there);
    for entry in index.as_array().unwrap() {
        assert!(entry["title"].as_str().is_some_and(|t| !t.is_empty()), "{entry}");
        assert!(entry["line"].as_str().is_some_and(|t| t.ends_with('.')), "{entry}");
    }
}

#[test]
fn every_demo_plan_says_that_it_is_invented() {
    assert!(demos().len() >= 5);
    for (name, text) in demos() {
        let job = plan_of(&name, &text).job;
        assert!(job.name.ends_with("(invented)") && job.notes.contains("nvented"), "{name}");
    }
}

#[test]
fn a_layout_opened_as_a_plan_is_told_for_what_it_is() {
    let layout = serde_json::to_vec(&baylap_core::lay(&baylap_core::Plan::default())).unwrap();
    assert_eq!(file::read_any(&layout), Err(file::FileError::IsLayout));
}
