//! The day sheets: every bay and every piece on its day and on no other, and every figure of the layout's own.

use baylap_core::layout::days::Day;
use baylap_core::{Layout, Plan};
use baylap_sheets::page::Page;
use baylap_sheets::{Paper, SheetOptions, days_pages, days_pdf};

fn laid() -> (Plan, Layout) {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-data/02-l-shape.json");
    let plan = baylap_core::plan::file::read(&std::fs::read(path).expect("the demo plan can be read"))
        .expect("it is valid");
    let layout = baylap_core::lay(&plan);
    (plan, layout)
}

/// The texts of the pages of a day.
fn texts(pages: &[Page], day: &Day) -> Vec<String> {
    let title =
        day.date.map_or_else(|| format!("Day {}", day.number), |d| format!("Day {}, {d}", day.number));
    let own: Vec<&Page> = pages.iter().filter(|p| p.title == title).collect();
    assert!(
        !own.is_empty(),
        "{title} has a page among {:?}",
        pages.iter().map(|p| &p.title).collect::<Vec<_>>()
    );
    own.iter().flat_map(|p| p.words()).map(|w| w.text.clone()).collect()
}

#[test]
fn every_bay_and_piece_stands_on_its_day_and_on_no_other() {
    let (plan, layout) = laid();
    let days = layout.days.as_ref().expect("it has days");
    assert!(days.days.len() > 1, "several days");
    let pages = days_pages(&plan, &layout, &SheetOptions { paper: Paper::A4 });
    for day in &days.days {
        let texts = texts(&pages, day);
        let bays: Vec<u32> = day.turns.iter().map(|t| t.bay).collect();
        // A line to be filled in for each bay: its area with the readings asked for stands nowhere else.
        let lines = texts.iter().filter(|t| t.ends_with(" or more:")).count();
        assert_eq!(lines, bays.len(), "day {}", day.number);
        // A row of the piece table names its roll and where on it the cut starts; lengths are whole mm.
        let pieces: Vec<_> = layout.pieces.iter().filter(|p| bays.contains(&p.bay)).collect();
        for piece in &pieces {
            assert!(
                texts.contains(&piece.number.to_string()),
                "piece {} on day {}",
                piece.number,
                day.number
            );
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
