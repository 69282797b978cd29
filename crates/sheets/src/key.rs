//! Samples of lines, hatches and signs with what they mean.
//!
//! In: a role or a sign, the place of its sample. Out: ink like that of the plan, and words beside it.

use crate::clip::direction;
use crate::falls::class_hatch;
use crate::page::{Align, At, Frame, Page};
use crate::roll_bars::slanted;
use crate::scene::{Dash, Height, Role, Sign, Symbol, Width};
use crate::seam_marks::{Spread, marks, waves};
use crate::view::put_sign;
use baylap_core::geom::Pt;
use baylap_core::layout::falls::FallClass;

/// A line or hatch, with its words: 18 mm of it at A4.
pub fn key_line(page: &mut Page, role: Role, [x, top]: At, words: &str) {
    let step = page.paper.step();
    let (y, end) = (top - 3.5 * step, x + 18.0 * step);
    let pen = role.pen();
    let band = Frame { lo: [x, y - 0.8 * step], hi: [end, y + 0.8 * step] };
    match role {
        Role::Upstand => {
            page.line(Width::Heavy, &[[x, y], [end, y]]);
            page.line(Width::Thin, &[[x, y + 1.4 * step], [end, y + 1.4 * step]]);
        }
        Role::FreeEdge => {
            page.line(Width::Heavy, &[[x, y], [end, y]]);
            let drip = |i: u32| x + (f64::from(i) + 0.5) * 3.0 * step;
            let drips = (0..6).map(drip).map(|x| vec![[x, y], [x, y + 1.4 * step]]).collect();
            page.lines(Width::Thin, Dash::Solid, drips, false);
        }
        Role::SideLap => {
            page.lines(Width::Hatch, Dash::Solid, slanted(&band, 1.5 * step), false);
            page.frame(Width::Thin, &band);
        }
        Role::BayHatch => {
            let bay = Frame { lo: [x, y - 1.8 * step], hi: [end, y + 1.8 * step] };
            page.lines(Width::Hatch, Dash::Solid, slanted(&bay, 4.0 * step), false);
            page.frame(Width::Bold, &bay);
        }
        Role::EndLap => {
            for shift in [-0.5, 0.5] {
                let middle = x + (9.0 + shift) * step;
                page.line(
                    Width::Medium,
                    &[[middle - 0.6 * step, y - 1.2 * step], [middle + 0.6 * step, y + 1.2 * step]],
                );
            }
        }
        Role::Void => {
            let hole = Frame { lo: [x + 4.0 * step, y - 2.2 * step], hi: [x + 14.0 * step, y + 2.2 * step] };
            let [a, b, c, d] = hole.corners();
            page.frame(Width::Heavy, &hole);
            page.lines(Width::Thin, Dash::Solid, vec![vec![a, c], vec![b, d]], false);
        }
        Role::PondHatch => {
            let spread = Spread { half: 0.5 * step, gap: 1.6 * step };
            let lines =
                [-1.3, 1.2].map(|dy| waves([x + 0.5 * step, end - 0.5 * step], y + dy * step, spread));
            page.lines(Width::Hatch, Dash::Solid, lines.to_vec(), false);
            page.frame(Width::Medium, &Frame { lo: [x, y - 2.3 * step], hi: [end, y + 2.3 * step] });
        }
        Role::FacesWater | Role::AlongLow | Role::InPond | Role::AtOutlet => {
            let spread = Spread { half: 1.1 * step, gap: 4.5 * step };
            let strokes = marks(role, [[x, y], [end, y]], true, spread);
            page.line(Width::Bold, &[[x, y], [end, y]]);
            page.lines(pen.width, pen.dash, strokes.into_iter().map(|s| s.to_vec()).collect(), false);
        }
        _ => page.lines(pen.width, pen.dash, vec![vec![[x, y], [end, y]]], false),
    }
    page.text(Height::Small, Align::Left, [end + 2.5 * step, y - 1.2 * step], words);
}

/// A sign, with its words.
pub fn key_sign(page: &mut Page, sign: Sign, [x, top]: At, words: &str) {
    let step = page.paper.step();
    let y = top - 3.5 * step;
    let symbol = Symbol { role: Role::Finding, about: None, sign, at: Pt::new(0, 0), turn_mdeg: 0 };
    put_sign(page, &symbol, [x + 9.0 * step, y]);
    page.text(Height::Small, Align::Left, [x + 20.5 * step, y - 1.2 * step], words);
}

/// The hatch of a class of fall, with its words.
pub fn key_class(page: &mut Page, class: FallClass, [x, top]: At, words: &str) {
    let step = page.paper.step();
    let (y, end) = (top - 3.5 * step, x + 18.0 * step);
    let band = Frame { lo: [x, y - 2.3 * step], hi: [end, y + 2.3 * step] };
    let (turns, gap) = class_hatch(class);
    #[allow(clippy::cast_precision_loss)]
    let gap = gap as f64 / 10.0 * step;
    for turn in turns {
        // Lines so far apart lie further apart along the level.
        let [_, sin] = direction(*turn);
        let lines = slanted(&band, gap / sin);
        let lines = if *turn > 90_000 { lines.iter().map(|l| mirrored(l, &band)).collect() } else { lines };
        page.lines(Width::Hatch, Dash::Solid, lines, false);
    }
    page.frame(Width::Hatch, &band);
    page.text(Height::Small, Align::Left, [end + 2.5 * step, y - 1.2 * step], words);
}

fn mirrored(line: &[At], frame: &Frame) -> Vec<At> {
    line.iter().map(|[x, y]| [*x, frame.lo[1] + frame.hi[1] - y]).collect()
}
