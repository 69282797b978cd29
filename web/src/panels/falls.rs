//! The falls as found: classes, ponds, outlets, and what edges and laps do to the water.
//!
//! In: the layout. Out: lists that lead to the drawing, and the buttons that move bay edges out of the water. Settings
//! and levels stand in [`super::inputs`]; it works nothing out.

use super::falls_words as words;
use super::ledger::layout_signal;
use super::levels_words;
use crate::state::{Dialog, Shell, shell};
use crate::text;
use baylap_core::Layout;
use baylap_core::geom::{Pt, ring};
use baylap_core::layout::falls::{Falls, OutletWork, Pond, Verdict};
use baylap_core::plan::Plan;
use baylap_editor::better::{self, Movable};
use baylap_editor::{CommandId, Message, Selection};
use leptos::prelude::*;
use std::sync::Arc;

/// Room shown round a bay edge, mm.
const ROOM: i64 = 1500;
/// Bay edges in bad places listed at most.
const MOST_EDGES: usize = 40;

/// What was found.
#[component]
pub(crate) fn FallsFound() -> impl IntoView {
    let shell = shell();
    let layout = layout_signal();
    let plan = Memo::new(move |_| {
        shell.parts.plan.track();
        shell.read(|s| Arc::clone(s.plan()))
    });
    let some = Memo::new(move |_| layout.with(|l| l.falls.is_some()));
    let parts = move || {
        let (l, p) = (layout.get(), plan.get());
        l.falls.as_ref().map(|f| found(shell, f, &l, &p))
    };
    on_cleanup(move || {
        shell.send(Message::Preview(Vec::new()));
    });
    view! {
        <section class="part" data-testid="falls">
            <button type="button" class="button" on:click=move |_| shell.dialog.set(Some(Dialog::Levels))>
                {levels_words::LEVELS_FROM_LIST}
            </button>
            <Show when=move || some.get() fallback=|| view! { <p class="lead">{words::NO_FALLS}</p> }>
                {parts}
            </Show>
        </section>
        <Edges/>
    }
    .into_any()
}

fn found(shell: Shell, falls: &Falls, layout: &Layout, plan: &Plan) -> AnyView {
    let ponds = falls.ponds.iter().map(|p| pond(shell, p, plan)).collect_view();
    let outlets = falls.outlets.iter().map(|o| outlet(shell, o, plan)).collect_view();
    let over = (falls.over_edges > 0).then(|| words::over_edges(falls.over_edges));
    let trapped = (falls.trapped > 0).then(|| words::trapped(falls.trapped));
    view! {
        <p class="lead">{words::JUDGED_BY}<strong>{falls.rule.name.clone()}</strong></p>
        {classes(falls)}
        <p class="fine">{falls.rule.source.clone()}</p>
        <p class="fine">{words::input(&falls.input)}</p>
        <h2>{words::ponds(falls.ponds.len())}</h2>
        <ul class="wet" data-testid="ponds">{ponds}</ul>
        <h2>{words::OUTLETS}</h2>
        {falls.outlets.is_empty().then(|| view! { <p class="lead">{words::NO_OUTLETS}</p> })}
        <ul class="wet" data-testid="outlets">{outlets}</ul>
        {over.map(|words| view! { <p class="lead">{words}</p> })}
        {trapped.map(|words| view! { <p class="lead">{words}</p> })}
        <h2>{words::VERDICTS}</h2>
        {verdicts(falls, layout)}
    }
    .into_any()
}

/// Area of each class.
fn classes(falls: &Falls) -> AnyView {
    let whole: i64 = falls.class_areas.iter().sum();
    let row = |(class, area): (_, i64)| {
        view! {
            <tr data-class=words::class_slug(class)>
                <th scope="row">{words::class(class, falls)}</th>
                <td class="r">{text::area_bare(area)}</td>
                <td class="r">{text::percent(area, whole)}</td>
            </tr>
        }
    };
    view! {
        <table class="still" data-testid="classes">
            <thead>
                <tr>
                    <th scope="col">{words::FALL}</th>
                    <th scope="col" class="r">"m²"</th>
                    <th scope="col" class="r">"%"</th>
                </tr>
            </thead>
            <tbody>{words::CLASSES.into_iter().zip(falls.class_areas).map(row).collect_view()}</tbody>
        </table>
    }
    .into_any()
}

/// A button that shows something on the drawing.
fn show(shell: Shell, name: String, what: Selection) -> impl IntoView {
    view! {
        <button type="button" class="button" aria-label=name on:click=move |_| { shell.send(Message::Show(what)); }>
            {text::SHOW_LINES}
        </button>
    }
}

fn pond(shell: Shell, pond: &Pond, plan: &Plan) -> AnyView {
    let what = Selection::Pond(pond.number);
    let title = format!("Pond {}", pond.number);
    let over = move |on: bool| {
        shell.send(Message::Hover(on.then_some(what)));
    };
    view! {
        <li
            data-testid=format!("pond-{}", pond.number)
            on:pointerenter=move |_| over(true)
            on:pointerleave=move |_| over(false)
        >
            <strong>{title.clone()}</strong>
            <span>{words::pond(pond)}</span>
            <span class="mend">{words::drained(pond, plan)}</span>
            {show(shell, format!("{} {title}", text::SHOW_LINES), what)}
        </li>
    }
    .into_any()
}

