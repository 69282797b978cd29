//! Lists as they come, read whole. Expected places and levels are worked out by hand in each test.

use super::*;
use baylap_core::geom::Pt;
use baylap_core::plan::{Corner, Deck, SpotLevel};

/// A deck of 20 x 10 m with its corner at the plan's zero.
fn plan() -> Plan {
    let ring = [[0, 0], [20_000, 0], [20_000, 10_000], [0, 10_000]];
    let ring = ring.into_iter().map(|p| Corner { at: p.into(), ..Corner::default() }).collect();
    Plan { decks: vec![Deck { id: 1, name: String::new(), ring }], ..Plan::default() }
}

fn read(text: &str) -> (Choices, Reading) {
    let table = Table::of(text, None);
    let choices = Choices::guess(&table, &plan());
    let reading = Reading::of(&table, &choices, &plan());
    (choices, reading)
}

#[track_caller]
fn check(text: &str, expect: &[(i64, i64, i64)]) -> Choices {
    let (choices, reading) = read(text);
    assert_eq!(reading.refusal, None, "{text:?}");
    let got: Vec<(i64, i64, i64)> = reading.taken.iter().map(|t| (t.at.x, t.at.y, t.level)).collect();
    assert_eq!(got, expect, "{text:?}: {:?}", reading.problems);
    choices
}

#[track_caller]
fn problems(text: &str, expect: &[&str]) -> Reading {
    let (_, reading) = read(text);
    let got: Vec<&str> = reading.problems.iter().map(|p| p.sentence.as_str()).collect();
    assert_eq!(got, expect, "{text:?}");
    reading
}

#[test]
fn the_same_levels_however_they_are_written() {
    let same = [(1000, 2000, 150), (19_000, 2000, 120), (10_000, 9000, 95)];
    for text in [
        "point,easting,northing,level,code\n1,1.000,2.000,0.150,DECK\n2,19.000,2.000,0.120,\n3,10.000,9.000,0.095,X",
        "1,1.000,2.000,0.150,DECK\n2,19.000,2.000,0.120\n3,10.000,9.000,0.095",
        "1;1,000;2,000;0,150\r\n2;19,000;2,000;0,120\r\n3;10,000;9,000;0,095\r\n",
        "\u{feff}Level\tNorthing\tEasting\n0,150\t2,000\t1,000\n0,120\t2,000\t19,000\n0,095\t9,000\t10,000",
        "1 1.0 2.0 0.15\n2 19.0 2.0 0.12\n\n3   10.0  9.0  0.095",
        "1.0 2.0 0.15 low corner\n19.0 2.0 0.12 edge\n10.0 9.0 0.095 outlet",
        "E (mm);N (mm);RL (m)\n1000;2000;0,150\n19000;2000;0,120\n10000;9000;0,095",
        "name,x,y,z\nA,1000,2000,150\nB,19000,2000,120\nC,10000,9000,95",
        "\"1\",\"1,000\",\"2,000\",\"0,150\"\n\"2\",\"19,000\",\"2,000\",\"0,120\"\n\"3\",\"10,000\",\"9,000\",\"0,095\"",
    ] {
        check(text, &same);
    }
}

#[test]
fn units_are_guessed_for_places_and_levels_apart() {
    let c = check("1000,2000,0.150\n19000,2000,0.120", &[(1000, 2000, 150), (19_000, 2000, 120)]);
    assert_eq!((c.places, c.levels), (Unit::Millimetres, Unit::Metres));
    let c = check("1.5,2.5,150\n19.5,2.5,120", &[(1500, 2500, 150), (19_500, 2500, 120)]);
    assert_eq!((c.places, c.levels), (Unit::Metres, Unit::Millimetres));
    let table = Table::of("1 2 3\n300 200 3", None);
    assert_eq!(Choices::guess(&table, &Plan::default()).places, Unit::Metres, "without decks, 300 is no mm");
}

