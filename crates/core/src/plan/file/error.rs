//! What can be wrong with a file, each as one sentence: what, where, and what to do.
//!
//! In: the JSON reader's errors and paths. Out: [`FileError`], whose text is meant for people who lay roofs, not for
//! people who write JSON readers. The wording of the JSON reader is translated here and nowhere else.

use super::scan;
use std::fmt;

/// Why a file could not be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FileError {
    /// More bytes than are ever read.
    #[error(
        "The file has {bytes} bytes and at most {limit} are read: check that it is the right file, or split the job."
    )]
    TooLong {
        /// Bytes in the file.
        bytes: usize,
        /// Bytes read at most.
        limit: usize,
    },
    /// Nothing in it.
    #[error("The file is empty: choose a plan saved by baylap, or a GeoJSON outline.")]
    Empty,
    /// Not text at all.
    #[error(
        "The file is not text (byte {byte} does not belong in UTF-8): choose a plan saved by baylap, or a GeoJSON outline."
    )]
    NotText {
        /// Offset of the first byte that is not text.
        byte: usize,
    },
    /// JSON that stops in the middle.
    #[error(
        "The file stops in the middle, at line {line}, column {column}: it was probably cut off when it was saved or sent, so fetch a whole copy."
    )]
    CutOff {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
    },
    /// Not JSON.
    #[error(
        "The file is not sound JSON at line {line}, column {column}: {what}; mend it there, or choose a plan saved by baylap."
    )]
    NotJson {
        /// What the reader stumbled on.
        what: String,
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
    },
    /// JSON without our envelope.
    #[error(
        "The file is JSON but neither a baylap plan (it has no \"format\") nor a GeoJSON outline: choose another file."
    )]
    NotAPlan,
    /// Another format's envelope.
    #[error("The file says its format is {found}, not \"baylap-plan\": choose a plan saved by baylap.")]
    OtherFormat {
        /// The format it names.
        found: String,
    },
    /// A layout, which cannot be laid again.
    #[error(
        "The file is a layout, which is what baylap computes from a plan: choose the plan it was made from."
    )]
    IsLayout,
    /// An envelope without a version.
    #[error(
        "The plan file does not say its version: add \"version\": 1 beside \"format\" if it is of version 1."
    )]
    NoVersion,
    /// A version that never was.
    #[error(
        "The plan file says its version is {found}, and there are versions 1 to {newest}: correct \"version\"."
    )]
    BadVersion {
        /// What it says.
        found: String,
        /// The newest version known.
        newest: u32,
    },
    /// From a newer program.
    #[error(
        "The plan was made by a newer baylap: it is version {version} and this one reads up to {newest}; update baylap to open it."
    )]
    Newer {
        /// Version of the file.
        version: u64,
        /// The newest version known.
        newest: u32,
    },
    /// An envelope with nothing in it.
    #[error("The plan file holds no \"plan\": fetch a whole copy of it.")]
    NoPlan,
    /// One field is wrong.
    #[error("At {place}, {what}: {mend}.")]
    Field {
        /// Where.
        place: Place,
        /// What is wrong.
        what: String,
        /// What to do.
        mend: String,
    },
    /// More of something than is ever laid.
    #[error("The plan has {count} {things} and at most {limit} are read: split the job into several plans.")]
    TooMany {
        /// What there is too much of.
        things: &'static str,
        /// How many there are.
        count: usize,
        /// How many are read at most.
        limit: usize,
    },
    /// A bare outline in degrees.
    #[error(
        "The outline is in degrees of longitude and latitude ({why}): save it again in a projected system in metres."
    )]
    Degrees {
        /// How that was seen.
        why: String,
    },
    /// A bare outline too far across.
    #[error(
        "The outline is {metres} m across and at most {limit} m are laid in one plan: check that it is in metres, or take one roof at a time."
    )]
    TooWide {
        /// Its size.
        metres: i64,
        /// Largest size.
        limit: i64,
    },
    /// GeoJSON without an area.
    #[error(
        "The GeoJSON holds no Polygon or MultiPolygon with an area: choose a file that holds the outline of a roof."
    )]
    NoOutline,
}

impl FileError {
    /// A field that is wrong, by its path.
    pub(super) fn field(path: impl Into<String>, what: impl Into<String>, mend: impl Into<String>) -> Self {
        let place = Place { path: path.into(), line_column: None };
        Self::Field { place, what: what.into(), mend: mend.into() }
    }

