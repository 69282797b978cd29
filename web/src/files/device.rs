//! This device among others: its mark, its counter of records, and who uses it.
//!
//! In: nothing. Out: keys that no other device gives, and the name typed last. All of it lies in the browser's plain
//! storage; where that is refused it lasts as long as the page does. Two tabs share the counter through the storage.

use baylap_core::plan::{Record, records::parts_of};
use std::cell::RefCell;

const MARK: &str = "baylap.device";
const COUNTER: &str = "baylap.records";
const NAME: &str = "baylap.by";
/// Characters of the mark: one in 40 million that two of a pair of devices are alike, and then a merge still keeps both.
const LENGTH: usize = 5;
const LETTERS: &[u8; 26] = b"abcdefghijklmnopqrstuvwxyz";
const SIGNS: &[u8; 36] = b"abcdefghijklmnopqrstuvwxyz0123456789";

thread_local! {
    /// What a page without storage remembers.
    static HERE: RefCell<(Option<String>, u64)> = const { RefCell::new((None, 0)) };
}

/// A key for the next record of this device; `there` are the records of the plan, from whatever device.
pub(crate) fn next_key(there: &[Record]) -> String {
    let mark = mark();
    let used = there.iter().map(|r| parts_of(&r.key)).filter(|(m, _)| *m == mark).map(|(_, n)| n).max();
    let stored = recall(COUNTER).and_then(|n| n.parse().ok()).unwrap_or(0);
    let held = HERE.with_borrow(|here| here.1);
    let next = used.unwrap_or(0).max(stored).max(held) + 1;
    keep(COUNTER, &next.to_string());
    HERE.with_borrow_mut(|here| here.1 = next);
    format!("{mark}-{next}")
}

/// Who uses this device, as typed last.
pub(crate) fn name() -> String {
    recall(NAME).unwrap_or_default()
}

/// Remembers who uses this device.
pub(crate) fn keep_name(name: &str) {
    keep(NAME, name);
}

/// The mark of this device: made by lot the first time.
fn mark() -> String {
    if let Some(mark) = recall(MARK).filter(|m| is_mark(m)).or_else(|| HERE.with_borrow(|h| h.0.clone())) {
        return mark;
    }
    let mark = drawn_by_lot();
    keep(MARK, &mark);
    HERE.with_borrow_mut(|here| here.0 = Some(mark.clone()));
    mark
}

fn is_mark(text: &str) -> bool {
    text.len() == LENGTH && text.bytes().all(|b| SIGNS.contains(&b))
}

fn drawn_by_lot() -> String {
    let mut lots = [0_u8; LENGTH];
    let drawn = web_sys::window()
        .and_then(|w| w.crypto().ok())
        .and_then(|crypto| crypto.get_random_values_with_u8_array(&mut lots).ok());
    if drawn.is_none() {
        // Without the browser's lots the clock has to do.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let now = js_sys::Date::now() as u64;
        lots.iter_mut().zip(now.to_le_bytes()).for_each(|(lot, byte)| *lot = byte);
    }
    let first = LETTERS[usize::from(lots[0]) % LETTERS.len()];
    let rest = lots[1..].iter().map(|lot| SIGNS[usize::from(*lot) % SIGNS.len()]);
    std::iter::once(first).chain(rest).map(char::from).collect()
}

fn recall(name: &str) -> Option<String> {
    storage()?.get_item(name).ok()?
}

fn keep(name: &str, value: &str) {
    if let Some(store) = storage() {
        let _ = store.set_item(name, value);
    }
}

fn storage() -> Option<web_sys::Storage> {
    web_sys::window()?.local_storage().ok()?
}

/// Today by the clock of this device: year-month-day and hours:minutes, for fields that propose them.
pub(crate) fn now() -> (String, String) {
    let date = js_sys::Date::new_0();
    let day = format!("{:04}-{:02}-{:02}", date.get_full_year(), date.get_month() + 1, date.get_date());
    (day, format!("{:02}:{:02}", date.get_hours(), date.get_minutes()))
}
