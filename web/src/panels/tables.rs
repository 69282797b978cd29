//! Tables of bays, pieces, waste and findings.
//!
//! In: the layout. Out: rows that select what they stand for, and show which of them is selected on the drawing.

use super::ledger::layout_signal;
use crate::controls::sign;
use crate::state::{Shell, shell};
use crate::text;
use baylap_core::layout::{Bay, Piece};
use baylap_core::{Finding, Layout};
use baylap_editor::{Message, Selection};
use leptos::prelude::*;
use std::sync::Arc;

/// The selection, read again when it changes.
pub(crate) fn selection_signal() -> Memo<Option<Selection>> {
    let shell = shell();
    Memo::new(move |_| {
        shell.parts.selection.track();
        shell.parts.plan.track();
        shell.read(baylap_editor::Session::selection)
    })
}

/// What the pointer is over, read again when it changes.
pub(crate) fn hovered_signal() -> Memo<Option<Selection>> {
    let shell = shell();
    Memo::new(move |_| {
        shell.parts.overlay.track();
        shell.read(baylap_editor::Session::hovered)
    })
}

/// Id of the row of a selection.
fn row_id(selection: Selection) -> Option<String> {
    match selection {
        Selection::Bay(n) => Some(format!("row-bay-{n}")),
        Selection::Piece(n) => Some(format!("row-piece-{n}")),
        _ => None,
    }
}

/// Brings the row of what is selected on the drawing into sight.
fn follow(selection: Memo<Option<Selection>>) {
    Effect::new(move |_| {
        let Some(id) = selection.get().and_then(row_id) else { return };
        if let Some(row) = document().get_element_by_id(&id) {
            let options = web_sys::ScrollIntoViewOptions::new();
            options.set_block(web_sys::ScrollLogicalPosition::Nearest);
            row.scroll_into_view_with_scroll_into_view_options(&options);
        }
    });
}

fn is(selection: Memo<Option<Selection>>, this: Selection) -> impl Fn() -> &'static str + Send + Sync + Copy {
    move || if selection.get() == Some(this) { "true" } else { "false" }
}

fn show(shell: Shell, this: Selection) {
    shell.send(Message::Show(this));
}

/// Lights what a row stands for on the drawing.
pub(crate) fn light(shell: Shell, what: Option<Selection>) {
    shell.send(Message::Hover(what));
}

/// The button that stands for a row, so that keys reach it.
fn pick(shell: Shell, this: Selection, words: String, name: String) -> impl IntoView {
    view! {
        <button
            type="button"
            class="in-row"
            aria-label=name
            on:click=move |event| {
                event.stop_propagation();
                show(shell, this);
            }
        >
            {words}
        </button>
    }
}

pub(crate) fn nothing(layout: Memo<Arc<Layout>>) -> impl Fn() -> bool + Send + Sync + Copy {
    move || layout.with(|l| l.pieces.is_empty() && l.bays.is_empty())
}

/// The bays, in the order they are poured.
#[component]
pub(crate) fn Bays() -> impl IntoView {
    let shell = shell();
    let layout = layout_signal();
    let selection = selection_signal();
    follow(selection);
    let row = move |bay: &Bay| {
        let this = Selection::Bay(bay.number);
        let courses = if bay.courses[0] == bay.courses[1] {
            bay.courses[0].to_string()
        } else {
            format!("{}–{}", bay.courses[0], bay.courses[1])
        };
        view! {
            <tr id=format!("row-bay-{}", bay.number) aria-selected=is(selection, this) on:click=move |_| show(shell, this) on:pointerenter=move |_| light(shell, Some(this)) on:pointerleave=move |_| light(shell, None)>
                <td>{pick(shell, this, bay.number.to_string(), format!("Bay {}", bay.number))}</td>
                <td class="r">{text::area_bare(bay.size)}</td>
                <td class="r">{text::metres_bare(bay.length)}</td>
                <td class="r">{courses}</td>
                <td class="r">{bay.pieces.len()}</td>
                <td class="r">{bay.zone}</td>
            </tr>
        }
    };
    view! {
        <Show when=move || !nothing(layout)() fallback=|| view! { <p class="lead">{text::NOTHING_LAID}</p> }>
            <table data-testid="bays">
                <caption class="hidden-words">"Bays, in the order they are poured"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Bay"</th>
                        <th scope="col" class="r">"Area, m²"</th>
                        <th scope="col" class="r">"Length, m"</th>
                        <th scope="col" class="r">"Courses"</th>
                        <th scope="col" class="r">"Pieces"</th>
                        <th scope="col" class="r">"Zone"</th>
                    </tr>
                </thead>
                <tbody>{move || layout.with(|l| l.bays.iter().map(row).collect_view())}</tbody>
            </table>
        </Show>
    }
}

