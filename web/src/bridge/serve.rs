//! The worker's side: hears the page, goes on with what is in hand, speaks.
//!
//! In: [`Ask`]s as JSON strings. Out: [`Tell`]s as JSON strings, a file's bytes beside them. Between two slices of work
//! the worker goes back to the browser through a message to itself, so that a newer plan is heard before the next one. It
//! is the only part of the program that holds the PDF writer.

use super::desk::Desk;
use super::protocol::{Ask, BUILD, PROTOCOL, Tell};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use web_sys::{DedicatedWorkerGlobalScope, MessageChannel, MessageEvent, MessagePort};

/// The worker: what is in hand, and the ways to speak and to come back.
struct Server {
    desk: RefCell<Desk>,
    scope: DedicatedWorkerGlobalScope,
    /// A message sent here comes back as a turn.
    again: MessagePort,
    /// Whether one is on its way.
    coming: Cell<bool>,
}

/// Starts serving: sets the ear and says that the worker is up.
pub fn serve() {
    console_error_panic_hook::set_once();
    let Ok(scope) = js_sys::global().dyn_into::<DedicatedWorkerGlobalScope>() else { return };
    let Ok(channel) = MessageChannel::new() else { return };
    let server = Rc::new(Server {
        desk: RefCell::default(),
        scope: scope.clone(),
        again: channel.port2(),
        coming: Cell::new(false),
    });
    let turner = Rc::clone(&server);
    let turn = Closure::<dyn FnMut(MessageEvent)>::new(move |_: MessageEvent| turner.turn());
    channel.port1().set_onmessage(Some(turn.as_ref().unchecked_ref()));
    turn.forget();
    let ear = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| server.hear(&event.data()));
    scope.set_onmessage(Some(ear.as_ref().unchecked_ref()));
    ear.forget();
    tell(&scope, &Tell::Ready { protocol: PROTOCOL, build: BUILD.to_owned() });
}

impl Server {
    fn hear(&self, data: &JsValue) {
        let Some(text) = data.as_string() else { return };
        let Ok(ask) = serde_json::from_str::<Ask>(&text) else { return };
        let word = self.desk.borrow_mut().take(ask, now);
        self.speak(word);
        self.come_back();
    }

    fn turn(&self) {
        self.coming.set(false);
        let word = self.desk.borrow_mut().turn(now);
        self.speak(word);
        self.come_back();
    }

    fn speak(&self, word: Option<super::desk::Word>) {
        match word {
            Some((told, Some(bytes))) => tell_with(&self.scope, &told, &bytes),
            Some((told, None)) => tell(&self.scope, &told),
            None => {}
        }
    }

    fn come_back(&self) {
        if self.desk.borrow().is_busy() && !self.coming.replace(true) {
            let _ = self.again.post_message(&JsValue::NULL);
        }
    }
}

fn tell(out: &DedicatedWorkerGlobalScope, word: &Tell) {
    if let Ok(text) = serde_json::to_string(word) {
        let _ = out.post_message(&JsValue::from_str(&text));
    }
}

fn tell_with(out: &DedicatedWorkerGlobalScope, word: &Tell, bytes: &[u8]) {
    let Ok(text) = serde_json::to_string(word) else { return };
    let both = js_sys::Array::of2(&JsValue::from_str(&text), &js_sys::Uint8Array::from(bytes).into());
    let _ = out.post_message(&both);
}

/// Milliseconds since some start; a clock of the browser, never of the engine. A worker has no window to ask for the
/// fine clock; the coarse one counts whole milliseconds.
fn now() -> f64 {
    let fine = js_sys::Reflect::get(&js_sys::global(), &JsValue::from_str("performance"));
    let fine = fine.ok().and_then(|clock| clock.dyn_into::<web_sys::Performance>().ok());
    fine.map_or_else(js_sys::Date::now, |clock| clock.now())
}
