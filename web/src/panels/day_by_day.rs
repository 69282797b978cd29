//! The days one after the other: the bar that plays them, the strip, ties that cannot be kept, and one day in full.
//!
//! In: the layout with its days. Out: its parts, in the order a gang leader reads them. It works nothing out.

use super::day::DayShown;
use super::ledger::layout_signal;
use super::play::Play;
use super::strip::Strip;
use super::tables;
use crate::surface::played::Key;
use crate::text;
use baylap_core::Finding;
use baylap_editor::tie;
use leptos::prelude::*;

/// The days.
#[component]
pub(super) fn DayByDay() -> impl IntoView {
    let layout = layout_signal();
    let nothing = tables::nothing(layout);
    view! {
        <Show when=move || !nothing() fallback=|| view! { <p class="lead">{text::NOTHING_LAID}</p> }>
            <div class="day-by-day">
                <Play/>
                <Key/>
                <Strip/>
                <Broken/>
                <DayShown/>
            </div>
        </Show>
    }
}

/// Ties that no order can keep, beside the strip that shows them.
#[component]
fn Broken() -> impl IntoView {
    let layout = layout_signal();
    let told = Memo::new(move |_| layout.with(|l| tie::findings(l).cloned().collect::<Vec<Finding>>()));
    view! {
        <Show when=move || told.with(|t| !t.is_empty())>
            <ul class="findings-list" data-testid="tie-findings" aria-label="Ties that cannot be kept">
                {move || told.with(|t| t.iter().map(tables::finding).collect_view())}
            </ul>
        </Show>
    }
}
