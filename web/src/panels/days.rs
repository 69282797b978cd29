//! The days: how many there are, what each one lays, and what it takes.
//!
//! In: the layout. Out: the sums of the order, the rates that are examples with the way to their fields, and a row for each
//! day; its bays light up on the drawing and are selected from here. A day with a date can be lost, which changes the
//! calendar alone. It works nothing out.

use super::inputs::{list, show_setting};
use super::ledger::layout_signal;
use super::tables::{light, selection_signal};
use crate::state::{Drawer, shell};
use crate::text;
use baylap_core::Layout;
use baylap_core::layout::days::{Day, Days, Score, Turn};
use baylap_core::plan::date::Date;
use baylap_editor::{Change, Message, Selection, day, fields};
use leptos::prelude::*;

/// The days of the layout, once the order of the bays is known.
#[component]
pub(crate) fn DaysFound() -> impl IntoView {
    let shell = shell();
    let layout = layout_signal();
    let days = Memo::new(move |_| layout.with(|l| l.days.clone()));
    let open = move |_| {
        shell.cover.set(None);
        shell.drawer.set(Some(Drawer::Days));
    };
    view! {
        <section class="part" data-testid="days-found">
            <h3>"Days"</h3>
            <button type="button" class="button" data-testid="day-by-day" on:click=open>
                "Play the job day by day"
            </button>
            {move || match days.get() {
                Some(days) => view! { <Sums days=days.clone()/> <Table days/> }.into_any(),
                None => view! { <p class="lead">"The best order of the bays is being looked for."</p> }.into_any(),
            }}
        </section>
    }
}

/// What a day comes to, for the card of what is selected.
pub(super) fn facts(layout: &Layout, number: u32) -> Vec<(&'static str, String)> {
    let mut days = layout.days.iter().flat_map(|d| &d.days);
    let Some(day) = days.find(|d| d.number == number) else { return Vec::new() };
    let bays: Vec<u32> = day.turns.iter().map(|t| t.bay).collect();
    let last = day.turns.iter().map(|t| t.to).max().unwrap_or(0);
    let m = &day.materials;
    let mut facts = vec![
        ("Bays", list(&bays)),
        ("Done by", format!("{}:{:02} h from the start of work", last / 60, last % 60)),
        ("Membrane", format!("{} kg in {} blocks", m.membrane_kg + m.details_kg, m.blocks)),
        ("Rolls to carry up", m.rolls_up.len().to_string()),
    ];
    if let Some(date) = day.date {
        facts.insert(0, ("Date", date.to_string()));
    }
    facts
}

/// When a bay is laid, and by whom where there are several gangs.
pub(super) fn facts_of_bay(layout: &Layout, bay: u32) -> Vec<(&'static str, String)> {
    let Some(days) = &layout.days else { return Vec::new() };
    let turns = days.days.iter().flat_map(|d| d.turns.iter().map(move |t| (d, t)));
    let Some((day, turn)) = turns.into_iter().find(|(_, t)| t.bay == bay) else { return Vec::new() };
    let mut facts = vec![
        ("Laid on", baylap_editor::tie::day_name(day)),
        ("From the start of work", format!("{} h", day::times(turn))),
    ];
    if days.gangs.len() > 1 {
        facts.push(("Laid by", day::gang_name(days, turn.gang)));
    }
    facts
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
    let finish = days.finish.map(|date| format!(" With the weather allowed for it ends on {date}."));
    view! {
        <p data-testid="days-sum">
            {format!("{} days, {} bays.", days.score.days, days.bays.len())}{finish}" "{best}
        </p>
        <p>
            {format!(
                "Day joints {} m, of these {} m in bad places. Laps between bays that face the water: {} m.",
                text::metres_round(joints),
                text::metres_round(bad_joints),
                text::metres_round(facing),
            )}
        </p>
        <Examples paths=days.examples/>
        <p class="lead">"Hot work, gas, heights, fumes: the maker's data sheets, local codes and licensed practice decide."</p>
    }
}

/// The rates that nobody has given, each a way to its field.
#[component]
fn Examples(paths: Vec<String>) -> impl IntoView {
    let shell = shell();
    let count = paths.len();
    let one = move |path: String| {
        let label = shell.read(|s| fields::label_of(s, &path)).unwrap_or_else(|| path.clone());
        let to = path.clone();
        view! {
            <li>
                <button type="button" class="thing" data-example=path on:click=move |_| show_setting(shell, &to)>
                    {label}
                </button>
            </li>
        }
    };
    (count > 0).then(move || {
        view! {
            <div data-testid="days-examples">
                <p class="lead">
                    {format!("{count} rates are examples that nobody has confirmed: no norm is published for them. The days are no better than they are.")}
                </p>
                <details class="sides">
                    <summary>"Which they are"</summary>
                    <ul class="things">{paths.into_iter().map(one).collect_view()}</ul>
                </details>
            </div>
        }
    })
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
    let shell = shell();
    let selection = selection_signal();
    let this = Selection::Day(day.number);
    let name = day.date.map_or_else(|| day.number.to_string(), |date| format!("{}, {date}", day.number));
    let materials = day.materials;
    let bays = day.turns.into_iter().map(move |turn| bay(turn, gangs)).collect_view();
    view! {
        <tr on:pointerenter=move |_| light(shell, Some(this)) on:pointerleave=move |_| light(shell, None)>
            <th scope="row">
                <button
                    type="button"
                    class="in-row"
                    aria-label=format!("Day {name}")
                    aria-pressed=move || if selection.get() == Some(this) { "true" } else { "false" }
                    on:click=move |_| { shell.send(Message::Show(this)); }
                >
                    {name.clone()}
                </button>
            </th>
            <td class="day-bays">{bays}</td>
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
    let name = format!("Bay {}{gang}, {} h from the start of work", turn.bay, day::times(&turn));
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
