//! The sheets: legible, complete, true to scale, and the same bytes every time.

use crate::canopy;
use baylap_core::{Layout, Plan};
use baylap_sheets::label::Taken;
use baylap_sheets::page::{Ink, Page, Words};
use baylap_sheets::style::SCALES;
use baylap_sheets::{Paper, SheetOptions, cut_list_csv, days_pages, setting_out_pages, setting_out_pdf};

const BOTH: [Paper; 2] = [Paper::A4, Paper::A3];

fn pages(paper: Paper) -> Vec<Page> {
    setting_out_pages(&canopy::plan(), &canopy::layout(), &SheetOptions { paper })
}

/// The demo plans, laid by the engine; two of them on both papers would only cost time.
fn demos() -> Vec<(String, Vec<Page>)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-data");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("demo-data is there")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.file_name().is_some_and(|n| n.to_string_lossy().starts_with('0')))
        .collect();
    files.sort();
    assert!(files.len() >= 4, "at least four demo plans");
    let mut made = Vec::new();
    for (path, paper) in files.iter().zip(BOTH.iter().cycle()) {
        let bytes = std::fs::read(path).expect("a demo plan can be read");
        let plan = baylap_core::plan::file::read(&bytes).expect("a demo plan is valid");
        // Strips too, so that their sheets are among those looked at.
        let layout = baylap_core::lay(&with_strips(plan.clone()));
        let options = SheetOptions { paper: *paper };
        let mut pages = setting_out_pages(&plan, &layout, &options);
        let days = days_pages(&plan, &layout, &options);
        assert!(!days.is_empty(), "every demo plan has days");
        pages.extend(days);
        made.push((path.display().to_string(), pages));
    }
    made
}

fn with_strips(mut plan: Plan) -> Plan {
    plan.products.upstand_strips = true;
    plan
}

fn all_words(pages: &[Page]) -> Vec<&Words> {
    pages.iter().flat_map(Page::words).collect()
}

#[test]
fn no_text_is_lower_than_two_and_a_half_millimetres() {
    // ISO 3098 series, smallest printed text 2.5 mm (trade.md, section 6); 3.5 mm on A3 so that a copy at A4 keeps 2.47.
    for (paper, least) in [(Paper::A4, 2.5), (Paper::A3, 3.5)] {
        for words in all_words(&pages(paper)) {
            assert!(words.height >= least - 1e-9, "{paper:?}: {} is {}", words.text, words.height);
        }
    }
}

#[test]
fn no_line_is_thinner_than_eighteen_hundredths() {
    for page in BOTH.iter().flat_map(|paper| pages(*paper)) {
        for ink in &page.ink {
            if let Ink::Lines { stroke, .. } | Ink::Circle { stroke, .. } = ink {
                assert!(stroke.width >= 0.18, "{}", page.title);
            }
        }
    }
}

#[test]
fn the_sheets_of_every_demo_plan_are_legible() {
    // The same three rules as above, on real layouts.
    for (name, pages) in demos() {
        let mut checked = 0;
        for page in &pages {
            legible(page, &name);
            checked += page.words().count();
        }
        assert!(checked > 100, "{name} has only {checked} texts");
    }
}

#[track_caller]
pub(crate) fn legible(page: &Page, name: &str) {
    let boxes: Vec<(Taken, &str)> = page.words().map(|w| (box_of(w), w.text.as_str())).collect();
    let [width, height] = page.paper.size();
    assert!(page.words().all(|w| w.height >= 2.5), "{name}, {}", page.title);
    for (i, (one, text)) in boxes.iter().enumerate() {
        let inside = one.corners().iter().all(|[x, y]| *x > 0.0 && *y > 0.0 && *x < width && *y < height);
        assert!(inside, "{text} leaves {name}, {}", page.title);
        let other = boxes[i + 1..].iter().find(|(other, _)| one.meets(other));
        assert!(other.is_none(), "{text:?} lies on {other:?} in {name}, {}", page.title);
    }
}

#[test]
fn no_text_lies_on_another_or_over_the_edge() {
    for page in BOTH.iter().flat_map(|paper| pages(*paper)) {
        legible(&page, "canopy");
    }
    for paper in BOTH {
        let (plan, layout) = (canopy::slit_plan(), canopy::slit_layout());
        for page in setting_out_pages(&plan, &layout, &SheetOptions { paper }) {
            legible(&page, "canopy, slit");
        }
    }
}

