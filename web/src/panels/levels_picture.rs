//! A small picture of a list of levels on the decks.
//!
//! In: levels as read, and the plan. Out: the decks' outlines with a dot for each level and a square about those to look
//! at; some levels are written. It is a picture only: the same is in the table and in the list of problems.

use super::levels::Read;
use super::levels_words as words;
use crate::text;
use baylap_core::Plan;
use baylap_core::geom::Pt;
use baylap_editor::levels::Taken;
use leptos::prelude::*;
use std::fmt::Write;

/// Levels written beside their dots at most.
const WRITTEN: usize = 24;

/// The picture.
#[component]
pub(super) fn Picture(read: Read) -> impl IntoView {
    let frame = Memo::new(move |_| read.reading.with(|r| read.plan.with(|p| Frame::round(p, &r.taken))));
    let view_box = move || frame.with(Frame::view_box);
    let decks = move || read.plan.with(|p| outlines(p));
    let dots = move |doubtful: bool| {
        read.reading.with(|r| marks(r.taken.iter().filter(|t| !doubtful || t.doubtful)))
    };
    let words = move || {
        let size = frame.with(|f| f.text);
        read.reading.with(|r| {
            written(&r.taken, size)
                .into_iter()
                .map(|t| {
                    let (x, y) = (t.at.x + size / 2, -t.at.y - size / 3);
                    view! { <text x=x.to_string() y=y.to_string()>{text::metres_bare(t.level)}</text> }
                })
                .collect_view()
        })
    };
    view! {
        <figure class="levels-picture">
            <svg class="preview" viewBox=view_box role="img" aria-label=words::PICTURE data-testid="levels-picture">
                <path class="deck" d=decks></path>
                <g style=move || format!("font-size:{}px", frame.with(|f| f.text))>{words}</g>
                <path class="dots" d=move || dots(false)></path>
                <path class="odd" d=move || dots(true)></path>
            </svg>
            <figcaption class="fine">{words::PICTURE_LEAD}</figcaption>
        </figure>
    }
    .into_any()
}

/// What is seen.
#[derive(Clone, PartialEq)]
struct Frame {
    lo: Pt,
    hi: Pt,
    /// Height of letters, mm.
    text: i64,
}

impl Frame {
    /// Round the decks and the levels; without either, something.
    fn round(plan: &Plan, taken: &[Taken]) -> Self {
        let decks = plan.decks.iter().flat_map(|d| d.ring.iter().map(|c| c.at));
        let all: Vec<Pt> = decks.chain(taken.iter().map(|t| t.at)).collect();
        let (lo, hi) =
            baylap_core::geom::ring::bounds(&all).unwrap_or((Pt::new(0, 0), Pt::new(20_000, 15_000)));
        let size = (hi.x - lo.x).max(hi.y - lo.y).max(1000);
        let room = size / 12;
        Self {
            lo: Pt::new(lo.x - room, lo.y - room),
            hi: Pt::new(hi.x + 2 * room, hi.y + room),
            text: size / 30,
        }
    }

    fn view_box(&self) -> String {
        format!("{} {} {} {}", self.lo.x, -self.hi.y, self.hi.x - self.lo.x, self.hi.y - self.lo.y)
    }
}

fn outlines(plan: &Plan) -> String {
    let mut data = String::new();
    let rings = plan.decks.iter().map(|d| &d.ring).chain(plan.openings.iter().map(|o| &o.ring));
    for ring in rings {
        for (n, corner) in ring.iter().enumerate() {
            let _ = write!(data, "{}{} {}", if n == 0 { 'M' } else { 'L' }, corner.at.x, -corner.at.y);
        }
        data.push('z');
    }
    data
}

/// A path of points: the round ends of lines without length.
fn marks<'a>(taken: impl Iterator<Item = &'a Taken>) -> String {
    taken.fold(String::new(), |mut data, t| {
        let _ = write!(data, "M{} {}h0", t.at.x, -t.at.y);
        data
    })
}

/// Levels that can be written without lying on one another, those to look at first.
fn written(taken: &[Taken], size: i64) -> Vec<&Taken> {
    let mut order: Vec<&Taken> = taken.iter().collect();
    order.sort_by_key(|t| !t.doubtful);
    let mut kept: Vec<&Taken> = Vec::new();
    for t in order {
        let apart = |k: &&Taken| (k.at.x - t.at.x).abs() > 4 * size || (k.at.y - t.at.y).abs() > 2 * size;
        if kept.len() < WRITTEN && kept.iter().all(apart) {
            kept.push(t);
        }
    }
    kept
}
