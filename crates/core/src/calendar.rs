//! The calendar: which date each working day of the programme has.
//!
//! In: the first date, the week, holidays, days lost, the allowance for weather. Out: the date of a working day by its
//! number and back, the last day with the allowance, and findings for what cannot be right. A day lost is not worked:
//! everything behind it moves, what is tied to a date stays. It has no clock, and knows no bays.

use crate::finding::{About, Finding};
use crate::layout::Days;
use crate::plan::{Calendar, Date, Plan, Tie};
use crate::quantities::ceil;
use std::collections::BTreeSet;

/// The dates that are worked.
#[derive(Clone, Debug)]
pub struct Dates {
    start: Option<Date>,
    week: [bool; 7],
    off: BTreeSet<Date>,
    weather: u32,
}

/// Why a date is not worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotWorked {
    /// It lies before the first date.
    BeforeStart,
    /// Its day of the week is not worked.
    Week,
    /// It is a holiday or lost.
    Off,
}

impl Dates {
    /// The dates of a calendar.
    pub fn of(calendar: &Calendar) -> Self {
        let off = calendar.holidays.iter().chain(&calendar.lost).copied().collect();
        Self { start: calendar.start, week: calendar.week, off, weather: calendar.weather }
    }

    /// The date of a working day, counted from 1; none without a first date or a day of the week that is worked.
    pub fn nth(&self, day: u32) -> Option<Date> {
        let (start, count) = (self.start?, self.worked_in_a_week());
        if day == 0 || count == 0 {
            return None;
        }
        // Whole weeks at a stroke, then day by day; holidays passed put it off by as many days again.
        let mut left = i64::from(day);
        let mut at = start;
        loop {
            let weeks = u32::try_from((left - 1) / count).unwrap_or(0);
            let far = at.plus(weeks.saturating_mul(7));
            if i64::from(far.days_since(at)) != i64::from(weeks) * 7 {
                return None;
            }
            let lost = self.off.range(at..far).filter(|d| self.week[d.weekday()]).count();
            left -= i64::from(weeks) * count - i64::try_from(lost).unwrap_or(0);
            at = far;
            if weeks == 0 {
                break;
            }
        }
        for _ in 0..=7 * self.off.len() + 14 {
            if self.is_worked(at) {
                left -= 1;
                if left == 0 {
                    return Some(at);
                }
            }
            let next = at.plus(1);
            if next == at {
                return None;
            }
            at = next;
        }
        None
    }

    /// The number of the working day that a date is.
    ///
    /// # Errors
    /// Why it is none. Without a first date every date lies before it.
    pub fn day_of(&self, date: Date) -> Result<u32, NotWorked> {
        let start = self.start.filter(|s| *s <= date).ok_or(NotWorked::BeforeStart)?;
        if !self.week[date.weekday()] {
            return Err(NotWorked::Week);
        }
        if self.off.contains(&date) {
            return Err(NotWorked::Off);
        }
        let days = i64::from(date.days_since(start));
        let in_weeks = days / 7 * self.worked_in_a_week();
        let rest =
            (0..days % 7).filter(|n| self.week[(start.weekday() + usize::try_from(*n).unwrap_or(0)) % 7]);
        let off = self.off.range(start..date).filter(|d| self.week[d.weekday()]).count();
        let before = in_weeks + i64::try_from(rest.count()).unwrap_or(0) - i64::try_from(off).unwrap_or(0);
        Ok(u32::try_from(before).unwrap_or(0).saturating_add(1))
    }

    /// Whether a date is worked.
    pub fn is_worked(&self, date: Date) -> bool {
        self.start.is_some_and(|s| s <= date) && self.week[date.weekday()] && !self.off.contains(&date)
    }

    /// Days to allow for weather behind so many worked, rounded up.
    pub fn allowed(&self, days: u32) -> u32 {
        u32::try_from(ceil(i128::from(days) * i128::from(self.weather), 100)).unwrap_or(u32::MAX)
    }

    /// The last date of so many days' work with the days allowed for weather.
    pub fn finish(&self, days: u32) -> Option<Date> {
        self.nth(days.saturating_add(self.allowed(days)))
    }

    fn worked_in_a_week(&self) -> i64 {
        self.week.iter().map(|&worked| i64::from(worked)).sum()
    }
}

