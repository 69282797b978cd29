//! The browser's own store: the job being worked on and a few earlier versions of it.
//!
//! In: records. Out: the same records, in this tab or in one opened later. A record is never written over a newer one
//! that this tab has not seen. When the store refuses, nothing is deleted and the caller gets a sentence.

use idb::{Database, DatabaseEvent, Factory, ObjectStoreParams, Query, TransactionMode};
use serde::{Deserialize, Serialize};
use wasm_bindgen::JsValue;

const NAME: &str = "baylap";
const JOBS: &str = "jobs";
const EARLIER: &str = "earlier";
const CURRENT: &str = "current";
/// Earlier versions kept.
const KEPT: u64 = 20;

/// A job as kept in the store.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Record {
    /// Counts the writings of this store; a newer record has a greater count.
    pub(crate) count: u64,
    /// When it was written, milliseconds since 1970.
    pub(crate) at: f64,
    /// The plan file.
    pub(crate) plan: String,
}

/// What came of a writing.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Written {
    /// It is in the store.
    Kept,
    /// Another tab wrote a newer record; this one was not written.
    Elsewhere,
}

/// Opens the store, making it on the first visit.
pub(crate) async fn open() -> Result<Database, idb::Error> {
    let factory = Factory::new()?;
    let mut request = factory.open(NAME, Some(1))?;
    request.on_upgrade_needed(|event| {
        if let Ok(database) = event.database() {
            let _ = database.create_object_store(JOBS, ObjectStoreParams::new());
            let _ = database.create_object_store(EARLIER, ObjectStoreParams::new());
        }
    });
    request.await
}

/// The job last worked on.
pub(crate) async fn current(database: &Database) -> Result<Option<Record>, idb::Error> {
    let transaction = database.transaction(&[JOBS], TransactionMode::ReadOnly)?;
    let found = transaction.object_store(JOBS)?.get(Query::Key(JsValue::from_str(CURRENT)))?.await?;
    Ok(found.and_then(|value| parse(&value)))
}

/// Keeps `record` as the job worked on, unless the store holds one that is newer than `seen`.
pub(crate) async fn keep(database: &Database, record: &Record, seen: u64) -> Result<Written, idb::Error> {
    let text = write(record);
    let transaction = database.transaction(&[JOBS], TransactionMode::ReadWrite)?;
    let store = transaction.object_store(JOBS)?;
    let key = JsValue::from_str(CURRENT);
    let there = store.get(Query::Key(key.clone()))?.await?.and_then(|value| parse(&value));
    if there.is_some_and(|there| there.count > seen) {
        return Ok(Written::Elsewhere);
    }
    store.put(&JsValue::from_str(&text), Some(&key))?.await?;
    transaction.commit()?.await?;
    Ok(Written::Kept)
}

/// Sets `record` aside among the earlier versions; the oldest beyond the last twenty is let go.
pub(crate) async fn set_aside(database: &Database, record: &Record) -> Result<(), idb::Error> {
    let text = write(record);
    let transaction = database.transaction(&[EARLIER], TransactionMode::ReadWrite)?;
    let store = transaction.object_store(EARLIER)?;
    #[allow(clippy::cast_precision_loss)]
    let key = |count: u64| JsValue::from_f64(count as f64);
    store.put(&JsValue::from_str(&text), Some(&key(record.count)))?.await?;
    let keys = store.get_all_keys(None, None)?.await?;
    let spare = keys.len().saturating_sub(usize::try_from(KEPT).unwrap_or(20));
    for old in keys.into_iter().take(spare) {
        store.delete(Query::Key(old))?.await?;
    }
    transaction.commit()?.await?;
    Ok(())
}

/// The earlier versions, newest first.
pub(crate) async fn earlier(database: &Database) -> Result<Vec<Record>, idb::Error> {
    let transaction = database.transaction(&[EARLIER], TransactionMode::ReadOnly)?;
    let all = transaction.object_store(EARLIER)?.get_all(None, None)?.await?;
    Ok(all.iter().rev().filter_map(parse).collect())
}

fn write(record: &Record) -> String {
    serde_json::to_string(record).unwrap_or_default()
}

fn parse(value: &JsValue) -> Option<Record> {
    serde_json::from_str(&value.as_string()?).ok()
}
