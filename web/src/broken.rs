//! When the page itself fails: one plain sentence, and the last good plan as a file.
//!
//! In: a panic. Out: a sheet over the page, made with the bare document because nothing else can be trusted then. The
//! plan is the one of the last finished change.

use crate::text;
use baylap_core::Plan;
use std::cell::RefCell;
use std::sync::Arc;
use wasm_bindgen::prelude::*;

thread_local! {
    static LAST_GOOD: RefCell<Option<Arc<Plan>>> = const { RefCell::new(None) };
}

/// Remembers a plan that went through the editor whole.
pub(crate) fn remember(plan: &Arc<Plan>) {
    LAST_GOOD.with(|last| {
        if let Ok(mut last) = last.try_borrow_mut() {
            *last = Some(plan.clone());
        }
    });
}

/// Sets what happens on a panic and on a trap.
pub(crate) fn set_hook() {
    std::panic::set_hook(Box::new(|info| {
        console_error_panic_hook::hook(info);
        let _ = say();
    }));
    // A stack that runs over, or a trap without a panic, reaches the page as an error of the browser's.
    let ear = Closure::<dyn FnMut(web_sys::ErrorEvent)>::new(|event: web_sys::ErrorEvent| {
        let words = event.message();
        if words.contains("RuntimeError") || words.contains("RangeError") {
            let _ = say();
        }
    });
    if let Some(window) = web_sys::window() {
        let _ = window.add_event_listener_with_callback("error", ear.as_ref().unchecked_ref());
    }
    ear.forget();
}

/// The sheet. The plan's text and its link are made at once: after the panic no code of ours runs any more.
fn say() -> Option<()> {
    let plan = LAST_GOOD.with(|last| last.try_borrow().ok()?.clone());
    let document = web_sys::window()?.document()?;
    if document.query_selector(".broken").ok()?.is_some() {
        return None;
    }
    let sheet = document.create_element("div").ok()?;
    sheet.set_attribute("role", "alert").ok()?;
    sheet.set_class_name("broken");
    let words = document.create_element("p").ok()?;
    words.set_text_content(Some(text::BROKEN));
    sheet.append_child(&words).ok()?;
    if let Some(plan) = plan {
        let link: web_sys::HtmlAnchorElement = document.create_element("a").ok()?.dyn_into().ok()?;
        let file = baylap_core::plan::file::write(&plan);
        let data = js_sys::encode_uri_component(&file);
        link.set_href(&format!("data:application/json;charset=utf-8,{}", String::from(data)));
        link.set_download(&crate::files::save::file_name(&plan.job.name, "", "baylap.json"));
        link.set_text_content(Some(text::SAVE_LAST));
        link.set_class_name("button main");
        sheet.append_child(&link).ok()?;
    }
    let again: web_sys::HtmlAnchorElement = document.create_element("a").ok()?.dyn_into().ok()?;
    again.set_href("");
    again.set_text_content(Some(text::RELOAD));
    again.set_class_name("button");
    sheet.append_child(&again).ok()?;
    document.body()?.append_child(&sheet).ok()?;
    Some(())
}
