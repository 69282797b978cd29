//! baylap in the browser: a thin shell round the editor, with the engine in a worker.
//!
//! ```text
//! events -> state::Shell::send -> editor::Session -> Effects -> signals -> views
//!                                       |                ^
//!                                       v                |
//!                        bridge (worker: engine, PDF, CSV)     files (IndexedDB, downloads)
//! ```
//!
//! It computes nothing about a roof: what is drawn comes from the sheets' display list, what a key or a click means is
//! the editor's, what a layout is the engine's.
//!
//! Hooks for tests, kept stable: the board is `[data-testid=board]` with `data-revision` (of the plan) and
//! `data-laid-revision` (of the layout shown; equal when it is up to date), `data-laid-ms` (what the engine took for the
//! first layout that came last, milliseconds, by the worker's clock), `data-searched-revision`, `-steps` and `-ms` (of the
//! last search that came to its end) and `data-stage`; the numbers of the ledger
//! are `[data-ledger=rolls|waste|side-lap|end-laps|bays|deck|findings] b`, how good they are `[data-testid=found]`; tables
//! are `bays`, `pieces`, `rolls`, `waste`, `findings` by `data-testid`, with rows by id, `row-bay-N`, `row-piece-N`,
//! `row-roll-N`; bars of rolls hold `cut-N` and `strip-N` with `data-lit` and `aria-pressed`; the part of a zone's choice is
//! `choice-N` with `chart-ways` and `chart-starts`, proposals are in `splits`; fields
//! carry their path as `data-field`; tools `data-tool`, stages `#stage-deck` and so on; invented jobs `[data-demo=FILE]`; the state of the
//! store is `[data-testid=saved]`, of the page kept on the device `[data-testid=kept]` with `data-kept=no|ready|newer` and
//! `newer` for the sentence with its button; what screen readers hear is `[data-testid=live]`; a sentence over the board is
//! `[data-testid=say]`; dialogs are `begin`, `find`, `keys`, `menu`, `earlier`, `survey`, `levels` by `data-testid`; of the
//! levels `levels-read` says what was read, `levels-problems` and `levels-refusal` what is wrong, `levels-apply` takes them;
//! of the falls `falls`, `classes`, `ponds`, `outlets`, `verdicts` and `bad-edges` are parts of the inputs at that stage, with
//! `pond-N`, `outlet-N`, `[data-class]` and `[data-verdict]` for their lines; of today's view (`today`) the bays are
//! `today-bay-N`, its ticks `[data-step]`, places to read at `#reading-N` with `reading-N-enter` and `read-N`, what was said
//! of the last entry `today-said` with `data-verdict`, what is missing `outstanding`, records `record-KEY` with `data-state`;
//! of the days `strip` holds blocks `#block-N` with `data-bay`, `data-played`, `data-lit` and `aria-pressed`, heads
//! `[data-day-head=N]`, lanes `.lane.day[data-day=N]`; `play` with `play-words` plays them, bays on the drawing are
//! `.played-bay` with `data-played`, `day-details` is one day with `#tie-bay-N`, `tie-findings` what cannot be kept;
//! of the dialog `merge` the file is `#merge-file`, what would come `merge-told`, what came `merge-done`.

#![allow(unreachable_pub, reason = "the component macro writes public items into private modules")]

pub mod bridge;
mod broken;
mod controls;
mod files;
mod panels;
mod state;
mod surface;
mod text;

use files::autosave;
use leptos::prelude::*;
use panels::{
    bar, begin, drawer, earlier, find, inputs, keys, ledger, levels, menu, merge, notices, paper, survey,
    today, tools,
};
use state::{Cover, Shell};

/// Puts the page up. It lives until the tab is closed.
pub fn run_app() {
    broken::set_hook();
    controls::scheme::recall();
    leptos::mount::mount_to_body(App);
    if let Some(loading) = document().get_element_by_id("loading") {
        loading.remove();
    }
}

