//! Bringing a file in.
//!
//! In: a file the user chose or dropped, or the name of a demo job. Out: its plan on the board, or one sentence; then
//! the program keeps what it had. What a plan file means is the core's business.

use crate::state::Shell;
use crate::text;
use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::JsFuture;
use web_sys::{File, HtmlInputElement, Response};

/// A plan file larger than this is refused before it is read, bytes; the core has its own, finer limits.
const LARGEST: f64 = 64e6;
/// Id of the hidden file input.
const INPUT: &str = "open-file";

/// The hidden file input that every way of opening uses.
#[component]
pub(crate) fn OpenInput() -> impl IntoView {
    let shell = crate::state::shell();
    view! {
        <input
            id=INPUT
            type="file"
            accept=".json,.geojson,application/json,application/geo+json"
            hidden=true
            aria-hidden="true"
            tabindex="-1"
            on:change=move |event| {
                let input = event_target::<HtmlInputElement>(&event);
                if let Some(file) = input.files().and_then(|files| files.get(0)) {
                    read(shell, file);
                }
                // The same file can be chosen again.
                input.set_value("");
            }
        />
    }
}

/// Lets the user choose a file.
pub(crate) fn choose(_shell: Shell) {
    if let Some(input) =
        document().get_element_by_id(INPUT).and_then(|e| e.dyn_into::<HtmlInputElement>().ok())
    {
        input.click();
    }
}

/// Reads a file and opens it.
pub(crate) fn read(shell: Shell, file: File) {
    leptos::task::spawn_local(async move {
        let name = file.name();
        match text_of(&file).await {
            Ok(words) => take(shell, &name, words.as_bytes()),
            Err(sentence) => shell.tell(sentence, true),
        }
    });
}

/// Opens what a file holds, or says why not.
pub(crate) fn take(shell: Shell, name: &str, bytes: &[u8]) {
    match baylap_core::plan::file::read_any(bytes) {
        Ok(plan) => shell.open(plan),
        Err(why) => shell.tell(text::not_opened(name, &why.to_string()), true),
    }
}

/// The text of a file, or one sentence.
pub(crate) async fn text_of(file: &File) -> Result<String, String> {
    if file.size() > LARGEST {
        return Err(text::too_large(&file.name()));
    }
    let read = JsFuture::from(file.text()).await.ok().and_then(|value| value.as_string());
    read.ok_or_else(|| text::unreadable(&file.name()))
}

/// The text of a file that came with the site, e.g. `index.json`.
pub(crate) async fn demo(name: &str) -> Result<String, String> {
    let failed = || text::no_demo(name);
    let address = format!("./demo-data/{name}");
    let answer = JsFuture::from(window().fetch_with_str(&address)).await.map_err(|_| failed())?;
    let answer: Response = answer.dyn_into().map_err(|_| failed())?;
    if !answer.ok() {
        return Err(failed());
    }
    let words = JsFuture::from(answer.text().map_err(|_| failed())?).await.map_err(|_| failed())?;
    words.as_string().ok_or_else(failed)
}

/// Opens files dropped anywhere on the page.
pub(crate) fn listen_for_drops(shell: Shell, over: RwSignal<bool>) {
    let allow = window_event_listener(leptos::ev::dragover, move |event| {
        event.prevent_default();
        over.set(true);
    });
    let end = window_event_listener(leptos::ev::dragleave, move |event| {
        if event.related_target().is_none() {
            over.set(false);
        }
    });
    let take = window_event_listener(leptos::ev::drop, move |event| {
        over.set(false);
        // A list of levels dropped into its dialog is taken there.
        if event.default_prevented() {
            return;
        }
        event.prevent_default();
        let file = event.data_transfer().and_then(|d| d.files()).and_then(|files| files.get(0));
        if let Some(file) = file {
            read(shell, file);
        }
    });
    on_cleanup(move || {
        allow.remove();
        end.remove();
        take.remove();
    });
}
