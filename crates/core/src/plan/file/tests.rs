//! Tests of reading and writing: round trips, every refusal with its sentence, no panic on any bytes.

use super::strategies::any_plan;
use super::*;
use crate::geom::Pt;
use crate::plan::{Corner, Date, Deck, Direction, Edge, Entry, Opening, Record, UpstandKind, ZoneSetting};
use proptest::prelude::*;

fn refusal(text: &str) -> String {
    read(text.as_bytes()).expect_err("should be refused").to_string()
}

fn in_plan(plan: &str) -> String {
    format!("{{\"format\":\"baylap-plan\",\"version\":1,\n\"plan\":{plan}}}")
}

#[track_caller]
fn check_refused(plan: &str, expect: &str) {
    assert_eq!(refusal(&in_plan(plan)), expect);
}

proptest! {
    #[test]
    fn what_is_written_reads_as_the_same_plan(plan in any_plan()) {
        let text = write(&plan);
        let back = read(text.as_bytes());
        prop_assert_eq!(back.as_ref(), Ok(&plan));
        prop_assert_eq!(write(&back.unwrap()), text);
    }

    #[test]
    fn lines_change_nothing_but_space(plan in any_plan()) {
        let text = write(&plan);
        let value: Value = serde_json::from_str(&text).unwrap();
        prop_assert_eq!(&value["plan"], &serde_json::to_value(&plan).unwrap());
        prop_assert!(text.lines().all(|l| l.trim_end() == l));
    }

    #[test]
    fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        let _ = read_any(&bytes);
        let _ = read_bare_outline(&bytes);
    }

    #[test]
    fn no_spoilt_file_makes_it_panic(plan in any_plan(), at in any::<prop::sample::Index>(), byte in any::<u8>(), cut in any::<bool>()) {
        let mut bytes = write(&plan).into_bytes();
        let at = at.index(bytes.len());
        if cut { bytes.truncate(at) } else { bytes[at] = byte }
        match read_any(&bytes) {
            Ok(other) => prop_assert_eq!(read(write(&other).as_bytes()), Ok(other)),
            Err(e) => prop_assert!(e.to_string().ends_with('.'), "{}", e),
        }
    }

    #[test]
    fn a_file_cut_off_anywhere_says_so(plan in any_plan(), at in any::<prop::sample::Index>()) {
        let text = write(&plan);
        let end = text.trim_end().len();
        let mut cut = 1 + at.index(end - 1);
        while !text.is_char_boundary(cut) { cut -= 1; }
        let cut_off = matches!(read(&text.as_bytes()[..cut]), Err(FileError::CutOff { .. }));
        prop_assert!(cut_off, "{:?} after {:?}", read(&text.as_bytes()[..cut]), text[..cut].lines().last());
    }
}

#[test]
fn points_and_corners_stand_on_one_line() {
    let at =
        |x, y| Corner { at: Pt::new(x, y), edge: Edge::Upstand { height: 150, kind: UpstandKind::Wall } };
    let plan = Plan {
        decks: vec![Deck {
            id: 1,
            name: "A, \"B\": c".to_owned(),
            ring: vec![at(0, 0), at(9000, 0), at(0, -4000)],
        }],
        zones: vec![ZoneSetting {
            id: 2,
            direction: Direction::Angle { mdeg: 45_000 },
            ..ZoneSetting::default()
        }],
        ..Plan::default()
    };
    let text = write(&plan);
    let expect = r#"
    "decks": [
      {
        "id": 1,
        "name": "A, \"B\": c",
        "ring": [
          {"at": [0, 0], "edge": {"upstand": {"height": 150, "kind": "wall"}}},
          {"at": [9000, 0], "edge": {"upstand": {"height": 150, "kind": "wall"}}},
          {"at": [0, -4000], "edge": {"upstand": {"height": 150, "kind": "wall"}}}
        ]
      }
    ],
    "openings": [],"#;
    assert!(text.contains(expect), "{text}");
    assert!(
        text.contains(
            r#"{"id": 2, "name": "", "at": [0, 0], "direction": {"angle": {"mdeg": 45000}}, "start": "best", "first": null}"#
        ),
        "{text}"
    );
    assert!(
        text.starts_with("{\n  \"format\": \"baylap-plan\",\n  \"version\": 1,\n  \"plan\": {\n"),
        "{text}"
    );
}