#[test]
fn a_list_of_a_national_grid_comes_to_lie_on_the_deck() {
    let text =
        "1,412345.000,5934123.000,45.150\n2,412363.000,5934123.000,45.120\n3,412363.000,5934131.000,45.100";
    // Its box is 18 x 8 m; the deck's middle is at 10, 5.
    let c = check(text, &[(1000, 1000, 45_150), (19_000, 1000, 45_120), (19_000, 9000, 45_100)]);
    assert_eq!(c.put, Put::OnDeck);
    let table = Table::of(text, None);
    let at = |put| {
        let reading = Reading::of(&table, &Choices { put, ..c.clone() }, &plan());
        reading.taken.first().map(|t| <[i64; 2]>::from(t.at))
    };
    assert_eq!(at(Put::Less([412_344_000, 5_934_122_500])), Some([1000, 500]));
    assert_eq!(at(Put::FirstAt(Pt::new(7, 8))), Some([7, 8]));
    assert_eq!(at(Put::AsTyped), None, "412 km from the plan's zero");
}

#[test]
fn axes_can_be_swapped_and_columns_set() {
    let table = Table::of("1.0 2.0 0.1\n3.0 9.0 0.2", None);
    let mut c = Choices::guess(&table, &plan());
    assert!(c.easting_first());
    c.swap_axes();
    assert!(!c.easting_first());
    assert_eq!(Reading::of(&table, &c, &plan()).taken[0].at, Pt::new(2000, 1000));
    c.set_column(2, Column::Easting);
    assert_eq!(c.columns, [Column::Northing, Column::Ignored, Column::Easting]);
    let reading = Reading::of(&table, &c, &plan());
    assert_eq!(
        reading.refusal.as_deref(),
        Some("No column is level yet: say over the table which one it is, or choose what parts the columns.")
    );
    c.set_column(9, Column::Level);
    assert_eq!(c.at(Column::Level), None, "no such column");
}

#[test]
fn every_bad_row_is_said_by_its_number() {
    let reading = problems(
        "no,e,n,level\n1,1.0,2.0,0.10\n2,2.0,2O.5,0.10\n3,3.0,2.0,\n\n4,4.0,\"1,234.5\",0.10\n5,5.0,2.0,0.10",
        &[
            "Row 3: the northing \"2O.5\" is not a number: mend it, or leave the row out.",
            "Row 4 has no level: fill it in, or leave the row out.",
            "Row 6: the northing \"1,234.5\" can be read two ways: use one decimal mark and no thousands mark.",
        ],
    );
    assert_eq!((reading.taken.len(), reading.left_out()), (2, 3));
    assert_eq!(reading.taken.iter().map(|t| t.row).collect::<Vec<_>>(), [2, 7]);
    assert_eq!(reading.to_string(), "2 levels from 0.100 m to 0.100 m; 3 rows left out.");
}

#[test]
fn places_twice() {
    let reading = problems(
        "1.0,2.0,0.100\n1.0,2.0,0.100\n3.0,2.0,0.100\n1.0,2.0,0.112\n1.0,2.0,0.090",
        &[
            "Row 2 says the same as row 1: it is taken once.",
            "Row 4 is where row 1 is, but 12 mm higher: the first is taken; leave the wrong one out.",
            "Row 5 is where row 1 is, but 10 mm lower: the first is taken; leave the wrong one out.",
        ],
    );
    assert_eq!(
        reading.taken.iter().map(|t| (t.row, t.doubtful)).collect::<Vec<_>>(),
        [(1, true), (3, false)]
    );
}

/// A plane of 1 in 50 with unevenness of 3 mm: one level is a decimetre off, the plane's ends are not.
#[test]
fn a_level_unlike_those_around_it_is_found() {
    let mut text = String::new();
    for n in 0..40_i64 {
        let (x, y) = (1000 + n % 8 * 2000, 1000 + n / 8 * 2000);
        let wrong = if n == 19 { 100 } else { 0 };
        text.push_str(&format!("{n};{x};{y};{}\n", x / 50 + n * 7 % 4 + wrong));
    }
    let reading =
        problems(&text, &["Row 20 is 100 mm above the levels around it: look whether it is right."]);
    assert_eq!(reading.taken.len(), 40);
    assert!(reading.taken[19].doubtful);
    let table = Table::of(&text, None);
    let choices = Choices { leave_odd_out: true, ..Choices::guess(&table, &plan()) };
    let reading = Reading::of(&table, &choices, &plan());
    assert_eq!((reading.taken.len(), reading.left_out()), (39, 1));
    assert!(reading.taken.iter().all(|t| t.row != 20));
}

