//! The fields of the panels: every size and setting that can be typed.
//!
//! In: a session. Out: groups of fields with label, text, unit, usual range and, when what was typed is wrong, the one
//! sentence that says so. A wrong text stays in its field; the last good plan stays in force. It lays nothing out.

mod drainage;
mod gang;
mod job;
mod products;
mod programme;
mod recording;
mod spec;
mod things;
mod tie;
mod zone;

pub(crate) use zone::setting as setting_of_zone;

use crate::change::{Change, FixedEnd};
use crate::selection::Selection;
use crate::session::Session;
use baylap_core::plan::{Id, Mm};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

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
    pub value: Cow<'static, str>,
    /// What it says.
    pub label: Cow<'static, str>,
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
    /// Falls and drainage.
    Drainage,
    /// Site records.
    Recording,
    /// Gangs, rates, how details are made, the calendar and prices of the order.
    Programme,
}

impl Panel {
    /// All of them.
    pub const ALL: [Panel; 7] = [
        Panel::Job,
        Panel::Products,
        Panel::Gang,
        Panel::Datum,
        Panel::Drainage,
        Panel::Recording,
        Panel::Programme,
    ];
}

/// What setting a field comes to.
#[derive(Clone, Debug, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "one is made for each value typed, and passed on at once")]
pub(crate) enum Outcome {
    /// A change of the plan.
    Change(Change),
    /// Another end that stays when a side gets a length.
    FixedEnd(FixedEnd),
    /// Another step of grid and arrow keys.
    Step(Mm),
}

/// Fields under a heading, with what setting them does.
type Group = (String, Vec<spec::Spec>);

/// The fields of what is selected: side lengths, edge kinds, diameters, places, names. Empty when nothing is.
pub fn fields(session: &Session) -> Vec<FieldGroup> {
    shown(session, session.selection().map_or_else(Vec::new, |what| groups(session, what)))
}

/// The fields of one thing of the plan, selected or not, for a table of all things.
pub fn fields_of(session: &Session, id: Id) -> Vec<FieldGroup> {
    shown(session, groups(session, Selection::Thing(id)))
}

/// The fields of a panel of settings.
pub fn settings(session: &Session, panel: Panel) -> Vec<FieldGroup> {
    shown(session, panel_groups(session, panel))
}

/// The label of a setting by its path, with its unit: what to call it where its field is not in sight.
pub fn label_of(session: &Session, path: &str) -> Option<String> {
    let home = home_of(session, &FieldId::new(path));
    let spec = home.into_iter().flat_map(|(_, specs)| specs).find(|s| s.field.id.0 == path)?;
    let Field { label, unit, .. } = spec.field;
    Some(if unit.is_empty() { label } else { format!("{label}, {unit}") })
}

/// What a text in a field comes to.
///
/// # Errors
/// One sentence: what is wrong with the text, and what to type.
pub(crate) fn set(session: &Session, field: &FieldId, text: &str) -> Result<Outcome, String> {
    let gone = || format!("The field {field} is not there any more: select the thing again.");
    let found =
        home_of(session, field).into_iter().flat_map(|(_, specs)| specs).find(|s| s.field.id == *field);
    let spec = found.ok_or_else(gone)?;
    if text.trim().is_empty() && !spec.field.optional {
        return Err(format!("{} is empty: type a value.", spec.field.label));
    }
    (spec.set)(text)
}

/// The groups that a field with this path belongs to.
fn home_of(session: &Session, field: &FieldId) -> Vec<Group> {
    let mut parts = field.0.split(['/', '.', '[']);
    let number = |part: Option<&str>| part.and_then(|p| p.parse::<u32>().ok());
    match parts.next() {
        Some("thing") => number(parts.next()).map_or_else(Vec::new, |id| things::every(session, id)),
        Some("zone") => number(parts.next()).map_or_else(Vec::new, |n| zone::groups(session, n)),
        Some("job") => panel_groups(session, Panel::Job),
        Some("products") => panel_groups(session, Panel::Products),
        Some("gang") => panel_groups(session, Panel::Gang),
        Some("datum") => panel_groups(session, Panel::Datum),
        Some("drainage") => panel_groups(session, Panel::Drainage),
        Some("programme" | "detailing") => panel_groups(session, Panel::Programme),
        Some("tie") => tie::of_path(session.plan(), parts),
        Some("recording") => panel_groups(session, Panel::Recording),
        Some("fixed_end" | "step") => things::own(session),
        _ => Vec::new(),
    }
}

fn groups(session: &Session, what: Selection) -> Vec<Group> {
    let layout = session.layout();
    let zone = |found: Option<u32>| found.map_or_else(Vec::new, |n| zone::groups(session, n));
    match what {
        Selection::Thing(_) | Selection::Edge { .. } | Selection::Corner { .. } => {
            things::groups(session, what)
        }
        Selection::Datum => panel_groups(session, Panel::Datum),
        Selection::Zone(n) => zone(Some(n)),
        Selection::Bay(n) => {
            let mut groups = tie::of_bay(session.plan(), layout, n);
            groups.extend(zone(layout.bays.iter().find(|b| b.number == n).map(|b| b.zone)));
            groups
        }
        Selection::Piece(n) => zone(layout.pieces.iter().find(|p| p.number == n).map(|p| p.zone)),
        Selection::Roll(_) | Selection::Strip(_) | Selection::Pond(_) | Selection::Day(_) => Vec::new(),
    }
}

fn panel_groups(session: &Session, panel: Panel) -> Vec<Group> {
    match panel {
        Panel::Job => job::groups(session.plan()),
        Panel::Products => products::groups(session.plan()),
        Panel::Gang => gang::groups(session.plan()),
        Panel::Datum => job::datum(session.plan()),
        Panel::Drainage => drainage::groups(session.plan()),
        Panel::Programme => programme::groups(session.plan()),
        Panel::Recording => recording::groups(session.plan()),
    }
}

/// The fields as they are shown: what was typed wrong stays, with its problem.
fn shown(session: &Session, groups: Vec<Group>) -> Vec<FieldGroup> {
    let field = |spec: spec::Spec| {
        let mut field = spec.field;
        if let Some((text, problem)) = session.wrong.get(&field.id) {
            field.text.clone_from(text);
            field.problem = Some(problem.clone());
        }
        field
    };
    groups
        .into_iter()
        .map(|(title, specs)| FieldGroup { title, fields: specs.into_iter().map(field).collect() })
        .collect()
}
