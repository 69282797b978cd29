//! Handing a file to the user.
//!
//! In: a name, a kind and bytes. Out: a download. It says so when the browser refuses.

use wasm_bindgen::prelude::*;
use web_sys::{Blob, BlobPropertyBag, HtmlAnchorElement, Url};

/// How long the browser may take to fetch the bytes before they are let go.
const LET_GO: std::time::Duration = std::time::Duration::from_secs(60);

/// Hands `bytes` to the user as a download called `name`; `false` when the browser refuses.
pub(crate) fn download(name: &str, kind: &str, bytes: &[u8]) -> bool {
    try_download(name, kind, bytes).is_some()
}

fn try_download(name: &str, kind: &str, bytes: &[u8]) -> Option<()> {
    let parts = js_sys::Array::of1(&js_sys::Uint8Array::from(bytes).into());
    let bag = BlobPropertyBag::new();
    bag.set_type(kind);
    let blob = Blob::new_with_u8_array_sequence_and_options(&parts, &bag).ok()?;
    let address = Url::create_object_url_with_blob(&blob).ok()?;
    let document = web_sys::window()?.document()?;
    let anchor: HtmlAnchorElement = document.create_element("a").ok()?.dyn_into().ok()?;
    anchor.set_href(&address);
    anchor.set_download(name);
    anchor.click();
    leptos::prelude::set_timeout(
        move || {
            let _ = Url::revoke_object_url(&address);
        },
        LET_GO,
    );
    Some(())
}

/// A file name from a job's name: letters, figures and hyphens only.
pub(crate) fn file_name(job: &str, what: &str, ending: &str) -> String {
    let mut stem = String::new();
    for c in job.trim().chars() {
        if c.is_alphanumeric() {
            stem.extend(c.to_lowercase());
        } else if !stem.ends_with('-') && !stem.is_empty() {
            stem.push('-');
        }
    }
    let stem = stem.trim_end_matches('-');
    let stem = if stem.is_empty() { "roof" } else { stem };
    if what.is_empty() { format!("{stem}.{ending}") } else { format!("{stem}-{what}.{ending}") }
}