    /// The same error with the line and column that its path leads to.
    pub(super) fn placed_in(mut self, text: &str) -> Self {
        if let Self::Field { place, .. } = &mut self {
            place.line_column = scan::find(text, &place.path).map(|at| scan::line_column(text, at));
        }
        self
    }
}

/// A place in a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// Path to the value, as `plan.decks[0].ring[2].at`; empty for the whole file.
    pub path: String,
    /// Line and column, from 1, when they are known.
    pub line_column: Option<(usize, usize)>,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.path.as_str(), self.line_column) {
            ("", None) => f.write_str("the top"),
            ("", Some((line, column))) => write!(f, "line {line}, column {column}"),
            (path, None) => f.write_str(path),
            (path, Some((line, column))) => write!(f, "{path} (line {line}, column {column})"),
        }
    }
}

/// The start of a text, for a sentence.
pub(super) fn short(text: &str) -> String {
    const MOST: usize = 60;
    if text.chars().count() <= MOST {
        return text.to_owned();
    }
    text.chars().take(MOST).chain("...".chars()).collect()
}

/// What is wrong with JSON that could not be read at all.
pub(super) fn of_json(text: &str, error: &serde_json::Error) -> FileError {
    let (line, column) = (error.line(), error.column().max(1));
    let ends_in_number = line == text.lines().count() && text.ends_with('-');
    if error.is_eof() || ends_in_number {
        return FileError::CutOff { line, column };
    }
    if error.is_data() {
        return of_message(text, "", error);
    }
    let word = word_at(text, line, column);
    let what = match word.trim_start_matches(['-', '+']).to_ascii_lowercase().as_str() {
        "nan" | "inf" | "infinity" => format!("{word} is not a number"),
        _ if error.to_string().starts_with("recursion limit") => {
            format!("it is nested more than {} deep", super::DEPTH)
        }
        _ => syntax_text(&bare_message(error)),
    };
    FileError::NotJson { what, line, column }
}

/// The reader's words for a fault of the JSON itself, in plain words where they have such.
fn syntax_text(message: &str) -> String {
    match message {
        "expected value" => "a value is wanted here",
        "key must be a string" => "a field's name in double quotes is wanted here",
        "trailing comma" => "there is a comma too many",
        "trailing characters" => "there is more text after the end",
        "control character (\\u0000-\\u001F) found while parsing a string" => {
            "a text runs over the end of the line"
        }
        other => return other.to_owned(),
    }
    .to_owned()
}

/// What is wrong with JSON that is not a plan.
pub(super) fn of_field(text: &str, error: &serde_path_to_error::Error<serde_json::Error>) -> FileError {
    of_message(text, &path_text(error.path()), error.inner())
}

fn of_message(text: &str, path: &str, error: &serde_json::Error) -> FileError {
    let (what, mend) = explain(&bare_message(error), path);
    let line_column = match scan::find(text, path) {
        Some(at) if !path.is_empty() => scan::line_column(text, at),
        _ => (error.line(), error.column().max(1)),
    };
    let place = Place { path: short(path), line_column: Some(line_column) };
    FileError::Field { place, what: short_enough(&what), mend }
}

fn path_text(path: &serde_path_to_error::Path) -> String {
    use serde_path_to_error::Segment;
    let mut out = String::new();
    for segment in path {
        match segment {
            Segment::Seq { index } => out.push_str(&format!("[{index}]")),
            Segment::Map { key: name } | Segment::Enum { variant: name } => {
                if !out.is_empty() {
                    out.push('.');
                }
                out.push_str(name);
            }
            Segment::Unknown => {}
        }
    }
    out
}

/// The reader's own words, without the place it adds at the end.
fn bare_message(error: &serde_json::Error) -> String {
    let message = error.to_string();
    match message.rfind(" at line ") {
        Some(at) => message[..at].to_owned(),
        None => message,
    }
}

