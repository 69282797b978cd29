//! The gangs of the programme: one more, or any one less.
//!
//! In: the plan. Out: its gangs by name, each with a button that takes it out. Their names, people and melters are typed in
//! the fields of the programme.

use crate::state::shell;
use baylap_editor::{Change, Message, Session, gangs};
use leptos::prelude::*;

/// The gangs.
#[component]
pub(super) fn Gangs() -> impl IntoView {
    let shell = shell();
    let named = Memo::new(move |_| {
        shell.parts.plan.track();
        shell.read(names)
    });
    let one = move |(n, words): (usize, String)| {
        let name = format!("Remove gang {}", n + 1);
        let remove = move |_| {
            if let Some(fewer) = shell.read(|s| gangs::without(&s.plan().programme, n)) {
                shell.send(Message::Edit(Change::Programme(fewer)));
            }
        };
        view! {
            <li>
                <span class="grow">{words}</span>
                <button type="button" class="plain danger" aria-label=name on:click=remove>"Remove"</button>
            </li>
        }
    };
    let enough = move || named.with(Vec::len) >= gangs::MOST;
    let add = move |_| {
        if let Some(more) = shell.read(|s| gangs::with_one_more(s.plan())) {
            shell.send(Message::Edit(Change::Programme(more)));
        }
    };
    view! {
        <section class="part" data-testid="gangs">
            <h2>"Gangs"</h2>
            <Show
                when=move || named.with(|n| !n.is_empty())
                fallback=|| view! { <p class="lead">"One gang, at the nearest melter. Add gangs to plan with several."</p> }
            >
                <ul class="kinds">{move || named.get().into_iter().enumerate().map(one).collect_view()}</ul>
            </Show>
            <button type="button" class="button" disabled=enough on:click=add>
                "Add a gang"
            </button>
        </section>
    }
}

fn names(session: &Session) -> Vec<String> {
    let of = |(n, gang): (usize, &baylap_core::plan::NamedGang)| {
        let name = if gang.name.is_empty() { String::new() } else { format!(", {}", gang.name) };
        format!("{}{name}: {} people", n + 1, gang.people)
    };
    session.plan().programme.gangs.iter().enumerate().map(of).collect()
}
