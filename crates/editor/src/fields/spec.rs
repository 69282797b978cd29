//! A field together with what setting it does.
//!
//! In: a path, a label, the value in force and a setter. Out: a [`Spec`]. The makers below hold the rules of reading
//! for each kind of value, so that a field is one line where it is listed.

use super::{Choice, Field, FieldId, FieldKind, Outcome};
use crate::change::Change;
use crate::measure;
use baylap_core::plan::{Id, Mm};

/// Reads a text and says what it comes to.
pub(super) type Setter = Box<dyn Fn(&str) -> Result<Outcome, String>>;

/// A field and its setter.
pub(super) struct Spec {
    /// What is shown.
    pub(super) field: Field,
    /// What setting it does.
    pub(super) set: Setter,
}

impl Spec {
    fn new(path: String, label: &str, text: String, kind: FieldKind, set: Setter) -> Self {
        let field = Field {
            id: FieldId(path),
            label: label.to_owned(),
            text,
            unit: "",
            kind,
            usual: "",
            optional: false,
            problem: None,
        };
        Self { field, set }
    }

    /// The same with the usual range beside it.
    pub(super) fn usual(mut self, usual: &'static str) -> Self {
        self.field.usual = usual;
        self
    }

    /// The same with a unit beside it.
    pub(super) fn unit(mut self, unit: &'static str) -> Self {
        self.field.unit = unit;
        self
    }
}

/// One line of text.
pub(super) fn text(
    path: impl Into<String>,
    label: &str,
    value: &str,
    set: impl Fn(String) -> Change + 'static,
) -> Spec {
    let set: Setter = Box::new(move |text| Ok(Outcome::Change(set(text.trim().to_owned()))));
    let mut spec = Spec::new(path.into(), label, value.to_owned(), FieldKind::Text, set);
    spec.field.optional = true;
    spec
}

/// Several lines of text.
pub(super) fn notes(
    path: impl Into<String>,
    label: &str,
    value: &str,
    set: impl Fn(String) -> Change + 'static,
) -> Spec {
    let mut spec = text(path, label, value, set);
    spec.field.kind = FieldKind::Notes;
    spec
}

/// A text that is read in a way of its own, trimmed; it may be left empty.
pub(super) fn reading(
    path: impl Into<String>,
    label: &str,
    shown: &str,
    kind: FieldKind,
    read: impl Fn(&str) -> Result<Change, String> + 'static,
) -> Spec {
    let set: Setter = Box::new(move |text| Ok(Outcome::Change(read(text.trim())?)));
    let mut spec = Spec::new(path.into(), label, shown.to_owned(), kind, set);
    spec.field.optional = true;
    spec
}

/// A length on the plan: more than nothing, shown in metres.
pub(super) fn length(
    path: impl Into<String>,
    label: &str,
    value: Mm,
    set: impl Fn(Mm) -> Change + 'static,
) -> Spec {
    let set: Setter = Box::new(move |text| Ok(Outcome::Change(set(measure::parse_length(text)?))));
    Spec::new(path.into(), label, measure::metres(value), FieldKind::Length, set)
}

/// A place or a level: may be negative, shown in metres.
pub(super) fn place(
    path: impl Into<String>,
    label: &str,
    value: Mm,
    set: impl Fn(Mm) -> Change + 'static,
) -> Spec {
    let set: Setter = Box::new(move |text| Ok(Outcome::Change(set(measure::parse_signed(text)?))));
    Spec::new(path.into(), label, measure::metres(value), FieldKind::Length, set)
}

/// A small size from `least` up, shown in millimetres.
pub(super) fn small(
    path: impl Into<String>,
    label: &str,
    value: Mm,
    least: Mm,
    set: impl Fn(Mm) -> Change + 'static,
) -> Spec {
    let set: Setter = Box::new(move |text| Ok(Outcome::Change(set(at_least(text, least)?))));
    Spec::new(path.into(), label, measure::millimetres(value), FieldKind::Length, set)
}

/// A length that may be left empty.
pub(super) fn optional_length(
    path: impl Into<String>,
    label: &str,
    value: Option<Mm>,
    set: impl Fn(Option<Mm>) -> Change + 'static,
) -> Spec {
    let set: Setter = Box::new(move |text| {
        let mm = if text.trim().is_empty() { None } else { Some(at_least(text, 0)?) };
        Ok(Outcome::Change(set(mm)))
    });
    let shown = value.map_or_else(String::new, measure::millimetres);
    let mut spec = Spec::new(path.into(), label, shown, FieldKind::Length, set);
    spec.field.optional = true;
    spec
}

fn at_least(text: &str, least: Mm) -> Result<Mm, String> {
    match measure::parse_signed(text)? {
        mm if mm >= least => Ok(mm),
        _ if least <= 0 => Err(format!("\"{}\" is less than nothing: type 0 or more.", text.trim())),
        _ => Err(format!("\"{}\" is too small: type at least {}.", text.trim(), measure::millimetres(least))),
    }
}

/// How a number is written: decimal places, and the range of its whole steps.
#[derive(Clone, Copy)]
pub(super) struct Digits {
    /// Places after the decimal mark.
    pub(super) places: u32,
    /// Least value, in steps.
    pub(super) least: i64,
    /// Greatest value, in steps.
    pub(super) most: i64,
}

impl Digits {
    /// Whole numbers in a range.
    pub(super) const fn whole(least: i64, most: i64) -> Self {
        Self { places: 0, least, most }
    }

