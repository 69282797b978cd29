//! Cut lists: slit pieces side by side, strips, kinds of roll, runs that go on from roll to roll, limits.
//!
//! In: the canopy built by hand, plain and slit. Out: every cut stands in the file and on the sheet, drawn to scale. All
//! figures follow from the layout built there; nothing outside sets them.

use crate::canopy;
use baylap_core::layout::Layout;
use baylap_sheets::page::{Ink, Page};
use baylap_sheets::table::{limit_sentence, ordered_rows, run_ons};
use baylap_sheets::{Paper, SheetOptions, cut_list_csv, piece_table_csv, setting_out_pages};

fn lines(text: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let heads = reader.headers().expect("heads").iter().map(str::to_owned).collect();
    let rows = reader.records().map(|r| r.expect("a line").iter().map(str::to_owned).collect());
    (heads, rows.collect())
}

fn cut_pages(layout: &Layout, paper: Paper) -> Vec<Page> {
    let pages = setting_out_pages(&canopy::slit_plan(), layout, &SheetOptions { paper });
    pages.into_iter().filter(|p| p.title == "Cut list by roll").collect()
}

#[test]
fn old_columns_stay_where_they_were() {
    let (heads, _) = lines(&cut_list_csv(&canopy::layout()));
    let old = "job roll roll_width_mm roll_length_mm cut piece bay course from_mm to_mm length_mm width_mm";
    assert_eq!(heads[..12].join(" "), old);
    let (heads, _) = lines(&piece_table_csv(&canopy::plan(), &canopy::layout()));
    assert_eq!(heads[15..].join(" "), "side_lap_after_mm across_on_roll_mm run_on_from_roll");
}

#[test]
fn the_file_names_every_cut_with_its_place_across() {
    let layout = canopy::slit_layout();
    let (heads, rows) = lines(&cut_list_csv(&layout));
    let at = |name: &str| heads.iter().position(|h| h == name).expect("a column");
    let pieces = rows.iter().filter(|r| r[at("cut")] == "piece").count();
    let strips: Vec<&Vec<String>> = rows.iter().filter(|r| r[at("cut")] == "strip").collect();
    assert_eq!((pieces, strips.len()), (layout.pieces.len(), layout.strips.len()));
    for (row, strip) in strips.iter().zip(&layout.strips) {
        let cells = ["strip", "from_mm", "length_mm", "width_mm", "across_mm"].map(|n| row[at(n)].as_str());
        let figures = [strip.number.into(), strip.roll_from, strip.length, strip.width, strip.roll_across];
        assert_eq!(cells.map(str::to_owned), figures.map(|f: i64| f.to_string()));
    }
    // The last piece lies beside the one before it: 480 in, cut at the free end.
    let last = rows.iter().find(|r| r[at("piece")] == "12").expect("piece 12");
    assert_eq!([&last[at("across_mm")], &last[at("from_mm")], &last[at("width_mm")]], ["480", "0", "480"]);
    assert_eq!(rows.last().expect("a line")[at("roll_kind")], "3");
}

#[test]
fn a_run_that_goes_on_says_from_which_roll() {
    // The first piece of course 8 is piece 9 and ends at 20,000 of 20,000 on roll 4; piece 10 laps on to it.
    let layout = canopy::slit_layout();
    assert_eq!(run_ons(&layout).into_iter().collect::<Vec<_>>(), [(10, 4)]);
    assert!(run_ons(&canopy::layout()).is_empty(), "no roll ends inside a run there");
    let (heads, rows) = lines(&piece_table_csv(&canopy::slit_plan(), &layout));
    let marked: Vec<&str> =
        rows.iter().filter(|r| !r[heads.len() - 1].is_empty()).map(|r| r[1].as_str()).collect();
    assert_eq!(marked, ["10"]);
    for paper in [Paper::A4, Paper::A3] {
        let pages = setting_out_pages(&canopy::slit_plan(), &layout, &SheetOptions { paper });
        let said = |title: &str, words: &str| {
            pages.iter().filter(|p| p.title == title).flat_map(Page::words).any(|w| w.text.contains(words))
        };
        assert!(said("Piece table", "from roll 4"));
        assert!(said("Cut list by roll", "piece 10 runs on from roll 4"));
        assert!(said("Cut list by roll", "Roll 5 narrow: 500 x 10000, for strips only, keep the rest: 8725"));
    }
}

#[test]
fn every_cut_is_on_the_sheet() {
    let layout = canopy::slit_layout();
    for paper in [Paper::A4, Paper::A3] {
        let words: Vec<String> =
            cut_pages(&layout, paper).iter().flat_map(Page::words).map(|w| w.text.clone()).collect();
        let drawn = |label: String| words.contains(&label);
        assert!(layout.pieces.iter().all(|p| drawn(p.number.to_string())));
        assert!(layout.strips.iter().all(|s| drawn(format!("S{}", s.number)) && drawn(s.length.to_string())));
        // Strips 1 to 7 twice: in the bars and in the table. The narrow roll's strip has no room for its number.
        let twice = |n: u32| words.iter().filter(|w| **w == format!("S{n}")).count();
        assert!((1..=6).all(|n| twice(n) == 2), "{paper:?}");
    }
}

