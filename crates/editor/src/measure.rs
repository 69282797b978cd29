//! Sizes as people type and read them.
//!
//! In: what somebody typed. Out: whole millimetres, or one sentence that says what was not understood; and back to text.
//! One rule, stated on screen ([`RULE`]): a whole number without a unit is millimetres, a number with a decimal mark
//! (point or comma) is metres, and a unit (mm, cm, m, ft, in, ', ") always wins. A number that could be read two ways
//! ("1.234,5") is refused, never guessed; a metric size that is not whole millimetres is refused, never rounded; feet
//! and inches are rounded to the nearest millimetre, which the echo shows.

use baylap_core::plan::{Date, Mm};

/// No length longer than this is taken, mm: 10 km, as far as a plan may reach.
pub const LONGEST: Mm = 10_000_000;

/// The rule for the screen.
pub const RULE: &str = "A whole number is millimetres, a number with a point or comma is metres; \
                        mm, cm, m, ft and in may be added.";

const EXAMPLE: &str = "type it like 3200, 3.2 m or 3,2";

/// Reads a length of more than nothing.
///
/// ```
/// use baylap_editor::measure::parse_length;
/// assert_eq!(parse_length("3,2"), Ok(3200));
/// assert_eq!(parse_length("3200"), Ok(3200));
/// assert_eq!(parse_length("3.2 m"), Ok(3200));
/// assert!(parse_length("1.234,5").is_err());
/// ```
///
/// # Errors
/// One sentence: what is wrong and what to type.
pub fn parse_length(text: &str) -> Result<Mm, String> {
    match parse_signed(text)? {
        mm if mm > 0 => Ok(mm),
        _ => Err(format!("\"{}\" is not more than nothing: {EXAMPLE}.", text.trim())),
    }
}

/// Reads a level or an offset: as a length, but it may be 0 or negative.
///
/// # Errors
/// One sentence: what is wrong and what to type.
pub fn parse_signed(text: &str) -> Result<Mm, String> {
    let shown = text.trim();
    if shown.is_empty() {
        return Err(format!("Nothing is typed: {EXAMPLE}."));
    }
    let (negative, body) = sign_of(shown);
    let body = body.trim().to_lowercase().replace(['′', '’'], "'").replace(['″', '”'], "\"");
    let mm = if is_imperial(&body) { imperial(&body, shown)? } else { metric(&body, shown)? };
    if mm > LONGEST {
        return Err(format!("\"{shown}\" is longer than 10 km: {EXAMPLE}."));
    }
    Ok(if negative { -mm } else { mm })
}

/// Reads an angle in degrees ("45", "22,5°"), as thousandths of a degree.
///
/// # Errors
/// One sentence: what is wrong and what to type.
pub fn parse_angle(text: &str) -> Result<i32, String> {
    let lower = text.trim().to_lowercase();
    let body = ["degrees", "degree", "deg", "°"].iter().find_map(|unit| lower.strip_suffix(unit));
    let steps = parse_decimal(body.unwrap_or(&lower), 3)?;
    match i32::try_from(steps) {
        Ok(mdeg) if mdeg.abs() <= 360_000 => Ok(mdeg),
        _ => Err(format!("\"{}\" is more than a full turn: type degrees from 0 to 360.", text.trim())),
    }
}

/// Reads a decimal number with so many places at most, as a whole number of its smallest steps:
/// `parse_decimal("60,5", 2)` is 6050.
///
/// # Errors
/// One sentence: what is wrong and what to type.
pub fn parse_decimal(text: &str, places: u32) -> Result<i64, String> {
    let shown = text.trim();
    let (negative, body) = sign_of(shown);
    let number = Number::read(body.trim(), shown)?;
    let (steps, exact) = number.times(10_i128.pow(places.min(9)), 1);
    if !exact {
        return Err(match places {
            0 => format!("\"{shown}\" is not a whole number: leave out what follows the decimal mark."),
            n => format!("\"{shown}\" has too many places: type at most {n} after the decimal mark."),
        });
    }
    let steps = i64::try_from(steps).map_err(|_| too_many_digits(shown))?;
    Ok(if negative { -steps } else { steps })
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

/// An area of so many square millimetres, rounded to hundredths of a square metre: "96.00 m²".
pub fn square_metres(mm2: i64) -> String {
    let steps = (mm2.unsigned_abs() + 5000) / 10_000;
    format!("{}.{:02} m²", steps / 100, steps % 100)
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

/// Hours and minutes of so many minutes: "2:05".
pub fn hours(minutes: u32) -> String {
    format!("{}:{:02}", minutes / 60, minutes % 60)
}

/// A time of the day, minutes after midnight: "08:05"; past midnight it goes on from nought.
pub fn clock(minutes: u32) -> String {
    format!("{:02}:{:02}", minutes / 60 % 24, minutes % 60)
}

/// The day of the week of a date, three letters.
pub fn weekday(date: Date) -> &'static str {
    ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"][date.weekday() % 7]
}

fn sign_of(text: &str) -> (bool, &str) {
    match text.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    }
}