/// The reader's words as what is wrong and what to do.
fn explain(message: &str, path: &str) -> (String, String) {
    if let Some((found, wanted)) = parted(message, "invalid type: ", ", expected ") {
        return wrong_type(found, wanted, path);
    }
    if let Some((found, wanted)) = parted(message, "invalid value: ", ", expected ") {
        return (format!("{} is out of range", plain(found)), format!("write {}", wanted_text(wanted)));
    }
    if let Some((name, known)) = parted(message, "unknown field `", "`, ") {
        let known = known.trim_start_matches("expected ").trim_start_matches("one of ");
        return (
            format!("the field `{}` is not known", short(name)),
            format!("take it out or correct its name, the known ones here being {known}"),
        );
    }
    if let Some((name, known)) = parted(message, "unknown variant `", "`, expected ") {
        let known = known.trim_start_matches("one of ");
        return (format!("`{}` is not a kind known here", short(name)), format!("write one of {known}"));
    }
    if let Some(name) = message.strip_prefix("missing field ") {
        return (format!("the field {name} is missing"), "add it".to_owned());
    }
    if let Some(name) = message.strip_prefix("duplicate field ") {
        return (format!("the field {name} stands twice"), "take one of them out".to_owned());
    }
    if message.starts_with("invalid length") || message == "trailing characters" {
        return ("there are not exactly two numbers".to_owned(), "write a point as [x, y]".to_owned());
    }
    // A date says itself what is wrong and what to do.
    if let Some((what, mend)) = message.split_once(" is no date of the calendar: ") {
        return (
            format!("{} is no date of the calendar", short(what)),
            mend.trim_end_matches('.').to_owned(),
        );
    }
    if message.starts_with("number out of range") {
        return ("the number is far out of range".to_owned(), "write a whole number".to_owned());
    }
    if message == "expected value" {
        return (
            "there is no kind".to_owned(),
            "write one as a word or as an object with one key".to_owned(),
        );
    }
    (message.to_owned(), "correct it or fetch a whole copy of the file".to_owned())
}

fn wrong_type(found: &str, wanted: &str, path: &str) -> (String, String) {
    let whole = matches!(wanted, "i64" | "i32" | "u32" | "u64");
    if let (true, Some(number)) = (whole, found.strip_prefix("floating point ")) {
        let unit = if path.ends_with(']') { "a whole number of millimetres" } else { "a whole number" };
        return (format!("{} is not {unit}", number.trim_matches('`')), "round it".to_owned());
    }
    (
        format!("there is {} where {} belongs", plain(found), wanted_text(wanted)),
        format!("write {}", wanted_text(wanted)),
    )
}

/// What the reader found, in plain words.
fn plain(found: &str) -> String {
    let inner = |prefix: &str| found.strip_prefix(prefix).map(|s| short(s.trim_matches('`')));
    if let Some(number) = inner("integer ").or_else(|| inner("floating point ")) {
        return number;
    }
    if let Some(text) = inner("string ") {
        return format!("the text {text}");
    }
    match found {
        "sequence" => "a list".to_owned(),
        "map" => "an object".to_owned(),
        _ => inner("boolean ").unwrap_or_else(|| short(found)),
    }
}

/// What the reader wanted, in plain words.
fn wanted_text(wanted: &str) -> String {
    match wanted {
        "i64" | "i32" => "a whole number",
        "u32" | "u64" => "a whole number, 0 or more and below 4294967296",
        "a string" => "a text in double quotes",
        "a sequence" => "a list in square brackets",
        "an array of length 2" => "a point [x, y]",
        "string or map" => "a kind, as a word or an object",
        _ if wanted.starts_with("struct ") || wanted.starts_with("enum ") => "an object in curly brackets",
        other => return other.to_owned(),
    }
    .to_owned()
}

fn parted<'a>(message: &'a str, prefix: &str, middle: &str) -> Option<(&'a str, &'a str)> {
    let rest = message.strip_prefix(prefix)?;
    // A name may not hold a back tick, a quoted text may hold anything: the first middle after a name, the last after a text.
    let at = if prefix.ends_with('`') { rest.find(middle) } else { rest.rfind(middle) }?;
    Some((&rest[..at], &rest[at + middle.len()..]))
}

/// Sentences stay readable even when a file holds a text of a million characters.
fn short_enough(text: &str) -> String {
    const MOST: usize = 300;
    if text.chars().count() <= MOST {
        text.to_owned()
    } else {
        text.chars().take(MOST).chain("...".chars()).collect()
    }
}

/// The word that holds a place, for telling NaN from other faults.
fn word_at(text: &str, line: usize, column: usize) -> String {
    let belongs = |c: &char| c.is_ascii_alphabetic() || matches!(c, '-' | '+');
    let line: Vec<char> = text.lines().nth(line.saturating_sub(1)).unwrap_or_default().chars().collect();
    let at = column.saturating_sub(1).min(line.len());
    let back = line[..at].iter().rev().take(20).take_while(|c| belongs(c)).count();
    line[at - back..].iter().take(20).take_while(|c| belongs(c)).collect()
}
