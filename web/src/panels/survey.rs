//! Typing a tape survey: a table of sides, each a length and a turn, that makes a deck.
//!
//! In: sizes as they are typed. Out: a new job with one deck, by one step that can be undone. By how much the sides
//! fail to close is said before the deck is made. The geometry is the editor's.

use crate::controls::dialog::Modal;
use crate::state::{Dialog, Shell, shell};
use crate::text;
use baylap_core::Plan;
use baylap_core::plan::Deck;
use baylap_editor::survey::{Side, Survey};
use baylap_editor::{Message, Selection, measure};
use leptos::html;
use leptos::prelude::*;

/// The dialog.
#[component]
pub(crate) fn SurveyDialog() -> impl IntoView {
    let shell = shell();
    view! {
        <Modal
            open=Signal::derive(move || shell.dialog.get() == Some(Dialog::Survey))
            close=move || leave(shell)
            title=text::SURVEY
            name="survey"
        >
            <Inner/>
        </Modal>
    }
}

fn leave(shell: Shell) {
    if shell.dialog.get_untracked() == Some(Dialog::Survey) {
        shell.dialog.set(None);
    }
}

/// Which turn is chosen.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Turn {
    Left,
    Right,
    Other,
}

#[component]
fn Inner() -> impl IntoView {
    let shell = shell();
    let sides = RwSignal::new(Vec::<(Mm, i32)>::new());
    let survey = Memo::new(move |_| sides.with(|s| Survey::of(&typed(s))));
    view! {
        <p class="lead">{text::SURVEY_LEAD}</p>
        <div class="survey-grid">
            <div>
                <AddSide sides=sides/>
                <SideTable sides=sides/>
            </div>
            <div>
                <Preview survey=survey/>
                <p class="closing" role="status" data-testid="closing">{move || survey.with(|s| text::closing(s.corners.len(), s.misclosure(), s.gap))}</p>
            </div>
        </div>
        <div class="row">
            <button
                type="button"
                class="button main"
                disabled=move || survey.with(|s| s.ring().is_err())
                on:click=move |_| survey.with_untracked(|s| make(shell, s))
            >
                {text::MAKE_DECK}
            </button>
            <button
                type="button"
                class="button"
                disabled=move || sides.with(Vec::is_empty)
                on:click=move |_| sides.update(|s| { s.pop(); })
            >
                {text::TAKE_BACK}
            </button>
        </div>
    }
}

type Mm = i64;

fn typed(sides: &[(Mm, i32)]) -> Vec<Side> {
    sides.iter().map(|&(length, turn_mdeg)| Side { length, turn_mdeg }).collect()
}

#[component]
fn AddSide(sides: RwSignal<Vec<(Mm, i32)>>) -> impl IntoView {
    let turn = RwSignal::new(Turn::Left);
    let (length, degrees) = (NodeRef::<html::Input>::new(), NodeRef::<html::Input>::new());
    let wrong = RwSignal::new(None::<String>);
    Effect::new(move |_| {
        if let Some(input) = length.get() {
            let _ = input.focus();
        }
    });
    let value =
        move |input: NodeRef<html::Input>| input.get_untracked().map(|i| i.value()).unwrap_or_default();
    let read = move || -> Result<(Mm, i32), String> {
        let turn_mdeg = match turn.get_untracked() {
            Turn::Left => 90_000,
            Turn::Right => -90_000,
            Turn::Other => measure::parse_angle(&value(degrees))?,
        };
        Ok((measure::parse_length(&value(length))?, turn_mdeg))
    };
    let add = move || match read() {
        Ok(side) => {
            sides.update(|s| s.push(side));
            wrong.set(None);
            if let Some(input) = length.get_untracked() {
                input.set_value("");
                let _ = input.focus();
            }
        }
        Err(sentence) => wrong.set(Some(sentence)),
    };
    let choice = move |this: Turn, word: &'static str| {
        view! {
            <label>
                <input
                    type="radio"
                    name="turn"
                    prop:checked=move || turn.get() == this
                    on:change=move |_| turn.set(this)
                />
                {word}
            </label>
        }
    };
    view! {
        <form
            class="add-side"
            on:submit=move |event| {
                event.prevent_default();
                add();
            }
        >
            <div class="field" class:bad=move || wrong.get().is_some()>
                <label for="survey-length">{text::LENGTH}</label>
                <div class="box">
                    <input
                        id="survey-length"
                        node_ref=length
                        type="text"
                        inputmode="decimal"
                        autocomplete="off"
                        class="number"
                        placeholder="3.250 m"
                        aria-describedby="survey-wrong"
                    />
                </div>
            </div>
            <fieldset class="field">
                <legend class="name">{text::TURN}</legend>
                <div class="choice">
                    {choice(Turn::Left, text::LEFT)} {choice(Turn::Right, text::RIGHT)}
                    {choice(Turn::Other, text::OTHER_TURN)}
                </div>
            </fieldset>
            <Show when=move || turn.get() == Turn::Other>
                <div class="field">
                    <label for="survey-turn">{text::DEGREES_LEFT}</label>
                    <div class="box">
                        <input id="survey-turn" node_ref=degrees type="text" inputmode="decimal" class="number"/>
                        <span class="unit">"°"</span>
                    </div>
                </div>
            </Show>
            <span id="survey-wrong" aria-live="polite">
                {move || wrong.get().map(|words| view! { <span class="wrong">{words}</span> })}
            </span>
            <button type="submit" class="button">{text::ADD_SIDE}</button>
        </form>
    }
}

