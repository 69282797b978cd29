//! Keeping the job in the browser so that closing the tab at any moment loses nothing.
//!
//! In: word that something changed. Out: a record in the browser's store at most a quarter of a second later. When the
//! page is hidden or left while a change is waiting, the plan is also written at once to the browser's plain storage,
//! which needs no waiting; the newer of the two is what the next visit opens. When the store refuses, the user is told
//! in one sentence and files can still be saved.

use super::database::{self, Record, Written};
use crate::state::{Saved, Shell};
use crate::text;
use baylap_editor::{Saved as AtRest, Session};
use leptos::prelude::*;
use std::cell::RefCell;
use std::time::Duration;

/// Wait after a change before it is written: a drag is not written at every step.
const WAIT: Duration = Duration::from_millis(250);
/// Undo steps in the copy made while the page is being left: it must be small enough for the plain storage.
const HASTY_STEPS: usize = 5;
/// Least time between two earlier versions set aside, milliseconds.
const APART: f64 = 120_000.0;
/// Where the copy made in haste lies.
const HASTY: &str = "baylap.left";

#[derive(Default)]
struct Keeper {
    database: Option<std::rc::Rc<idb::Database>>,
    /// Count of the newest record seen or written by this tab.
    count: u64,
    /// A change waits to be written.
    dirty: bool,
    /// A writing has been set off and not begun.
    waiting: bool,
    /// A writing is on its way.
    writing: bool,
    refused: bool,
    last_aside: f64,
}

thread_local! {
    static KEEPER: RefCell<Keeper> = RefCell::default();
}

/// Opens the store and gives back the session kept there, if any.
pub(crate) async fn begin(shell: Shell) -> Option<Session> {
    let kept = match database::open().await {
        Ok(database) => {
            let kept = database::current(&database).await.ok().flatten();
            KEEPER.with_borrow_mut(|k| k.database = Some(std::rc::Rc::new(database)));
            kept
        }
        Err(_) => {
            refuse(shell);
            None
        }
    };
    let hasty = take_hasty();
    let newest = match (kept, hasty) {
        (Some(a), Some(b)) => Some(if b.count > a.count { b } else { a }),
        (a, b) => a.or(b),
    };
    let record = newest?;
    KEEPER.with_borrow_mut(|k| k.count = record.count);
    match wake(&record) {
        Ok(session) => {
            shell.saved.set(Saved::Kept);
            Some(session)
        }
        Err(sentence) => {
            shell.tell(sentence, true);
            None
        }
    }
}

/// The session in a record.
pub(crate) fn wake(record: &Record) -> Result<Session, String> {
    let saved: AtRest = serde_json::from_str(&record.plan).map_err(|_| text::KEPT_UNREADABLE.to_owned())?;
    Session::from_saved(saved)
}

/// Something changed; `plan` when it is the plan itself.
pub(crate) fn changed(shell: Shell, plan: bool) {
    if plan && !KEEPER.with_borrow(|k| k.refused) && shell.saved.get_untracked() != Saved::Elsewhere {
        shell.saved.set(Saved::Pending);
    }
    let set_off = KEEPER.with_borrow_mut(|k| {
        k.dirty = true;
        !std::mem::replace(&mut k.waiting, true)
    });
    if set_off {
        set_timeout(
            move || {
                KEEPER.with_borrow_mut(|k| k.waiting = false);
                write(shell);
            },
            WAIT,
        );
    }
}

/// The page is being hidden or left: writes what waits, at once and where no waiting is needed.
pub(crate) fn leave(shell: Shell) {
    if !KEEPER.with_borrow(|k| k.dirty || k.writing) {
        return;
    }
    let count = KEEPER.with_borrow(|k| k.count + 1);
    let mut rest = shell.read(Session::to_saved);
    let spare = rest.undo.len().saturating_sub(HASTY_STEPS);
    rest.undo.drain(..spare);
    let record =
        Record { count, at: js_sys::Date::now(), plan: serde_json::to_string(&rest).unwrap_or_default() };
    if let (Some(store), Ok(text)) = (plain_storage(), serde_json::to_string(&record)) {
        let _ = store.set_item(HASTY, &text);
    }
    write(shell);
}

/// Sets the job as it is aside among the earlier versions.
pub(crate) fn set_aside(shell: Shell) {
    let Some(database) = KEEPER.with_borrow(|k| k.database.clone()) else { return };
    let record = record(shell, KEEPER.with_borrow(|k| k.count));
    leptos::task::spawn_local(async move {
        let _ = database::set_aside(&database, &record).await;
    });
}

/// The earlier versions, newest first.
pub(crate) async fn earlier() -> Vec<Record> {
    let Some(database) = KEEPER.with_borrow(|k| k.database.clone()) else { return Vec::new() };
    database::earlier(&database).await.unwrap_or_default()
}

/// Writes from now on again, over what another tab wrote.
pub(crate) fn take_over(shell: Shell) {
    KEEPER.with_borrow_mut(|k| k.count = u64::MAX);
    shell.saved.set(Saved::Pending);
    changed(shell, true);
}

fn record(shell: Shell, count: u64) -> Record {
    let rest = shell.read(Session::to_saved);
    Record { count, at: js_sys::Date::now(), plan: serde_json::to_string(&rest).unwrap_or_default() }
}

fn write(shell: Shell) {
    if shell.saved.get_untracked() == Saved::Elsewhere {
        return;
    }
    let Some((database, seen)) = KEEPER.with_borrow_mut(|k| {
        if !k.dirty || k.writing {
            return None;
        }
        let database = k.database.clone()?;
        k.dirty = false;
        k.writing = true;
        Some((database, k.count))
    }) else {
        return;
    };
    let record = record(shell, if seen == u64::MAX { now_count() } else { seen + 1 });
    leptos::task::spawn_local(async move {
        let done = database::keep(&database, &record, seen).await;
        KEEPER.with_borrow_mut(|k| k.writing = false);
        match done {
            Ok(Written::Kept) => kept(shell, &record, &database).await,
            Ok(Written::Elsewhere) => shell.saved.set(Saved::Elsewhere),
            Err(_) => refuse(shell),
        }
        if KEEPER.with_borrow(|k| k.dirty && !k.waiting) {
            changed(shell, false);
        }
    });
}

async fn kept(shell: Shell, record: &Record, database: &idb::Database) {
    let (clean, aside) = KEEPER.with_borrow_mut(|k| {
        k.count = record.count;
        k.refused = false;
        let aside = record.at - k.last_aside > APART;
        if aside {
            k.last_aside = record.at;
        }
        (!k.dirty, aside)
    });
    if clean {
        shell.saved.set(Saved::Kept);
        if let Some(store) = plain_storage() {
            let _ = store.remove_item(HASTY);
        }
    }
    if aside {
        let _ = database::set_aside(database, record).await;
    }
}

fn refuse(shell: Shell) {
    let first = KEEPER.with_borrow_mut(|k| !std::mem::replace(&mut k.refused, true));
    shell.saved.set(Saved::Refused);
    if first {
        shell.tell(text::STORE_REFUSED, true);
    }
}

/// A count that is greater than any this store holds, for taking over: the clock in milliseconds.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn now_count() -> u64 {
    js_sys::Date::now() as u64
}

fn take_hasty() -> Option<Record> {
    let store = plain_storage()?;
    let text = store.get_item(HASTY).ok()??;
    serde_json::from_str(&text).ok()
}

fn plain_storage() -> Option<web_sys::Storage> {
    web_sys::window()?.local_storage().ok()?
}
