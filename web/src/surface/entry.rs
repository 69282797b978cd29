//! The entry: what to do next with the tool in hand, and the sizes that can be typed for it.
//!
//! In: the editor's hint and entry. Out: a strip on the board with real boxes for the sizes (a phone's keyboard needs
//! them) and buttons for what the keys do, so that nothing needs a keyboard or a steady finger.

use crate::state::{Shell, shell};
use baylap_editor::{CommandId, EntryField, EntryView, KeyEvent, Message, Overlay, Session, Tool};
use leptos::prelude::*;

/// The strip.
#[component]
pub(super) fn Entry() -> impl IntoView {
    let shell = shell();
    let parts = shell.parts;
    let overlay = expect_context::<Memo<Overlay>>();
    let seen = Memo::new(move |_| overlay.with(|o| (o.hint.clone(), o.entry.clone())));
    let in_use = Memo::new(move |_| {
        parts.tool.track();
        parts.overlay.track();
        shell.read(|s| s.tool() != Tool::Select || s.is_drawing())
    });
    let hint = move || seen.with(|(hint, _)| hint.clone());
    let names =
        Memo::new(move |_| seen.with(|(_, e)| e.as_ref().map(|e| e.fields.len()).unwrap_or_default()));
    let boxes = move || {
        (0..names.get())
            .map(
                |i| view! { <EntryBox seen=Signal::derive(move || seen.with(|(_, e)| pick(e, i))) index=i/> },
            )
            .collect_view()
    };
    let echo = move || seen.with(|(_, e)| e.as_ref().and_then(|e| e.echo.clone()));
    let problem = move || seen.with(|(_, e)| e.as_ref().and_then(|e| e.problem.clone()));
    view! {
        <div class="entry" class:idle=move || !in_use.get() data-testid="entry">
            <p class="hint-line">{hint}</p>
            <div class="boxes">{boxes} {move || echo().map(|e| view! { <span class="echo">{e}</span> })}</div>
            {move || problem().map(|words| view! { <p class="wrong">{words}</p> })}
            <Show when=move || in_use.get()>
                <div class="row acts">
                    {act(shell, CommandId::PlaceAtCross, "Place here")}
                    {act(shell, CommandId::Finish, "Finish")}
                    {act(shell, CommandId::Undo, "Take back")}
                    {act(shell, CommandId::Cancel, "Give up")}
                </div>
            </Show>
        </div>
    }
}

fn pick(entry: &Option<EntryView>, index: usize) -> Option<EntryField> {
    entry.as_ref().and_then(|e| e.fields.get(index)).cloned()
}

/// One box of the entry.
#[component]
fn EntryBox(seen: Signal<Option<EntryField>>, index: usize) -> impl IntoView {
    let shell = shell();
    let label = move || seen.with(|f| f.as_ref().map(|f| f.label).unwrap_or_default());
    let text = move || seen.with(|f| f.as_ref().map(|f| f.text.clone()).unwrap_or_default());
    let live = move || seen.with(|f| f.as_ref().map(|f| f.live.clone()).unwrap_or_default());
    let active = move || seen.with(|f| f.as_ref().is_some_and(|f| f.active));
    let name = format!("entry-{index}");
    let id = name.clone();
    view! {
        <label class="entry-box" class:active=active for=name>
            <span>{label}</span>
            <input
                id=id
                type="text"
                inputmode="decimal"
                enterkeyhint="done"
                autocomplete="off"
                prop:value=text
                placeholder=live
                on:focus=move |_| make_active(shell, seen)
                on:input=move |event| {
                    shell.send(Message::Entry(event_target_value(&event)));
                }
                on:keydown=move |event| {
                    let key = event.key();
                    if matches!(key.as_str(), "Enter" | "Escape") {
                        event.prevent_default();
                        shell.send(Message::Key(KeyEvent { key, modifiers: Default::default() }));
                    }
                }
            />
        </label>
    }
}

/// Typing goes to the box that has the focus.
fn make_active(shell: Shell, seen: Signal<Option<EntryField>>) {
    for _ in 0..3 {
        if seen.with_untracked(|f| f.as_ref().is_none_or(|f| f.active)) {
            return;
        }
        shell.send(Message::Key(KeyEvent { key: "Tab".to_owned(), modifiers: Default::default() }));
    }
}

fn act(shell: Shell, id: CommandId, name: &'static str) -> impl IntoView {
    let off = move || {
        shell.parts.overlay.track();
        shell.parts.tool.track();
        shell.parts.plan.track();
        !shell.read(|s: &Session| s.can(id))
    };
    view! {
        <button type="button" class="button" disabled=off on:click=move |_| shell.command(id)>
            {name}
        </button>
    }
}
