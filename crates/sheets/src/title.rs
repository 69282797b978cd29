//! The frame of a sheet: border, title block, bars, north, and what room is left inside.
//!
//! In: job data as the user wrote it, the page with its title and scale, its number. Out: ink, and the frames a sheet
//! draws into. Every sheet says what it is, its revision and which of how many it is. The program has no clock: the
//! date is the user's.

use crate::figures;
use crate::page::{Align, At, Frame, Ink, Page, Words};
use crate::scene::{Dash, Height, Width};
use crate::style::{FILING, MARGIN, Paper};
use crate::text;
use baylap_core::Plan;
use baylap_core::layout;

/// Height of the title block at A4, mm.
const BLOCK: f64 = 21.0;

/// Height of the row of bars at A4, mm.
const BARS: f64 = 13.0;

/// Width of the side column at A4, mm.
const COLUMN: f64 = 62.0;

/// Room above the title block: all of it.
pub fn body(paper: Paper) -> Frame {
    let border = border(paper);
    Frame { lo: [border.lo[0], border.lo[1] + BLOCK * paper.step()], hi: border.hi }
}

/// Room for a plan: the body less the bars below and the column on the right.
pub fn drawing(paper: Paper) -> Frame {
    let body = body(paper);
    let step = paper.step();
    Frame { lo: [body.lo[0], body.lo[1] + BARS * step], hi: [body.hi[0] - COLUMN * step, body.hi[1]] }
}

/// The column beside a plan.
pub fn column(paper: Paper) -> Frame {
    let body = body(paper);
    Frame { lo: [body.hi[0] - COLUMN * paper.step(), body.lo[1]], hi: body.hi }
}

/// The border of a sheet.
pub fn border(paper: Paper) -> Frame {
    let [width, height] = paper.size();
    // Room under the border for one line of small print.
    let below = MARGIN + 1.5 * paper.step();
    Frame { lo: [FILING, below], hi: [width - MARGIN, height - MARGIN] }
}

/// Draws border and title block; `number` of `count` sheets.
pub fn block(page: &mut Page, plan: &Plan, number: usize, count: usize, exact: bool) {
    let paper = page.paper;
    let (step, border) = (paper.step(), border(paper));
    page.frame(Width::Heavy, &border);
    let top = border.lo[1] + BLOCK * step;
    page.line(Width::Bold, &[[border.lo[0], top], [border.hi[0], top]]);
    let job = &plan.job;
    let scale = page.scale.map_or_else(|| "no scale".to_owned(), |s| format!("1:{s} at {}", paper.name()));
    let title = page.title.clone();
    let cells: [(f64, [(&str, &str); 2]); 5] = [
        (0.30, [("Job", &job.name), ("Part", &job.part)]),
        (0.20, [("Number", &job.number), ("Client", &job.client)]),
        (0.17, [("Drawn by", &job.drawn_by), ("Date", &job.date)]),
        (0.10, [("Revision", &job.revision), ("Sheet", &format!("{number} of {count}"))]),
        (0.23, [("Title", &title), ("Scale", &scale)]),
    ];
    let mut x = border.lo[0];
    for (share, rows) in cells {
        let width = border.width() * share;
        for (row, y) in rows.iter().zip([top, top - BLOCK / 2.0 * step]) {
            cell(page, [x, y], width, *row);
        }
        x += width;
        if x < border.hi[0] - 1.0 {
            page.line(Width::Thin, &[[x, border.lo[1]], [x, top]]);
        }
    }
    small_print(page, &border, exact);
}

fn cell(page: &mut Page, [x, top]: At, width: f64, (label, value): (&str, &str)) {
    let step = page.paper.step();
    let (room, x) = (width - 3.0 * step, x + 1.5 * step);
    page.text(Height::Small, Align::Left, [x, top - 3.8 * step], label);
    let height = page.paper.height(Height::Medium);
    let small = page.paper.height(Height::Small);
    let y = top - 9.2 * step;
    // A value too long for the larger type is set in the smaller before it is cut.
    if text::width(value, height, true) <= room {
        page.bold(Height::Medium, Align::Left, [x, y], value);
    } else {
        page.bold(Height::Small, Align::Left, [x, y], &text::fitted(value, room, small, true));
    }
}

fn small_print(page: &mut Page, border: &Frame, exact: bool) {
    let step = page.paper.step();
    let y = border.lo[1] - 4.6 * step;
    let made = format!("{}, layout format {}", crate::PROGRAM, layout::VERSION);
    page.text(Height::Small, Align::Right, [border.hi[0], y], &made);
    let note = if exact { "" } else { " Letters this typeface lacks are printed plain or as \"?\"." };
    let height = page.paper.height(Height::Small);
    let room = border.width() - text::width(&made, height, false) - 4.0 * step;
    let words = text::fitted(&format!("{}{note}", figures::UNITS), room, height, false);
    page.text(Height::Small, Align::Left, [border.lo[0], y], &words);
}

