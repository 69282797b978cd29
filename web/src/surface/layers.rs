//! The drawing: one path for each role, its signs and its texts, under one transform.
//!
//! In: the sheets' display list for the plan and layout in force, the layers that a person switches on. Out: SVG elements in
//! plan millimetres. Panning and zooming change one attribute; the list is made anew only when the plan, the layout, the
//! stage, the switches or the scale's coarse step changes. Line widths, colours and what is stressed are the style sheet's.

use crate::state::{Shell, shell};
use baylap_core::geom::Pt;
use baylap_editor::{Session, Stage};
use baylap_sheets::label::{Taken, Wish, take};
use baylap_sheets::scene::{Height, PathGroup, Role, Scene, Symbol, Text, TextKey};
use baylap_sheets::sign::room;
use baylap_sheets::{FallLayer, FallLayers, SceneOptions, deck_scene};
use leptos::prelude::*;
use std::collections::BTreeSet;
use std::sync::Arc;

/// CSS pixels in a millimetre.
const PX_PER_MM: f64 = 96.0 / 25.4;
/// Size of a tenth of a mm of a sign, pixels.
const SIGN_PX: f64 = PX_PER_MM / 10.0;
/// Half the room that a sign takes, pixels.
const SIGN_HALF: f64 = 9.0;
/// Pixels per plan mm below which signs shrink with the drawing: 100 mm to the pixel.
const FULL_SIGNS: f64 = 0.01;
/// Pixels per plan mm below which courses would run into each other and are left out.
const LEAST_COURSES: f64 = 0.004;
/// Pixels per plan mm below which bay numbers are written small.
const LARGE_NUMBERS: f64 = 0.016;
/// Coarse steps of the scale within a doubling.
const STEPS: f64 = 2.0;
/// Texts drawn at most: the screen is full long before.
const MOST_TEXTS: usize = 900;
/// White round the whole plan that texts of outlets may stand in, pixels: beyond it the board ends.
const WHITE: f64 = 34.0;
/// Head of the switches.
const LAYERS: &str = "Layers";
/// The switch of the protection sheet.
const SHEET: &str = "Laps of the protection sheet";

/// What is drawn.
#[derive(Clone, PartialEq)]
struct Drawn {
    paths: Vec<PathGroup>,
    symbols: Vec<Symbol>,
    texts: Vec<Standing>,
}

/// A text where there is room for it.
#[derive(Clone, PartialEq)]
struct Standing {
    class: &'static str,
    words: String,
    at: [f64; 2],
    turn_mdeg: i32,
    size: f64,
}

/// What is switched on.
#[derive(Clone, Copy, PartialEq)]
pub(super) struct SwitchedOn {
    falls: FallLayers,
    sheet: bool,
}

/// Layers that are switched on. Those of falls all at first, at every visit: a pond must not stay out of sight because a
/// switch was set the week before. The laps of the protection sheet not: between those of the reinforcement they crowd the
/// drawing.
pub(super) fn switched_on() -> RwSignal<SwitchedOn> {
    RwSignal::new(SwitchedOn { falls: FallLayers::ALL, sheet: false })
}

/// Switches of the layers: those of falls in the stage that shows them, once falls are known; that of the protection sheet
/// in those after it, once it is laid out.
#[component]
pub(super) fn Switches(on: RwSignal<SwitchedOn>) -> impl IntoView {
    let shell = shell();
    let there = move |in_falls: bool| {
        Memo::new(move |_| {
            shell.parts.tool.track();
            shell.parts.layout.track();
            shell.read(|s| {
                let layout = s.layout();
                match s.stage() {
                    Stage::Falls => in_falls && layout.falls.is_some(),
                    Stage::Deck => false,
                    _ => !in_falls && layout.protection.is_some(),
                }
            })
        })
    };
    let (falls, sheet) = (there(true), there(false));
    let line = move |layer: FallLayer| {
        view! {
            <label class="check">
                <input
                    type="checkbox"
                    data-layer=format!("{layer:?}").to_lowercase()
                    prop:checked=move || on.get().falls.has(layer)
                    on:change=move |_| on.update(|set| set.falls = set.falls.switched(layer))
                />
                {layer.name()}
            </label>
        }
    };
    let laps = move || {
        view! {
            <label class="check">
                <input
                    type="checkbox"
                    data-layer="sheet"
                    prop:checked=move || on.get().sheet
                    on:change=move |_| on.update(|set| set.sheet = !set.sheet)
                />
                {SHEET}
            </label>
        }
    };
    view! {
        <Show when=move || falls.get() || sheet.get()>
            <details class="layers" data-testid="layers">
                <summary>{LAYERS}</summary>
                <div class="list">
                    <Show when=move || falls.get()>{FallLayer::ALL.map(line).collect_view()}</Show>
                    <Show when=move || sheet.get()>{laps()}</Show>
                </div>
            </details>
        </Show>
    }
}