fn box_of(words: &Words) -> Taken {
    let [cos, sin] = baylap_sheets::clip::direction(words.turn_mdeg);
    let half = [words.width() / 2.0, words.height / 2.0];
    let at = [words.at[0] + half[0] * cos - half[1] * sin, words.at[1] + half[0] * sin + half[1] * cos];
    // A hair less, so that figures set edge to edge do not count as overlapping.
    Taken { at, along: [cos, sin], half: half.map(|h| h - 0.05) }
}

#[test]
fn every_scale_is_a_standard_one_and_is_printed() {
    for page in BOTH.iter().flat_map(|paper| pages(*paper)) {
        if let Some(scale) = page.scale {
            assert!(SCALES.contains(&scale));
            let printed = format!("1:{scale} at {}", page.paper.name());
            assert!(page.words().any(|w| w.text == printed), "{printed}");
        }
    }
}

#[test]
fn every_piece_bay_and_finding_is_in_the_lists() {
    let (plan, layout) = (canopy::plan(), canopy::layout());
    let pages = setting_out_pages(&plan, &layout, &SheetOptions { paper: Paper::A4 });
    let of = |title: &str| {
        pages
            .iter()
            .filter(|p| p.title == title)
            .flat_map(Page::words)
            .map(|w| w.text.clone())
            .collect::<Vec<_>>()
    };
    let table = of("Piece table");
    for piece in &layout.pieces {
        assert!(table.contains(&piece.number.to_string()), "piece {}", piece.number);
        assert!(table.contains(&piece.length.to_string()), "length of piece {}", piece.number);
    }
    let bays = of("Zones and bays");
    // sqrt(12000^2 + 2825^2) = 12328.04; bay 1 runs from the parapet to the first edge of course 4.
    assert!(bays.contains(&"12328".to_owned()) && bays.contains(&"12000 x 2825".to_owned()), "{bays:?}");
    let findings = of("Findings").join(" ");
    assert!(findings.contains("clear zone meets a bay edge"), "{findings}");
}

#[test]
fn offsets_run_from_the_datum() {
    // First edges at 50 + 925 k from the inside face of the parapet, which is the datum.
    let pages = pages(Paper::A3);
    let plan: Vec<&str> = pages[0].words().map(|w| w.text.as_str()).collect();
    for k in 0..9 {
        let figure = (50 + 925 * k).to_string();
        assert!(plan.contains(&figure.as_str()), "{figure} is not among {plan:?}");
    }
    assert!(plan.iter().any(|t| t.contains("from the datum")), "{plan:?}");
}

#[test]
fn the_check_bar_is_a_hundred_millimetres() {
    for paper in BOTH {
        let page = &pages(paper)[0];
        let bars = page.ink.iter().filter_map(|ink| match ink {
            Ink::Lines { lines, closed: true, .. } => lines.first(),
            _ => None,
        });
        let hundred = bars.filter(|l| l.len() == 4 && (l[1][0] - l[0][0] - 100.0).abs() < 1e-9).count();
        assert_eq!(hundred, 1, "{paper:?}");
    }
}

#[test]
fn the_roof_is_drawn_true_to_scale() {
    for paper in BOTH {
        let page = &pages(paper)[0];
        let scale = page.scale.expect("a plan has a scale");
        #[allow(clippy::cast_precision_loss)]
        let want = 12_000.0 / scale as f64;
        let is_long_edge =
            |l: &Vec<[f64; 2]>| l.len() == 2 && ((l[1][0] - l[0][0]).abs() - want).abs() < 1e-6;
        let found = page.ink.iter().any(|ink| match ink {
            Ink::Lines { lines, .. } => lines.iter().any(is_long_edge),
            _ => false,
        });
        assert!(found, "{paper:?}");
    }
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    for paper in BOTH {
        let make = || setting_out_pdf(&canopy::plan(), &canopy::layout(), &SheetOptions { paper });
        assert_eq!(make(), make());
    }
}

#[test]
fn a_job_with_nothing_in_it_still_prints() {
    let pdf = setting_out_pdf(&Plan::default(), &Layout::default(), &SheetOptions::default());
    assert!(pdf.starts_with(b"%PDF-1.7"));
}

#[test]
fn cuts_and_rest_of_a_roll_add_up_to_it() {
    // Law 5 of the method: pieces, offcuts and scrap are the rolls opened, to the millimetre.
    let text = cut_list_csv(&canopy::layout());
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let mut sums = std::collections::BTreeMap::new();
    for line in reader.records() {
        let line = line.expect("every line has the same cells");
        let length: i64 = line[10].parse().expect("a length");
        *sums.entry(line[1].to_owned()).or_insert(0) += length;
    }
    assert_eq!(sums.len(), 3);
    assert!(sums.values().all(|sum| *sum == 50_000), "{sums:?}");
}
