//! The day sheets: every bay and every piece on its day and on no other, and every figure of the layout's own.

use baylap_core::layout::days::Day;
use baylap_core::records::{ReadingPlace, reading_places};
use baylap_core::{Layout, Plan};
use baylap_sheets::page::{Page, Words};
use baylap_sheets::title::drawing;
use baylap_sheets::{Paper, SheetOptions, days_pages, days_pdf};
use std::collections::{BTreeMap, BTreeSet};

fn laid() -> (Plan, Layout) {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-data/02-l-shape.json");
    let plan = baylap_core::plan::file::read(&std::fs::read(path).expect("the demo plan can be read"))
        .expect("it is valid");
    let layout = baylap_core::lay(&plan);
    (plan, layout)
}

fn title(day: &Day) -> String {
    day.date.map_or_else(|| format!("Day {}", day.number), |d| format!("Day {}, {d}", day.number))
}

/// The pages of a title.
fn titled<'a>(pages: &'a [Page], title: &str) -> Vec<&'a Page> {
    let own: Vec<&Page> = pages.iter().filter(|p| p.title == title).collect();
    let all = || pages.iter().map(|p| &p.title).collect::<Vec<_>>();
    assert!(!own.is_empty(), "{title} has a page among {:?}", all());
    own
}

/// The texts of the pages of a day.
fn texts(pages: &[Page], day: &Day) -> Vec<String> {
    titled(pages, &title(day)).iter().flat_map(|p| p.words()).map(|w| w.text.clone()).collect()
}

/// What stands side by side on the pages of a day.
fn lines(pages: &[Page], day: &Day) -> Vec<Vec<String>> {
    let mut lines: BTreeMap<(usize, u64), Vec<String>> = BTreeMap::new();
    for (n, page) in titled(pages, &title(day)).into_iter().enumerate() {
        for word in page.words() {
            lines.entry((n, word.at[1].to_bits())).or_default().push(word.text.clone());
        }
    }
    lines.into_values().collect()
}

#[test]
fn every_bay_and_piece_stands_on_its_day_and_on_no_other() {
    let (plan, layout) = laid();
    let days = layout.days.as_ref().expect("it has days");
    assert!(days.days.len() > 1, "several days");
    let pages = days_pages(&plan, &layout, &SheetOptions { paper: Paper::A4 });
    for day in &days.days {
        let (texts, rows) = (texts(&pages, day), lines(&pages, day));
        let bays: Vec<u32> = day.turns.iter().map(|t| t.bay).collect();
        // A line to be filled in for each bay: its area with the readings asked for stands nowhere else.
        let lines = texts.iter().filter(|t| t.ends_with(" or more:")).count();
        assert_eq!(lines, bays.len(), "day {}", day.number);
        // A row of the piece table names its roll and where on it the cut starts; lengths are whole mm.
        let pieces: Vec<_> = layout.pieces.iter().filter(|p| bays.contains(&p.bay)).collect();
        for piece in &pieces {
            let cells = [piece.number, piece.bay, piece.zone, piece.course].map(|n| n.to_string());
            let length = piece.length.to_string();
            let row = |row: &&Vec<String>| row.starts_with(&cells) && row.contains(&length);
            assert!(rows.iter().any(|r| row(&r)), "piece {} on day {}", piece.number, day.number);
        }
        let kg = format!("{} kg", day.materials.membrane_kg);
        assert!(texts.contains(&kg), "{kg} on day {}", day.number);
        for turn in &day.turns {
            let hours = |m: u32| format!("{}:{:02}", m / 60, m % 60);
            let start = plan.programme.rates.day_start;
            let clock = |m: u32| {
                start.map_or_else(|| hours(m), |s| format!("{:02}:{:02}", (s + m) / 60 % 24, (s + m) % 60))
            };
            let times = format!("{} to {}", clock(turn.from), clock(turn.to));
            assert!(texts.contains(&times), "{times} on day {}", day.number);
        }
    }
    let turns: Vec<u32> = days.days.iter().flat_map(|d| d.turns.iter().map(|t| t.bay)).collect();
    assert_eq!(turns.len(), layout.bays.len(), "and so no bay stands on two days");
}

