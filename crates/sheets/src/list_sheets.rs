//! The sheets of lists: details first, quantities, bays and zones, pieces, cuts by roll, findings, cautions, sign-off.
//!
//! In: plan, layout, paper. Out: pages without border or title block. Every piece, bay, roll and finding appears;
//! measured and ordered quantities stand apart and are never added up.

use crate::caution;
use crate::figures::{degrees, square_metres};
use crate::key::{key_line, key_sign};
use crate::list::Flow;
use crate::page::{Align, Frame, Page};
use crate::reference::{References, sentence};
use crate::roll_bars;
use crate::scene::{Height, Role, Sign, Width};
use crate::style::Paper;
use crate::table::{self, BayRow};
use baylap_core::Plan;
use baylap_core::layout::Layout;

/// Least height of a row of a table at A4, mm.
const ROW: f64 = 5.8;

/// What is done first, and all quantities.
pub fn detail_pages(plan: &Plan, layout: &Layout, paper: Paper) -> Vec<Page> {
    let mut flow = Flow::new(paper, "Details and quantities", 2);
    flow.head("To be done before the main deck", 30.0);
    flow.table(&table::quantity_grid(&table::detail_rows(layout)), ROW);
    flow.head("Measured quantities (for payment)", 30.0);
    flow.table(&table::quantity_grid(&table::measured_rows(layout)), ROW);
    flow.head("Ordered quantities (for the merchant)", 40.0);
    flow.paragraph(
        "With laps, cuts, whole rolls, blocks and tins. Measured and ordered figures answer different questions: do not add \
         one to the other.",
    );
    flow.table(&table::quantity_grid(&table::ordered_rows(plan, layout)), ROW);
    if !plan.job.notes.trim().is_empty() {
        flow.head("Notes of the job", 15.0);
        flow.paragraph(&plan.job.notes);
    }
    flow.pages
}

/// Zones with what they are measured from, and bays in pouring order.
pub fn bay_pages(plan: &Plan, layout: &Layout, paper: Paper) -> Vec<Page> {
    let references = References::new(plan, layout);
    let mut flow = Flow::new(paper, "Zones and bays", 2);
    flow.head("Zones", 20.0);
    for zone in &layout.zones {
        flow.paragraph(&sentence(plan, zone, references.of(zone.number)));
        let courses = zone.courses.len();
        flow.paragraph(&format!(
            "Zone {}: {courses} courses, laying direction {}.",
            zone.number,
            degrees(zone.direction_mdeg)
        ));
    }
    flow.head("Bays, in the order they are poured", 25.0);
    flow.table(&table::bay_grid(&table::bay_rows(layout)), ROW);
    flow.pages
}

/// The piece table.
pub fn piece_pages(plan: &Plan, layout: &Layout, paper: Paper) -> Vec<Page> {
    let references = References::new(plan, layout);
    let mut flow = Flow::new(paper, "Piece table", 1);
    flow.table(&table::piece_grid(&table::piece_rows(layout, &references)), ROW);
    flow.paragraph(
        "Offset: running offset of the first edge. Start, stop: running chainages of the ends. Cut length x width is what \
         is cut from the roll; what lies round the edge of the field is trimmed in place. End laps: at start / at stop. \
         Side laps: with the course before / after. Run on: the roll before ended inside the run, and this piece laps on to \
         its last piece.",
    );
    flow.pages
}

/// The cut list: each roll drawn as a bar with its cuts, then what is slit, as tables.
pub fn cut_pages(plan: &Plan, layout: &Layout, paper: Paper) -> Vec<Page> {
    let mut flow = Flow::new(paper, "Cut list by roll", 1);
    flow.paragraph(
        "Each bar is one roll, free end on the left. Above it: piece numbers. Below it: where each cut ends, measured from \
         the free end, unless it ends with the roll. Hatched: scrap.",
    );
    let rows = table::cut_rows(layout);
    if rows.iter().any(roll_bars::is_slit) {
        flow.paragraph(
            "What is slit lies side by side across the roll, its number in it; S stands before the numbers of strips for \
             upstands. A number that found no room stands in the tables after the rolls.",
        );
    }
    if let Some(limit) = table::limit_sentence(layout) {
        flow.paragraph(&limit);
    }
    roll_bars::draw(&mut flow, plan, layout);
    let slit = table::slit_grid(&rows);
    if !slit.rows.is_empty() {
        flow.head("Pieces that are slit", 25.0);
        flow.table(&slit, ROW);
    }
    if !layout.strips.is_empty() {
        flow.head("Strips for upstands", 35.0);
        flow.paragraph(table::strip_places(plan));
        flow.table(&table::strip_grid(&table::strip_rows(plan, layout)), ROW);
    }
    flow.pages
}

/// Findings, errors first.
pub fn finding_pages(layout: &Layout, paper: Paper) -> Vec<Page> {
    let mut flow = Flow::new(paper, "Findings", 1);
    if layout.findings.is_empty() {
        flow.paragraph("The program found nothing to say about this plan. That is not an approval.");
    } else {
        flow.table(&table::finding_grid(layout), ROW);
    }
    flow.pages
}

/// Key to lines and signs, and all cautions.
pub fn caution_pages(paper: Paper) -> Vec<Page> {
    let mut flow = Flow::new(paper, "Cautions and key", 2);
    key(&mut flow);
    for (head, sentences) in caution::ALL {
        flow.head(head, 12.0);
        for sentence in sentences {
            flow.paragraph(sentence);
        }
    }
    flow.pages
}

