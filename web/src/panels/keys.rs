//! The keys, from the editor's table of commands.
//!
//! In: the table. Out: a list to read; each line can be clicked as well.

use crate::controls::dialog::Modal;
use crate::state::{Dialog, shell};
use crate::text;
use baylap_editor::{CommandInfo, commands};
use leptos::prelude::*;

/// The list.
#[component]
pub(crate) fn Keys() -> impl IntoView {
    let shell = shell();
    view! {
        <Modal
            open=Signal::derive(move || shell.dialog.get() == Some(Dialog::Keys))
            close=move || {
                if shell.dialog.get_untracked() == Some(Dialog::Keys) {
                    shell.dialog.set(None);
                }
            }
            title=text::KEYS
            name="keys"
        >
            <p class="lead">{text::KEYS_LEAD}</p>
            <div class="keys-list">{groups().into_iter().map(group).collect_view()}</div>
        </Modal>
    }
}

type Group = (&'static str, Vec<&'static CommandInfo>);

fn groups() -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for command in commands().iter().filter(|c| !c.keys.is_empty()) {
        match groups.iter_mut().find(|(name, _)| *name == command.group) {
            Some((_, list)) => list.push(command),
            None => groups.push((command.group, vec![command])),
        }
    }
    groups
}

fn group((name, list): Group) -> impl IntoView {
    let line = |command: &'static CommandInfo| {
        let keys = command.keys.iter().map(|k| view! { <kbd>{*k}</kbd> }).collect_view();
        view! { <div><dt>{command.name}</dt><dd>{keys}</dd></div> }
    };
    view! {
        <section>
            <h2>{name}</h2>
            <dl>{list.into_iter().map(line).collect_view()}</dl>
        </section>
    }
}
