//! What is typed while drawing.
//!
//! In: characters, for a tool with so many points set. Out: the lengths, angle or level typed, or one sentence. The
//! fields depend on the tool; Tab goes from one to the next. An empty field leaves its value to the pointer.

use super::{Form, Tool};
use crate::measure;

/// A field of the entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Slot {
    /// Length of the next side.
    Length,
    /// Direction of the next side, degrees anticlockwise from +x.
    Direction,
    /// Size of a rectangle along x.
    Width,
    /// Size of a rectangle along y.
    Depth,
    /// Diameter of a penetration.
    Diameter,
    /// Level of a spot, of a point of a ridge or low line, or of a plane of fall at its point.
    Level,
    /// Fall of a plane, as 1 in so many.
    OneIn,
}

impl Slot {
    /// Its label.
    pub(crate) const fn label(self) -> &'static str {
        match self {
            Slot::Length => "Length",
            Slot::Direction => "Direction",
            Slot::Width => "Width",
            Slot::Depth => "Depth",
            Slot::Diameter => "Diameter",
            Slot::Level => "Level",
            Slot::OneIn => "Fall 1 in",
        }
    }

    /// Reads what was typed, mm or thousandths of a degree.
    fn read(self, text: &str) -> Result<i64, String> {
        match self {
            Slot::Direction => measure::parse_angle(text).map(i64::from),
            Slot::Level => measure::parse_signed(text),
            Slot::OneIn => one_in(text),
            _ => measure::parse_length(text),
        }
    }

    /// A value as text.
    pub(crate) fn show(self, value: i64) -> String {
        match self {
            Slot::Direction => measure::degrees(value),
            Slot::OneIn => value.to_string(),
            _ => measure::metres(value),
        }
    }
}

/// The flattest fall that is taken, as 1 in so many.
const FLATTEST: i64 = 1_000_000;

fn one_in(text: &str) -> Result<i64, String> {
    match measure::parse_decimal(text, 0)? {
        n if (0..=FLATTEST).contains(&n) => Ok(n),
        _ => Err(format!("\"{}\" is no fall: type 80 for 1 in 80, 0 for level.", text.trim())),
    }
}

/// The fields that a tool offers when so many points are set; `form` is what it draws just now.
pub(crate) const fn slots(tool: Tool, form: Form, points: usize) -> &'static [Slot] {
    match (tool, form, points) {
        (Tool::Penetration, ..) => &[Slot::Diameter],
        (Tool::Spot, ..) | (Tool::Plane | Tool::LowLine | Tool::Ridge, _, 0) => &[Slot::Level],
        (Tool::Plane, Form::Stretch, _) => &[Slot::Direction, Slot::OneIn],
        (Tool::LowLine | Tool::Ridge, ..) => &[Slot::Level, Slot::Length, Slot::Direction],
        (_, Form::Ring | Form::Line | Form::Stretch, 1..) => &[Slot::Length, Slot::Direction],
        (_, Form::Box, 1..) => &[Slot::Width, Slot::Depth],
        _ => &[],
    }
}

/// What is typed at the moment.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Entry {
    texts: [String; 3],
    active: usize,
}

impl Entry {
    /// Whether nothing is typed.
    pub(crate) fn is_empty(&self) -> bool {
        self.texts.iter().all(|t| t.trim().is_empty())
    }

    /// Number of the field that typing goes to.
    pub(crate) fn active(&self) -> usize {
        self.active
    }

    /// What a field holds.
    pub(crate) fn text(&self, field: usize) -> &str {
        self.texts.get(field).map_or("", String::as_str)
    }

    /// Wipes everything typed.
    pub(crate) fn clear(&mut self) {
        *self = Self::default();
    }

    /// Sets the active field's text.
    pub(crate) fn set(&mut self, text: &str) {
        self.texts[self.active] = text.chars().take(40).collect();
    }

    /// Adds a character to the active field, when it can be part of what that field holds: only a level and a direction
    /// begin with a sign, so that elsewhere + and - stay free for zooming.
    pub(crate) fn push(&mut self, slots: &[Slot], c: char) -> bool {
        let signed = matches!(slots.get(self.active), Some(Slot::Level | Slot::Direction));
        let text = &mut self.texts[self.active];
        let begins = c.is_ascii_digit() || matches!(c, '.' | ',') || (signed && c == '-' && text.is_empty());
        let goes_on = matches!(c, ' ' | '-' | '\'' | '"' | '/' | '°' | 'm' | 'c' | 'f' | 't' | 'i' | 'n');
        let taken = (begins || (goes_on && !text.is_empty())) && text.chars().count() < 40;
        if taken {
            text.push(c);
        }
        taken
    }

    /// Takes back the last character of the active field.
    pub(crate) fn pop(&mut self) -> bool {
        self.texts[self.active].pop().is_some()
    }

    /// Goes to the next field.
    pub(crate) fn next(&mut self, slots: &[Slot]) -> bool {
        if slots.len() > 1 {
            self.active = (self.active + 1) % slots.len();
        }
        slots.len() > 1
    }

    /// The value typed in a field; `None` when it is empty.
    ///
    /// # Errors
    /// One sentence.
    pub(crate) fn value(&self, slots: &[Slot], slot: Slot) -> Result<Option<i64>, String> {
        let text = slots.iter().position(|s| *s == slot).map_or("", |n| self.text(n)).trim();
        if text.is_empty() { Ok(None) } else { slot.read(text).map(Some) }
    }
}
