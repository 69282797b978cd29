//! The menu of the job: begin, open, save, print, colours, keys.
//!
//! In: nothing. Out: commands. Everything in it can also be found by typing.

use crate::bridge::protocol::Order;
use crate::controls::dialog::Modal;
use crate::controls::scheme;
use crate::files::open;
use crate::state::{Dialog, Shell, shell};
use crate::text;
use leptos::prelude::*;

/// The menu.
#[component]
pub(crate) fn Menu() -> impl IntoView {
    let shell = shell();
    view! {
        <Modal
            open=Signal::derive(move || shell.dialog.get() == Some(Dialog::Menu))
            close=move || leave(shell)
            title=text::FILE_MENU
            name="menu"
        >
            <div class="menu-list">
                {line(shell, text::BEGIN, move || shell.dialog.set(Some(Dialog::Begin)))}
                {line(shell, text::OPEN, move || { leave(shell); open::choose(shell) })}
                {line(shell, text::EARLIER, move || shell.dialog.set(Some(Dialog::Earlier)))}
                {line(shell, text::TO_TODAY, move || shell.dialog.set(Some(Dialog::Today)))}
                {line(shell, text::MERGE, move || shell.dialog.set(Some(Dialog::Merge)))}
                <hr/>
                {line(shell, text::SAVE_PLAN_AS, move || { leave(shell); shell.save_plan() })}
                {line(shell, text::SAVE_PDF, move || { leave(shell); shell.order(Order::SettingOut(shell.paper.get_untracked())) })}
                {line(shell, text::SAVE_DAYS, move || { leave(shell); shell.order(Order::Days(shell.paper.get_untracked())) })}
                {line(shell, text::SAVE_DRAINAGE, move || { leave(shell); shell.order(Order::Drainage(shell.paper.get_untracked())) })}
                {line(shell, text::SAVE_CSV, move || { leave(shell); shell.order(Order::CutList) })}
                {line(shell, text::SAVE_RECORDS, move || { leave(shell); shell.order(Order::Records) })}
                {line(shell, text::PRINT, move || { leave(shell); crate::panels::paper::print(shell) })}
                <hr/>
                {line(shell, text::KEYS, move || shell.dialog.set(Some(Dialog::Keys)))}
                <Colours/>
                <super::notices::KeptLine/>
            </div>
        </Modal>
    }
}

fn leave(shell: Shell) {
    if shell.dialog.get_untracked() == Some(Dialog::Menu) {
        shell.dialog.set(None);
    }
}

fn line(_shell: Shell, name: &'static str, act: impl Fn() + Send + Sync + 'static) -> impl IntoView {
    view! { <button type="button" class="line" on:click=move |_| act()>{name}</button> }
}

#[component]
fn Colours() -> impl IntoView {
    let now = RwSignal::new(scheme::chosen());
    view! {
        <fieldset class="colours">
            <legend>{text::SCHEME}</legend>
            <div class="choice">
                {scheme::SCHEMES
                    .into_iter()
                    .map(|(name, word)| {
                        view! {
                            <label>
                                <input
                                    type="radio"
                                    name="scheme"
                                    value=name
                                    prop:checked=move || now.get() == name
                                    on:change=move |_| {
                                        scheme::set(name);
                                        now.set(name.to_owned());
                                    }
                                />
                                {word}
                            </label>
                        }
                    })
                    .collect_view()}
            </div>
        </fieldset>
    }
}
