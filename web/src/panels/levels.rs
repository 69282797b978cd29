//! Levels from a list: a box to paste into, what was understood, a picture of it on the deck, and one button.
//!
//! In: what is pasted, typed, dropped or read from a file. Out: spot levels in the plan, by one step that can be undone.
//! What a list means is the editor's business; the text stays in its box, closed or open, until somebody changes it.

use super::levels_choices::{Columns, How, Where};
use super::levels_picture::Picture;
use super::levels_words as words;
use crate::controls::dialog::Modal;
use crate::files::open;
use crate::state::{Dialog, Shell, shell};
use baylap_core::Plan;
use baylap_editor::Message;
use baylap_editor::levels::{Choices, Problem, Reading, Separator, Table};
use leptos::html;
use leptos::prelude::*;
use std::sync::Arc;
use web_sys::{File, HtmlInputElement};

/// Problems listed at most; the rest are counted.
const MOST_PROBLEMS: usize = 100;

/// What the user has done in the dialog; kept while it is closed.
#[derive(Clone, Copy)]
pub(crate) struct List {
    /// The text.
    pub(super) text: RwSignal<String>,
    /// What parts its cells, when chosen.
    pub(super) separator: RwSignal<Option<Separator>>,
    /// How it is read, when any of it was chosen.
    chosen: RwSignal<Option<Choices>>,
    /// Whether the levels there are go.
    replace: RwSignal<bool>,
}

/// What comes of it.
#[derive(Clone, Copy)]
pub(crate) struct Read {
    /// The user's part.
    pub(super) list: List,
    /// Its cells.
    pub(super) table: Memo<Arc<Table>>,
    /// How it is read.
    pub(super) choices: Memo<Choices>,
    /// The levels and the problems.
    pub(super) reading: Memo<Arc<Reading>>,
    /// The plan it is for.
    pub(super) plan: Memo<Arc<Plan>>,
}

impl Read {
    fn of(list: List) -> Self {
        let shell = shell();
        let plan = Memo::new(move |_| {
            shell.parts.plan.track();
            shell.read(|s| Arc::clone(s.plan()))
        });
        let table =
            Memo::new(move |_| Arc::new(list.text.with(|words| Table::of(words, list.separator.get()))));
        let guess = Memo::new(move |_| Choices::guess(&table.get(), &plan.get()));
        let choices = Memo::new(move |_| {
            let width = table.with(|t| t.width);
            list.chosen.get().filter(|c| c.columns.len() == width).unwrap_or_else(|| guess.get())
        });
        let reading = Memo::new(move |_| Arc::new(Reading::of(&table.get(), &choices.get(), &plan.get())));
        Self { list, table, choices, reading, plan }
    }

    /// Changes how the list is read.
    pub(super) fn choose(self, change: impl FnOnce(&mut Choices)) {
        let mut choices = self.choices.get_untracked();
        change(&mut choices);
        self.list.chosen.set(Some(choices));
    }
}

/// The dialog.
#[component]
pub(crate) fn LevelsDialog() -> impl IntoView {
    let shell = shell();
    let list = List {
        text: RwSignal::new(String::new()),
        separator: RwSignal::new(None),
        chosen: RwSignal::new(None),
        replace: RwSignal::new(false),
    };
    view! {
        <Modal
            open=Signal::derive(move || shell.dialog.get() == Some(Dialog::Levels))
            close=move || leave(shell)
            title=words::LEVELS_FROM_LIST
            name="levels"
        >
            <Inner list=list/>
        </Modal>
    }
}

fn leave(shell: Shell) {
    if shell.dialog.get_untracked() == Some(Dialog::Levels) {
        shell.dialog.set(None);
    }
}

#[component]
fn Inner(list: List) -> impl IntoView {
    let read = Read::of(list);
    let some = Memo::new(move |_| list.text.with(|words| !words.trim().is_empty()));
    view! {
        <p class="lead">{words::LEVELS_LEAD}</p>
        <TextBox list=list/>
        <Show when=move || some.get()>
            <div class="levels-grid">
                <div class="levels-left">
                    <How read=read/>
                    <Where read=read/>
                </div>
                <Picture read=read/>
            </div>
            <Columns read=read/>
            <Problems read=read/>
        </Show>
        <Foot read=read/>
    }
    .into_any()
}

