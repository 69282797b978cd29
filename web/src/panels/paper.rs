//! What the browser prints: job, drawing, sums and tables, from the same display list as the board.
//!
//! In: the session at the moment of printing. Out: a part of the page that only printers see. The true-scale sheet is
//! the PDF; this one is fitted to the paper and says so.

use crate::state::{Shell, shell};
use crate::text;
use baylap_core::{Layout, Plan};
use baylap_sheets::{SceneOptions, deck_scene, scene_svg};
use leptos::prelude::*;
use std::sync::Arc;

/// Scales tried, smallest first: 1 to so many.
const SCALES: [i64; 8] = [20, 50, 100, 200, 250, 500, 1000, 2000];
/// Room for the drawing on A4 upright, mm.
const ROOM: [i64; 2] = [186, 205];

/// Scale of what fits none of these.
const COARSEST: i64 = 5000;
/// Scale from which courses, a mm apart on paper, would run into each other and are left out.
const COURSES_MERGE: i64 = 1000;
/// White round the drawing, mm.
const MARGIN: i64 = 6;

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
        {layout.findings.is_empty().then(|| view! { <p>{text::NO_FINDINGS}</p> })}
        <h2>{text::CHOICES}</h2>
        {super::choices::printed(layout)}
        <h2>{text::ROLLS}</h2>
        <p>{text::rolls_head(layout)}</p>
        <p class="rolls-key">
            <span class="key piece"></span> {text::KEY_PIECE}
            <span class="key strip"></span> {text::KEY_STRIP}
            <span class="key offcut"></span> {text::KEY_OFFCUT}
            <span class="key scrap"></span> {text::KEY_SCRAP}
        </p>
        <div class="rolls" inner_html=super::rolls::html(layout, false)></div>
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
    let fits = |s: &&i64| w + 2 * MARGIN * **s <= ROOM[0] * **s && h + 2 * MARGIN * **s <= ROOM[1] * **s;
    let scale = SCALES.iter().find(fits).copied().unwrap_or(COARSEST);
    let pieces = scale < COURSES_MERGE;
    let scene =
        deck_scene(plan, layout, SceneOptions { scale, tint: false, pieces, ..SceneOptions::default() });
    view! {
        <div class="printed" inner_html=scene_svg(&scene, scale, MARGIN)></div>
        <p class="scale">{text::printed_scale(scale)}</p>
    }
}
