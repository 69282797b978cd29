//! What is missing, every record with its state, and the ways out: file, table, merge.
//!
//! In: the records. Out: two lists and three buttons. A record can be corrected or withdrawn; both are new records.

use super::inputs::Settings;
use super::today::Sheet;
use super::today_words as words;
use crate::bridge::protocol::Order;
use crate::state::{Dialog, shell};
use crate::text;
use baylap_core::records::{Outstanding, State, Verdict, bay_at, judge, outstanding, standing};
use baylap_editor::{Message, Panel, Session};
use leptos::prelude::*;

/// What is missing.
#[component]
pub(super) fn Missing(sheet: Sheet) -> impl IntoView {
    let list = sheet.watch(|s| outstanding(s.plan(), s.layout()));
    let one = move |due: Outstanding| {
        let (class, word) = if due.late { ("sev error", "Late") } else { ("sev note", "Due") };
        let place = due.at;
        view! {
            <li>
                <span class=class>{word}</span>
                <span class="words">
                    <span>{due.text}</span>
                    <span class="mend">{due.mend}</span>
                </span>
                {due.bay.map(|bay| view! {
                    <button type="button" class="plain" on:click=move |_| sheet.bay.set(Some(bay))>
                        {format!("Bay {bay}")}
                    </button>
                })}
                {place.map(|at| view! {
                    <button
                        type="button"
                        class="plain"
                        on:click=move |_| {
                            sheet.shell.dialog.set(None);
                            sheet.shell.send(Message::ShowPlace(at));
                        }
                    >
                        "On the plan"
                    </button>
                })}
            </li>
        }
    };
    view! {
        <section class="today-part">
            <h3>{words::OUTSTANDING}</h3>
            <Show
                when=move || list.with(|l| !l.is_empty())
                fallback=|| view! { <p class="lead" data-testid="nothing-outstanding">{words::NOTHING_OUTSTANDING}</p> }
            >
                <ul class="today-due" data-testid="outstanding">{move || list.get().into_iter().map(one).collect_view()}</ul>
            </Show>
        </section>
    }
}

/// A record as it stands in the list.
#[derive(Clone, Debug, PartialEq)]
struct Line {
    key: String,
    heading: String,
    text: String,
    state: State,
    judged: Option<(Verdict, String)>,
}

fn lines(session: &Session) -> Vec<Line> {
    let (plan, layout) = (session.plan(), session.layout());
    let standing = standing(&plan.records);
    let line = |(record, state): &(&baylap_core::plan::Record, State)| Line {
        key: record.key.clone(),
        heading: words::heading(record, record.at.and_then(|at| bay_at(layout, at))),
        text: words::entry(&record.what),
        state: *state,
        judged: (*state == State::InForce).then(|| judge(plan, layout, record)).map(|j| (j.verdict, j.text)),
    };
    standing.all.iter().rev().map(line).collect()
}

/// Records shown before the button for the others.
const FIRST: usize = 20;

/// Every record, newest first.
#[component]
pub(super) fn List(sheet: Sheet) -> impl IntoView {
    let open = RwSignal::new(false);
    let most = RwSignal::new(FIRST);
    let list = Memo::new(move |_| {
        sheet.shell.parts.records.track();
        sheet.shell.parts.layout.track();
        sheet.shell.parts.plan.track();
        // Judging each against all takes its time: only while somebody looks.
        if open.get() { sheet.shell.read(lines) } else { Vec::new() }
    });
    let count = sheet.watch(|s| s.plan().records.len());
    let one = move |line: Line| {
        let Line { key, heading, text, state, judged } = line;
        let (correct, withdraw, to_correct, to_withdraw) =
            (words::correct(&key), words::withdraw(&key), key.clone(), key.clone());
        let acts = (state == State::InForce).then(|| {
            view! {
                <span class="row">
                    <button
                        type="button"
                        class="plain"
                        aria-label=correct
                        on:click=move |_| sheet.corrects.set(Some(to_correct.clone()))
                    >
                        "Correct"
                    </button>
                    <button
                        type="button"
                        class="plain danger"
                        aria-label=withdraw
                        on:click=move |_| sheet.withdraw(&to_withdraw)
                    >
                        "Withdraw"
                    </button>
                </span>
            }
        });
        view! {
            <li data-testid=format!("record-{key}") data-state=state.name() class:gone=state != State::InForce>
                <span class="fine">{heading}</span>
                <span>{text}</span>
                {(state != State::InForce).then(|| view! { <span class="fine">{state.name()}</span> })}
                {judged.map(|(verdict, said)| view! {
                    <span><span class=words::class(verdict)>{words::verdict(verdict)}</span> " " {said}</span>
                })}
                {acts}
            </li>
        }
    };
    view! {
        <details
            class="today-part"
            data-testid="record-list"
            on:toggle=move |event| {
                use wasm_bindgen::JsCast;
                let element = event.target().and_then(|t| t.dyn_into::<web_sys::Element>().ok());
                open.set(element.is_some_and(|e| e.has_attribute("open")));
            }
        >
            <summary>{move || format!("{}: {}", words::RECORDS, count.get())}</summary>
            <p class="fine">{words::RECORDS_LEAD}</p>
            <Show when=move || { count.get() > 0 } fallback=|| view! { <p class="lead">{words::NO_RECORDS}</p> }>
                <ul class="today-records">
                    {move || list.with(|l| l.iter().take(most.get()).cloned().map(one).collect_view())}
                </ul>
                <Show when=move || { count.get() > most.get() }>
                    <button type="button" class="button" on:click=move |_| most.update(|n| *n += 100)>"Show more"</button>
                </Show>
            </Show>
        </details>
    }
}

/// The ways out.
#[component]
pub(super) fn Ends(sheet: Sheet) -> impl IntoView {
    let shell = shell();
    view! {
        <section class="today-part">
            <div class="today-ends">
                <button type="button" class="button main" data-testid="today-save" on:click=move |_| shell.save_plan()>
                    {text::SAVE_PLAN_AS}
                </button>
                <button
                    type="button"
                    class="button"
                    data-testid="today-table"
                    on:click=move |_| sheet.shell.order(Order::Records)
                >
                    {text::SAVE_RECORDS}
                </button>
                <button
                    type="button"
                    class="button"
                    data-testid="today-merge"
                    on:click=move |_| shell.dialog.set(Some(Dialog::Merge))
                >
                    {text::MERGE}
                </button>
            </div>
            <p class="fine">{text::CAUTION}</p>
        </section>
        <details class="today-part">
            <summary>{words::SETTINGS}</summary>
            <Settings panel=Panel::Recording practice=true/>
        </details>
    }
}
