//! Ways to begin: draw, open, type a survey, open an invented job.
//!
//! In: the list of invented jobs that came with the site. Out: a plan on the board. What was open comes back by undo.

use crate::controls::dialog::Modal;
use crate::files::open;
use crate::state::{Dialog, Shell, shell};
use crate::text;
use baylap_core::Plan;
use baylap_editor::{CommandId, Stage, Tool};
use leptos::prelude::*;
use serde::Deserialize;

/// Name of the invented job that the first visit opens.
pub(crate) const FIRST: &str = "02-l-shape.json";

/// One invented job.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub(crate) struct Demo {
    /// Its file.
    pub(crate) file: String,
    /// Its title.
    pub(crate) title: String,
    /// One line about it.
    pub(crate) line: String,
}

/// The ways.
#[component]
pub(crate) fn Begin() -> impl IntoView {
    let shell = shell();
    view! {
        <Modal
            open=Signal::derive(move || shell.dialog.get() == Some(Dialog::Begin))
            close=move || leave(shell)
            title=text::BEGIN
            name="begin"
        >
            <Inner/>
        </Modal>
    }
}

#[component]
fn Inner() -> impl IntoView {
    let shell = shell();
    let demos = RwSignal::new(Vec::<Demo>::new());
    let trouble = RwSignal::new(None::<String>);
    leptos::task::spawn_local(async move {
        match open::demo("index.json").await {
            Ok(list) => demos.set(serde_json::from_str(&list).unwrap_or_default()),
            Err(sentence) => trouble.set(Some(sentence)),
        }
    });
    let demo = move |demo: Demo| {
        let file = demo.file.clone();
        view! {
            <li>
                <button type="button" class="demo" data-demo=demo.file on:click=move |_| open_demo(shell, file.clone())>
                    <strong>{demo.title}</strong>
                    <span>{demo.line}</span>
                </button>
            </li>
        }
    };
    view! {
        <p class="lead">{text::BEGIN_LEAD}</p>
        <div class="ways">
            <button type="button" class="way" on:click=move |_| draw(shell)>
                {picture("M12 66V14h44v26h44v26z", "M12 66V14h44M56 14v14", "M56 40h30")}
                <strong>{text::BEGIN_DRAW}</strong>
                <span>{text::BEGIN_DRAW_LEAD}</span>
            </button>
            <button type="button" class="way" on:click=move |_| { leave(shell); open::choose(shell) }>
                {picture("M34 8h32l14 14v50H34z", "M66 8v14h14", "M44 60V38h14v10h12v12z")}
                <strong>{text::BEGIN_FILE}</strong>
                <span>{text::BEGIN_FILE_LEAD}</span>
            </button>
            <button type="button" class="way" on:click=move |_| shell.dialog.set(Some(Dialog::Survey))>
                {picture("M20 70V30h28V14h44v56z", "M20 76h72M20 73v6M92 73v6M98 14v56M95 14h6M95 70h6", "M38 76v-4M56 76v-4M74 76v-4")}
                <strong>{text::BEGIN_SURVEY}</strong>
                <span>{text::BEGIN_SURVEY_LEAD}</span>
            </button>
        </div>
        <div class="demos">
            <h2>{text::BEGIN_DEMO}</h2>
            <p class="fine">{text::BEGIN_DEMO_LEAD}</p>
            {move || trouble.get().map(|words| view! { <p class="wrong">{words}</p> })}
            <ul>{move || demos.get().into_iter().map(demo).collect_view()}</ul>
        </div>
    }
}

/// A small drawing of a way in: what is there already, what is being done, and a thin hint.
fn picture(heavy: &'static str, accent: &'static str, thin: &'static str) -> impl IntoView {
    view! {
        <svg class="picture" viewBox="0 0 112 84" aria-hidden="true">
            <path class="p-heavy" d=heavy></path>
            <path class="p-accent" d=accent></path>
            <path class="p-thin" d=thin></path>
        </svg>
    }
}

fn leave(shell: Shell) {
    if shell.dialog.get_untracked() == Some(Dialog::Begin) {
        shell.dialog.set(None);
    }
}

/// An empty board with the outline tool in hand.
fn draw(shell: Shell) {
    leave(shell);
    shell.open(Plan::default());
    shell.command(CommandId::Stage(Stage::Deck));
    shell.command(CommandId::Tool(Tool::Deck));
    super::bar::focus("board");
}

/// Opens an invented job.
pub(crate) fn open_demo(shell: Shell, file: String) {
    leptos::task::spawn_local(async move {
        match open::demo(&file).await {
            Ok(words) => open::take(shell, &file, words.as_bytes()),
            Err(sentence) => shell.tell(sentence, true),
        }
    });
}
