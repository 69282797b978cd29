//! What the tools that only look have found: the way of the water, a long section.
//!
//! In: what the worker told. Out: a sentence, and the section as a small drawing with its levels in words beside it. Heights
//! are drawn larger than lengths and the drawing says by how much. It works nothing out of levels.

use super::falls_words as words;
use crate::state::{Shell, shell};
use crate::text;
use baylap_core::layout::falls::{Section, Sink, Trace};
use baylap_core::plan::Plan;
use baylap_editor::{Message, measure};
use leptos::prelude::*;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// Width of the drawing, its own units.
const WIDTH: f64 = 320.0;
/// Height of the drawing.
const HEIGHT: f64 = 96.0;

/// What was looked at last.
#[component]
pub(crate) fn Looks() -> impl IntoView {
    let shell = shell();
    let any = move || shell.trace.with(Option::is_some) || shell.section.with(Option::is_some);
    view! {
        <Show when=any>
            <section class="part" data-testid="looks">
                {move || shell.trace.get().map(|trace| way(shell, &trace))}
                {move || shell.section.get().map(|section| drawn(&section))}
                <button type="button" class="button" on:click=move |_| clear(shell)>{text::CLEAR_LOOKS}</button>
            </section>
        </Show>
    }
    .into_any()
}

fn clear(shell: Shell) {
    shell.trace.set(None);
    shell.section.set(None);
    shell.send(Message::Preview(Vec::new()));
}

fn way(shell: Shell, trace: &Trace) -> AnyView {
    let sentence = shell.read(|s| said(trace, s.plan()));
    view! {
        <h2>{text::WATER_WAY}</h2>
        <p role="status">{sentence}</p>
    }
    .into_any()
}

/// The way of the water in words.
fn said(trace: &Trace, plan: &Plan) -> String {
    let length: f64 = trace.points.windows(2).map(|w| w[0].distance(w[1])).sum();
    let ponds: Vec<String> = trace.ponds.iter().map(u32::to_string).collect();
    let ponds = match ponds.len() {
        0 => String::new(),
        1 => format!(", filling pond {}", ponds[0]),
        _ => format!(", filling ponds {}", ponds.join(", ")),
    };
    let end = match trace.drains_to {
        Sink::Nowhere => "; it has no way out".to_owned(),
        sink => format!(", then {}", words::sink(sink, plan)),
    };
    format!("{:.1} m{ponds}{end}.", length / 1000.0)
}

/// The section, drawn and told.
fn drawn(section: &Section) -> AnyView {
    let deck = || section.parts.iter().flatten().map(|p| p[1]);
    let (lo, hi) = (deck().min().unwrap_or(0), deck().max().unwrap_or(0));
    let top = section.water.iter().map(|w| w[2]).max().unwrap_or(hi).max(hi);
    let scale = Scale::new(section.length, lo, top);
    let mut surface = String::new();
    for part in &section.parts {
        for (n, [at, level]) in part.iter().enumerate() {
            let _ = write!(
                surface,
                "{}{:.1} {:.1}",
                if n == 0 { "M" } else { "L" },
                scale.x(*at),
                scale.y(*level)
            );
        }
    }
    let mut water = String::new();
    for [from, to, level] in &section.water {
        let y = scale.y(*level);
        let _ = write!(water, "M{:.1} {y:.1}L{:.1} {y:.1}", scale.x(*from), scale.x(*to));
    }
    let told = format!(
        "{} long; the deck from {} to {}.{} Heights are drawn {:.0} times larger.",
        measure::metres(section.length),
        level(lo),
        level(hi),
        standing(section),
        scale.larger()
    );
    let label = format!("{}: {told}", text::LONG_SECTION);
    view! {
        <h2>{text::LONG_SECTION}</h2>
        <svg class="section" viewBox=format!("0 0 {WIDTH} {HEIGHT}") role="img" aria-label=label>
            <path class="section-surface" d=surface/>
            <path class="section-water" d=water/>
        </svg>
        <p>{told}</p>
    }
    .into_any()
}

/// At which levels water stands along a section, each once.
fn standing(section: &Section) -> String {
    let levels: BTreeSet<i64> = section.water.iter().map(|w| w[2]).collect();
    let words: Vec<String> = levels.into_iter().map(level).collect();
    if words.is_empty() { String::new() } else { format!(" Water stands at {}.", words.join(", ")) }
}

/// A level in metres, to the mm.
fn level(um: i64) -> String {
    measure::metres((um + 500).div_euclid(1000))
}

/// From mm and thousandths of a mm to the drawing.
struct Scale {
    along: f64,
    up: f64,
    lo: f64,
}

impl Scale {
    #[allow(clippy::cast_precision_loss)]
    fn new(length: i64, lo: i64, hi: i64) -> Self {
        let (length, rise) = (length.max(1) as f64, ((hi - lo).max(1000)) as f64);
        Self { along: (WIDTH - 8.0) / length, up: (HEIGHT - 24.0) / rise, lo: lo as f64 }
    }

    #[allow(clippy::cast_precision_loss)]
    fn x(&self, mm: i64) -> f64 {
        4.0 + mm as f64 * self.along
    }

    #[allow(clippy::cast_precision_loss)]
    fn y(&self, um: i64) -> f64 {
        HEIGHT - 12.0 - (um as f64 - self.lo) * self.up
    }

    fn larger(&self) -> f64 {
        self.up * 1000.0 / self.along
    }
}
