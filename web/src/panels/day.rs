//! One day: its bays with their times, what it takes, its melters, the joints left open, where the bond test is made.
//!
//! In: the editor's lines for the day or the bay selected last, or for the moment shown last, else for the first day. Out: tables and lists that light and select their bays; the day that a bay is tied to, to choose from.

use super::ledger::layout_signal;
use super::play::moment_signal;
use super::tables::{light, selection_signal};
use crate::state::{Shell, shell};
use baylap_core::geom::Pt;
use baylap_editor::day::{self, DayDetails, JointLine, MelterLine, TurnLine};
use baylap_editor::{Message, Selection, Session, TieTo, tie};
use leptos::prelude::*;

/// What is read of the session for one day.
#[derive(Clone, PartialEq)]
struct Read {
    day: DayDetails,
    /// Number and name of every day, to tie bays to.
    days: Vec<(u32, String)>,
    /// For each bay of the day: the day it is tied to, if it is one of these.
    tied_to: Vec<Option<u32>>,
    gangs: bool,
    clock: bool,
}

/// The day.
#[component]
pub(super) fn DayShown() -> impl IntoView {
    let shell = shell();
    let layout = layout_signal();
    let selection = selection_signal();
    let moment = moment_signal();
    let number = RwSignal::new(moment.get_untracked().map_or(1, |m| m.day));
    // What was done last says which day: selecting one, or playing on.
    Effect::new(move |_| {
        layout.track();
        let selected = match selection.get() {
            Some(Selection::Day(n)) => Some(n),
            Some(Selection::Bay(bay)) => super::strip::day_of(shell, bay),
            _ => None,
        };
        number.set(selected.or(moment.get_untracked().map(|m| m.day)).unwrap_or(1));
    });
    Effect::new(move |_| {
        if let Some(at) = moment.get() {
            number.set(at.day);
        }
    });
    let read = Memo::new(move |_| {
        layout.track();
        shell.parts.plan.track();
        shell.read(|s| read_day(s, number.get()))
    });
    view! { {move || read.get().map(|read| view! { <One read/> })} }
}

fn read_day(session: &Session, number: u32) -> Option<Read> {
    let (plan, layout) = (session.plan(), session.layout());
    let day = day::details(plan, layout, number)?;
    let days = layout.days.as_ref()?;
    let tied_to = |turn: &TurnLine| {
        let tie = tie::of_bay(plan, layout, turn.bay)?;
        let found = match tie.date {
            Some(date) => days.days.iter().find(|d| d.date == Some(date)),
            None => days.days.iter().find(|d| Some(d.number) == tie.day),
        };
        found.map(|d| d.number)
    };
    Some(Read {
        tied_to: day.turns.iter().map(tied_to).collect(),
        days: days.days.iter().map(|d| (d.number, tie::day_name(d))).collect(),
        gangs: days.gangs.len() > 1,
        clock: plan.programme.rates.day_start.is_some(),
        day,
    })
}

#[component]
fn One(read: Read) -> impl IntoView {
    let shell = shell();
    let this = Selection::Day(read.day.number);
    let Read { day, days, tied_to, gangs, clock } = read;
    let rows = day
        .turns
        .into_iter()
        .zip(tied_to)
        .map(|(turn, to)| row(shell, turn, (days.clone(), to), (gangs, clock)));
    let materials =
        day.materials.into_iter().map(|(name, what)| view! { <div><dt>{name}</dt><dd>{what}</dd></div> });
    let melters = day.melters.into_iter().map(melter).collect_view();
    let joints = joints(shell, day.joints);
    let name = day.name.clone();
    view! {
        <section class="day-shown" data-testid="day-details" aria-label=name>
            <h3 on:pointerenter=move |_| light(shell, Some(this)) on:pointerleave=move |_| light(shell, None)>
                {day.name}
            </h3>
            <div class="day-parts">
                <div class="days-table day-turns" tabindex="0" role="region" aria-label="Bays of the day">
                    <table class="still">
                        <thead>
                            <tr>
                                <th scope="col">"Bay"</th>
                                {gangs.then(|| view! { <th scope="col">"Gang"</th> })}
                                <th scope="col">"From the start of work, h"</th>
                                {clock.then(|| view! { <th scope="col">"By the clock"</th> })}
                                <th scope="col">"Tied to"</th>
                                <th scope="col">"What the time goes on, h"</th>
                            </tr>
                        </thead>
                        <tbody>{rows.collect_view()}</tbody>
                    </table>
                </div>
                <div>
                    <h4>"To have on the roof"</h4>
                    <dl class="sums" data-testid="day-materials">{materials.collect_view()}</dl>
                </div>
                <div>
                    <h4>"Melter"</h4>
                    <ul class="day-list" data-testid="day-melters">{melters}</ul>
                    {test(shell, day.test)}
                    {ahead(shell, &day.ahead)}
                </div>
                <div>
                    <h4>"Joints left open at the end"</h4>
                    {joints}
                </div>
            </div>
        </section>
    }
}