fn outlet(shell: Shell, outlet: &OutletWork, plan: &Plan) -> AnyView {
    let name = words::name(plan, outlet.id);
    let kind = if outlet.overflow { format!("{name}, {}", words::OVERFLOW) } else { name.clone() };
    let walls = (outlet.wall_area > 0).then(|| words::with_walls(outlet.wall_area));
    let level = if outlet.level_um.is_none() { words::NO_LEVEL_THERE } else { "" };
    let works = if outlet.overflow { words::OVERFLOW_WORKS } else { "" };
    view! {
        <li data-testid=format!("outlet-{}", outlet.id)>
            <strong>{super::inputs::capital(&kind)}</strong>
            <span>{words::catchment(outlet.size)}{walls}": "{words::takes(outlet)}". "{level}{works}</span>
            {words::blocked(outlet, plan).map(|b| view! { <span class="mend">{b}</span> })}
            {show(shell, format!("{} {name}", text::SHOW_LINES), Selection::Thing(outlet.id))}
        </li>
    }
    .into_any()
}

/// Length of edges and laps by verdict; those that are bad are told by a sign.
fn verdicts(falls: &Falls, layout: &Layout) -> AnyView {
    if falls.lengths.is_empty() {
        let words = if layout.bays.is_empty() { text::NOTHING_LAID } else { words::NO_VERDICTS };
        return view! { <p class="lead">{words}</p> }.into_any();
    }
    let bad = |v: Verdict| {
        matches!(v, Verdict::FacesWater | Verdict::LowLine | Verdict::InPond | Verdict::AtOutlet)
    };
    let rows = falls.lengths.iter().map(|l| {
        let sign = bad(l.verdict).then(|| crate::controls::sign::severity(baylap_core::Severity::Warning));
        let class = if bad(l.verdict) { "sev warning" } else { "" };
        view! {
            <tr data-verdict=words::verdict_slug(l.verdict)>
                <th scope="row"><span class=class>{sign}{words::verdict(l.verdict)}</span></th>
                <td class="r">{text::metres_round(l.bay_edges)}</td>
                <td class="r">{text::metres_round(l.side_laps)}</td>
                <td class="r">{text::metres_round(l.end_laps)}</td>
            </tr>
        }
    });
    view! {
        <table class="still" data-testid="verdicts">
            <caption class="fine">{words::VERDICTS_LEAD}</caption>
            <thead>
                <tr>
                    <th scope="col">{words::VERDICT}</th>
                    <th scope="col" class="r">{words::BAY_EDGES}</th>
                    <th scope="col" class="r">{words::SIDE_LAPS}</th>
                    <th scope="col" class="r">{text::END_LAPS}</th>
                </tr>
            </thead>
            <tbody>{rows.collect_view()}</tbody>
        </table>
    }
    .into_any()
}

/// Bay edges in bad places that have a better one.
#[component]
fn Edges() -> impl IntoView {
    let shell = shell();
    let layout = layout_signal();
    let edges = Memo::new(move |_| layout.with(|l| better::movable(l)));
    let current = move || {
        shell.parts.layout.track();
        shell.read(|s| s.can(CommandId::MoveEdges))
    };
    let listed =
        move || edges.with(|e| e.iter().take(MOST_EDGES).map(|e| edge(shell, *e, current)).collect_view());
    let more = move || edges.with(|e| e.len().saturating_sub(MOST_EDGES));
    view! {
        <Show when=move || edges.with(|e| !e.is_empty())>
            <section class="part" data-testid="bad-edges">
                <h2>{move || words::bad_edges(edges.with(Vec::len))}</h2>
                <p class="lead">{words::BAD_EDGES_LEAD}</p>
                <button
                    type="button"
                    class="button"
                    disabled=move || !current()
                    on:click=move |_| shell.command(CommandId::MoveEdges)
                >
                    {words::MOVE_ALL}
                </button>
                <ul class="wet">{listed}</ul>
                {move || (more() > 0).then(|| view! { <p class="fine">{levels_words::more_problems(more())}</p> })}
            </section>
        </Show>
    }
    .into_any()
}

fn edge(shell: Shell, edge: Movable, current: impl Fn() -> bool + Copy + Send + Sync + 'static) -> AnyView {
    let move_there = move |_| {
        let change = shell.read(|s| better::moved(s.plan(), s.layout(), &edge));
        shell.send(Message::Preview(Vec::new()));
        shell.send(Message::Edit(change));
        shell.live.set(words::EDGE_MOVED.to_owned());
    };
    let preview = move |on: bool| {
        let lines = if on { lines(&edge) } else { Vec::new() };
        shell.send(Message::Preview(lines));
    };
    let show = move |_| {
        if let Some((lo, hi)) = ring::bounds(&[edge.part.a, edge.part.b, edge.better.at]) {
            let room = |p: Pt, by: i64| Pt::new(p.x + by, p.y + by);
            shell.send(Message::ShowBox([room(lo, -ROOM), room(hi, ROOM)]));
        }
        preview(true);
    };
    view! {
        <li
            on:pointerenter=move |_| preview(true)
            on:pointerleave=move |_| preview(false)
            on:focusin=move |_| preview(true)
            on:focusout=move |_| preview(false)
        >
            <span>{words::movable(&edge)}</span>
            <span class="row">
                <button type="button" class="button" on:click=show>{text::SHOW_LINES}</button>
                <button type="button" class="button main" disabled=move || !current() on:click=move_there>
                    {words::MOVE_THERE}
                </button>
            </span>
        </li>
    }
    .into_any()
}

/// The edge as it is, the way it would go, and where it would run.
fn lines(edge: &Movable) -> Vec<Vec<Pt>> {
    let (a, b, at) = (edge.part.a, edge.part.b, edge.better.at);
    let middle = Pt::new(a.x.midpoint(b.x), a.y.midpoint(b.y));
    let there = |p: Pt| Pt::new(p.x + at.x - middle.x, p.y + at.y - middle.y);
    // A better place along the edge's own line has no line of its own to show.
    vec![vec![a, b], vec![middle, at], vec![there(a), there(b)]]
}
