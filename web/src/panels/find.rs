//! The box that finds anything: commands, things of the plan, bays, pieces, findings.
//!
//! In: part of a name. Out: the command given, or the thing shown on the drawing.

use super::inputs::title_of;
use super::tables::go_to;
use crate::controls::dialog::Modal;
use crate::state::{Dialog, Shell, shell};
use crate::text;
use baylap_core::Finding;
use baylap_editor::{CommandId, Message, Selection, Session, commands, thing};
use leptos::html;
use leptos::prelude::*;

/// Lines shown at most; more words make the list shorter.
const MOST: usize = 40;

/// What a line does.
#[derive(Clone, PartialEq)]
enum Deed {
    Command(CommandId),
    Show(Selection),
    Finding(Box<Finding>),
}

/// One line.
#[derive(Clone, PartialEq)]
struct Entry {
    name: String,
    aside: String,
    deed: Deed,
}

/// The box.
#[component]
pub(crate) fn Find() -> impl IntoView {
    let shell = shell();
    view! {
        <Modal
            open=Signal::derive(move || shell.dialog.get() == Some(Dialog::Find))
            close=move || leave(shell)
            title=text::FIND
            name="find"
        >
            <Inner/>
        </Modal>
    }
}

#[component]
fn Inner() -> impl IntoView {
    let shell = shell();
    let typed = RwSignal::new(String::new());
    let at = RwSignal::new(0_usize);
    let all = StoredValue::new(shell.read(entries));
    let found = Memo::new(move |_| typed.with(|t| all.with_value(|all| search(all, t))));
    let input = NodeRef::<html::Input>::new();
    Effect::new(move |_| {
        if let Some(input) = input.get() {
            let _ = input.focus();
        }
    });
    let go = move |i: usize| {
        if let Some(entry) = found.with_untracked(|f| f.get(i).cloned()) {
            leave(shell);
            act(shell, entry.deed);
        }
    };
    let line = move |(i, entry): (usize, Entry)| {
        view! {
            <li
                id=format!("find-{i}")
                role="option"
                aria-selected=move || if at.get() == i { "true" } else { "false" }
                on:click=move |_| go(i)
            >
                <span>{entry.name}</span>
                <span class="aside">{entry.aside}</span>
            </li>
        }
    };
    view! {
        <div class="field">
            <label class="hidden-words" for="find-box">{text::FIND_HINT}</label>
            <div class="box">
                <input
                    id="find-box"
                    node_ref=input
                    type="text"
                    role="combobox"
                    aria-expanded="true"
                    aria-controls="find-list"
                    aria-activedescendant=move || format!("find-{}", at.get())
                    autocomplete="off"
                    placeholder=text::FIND_HINT
                    on:input=move |event| {
                        typed.set(event_target_value(&event));
                        at.set(0);
                    }
                    on:keydown=move |event| {
                        let last = found.with_untracked(Vec::len).saturating_sub(1);
                        match event.key().as_str() {
                            "ArrowDown" => at.update(|i| *i = (*i + 1).min(last)),
                            "ArrowUp" => at.update(|i| *i = i.saturating_sub(1)),
                            "Enter" => go(at.get_untracked()),
                            _ => return,
                        }
                        event.prevent_default();
                    }
                />
            </div>
        </div>
        <ul id="find-list" class="find-list" role="listbox" aria-label=text::FIND>
            {move || found.get().into_iter().enumerate().map(line).collect_view()}
        </ul>
        <Show when=move || found.with(Vec::is_empty)>
            <p class="lead" role="status">{text::FIND_NOTHING}</p>
        </Show>
    }
}

fn leave(shell: Shell) {
    if shell.dialog.get_untracked() == Some(Dialog::Find) {
        shell.dialog.set(None);
    }
}

fn act(shell: Shell, deed: Deed) {
    match deed {
        Deed::Command(id) => {
            shell.command(id);
            if matches!(id, CommandId::Tool(_)) {
                super::bar::focus("board");
            }
        }
        Deed::Show(selection) => {
            shell.send(Message::Show(selection));
        }
        Deed::Finding(finding) => go_to(shell, &finding),
    }
}

fn entries(session: &Session) -> Vec<Entry> {
    let mut all: Vec<Entry> = commands()
        .iter()
        .filter(|c| c.enabled(session) && c.id != CommandId::Ask(baylap_editor::Ask::Find))
        .map(|c| Entry {
            name: c.name.to_owned(),
            aside: c.keys.first().copied().unwrap_or(c.group).to_owned(),
            deed: Deed::Command(c.id),
        })
        .collect();
    let layout = session.layout();
    all.extend(layout.bays.iter().map(|b| Entry {
        name: format!("Bay {}", b.number),
        aside: text::area(b.size),
        deed: Deed::Show(Selection::Bay(b.number)),
    }));
    all.extend(layout.pieces.iter().map(|p| Entry {
        name: format!("Piece {}", p.number),
        aside: format!("{} m, bay {}", text::metres_bare(p.length), p.bay),
        deed: Deed::Show(Selection::Piece(p.number)),
    }));
    all.extend(layout.rolls.iter().map(|r| Entry {
        name: format!("Roll {}", r.number),
        aside: format!("{} cuts", r.pieces.len()),
        deed: Deed::Show(Selection::Roll(r.number)),
    }));
    all.extend(thing::all(session.plan()).iter().map(|t| Entry {
        name: title_of(session, Selection::Thing(t.id())),
        aside: "on the plan".to_owned(),
        deed: Deed::Show(Selection::Thing(t.id())),
    }));
    all.extend(layout.findings.iter().map(|f| Entry {
        name: f.text.clone(),
        aside: text::severity(f.severity).to_owned(),
        deed: Deed::Finding(Box::new(f.clone())),
    }));
    all
}

/// The lines that hold every word typed; those that begin with it first.
fn search(all: &[Entry], typed: &str) -> Vec<Entry> {
    let typed = typed.trim().to_lowercase();
    let words: Vec<&str> = typed.split_whitespace().collect();
    let mut found: Vec<(usize, &Entry)> = all
        .iter()
        .filter_map(|e| {
            let name = e.name.to_lowercase();
            words.iter().all(|w| name.contains(w)).then(|| (rank(&name, &typed), e))
        })
        .collect();
    found.sort_by_key(|(rank, _)| *rank);
    found.into_iter().take(MOST).map(|(_, e)| e.clone()).collect()
}

fn rank(name: &str, typed: &str) -> usize {
    if name == typed {
        0
    } else if name.starts_with(typed) {
        1
    } else {
        2
    }
}
