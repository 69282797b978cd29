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
    view! {
        <dialog
            node_ref=node
            class=name
            data-testid=name
            aria-label=title
            // The event comes late: by then a quick hand may have opened the dialog again.
            on:close=move |_| {
                if node.get_untracked().is_some_and(|dialog| !dialog.open()) {
                    close();
                }
            }
            on:pointerdown=move |event| {
                let on_backdrop = event.target().zip(node.get_untracked()).is_some_and(|(target, dialog)| {
                    let dialog: &web_sys::EventTarget = dialog.as_ref();
                    &target == dialog
                });
                if on_backdrop {
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