/// The box for the text, and the way to a file.
#[component]
fn TextBox(list: List) -> impl IntoView {
    let shell = shell();
    let area = NodeRef::<html::Textarea>::new();
    Effect::new(move |_| {
        if let Some(area) = area.get() {
            let _ = area.focus();
        }
    });
    let take = move |file: File| {
        leptos::task::spawn_local(async move {
            match open::text_of(&file).await {
                Ok(words) => {
                    list.chosen.set(None);
                    list.separator.set(None);
                    list.text.set(words);
                }
                Err(sentence) => shell.tell(sentence, true),
            }
        });
    };
    let chosen = move |event| {
        let input = event_target::<HtmlInputElement>(&event);
        if let Some(file) = input.files().and_then(|files| files.get(0)) {
            take(file);
        }
        // The same file can be chosen again.
        input.set_value("");
    };
    let dropped = move |event: leptos::ev::DragEvent| {
        let file = event.data_transfer().and_then(|d| d.files()).and_then(|files| files.get(0));
        if let Some(file) = file {
            event.prevent_default();
            take(file);
        }
    };
    view! {
        <div class="field levels-text">
            <label for="levels-text">{words::LEVELS_TEXT}</label>
            <div class="box">
                <textarea
                    id="levels-text"
                    node_ref=area
                    rows="6"
                    spellcheck="false"
                    autocomplete="off"
                    placeholder=words::LEVELS_EXAMPLE
                    prop:value=move || list.text.get()
                    on:input=move |event| {
                        let words = event_target_value(&event);
                        if list.text.with_untracked(|old| old.trim().is_empty()) {
                            list.chosen.set(None);
                            list.separator.set(None);
                        }
                        list.text.set(words);
                    }
                    on:drop=dropped
                ></textarea>
            </div>
            <div class="row">
                <label class="button file" for="levels-file">{words::LEVELS_FILE}</label>
                <input
                    id="levels-file"
                    class="hidden-words"
                    type="file"
                    accept=".csv,.txt,.tsv,.asc,.xyz,.pts,text/csv,text/plain"
                    on:change=chosen
                />
                <button
                    type="button"
                    class="button"
                    disabled=move || list.text.with(String::is_empty)
                    on:click=move |_| {
                        list.text.set(String::new());
                        list.chosen.set(None);
                        list.separator.set(None);
                    }
                >
                    {words::LEVELS_EMPTY}
                </button>
            </div>
        </div>
    }
    .into_any()
}

/// What is wrong, by row.
#[component]
fn Problems(read: Read) -> impl IntoView {
    let refusal = move || read.reading.with(|r| r.refusal.clone());
    let count = move || read.reading.with(|r| r.problems.len());
    let one = |problem: &Problem| {
        let word = if problem.left_out { words::LEFT_OUT } else { words::LOOK };
        let class = if problem.left_out { "sev error" } else { "sev warning" };
        view! {
            <li>
                <span class=class>{word}</span>
                <span>{problem.sentence.clone()}</span>
            </li>
        }
    };
    let listed = move || read.reading.with(|r| r.problems.iter().take(MOST_PROBLEMS).map(one).collect_view());
    let more = move || count().checked_sub(MOST_PROBLEMS).filter(|n| *n > 0);
    view! {
        <div aria-live="polite">
            {move || refusal().map(|words| view! { <p class="refusal" data-testid="levels-refusal">{words}</p> })}
        </div>
        <Show when=move || { count() > 0 }>
            <section class="levels-problems" aria-label=words::PROBLEMS>
                <h2>{move || words::problems(count())}</h2>
                <ul data-testid="levels-problems">{listed}</ul>
                {move || more().map(|n| view! { <p class="fine">{words::more_problems(n)}</p> })}
                <label class="check">
                    <input
                        type="checkbox"
                        prop:checked=move || read.choices.with(|c| c.leave_odd_out)
                        on:change=move |event| read.choose(|c| c.leave_odd_out = event_target_checked(&event))
                    />
                    {words::LEAVE_ODD_OUT}
                </label>
            </section>
        </Show>
    }
    .into_any()
}

/// What was read, and the button that takes it.
#[component]
fn Foot(read: Read) -> impl IntoView {
    let shell = shell();
    let there = Memo::new(move |_| read.plan.with(|p| p.levels.spots.len()));
    let count = Memo::new(move |_| read.reading.with(|r| r.taken.len()));
    let replace = move || read.list.replace.get() && there.get() > 0;
    let summary =
        move || read.reading.with(|r| if r.refusal.is_some() { String::new() } else { r.to_string() });
    let apply = move |_| {
        let change = read.reading.with_untracked(|r| r.change(replace()));
        leave(shell);
        shell.send(Message::Edit(change));
        shell.live.set(words::levels_taken(count.get_untracked()));
    };
    view! {
        <div class="levels-foot">
            <p role="status" data-testid="levels-read">{summary}</p>
            <Show when=move || { there.get() > 0 }>
                <label class="check">
                    <input
                        type="checkbox"
                        id="levels-replace"
                        prop:checked=move || read.list.replace.get()
                        on:change=move |event| read.list.replace.set(event_target_checked(&event))
                    />
                    {move || words::replace_levels(there.get())}
                </label>
            </Show>
            <button
                type="button"
                class="button main"
                data-testid="levels-apply"
                disabled=move || count.get() == 0
                on:click=apply
            >
                {move || words::take_levels(count.get(), replace())}
            </button>
        </div>
    }
    .into_any()
}
