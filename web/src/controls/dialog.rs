//! A dialog: takes the focus while open, gives it back when closed, closes by Escape.
//!
//! In: whether it is open, its title and its content. Out: the platform's own dialog element. It traps nothing beyond
//! what the platform does.

use super::sign;
use crate::text;
use leptos::html;
use leptos::prelude::*;

/// A dialog that is open while `open` says so.
#[component]
pub(crate) fn Modal(
    /// Whether it is open.
    #[prop(into)]
    open: Signal<bool>,
    /// Called when it was closed.
    close: impl Fn() + Copy + Send + Sync + 'static,
    /// Its title.
    title: &'static str,
    /// Name for tests and styles.
    name: &'static str,
    /// Its content; made anew each time it opens.
    children: ChildrenFn,
) -> impl IntoView {
    let node = NodeRef::<html::Dialog>::new();
    Effect::new(move |_| {
        let Some(dialog) = node.get() else { return };
        if open.get() {
            if !dialog.open() {
                let _ = dialog.show_modal();
            }
        } else if dialog.open() {
            dialog.close();
        }
    });
    let from_itself = move |target: Option<web_sys::EventTarget>| {
        target.zip(node.get_untracked()).is_some_and(|(target, dialog)| {
            let dialog: &web_sys::EventTarget = dialog.as_ref();
            &target == dialog
        })
    };
    view! {
        <dialog
            node_ref=node
            class=name
            data-testid=name
            aria-label=title
            // Escape: at once, as until it is known to be closed the keys of the window are not heard. A file
            // box within says the same word when it is left without a file.
            on:cancel=move |event: web_sys::Event| {
                if from_itself(event.target()) {
                    close();
                }
            }
            // The event comes late: by then a quick hand may have opened the dialog again.
            on:close=move |_| {
                if node.get_untracked().is_some_and(|dialog| !dialog.open()) {
                    close();
                }
            }
            on:pointerdown=move |event| {
                // A press on the dialog itself is one on the ground round it.
                if from_itself(event.target()) {
                    close();
                }
            }
        >
            <Show when=move || open.get()>
                <div class="inside">
                    <div class="row">
                        <h1 class="grow">{title}</h1>
                        <button type="button" class="icon" aria-label=text::CLOSE on:click=move |_| close()>
                            {sign::sign(sign::CLOSE)}
                        </button>
                    </div>
                    {children()}
                </div>
            </Show>
        </dialog>
    }
}
