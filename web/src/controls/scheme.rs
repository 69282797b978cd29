//! The colour scheme: as the system has it, paper, night or sun.
//!
//! In: the user's choice. Out: the `data-scheme` attribute that the style sheet reads, kept for the next visit.

use leptos::prelude::*;

const KEY: &str = "baylap.scheme";

/// A scheme: its name in the style sheet and on screen.
pub(crate) const SCHEMES: [(&str, &str); 4] =
    [("auto", "As the system has it"), ("light", "Paper"), ("dark", "Night"), ("sun", "Sun, high contrast")];

/// Sets the scheme chosen at the last visit.
pub(crate) fn recall() {
    set(&chosen());
}

/// The scheme in force.
pub(crate) fn chosen() -> String {
    stored().filter(|name| SCHEMES.iter().any(|(s, _)| s == name)).unwrap_or_else(|| "auto".to_owned())
}

/// Sets a scheme and keeps it.
pub(crate) fn set(name: &str) {
    if let Some(root) = document().document_element() {
        let _ = root.set_attribute("data-scheme", name);
    }
    if let Ok(Some(store)) = window().local_storage() {
        let _ = store.set_item(KEY, name);
    }
}

/// Goes to the next scheme.
pub(crate) fn next() {
    let now = chosen();
    let at = SCHEMES.iter().position(|(name, _)| *name == now).unwrap_or(0);
    set(SCHEMES[(at + 1) % SCHEMES.len()].0);
}

fn stored() -> Option<String> {
    window().local_storage().ok()??.get_item(KEY).ok()?
}