fn too_many_digits(shown: &str) -> String {
    format!("\"{shown}\" has too many digits: {EXAMPLE}.")
}

/// A decimal number: `digits / 10^places`.
#[derive(Clone, Copy)]
struct Number {
    digits: i128,
    places: u32,
    marked: bool,
}

impl Number {
    /// Reads digits with at most one decimal mark; groups of three digits may be parted by single spaces.
    fn read(text: &str, shown: &str) -> Result<Self, String> {
        let marks = text.matches(['.', ',']).count();
        if marks > 1 {
            return Err(format!(
                "\"{shown}\" can be read two ways: use one decimal mark and no thousands mark."
            ));
        }
        let (whole, part) = text.split_once(['.', ',']).unwrap_or((text, ""));
        let whole = without_groups(whole).ok_or_else(|| not_a_number(shown))?;
        if !(whole.bytes().chain(part.bytes()).all(|b| b.is_ascii_digit()))
            || (whole.is_empty() && part.is_empty())
        {
            return Err(not_a_number(shown));
        }
        let part = part.trim_end_matches('0');
        if whole.len() + part.len() > 18 {
            return Err(too_many_digits(shown));
        }
        let digits = format!("0{whole}{part}").parse().map_err(|_| not_a_number(shown))?;
        Ok(Self { digits, places: u32::try_from(part.len()).unwrap_or(18), marked: marks == 1 })
    }

    /// The number times `up / down`, rounded to the nearest whole, and whether that is exact.
    fn times(self, up: i128, down: i128) -> (i128, bool) {
        let below = 10_i128.pow(self.places) * down;
        let above = self.digits * up;
        ((2 * above + below) / (2 * below), above % below == 0)
    }
}

fn not_a_number(shown: &str) -> String {
    if shown.is_empty() {
        return format!("Nothing is typed: {EXAMPLE}.");
    }
    format!("\"{shown}\" is not a number: {EXAMPLE}.")
}

/// "3 250" without its space; `None` when the groups are not of three digits.
fn without_groups(text: &str) -> Option<String> {
    let mut groups = text.split([' ', '\u{a0}', '\u{202f}']);
    let first = groups.next().unwrap_or("");
    let mut all = first.to_owned();
    for group in groups {
        if group.len() != 3 || first.is_empty() || first.len() > 3 {
            return None;
        }
        all.push_str(group);
    }
    Some(all)
}

fn metric(body: &str, shown: &str) -> Result<Mm, String> {
    let units = [("mm", 1, 1), ("cm", 10, 1), ("m", 1000, 1)];
    let found = units.iter().find_map(|&(unit, up, down)| Some((body.strip_suffix(unit)?, up, down)));
    let number = Number::read(found.map_or(body, |(n, ..)| n).trim(), shown)?;
    let up = match found {
        Some((_, up, _)) => up,
        None if number.marked => 1000,
        None => 1,
    };
    match number.times(up, 1) {
        (mm, true) => Mm::try_from(mm).map_err(|_| too_many_digits(shown)),
        (mm, false) => Err(format!(
            "\"{shown}\" is not whole millimetres: type {} or {} mm.",
            mm.saturating_sub(1).max(0),
            mm
        )),
    }
}

fn is_imperial(body: &str) -> bool {
    body.contains(['\'', '"'])
        || ["ft", "feet", "foot", "in", "inch", "inches"].iter().any(|u| body.contains(u))
}

/// Feet, inches or both, to the nearest millimetre: a foot is 304.8 mm, an inch 25.4 mm, both by definition.
fn imperial(body: &str, shown: &str) -> Result<Mm, String> {
    let (feet, rest) = ["'", "feet", "foot", "ft"]
        .iter()
        .find_map(|mark| body.split_once(mark))
        .map_or((None, body), |(feet, rest)| (Some(feet.trim()), rest));
    let rest = rest.trim().trim_start_matches('-').trim();
    let inches =
        ["\"", "inches", "inch", "in"].iter().find_map(|u| rest.strip_suffix(u)).unwrap_or(rest).trim();
    if feet.is_none() && inches.is_empty() {
        return Err(not_a_number(shown));
    }
    let mut ticks = 0; // 1/640 of a tenth of a millimetre: holds every 64th of an inch exactly
    if let Some(feet) = feet {
        ticks += Number::read(feet, shown)?.times(3048 * 640, 1).0;
    }
    if !inches.is_empty() {
        ticks += inch_ticks(inches, shown)?;
    }
    Mm::try_from((ticks + 3200) / 6400).map_err(|_| too_many_digits(shown))
}