fn row(
    shell: Shell,
    turn: TurnLine,
    (days, to): (Vec<(u32, String)>, Option<u32>),
    (gangs, clock): (bool, bool),
) -> impl IntoView {
    let TurnLine { bay, gang, times, clock: hours, trades, tie } = turn;
    let this = Selection::Bay(bay);
    view! {
        <tr on:pointerenter=move |_| light(shell, Some(this)) on:pointerleave=move |_| light(shell, None)>
            <td>{bay_button(shell, bay, String::new())}</td>
            {gangs.then(|| view! { <td>{gang}</td> })}
            <td>{times}</td>
            {clock.then(|| view! { <td>{hours}</td> })}
            <td>{tie_to(shell, bay, (days, to), tie)}</td>
            <td class="day-trades">{trades}</td>
        </tr>
    }
}

fn bay_button(shell: Shell, bay: u32, before: String) -> impl IntoView {
    view! {
        <button
            type="button"
            class="in-row"
            aria-label=format!("Bay {bay}")
            on:click=move |_| { shell.send(Message::Show(Selection::Bay(bay))); }
        >
            {before}{bay}
        </button>
    }
}

/// The day that a bay is tied to, to choose from; and the way to untie it.
fn tie_to(
    shell: Shell,
    bay: u32,
    (days, to): (Vec<(u32, String)>, Option<u32>),
    tie: Option<String>,
) -> impl IntoView {
    let tied = tie.is_some();
    // A tie to a day that these days have not, or to something else than a day, is said as it is.
    let other = tie.filter(|_| to.is_none());
    let kept = other.clone().map(|words| view! { <option value="kept" selected=true>{words}</option> });
    let any = other.is_none() && to.is_none();
    let options = days
        .into_iter()
        .map(move |(n, name)| view! { <option value=n.to_string() selected=to == Some(n)>{name}</option> });
    let change = move |event| {
        let value = event_target_value(&event);
        let to = match value.parse() {
            Ok(day) => TieTo::Day { day, gang: None },
            Err(_) if value.is_empty() => TieTo::AnyDay,
            Err(_) => return,
        };
        shell.send(Message::Select(Some(Selection::Bay(bay))));
        shell.send(Message::Tie { bay, to });
    };
    let untie = move |_| {
        shell.send(Message::Tie { bay, to: TieTo::Nothing });
    };
    view! {
        <span class="tie-to">
            <select id=format!("tie-bay-{bay}") aria-label=format!("Day that bay {bay} is tied to") on:change=change>
                <option value="" selected=any>"Any day"</option>
                {kept}
                {options.collect_view()}
            </select>
            {tied.then(|| view! {
                <button type="button" class="plain" aria-label=format!("Untie bay {bay}") on:click=untie>"Untie"</button>
            })}
        </span>
    }
}

fn melter(line: MelterLine) -> impl IntoView {
    let MelterLine { name, litres, short } = line;
    view! {
        <li>
            {name}": "{litres}"."
            {short.map(|short| view! { <b class="day-short">{short}</b> })}
        </li>
    }
}

fn test(shell: Shell, test: Option<(String, Pt)>) -> impl IntoView {
    test.map(|(words, at)| {
        view! {
            <h4>"Bond test"</h4>
            <button type="button" class="plain day-place" on:click=move |_| { shell.send(Message::ShowPlace(at)); }>
                {words}
            </button>
        }
    })
}

fn ahead(shell: Shell, bays: &[u32]) -> impl IntoView + use<> {
    let buttons: Vec<_> =
        bays.iter().map(|bay| view! { {bay_button(shell, *bay, String::new())}" " }).collect();
    (!buttons.is_empty()).then(|| view! { <h4>"Details done ahead for bays"</h4> <p>{buttons}</p> })
}

fn joints(shell: Shell, joints: Vec<JointLine>) -> AnyView {
    if joints.is_empty() {
        return view! { <p class="lead">"None."</p> }.into_any();
    }
    let line = move |joint: JointLine| {
        let JointLine { laid, next, words, bad } = joint;
        view! {
            <li class:bad=bad>
                {bay_button(shell, laid, String::new())}" to "{bay_button(shell, next, String::new())}": "{words}
            </li>
        }
    };
    view! { <ul class="day-list" data-testid="day-joints">{joints.into_iter().map(line).collect_view()}</ul> }
        .into_any()
}