/// The pieces.
#[component]
pub(crate) fn Pieces() -> impl IntoView {
    let shell = shell();
    let layout = layout_signal();
    let selection = selection_signal();
    follow(selection);
    let row = move |piece: &Piece| {
        let this = Selection::Piece(piece.number);
        let laps = format!("{} / {}", piece.lap_before, piece.lap_after);
        let ends = format!("{} / {}", piece.lap_from, piece.lap_to);
        view! {
            <tr id=format!("row-piece-{}", piece.number) aria-selected=is(selection, this) on:click=move |_| show(shell, this) on:pointerenter=move |_| light(shell, Some(this)) on:pointerleave=move |_| light(shell, None)>
                <td>{pick(shell, this, piece.number.to_string(), format!("Piece {}", piece.number))}</td>
                <td class="r">{piece.bay}</td>
                <td class="r">{piece.course}</td>
                <td class="r">{text::metres_bare(piece.length)}</td>
                <td class="r">{piece.across[1] - piece.across[0]}</td>
                <td class="r">{laps}</td>
                <td class="r">{ends}</td>
                <td class="r">{piece.roll}</td>
            </tr>
        }
    };
    view! {
        <Show when=move || !nothing(layout)() fallback=|| view! { <p class="lead">{text::NOTHING_LAID}</p> }>
            <table data-testid="pieces">
                <caption class="hidden-words">"Pieces"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Piece"</th>
                        <th scope="col" class="r">"Bay"</th>
                        <th scope="col" class="r">"Course"</th>
                        <th scope="col" class="r">"Length, m"</th>
                        <th scope="col" class="r">"Width, mm"</th>
                        <th scope="col" class="r">"Side laps, mm"</th>
                        <th scope="col" class="r">"End laps, mm"</th>
                        <th scope="col" class="r">"Roll"</th>
                    </tr>
                </thead>
                <tbody>{move || layout.with(|l| l.pieces.iter().map(row).collect_view())}</tbody>
            </table>
        </Show>
    }
}

/// Waste, and what it is made of.
#[component]
pub(crate) fn Waste() -> impl IntoView {
    let layout = layout_signal();
    let lines = move || {
        layout.with(|l| {
            let (t, w) = (&l.totals, &l.totals.waste);
            [
                ("Field, covered once", t.field_area, "field"),
                ("Laps", w.laps, "laps"),
                ("Trim at edges and openings", w.trim, "trim"),
                ("Scrap and cuts", w.scrap, "scrap"),
                ("Offcuts kept", w.offcuts, "offcut"),
            ]
            .map(|(name, area, class)| {
                let share = text::percent(area, t.roll_area);
                view! {
                    <tr>
                        <td>{name}</td>
                        <td class="r">{text::area_bare(area)}</td>
                        <td class="r">{share.clone()}</td>
                        <td class="share"><span class=class style=format!("width:{share}%")></span></td>
                    </tr>
                }
            })
            .collect_view()
        })
    };
    let sum = move || layout.with(|l| text::area_bare(l.totals.roll_area));
    let ordered = move || {
        layout.with(|l| {
            let t = &l.totals;
            [
                ("Deck as measured", format!("{} m²", text::area_bare(t.measured_area))),
                ("Cut lengths", format!("{} m", text::metres_round(t.cut_length))),
                ("Membrane", format!("{} kg in {} blocks", t.membrane_kg, t.blocks)),
                ("Primer", format!("{} litres in {} tins", t.primer_litres, t.primer_tins)),
                (
                    "Protection sheet",
                    format!("{} m² in {} rolls", text::area_bare(t.sheet_area), t.sheet_rolls),
                ),
                ("Upstand reinforcement", format!("{} m²", text::area_bare(t.upstand_area))),
            ]
            .map(|(name, value)| view! { <div><dt>{name}</dt><dd>{value}</dd></div> })
            .collect_view()
        })
    };
    view! {
        <div class="two">
            <div>
                <table data-testid="waste" class="still">
                    <caption>"Where the rolls go"</caption>
                    <thead>
                        <tr>
                            <th scope="col">"Part"</th>
                            <th scope="col" class="r">"m²"</th>
                            <th scope="col" class="r">"%"</th>
                            <th scope="col"><span class="hidden-words">"Share"</span></th>
                        </tr>
                    </thead>
                    <tbody>{lines}</tbody>
                    <tfoot>
                        <tr><td>"Rolls opened"</td><td class="r">{sum}</td><td class="r">"100.0"</td><td></td></tr>
                    </tfoot>
                </table>
                <p class="fine">{text::WASTE_LEAD}</p>
            </div>
            <div>
                <h3 class="table-head">"To order"</h3>
                <dl class="sums">{ordered}</dl>
                <p class="fine">{text::PRACTICE}</p>
            </div>
        </div>
    }
}

/// The findings, errors first.
#[component]
pub(crate) fn Findings() -> impl IntoView {
    let layout = layout_signal();
    let empty = move || layout.with(|l| l.findings.is_empty());
    view! {
        <Show when=move || !empty() fallback=|| view! { <p class="lead">{text::NO_FINDINGS}</p> }>
            <ul class="findings-list" data-testid="findings">
                {move || layout.with(|l| l.findings.iter().map(finding).collect_view())}
            </ul>
        </Show>
    }
}

/// One finding: a press shows its place.
pub(crate) fn finding(finding: &Finding) -> impl IntoView + use<> {
    let shell = shell();
    let told = finding.clone();
    view! {
        <li>
            <button type="button" class="finding" data-code=finding.code.clone() on:click=move |_| go_to(shell, &told)>
                <span class=sign::severity_class(finding.severity)>
                    {sign::severity(finding.severity)}
                    {text::severity(finding.severity)}
                </span>
                <span class="words">
                    <span>{finding.text.clone()}</span>
                    <span class="mend">{finding.mend.clone()}</span>
                </span>
            </button>
        </li>
    }
}

/// Shows the place of a finding: on the drawing, or the field it is about.
pub(crate) fn go_to(shell: Shell, finding: &Finding) {
    if let Some(selection) = Selection::of(&finding.about) {
        shell.send(Message::Show(selection));
    }
    if let Some(place) = finding.at {
        shell.send(Message::ShowPlace(place));
    }
    if let baylap_core::About::Setting(path) = &finding.about {
        super::inputs::show_setting(shell, path);
    }
}
