//! Playing the job: step back, step on, play and pause, by day or by bay, and a slider over all of it.
//!
//! In: the days of the layout and the moment that the editor holds. Out: moments. The drawing and the strip show them. Only
//! a person starts it; it stops at the last day, when its panel closes, and at the press that stops it.

use crate::controls::sign;
use crate::state::{Shell, shell};
use baylap_editor::playing::{self, moments};
use baylap_editor::{Message, Moment, Pace, Session};
use leptos::prelude::*;
use std::time::Duration;

/// No moment: the plan with all its bays alike.
pub(crate) const AS_IT_IS: &str = "Plan as it is";
/// How long a day and a bay are shown while it plays.
const DAY: Duration = Duration::from_millis(1_600);
const BAY: Duration = Duration::from_millis(1_000);

/// The moment shown, read again when it changes.
pub(crate) fn moment_signal() -> Memo<Option<Moment>> {
    let shell = shell();
    Memo::new(move |_| {
        shell.parts.overlay.track();
        shell.parts.layout.track();
        shell.read(Session::moment)
    })
}

/// The bar that plays.
#[component]
pub(super) fn Play() -> impl IntoView {
    let shell = shell();
    let moment = moment_signal();
    let begun_by_bay = moment.get_untracked().is_some_and(|m| m.turn.is_some());
    let pace = RwSignal::new(if begun_by_bay { Pace::Bay } else { Pace::Day });
    let going = RwSignal::new(false);
    let list = Memo::new(move |_| {
        shell.parts.layout.track();
        shell.read(|s| s.layout().days.as_ref().map(|days| moments(days, pace.get())).unwrap_or_default())
    });
    let index = Memo::new(move |_| moment.get().map_or(0, |at| list.with(|l| playing::place(l, at) + 1)));
    let words = Memo::new(move |_| {
        shell.parts.layout.track();
        moment.get().map_or_else(
            || AS_IT_IS.to_owned(),
            |at| {
                shell.read(|s| {
                    s.layout().days.as_ref().map(|days| playing::words(days, at)).unwrap_or_default()
                })
            },
        )
    });
    run(shell, pace, going);
    let step = move |forward: bool| {
        going.set(false);
        go(shell, pace.get_untracked(), forward);
    };
    let none = move || list.with(Vec::is_empty);
    view! {
        <div class="play" role="group" aria-label="Play the job" data-testid="play">
            <div class="row">
                <button type="button" class="button" disabled=none aria-label="Step back" on:click=move |_| step(false)>
                    {sign::sign(sign::BACK)}
                </button>
                <button
                    type="button"
                    class="button main play-button"
                    disabled=none
                    on:click=move |_| {
                        // At the end it begins again.
                        if !going.get_untracked() && index.get_untracked() == list.with_untracked(Vec::len) {
                            shell.send(Message::ShowMoment(None));
                        }
                        going.update(|g| *g = !*g);
                        if going.get_untracked() {
                            go(shell, pace.get_untracked(), true);
                        }
                    }
                >
                    {move || if going.get() { sign::sign(sign::PAUSE) } else { sign::sign(sign::PLAY) }}
                    {move || if going.get() { "Pause" } else { "Play" }}
                </button>
                <button type="button" class="button" disabled=none aria-label="Step on" on:click=move |_| step(true)>
                    {sign::sign(sign::ON)}
                </button>
                <fieldset class="pace">
                    <legend class="hidden-words">"Step by"</legend>
                    <div class="choice">{by(pace, Pace::Day, "By day")} {by(pace, Pace::Bay, "By bay")}</div>
                </fieldset>
                <Show when=move || moment.get().is_some()>
                    <button
                        type="button"
                        class="plain"
                        on:click=move |_| {
                            going.set(false);
                            shell.send(Message::ShowMoment(None));
                        }
                    >
                        {AS_IT_IS}
                    </button>
                </Show>
            </div>
            <label class="play-slider">
                <span data-testid="play-words">{words}</span>
                <input
                    type="range"
                    min="0"
                    step="1"
                    disabled=none
                    max=move || list.with(Vec::len).to_string()
                    prop:value=move || index.get().to_string()
                    aria-label="Moment of the job"
                    aria-valuetext=words
                    on:input=move |event| {
                        going.set(false);
                        let n: usize = event_target_value(&event).parse().unwrap_or(0);
                        let at = n.checked_sub(1).and_then(|n| list.with_untracked(|l| l.get(n).copied()));
                        shell.send(Message::ShowMoment(at));
                    }
                />
            </label>
        </div>
    }
}

fn by(pace: RwSignal<Pace>, this: Pace, name: &'static str) -> impl IntoView {
    view! {
        <label>
            <input type="radio" name="pace" prop:checked=move || pace.get() == this on:change=move |_| pace.set(this)/>
            {name}
        </label>
    }
}

/// Steps on or back; whether there was anywhere to go.
fn go(shell: Shell, pace: Pace, forward: bool) -> bool {
    let next = shell.read(|s| {
        let days = s.layout().days.as_ref()?;
        playing::step(days, pace, s.moment(), forward)
    });
    match next {
        Some(at) => shell.send(Message::ShowMoment(Some(at))),
        // Back from the first one is the plan as it is.
        None if !forward => shell.send(Message::ShowMoment(None)),
        None => return false,
    };
    true
}

/// Steps on by itself while it goes.
fn run(shell: Shell, pace: RwSignal<Pace>, going: RwSignal<bool>) {
    Effect::new(move |_| {
        if !going.get() {
            return;
        }
        let pace = pace.get();
        let every = if pace == Pace::Day { DAY } else { BAY };
        let step = move || {
            if !go(shell, pace, true) {
                going.set(false);
            }
        };
        match set_interval_with_handle(step, every) {
            Ok(handle) => on_cleanup(move || handle.clear()),
            Err(_) => going.set(false),
        }
    });
}
