//! The bays at the moment of the programme that is shown: laid, being laid, to come.
//!
//! In: how far each bay is, from the editor. Out: one path for each bay, each state with a hatch and an outline of its own,
//! and its word where there is room, so that it reads without colour. It stands in the drawing's own millimetres, under its
//! signs and numbers.

use crate::panels::play::AS_IT_IS;
use crate::state::{Drawer, shell};
use baylap_core::days::WayOff;
use baylap_core::geom::{Pt, Region};
use baylap_core::layout::Bay;
use baylap_editor::playing::{way_words, words};
use baylap_editor::{BayState, Message, Session};
use leptos::prelude::*;

/// Pixels of a tile of the hatch.
const TILE: f64 = 8.0;
/// Room for a word, pixels along and across.
const ROOM: [f64; 2] = [86.0, 58.0];
/// How far a word stands under the number of its bay, pixels.
const UNDER: f64 = 23.0;

/// A bay as it is drawn.
#[derive(Clone, PartialEq)]
struct Shown {
    bay: u32,
    slug: &'static str,
    data: String,
    words: &'static str,
    at: [f64; 2],
    size: [f64; 2],
}

/// The layer; nothing while the plan is shown as it is.
#[component]
pub(super) fn Played() -> impl IntoView {
    let shell = shell();
    let parts = shell.parts;
    let shown = Memo::new(move |_| {
        for part in [parts.overlay, parts.layout, parts.tool] {
            part.track();
        }
        shell.read(bays)
    });
    let ways = Memo::new(move |_| {
        for part in [parts.overlay, parts.layout, parts.tool] {
            part.track();
        }
        shell.read(Session::ways_off)
    });
    let scale = Memo::new(move |_| {
        parts.view.track();
        shell.read(|s| s.camera().scale)
    });
    let hatch = move |slug: &'static str, lines: &'static str| {
        let fits = move || format!("scale({})", 1.0 / scale.get());
        view! {
            <pattern
                id=format!("hatch-{slug}")
                class=format!("hatch {slug}")
                width=TILE
                height=TILE
                patternUnits="userSpaceOnUse"
                patternTransform=fits
            >
                <path d=lines></path>
            </pattern>
        }
    };
    let word = move |bay: &Shown| {
        let fits = bay.size.iter().zip(ROOM).all(|(mm, px)| mm * scale.get() >= px);
        let [x, y] = bay.at;
        fits.then(|| {
            let style =
                format!("transform:translate({x:.1}px,{y:.1}px) scale(var(--k)) translate(0,{UNDER}px)");
            view! { <text class="played-word" style=style>{bay.words}</text> }
        })
    };
    view! {
        <g class="played">
            <Show when=move || shown.with(|s| !s.is_empty())>
                <defs>
                    {hatch("before", "M-2 2l4-4M0 8l8-8M6 10l4-4")}
                    {hatch("done", "M-2 2l4-4M0 8l8-8M6 10l4-4M-2 6l4 4M0 0l8 8M6-2l4 4")}
                    {hatch("now", "M0 4h8")}
                </defs>
            </Show>
            {move || shown.with(|s| s.iter().map(path).collect_view())}
            {move || shown.with(|s| s.iter().map(word).collect_view())}
            {move || ways.with(|w| w.iter().map(way).collect_view())}
        </g>
    }
}

/// Which moment it is, what the hatches mean, and the way back to the plan as it is; on the board while the panel that says
/// so is shut.
#[component]
pub(super) fn OnBoard() -> impl IntoView {
    let shell = shell();
    let words = Memo::new(move |_| {
        for part in [shell.parts.overlay, shell.parts.layout, shell.parts.tool] {
            part.track();
        }
        shell.read(|s| Some(words(s.layout().days.as_ref()?, s.played().and(s.moment())?)))
    });
    let shut = move || shell.drawer.get() != Some(Drawer::Days);
    view! {
        <Show when=move || shut() && words.with(Option::is_some)>
            <div class="played-key" role="group" aria-label="The job at a moment" data-testid="played-on-board">
                <p>{move || words.get()}</p>
                <Key/>
                <button type="button" class="plain" on:click=move |_| { shell.send(Message::ShowMoment(None)); }>
                    {AS_IT_IS}
                </button>
            </div>
        </Show>
    }
}