/// The page.
#[component]
fn App() -> impl IntoView {
    let shell = Shell::new(baylap_editor::Session::default());
    provide_context(shell);
    shell.start_engine();
    begin_with_what_was_left(shell);
    listen(shell);
    let over = RwSignal::new(false);
    files::open::listen_for_drops(shell, over);
    let cover = move || match shell.cover.get() {
        Some(Cover::Tools) => "tools",
        Some(Cover::Inputs) => "inputs",
        None => "none",
    };
    view! {
        <a class="skip" href="#board">{text::SKIP}</a>
        <div class="page" data-cover=cover class:open=move || shell.drawer.get().is_some()>
            <bar::Bar/>
            <tools::Tools/>
            <surface::Board/>
            <inputs::Inputs/>
            <div class="below">
                <drawer::Tables/>
                <ledger::Ledger/>
            </div>
            <Thumbs/>
        </div>
        <menu::Menu/>
        <begin::Begin/>
        <find::Find/>
        <keys::Keys/>
        <earlier::Earlier/>
        <survey::SurveyDialog/>
        <levels::LevelsDialog/>
        <today::Today/>
        <merge::Merge/>
        <notices::Notices/>
        <files::open::OpenInput/>
        <paper::Paper/>
        <Show when=move || over.get()>
            <div class="drop" aria-hidden="true">{text::DROP}</div>
        </Show>
    }
}

/// On a narrow screen: buttons that bring tools and inputs over the board, and take them away.
#[component]
fn Thumbs() -> impl IntoView {
    let shell = state::shell();
    let one = move |this: Cover, name: &'static str, data: &'static str| {
        view! {
            <button
                type="button"
                class="thumb"
                aria-expanded=move || if shell.cover.get() == Some(this) { "true" } else { "false" }
                on:click=move |_| shell.cover.update(|c| *c = if *c == Some(this) { None } else { Some(this) })
            >
                {controls::sign::sign(data)}
                <span>{name}</span>
            </button>
        }
    };
    view! {
        <div class="thumbs">
            {one(Cover::Tools, text::TOOLS, controls::sign::PENCIL)}
            {one(Cover::Inputs, text::INPUTS, controls::sign::INPUTS)}
            <button
                type="button"
                class="thumb"
                data-testid="thumb-today"
                on:click=move |_| shell.dialog.set(Some(state::Dialog::Today))
            >
                {controls::sign::sign(controls::sign::TICK)}
                <span>{text::TODAY}</span>
            </button>
        </div>
    }
}

/// Opens what this browser kept, or an invented job on the first visit: never an empty page.
fn begin_with_what_was_left(shell: Shell) {
    leptos::task::spawn_local(async move {
        match autosave::begin(shell).await {
            Some(session) => {
                shell.restore(session);
                shell.lay();
            }
            None => match files::open::demo(begin::FIRST).await {
                Ok(words) => shell.first_visit(begin::FIRST, &words),
                Err(sentence) => {
                    shell.tell(sentence, true);
                    shell.dialog.set(Some(state::Dialog::Begin));
                }
            },
        }
        shell.open_for_work.set(true);
        // Last: what is on the board comes before what may be wanted another day.
        files::offline::keep(shell);
    });
}

/// Ears on the window: keys that work everywhere, and leaving.
fn listen(shell: Shell) {
    let keys = window_event_listener(leptos::ev::keydown, move |event| {
        if event.default_prevented() || shell.dialog.get_untracked().is_some() {
            return;
        }
        let modifiers = surface::key_modifiers(&event);
        let typing = in_a_box(&event);
        // Undo in a box is the box's own; other keys with a modifier are ours wherever the focus is.
        let own = typing && matches!(event.key().as_str(), "z" | "Z" | "y" | "a" | "c" | "x" | "v");
        if (modifiers.command() || modifiers.alt) && !own {
            let message =
                baylap_editor::Message::Key(baylap_editor::KeyEvent { key: event.key(), modifiers });
            if shell.send(message) {
                event.prevent_default();
            }
        } else if event.key() == "Escape" && shell.cover.get_untracked().is_some() {
            shell.cover.set(None);
        }
    });
    let hide = window_event_listener_untyped("pagehide", move |_| autosave::leave(shell));
    let veil = leptos::prelude::document();
    let ear = wasm_bindgen::prelude::Closure::<dyn FnMut()>::new(move || {
        if leptos::prelude::document().visibility_state() == web_sys::VisibilityState::Hidden {
            autosave::leave(shell);
        }
    });
    {
        use wasm_bindgen::JsCast;
        let _ = veil.add_event_listener_with_callback("visibilitychange", ear.as_ref().unchecked_ref());
    }
    ear.forget();
    on_cleanup(move || {
        keys.remove();
        hide.remove();
    });
}

fn in_a_box(event: &web_sys::KeyboardEvent) -> bool {
    use wasm_bindgen::JsCast;
    let Some(target) = event.target().and_then(|t| t.dyn_into::<web_sys::Element>().ok()) else {
        return false;
    };
    matches!(target.tag_name().as_str(), "INPUT" | "TEXTAREA" | "SELECT")
}