#[test]
fn cuts_are_drawn_to_scale_and_clear_of_each_other() {
    let mut sizes: Vec<[f64; 2]> = Vec::new();
    for page in cut_pages(&canopy::slit_layout(), Paper::A4) {
        let boxes: Vec<[f64; 4]> = page
            .ink
            .iter()
            .filter_map(|ink| match ink {
                Ink::Fill { corners, black: false } => {
                    Some([corners[0][0], corners[0][1], corners[2][0], corners[2][1]])
                }
                _ => None,
            })
            .collect();
        for (i, a) in boxes.iter().enumerate() {
            let apart = |b: &[f64; 4]| {
                let e = 1e-6;
                a[2] <= b[0] + e || b[2] <= a[0] + e || a[3] <= b[1] + e || b[3] <= a[1] + e
            };
            assert!(boxes[i + 1..].iter().all(apart), "cuts of one roll lie on each other");
        }
        sizes.extend(boxes.iter().map(|b| [b[2] - b[0], b[3] - b[1]]));
    }
    // A4 is 297 wide: margins of 20 and 10, 5 of air on both sides. The longest roll, 50,000, takes that; 1000 across is 14.
    let (along, across) = (257.0 / 50_000.0, 14.0 / 1000.0);
    // Strips 1, 5 and 7 and the first piece of course 9.
    for [length, width] in [[12_075.0, 300.0], [14_525.0, 450.0], [1275.0, 350.0], [5875.0, 480.0]] {
        let drawn =
            |s: &&[f64; 2]| (s[0] - length * along).abs() < 1e-6 && (s[1] - width * across).abs() < 1e-6;
        assert!(sizes.iter().any(|s| drawn(&s)), "{length} x {width} is not among {sizes:?}");
    }
}

#[test]
fn the_limits_stand_beside_the_rolls() {
    let layout = canopy::slit_layout();
    let sentence = limit_sentence(&layout).expect("rolls are opened");
    for part in [
        "Rolls for the field: 4, never fewer than 3 for these pieces.",
        "The least cut length of any direction and start fills 3.",
        "The area of the field alone fills 2.",
        // 7 + 2 + 4 + 42 m2 of 150 m2.
        "36.7 %",
    ] {
        assert!(sentence.contains(part), "{sentence}");
    }
    let rows = ordered_rows(&canopy::slit_plan(), &layout);
    let figure = |name: &str| rows.iter().find(|r| r.name == name).map(|r| r.figure.as_str());
    assert_eq!(figure("Rolls 1000 x 50000"), Some("2"));
    assert_eq!(figure("Rolls 1000 x 20000"), Some("2"));
    assert_eq!((figure("Limit by area"), figure("Limit by cut length")), (Some("2"), Some("3")));
    assert_eq!(figure("Rolls for upstand strips"), Some("1"));
    // What an older layout did not know of is not shown as nought.
    let rows = ordered_rows(&canopy::plan(), &canopy::layout());
    assert!(rows.iter().all(|r| !r.name.starts_with("Limit") && !r.name.contains("strip")));
}

#[test]
fn runs_laid_on_by_the_engine_are_marked() {
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-data/05-courtyard.json");
    let bytes = std::fs::read(file).expect("a demo plan can be read");
    let mut plan = baylap_core::plan::file::read(&bytes).expect("a demo plan is valid");
    plan.products.laying = baylap_core::plan::Laying::RunOn;
    let layout = baylap_core::lay(&plan);
    let marked = run_ons(&layout);
    assert!(!marked.is_empty(), "where rolls are laid to their ends, some runs go on");
    for (number, roll) in marked {
        let piece = &layout.pieces[number as usize - 1];
        let before = layout.rolls[roll as usize - 1].pieces.iter().map(|&n| &layout.pieces[n as usize - 1]);
        let last = before.max_by_key(|p| p.roll_from).expect("a roll has pieces");
        assert_eq!((last.zone, last.course, last.to - last.lap_to), (piece.zone, piece.course, piece.from));
        assert_eq!(last.roll_from + last.length, layout.rolls[roll as usize - 1].length);
    }
}

#[test]
fn figures_of_cuts_near_the_end_of_a_roll_stay_inside() {
    // A cut 1 mm before the end of the longest roll: "49999" stood half beyond the bar and touched the border.
    let mut layout = canopy::layout();
    let piece = &mut layout.pieces[0];
    (piece.length, piece.to) = (49_999, piece.from + 49_999);
    let number = piece.number;
    layout.rolls.truncate(1);
    layout.rolls[0].pieces = vec![number];
    (layout.rolls[0].rest, layout.rolls[0].kept) = (1, false);
    layout.pieces.iter_mut().skip(1).for_each(|p| p.roll = 0);
    for paper in [Paper::A4, Paper::A3] {
        let pages = cut_pages(&layout, paper);
        let body = baylap_sheets::title::body(paper);
        let least = body.hi[0] - 5.0 * paper.step() + 1e-6;
        let found: Vec<f64> = pages
            .iter()
            .flat_map(Page::words)
            .filter(|w| w.text == "49999")
            .map(|w| w.at[0] + w.width())
            .collect();
        assert!(!found.is_empty() && found.iter().all(|right| *right <= least), "{found:?} against {least}");
    }
}
