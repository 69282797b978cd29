//! The worker's side: runs the engine and makes the files.
//!
//! In: [`Ask`]s as JSON strings. Out: [`Tell`]s as JSON strings, a file's bytes beside them. It keeps the last layout so
//! that a file made from the plan just laid does not lay it again. It is the only part of the program that holds the
//! PDF writer.

use super::protocol::{Ask, BUILD, Order, PROTOCOL, Paper, Tell};
use baylap_core::{Layout, Plan, lay};

use baylap_sheets::{SheetOptions, cut_list_csv, setting_out_pdf, style};

use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use web_sys::{DedicatedWorkerGlobalScope, MessageEvent};

/// Said when a file came out empty.
const EMPTY: &str = "Nothing is laid yet, so there is nothing to put on paper: draw a deck first.";

/// The plan laid last, with its revision and layout.
type Last = Rc<RefCell<Option<(u64, Layout)>>>;

/// Starts serving: sets the ear and says that the worker is up.
pub fn serve() {
    console_error_panic_hook::set_once();
    let Ok(scope) = js_sys::global().dyn_into::<DedicatedWorkerGlobalScope>() else {
        return;
    };
    let last = Last::default();
    let out = scope.clone();
    let ear = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        let Some(text) = event.data().as_string() else { return };
        let Ok(ask) = serde_json::from_str::<Ask>(&text) else { return };
        answer(ask, &last, &out);
    });
    scope.set_onmessage(Some(ear.as_ref().unchecked_ref()));
    ear.forget();
    tell(&scope, &Tell::Ready { protocol: PROTOCOL, build: BUILD.to_owned() });
}

fn answer(ask: Ask, last: &Last, out: &DedicatedWorkerGlobalScope) {
    match ask {
        Ask::Lay { revision, plan } => {
            let before = now();
            let layout = lay(&plan);
            let millis = now() - before;
            last.replace(Some((revision, layout.clone())));
            tell(out, &Tell::Laid { revision, layout: Box::new(layout), millis });
        }
        Ask::Make { number, revision, plan, order } => {
            let layout = match last.borrow().as_ref() {
                Some((laid, layout)) if *laid == revision => layout.clone(),
                _ => lay(&plan),
            };
            let bytes = make(&plan, &layout, order);
            if bytes.is_empty() {
                tell(out, &Tell::Refused { number, sentence: EMPTY.to_owned() });
            } else {
                tell_with(out, &Tell::Made { number, order }, &bytes);
            }
        }
    }
}

fn make(plan: &Plan, layout: &Layout, order: Order) -> Vec<u8> {
    match order {
        Order::SettingOut(paper) => setting_out_pdf(plan, layout, &SheetOptions { paper: on_paper(paper) }),
        Order::CutList => cut_list_csv(layout).into_bytes(),
    }
}

fn on_paper(paper: Paper) -> style::Paper {
    match paper {
        Paper::A4 => style::Paper::A4,
        Paper::A3 => style::Paper::A3,
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