/// Lines and signs as the plan draws them.
fn key(flow: &mut Flow) {
    const LINES: [(Role, &str); 12] = [
        (Role::Upstand, "Edge with upstand"),
        (Role::FreeEdge, "Free edge"),
        (Role::BayEdge, "Bay edge"),
        (Role::Joint, "Movement joint"),
        (Role::ZoneLine, "Zone line"),
        (Role::LevelChange, "Change of level"),
        (Role::CourseLine, "Course, piece"),
        (Role::SideLap, "Side lap"),
        (Role::EndLap, "End lap"),
        (Role::Collar, "Collar, clear zone"),
        (Role::LowLine, "Ridge, low line"),
        (Role::Void, "Opening"),
    ];
    const SIGNS: [(Sign, &str); 12] = [
        (Sign::Zero, "Zero of datum or zone"),
        (Sign::Gravity, "Outlet"),
        (Sign::Overflow, "Overflow"),
        (Sign::Chute, "Chute"),
        (Sign::Siphonic, "Siphonic outlet"),
        (Sign::Way, "Way on and off"),
        (Sign::Melter, "Melter"),
        (Sign::Fall, "Water runs this way"),
        (Sign::Spot, "Level"),
        (Sign::Error, "Finding: error"),
        (Sign::Warning, "Finding: warning"),
        (Sign::Note, "Finding: note"),
    ];
    flow.head("Key to lines and signs", 100.0);
    let columns = 2;
    for row in 0..6 {
        let (x, top, width) = key_row(flow, columns);
        for column in 0..columns {
            let (role, words) = LINES[row * columns + column];
            let left = x + f64::from(u32::try_from(column).unwrap_or(0)) * width;
            key_line(flow.page(), role, [left, top], words);
        }
    }
    for row in 0..6 {
        let (x, top, width) = key_row(flow, columns);
        for column in 0..columns {
            let (sign, words) = SIGNS[row * columns + column];
            let left = x + f64::from(u32::try_from(column).unwrap_or(0)) * width;
            key_sign(flow.page(), sign, [left, top], words);
        }
    }
    flow.take(2.0);
    flow.paragraph(
        "Beside an edge: its length, then h with the height of the upstand, or \"free\". In a bay: its number in a ring, \
         area, length x width, and both diagonals where it is a rectangle. Bold figures: piece numbers. In a piece: the \
         running chainages of its ends. A figure that found no room stands in the tables.",
    );
}

fn key_row(flow: &mut Flow, columns: usize) -> (f64, f64, f64) {
    let top = flow.take(7.4);
    let frame = flow.frame();
    (frame.lo[0], top, frame.width() / f64::from(u32::try_from(columns).unwrap_or(1)))
}

/// A line for each bay to be filled in by hand.
pub fn sign_off_pages(layout: &Layout, paper: Paper) -> Vec<Page> {
    let mut flow = Flow::new(paper, "Sign-off by bay", 1);
    flow.paragraph(
        "Bond test: each morning on the first bay of the day, and wherever the deck changes (common practice, no published \
         source). Thickness: at least as many readings as given, spread out and away from laps (one in 10 m² is published for \
         fluid-applied decks in general; the maker's data sheet goes first).",
    );
    sign_off_table(&mut flow, &table::bay_rows(layout));
    flow.pages
}

/// A line for each of some bays, to be filled in by hand.
pub(crate) fn sign_off_table(flow: &mut Flow, rows: &[BayRow]) {
    let columns = columns(flow);
    sign_off_heads(flow, &columns);
    for row in rows {
        if !flow.has(10.0) {
            let page = flow.pages.len();
            let top = flow.take(10.0);
            debug_assert!(flow.pages.len() > page && top > 0.0);
            sign_off_heads(flow, &columns);
        }
        let top = flow.take(10.0);
        let step = flow.page().paper.step();
        let cells = [
            row.bay.to_string(),
            square_metres(row.area),
            String::new(),
            format!("{} or more:", row.readings),
        ];
        sign_off_row(flow.page(), &columns, top, 10.0 * step, &cells);
    }
}

const SIGN_OFF: [(&str, f64); 8] = [
    ("Bay", 0.06),
    ("Area m²", 0.09),
    ("Bond test", 0.10),
    ("Thickness readings", 0.30),
    ("Reinforced", 0.10),
    ("Covered", 0.10),
    ("Date, time", 0.12),
    ("Name", 0.13),
];

fn columns(flow: &Flow) -> Vec<(f64, f64)> {
    let frame = flow.frame();
    let mut x = frame.lo[0];
    SIGN_OFF
        .iter()
        .map(|(_, share)| {
            let from = x;
            x += share * frame.width();
            (from, x)
        })
        .collect()
}

fn sign_off_heads(flow: &mut Flow, columns: &[(f64, f64)]) {
    let top = flow.take(6.4);
    let step = flow.page().paper.step();
    for ((name, _), (from, _)) in SIGN_OFF.iter().zip(columns) {
        flow.page().bold(Height::Small, Align::Left, [from + step, top - 4.2 * step], name);
    }
}

fn sign_off_row(page: &mut Page, columns: &[(f64, f64)], top: f64, tall: f64, cells: &[String]) {
    let step = page.paper.step();
    for (i, (from, to)) in columns.iter().enumerate() {
        page.frame(Width::Thin, &Frame { lo: [*from, top - tall], hi: [*to, top] });
        if let Some(words) = cells.get(i) {
            page.text(Height::Small, Align::Left, [from + step, top - tall / 2.0 - 1.2 * step], words);
        }
    }
}