/// The drawing.
#[component]
pub(super) fn Drawing(on: RwSignal<SwitchedOn>) -> impl IntoView {
    let shell = shell();
    let parts = shell.parts;
    let step = Memo::new(move |_| {
        parts.view.track();
        shell.read(|s| coarse(s.camera().scale))
    });
    let stage = Memo::new(move |_| {
        parts.tool.track();
        shell.read(Session::stage)
    });
    let drawn = Memo::new(move |_| {
        parts.plan.track();
        parts.layout.track();
        Arc::new(draw(shell, step.get(), (stage.get(), on.get())))
    });
    let matrix = move || {
        parts.view.track();
        shell.read(|s| {
            let [a, _, _, _, e, f] = s.camera().matrix();
            format!("matrix({a} 0 0 {a} {e} {f})")
        })
    };
    let one_px = move || {
        parts.view.track();
        shell.read(|s| {
            let scale = s.camera().scale;
            format!("--k:{};--g:{}", 1.0 / scale, SIGN_PX * (scale / FULL_SIGNS).clamp(0.5, 1.0) / scale)
        })
    };
    view! {
        <g class="plan" transform=matrix style=one_px>
            <g class="paths">
                {move || drawn.with(|d| d.paths.iter().map(path).collect_view())}
            </g>
            <super::played::Played/>
            <g class="signs">
                {move || drawn.with(|d| d.symbols.iter().map(symbol).collect_view())}
            </g>
            <g class="texts">
                {move || drawn.with(|d| d.texts.iter().map(text).collect_view())}
            </g>
        </g>
    }
}

fn draw(shell: Shell, step: i32, (stage, on): (Stage, SwitchedOn)) -> Drawn {
    let scale = libm::exp2(f64::from(step) / STEPS);
    // Where falls are shown, edges and laps are drawn by what they do to the water; courses would hide them.
    let falls = stage == Stage::Falls && shell.read(|s| s.layout().falls.is_some());
    let options = SceneOptions {
        scale: to_scale(scale),
        hatch: matches!(stage, Stage::Days | Stage::Sheets),
        tint: true,
        pieces: scale >= LEAST_COURSES && !falls,
        sheet: on.sheet && scale >= LEAST_COURSES && !matches!(stage, Stage::Deck | Stage::Falls),
        findings: true,
        falls: if stage == Stage::Falls { on.falls } else { FallLayers::LEVELS },
    };
    let scene = shell.read(|s| deck_scene(s.plan(), s.layout(), options));
    let half = SIGN_HALF / scale;
    let mut taken: Vec<Taken> = scene.symbols.iter().map(|s| room(s, plain(s.at), half)).collect();
    let white = white(&scene, scale);
    let readable = scene.texts.iter().filter(|t| readable(t, scale)).take(MOST_TEXTS);
    // Texts of one key are one text with several places to choose from.
    let mut said: BTreeSet<TextKey<'_>> = BTreeSet::new();
    let mut texts = Vec::new();
    for text in readable {
        if !said.contains(&text.key())
            && let Some(standing) =
                stand(text, scale, &mut taken, |place| text.role != Role::OutletFlow || inside(place, white))
        {
            said.insert(text.key());
            texts.push(standing);
        }
    }
    Drawn { paths: scene.paths(), symbols: scene.symbols, texts }
}

/// Which coarse step a scale lies in.
#[allow(clippy::cast_possible_truncation)]
fn coarse(scale: f64) -> i32 {
    (libm::log2(scale.max(1e-9)) * STEPS).floor() as i32
}

