//! Sizes as people type and read them.
//!
//! In: what somebody typed. Out: whole millimetres, or one sentence that says what was not understood; and back to text.
//! One rule, stated on screen: a whole number without a unit is millimetres, a number with a decimal mark (point or
//! comma) is metres, and a unit (mm, cm, m, ft, in, ', ") always wins. A number that could be read two ways
//! ("1.234,5") is refused, never guessed.

use baylap_core::plan::Mm;

/// No length longer than this is taken, mm: 10 km.
pub const LONGEST: Mm = 10_000_000;

/// Reads a length of more than nothing.
///
/// # Errors
/// One sentence: what is wrong and what to type.
pub fn parse_length(text: &str) -> Result<Mm, String> {
    let _ = text;
    Err("Type a length, for example 3200 or 3.2 m.".to_owned())
}

/// Reads a level or an offset: as a length, but it may be 0 or negative.
///
/// # Errors
/// One sentence: what is wrong and what to type.
pub fn parse_signed(text: &str) -> Result<Mm, String> {
    parse_length(text)
}

/// Reads an angle in degrees ("45", "22,5°"), as thousandths of a degree.
///
/// # Errors
/// One sentence: what is wrong and what to type.
pub fn parse_angle(text: &str) -> Result<i32, String> {
    let _ = text;
    Err("Type an angle in degrees, for example 45.".to_owned())
}

/// Reads a decimal number with so many places at most, as a whole number of its smallest steps:
/// `parse_decimal("60,5", 2)` is 6050.
///
/// # Errors
/// One sentence: what is wrong and what to type.
pub fn parse_decimal(text: &str, places: u32) -> Result<i64, String> {
    let _ = (text, places);
    Err("Type a number, for example 60 or 60.5.".to_owned())
}

/// A length as it stands in fields and on the drawing: "3.250 m".
pub fn metres(mm: Mm) -> String {
    let sign = if mm < 0 { "-" } else { "" };
    let abs = mm.unsigned_abs();
    format!("{sign}{}.{:03} m", abs / 1000, abs % 1000)
}

/// A small size: "150 mm".
pub fn millimetres(mm: Mm) -> String {
    format!("{mm} mm")
}

/// An angle of so many thousandths of a degree: "22.5°".
pub fn degrees(mdeg: i64) -> String {
    format!("{}°", decimal(mdeg, 3))
}

/// A whole number of steps as a decimal number without needless noughts: `decimal(6050, 2)` is "60.5".
pub fn decimal(steps: i64, places: u32) -> String {
    let one = 10_u64.pow(places.min(18));
    let sign = if steps < 0 { "-" } else { "" };
    let abs = steps.unsigned_abs();
    let (whole, part) = (abs / one, abs % one);
    if part == 0 {
        return format!("{sign}{whole}");
    }
    let digits = format!("{part:0width$}", width = places as usize);
    format!("{sign}{whole}.{}", digits.trim_end_matches('0'))
}
