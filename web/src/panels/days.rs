//! The days: how many there are, what each one lays, and what it takes.
//!
//! In: the layout. Out: the sums of the order, the rates that are examples, and a row for each day; its bays light up on the
//! drawing and are selected from here. A day with a date can be lost, which changes the calendar alone. It works nothing out.

use super::ledger::layout_signal;
use super::tables::{light, selection_signal};
use crate::state::shell;
use crate::text;
use baylap_core::layout::days::{Day, Days, Score, Turn};
use baylap_core::plan::date::Date;
use baylap_editor::{Change, Message, Selection};
use leptos::prelude::*;

/// The days of the layout, once the order of the bays is known.
#[component]
pub(crate) fn DaysFound() -> impl IntoView {
    let layout = layout_signal();
    let days = Memo::new(move |_| layout.with(|l| l.days.clone()));
    view! {
        <section class="part" data-testid="days-found">
            <h3>"Days"</h3>
            {move || match days.get() {
                Some(days) => view! { <Sums days=days.clone()/> <Table days/> }.into_any(),
                None => view! { <p class="lead">"The best order of the bays is being looked for."</p> }.into_any(),
            }}
        </section>
    }
}

/// What the order comes to.
#[component]
fn Sums(days: Days) -> impl IntoView {
    let Score { facing, joints, bad_joints, proved, cost, least, .. } = days.score;
    let best = if proved {
        "Proved the best order at the prices given.".to_owned()
    } else {
        // A bound of nothing says nothing.
        let above = if least > 0 { (cost - least) * 100 / least } else { 0 };
        format!("Within {above} % of what no order could go below; not proved the best.")
    };
    let examples = days.examples.len();
    let finish = days.finish.map(|date| format!(" With the weather allowed for it ends on {date}."));
    view! {
        <p data-testid="days-sum">
            {format!("{} days, {} bays.", days.score.days, days.bays.len())}{finish}" "{best}
        </p>
        <p>
            {format!(
                "Day joints {}, of these {} in bad places. Laps between bays that face the water: {}.",
                text::metres_round(joints),
                text::metres_round(bad_joints),
                text::metres_round(facing),
            )}
        </p>
        <Show when=move || { examples > 0 }>
            <p class="lead" data-testid="days-examples">
                {format!("{examples} rates are examples that nobody has confirmed: no norm is published for them. The days are no better than they are.")}
            </p>
        </Show>
        <p class="lead">"Hot work, gas, heights, fumes: the maker's data sheets, local codes and licensed practice decide."</p>
    }
}

/// A row for each day.
#[component]
fn Table(days: Days) -> impl IntoView {
    let gangs = days.gangs.len();
    let rows = days.days.into_iter().map(move |day| row(day, gangs)).collect_view();
    view! {
        <div class="days-table" tabindex="0" role="region" aria-label="Days">
            <table class="still" data-testid="days">
                <caption class="hidden-words">"Days, with the bays of each in the order they are begun"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Day"</th>
                        <th scope="col">"Bays"</th>
                        <th scope="col" class="r">"Membrane, kg"</th>
                        <th scope="col" class="r">"Blocks"</th>
                        <th scope="col" class="r">"Primer, l"</th>
                        <th scope="col" class="r">"Rolls up"</th>
                        <th scope="col" class="r">"Part rolls"</th>
                        <th scope="col"><span class="hidden-words">"Lost"</span></th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
        </div>
    }
}

fn row(day: Day, gangs: usize) -> impl IntoView {
    let name = day.date.map_or_else(|| day.number.to_string(), |date| format!("{}, {date}", day.number));
    let materials = day.materials;
    let bays = day.turns.into_iter().map(move |turn| bay(turn, gangs)).collect_view();
    view! {
        <tr>
            <th scope="row">{name}</th>
            <td>{bays}</td>
            <td class="r">{materials.membrane_kg + materials.details_kg}</td>
            <td class="r">{materials.blocks}</td>
            <td class="r">{materials.primer_litres}</td>
            <td class="r">{materials.rolls_up.len()}</td>
            <td class="r">{materials.rolls_part.len()}</td>
            <td>{day.date.map(lose)}</td>
        </tr>
    }
}

/// The button that loses a day: its date joins the days lost, and all behind it moves.
fn lose(date: Date) -> impl IntoView {
    let shell = shell();
    let act = move |_| {
        let mut programme = shell.read(|session| session.plan().programme.clone());
        if !programme.calendar.lost.contains(&date) {
            programme.calendar.lost.push(date);
            shell.send(Message::Edit(Change::Programme(programme)));
        }
    };
    view! {
        <button type="button" class="plain" aria-label=format!("Day lost: {date}") on:click=act>"Day lost"</button>
    }
}

/// The button of a bay: it selects the bay on the drawing.
fn bay(turn: Turn, gangs: usize) -> impl IntoView {
    let shell = shell();
    let selection = selection_signal();
    let this = Selection::Bay(turn.bay);
    let gang = if gangs > 1 { format!(" gang {}", turn.gang) } else { String::new() };
    let name = format!("Bay {}{gang}, minutes {} to {} of the day", turn.bay, turn.from, turn.to);
    view! {
        <button
            type="button"
            class="in-row"
            aria-label=name.clone()
            title=name
            aria-pressed=move || if selection.get() == Some(this) { "true" } else { "false" }
            on:click=move |_| { shell.send(Message::Show(this)); }
            on:pointerenter=move |_| light(shell, Some(this))
            on:pointerleave=move |_| light(shell, None)
        >
            {turn.bay}{gang}
        </button>
        " "
    }
}