#[test]
fn envelope_refusals() {
    assert_eq!(refusal(" \n"), "The file is empty: choose a plan saved by baylap, or a GeoJSON outline.");
    assert_eq!(
        read(b"{\"\xff\"}").unwrap_err().to_string(),
        "The file is not text (byte 2 does not belong in UTF-8): choose a plan saved by baylap, or a GeoJSON outline."
    );
    assert_eq!(
        refusal("{}"),
        "The file is JSON but neither a baylap plan (it has no \"format\") nor a GeoJSON outline: choose another file."
    );
    assert_eq!(
        refusal(r#"{"format":"other"}"#),
        "The file says its format is \"other\", not \"baylap-plan\": choose a plan saved by baylap."
    );
    assert_eq!(
        refusal(r#"{"format":"baylap-layout","version":1}"#),
        "The file is a layout, which is what baylap computes from a plan: choose the plan it was made from."
    );
    assert_eq!(
        refusal(r#"{"format":"baylap-plan","plan":{}}"#),
        "The plan file does not say its version: add \"version\": 1 beside \"format\" if it is of version 1."
    );
    assert_eq!(
        refusal(r#"{"format":"baylap-plan","version":"1","plan":{}}"#),
        "The plan file says its version is \"1\", and there are versions 1 to 1: correct \"version\"."
    );
    assert_eq!(
        refusal(r#"{"format":"baylap-plan","version":7,"plan":{"new":true}}"#),
        "The plan was made by a newer baylap: it is version 7 and this one reads up to 1; update baylap to open it."
    );
    assert_eq!(
        refusal(r#"{"format":"baylap-plan","version":1}"#),
        "The plan file holds no \"plan\": fetch a whole copy of it."
    );
    assert_eq!(
        refusal(r#"{"format":"baylap-plan","version":1,"plan":{},"extra":1}"#),
        "At extra (line 1, column 55), the field `extra` is not known: take it out or correct its name, the known ones here being `format`, `version`, `plan`."
    );
    assert_eq!(refusal("[1, 2]"), refusal("{}"), "a list is no envelope");
    assert_eq!(
        refusal("7"),
        "At line 1, column 1, there is 7 where an object in curly brackets belongs: write an object in curly brackets."
    );
}

#[test]
fn faults_of_the_json_itself() {
    let not_json = |place: &str, what: &str| {
        format!(
            "The file is not sound JSON at {place}: {what}; mend it there, or choose a plan saved by baylap."
        )
    };
    assert_eq!(refusal("hello"), not_json("line 1, column 1", "a value is wanted here"));
    for word in ["NaN", "Infinity", "-Infinity", "nan", "inf"] {
        let text = in_plan(&format!("{{\"products\":{{\"side_lap\":{word}}}}}"));
        let said = refusal(&text);
        assert!(said.contains(&format!("{word} is not a number")), "{said}");
        assert!(said.contains("at line 2, column"), "{said}");
    }
    let comma = refusal(&in_plan(r#"{"decks":[{"id":1,"ring":[],}]}"#));
    assert!(comma.contains("a field's name in double quotes is wanted here"), "{comma}");
    let deep = format!("{{\"format\":{}", "[".repeat(5000));
    assert!(refusal(&deep).contains("nested more than 127 deep"), "{}", refusal(&deep));
    let deep = in_plan(&format!("{{\"decks\":{}{}}}", "[".repeat(5000), "]".repeat(5000)));
    assert!(refusal(&deep).contains("At plan.decks[0]"), "{}", refusal(&deep));
    assert!(refusal(&in_plan("{}{}")).contains("expected `,` or `}`"), "{}", refusal(&in_plan("{}{}")));
}

#[test]
fn fields_of_the_wrong_kind() {
    check_refused(
        r#"{"decks":[{"id":1,"ring":[{"at":[0,0]},{"at":[2.5,0]}]}]}"#,
        "At plan.decks[0].ring[1].at[0] (line 2, column 54), 2.5 is not a whole number of millimetres: round it.",
    );
    check_refused(
        r#"{"products":{"side_lap":75.5}}"#,
        "At plan.products.side_lap (line 2, column 32), 75.5 is not a whole number: round it.",
    );
    check_refused(
        r#"{"products":{"side_lap":"75"}}"#,
        "At plan.products.side_lap (line 2, column 32), there is the text \"75\" where a whole number belongs: write a whole number.",
    );
    check_refused(
        r#"{"gang":{"people":-1}}"#,
        "At plan.gang.people (line 2, column 26), -1 is out of range: write a whole number, 0 or more and below 4294967296.",
    );
    check_refused(
        r#"{"decks":{}}"#,
        "At plan.decks (line 2, column 17), there is an object where a list in square brackets belongs: write a list in square brackets.",
    );
    check_refused(
        r#"{"outlets":[{"id":4,"at":[1,2,3],"bowl":1,"clear_zone":1}]}"#,
        "At plan.outlets[0].at (line 2, column 33), there are not exactly two numbers: write a point as [x, y].",
    );
    check_refused(
        r#"{"outlets":[{"id":4,"at":[1],"bowl":1,"clear_zone":1}]}"#,
        "At plan.outlets[0].at (line 2, column 33), there are not exactly two numbers: write a point as [x, y].",
    );
    check_refused(
        r#"{"outlets":[{"id":4,"at":[1,2]}]}"#,
        "At plan.outlets[0] (line 2, column 20), the field `bowl` is missing: add it.",
    );
    check_refused(
        r#"{"job":{"nmae":"x"}}"#,
        "At plan.job.nmae (line 2, column 23), the field `nmae` is not known: take it out or correct its name, the known ones here being `name`, `number`, `part`, `client`, `drawn_by`, `revision`, `date`, `notes`, `north_mdeg`.",
    );
    check_refused(
        r#"{"job":{"name":"x","name":"y"}}"#,
        "At plan.job (line 2, column 15), the field `name` stands twice: take one of them out.",
    );
    check_refused(
        r#"{"zones":[{"id":1,"at":[0,0],"start":"middle"}]}"#,
        "At plan.zones[0].start (line 2, column 45), `middle` is not a kind known here: write one of `best`, `right`, `left`.",
    );
    check_refused(
        r#"{"decks":[{"id":1,"ring":[{"at":[0,0],"edge":7}]}]}"#,
        "At plan.decks[0].ring[0].edge (line 2, column 53), there is no kind: write one as a word or as an object with one key.",
    );
    check_refused(
        r#"{"decks":[{"id":1,"ring":[{"at":[1e400,0]}]}]}"#,
        "At plan.decks[0].ring[0].at[0] (line 2, column 41), the number is far out of range: write a whole number.",
    );
}

#[test]
fn programme_out_of_range() {
    check_refused(
        r#"{"programme":{"rates":{"walk":0}}}"#,
        "At plan.programme.rates.walk (line 2, column 38), 0 is out of range: write a whole number from 1 to 1000000.",
    );
    check_refused(
        r#"{"programme":{"gangs":[{"id":4,"people":0}]}}"#,
        "At plan.programme.gangs[0].people (line 2, column 48), 0 is out of range: write a whole number from 1 to 1000.",
    );
    check_refused(
        r#"{"programme":{"ties":[{"id":4,"at":[0,0],"day":0}]}}"#,
        "At plan.programme.ties[0].day (line 2, column 55), 0 is out of range: write a whole number from 1 to 100000.",
    );
    check_refused(
        r#"{"ways":[{"id":4,"at":[0,0]}],"programme":{"ties":[{"id":4,"at":[0,0]}]}}"#,
        "At plan.programme.ties[0].id (line 2, column 65), the id 4 stands a second time, plan.ways[0] having it already: give each thing an id of its own.",
    );
    let days = vec![crate::plan::Date::new(2026, 1, 1).unwrap(); OFF_DAYS + 1];
    let mut plan = Plan::default();
    plan.programme.calendar.holidays = days;
    assert!(check(&plan).is_err());
    plan.programme.calendar.holidays.pop();
    assert_eq!(check(&plan), Ok(()));
}

/// A gang whose melter is not there, a week without work: things to be told, not to be refused.
#[test]
fn an_odd_programme_still_reads() {
    let odd = r#"{"programme":{"gangs":[{"id":4,"people":3,"melter":77}],"calendar":{"week":[false,false,false,false,false,false,false]}}}"#;
    assert!(read(in_plan(odd).as_bytes()).is_ok());
}

#[test]
fn numbers_out_of_range_and_ids_twice() {
    check_refused(
        r#"{"decks":[{"id":1,"ring":[{"at":[0,10000001]}]}]}"#,
        "At plan.decks[0].ring[0].at[1] (line 2, column 43), 10000001 is out of range: write a whole number from -10000000 to 10000000.",
    );
    check_refused(
        r#"{"products":{"rolls":[{"width":1000,"length":0}]}}"#,
        "At plan.products.rolls[0].length (line 2, column 53), 0 is out of range: write a whole number from 500 to 1000000.",
    );
    check_refused(
        r#"{"products":{"side_lap":-75}}"#,
        "At plan.products.side_lap (line 2, column 32), -75 is out of range: write a whole number from 0 to 1000000.",
    );
    check_refused(
        r#"{"decks":[{"id":3,"ring":[]}], "levels":{"spots":[{"id":3,"at":[0,0],"level":0}]}}"#,
        "At plan.levels.spots[0].id (line 2, column 64), the id 3 stands a second time, plan.decks[0] having it already: give each thing an id of its own.",
    );
}

#[test]
fn more_than_is_ever_laid() {
    let corner = r#"{"at":[0,0]}"#;
    let corners = vec![corner; CORNERS + 1].join(",");
    check_refused(
        &format!(r#"{{"decks":[{{"id":1,"ring":[{corners}]}}]}}"#),
        "The plan has 100001 corners and at most 100000 are read: split the job into several plans.",
    );
    let ways: Vec<String> = (0..=THINGS).map(|i| format!(r#"{{"id":{i},"at":[0,0]}}"#)).collect();
    check_refused(
        &format!(r#"{{"ways":[{}]}}"#, ways.join(",")),
        "The plan has 20001 things and at most 20000 are read: split the job into several plans.",
    );
    assert_eq!(
        read(&vec![b' '; FILE_BYTES + 1]).unwrap_err().to_string(),
        "The file has 16777217 bytes and at most 16777216 are read: check that it is the right file, or split the job."
    );
    check_refused(
        &format!(r#"{{"job":{{"notes":"{}"}}}}"#, "n".repeat(TEXT + 1)),
        "At plan.job.notes (line 2, column 24), the text has 20001 characters: shorten it to 20000 at most.",
    );
}

#[test]
fn an_empty_plan_takes_the_defaults() {
    assert_eq!(read(in_plan("{}").as_bytes()), Ok(Plan::default()));
    assert_eq!(
        read(format!("\u{feff}{}", in_plan("{}")).as_bytes()),
        Ok(Plan::default()),
        "a byte order mark is fine"
    );
    let plan = read(in_plan(r#"{"decks":[{"id":1,"ring":[{"at":[0,0]}]}]}"#).as_bytes()).unwrap();
    assert_eq!(plan.decks[0].ring[0].edge, Edge::default());
}

fn outline(text: &str) -> Result<Plan, String> {
    let plan = read_any(text.as_bytes()).map_err(|e| e.to_string());
    assert_eq!(plan, read_bare_outline(text.as_bytes()).map_err(|e| e.to_string()));
    plan
}

fn places(ring: &[Corner]) -> Vec<[i64; 2]> {
    ring.iter().map(|c| c.at.into()).collect()
}

#[test]
fn a_polygon_becomes_a_deck_and_its_holes_openings() {
    // The shape of a Polygon: RFC 7946, section 3.1.6 (rings closed by repeating the first position).
    let plan = outline(
        r#"{"type":"Polygon","coordinates":[[[0,0],[12,0],[12,0],[12,8.0004],[0,8,31.5],[0,0]],
            [[2,2],[3,2],[3,3.25],[2,2]]]}"#,
    )
    .unwrap();
    assert_eq!(places(&plan.decks[0].ring), [[0, 0], [12_000, 0], [12_000, 8000], [0, 8000]]);
    assert_eq!(places(&plan.openings[0].ring), [[2000, 2000], [3000, 2000], [3000, 3250]]);
    assert_eq!(plan.decks[0].ring[0].edge, Edge::default());
    assert_eq!(plan.openings[0].ring[0].edge, Edge::Upstand { height: 150, kind: UpstandKind::Kerb });
    assert_eq!((plan.products, plan.gang), (Default::default(), Default::default()));
    assert_eq!(plan.job.notes, "");
}

#[test]
fn collections_give_several_decks() {
    let square = "[[[0,0],[9,0],[9,9],[0,9],[0,0]]]";
    let plan = outline(&format!(
        r#"{{"type":"FeatureCollection","name":"x","features":[
            {{"type":"Feature","properties":{{"a":[1,{{}}]}},"geometry":{{"type":"Polygon","coordinates":{square}}}}},
            {{"type":"Feature","properties":null,"geometry":{{"type":"MultiPolygon","coordinates":[{square},{square}]}}}},
            {{"type":"Feature","properties":null,"geometry":null}},
            {{"type":"Feature","properties":null,"geometry":{{"type":"Point","coordinates":[1,2]}}}}]}}"#
    ))
    .unwrap();
    let names: Vec<_> = plan.decks.iter().map(|d| (d.id, d.name.as_str())).collect();
    assert_eq!(names, [(1, "Deck 1"), (2, "Deck 2"), (3, "Deck 3")]);
    assert_eq!(plan.job.notes, "2 things of the file that are no areas were left out.");
    assert!(read(write(&plan).as_bytes()).is_ok());
}

#[test]
fn national_grid_coordinates_lose_a_whole_metre_origin() {
    let plan = outline(
        r#"{"type":"Polygon","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::28992"}},
            "coordinates":[[[121000.25,487000.5],[121012.25,487000.5],[121012.25,487008.5],[121000.25,487000.5]]]}"#,
    )
    .unwrap();
    assert_eq!(places(&plan.decks[0].ring), [[250, 500], [12_250, 500], [12_250, 8500]]);
    assert_eq!(plan.job.notes, "Coordinates of the file less 121000 m in x and 487000 m in y.");
}

#[test]
fn outlines_that_are_refused() {
    let polygon = |ring: &str| format!(r#"{{"type":"Polygon","coordinates":[[{ring}]]}}"#);
    assert_eq!(
        outline(&polygon("[4.9001,52.3701],[4.9003,52.3701],[4.9003,52.3702],[4.9001,52.3701]")).unwrap_err(),
        "The outline is in degrees of longitude and latitude (in metres it would be less than 1 m across): save it again in a projected system in metres."
    );
    assert_eq!(
        outline(r#"{"type":"Polygon","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:OGC:1.3:CRS84"}},"coordinates":[[[0,0],[9,0],[9,9],[0,0]]]}"#).unwrap_err(),
        "The outline is in degrees of longitude and latitude (its crs is urn:ogc:def:crs:OGC:1.3:CRS84): save it again in a projected system in metres."
    );
    assert_eq!(
        outline(&polygon("[0,0],[12000,0],[12000,8000],[0,0]")).unwrap_err(),
        "The outline is 12000 m across and at most 10000 m are laid in one plan: check that it is in metres, or take one roof at a time."
    );
    assert_eq!(
        outline(&polygon("[0,0],[9,0],[9,\"9\"],[0,0]")).unwrap_err(),
        "At coordinates[0][2] (line 1, column 47), there is no position: write one as [x, y] in metres."
    );
    let none = "The GeoJSON holds no Polygon or MultiPolygon with an area: choose a file that holds the outline of a roof.";
    assert_eq!(outline(&polygon("[0,0],[9,0],[0,0]")).unwrap_err(), none);
    assert_eq!(outline(r#"{"type":"Point","coordinates":[1,2]}"#).unwrap_err(), none);
    assert_eq!(
        outline(r#"{"type":"Roof"}"#).unwrap_err(),
        "At type (line 1, column 9), Roof is not a GeoJSON type: write Polygon or MultiPolygon."
    );
    assert!(outline(&polygon(&format!("{}{}", "[".repeat(4000), "]".repeat(4000)))).is_err());
    assert!(outline(&polygon("[1e308,-1e308],[-1e308,1e308],[0,0]")).unwrap_err().contains("m across"));
    assert!(
        outline(r#"{"type":"Polygon","coordinates":[[[NaN,0]]]}"#)
            .unwrap_err()
            .contains("NaN is not a number")
    );
}

/// The one hole that collapses below a millimetre is dropped, and the deck stays.
#[test]
fn a_hole_smaller_than_a_millimetre_is_dropped() {
    let plan = outline(
        r#"{"type":"Polygon","coordinates":[[[0,0],[9,0],[9,9],[0,0]],[[5,4],[5.0001,4],[5,4.0001],[5,4]]]}"#,
    )
    .unwrap();
    assert_eq!(plan.openings, Vec::<Opening>::new());
}

#[test]
fn records_that_are_refused() {
    let record = |inner: &str| format!(r#"{{"records":[{{"key":"k-1","what":{inner}}}]}}"#);
    check_refused(
        &record(r#"{"weather":{"air":125,"humidity":101}}"#),
        "At plan.records[0].what.weather.humidity (line 2, column 73), 101 is out of range: write a whole number from 0 to 100.",
    );
    check_refused(
        &record(r#"{"thickness":{"hundredths":-1}}"#),
        "At plan.records[0].what.thickness.hundredths (line 2, column 67), -1 is out of range: write a whole number from 0 to 1000000.",
    );
    check_refused(
        r#"{"records":[{"key":"k-1","what":{"note":{"text":"a"}}},{"key":"k-1","what":{"note":{"text":"b"}}}]}"#,
        "At plan.records[1].key (line 2, column 70), the key k-1 stands a second time, plan.records[0] having it already: give each record a key of its own.",
    );
    check_refused(
        r#"{"records":[{"key":"k 1","what":{"note":{"text":"a"}}}]}"#,
        "At plan.records[0].key (line 2, column 27), \"k 1\" cannot be the key of a record: write 1 to 57 letters, digits, hyphens and full stops.",
    );
    check_refused(
        r#"{"records":[{"key":"k-1","replaces":"k-1","what":{"note":{"text":"a"}}}]}"#,
        "At plan.records[0].replaces (line 2, column 44), the record replaces itself: name another record, or leave it out.",
    );
    check_refused(
        r#"{"records":[{"key":"k-1","date":"2026-02-30","what":{"note":{"text":"a"}}}]}"#,
        "At plan.records[0].date (line 2, column 40), \"2026-02-30\" is no date of the calendar: write year-month-day, as 2026-11-30.",
    );
}

/// A plan without records is written as it was before there were any.
#[test]
fn records_stand_in_the_file_only_where_there_are_some() {
    assert!(!write(&Plan::default()).contains("record"));
    let record = Record {
        key: "k3f9-12".to_owned(),
        replaces: None,
        date: Date::new(2026, 11, 30),
        time: "7:40".to_owned(),
        by: "A".to_owned(),
        at: Some(Pt::new(1000, 2000)),
        what: Entry::Thickness { hundredths: 612, with_sheet: false, note: String::new() },
    };
    let text = write(&Plan { records: vec![record.clone()], ..Plan::default() });
    assert!(text.contains(r#""date": "2026-11-30""#), "{text}");
    assert_eq!(read(text.as_bytes()).unwrap().records, [record]);
}