/// Fills in the date of each day by its number, and the last one with the days allowed for weather.
pub fn fill(calendar: &Calendar, days: &mut Days) {
    let dates = Dates::of(calendar);
    for day in &mut days.days {
        day.date = dates.nth(day.number);
    }
    days.finish = days.days.iter().map(|d| d.number).max().and_then(|last| dates.finish(last));
}

/// Findings about the calendar and the ties to it.
pub fn check(plan: &Plan, findings: &mut Vec<Finding>) {
    let calendar = &plan.programme.calendar;
    let dates = Dates::of(calendar);
    if dates.worked_in_a_week() == 0 {
        let text = "No day of the week is worked, so no day of the programme has a date.";
        let about = About::Setting("programme.calendar.week".into());
        findings.push(Finding::error(
            "no-working-day",
            about,
            text,
            "Mark the days of the week that are worked.",
        ));
    } else if let Some(start) = calendar.start.filter(|s| !dates.is_worked(*s)) {
        let text = format!("The first date, {start}, is not worked; work begins on the next one that is.");
        let about = About::Setting("programme.calendar.start".into());
        findings.push(Finding::note(
            "start-not-worked",
            about,
            text,
            "Set the first date to a day that is worked.",
        ));
    }
    for tie in &plan.programme.ties {
        findings.extend(dates.look_at(tie));
        findings.extend(gang_missing(plan, tie));
    }
}

impl Dates {
    fn look_at(&self, tie: &Tie) -> Option<Finding> {
        let date = tie.date?;
        let (code, text, mend) = match (self.start, self.day_of(date)) {
            (None, _) => (
                "tie-without-start",
                format!("A bay is tied to {date}, and the programme has no first date."),
                "Set the first date, or tie the bay to the number of a day.",
            ),
            (Some(start), Err(NotWorked::BeforeStart)) => (
                "tie-before-start",
                format!("A bay is tied to {date}, before the first date, {start}."),
                "Tie it to a later date, or begin earlier.",
            ),
            (_, Err(NotWorked::Week | NotWorked::Off)) => (
                "tie-not-worked",
                format!("A bay is tied to {date}, which is not worked."),
                "Tie it to a date that is worked.",
            ),
            (_, Ok(_)) => return None,
        };
        Some(Finding::warning(code, About::Plan(tie.id), text, mend).at(tie.at))
    }
}

fn gang_missing(plan: &Plan, tie: &Tie) -> Option<Finding> {
    let gang = tie.gang.filter(|id| plan.programme.gangs.iter().all(|g| g.id != *id))?;
    let text = format!("A bay is tied to gang {gang}, which there is not.");
    let mend = "Tie it to one of the gangs, or let any gang lay it.";
    Some(Finding::warning("tie-without-gang", About::Plan(tie.id), text, mend).at(tie.at))
}

#[cfg(test)]
mod tests {
    //! Against calendars of 2026 counted by hand (1 January 2026 is a Thursday: ISO 8601, as in the tests of dates), and
    //! the number of a day against counting one by one.
    use super::*;
    use crate::geom::Pt;

    fn date(text: &str) -> Date {
        text.parse().expect("a date")
    }

    /// From Thursday 24 December 2026: Christmas Day off, Saturday and Sunday, Monday 28 lost, New Year's Day off.
    fn christmas() -> Calendar {
        Calendar {
            start: Some(date("2026-12-24")),
            holidays: vec![date("2026-12-25"), date("2027-01-01"), date("2026-12-26")],
            lost: vec![date("2026-12-28")],
            weather: 10,
            ..Calendar::default()
        }
    }

    #[test]
    fn days_about_christmas() {
        let dates = Dates::of(&christmas());
        let worked = ["2026-12-24", "2026-12-29", "2026-12-30", "2026-12-31", "2027-01-04", "2027-01-05"];
        for (text, day) in worked.iter().zip(1..) {
            assert_eq!(dates.nth(day), Some(date(text)), "day {day}");
            assert_eq!(dates.day_of(date(text)), Ok(day), "{text}");
        }
        assert_eq!(dates.day_of(date("2026-12-23")), Err(NotWorked::BeforeStart));
        assert_eq!(
            dates.day_of(date("2026-12-26")),
            Err(NotWorked::Week),
            "a holiday on a Saturday takes no day"
        );
        assert_eq!(dates.day_of(date("2026-12-28")), Err(NotWorked::Off));
        assert_eq!(dates.nth(0), None);
        // Five days' work and one more for weather (10 in 100 of 5, rounded up).
        assert_eq!((dates.allowed(5), dates.finish(5)), (1, Some(date("2027-01-05"))));
    }

