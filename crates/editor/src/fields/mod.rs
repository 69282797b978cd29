//! The fields of the panels: every size and setting that can be typed.
//!
//! In: a session. Out: groups of fields with label, text, unit, usual range and, when what was typed is wrong, the one
//! sentence that says so. A wrong text stays in its field; the last good plan stays in force. It lays nothing out.

use crate::session::Session;
use serde::{Deserialize, Serialize};

/// Identity of a field: a path as in the plan file (`products.rolls[0].width`), or `thing/7/edge/2/length`. Equal to
/// the path of a [`baylap_core::About::Setting`] finding, so that a finding can point at its field.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct FieldId(pub String);

impl FieldId {
    /// The field with this path.
    pub fn new(path: impl Into<String>) -> Self {
        Self(path.into())
    }
}

impl std::fmt::Display for FieldId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// One choice of a field with choices.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// What to send as the text.
    pub value: &'static str,
    /// What it says.
    pub label: &'static str,
}

/// What kind of thing a field holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FieldKind {
    /// A length; the rule of [`crate::measure`] holds.
    Length,
    /// A number.
    Number,
    /// An angle in degrees.
    Angle,
    /// Any text on one line.
    Text,
    /// Text on several lines.
    Notes,
    /// One of several.
    Choice(Vec<Choice>),
}

/// One field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Field {
    /// Identity, to send back with what was typed.
    pub id: FieldId,
    /// Its label.
    pub label: String,
    /// What it holds: what was typed when that is wrong, else the value in force (for choices, the value of one).
    pub text: String,
    /// Its unit beside the field, e.g. "mm"; empty when the text carries it.
    pub unit: &'static str,
    /// What kind it is.
    pub kind: FieldKind,
    /// The usual range, e.g. "usually 50 to 100"; empty when there is none.
    pub usual: &'static str,
    /// Whether it may be left empty.
    pub optional: bool,
    /// One sentence: what is wrong with what was typed.
    pub problem: Option<String>,
}

/// Fields that belong together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FieldGroup {
    /// Its heading.
    pub title: String,
    /// Its fields.
    pub fields: Vec<Field>,
}

/// The panels of settings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Panel {
    /// Job data.
    Job,
    /// Rolls and laps.
    Products,
    /// Gang and limits.
    Gang,
    /// The datum.
    Datum,
}

/// The fields of what is selected: side lengths, edge kinds, diameters, places, names. Empty when nothing is.
pub fn fields(session: &Session) -> Vec<FieldGroup> {
    let _ = session;
    Vec::new()
}

/// The fields of one thing of the plan, selected or not, for a table of all things.
pub fn fields_of(session: &Session, id: baylap_core::plan::Id) -> Vec<FieldGroup> {
    let _ = (session, id);
    Vec::new()
}

/// The fields of a panel of settings.
pub fn settings(session: &Session, panel: Panel) -> Vec<FieldGroup> {
    let _ = (session, panel);
    Vec::new()
}