/// The scale 1:n that the screen has at so many pixels per plan mm.
#[allow(clippy::cast_possible_truncation)]
fn to_scale(px_per_mm: f64) -> i64 {
    ((PX_PER_MM / px_per_mm).round() as i64).max(1)
}

fn size(height: Height, px_per_mm: f64) -> f64 {
    match height {
        Height::Small => 12.0,
        Height::Medium => 14.0,
        Height::Large if px_per_mm < LARGE_NUMBERS => 14.0,
        Height::Large => 20.0,
    }
}

/// Whether a text fits into its room at so many pixels per plan mm.
#[allow(clippy::cast_precision_loss)]
fn readable(text: &Text, px_per_mm: f64) -> bool {
    let Some([along, across]) = text.room else { return true };
    let [width, height] = extent(text, px_per_mm);
    along as f64 * px_per_mm >= width && across as f64 * px_per_mm >= height
}

/// Width and height of a text on the screen, pixels. Letters of the page's type are a little over half as wide as high.
#[allow(clippy::cast_precision_loss)]
fn extent(text: &Text, px_per_mm: f64) -> [f64; 2] {
    let px = size(text.height, px_per_mm);
    [text.text.chars().count() as f64 * px * 0.54, px * 0.92]
}

#[allow(clippy::cast_precision_loss)]
fn plain(p: Pt) -> [f64; 2] {
    [p.x as f64, p.y as f64]
}

/// The box of the drawing with some white round it, as it is at least seen when the plan is shown whole.
fn white(scene: &Scene, px_per_mm: f64) -> [[f64; 2]; 2] {
    let (lo, hi) = scene.bounds().unwrap_or_default();
    // The view may be nearer than its coarse step by all but a step.
    let room = WHITE / (px_per_mm * libm::exp2(1.0 / STEPS));
    let (lo, hi) = (plain(lo), plain(hi));
    [lo.map(|v| v - room), hi.map(|v| v + room)]
}

fn inside(place: &Taken, [lo, hi]: [[f64; 2]; 2]) -> bool {
    let within = |[x, y]: [f64; 2]| x >= lo[0] && y >= lo[1] && x <= hi[0] && y <= hi[1];
    place.corners().into_iter().all(within)
}

/// A text at the first free place that is allowed, or nothing when there is none.
fn stand(
    text: &Text,
    px_per_mm: f64,
    taken: &mut Vec<Taken>,
    allowed: impl Fn(&Taken) -> bool,
) -> Option<Standing> {
    let wish = Wish {
        at: plain(text.at),
        track: text.track.map(plain),
        turn_mdeg: text.turn_mdeg,
        size: extent(text, px_per_mm).map(|px| (px + 4.0) / px_per_mm),
    };
    let at = take(&wish, taken, allowed)?;
    let (class, words, turn_mdeg) = (text.role.class(), text.text.clone(), text.turn_mdeg);
    Some(Standing { class, words, at, turn_mdeg, size: size(text.height, px_per_mm) })
}

fn path(group: &PathGroup) -> impl IntoView + use<> {
    let class = group.role.class();
    view! { <path class=class data-tint=group.tint.to_string() d=group.data.clone()></path> }
}

fn place(at: [f64; 2], turn_mdeg: i32, scale: &str) -> String {
    let turn = -f64::from(turn_mdeg) / 1000.0;
    format!("transform:translate({:.1}px,{:.1}px) rotate({turn}deg) scale({scale})", at[0], -at[1])
}

fn symbol(symbol: &Symbol) -> impl IntoView + use<> {
    let class = format!("sign-at {} {:?}", symbol.role.class(), symbol.sign).to_lowercase();
    let style = place(plain(symbol.at), symbol.turn_mdeg, "var(--g)");
    view! {
        <g class=class style=style>
            <path class="filled" d=symbol.sign.filling()></path>
            <path class="line" d=symbol.sign.outline()></path>
        </g>
    }
}

fn text(text: &Standing) -> impl IntoView + use<> {
    let style = format!("{};font-size:{}px", place(text.at, text.turn_mdeg, "var(--k)"), text.size);
    view! { <text class=text.class style=style>{text.words.clone()}</text> }
}
