//! Lengths as people write them.
//!
//! In: text such as `1250`, `1250 mm`, `12,5 m`. Out: whole millimetres, or what is wrong with it. It never rounds: what
//! is no whole number of millimetres is refused, because a piece a hair too short is a piece too short.

use baylap_core::plan::Mm;

/// Longest length that is taken, mm: with it and the most pieces no sum overflows.
pub(crate) const LONGEST: Mm = 100_000_000;

/// The unit of numbers that carry none.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Unit {
    /// Millimetres.
    #[default]
    Millimetre,
    /// Metres.
    Metre,
}

/// A length in whole mm; the comma and the point are both decimal marks.
pub(crate) fn length(text: &str, unit: Unit) -> Result<Mm, String> {
    let (number, unit) = unit_of(text.trim(), unit);
    let shift = match unit {
        Unit::Millimetre => 0,
        Unit::Metre => 3,
    };
    let mm = whole(number, shift).map_err(|why| match why {
        Why::NoNumber => format!("\"{}\" is no length: write whole mm, or metres as 12.5 m", text.trim()),
        Why::NotWhole => {
            format!("{} is not whole millimetres: write whole mm, or metres as 12.5 m", text.trim())
        }
        Why::TooLong => too_long(text),
    })?;
    match mm {
        0 => Err(format!("\"{}\" is no length: it must be 1 mm or more", text.trim())),
        mm if mm > LONGEST => Err(too_long(text)),
        mm => Ok(mm),
    }
}

fn too_long(text: &str) -> String {
    format!("{} is longer than 100 km: check the unit", text.trim())
}

enum Why {
    NoNumber,
    NotWhole,
    TooLong,
}

/// The number without its unit, and the unit it carries or is taken to have.
fn unit_of(text: &str, unit: Unit) -> (&str, Unit) {
    if let Some(number) = text.strip_suffix("mm") {
        (number.trim_end(), Unit::Millimetre)
    } else if let Some(number) = text.strip_suffix('m') {
        (number.trim_end(), Unit::Metre)
    } else {
        (text, unit)
    }
}

/// A decimal number times 10 to `shift`, exactly.
fn whole(number: &str, shift: usize) -> Result<Mm, Why> {
    let (units, decimals) = number.split_once(['.', ',']).unwrap_or((number, ""));
    let digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
    if !digits(units) || !digits(decimals) || units.is_empty() && decimals.is_empty() {
        return Err(Why::NoNumber);
    }
    let decimals = decimals.trim_end_matches('0');
    if decimals.len() > shift {
        return Err(Why::NotWhole);
    }
    format!("{units}{decimals:0<shift$}").parse().map_err(|_| Why::TooLong)
}

#[cfg(test)]
mod tests {
    //! Lengths come through to the millimetre or not at all.
    use super::*;

    #[test]
    fn lengths_are_exact() {
        for (text, mm) in [
            ("1250", 1250),
            (" 1250 mm ", 1250),
            ("12,5m", 12_500),
            ("12.345 m", 12_345),
            (".5 m", 500),
            ("3. m", 3000),
            ("7.000", 7),
            ("0.2000000 m", 200),
            ("100000000", LONGEST),
        ] {
            assert_eq!(length(text, Unit::Millimetre), Ok(mm), "{text}");
        }
        assert_eq!(length("12,35", Unit::Metre), Ok(12_350));
        assert_eq!(length("12 mm", Unit::Metre), Ok(12));
    }

    #[test]
    fn what_is_no_length_is_told() {
        for (text, says) in [
            ("", "is no length"),
            ("m", "is no length"),
            (".", "is no length"),
            ("-5", "is no length"),
            ("1e3", "is no length"),
            ("1.2.3", "is no length"),
            ("0", "1 mm or more"),
            ("0.0 m", "1 mm or more"),
            ("1.5", "not whole millimetres"),
            ("1.2345 m", "not whole millimetres"),
            ("100000001", "longer than 100 km"),
            ("99999999999999999999999 m", "longer than 100 km"),
        ] {
            let said = length(text, Unit::Millimetre).unwrap_err();
            assert!(said.contains(says), "{text}: {said}");
        }
    }
}
