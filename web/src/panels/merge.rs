//! Merging the site records of another file.
//!
//! In: a plan file from another device. Out: what would come of it in sentences, and its records with those here once that
//! is agreed to. The drawing of this page stays.

use crate::controls::dialog::Modal;
use crate::files::open::text_of;
use crate::state::{Dialog, Shell, shell};
use crate::text;
use baylap_core::Plan;
use baylap_core::records::{Merged, merge};
use baylap_editor::Message;
use leptos::prelude::*;
use web_sys::{File, HtmlInputElement};

/// What was chosen: a plan, or one sentence.
type Chosen = Option<Result<Plan, String>>;

/// The dialog.
#[component]
pub(crate) fn Merge() -> impl IntoView {
    let shell = shell();
    view! {
        <Modal
            open=Signal::derive(move || shell.dialog.get() == Some(Dialog::Merge))
            close=move || leave(shell)
            title=text::MERGE
            name="merge"
        >
            <Inner/>
        </Modal>
    }
}

fn leave(shell: Shell) {
    if shell.dialog.get_untracked() == Some(Dialog::Merge) {
        shell.dialog.set(None);
    }
}

#[component]
fn Inner() -> impl IntoView {
    let shell = shell();
    let chosen: RwSignal<Chosen> = RwSignal::new(None);
    let done = RwSignal::new(None::<String>);
    let take = move |file: File| {
        done.set(None);
        leptos::task::spawn_local(async move { chosen.set(Some(read(&file).await)) });
    };
    let came = move |event| {
        let input = event_target::<HtmlInputElement>(&event);
        if let Some(file) = input.files().and_then(|files| files.get(0)) {
            take(file);
        }
        // The same file can be chosen again.
        input.set_value("");
    };
    let merged = Memo::new(move |_| {
        shell.parts.records.track();
        chosen.with(|c| match c {
            Some(Ok(plan)) => Some(shell.read(|s| merge(s.plan(), plan))),
            _ => None,
        })
    });
    let refused = move || chosen.with(|c| c.as_ref().and_then(|c| c.as_ref().err().cloned()));
    let act = move |_| {
        let Some(Ok(plan)) = chosen.get_untracked() else { return };
        let told = merged.with_untracked(|m| m.as_ref().map(Merged::told)).unwrap_or_default();
        shell.send(Message::MergeRecords(plan));
        chosen.set(None);
        done.set(Some(told));
    };
    view! {
        <p class="lead">{text::MERGE_LEAD}</p>
        <div class="row">
            <label class="button file main" for="merge-file">{text::MERGE_FILE}</label>
            <input
                id="merge-file"
                class="hidden-words"
                type="file"
                accept=".json,application/json"
                on:change=came
            />
        </div>
        <div aria-live="polite" class="merge-said">
            {move || refused().map(|words| view! { <p class="refusal" data-testid="merge-refusal">{words}</p> })}
            {move || done.get().map(|words| view! { <p data-testid="merge-done"><strong>{text::MERGED}</strong> {words}</p> })}
            {move || {
                merged.get().map(|m| {
                    let (told, nothing, other) = (m.told(), m.added == 0, m.other_job.is_some());
                    view! {
                        <p data-testid="merge-told">{told}</p>
                        <Show when=move || !nothing>
                            <button
                                type="button"
                                class="button"
                                class:main=!other
                                class:danger=other
                                data-testid="merge-apply"
                                on:click=act
                            >
                                {if other { text::MERGE_ANYWAY } else { text::MERGE_NOW }}
                            </button>
                        </Show>
                    }
                })
            }}
        </div>
    }
}

async fn read(file: &File) -> Result<Plan, String> {
    let words = text_of(file).await?;
    baylap_core::plan::file::read(words.as_bytes())
        .map_err(|why| text::not_opened(&file.name(), &why.to_string()))
}
