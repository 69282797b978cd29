//! The bar: the job, the stages in the trade's order, undo, find, menu.
//!
//! In: the session. Out: where the user is and whether the work is kept.

use crate::controls::sign;
use crate::state::{Dialog, Saved, shell};
use crate::text;
use baylap_editor::{CommandId, Message, Session, Stage};
use leptos::prelude::*;

/// The bar.
#[component]
pub(crate) fn Bar() -> impl IntoView {
    view! {
        <header class="bar">
            <div class="brand">{sign::mark()} <span>{text::BAYLAP}</span></div>
            <JobName/>
            <Stages/>
            <Acts/>
        </header>
    }
}

#[component]
fn JobName() -> impl IntoView {
    let shell = shell();
    let name = move || {
        shell.parts.plan.track();
        shell.read(|s| {
            let job = &s.plan().job;
            if job.name.trim().is_empty() { text::UNNAMED.to_owned() } else { job.name.clone() }
        })
    };
    let words = move || match shell.saved.get() {
        Saved::Fresh => text::FRESH,
        Saved::Pending => text::SAVING,
        Saved::Kept => text::SAVED,
        Saved::Refused => text::UNSAVED,
        Saved::Elsewhere => text::ELSEWHERE,
    };
    let trouble = move || matches!(shell.saved.get(), Saved::Refused | Saved::Elsewhere);
    view! {
        <div class="job-name">
            <strong data-testid="job-name">{name}</strong>
            <span class:trouble=trouble data-testid="saved">{words}</span>
        </div>
    }
}

#[component]
fn Stages() -> impl IntoView {
    let shell = shell();
    let now = Memo::new(move |_| {
        shell.parts.tool.track();
        shell.read(Session::stage)
    });
    let one = move |(i, stage): (usize, Stage)| {
        view! {
            <button
                type="button"
                role="tab"
                id=format!("stage-{}", stage.name().to_lowercase())
                aria-selected=move || if now.get() == stage { "true" } else { "false" }
                aria-controls="inputs"
                tabindex=move || if now.get() == stage { "0" } else { "-1" }
                on:click=move |_| {
                    shell.send(Message::SetStage(stage));
                }
                on:keydown=move |event| {
                    let step = match event.key().as_str() {
                        "ArrowRight" => 1,
                        "ArrowLeft" => Stage::ALL.len() - 1,
                        _ => return,
                    };
                    event.prevent_default();
                    let next = Stage::ALL[(i + step) % Stage::ALL.len()];
                    shell.send(Message::SetStage(next));
                    focus(&format!("stage-{}", next.name().to_lowercase()));
                }
            >
                <span class="n" aria-hidden="true">{i + 1}</span>
                <span class="word">{stage.name()}</span>
            </button>
        }
    };
    view! {
        <div class="stages" role="tablist" aria-label=text::STAGES>
            {Stage::ALL.into_iter().enumerate().map(one).collect_view()}
        </div>
    }
}

#[component]
fn Acts() -> impl IntoView {
    let shell = shell();
    let can = move |id: CommandId| {
        move || {
            shell.parts.plan.track();
            shell.parts.tool.track();
            !shell.read(|s| s.can(id))
        }
    };
    view! {
        <div class="acts-bar">
            <button
                type="button"
                class="icon"
                aria-label=text::UNDO
                title="Undo (Ctrl+Z)"
                disabled=can(CommandId::Undo)
                on:click=move |_| shell.command(CommandId::Undo)
            >
                {sign::sign(sign::UNDO)}
            </button>
            <button
                type="button"
                class="icon"
                aria-label=text::REDO
                title="Redo (Ctrl+Shift+Z)"
                disabled=can(CommandId::Redo)
                on:click=move |_| shell.command(CommandId::Redo)
            >
                {sign::sign(sign::REDO)}
            </button>
            <button
                type="button"
                class="button find-button"
                aria-label=text::FIND
                title="Find anything (Ctrl+K)"
                on:click=move |_| shell.dialog.set(Some(Dialog::Find))
            >
                {sign::sign(sign::FIND)}
                <span class="word">{text::FIND}</span>
            </button>
            <button
                type="button"
                class="button menu-button"
                aria-haspopup="dialog"
                aria-label=text::FILE_MENU
                on:click=move |_| shell.dialog.set(Some(Dialog::Menu))
            >
                {sign::sign(sign::MENU)}
                <span class="word">{text::FILE_MENU}</span>
            </button>
        </div>
    }
}

/// Gives the focus to an element.
pub(crate) fn focus(id: &str) {
    use wasm_bindgen::JsCast;
    if let Some(element) =
        document().get_element_by_id(id).and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok())
    {
        let _ = element.focus();
    }
}