    #[test]
    fn days_get_their_dates() {
        let day = |number| crate::layout::days::Day { number, ..Default::default() };
        let mut days = Days { days: (1..=5).map(day).collect(), ..Days::default() };
        fill(&christmas(), &mut days);
        let given: Vec<Option<Date>> = days.days.iter().map(|d| d.date).collect();
        assert_eq!((given[0], given[4]), (Some(date("2026-12-24")), Some(date("2027-01-04"))));
        assert_eq!(days.finish, Some(date("2027-01-05")));
        fill(&Calendar::default(), &mut days);
        assert!(days.finish.is_none() && days.days.iter().all(|d| d.date.is_none()));
    }

    /// A day lost moves every day behind it by one working day, and none before it.
    #[test]
    fn a_day_lost_moves_all_behind_it() {
        let mut calendar = Calendar { start: Some(date("2026-03-02")), ..Calendar::default() };
        let before = Dates::of(&calendar);
        calendar.lost.push(date("2026-03-04"));
        let after = Dates::of(&calendar);
        assert_eq!((after.nth(1), after.nth(2)), (before.nth(1), before.nth(2)));
        for day in 3..60 {
            assert_eq!(after.nth(day), before.nth(day + 1), "day {day}");
        }
    }

    #[test]
    fn numbers_agree_with_counting() {
        let holidays: Vec<Date> = (0..40).map(|n| date("2026-01-05").plus(n * n)).collect();
        let calendar = Calendar {
            start: Some(date("2026-01-03")),
            week: [true, false, true, true, false, true, false],
            holidays,
            ..Calendar::default()
        };
        let dates = Dates::of(&calendar);
        let mut day = 0;
        for n in 0..2_500 {
            let at = date("2026-01-03").plus(n);
            if dates.is_worked(at) {
                day += 1;
                assert_eq!((dates.nth(day), dates.day_of(at)), (Some(at), Ok(day)), "{at}");
            } else {
                assert!(dates.day_of(at).is_err(), "{at}");
            }
        }
        assert!(day > 1_000);
    }

    #[test]
    fn what_has_no_date() {
        let never = Calendar { start: Some(date("2026-01-05")), week: [false; 7], ..Calendar::default() };
        assert_eq!(Dates::of(&never).nth(1), None);
        assert_eq!(Dates::of(&Calendar::default()).nth(1), None);
        let late = Calendar { start: Some(date("9998-12-30")), ..Calendar::default() };
        assert_eq!(Dates::of(&late).nth(100_000), None, "behind the last date there is");
    }

    #[test]
    fn ties_that_cannot_be_kept_are_told() {
        let mut plan = Plan::default();
        plan.programme.calendar = christmas();
        let tie = |id, text: &str| Tie { id, at: Pt::new(1, 2), date: Some(date(text)), ..Tie::default() };
        plan.programme.ties = vec![
            tie(1, "2026-12-23"),
            tie(2, "2026-12-27"),
            tie(3, "2026-12-28"),
            tie(4, "2026-12-29"),
            Tie { id: 5, gang: Some(9), ..Tie::default() },
        ];
        let codes = |plan: &Plan| -> Vec<(String, About)> {
            let mut findings = Vec::new();
            check(plan, &mut findings);
            findings.into_iter().map(|f| (f.code, f.about)).collect()
        };
        let told = |code: &str, id| (code.to_owned(), About::Plan(id));
        assert_eq!(
            codes(&plan),
            [
                told("tie-before-start", 1),
                told("tie-not-worked", 2),
                told("tie-not-worked", 3),
                told("tie-without-gang", 5)
            ]
        );
        plan.programme.calendar.start = None;
        assert_eq!(codes(&plan).iter().filter(|c| c.0 == "tie-without-start").count(), 4);
        plan.programme.ties.clear();
        plan.programme.calendar.week = [false; 7];
        assert_eq!(codes(&plan)[0].0, "no-working-day");
        plan.programme.calendar = Calendar { start: Some(date("2026-12-27")), ..Calendar::default() };
        assert_eq!(codes(&plan)[0].0, "start-not-worked");
        assert!(codes(&Plan::default()).is_empty());
    }
}
