//! Reading and writing the plan file.
//!
//! In: the bytes of a file, or a plan. Out: a plan, or one sentence that says what is wrong with the file, where, and
//! what to do. The file is JSON in an envelope that names the format and its version:
//!
//! ```json
//! {"format": "baylap-plan", "version": 1, "plan": {"decks": [], "openings": []}}
//! ```
//!
//! Lengths are whole millimetres and points are `[x, y]`. A kind with values of its own is an object with one key, as
//! `{"upstand": {"height": 150, "kind": "parapet"}}`, `{"circle": {"centre": [0, 0], "diameter": 110}}` or
//! `{"angle": {"mdeg": 45000}}`; a kind without is a plain word, as `"longest_wall"`. Fields that are left out take
//! their defaults, fields that are not known are refused by name. What is read and written again is the same plan,
//! and a file that [`write()`] made comes back byte for byte. Geometry is not judged here (a crossed outline reads
//! well): that is what findings are for. Nothing here opens a file.

mod bare;
mod error;
mod limits;
mod lines;
#[cfg(test)]
pub(crate) mod record_strategies;
mod scan;
#[cfg(test)]
mod strategies;
#[cfg(test)]
mod strategies_programme;
#[cfg(test)]
mod tests;

pub use bare::read_bare_outline;
pub use error::{FileError, Place};
pub use limits::{
    COATS, COORDINATE, CORNERS, DEPTH, FILE_BYTES, GANGS, LAYERS, OFF_DAYS, RECORDS, ROLL_KINDS, TEXT,
    THINGS, check, ids,
};

use crate::plan::Plan;
use serde::de::IgnoredAny;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// Name of the plan format.
pub const FORMAT: &str = "baylap-plan";

/// The newest version of the plan format that this program reads, and the one it writes.
pub const VERSION: u32 = 1;

/// What a layout file calls itself, so that one opened by mistake is told for what it is.
const LAYOUT_FORMAT: &str = "baylap-layout";

/// A plan file: the envelope and the plan in it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PlanFile {
    /// Always `baylap-plan`.
    pub format: String,
    /// Version of the format.
    pub version: u32,
    /// The plan.
    pub plan: Plan,
}

/// Reads a plan file.
///
/// # Errors
/// One sentence with the place when it is not a whole, sound plan file of a version known here.
pub fn read(bytes: &[u8]) -> Result<Plan, FileError> {
    let text = text_of(bytes)?;
    check_envelope(&peek(text)?)?;
    read_body(text)
}

/// Reads a plan file or a bare outline, whichever the content says it is.
///
/// # Errors
/// As [`read`] and [`read_bare_outline`].
pub fn read_any(bytes: &[u8]) -> Result<Plan, FileError> {
    let text = text_of(bytes)?;
    let head = peek(text)?;
    if head.format.is_none() && head.kind.is_some() {
        return read_bare_outline(bytes);
    }
    check_envelope(&head)?;
    read_body(text)
}

/// Writes a plan file: the same plan always gives the same text.
pub fn write(plan: &Plan) -> String {
    #[derive(Serialize)]
    struct Borrowed<'a> {
        format: &'a str,
        version: u32,
        plan: &'a Plan,
    }
    // Plain data with text keys cannot fail to serialise; an empty text would be refused on reading.
    let compact = serde_json::to_string(&Borrowed { format: FORMAT, version: VERSION, plan });
    lines::arrange(&compact.unwrap_or_default())
}

/// What says which kind of file it is.
#[derive(Deserialize)]
struct Head {
    #[serde(default)]
    format: Option<Value>,
    #[serde(default)]
    version: Option<Value>,
    #[serde(default)]
    plan: Option<IgnoredAny>,
    #[serde(default, rename = "type")]
    kind: Option<Value>,
}

fn text_of(bytes: &[u8]) -> Result<&str, FileError> {
    if bytes.len() > FILE_BYTES {
        return Err(FileError::TooLong { bytes: bytes.len(), limit: FILE_BYTES });
    }
    let text = std::str::from_utf8(bytes).map_err(|e| FileError::NotText { byte: e.valid_up_to() })?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.trim().is_empty() { Err(FileError::Empty) } else { Ok(text) }
}

/// Reads the envelope alone; finds every fault of the JSON itself on the way.
fn peek(text: &str) -> Result<Head, FileError> {
    let head = serde_json::from_str(text).map_err(|e| error::of_json(text, &e))?;
    // A list would be taken field by field.
    if text.trim_start().starts_with('{') { Ok(head) } else { Err(FileError::NotAPlan) }
}

fn check_envelope(head: &Head) -> Result<(), FileError> {
    match &head.format {
        Some(Value::String(name)) if name == FORMAT => {}
        Some(Value::String(name)) if name == LAYOUT_FORMAT => return Err(FileError::IsLayout),
        Some(other) => return Err(FileError::OtherFormat { found: error::short(&other.to_string()) }),
        None => return Err(FileError::NotAPlan),
    }
    match head.version.as_ref().map(Value::as_u64) {
        None => return Err(FileError::NoVersion),
        Some(Some(v)) if v > u64::from(VERSION) => {
            return Err(FileError::Newer { version: v, newest: VERSION });
        }
        Some(Some(1)) => {}
        Some(_) => {
            let found = head.version.as_ref().map(ToString::to_string).unwrap_or_default();
            return Err(FileError::BadVersion { found: error::short(&found), newest: VERSION });
        }
    }
    if head.plan.is_none() { Err(FileError::NoPlan) } else { Ok(()) }
}

fn read_body(text: &str) -> Result<Plan, FileError> {
    let mut source = serde_json::Deserializer::from_str(text);
    let file: PlanFile =
        serde_path_to_error::deserialize(&mut source).map_err(|e| error::of_field(text, &e))?;
    check(&file.plan).map_err(|e| e.placed_in(text))?;
    Ok(file.plan)
}
