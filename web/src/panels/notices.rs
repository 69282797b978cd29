//! Sentences that concern the page as a whole: what was said last, and what stands in the way.
//!
//! In: the state of engine and store. Out: one plain sentence with a button that does something about it.

use crate::bridge::client::Engine;
use crate::files::autosave;
use crate::files::offline::{self, Kept};
use crate::state::{Saved, Shell, shell};
use crate::text;
use baylap_editor::Message;
use leptos::prelude::*;
use std::time::Duration;

/// How long a sentence that is no trouble stays.
const STAY: Duration = Duration::from_secs(6);

/// The sentences, and the live region that reads them out.
#[component]
pub(crate) fn Notices() -> impl IntoView {
    let shell = shell();
    Effect::new(move |_| {
        let Some(said) = shell.say.get() else { return };
        if !said.wrong {
            set_timeout(
                move || {
                    if shell.say.get_untracked().as_ref() == Some(&said) {
                        shell.say.set(None);
                    }
                },
                STAY,
            );
        }
    });
    let standing = Memo::new(move |_| match (shell.engine.get(), shell.saved.get()) {
        (Engine::Missing, _) => Some((text::ENGINE_MISSING, Act::Restart)),
        (Engine::OtherBuild, _) => Some((text::ENGINE_OTHER, Act::Reload)),
        (_, Saved::Elsewhere) => Some((text::OTHER_TAB, Act::TakeOver)),
        _ => None,
    });
    view! {
        <p class="hidden-words" role="status" aria-live="polite" data-testid="live">{move || shell.live.get()}</p>
        <p class="hidden-words" role="status" aria-live="polite" data-testid="live-layout">{move || shell.live_layout.get()}</p>
        {move || standing.get().map(|(words, act)| view! {
            <div class="say wrong standing" role="alert">
                <span>{words}</span>
                <button type="button" on:click=move |_| act.go(shell)>{act.name()}</button>
            </div>
        })}
        <Newer/>
        {move || shell.say.get().map(|said| view! {
            <div class="say" class:wrong=said.wrong data-testid="say">
                <span>{said.sentence}</span>
                <button
                    type="button"
                    on:click=move |_| {
                        shell.say.set(None);
                        shell.send(Message::Dismiss);
                    }
                >
                    {text::CLOSE}
                </button>
            </div>
        })}
    }
}

/// A newer build: nothing changes under the page until somebody takes it.
#[component]
fn Newer() -> impl IntoView {
    let shell = shell();
    let later = RwSignal::new(false);
    let words = move || match shell.kept.get() {
        Kept::Newer if !later.get() => Some(text::NEWER),
        Kept::OtherTabs if !later.get() => Some(text::NEWER_ELSEWHERE),
        _ => None,
    };
    view! {
        <div role="status">
            {move || words().map(|words| view! {
                <div class="say quiet" data-testid="newer">
                    <span>{words}</span>
                    <button type="button" on:click=move |_| offline::take(shell)>{text::TAKE_NEWER}</button>
                    <button type="button" on:click=move |_| later.set(true)>{text::CLOSE}</button>
                </div>
            })}
        </div>
    }
}

/// One quiet line: whether the page opens without a signal.
#[component]
pub(crate) fn KeptLine() -> impl IntoView {
    let shell = shell();
    let words = move || if shell.kept.get() == Kept::No { text::OPENS_NOT } else { text::OPENS };
    view! { <p class="fine" data-testid="kept" data-kept=move || shell.kept.get().slug()>{words}</p> }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Act {
    Restart,
    Reload,
    TakeOver,
}

impl Act {
    const fn name(self) -> &'static str {
        match self {
            Act::Restart => text::START_AGAIN,
            Act::Reload => text::RELOAD,
            Act::TakeOver => text::TAKE_OVER,
        }
    }

    fn go(self, shell: Shell) {
        match self {
            Act::Restart => shell.restart_engine(),
            Act::TakeOver => autosave::take_over(shell),
            Act::Reload => {
                let _ = window().location().reload();
            }
        }
    }
}