/// Two planes of 1 in 40 that meet in a ridge, levels every 3 m, and outlets recessed by 40 mm: a roof, not a mistake.
#[test]
fn ridges_and_outlets_do_not_stand_out() {
    let mut text = String::new();
    for n in 0..28_i64 {
        let (x, y) = (1000 + n % 7 * 3000, 1000 + n / 7 * 2500);
        let sump = if n == 8 || n == 22 { 40 } else { 0 };
        text.push_str(&format!("{x};{y};{}\n", 300 - (x - 10_000).abs() / 40 - sump));
    }
    problems(&text, &[]);
}

#[test]
fn places_off_the_decks_are_said() {
    problems(
        "1.0,2.0,0.1\n19.0,2.0,0.1\n10.0,9.0,0.1\n25.0,5.0,0.1",
        &["Row 4 lies on no deck: look whether it is in its place."],
    );
    let table = Table::of("1.0,2.0,0.1\n19.0,2.0,0.1", None);
    let choices = Choices { put: Put::FirstAt(Pt::new(-90_000, 0)), ..Choices::guess(&table, &plan()) };
    let reading = Reading::of(&table, &choices, &plan());
    assert_eq!(reading.problems.len(), 1);
    assert!(reading.problems[0].sentence.starts_with("No row lies on a deck"));
    assert!(
        Reading::of(&table, &choices, &Plan::default()).problems.is_empty(),
        "no decks, nothing to be off"
    );
}

#[test]
fn feet_and_inches_are_refused_whole() {
    for text in [
        "1,12'-6\",3'-1\",0'-1\"",
        "12'-6\" 3'-4\" 0'-1\"",
        "1\t12 ft\t3 ft\t1 in",
        "E ft,N ft,Z ft\n1.0,2.0,3.0",
    ] {
        let (_, reading) = read(text);
        let refusal = reading.refusal.unwrap_or_default();
        assert!(refusal.contains("is in feet or inches") && refusal.ends_with('.'), "{text}: {refusal}");
        assert!(reading.taken.is_empty());
    }
}

#[test]
fn what_is_no_list_says_what_is_missing() {
    let refusal = |text| read(text).1.refusal.unwrap_or_default();
    assert!(refusal("").starts_with("There is no row of numbers yet"));
    assert!(refusal("E,N,Z").starts_with("There is no row of numbers yet"));
    assert!(refusal("1.5,2.5").starts_with("No column is level yet"));
    assert!(refusal("good morning").starts_with("There is no row of numbers yet"));
}

#[test]
fn origins_may_be_far_away() {
    for (text, mm) in
        [("412344", 412_344_000), ("412344,5", 412_344_500), ("412344.000 m", 412_344_000), ("-5 mm", -5)]
    {
        assert_eq!(parse_origin(text, Unit::Metres), Ok(mm), "{text}");
    }
    assert_eq!(parse_origin("5000", Unit::Millimetres), Ok(5000));
    for text in ["", "1,234.5", "x", "99999999999"] {
        assert!(parse_origin(text, Unit::Metres).is_err_and(|e| e.ends_with('.')), "{text}");
    }
}

#[test]
fn rounding_is_counted() {
    let (_, reading) = read("1.0001,2.0,0.1\n3.0,2.0,0.1");
    assert_eq!(reading.rounded, 1);
    assert!(reading.to_string().ends_with("; 1 row rounded to whole millimetres."));
}

#[test]
fn thousands_of_rows_are_all_taken() {
    let mut text = String::from("point,e,n,level\n");
    for n in 0..8000_i64 {
        text.push_str(&format!("{n},{}.{:03},{}.5,0.{:03}\n", n % 20, n / 20, n / 20 % 10, n % 100));
    }
    let (_, reading) = read(&text);
    assert_eq!(reading.taken.len(), 8000);
}

#[test]
fn the_change_is_one_step_of_new_things() {
    let (_, reading) = read("1.0,2.0,0.100\n3.0,2.0,0.110");
    let mut before = plan();
    before.levels.spots.push(SpotLevel { id: 5, at: Pt::new(1, 1), level: 7 });
    let added = crate::change::apply(&before, &reading.change(false)).unwrap();
    assert_eq!(
        added.levels.spots.iter().map(|s| (s.id, s.level)).collect::<Vec<_>>(),
        [(5, 7), (6, 100), (7, 110)]
    );
    let replaced = crate::change::apply(&before, &reading.change(true)).unwrap();
    assert_eq!(replaced.levels.spots.len(), 2);
}
