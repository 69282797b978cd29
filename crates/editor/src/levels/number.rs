//! Numbers of a list: read exactly, kept as they were written until a unit is chosen.
//!
//! In: a cell and the decimal mark. Out: a number, or what is wrong with it in words that complete a sentence. Metric
//! only: a cell in feet and inches is known for what it is, and refused by the caller. Nothing here rounds but
//! [`Number::mm`], to whole millimetres.

use baylap_core::plan::Mm;

/// The decimal mark of a list.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DecimalMark {
    /// 1.250
    #[default]
    Point,
    /// 1,250
    Comma,
}

/// Unit of a group of columns.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Unit {
    /// Metres.
    #[default]
    Metres,
    /// Millimetres.
    Millimetres,
}

impl Unit {
    /// Its name on screen.
    pub const fn name(self) -> &'static str {
        match self {
            Unit::Metres => "Metres",
            Unit::Millimetres => "Millimetres",
        }
    }
}

/// A number as written: `digits / 10^places`, with the unit that stood beside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Number {
    digits: i128,
    places: u32,
    unit: Option<Unit>,
}

/// Digits before and after the mark at most: more than any place on Earth needs.
const MOST_DIGITS: usize = 18;

impl Number {
    /// Reads a cell.
    ///
    /// # Errors
    /// What is wrong and what to do, to stand after the cell in a sentence.
    pub(super) fn read(cell: &str, mark: DecimalMark) -> Result<Self, &'static str> {
        let (body, unit) = without_unit(cell.trim());
        let (negative, body) = match body.strip_prefix(['-', '−']) {
            Some(rest) => (true, rest),
            None => (false, body.strip_prefix('+').unwrap_or(body)),
        };
        let (own, other) = match mark {
            DecimalMark::Point => ('.', ','),
            DecimalMark::Comma => (',', '.'),
        };
        if body.contains(other) && body.chars().all(|c| c.is_ascii_digit() || c == own || c == other) {
            return Err("can be read two ways: use one decimal mark and no thousands mark");
        }
        let (whole, part) = body.split_once(own).unwrap_or((body, ""));
        let whole: String = whole.chars().filter(|c| !is_blank(*c)).collect();
        let digits_only = whole.bytes().chain(part.bytes()).all(|b| b.is_ascii_digit());
        if !digits_only || whole.len() + part.len() == 0 {
            return Err("is not a number: mend it, or leave the row out");
        }
        let part = part.trim_end_matches('0');
        if whole.len() + part.len() > MOST_DIGITS {
            return Err("has too many digits: mend it, or leave the row out");
        }
        let digits: i128 = format!("0{whole}{part}").parse().unwrap_or(0);
        let places = u32::try_from(part.len()).unwrap_or(0);
        Ok(Self { digits: if negative { -digits } else { digits }, places, unit })
    }

    /// In whole millimetres, to the nearest, and whether that is exact.
    pub(super) fn mm(self, unit: Unit) -> (Mm, bool) {
        let up = match self.unit.unwrap_or(unit) {
            Unit::Metres => 1000,
            Unit::Millimetres => 1,
        };
        let (above, below) = (self.digits * up, 10_i128.pow(self.places));
        let rounded = (2 * above + below * above.signum()) / (2 * below);
        let most = i128::from(Mm::MAX / 4);
        (Mm::try_from(rounded.clamp(-most, most)).unwrap_or(0), above % below == 0)
    }

    /// Whether anything stands after the decimal mark.
    pub(super) const fn is_whole(self) -> bool {
        self.places == 0
    }

    /// The value, near enough to guess by.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn value(self) -> f64 {
        self.digits as f64 / 10_i128.pow(self.places) as f64
    }
}

fn is_blank(c: char) -> bool {
    matches!(c, ' ' | '\u{a0}' | '\u{202f}')
}

fn without_unit(cell: &str) -> (&str, Option<Unit>) {
    for (word, unit) in [("mm", Unit::Millimetres), ("m", Unit::Metres)] {
        if let Some(body) = cell.strip_suffix(word) {
            return (body.trim_end(), Some(unit));
        }
    }
    (cell, None)
}

/// Whether a cell is a size in feet and inches.
pub(super) fn is_imperial(cell: &str) -> bool {
    let cell = cell.trim().to_lowercase();
    let marks = ["'", "’", "′", "\"", "”", "″", "ft", "feet", "foot", "inches", "inch", "in"];
    let mut rest = cell.clone();
    marks.iter().for_each(|m| rest = rest.replace(m, ""));
    cell.starts_with(|c: char| c.is_ascii_digit() || "+-−".contains(c))
        && rest.len() < cell.len()
        && rest.chars().all(|c| c.is_ascii_digit() || is_blank(c) || "+-−./,".contains(c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(cell: &str, mark: DecimalMark, unit: Unit, expect: (Mm, bool)) {
        assert_eq!(Number::read(cell, mark).map(|n| n.mm(unit)), Ok(expect), "{cell}");
    }

    #[test]
    fn numbers_as_instruments_write_them() {
        use DecimalMark::{Comma, Point};
        check("10.125", Point, Unit::Metres, (10_125, true));
        check("-0.045", Point, Unit::Metres, (-45, true));
        check("−0,0455", Comma, Unit::Metres, (-46, false));
        check("0.0454", Point, Unit::Metres, (45, false));
        check("412345.6789", Point, Unit::Metres, (412_345_679, false));
        check("5934123.5", Point, Unit::Metres, (5_934_123_500, true));
        check("12500", Point, Unit::Millimetres, (12_500, true));
        check("12 500,4", Comma, Unit::Millimetres, (12_500, false));
        check("1.25 m", Point, Unit::Millimetres, (1250, true));
        check("1250mm", Point, Unit::Metres, (1250, true));
        check(".5", Point, Unit::Metres, (500, true));
        check("+3.", Point, Unit::Metres, (3000, true));
    }

    #[test]
    fn what_is_no_number_is_refused() {
        for (cell, mark) in
            [("2O.5", DecimalMark::Point), ("", DecimalMark::Point), ("-", DecimalMark::Comma)]
        {
            assert!(Number::read(cell, mark).is_err_and(|w| w.contains("not a number")), "{cell}");
        }
        for (cell, mark) in
            [("1,234.5", DecimalMark::Point), ("1.234,5", DecimalMark::Comma), ("1,5", DecimalMark::Point)]
        {
            assert!(Number::read(cell, mark).is_err_and(|w| w.contains("two ways")), "{cell}");
        }
        assert!(Number::read("1234567890123456789012", DecimalMark::Point).is_err());
        let huge = Number::read("999999999999999999", DecimalMark::Point).unwrap();
        assert!(huge.mm(Unit::Metres).0 > 0, "no overflow");
    }

    #[test]
    fn feet_and_inches_are_known() {
        for cell in ["12'-6\"", "3' 4 1/2\"", "41'", "0.5 ft", "18 in", "7’", "-2'", "12 feet 3 inches"] {
            assert!(is_imperial(cell), "{cell}");
        }
        for cell in ["12.5", "inlet", "12 m", "MH 4\"", "", "point"] {
            assert!(!is_imperial(cell), "{cell}");
        }
    }
}