/// "3", "3.5", "3/16" or "0 3/16" inches in ticks.
fn inch_ticks(text: &str, shown: &str) -> Result<i128, String> {
    let Some((above, below)) = text.split_once('/') else {
        return Ok(Number::read(text, shown)?.times(254 * 640, 1).0);
    };
    let (whole, above) = above.trim().rsplit_once(' ').unwrap_or(("0", above.trim()));
    let below: i128 = below.trim().parse().map_err(|_| not_a_number(shown))?;
    if !(1..=64).contains(&below) {
        return Err(format!("\"{shown}\" has a fraction that no tape shows: use halves down to 64ths."));
    }
    let whole = Number::read(whole, shown)?.times(254 * 640, 1).0;
    Ok(whole + Number::read(above, shown)?.times(254 * 640, below).0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, expect: Mm) {
        assert_eq!(parse_length(text), Ok(expect), "{text}");
    }

    #[test]
    fn lengths_as_people_type_them() {
        for (text, mm) in [
            ("3.2 m", 3200),
            ("3,2", 3200),
            ("3200", 3200),
            ("3.2", 3200),
            ("3,2m", 3200),
            ("3.200", 3200),
            ("3200mm", 3200),
            ("3 250 mm", 3250),
            ("3 250", 3250),
            ("320 cm", 3200),
            ("3", 3),
            ("3 m", 3000),
            (".5", 500),
            ("0,5", 500),
            ("12500", 12_500),
            ("12.5m", 12_500),
            ("12,5 m", 12_500),
            ("+3200", 3200),
            ("3.", 3000),
        ] {
            check(text, mm);
        }
    }

    /// Foot 304.8 mm and inch 25.4 mm: international yard and pound agreement, 1959.
    #[test]
    fn feet_and_inches() {
        check("41'", 12_497); // 12496.8
        check("41'-0 3/16\"", 12_502); // 12496.8 + 4.7625
        check("492in", 12_497);
        check("7'9", 2362); // 2133.6 + 228.6, not 7 ft
        check("7' 9\"", 2362);
        check("4.5 ft", 1372); // 1371.6, not 4 ft 5 in
        check("4'5\"", 1346);
        check("12 ft 6 in", 3810);
        check("1/2 in", 13);
    }

    #[test]
    fn what_can_be_read_two_ways_is_refused() {
        for text in [
            "1.234,5", "1,234.5", "1.2.3", "12 6", "3 25 mm", "12.5 mm", "3.2005", "", " ", "m", "3x", "-3",
            "0",
        ] {
            let problem = parse_length(text).expect_err(text);
            assert!(problem.ends_with('.') && problem.contains(' '), "{text}: {problem}");
        }
        assert!(parse_length("99999999999999999999999").is_err());
        assert!(parse_length("10001 m").is_err());
    }

    #[test]
    fn levels_may_be_negative_or_nothing() {
        assert_eq!(parse_signed("-0,045"), Ok(-45));
        assert_eq!(parse_signed("−45"), Ok(-45));
        assert_eq!(parse_signed("0"), Ok(0));
    }

    #[test]
    fn angles_and_numbers() {
        assert_eq!(parse_angle("22,5°"), Ok(22_500));
        assert_eq!(parse_angle("-90"), Ok(-90_000));
        assert!(parse_angle("361").is_err());
        assert_eq!(parse_decimal("60,5", 2), Ok(6050));
        assert!(parse_decimal("60.555", 2).is_err());
        assert!(parse_decimal("2.5", 0).is_err());
        assert_eq!(parse_decimal("4", 0), Ok(4));
    }

    #[test]
    fn what_is_shown_reads_back() {
        for mm in [1, 9, 150, 999, 1000, 3250, 24_000, 10_000_000] {
            check(&metres(mm), mm);
            check(&millimetres(mm), mm);
        }
        for steps in [0, 5, 50, 6050, -6050, 100] {
            assert_eq!(parse_decimal(&decimal(steps, 2), 2), Ok(steps));
        }
    }
}