/// Draws the 100 mm check bar and the scale bar below a plan.
pub fn bars(page: &mut Page, scale: i64) {
    let paper = page.paper;
    let (step, drawing) = (paper.step(), drawing(paper));
    page.line(Width::Thin, &[drawing.lo, [drawing.hi[0], drawing.lo[1]]]);
    let y = body(paper).lo[1] + 3.0 * step;
    let label_y = y + 3.4 * step;
    let x = drawing.lo[0] + 4.0 * step;
    check_bar(page, [x, y]);
    page.text(Height::Small, Align::Left, [x, label_y], "Check bar: 100 mm on paper");
    let from = x + 100.0 + 14.0 * step;
    let room = drawing.hi[0] - from - 12.0 * step;
    if let Some((parts, each)) = scale_bar_parts(scale, room) {
        let length = scale_bar(page, [from, y], (parts, each), scale);
        let words = format!("1:{scale} at {}, metres", paper.name());
        page.text(Height::Small, Align::Left, [from, label_y + 3.4 * step], &words);
        let _ = length;
    }
}

/// A bar that is 100 mm long on paper when the sheet is printed true.
fn check_bar(page: &mut Page, [x, y]: At) {
    let tall = 2.0 * page.paper.step();
    let bar = Frame { lo: [x, y], hi: [x + 100.0, y + tall] };
    for tenth in (0..10).step_by(2) {
        let from = x + f64::from(tenth) * 10.0;
        page.fill(&Frame { lo: [from, y], hi: [from + 10.0, y + tall] }.corners(), true);
    }
    page.frame(Width::Thin, &bar);
}

/// How many parts of how many mm of the plan the scale bar has: round lengths, five parts or two.
#[allow(clippy::cast_precision_loss)]
fn scale_bar_parts(scale: i64, room: f64) -> Option<(i64, i64)> {
    let decades = (2..7).rev().map(|e| 10_i64.pow(e));
    let lengths = decades.flat_map(|ten| [5 * ten, 2 * ten, ten]);
    let fits = |parts: i64, each: i64| (parts * each) as f64 / scale as f64 <= room.min(80.0);
    lengths.map(|each| (5, each)).find(|(parts, each)| fits(*parts, *each))
}

#[allow(clippy::cast_precision_loss)]
fn scale_bar(page: &mut Page, [x, y]: At, (parts, each): (i64, i64), scale: i64) -> f64 {
    let tall = 2.0 * page.paper.step();
    let part = each as f64 / scale as f64;
    let end = x + part * parts as f64;
    for i in (0..parts).step_by(2) {
        let from = x + part * i as f64;
        page.fill(&Frame { lo: [from, y], hi: [from + part, y + tall] }.corners(), true);
    }
    page.frame(Width::Thin, &Frame { lo: [x, y], hi: [end, y + tall] });
    for (i, align) in [(0, Align::Middle), (1, Align::Middle), (parts, Align::Middle)] {
        let words = figures::metres(each * i);
        let words = words.trim_end_matches('0').trim_end_matches('.').to_owned();
        page.text(Height::Small, align, [x + part * i as f64, y + 3.4 * page.paper.step()], &words);
    }
    end - x
}

/// Draws a north sign with its middle at a place, or says that north is not set.
pub fn north(page: &mut Page, at: At, north_mdeg: Option<i32>) {
    let step = page.paper.step();
    let Some(turn) = north_mdeg else {
        page.text(Height::Small, Align::Middle, at, "North not set");
        return;
    };
    let [cos, sin] = crate::clip::direction(turn);
    let place = |along: f64, left: f64| {
        let (a, l) = (along * step, left * step);
        [at[0] + a * cos - l * sin, at[1] + a * sin + l * cos]
    };
    page.lines(Width::Medium, Dash::Solid, vec![vec![place(-6.0, 0.0), place(6.0, 0.0)]], false);
    page.fill(&[place(6.5, 0.0), place(1.0, 2.2), place(2.5, 0.0)], true);
    page.lines(
        Width::Thin,
        Dash::Solid,
        vec![vec![place(6.5, 0.0), place(1.0, -2.2), place(2.5, 0.0)]],
        true,
    );
    let height = page.paper.height(Height::Medium);
    let [x, y] = place(9.2, 0.0);
    let width = text::width("N", height, true);
    page.ink.push(Ink::Text(Words {
        at: [x - width / 2.0, y - height / 2.0],
        turn_mdeg: 0,
        height,
        bold: true,
        text: "N".to_owned(),
    }));
}
