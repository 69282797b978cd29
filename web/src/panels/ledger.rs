//! The ledger: what the layout comes to, always in sight.
//!
//! In: the layout's sums and findings. Out: a row of numbers, each a button that opens what it is made of. While a new
//! layout is on its way the old numbers stay and dim.

use crate::controls::sign;
use crate::state::{Drawer, Looking, Shell, shell};
use crate::text;
use baylap_core::layout::Totals;
use baylap_core::{Layout, Severity};
use leptos::prelude::*;
use std::sync::Arc;

/// The ledger.
#[component]
pub(crate) fn Ledger() -> impl IntoView {
    let shell = shell();
    let layout = layout_signal();
    let old = move || {
        shell.parts.layout.track();
        !shell.read(baylap_editor::Session::layout_is_current)
    };
    let total = move |pick: fn(&Totals) -> String| move || layout.with(|l| pick(&l.totals));
    view! {
        <div class="ledger" class:old=old role="group" aria-label=text::LEDGER data-testid="ledger">
            <RollsCell layout=layout/>
            <WasteCell layout=layout/>
            {cell(Drawer::Pieces, text::SIDE_LAP, total(|t| text::metres_round(t.side_lap_length)), "m", String::new)}
            {cell(Drawer::Pieces, text::END_LAPS, total(|t| t.end_laps.to_string()), "", String::new)}
            {cell(Drawer::Bays, text::BAYS, total(|t| t.bays.to_string()), "", String::new)}
            {cell(Drawer::Bays, text::DECK_AREA, total(|t| text::area_bare(t.deck_area)), "m²", String::new)}
            <FindingsCell layout=layout/>
        </div>
    }
}

/// The layout shown, read again when a new one came.
pub(crate) fn layout_signal() -> Memo<Arc<Layout>> {
    let shell = shell();
    Memo::new_with_compare(
        move |_| {
            shell.parts.layout.track();
            shell.read(|s| s.layout().clone())
        },
        |a, b| match (a, b) {
            (Some(a), Some(b)) => !Arc::ptr_eq(a, b),
            _ => true,
        },
    )
}

fn cell(
    opens: Drawer,
    name: &'static str,
    value: impl Fn() -> String + Send + Sync + 'static,
    unit: &'static str,
    small: impl Fn() -> String + Send + Sync + 'static,
) -> impl IntoView {
    let shell = shell();
    let slug = name.to_lowercase().replace(' ', "-");
    view! {
        <button
            type="button"
            class="cell"
            data-ledger=slug
            aria-expanded=move || if shell.drawer.get() == Some(opens) { "true" } else { "false" }
            aria-controls="drawer"
            on:click=move |_| toggle(shell, opens)
        >
            <span class="name">{name}</span>
            <span class="value">
                <b>{value}</b>
                {(!unit.is_empty()).then(|| view! { <span class="unit">{unit}</span> })}
            </span>
            <span class="small">{small}</span>
        </button>
    }
}

/// The rolls opened beside what they are measured against.
#[component]
fn RollsCell(layout: Memo<Arc<Layout>>) -> impl IntoView {
    let shell = shell();
    let over = move || shell.looking.get() == Looking::Over;
    let some = move || layout.with(|l| l.totals.rolls > 0);
    let found = move || layout.with(|l| text::found(&l.totals, over()));
    let least = move || layout.with(|l| l.totals.rolls_least);
    let proved = move || layout.with(|l| l.totals.proved);
    let limits = move || layout.with(|l| text::limits(&l.totals));
    view! {
        <button
            type="button"
            class="cell measured"
            data-ledger="rolls"
            aria-expanded=move || if shell.drawer.get() == Some(Drawer::Rolls) { "true" } else { "false" }
            aria-controls="drawer"
            on:click=move |_| toggle(shell, Drawer::Rolls)
        >
            <span class="name">{text::ROLLS}</span>
            <span class="value"><b>{move || layout.with(|l| l.totals.rolls.to_string())}</b></span>
            <span class="small found" class:still=move || !over() data-testid="found">{found}</span>
            <Show when=some>
                <span class="small limit">
                    <Show when=move || !proved()>{move || format!("at least {} · ", least())}</Show>
                    {move || format!("limit {}", limits())}
                </span>
            </Show>
        </button>
    }
}

/// The waste, what it is made of, and what it would be at the limit.
#[component]
fn WasteCell(layout: Memo<Arc<Layout>>) -> impl IntoView {
    let shell = shell();
    let some = move || layout.with(|l| l.totals.rolls > 0);
    let value = move || layout.with(|l| text::percent(text::wasted(&l.totals), l.totals.roll_area));
    let limit = move || layout.with(|l| format!("limit {} %", text::limit(&l.totals)));
    let split = move || layout.with(|l| text::split_of_waste(&l.totals));
    view! {
        <button
            type="button"
            class="cell measured"
            data-ledger="waste"
            aria-expanded=move || if shell.drawer.get() == Some(Drawer::Waste) { "true" } else { "false" }
            aria-controls="drawer"
            on:click=move |_| toggle(shell, Drawer::Waste)
        >
            <span class="name">{text::WASTE}</span>
            <span class="value"><b>{value}</b><span class="unit">"%"</span></span>
            <Show when=some>
                <span class="small found">{limit}</span>
                <span class="small limit" data-testid="waste-split">{split}</span>
            </Show>
        </button>
    }
}

fn toggle(shell: Shell, drawer: Drawer) {
    shell.drawer.update(|open| *open = if *open == Some(drawer) { None } else { Some(drawer) });
}

#[component]
fn FindingsCell(layout: Memo<Arc<Layout>>) -> impl IntoView {
    let shell = shell();
    let count = move |severity: Severity| {
        layout.with(|l| l.findings.iter().filter(|f| f.severity == severity).count())
    };
    let one = move |severity: Severity| {
        view! {
            <span class=sign::severity_class(severity) class:none=move || count(severity) == 0>
                {sign::severity(severity)}
                <b aria-hidden="true">{move || count(severity).to_string()}</b>
                <span class="hidden-words">{move || text::severities(severity, count(severity))}</span>
            </span>
        }
    };
    view! {
        <button
            type="button"
            class="cell findings"
            data-ledger="findings"
            aria-expanded=move || if shell.drawer.get() == Some(Drawer::Findings) { "true" } else { "false" }
            aria-controls="drawer"
            on:click=move |_| toggle(shell, Drawer::Findings)
        >
            <span class="name">{text::FINDINGS}</span>
            <span class="value">
                {one(Severity::Error)} {one(Severity::Warning)} {one(Severity::Note)}
            </span>
            <span class="small"></span>
        </button>
    }
}
