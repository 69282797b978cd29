//! What the browser prints: job, drawing, sums and tables, from the same display list as the board.
//!
//! In: the session at the moment of printing. Out: a part of the page that only printers see. The true-scale sheet is
//! the PDF; this one is fitted to the paper and says so.

use crate::state::{Shell, shell};
use crate::text;
use baylap_core::{Layout, Plan};
use baylap_sheets::scene::{Height, Scene, Text};
use baylap_sheets::{SceneOptions, deck_scene};
use leptos::prelude::*;
use std::sync::Arc;

/// Scales tried, smallest first: 1 to so many.
const SCALES: [i64; 8] = [20, 50, 100, 200, 250, 500, 1000, 2000];
/// Room for the drawing on A4 upright, mm.
const ROOM: [i64; 2] = [186, 205];

/// What is printed; kept ready only while printing.
#[component]
pub(crate) fn Paper() -> impl IntoView {
    let shell = shell();
    let printing = RwSignal::new(None::<(Arc<Plan>, Arc<Layout>)>);
    let ready = move || printing.set(Some(shell.read(|s| (s.plan().clone(), s.layout().clone()))));
    let before = window_event_listener_untyped("beforeprint", move |_| ready());
    let after = window_event_listener_untyped("afterprint", move |_| printing.set(None));
    on_cleanup(move || {
        before.remove();
        after.remove();
    });
    view! {
        <div class="paper" aria-hidden="true">
            {move || printing.with(|p| p.as_ref().map(|(plan, layout)| page(plan, layout)))}
        </div>
    }
}

/// Prints the page.
pub(crate) fn print(_shell: Shell) {
    // After the dialog that asked for it has closed.
    request_animation_frame(|| {
        let _ = window().print();
    });
}

fn page(plan: &Plan, layout: &Layout) -> impl IntoView + use<> {
    let job = &plan.job;
    let name = if job.name.is_empty() { text::UNNAMED.to_owned() } else { job.name.clone() };
    let line = [&job.number, &job.part, &job.client, &job.revision, &job.date];
    let line: Vec<String> = line.into_iter().filter(|w| !w.is_empty()).cloned().collect();
    let t = &layout.totals;
    let sums = text::printed_sums(t);
    let rows = layout
        .pieces
        .iter()
        .map(|p| {
            view! {
                <tr>
                    <td>{p.number}</td>
                    <td>{p.bay}</td>
                    <td>{p.course}</td>
                    <td>{text::metres_bare(p.length)}</td>
                    <td>{p.across[1] - p.across[0]}</td>
                    <td>{p.roll}</td>
                </tr>
            }
        })
        .collect_view();
    let findings = layout
        .findings
        .iter()
        .map(|f| view! { <li><b>{text::severity(f.severity)}</b> " " {f.text.clone()} " " {f.mend.clone()}</li> })
        .collect_view();
    view! {
        <h1>{name}</h1>
        <p>{line.join(" · ")}</p>
        <p>{sums}</p>
        {drawing(plan, layout)}
        <h2>{text::FINDINGS}</h2>
        <ul>{findings}</ul>
        <h2>{text::PIECES}</h2>
        <table>
            <thead>
                <tr>
                    <th>"Piece"</th><th>"Bay"</th><th>"Course"</th><th>"Length, m"</th><th>"Width, mm"</th><th>"Roll"</th>
                </tr>
            </thead>
            <tbody>{rows}</tbody>
        </table>
        <p>{text::CAUTION}</p>
    }
}

/// The drawing at the largest standard scale that fits.
fn drawing(plan: &Plan, layout: &Layout) -> impl IntoView + use<> {
    let rough = deck_scene(plan, layout, SceneOptions { hatch: false, ..SceneOptions::default() });
    let (lo, hi) = rough.bounds().unwrap_or_default();
    let (w, h) = ((hi.x - lo.x).max(1), (hi.y - lo.y).max(1));
    let fits = |s: &&i64| w + 10 * **s <= ROOM[0] * **s && h + 10 * **s <= ROOM[1] * **s;
    let scale = SCALES.iter().find(fits).copied().unwrap_or(5000);
    let scene = deck_scene(plan, layout, SceneOptions { scale, tint: false, ..SceneOptions::default() });
    let pad = 5 * scale;
    let view_box = format!("{} {} {} {}", lo.x - pad, -hi.y - pad, w + 2 * pad, h + 2 * pad);
    let size = |mm: i64| format!("{}mm", (mm + 2 * pad) / scale);
    view! {
        <svg class="printed" viewBox=view_box style=format!("width:{};height:{}", size(w), size(h))>
            {marks(&scene, scale)}
        </svg>
        <p class="scale">{text::printed_scale(scale)}</p>
    }
}

fn marks(scene: &Scene, scale: i64) -> impl IntoView + use<> {
    let paths = scene
        .paths()
        .into_iter()
        .map(|group| {
            let pen = group.role.pen();
            let dash: Vec<String> = pen.dash.tenths().iter().map(|t| (t * scale / 10).to_string()).collect();
            let width = pen.width.hundredths() * scale / 100;
            view! { <path d=group.data stroke-width=width.to_string() stroke-dasharray=dash.join(" ")></path> }
        })
        .collect_view();
    let signs = scene
        .symbols
        .iter()
        .map(|s| {
            let place = format!(
                "translate({} {}) rotate({}) scale({})",
                s.at.x,
                -s.at.y,
                -f64::from(s.turn_mdeg) / 1000.0,
                scale as f64 / 10.0
            );
            view! {
                <g transform=place>
                    <path class="filled" d=s.sign.filling()></path>
                    <path stroke-width="3" d=s.sign.outline()></path>
                </g>
            }
        })
        .collect_view();
    let texts = scene.texts.iter().filter(|t| fits(t, scale)).map(|t| words(t, scale)).collect_view();
    view! { {paths} {signs} {texts} }
}

/// Figures are a little over seven tenths of a font's size: the size that gives capitals of this height.
fn font(height: Height, scale: i64) -> i64 {
    height.tenths() * scale * 10 / 71
}

fn fits(text: &Text, scale: i64) -> bool {
    let Some([along, across]) = text.room else { return true };
    let size = font(text.height, scale);
    let letters = i64::try_from(text.text.chars().count()).unwrap_or(i64::MAX);
    along >= letters.saturating_mul(size) * 56 / 100 && across >= size * 9 / 10
}

fn words(text: &Text, scale: i64) -> impl IntoView + use<> {
    let place =
        format!("translate({} {}) rotate({})", text.at.x, -text.at.y, -f64::from(text.turn_mdeg) / 1000.0);
    let size = font(text.height, scale).to_string();
    view! { <text transform=place font-size=size>{text.text.clone()}</text> }
}
