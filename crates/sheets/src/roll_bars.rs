//! The rolls drawn to scale, each a bar with its cuts.
//!
//! In: plan, layout, the cuts. Out: bars on the pages of a flow. Length and width of all rolls are to one scale along and
//! one across, the longest roll as long as the page is wide. What is slit lies side by side across its bar. Scrap is
//! hatched; nothing depends on a colour. A number that finds no room in its cut stands in the tables.

use crate::figures::mm;
use crate::list::Flow;
use crate::page::{Align, At, Frame, Page};
use crate::scene::{Dash, Height, Width};
use crate::table::{Cut, CutRow, cut_rows};
use crate::text;
use baylap_core::Plan;
use baylap_core::layout::{Layout, Roll};
use baylap_core::plan::Mm;

/// Height of the widest roll at A4, mm: with whole cuts only, and with something slit, so that a number fits in a strip.
const PLAIN: f64 = 5.2;
const SLIT: f64 = 14.0;

/// Draws all rolls.
pub fn draw(flow: &mut Flow, plan: &Plan, layout: &Layout) {
    let rows = cut_rows(layout);
    let most = |of: fn(&Roll) -> Mm| layout.rolls.iter().map(of).max().unwrap_or(1).max(1);
    let (longest, widest) = (most(|r| r.length), most(|r| r.width));
    let mut rest = rows.as_slice();
    for roll in &layout.rolls {
        let (own, after) = rest.split_at(rest.iter().take_while(|r| r.roll == roll.number).count());
        rest = after;
        bar(flow, &head(plan, roll, own), roll, own, [longest, widest]);
    }
}

/// Whether a cut lies beside others, or could.
pub const fn is_slit(row: &CutRow) -> bool {
    row.width < row.roll_width
}

fn head(plan: &Plan, roll: &Roll, rows: &[CutRow]) -> String {
    let name = plan.products.rolls.get(roll.kind as usize).map_or("", |kind| kind.name.as_str());
    let name = if name.is_empty() { String::new() } else { format!(" {name}") };
    let only = if roll.pieces.is_empty() && !roll.strips.is_empty() { " for strips only," } else { "" };
    let rest = if roll.kept { "keep the rest:" } else { "scrap:" };
    let mut head =
        format!("Roll {}{name}: {} x {},{only} {rest} {}", roll.number, roll.width, roll.length, roll.rest);
    for row in rows {
        if let Cut::Piece { piece, run_on: Some(from), .. } = row.cut {
            head.push_str(&format!("; piece {piece} runs on from roll {from}"));
        }
    }
    head
}

#[allow(clippy::cast_precision_loss)]
fn bar(flow: &mut Flow, head: &str, roll: &Roll, rows: &[CutRow], [longest, widest]: [Mm; 2]) {
    let slit = rows.iter().any(is_slit);
    let full = if slit { SLIT } else { PLAIN };
    let tall = (full * roll.width as f64 / widest as f64).max(3.0);
    let top = flow.take(15.8 + tall);
    let frame = flow.frame();
    let page = flow.page();
    let step = page.paper.step();
    let head = text::fitted(head, frame.width(), page.paper.height(Height::Small), true);
    page.bold(Height::Small, Align::Left, [frame.lo[0], top - 4.0 * step], &head);
    let hi = top - 10.0 * step;
    let lo = hi - tall * step;
    let x = |along: Mm| frame.lo[0] + along as f64 / longest as f64 * frame.width();
    let y = |across: Mm| hi - across as f64 / roll.width.max(1) as f64 * (hi - lo);
    let place =
        |row: &CutRow| Frame { lo: [x(row.from), y(row.across + row.width)], hi: [x(row.to), y(row.across)] };
    let outline = Frame { lo: [x(0), lo], hi: [x(roll.length), hi] };
    let end = x(roll.length - roll.rest);
    if slit {
        page.lines(
            Width::Hatch,
            Dash::Solid,
            slanted(&Frame { lo: outline.lo, hi: [end, hi] }, 2.2 * step),
            false,
        );
        rows.iter().for_each(|row| page.fill(&place(row).corners(), false));
        page.line(Width::Medium, &[[end, lo], [end, hi]]);
    }
    let mut labels = Row::new(&frame);
    for row in rows {
        if is_slit(row) {
            page.frame(Width::Medium, &place(row));
            inside(page, &place(row), &label(row));
        } else {
            page.line(Width::Medium, &[[x(row.to), lo], [x(row.to), hi]]);
            let middle = f64::midpoint(x(row.from), x(row.to));
            labels.put(page, middle, hi + 1.4 * step, &label(row), true);
        }
    }
    let mut ends: Vec<Mm> = rows.iter().map(|row| row.to).collect();
    ends.sort_unstable();
    ends.dedup();
    let mut figures = Row::new(&frame);
    // A cut at the very end of the roll says nothing that the head does not.
    ends.retain(|&at| at < roll.length);
    ends.iter().for_each(|&at| figures.put(page, x(at), lo - 4.0 * step, &mm(at), false));
    if !roll.kept && roll.rest > 0 {
        let rest = Frame { lo: [end, lo], hi: outline.hi };
        page.lines(Width::Hatch, Dash::Solid, slanted(&rest, 2.2 * step), false);
    }
    page.frame(Width::Bold, &outline);
}

/// Number of a piece; that of a strip has an S before it.
pub fn label(row: &CutRow) -> String {
    match row.cut {
        Cut::Piece { piece, .. } => piece.to_string(),
        Cut::Strip { strip } => format!("S{strip}"),
    }
}

/// A number in the middle of its cut, where it has room.
fn inside(page: &mut Page, cut: &Frame, words: &str) {
    let height = page.paper.height(Height::Small);
    let air = 0.4 * page.paper.step();
    if text::width(words, height, true) + 2.0 * air <= cut.width() && height + 2.0 * air <= cut.height() {
        let middle = f64::midpoint(cut.lo[1], cut.hi[1]) - height / 2.0;
        page.bold(Height::Small, Align::Middle, [f64::midpoint(cut.lo[0], cut.hi[0]), middle], words);
    }
}

/// Texts on one line, left to right: one that would touch the last is left out.
struct Row {
    last: f64,
    /// No text starts before the first or ends after the second: at the end of a roll it would run into the border.
    room: [f64; 2],
}

impl Row {
    fn new(frame: &Frame) -> Self {
        Self { last: f64::MIN, room: [frame.lo[0], frame.hi[0]] }
    }

    fn put(&mut self, page: &mut Page, x: f64, y: f64, words: &str, bold: bool) {
        let height = page.paper.height(Height::Small);
        let half = text::width(words, height, bold) / 2.0;
        let x = x.min(self.room[1] - half).max(self.room[0] + half);
        if x - half < self.last + 1.0 {
            return;
        }
        self.last = x + half;
        if bold {
            page.bold(Height::Small, Align::Middle, [x, y], words);
        } else {
            page.text(Height::Small, Align::Middle, [x, y], words);
        }
    }
}

/// Slanted hatch lines in a rectangle.
pub fn slanted(frame: &Frame, gap: f64) -> Vec<Vec<At>> {
    let tall = frame.height();
    let mut lines = Vec::new();
    let mut start = frame.lo[0] - tall + gap;
    while start < frame.hi[0] {
        let (from, to) = (start.max(frame.lo[0]), (start + tall).min(frame.hi[0]));
        if to > from {
            lines.push(vec![[from, frame.lo[1] + from - start], [to, frame.lo[1] + to - start]]);
        }
        start += gap;
    }
    lines
}
