//! From the browser's events to the editor's messages.
//!
//! In: pointer, wheel and size events of the surface. Out: messages with places in the surface's own pixels. Moves are
//! passed on once a frame; a press or a lift is never late: the move before it goes first.

use crate::state::Shell;
use baylap_editor::{Button, Message, Modifiers, Phase, PointerEvent, PointerKind, Px};
use leptos::prelude::*;
use std::cell::RefCell;
use wasm_bindgen::prelude::*;
use web_sys::{AddEventListenerOptions, HtmlElement, KeyboardEvent, ResizeObserver, WheelEvent};

thread_local! {
    /// The latest move of each pointer that no frame has passed on yet.
    static MOVES: RefCell<Vec<PointerEvent>> = const { RefCell::new(Vec::new()) };
}

/// Sets the ears of the surface. They stay as long as the page.
pub(super) fn listen(shell: Shell, surface: &HtmlElement) {
    for (name, phase) in [
        ("pointerdown", Phase::Down),
        ("pointermove", Phase::Move),
        ("pointerup", Phase::Up),
        ("pointercancel", Phase::Cancel),
        ("pointerleave", Phase::Leave),
    ] {
        let element = surface.clone();
        on(surface, name, move |event: web_sys::PointerEvent| point(shell, &element, &event, phase));
    }
    let element = surface.clone();
    on(surface, "wheel", move |event: WheelEvent| wheel(shell, &element, &event));
    on(surface, "contextmenu", |event: web_sys::Event| event.prevent_default());
    watch_size(shell, surface);
}

/// Keys held during a key event.
pub(crate) fn key_modifiers(event: &KeyboardEvent) -> Modifiers {
    Modifiers {
        shift: event.shift_key(),
        ctrl: event.ctrl_key(),
        alt: event.alt_key(),
        meta: event.meta_key(),
    }
}

/// Listens without letting the browser scroll first.
fn on<E: wasm_bindgen::convert::FromWasmAbi + 'static>(
    surface: &HtmlElement,
    name: &str,
    ear: impl FnMut(E) + 'static,
) {
    let options = AddEventListenerOptions::new();
    options.set_passive(false);
    let ear = Closure::<dyn FnMut(E)>::new(ear);
    let _ = surface.add_event_listener_with_callback_and_add_event_listener_options(
        name,
        ear.as_ref().unchecked_ref(),
        &options,
    );
    ear.forget();
}

fn at(surface: &HtmlElement, x: i32, y: i32) -> Px {
    let box_ = surface.get_bounding_client_rect();
    Px::new(f64::from(x) - box_.left(), f64::from(y) - box_.top())
}

fn point(shell: Shell, surface: &HtmlElement, event: &web_sys::PointerEvent, phase: Phase) {
    let told = PointerEvent {
        phase,
        id: event.pointer_id(),
        kind: match event.pointer_type().as_str() {
            "touch" => PointerKind::Touch,
            "pen" => PointerKind::Pen,
            _ => PointerKind::Mouse,
        },
        at: at(surface, event.client_x(), event.client_y()),
        button: match event.button() {
            1 => Button::Middle,
            0 | -1 => Button::Main,
            _ => Button::Other,
        },
        modifiers: Modifiers {
            shift: event.shift_key(),
            ctrl: event.ctrl_key(),
            alt: event.alt_key(),
            meta: event.meta_key(),
        },
        time_ms: event.time_stamp(),
    };
    match phase {
        Phase::Move => later(shell, told),
        Phase::Down => {
            let _ = surface.set_pointer_capture(event.pointer_id());
            let _ = surface.focus();
            flush(shell);
            shell.send(Message::Pointer(told));
            event.prevent_default();
        }
        _ => {
            flush(shell);
            shell.send(Message::Pointer(told));
        }
    }
}

fn later(shell: Shell, event: PointerEvent) {
    let first = MOVES.with_borrow_mut(|moves| {
        let first = moves.is_empty();
        match moves.iter_mut().find(|m| m.id == event.id) {
            Some(earlier) => *earlier = event,
            None => moves.push(event),
        }
        first
    });
    if first {
        request_animation_frame(move || flush(shell));
    }
}

fn flush(shell: Shell) {
    for event in MOVES.take() {
        shell.send(Message::Pointer(event));
    }
}

fn wheel(shell: Shell, surface: &HtmlElement, event: &WheelEvent) {
    event.prevent_default();
    // Lines and pages of old wheels, as pixels.
    let unit = match event.delta_mode() {
        1 => 16.0,
        2 => 400.0,
        _ => 1.0,
    };
    shell.send(Message::Wheel {
        at: at(surface, event.client_x(), event.client_y()),
        dx: event.delta_x() * unit,
        dy: event.delta_y() * unit,
        modifiers: Modifiers {
            shift: event.shift_key(),
            ctrl: event.ctrl_key(),
            alt: event.alt_key(),
            meta: event.meta_key(),
        },
    });
}

fn watch_size(shell: Shell, surface: &HtmlElement) {
    let element = surface.clone();
    let measure = move || {
        let box_ = element.get_bounding_client_rect();
        if box_.width() > 1.0 && box_.height() > 1.0 {
            shell.resize(box_.width(), box_.height());
        }
    };
    measure();
    let ear = Closure::<dyn FnMut()>::new(measure);
    if let Ok(observer) = ResizeObserver::new(ear.as_ref().unchecked_ref()) {
        observer.observe(surface);
    }
    ear.forget();
}