/// What the hatches mean, with how many bays there are of each.
#[component]
pub(crate) fn Key() -> impl IntoView {
    let shell = shell();
    let told = Memo::new(move |_| {
        for part in [shell.parts.overlay, shell.parts.layout, shell.parts.tool] {
            part.track();
        }
        shell.read(key)
    });
    let ways = Memo::new(move |_| {
        for part in [shell.parts.overlay, shell.parts.layout, shell.parts.tool] {
            part.track();
        }
        shell.read(Session::ways_off)
    });
    let leave = |way: &WayOff| {
        view! {
            <li>
                <span class="played-box way" aria-hidden="true"></span>
                {way_words(way)}
            </li>
        }
    };
    let line = |(slug, words, count): (&'static str, &'static str, usize)| {
        view! {
            <li>
                <span class=format!("played-box {slug}") aria-hidden="true"></span>
                {words}" "<b>{count}</b>
            </li>
        }
    };
    view! {
        <Show when=move || told.with(|t| !t.is_empty())>
            <ul class="played-lines" aria-label="Bays at this moment" data-testid="played-key">
                {move || told.with(|t| t.iter().copied().map(line).collect_view())}
                {move || ways.with(|w| w.iter().map(leave).collect_view())}
            </ul>
        </Show>
    }
}

type Lines = Vec<(&'static str, &'static str, usize)>;

/// How many bays there are of each state.
fn key(session: &Session) -> Lines {
    let (Some(states), Some(at)) = (session.played(), session.moment()) else { return Vec::new() };
    let line = |state: BayState| {
        let count = states.iter().filter(|(_, s)| *s == state).count();
        (count > 0).then(|| (state.slug(), state.words(at.turn.is_none()), count))
    };
    BayState::ALL.into_iter().filter_map(line).collect()
}

fn path(bay: &Shown) -> impl IntoView + use<> {
    let class = format!("played-bay {}", bay.slug);
    view! { <path class=class d=bay.data.clone() data-bay=bay.bay data-played=bay.slug></path> }
}

/// A way off: a line with an arrow at its end, over a broader one that parts it from the hatches.
fn way(way: &WayOff) -> impl IntoView + use<> {
    let mut line = String::new();
    for (n, p) in way.points.iter().enumerate() {
        line.push_str(&format!("{}{} {}", if n == 0 { 'M' } else { 'L' }, p.x, -p.y));
    }
    let head = way.points.split_last().and_then(|(end, rest)| {
        let from = place(*rest.last()?);
        let [x, y] = place(*end);
        let turn = libm::atan2(y - from[1], x - from[0]).to_degrees();
        Some(format!("transform:translate({x}px,{y}px) rotate({turn:.1}deg) scale(var(--k))"))
    });
    view! {
        <path class="played-way under" d=line.clone()></path>
        <path class="played-way" d=line data-way-off=way.bay></path>
        {head.map(|style| view! { <path class="played-way-end" style=style d="M2 0l-13-6v12z"></path> })}
    }
}

/// Those to come first, so that the outlines of what is laid lie over them.
fn bays(session: &Session) -> Vec<Shown> {
    let Some(states) = session.played() else { return Vec::new() };
    let whole_day = session.moment().is_some_and(|m| m.turn.is_none());
    let layout = session.layout();
    let mut shown: Vec<(BayState, Shown)> = states
        .into_iter()
        .filter_map(|(n, state)| {
            let bay = layout.bays.iter().find(|b| b.number == n)?;
            Some((state, shown_bay(bay, state, state.words(whole_day))))
        })
        .collect();
    shown.sort_by_key(|(state, bay)| (*state == BayState::Now, *state != BayState::ToCome, bay.bay));
    shown.into_iter().map(|(_, bay)| bay).collect()
}

fn shown_bay(bay: &Bay, state: BayState, words: &'static str) -> Shown {
    let [x, y] = place(bay.label);
    Shown {
        bay: bay.number,
        slug: state.slug(),
        data: bay.area.iter().map(data).collect(),
        words,
        at: [x, y],
        size: extent(&bay.area),
    }
}

/// The rings of a region as one path, up the page.
fn data(region: &Region) -> String {
    let mut data = String::new();
    for ring in region {
        for (n, p) in ring.iter().enumerate() {
            data.push_str(&format!("{}{} {}", if n == 0 { 'M' } else { 'L' }, p.x, -p.y));
        }
        data.push('z');
    }
    data
}

#[allow(clippy::cast_precision_loss)]
fn place(p: Pt) -> [f64; 2] {
    [p.x as f64, -p.y as f64]
}

#[allow(clippy::cast_precision_loss)]
fn extent(area: &[Region]) -> [f64; 2] {
    let points: Vec<Pt> = area.iter().flatten().flatten().copied().collect();
    let (lo, hi) = baylap_core::geom::ring::bounds(&points).unwrap_or_default();
    [(hi.x - lo.x) as f64, (hi.y - lo.y) as f64]
}
