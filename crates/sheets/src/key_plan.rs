//! The small plan without scale that shows which part of the roof a sheet is about.
//!
//! In: a column with room, the plan, the windows of a set of sheets and which of them this sheet shows. Out: ink in the
//! column: the decks, every window, the own one hatched.

use crate::dimension::Window;
use crate::page::{At, Frame};
use crate::roll_bars::slanted;
use crate::scene::{Dash, Width};
use crate::side::Side;
use baylap_core::Plan;
use baylap_core::geom::{Pt, ring};

/// Height of it at A4, mm.
const TALL: f64 = 40.0;

/// Draws it under the head of its own.
pub fn key_plan(side: &mut Side<'_>, plan: &Plan, windows: &[Window], own: usize) {
    side.head("Key plan (no scale)");
    let step = side.page.paper.step();
    let (lo, hi) = deck_bounds(plan);
    let frame = side.cut(TALL * step);
    #[allow(clippy::cast_precision_loss)]
    let scale = ((hi.x - lo.x) as f64 / frame.width()).max((hi.y - lo.y) as f64 / frame.height()).max(1.0);
    let middle = middle_of(lo, hi);
    let centre = [f64::midpoint(frame.lo[0], frame.hi[0]), f64::midpoint(frame.lo[1], frame.hi[1])];
    #[allow(clippy::cast_precision_loss)]
    let at =
        |p: Pt| [centre[0] + (p.x as f64 - middle[0]) / scale, centre[1] + (p.y as f64 - middle[1]) / scale];
    let inside = |p: At| [p[0].clamp(frame.lo[0], frame.hi[0]), p[1].clamp(frame.lo[1], frame.hi[1])];
    for deck in &plan.decks {
        let line: Vec<At> = deck.ring.iter().map(|c| at(c.at)).collect();
        side.page.lines(Width::Bold, Dash::Solid, vec![line], true);
    }
    for (i, window) in windows.iter().enumerate() {
        let cell = Frame { lo: inside(at(window.0)), hi: inside(at(window.1)) };
        side.page.lines(Width::Hatch, Dash::Short, vec![cell.corners().to_vec()], true);
        if i == own {
            side.page.lines(Width::Hatch, Dash::Solid, slanted(&cell, 2.0 * step), false);
            side.page.frame(Width::Thin, &cell);
        }
    }
}

/// Least and greatest x and y of all decks; a square metre where there is none.
pub(crate) fn deck_bounds(plan: &Plan) -> Window {
    let all: Vec<Pt> = plan.decks.iter().flat_map(|d| d.ring.iter().map(|c| c.at)).collect();
    ring::bounds(&all).unwrap_or((Pt::new(0, 0), Pt::new(1000, 1000)))
}

/// The middle of a window.
#[allow(clippy::cast_precision_loss)]
pub(crate) fn middle_of(lo: Pt, hi: Pt) -> [f64; 2] {
    [(lo.x + hi.x) as f64 / 2.0, (lo.y + hi.y) as f64 / 2.0]
}
