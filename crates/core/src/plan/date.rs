//! Dates, as they stand in the plan file: `2026-11-30`.
//!
//! In: text. Out: a date that exists, or one sentence. It counts days and knows days of the week (Gregorian calendar);
//! it knows neither clock nor place.

use serde::{Deserialize, Serialize};
use std::fmt;

/// A day of the calendar, written year-month-day (ISO 8601).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Date(time::Date);

/// What a text that is no date is told.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no date of the calendar: write year-month-day, as 2026-11-30.")]
pub struct NoDate(String);

impl Date {
    /// The date of a year, a month (1 to 12) and a day of the month, if there is one.
    pub fn new(year: i32, month: u8, day: u8) -> Option<Self> {
        let month = time::Month::try_from(month).ok()?;
        let date = time::Date::from_calendar_date(year, month, day).ok()?;
        (1..=9998).contains(&year).then_some(Self(date))
    }

    /// The date so many days later; the last one known at the end of the calendar.
    #[must_use]
    pub fn plus(self, days: u32) -> Self {
        let later = i64::from(self.0.to_julian_day()) + i64::from(days);
        let date = i32::try_from(later).ok().and_then(|day| time::Date::from_julian_day(day).ok());
        Self(date.unwrap_or(time::Date::MAX))
    }

    /// Days from another date to this one.
    pub fn days_since(self, other: Self) -> i32 {
        self.0.to_julian_day() - other.0.to_julian_day()
    }

    /// Day of the week, Monday 0.
    pub fn weekday(self) -> usize {
        usize::from(self.0.weekday().number_days_from_monday())
    }

    /// Year, month and day of the month.
    pub fn parts(self) -> (i32, u8, u8) {
        let (year, month, day) = self.0.to_calendar_date();
        (year, u8::from(month), day)
    }
}

impl TryFrom<String> for Date {
    type Error = NoDate;

    fn try_from(text: String) -> Result<Self, NoDate> {
        text.parse()
    }
}

impl std::str::FromStr for Date {
    type Err = NoDate;

    fn from_str(text: &str) -> Result<Self, NoDate> {
        let read = || {
            let mut parts = text.trim().split('-');
            let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
            let sound = parts.next().is_none() && year.len() == 4 && month.len() <= 2 && day.len() <= 2;
            let digits = [year, month, day].iter().all(|p| p.bytes().all(|b| b.is_ascii_digit()));
            let date = || Self::new(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?);
            if sound && digits { date() } else { None }
        };
        read().ok_or_else(|| NoDate(text.chars().take(40).collect()))
    }
}

impl From<Date> for String {
    fn from(date: Date) -> Self {
        date.to_string()
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, month, day) = self.parts();
        write!(f, "{year:04}-{month:02}-{day:02}")
    }
}

#[cfg(feature = "schema")]
impl schemars::JsonSchema for Date {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Date".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"})
    }
}

#[cfg(test)]
mod tests {
    //! Dates that exist and days of the week, against the calendar.
    use super::*;

    #[test]
    fn dates_are_read_and_written() {
        for text in ["2026-11-30", "2024-02-29", "0001-01-01"] {
            assert_eq!(text.parse::<Date>().unwrap().to_string(), text);
        }
        for text in ["2026-02-29", "30.11.2026", "2026-13-01", "26-11-30", "", "2026-11-30-1", "2026-1-x"] {
            let said = text.parse::<Date>().unwrap_err().to_string();
            assert!(said.contains("is no date"), "{said}");
        }
    }

    /// ISO 8601: 2026-W53 has its Thursday on the last day of 2026 (31 December 2026 is a Thursday); 2000-01-01 was a
    /// Saturday (perpetual calendar, from memory).
    #[test]
    fn days_of_the_week() {
        let day = |text: &str| text.parse::<Date>().unwrap();
        assert_eq!(day("2026-12-31").weekday(), 3);
        assert_eq!(day("2000-01-01").weekday(), 5);
        assert_eq!(day("2024-02-28").plus(2), day("2024-03-01"));
        assert_eq!(day("2024-03-01").days_since(day("2023-03-01")), 366);
        assert_eq!(day("9998-12-31").plus(u32::MAX).to_string(), "9999-12-31");
    }
}