#[test]
fn without_days_there_is_no_sheet() {
    let (plan, mut layout) = laid();
    let options = SheetOptions { paper: Paper::A4 };
    let once = days_pdf(&plan, &layout, &options).expect("there are days");
    assert_eq!(
        days_pdf(&plan, &layout, &options).expect("there are days"),
        once,
        "the same bytes every time"
    );
    layout.days = None;
    assert!(days_pdf(&plan, &layout, &options).is_none());
}

/// Numbers on the plan of a page, bold or not, that are no larger than figures.
fn numbers(page: &Page, bold: bool) -> Vec<(u32, &Words)> {
    let (frame, least) = (drawing(page.paper), page.paper.step() * 2.6);
    let drawn = |w: &&Words| w.at[0] < frame.hi[0] && w.at[1] > frame.lo[1];
    let small = page.words().filter(drawn).filter(|w| w.bold == bold && w.height < least);
    small.filter_map(|w| Some((w.text.parse().ok()?, w))).collect()
}

/// Middles of two texts lie on paper as their places lie on the roof, by more or less than where each found room.
fn far(page: &Page, places: [&ReadingPlace; 2], words: [&Words; 2]) -> f64 {
    #[allow(clippy::cast_precision_loss)]
    let scale = page.scale.expect("a scale") as f64;
    let [a, b] = words.map(|w| [w.at[0] + w.width() / 2.0, w.at[1] + w.height / 2.0]);
    let apart = places[0].at.distance(places[1].at) / scale;
    let (dx, dy) = (a[0] - b[0], a[1] - b[1]);
    ((dx * dx + dy * dy).sqrt() - apart).abs()
}

#[test]
fn every_day_has_a_plan_of_its_pieces_with_the_places_to_read_at() {
    let (plan, layout) = laid();
    let days = layout.days.as_ref().expect("it has days");
    let places = reading_places(&plan, &layout);
    for paper in [Paper::A4, Paper::A3] {
        let pages = days_pages(&plan, &layout, &SheetOptions { paper });
        for day in &days.days {
            let [page] = titled(&pages, &format!("{}, plan", title(day)))[..] else { panic!("one page") };
            let bays: BTreeSet<u32> = day.turns.iter().map(|t| t.bay).collect();
            let own: BTreeSet<u32> =
                layout.pieces.iter().filter(|p| bays.contains(&p.bay)).map(|p| p.number).collect();
            let drawn: BTreeSet<u32> = numbers(page, true).into_iter().map(|(n, _)| n).collect();
            // A figure that finds no room stands in the tables; at A4 many do not.
            let enough =
                if paper == Paper::A4 { !drawn.is_empty() } else { 4 * drawn.len() >= 3 * own.len() };
            let most = drawn.is_subset(&own) && enough;
            assert!(most, "{drawn:?} of {own:?}, the pieces of day {} and no others, {paper:?}", day.number);
            let due: Vec<&ReadingPlace> = places.iter().filter(|p| bays.contains(&p.bay)).collect();
            let mut asked: Vec<u32> = due.iter().map(|p| p.number).collect();
            let written = numbers(page, false);
            let mut said: Vec<u32> = written.iter().map(|(n, _)| *n).collect();
            asked.sort_unstable();
            said.sort_unstable();
            assert_eq!(said, asked, "places of day {}, {paper:?}", day.number);
            // Numbers are written in the order of the places; each stands within 8 mm of its own at A4.
            for pair in due.iter().zip(&written).collect::<Vec<_>>().windows(2) {
                let off = far(page, [pair[0].0, pair[1].0], [pair[0].1.1, pair[1].1.1]);
                assert!(off <= 16.0 * paper.step(), "{off} mm off on day {}", day.number);
            }
            // At A4 its word may find no room; its sign stands in the key.
            let bond = page.words().any(|w| w.text == "bond");
            assert!(bond || paper == Paper::A4, "the place of the bond test of day {}", day.number);
            let large = page.paper.step() * 4.5;
            for bay in &bays {
                let ringed = page.words().filter(|w| w.height > large && w.text == bay.to_string());
                assert_eq!(ringed.count(), 1, "the number of bay {bay} on its day's plan, {paper:?}");
            }
            let rows = lines(&pages, day);
            for bay in bays {
                let count = due.iter().filter(|p| p.bay == bay).count();
                let boxes: Vec<String> = (1..=count).map(|n| n.to_string()).collect();
                assert!(boxes.len() <= 14 && rows.contains(&boxes), "boxes of bay {bay}: {boxes:?}");
            }
        }
    }
}
