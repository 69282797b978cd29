//! The board: the drawing, what lies over it, and the ways to point at it.
//!
//! In: the session's plan, layout, camera and overlay. Out: one SVG whose drawing moves by one transform; pointer,
//! wheel and key events as messages. What is drawn comes from the sheets' display list, the same as on paper; where
//! something is and what was hit is the editor's business.

mod entry;
mod layers;
mod overlay;
pub(crate) mod played;
mod pointer;

pub(crate) use pointer::key_modifiers;

use crate::bridge::client::Engine;
use crate::controls::sign;
use crate::state::{Dialog, Drawer, shell};
use crate::text;
use baylap_editor::{CommandId, KeyEvent, Message, Session, Tool, scale};
use leptos::html;
use leptos::prelude::*;

/// Longest scale bar, pixels.
const WIDEST_BAR: f64 = 130.0;

/// The board with its corner buttons and entry.
#[component]
pub(crate) fn Board() -> impl IntoView {
    let shell = shell();
    let node = NodeRef::<html::Div>::new();
    Effect::new(move |_| {
        if let Some(element) = node.get() {
            pointer::listen(shell, &element);
        }
    });
    let parts = shell.parts;
    let revision = move || {
        parts.plan.track();
        shell.read(Session::revision)
    };
    let laid = move || {
        parts.layout.track();
        shell.read(|s| s.layout_revision().map(|r| r.to_string()).unwrap_or_default())
    };
    let searched = move || {
        let (revision, steps, millis) = shell.searched.get();
        (if revision == u64::MAX { String::new() } else { revision.to_string() }, steps, millis)
    };
    let current = move || {
        parts.layout.track();
        shell.read(Session::layout_is_current)
    };
    let stage = move || {
        parts.tool.track();
        shell.read(|s| s.stage().name().to_lowercase())
    };
    let overlay = overlay::signal();
    provide_context(overlay);
    let layers_on = layers::switched_on();
    let cursor = move || overlay.with(|o| o.cursor);
    let empty = move || {
        parts.plan.track();
        parts.overlay.track();
        shell.read(|s| s.plan().decks.is_empty() && !s.is_drawing() && s.tool() == Tool::Select)
    };
    let busy = move || matches!(shell.engine.get(), Engine::Busy | Engine::Starting) && !current();
    view! {
        <section class="board" id="board-area">
            <div
                class="surface"
                id="board"
                node_ref=node
                tabindex="0"
                role="application"
                aria-label=text::BOARD
                data-testid="board"
                data-revision=revision
                data-laid-revision=laid
                data-laid-ms=move || shell.millis.get()
                data-searched-revision=move || searched().0
                data-searched-steps=move || searched().1
                data-searched-ms=move || searched().2
                data-stage=stage
                class:old=move || !current()
                style:cursor=cursor
                on:keydown=move |event| {
                    if event.target() == event.current_target() {
                        let taken = shell.send(Message::Key(KeyEvent {
                            key: event.key(),
                            modifiers: key_modifiers(&event),
                        }));
                        if taken {
                            event.prevent_default();
                            event.stop_propagation();
                        }
                    }
                }
            >
                <svg class="drawing" aria-hidden="true">
                    <layers::Drawing on=layers_on/>
                    <overlay::Over/>
                </svg>
            </div>
            <p class="laying" class:shown=busy aria-hidden="true">{text::LAYING}</p>
            <Offer/>
            <Show when=empty>
                <div class="empty">
                    <p>{text::EMPTY_BOARD}</p>
                    <div class="row">
                        <button
                            type="button"
                            class="button main"
                            on:click=move |_| shell.command(CommandId::Tool(Tool::Deck))
                        >
                            {sign::sign(sign::PENCIL)}
                            {text::BEGIN_DRAW}
                        </button>
                        <button
                            type="button"
                            class="button"
                            on:click=move |_| shell.dialog.set(Some(Dialog::Begin))
                        >
                            {text::BEGIN}
                        </button>
                    </div>
                </div>
            </Show>
            <div class="zooms" role="group" aria-label="View">
                {zoom(CommandId::ZoomIn, "Closer", sign::IN)}
                {zoom(CommandId::ZoomOut, "Further away", sign::OUT)}
                {zoom(CommandId::ZoomFit, "Show the whole plan", sign::FIT)}
            </div>
            <layers::Switches on=layers_on/>
            <played::OnBoard/>
            <ScaleBar/>
            <entry::Entry/>
        </section>
    }
}

/// Says that a split would save, and opens the list.
#[component]
fn Offer() -> impl IntoView {
    let shell = shell();
    let some = move || shell.splits.with(|s| !s.is_empty()) && shell.drawer.get() != Some(Drawer::Choices);
    view! {
        <Show when=some>
            <button
                type="button"
                class="offer"
                data-testid="offer"
                on:click=move |_| shell.drawer.set(Some(Drawer::Choices))
            >
                {move || shell.splits.with(|s| s.first().map(text::offer))}
            </button>
        </Show>
    }
}

/// A round length at the scale of the view, and where north is.
#[component]
fn ScaleBar() -> impl IntoView {
    let shell = shell();
    let bar = Memo::new(move |_| {
        shell.parts.view.track();
        shell.read(|s| scale::bar(s.camera().scale, WIDEST_BAR))
    });
    let north = Memo::new(move |_| {
        shell.parts.plan.track();
        shell.read(|s| s.plan().job.north_mdeg)
    });
    let arrow = move |mdeg: i32| {
        let turn = format!("transform:rotate({}deg)", 90.0 - f64::from(mdeg) / 1000.0);
        view! {
            <svg class="north" viewBox="0 0 24 34" style=turn>
                <path d="M12 33V5M12 3L6.5 14 12 11l5.5 3z"></path>
                <text x="12" y="30">"N"</text>
            </svg>
        }
    };
    view! {
        <div class="scale-bar" aria-hidden="true">
            {move || north.get().map(arrow)}
            <span class="length" style=move || format!("width:{:.1}px", bar.get().1)>
                {move || text::bar(bar.get().0)}
            </span>
        </div>
    }
}

fn zoom(id: CommandId, name: &'static str, data: &'static str) -> impl IntoView {
    let shell = shell();
    view! {
        <button type="button" class="icon" aria-label=name title=name on:click=move |_| shell.command(id)>
            {sign::sign(data)}
        </button>
    }
}