    /// Numbers in hundredths, more than nothing.
    pub(super) const fn hundredths(most: i64) -> Self {
        Self { places: 2, least: 1, most }
    }

    fn read(self, text: &str) -> Result<i64, String> {
        let steps = measure::parse_decimal(text, self.places)?;
        if (self.least..=self.most).contains(&steps) {
            return Ok(steps);
        }
        let show = |steps| measure::decimal(steps, self.places);
        let (least, most) = (show(self.least), show(self.most));
        Err(format!("\"{}\" is out of range: type a number from {least} to {most}.", text.trim()))
    }
}

/// A number.
pub(super) fn number(
    path: impl Into<String>,
    label: &str,
    value: i64,
    digits: Digits,
    set: impl Fn(i64) -> Change + 'static,
) -> Spec {
    let set: Setter = Box::new(move |text| Ok(Outcome::Change(set(digits.read(text)?))));
    Spec::new(path.into(), label, measure::decimal(value, digits.places), FieldKind::Number, set)
}

/// A number that may be left empty.
pub(super) fn optional_number(
    path: impl Into<String>,
    label: &str,
    value: Option<i64>,
    digits: Digits,
    set: impl Fn(Option<i64>) -> Change + 'static,
) -> Spec {
    let set: Setter = Box::new(move |text| {
        let steps = if text.trim().is_empty() { None } else { Some(digits.read(text)?) };
        Ok(Outcome::Change(set(steps)))
    });
    let shown = value.map_or_else(String::new, |v| measure::decimal(v, digits.places));
    let mut spec = Spec::new(path.into(), label, shown, FieldKind::Number, set);
    spec.field.optional = true;
    spec
}

/// A direction that may be left empty.
pub(super) fn angle(
    path: impl Into<String>,
    label: &str,
    mdeg: Option<i32>,
    set: impl Fn(Option<i32>) -> Change + 'static,
) -> Spec {
    let set: Setter = Box::new(move |text| {
        let mdeg = if text.trim().is_empty() { None } else { Some(measure::parse_angle(text)?) };
        Ok(Outcome::Change(set(mdeg)))
    });
    let shown = mdeg.map_or_else(String::new, |m| measure::degrees(i64::from(m)));
    let mut spec = Spec::new(path.into(), label, shown, FieldKind::Angle, set);
    spec.field.optional = true;
    spec
}

/// One of several values, each with its word for files and its word for the screen.
pub(super) fn choice<T: Copy + PartialEq + 'static>(
    path: impl Into<String>,
    label: &str,
    value: Option<T>,
    all: &'static [(T, &'static str, &'static str)],
    set: impl Fn(T) -> Outcome + 'static,
) -> Spec {
    let choices =
        all.iter().map(|&(_, value, label)| Choice { value: value.into(), label: label.into() }).collect();
    let shown = all.iter().find(|(v, ..)| Some(*v) == value).map_or("", |(_, word, _)| word);
    let set: Setter = Box::new(move |text| {
        let chosen = all.iter().find(|(_, word, label)| *word == text.trim() || *label == text.trim());
        chosen
            .map(|(v, ..)| set(*v))
            .ok_or_else(|| format!("\"{}\" is none of the choices: pick one.", text.trim()))
    });
    Spec::new(path.into(), label, shown.to_owned(), FieldKind::Choice(choices), set)
}

/// One of several things of the plan, each by its number; `none` is what the empty choice says.
pub(super) fn one_of(
    path: impl Into<String>,
    label: &str,
    (value, none): (Option<Id>, &'static str),
    all: Vec<(Id, String)>,
    set: impl Fn(Option<Id>) -> Change + 'static,
) -> Spec {
    let mut choices = vec![Choice { value: "".into(), label: none.into() }];
    choices.extend(
        all.iter().map(|(id, name)| Choice { value: id.to_string().into(), label: name.clone().into() }),
    );
    let known: Vec<Id> = all.iter().map(|(id, _)| *id).collect();
    if let Some(gone) = value.filter(|id| !known.contains(id)) {
        let label = format!("{gone}, not on the plan any more");
        choices.push(Choice { value: gone.to_string().into(), label: label.into() });
    }
    let set: Setter = Box::new(move |text| {
        let text = text.trim();
        if text.is_empty() {
            return Ok(Outcome::Change(set(None)));
        }
        let by_name = all.iter().find(|(_, name)| name == text).map(|(id, _)| *id);
        let id = by_name.or(text.parse().ok()).filter(|id| known.contains(id) || value == Some(*id));
        id.map(|id| Outcome::Change(set(Some(id))))
            .ok_or_else(|| format!("\"{text}\" is none of the choices: pick one, or none."))
    });
    let shown = value.map_or_else(String::new, |id| id.to_string());
    let mut spec = Spec::new(path.into(), label, shown, FieldKind::Choice(choices), set);
    spec.field.optional = true;
    spec
}

/// A setter that takes no text and changes the grid step.
pub(super) fn step(path: &str, label: &str, value: Mm) -> Spec {
    let set: Setter = Box::new(move |text| match measure::parse_length(text)? {
        mm if mm <= 100_000 => Ok(Outcome::Step(mm)),
        _ => Err("The step is longer than 100 m: type a shorter one.".to_owned()),
    });
    Spec::new(path.to_owned(), label, measure::millimetres(value), FieldKind::Length, set)
}
