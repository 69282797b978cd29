//! The drawer over the ledger: the tables behind its numbers.
//!
//! In: which drawer is open. Out: one table. On a wide screen it is a column of its own and always open.

use super::compare_words::COMPARE;
use super::{choices, compare, day_by_day, rolls, tables};
use crate::controls::sign;
use crate::state::{Drawer, shell};
use crate::text;
use leptos::prelude::*;

/// Drawers in the order of their tabs.
const ALL: [(Drawer, &str, &str); 8] = [
    (Drawer::Bays, text::BAYS, "tab-bays"),
    (Drawer::Days, text::DAY_BY_DAY, "tab-days"),
    (Drawer::Pieces, text::PIECES, "tab-pieces"),
    (Drawer::Rolls, text::ROLLS, "tab-rolls"),
    (Drawer::Choices, text::CHOICES, "tab-choices"),
    (Drawer::Compare, COMPARE, "tab-compare"),
    (Drawer::Waste, text::WASTE, "tab-waste"),
    (Drawer::Findings, text::FINDINGS, "tab-findings"),
];

/// The drawer.
#[component]
pub(crate) fn Tables() -> impl IntoView {
    let shell = shell();
    let shown = Memo::new(move |_| shell.drawer.get().unwrap_or(Drawer::Bays));
    let tab = move |(i, (drawer, name, id)): (usize, (Drawer, &'static str, &'static str))| {
        view! {
            <button
                type="button"
                role="tab"
                id=id
                aria-selected=move || if shown.get() == drawer { "true" } else { "false" }
                tabindex=move || if shown.get() == drawer { "0" } else { "-1" }
                on:click=move |_| shell.drawer.set(Some(drawer))
                on:keydown=move |event| {
                    let step = match event.key().as_str() {
                        "ArrowRight" => 1,
                        "ArrowLeft" => ALL.len() - 1,
                        _ => return,
                    };
                    event.prevent_default();
                    let (next, _, id) = ALL[(i + step) % ALL.len()];
                    shell.drawer.set(Some(next));
                    super::bar::focus(id);
                }
            >
                {name}
            </button>
        }
    };
    view! {
        <section
            class="drawer"
            id="drawer"
            class:shut=move || shell.drawer.get().is_none()
            aria-label="Tables"
            data-testid="drawer"
        >
            <div class="drawer-head">
                <div class="tabs" role="tablist" aria-label="Tables">
                    {ALL.into_iter().enumerate().map(tab).collect_view()}
                </div>
                <button
                    type="button"
                    class="icon shut-drawer"
                    aria-label=text::CLOSE
                    on:click=move |_| shell.drawer.set(None)
                >
                    {sign::sign(sign::CLOSE)}
                </button>
            </div>
            <div class="drawer-body" tabindex="-1">
                {move || match shown.get() {
                    Drawer::Bays => view! { <tables::Bays/> }.into_any(),
                    Drawer::Days => view! { <day_by_day::DayByDay/> }.into_any(),
                    Drawer::Pieces => view! { <tables::Pieces/> }.into_any(),
                    Drawer::Rolls => view! { <rolls::Rolls/> }.into_any(),
                    Drawer::Choices => view! { <choices::Choices/> }.into_any(),
                    Drawer::Compare => view! { <compare::Compare/> }.into_any(),
                    Drawer::Waste => view! { <tables::Waste/> }.into_any(),
                    Drawer::Findings => view! { <tables::Findings/> }.into_any(),
                }}
            </div>
        </section>
    }
}