#[component]
fn SideTable(sides: RwSignal<Vec<(Mm, i32)>>) -> impl IntoView {
    let row = |(i, (length, turn)): (usize, (Mm, i32))| {
        let turn = match turn {
            90_000 => text::LEFT.to_owned(),
            -90_000 => text::RIGHT.to_owned(),
            other => measure::degrees(i64::from(other)),
        };
        view! {
            <tr>
                <td>{i + 1}</td>
                <td class="r">{text::metres_bare(length)}</td>
                <td>{turn}</td>
            </tr>
        }
    };
    view! {
        <table class="still">
            <thead>
                <tr>
                    <th scope="col">"Side"</th>
                    <th scope="col" class="r">"Length, m"</th>
                    <th scope="col">{text::TURN}</th>
                </tr>
            </thead>
            <tbody>{move || sides.get().into_iter().enumerate().map(row).collect_view()}</tbody>
        </table>
    }
}

/// A small picture of the sides so far.
#[component]
fn Preview(survey: Memo<Survey>) -> impl IntoView {
    let view_box = move || {
        survey.with(|s| {
            let all = || s.corners.iter().chain([&s.end]);
            let lo = (all().map(|p| p.x).min().unwrap_or(0), all().map(|p| -p.y).min().unwrap_or(0));
            let hi = (all().map(|p| p.x).max().unwrap_or(0), all().map(|p| -p.y).max().unwrap_or(0));
            let room = ((hi.0 - lo.0).max(hi.1 - lo.1) / 12).max(500);
            format!("{} {} {} {}", lo.0 - room, lo.1 - room, hi.0 - lo.0 + 2 * room, hi.1 - lo.1 + 2 * room)
        })
    };
    let line = move || {
        survey.with(|s| {
            let points = s.corners.iter().chain([&s.end]);
            points.enumerate().fold(String::new(), |mut data, (i, p)| {
                data.push_str(&format!("{}{} {}", if i == 0 { 'M' } else { 'L' }, p.x, -p.y));
                data
            })
        })
    };
    let gap = move || survey.with(|s| format!("M{} {}L0 0", s.end.x, -s.end.y));
    view! {
        <svg class="preview" viewBox=view_box aria-hidden="true">
            <path class="p-thin" d=gap></path>
            <path class="p-heavy" d=line></path>
        </svg>
    }
}

/// A new job with this deck; what was open comes back by undo.
fn make(shell: Shell, survey: &Survey) {
    let Ok(ring) = survey.ring() else { return };
    leave(shell);
    let deck = Deck { id: 1, name: String::new(), ring };
    shell.open(Plan { decks: vec![deck], ..Plan::default() });
    shell.send(Message::Select(Some(Selection::Thing(1))));
}
