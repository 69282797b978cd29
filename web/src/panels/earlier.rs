//! Earlier versions that the browser kept.
//!
//! In: the records of the store. Out: one of them on the board; the present one comes back by undo.

use crate::controls::dialog::Modal;
use crate::files::autosave;
use crate::files::database::Record;
use crate::state::{Dialog, shell};
use crate::text;
use leptos::prelude::*;

/// The list.
#[component]
pub(crate) fn Earlier() -> impl IntoView {
    let shell = shell();
    view! {
        <Modal
            open=Signal::derive(move || shell.dialog.get() == Some(Dialog::Earlier))
            close=move || {
                if shell.dialog.get_untracked() == Some(Dialog::Earlier) {
                    shell.dialog.set(None);
                }
            }
            title=text::EARLIER
            name="earlier"
        >
            <Inner/>
        </Modal>
    }
}

#[component]
fn Inner() -> impl IntoView {
    let shell = shell();
    let records = RwSignal::new(None::<Vec<Record>>);
    leptos::task::spawn_local(async move { records.set(Some(autosave::earlier().await)) });
    let line = move |record: Record| {
        let (name, when) = (name_of(&record), time_of(&record));
        view! {
            <li>
                <button
                    type="button"
                    class="demo"
                    on:click=move |_| {
                        match autosave::wake(&record) {
                            Ok(session) => shell.open((**session.plan()).clone()),
                            Err(sentence) => shell.tell(sentence, true),
                        }
                    }
                >
                    <strong>{when}</strong>
                    <span>{name}</span>
                </button>
            </li>
        }
    };
    view! {
        <p class="lead">{text::EARLIER_LEAD}</p>
        <Show when=move || records.with(|r| r.as_ref().is_some_and(Vec::is_empty))>
            <p class="lead">{text::EARLIER_NONE}</p>
        </Show>
        <ul class="demo-list">{move || records.get().unwrap_or_default().into_iter().map(line).collect_view()}</ul>
    }
}

fn name_of(record: &Record) -> String {
    let name = autosave::wake(record).map(|s| s.plan().job.name.clone()).unwrap_or_default();
    if name.is_empty() { text::UNNAMED.to_owned() } else { name }
}

/// The moment in the user's own manner of writing it.
fn time_of(record: &Record) -> String {
    let date = js_sys::Date::new(&wasm_bindgen::JsValue::from_f64(record.at));
    String::from(date.to_locale_string("en-GB", &wasm_bindgen::JsValue::UNDEFINED))
}
