//! The limits of the programme: gangs, rates, calendar, ties and prices.
//!
//! In: the programme of a plan. Out: nothing, or the first number that is out of its range. They are about numbers alone:
//! a gang whose melter is not there, a week without a working day or a tie on a holiday passes here and comes back as a
//! finding.

use super::{Checked, LENGTH, NUMBER, each, many, optional, point, range, short};
use crate::plan::{Calendar, DetailsBy, NamedGang, OrderPrices, Programme, Rates, Tie};

/// Gangs of a job.
pub const GANGS: usize = 20;
/// Days that are not worked: holidays, and as many lost.
pub const OFF_DAYS: usize = 5_000;

/// People of a gang.
const PEOPLE: i64 = 1_000;
/// Minutes of a day.
const DAY: i64 = 24 * 60;
/// Latest day or turn that a bay may be tied to.
const LATEST: i64 = 100_000;
/// Days allowed for weather in every hundred worked.
const WEATHER: i64 = 1_000;

/// Checks the programme.
pub(super) fn check(programme: &Programme) -> Checked {
    let path = "plan.programme";
    many("gangs", programme.gangs.len(), GANGS)?;
    each(&programme.gangs, &format!("{path}.gangs"), check_gang)?;
    check_rates(&programme.rates)?;
    if let DetailsBy::Others { people } = programme.details {
        range(&format!("{path}.details.others.people"), i64::from(people), 1, PEOPLE)?;
    }
    check_calendar(&programme.calendar)?;
    each(&programme.ties, &format!("{path}.ties"), check_tie)?;
    check_prices(&programme.prices)
}

fn check_gang(path: &str, gang: &NamedGang) -> Checked {
    short(&format!("{path}.name"), &gang.name)?;
    range(&format!("{path}.people"), i64::from(gang.people), 1, PEOPLE)
}

fn check_rates(rates: &Rates) -> Checked {
    let minutes = |value: Option<u32>| value.map(i64::from);
    let settings = [
        ("prime", rates.prime, 1, NUMBER),
        ("protect", rates.protect, 1, NUMBER),
        ("upstand", rates.upstand, 1, NUMBER),
        ("free_edge", rates.free_edge, 1, NUMBER),
        ("joint", rates.joint, 1, NUMBER),
        ("penetration", minutes(rates.penetration), 0, DAY),
        ("pocket", minutes(rates.pocket), 0, DAY),
        ("outlet", minutes(rates.outlet), 0, DAY),
        ("day_start", minutes(rates.day_start), 0, DAY - 1),
        ("first_thing", minutes(rates.first_thing), 0, DAY),
        ("melt_start", minutes(rates.melt_start), 0, DAY),
        ("melt_rate", rates.melt_rate.map(i64::from), 1, LENGTH),
        ("melter_litres", rates.melter_litres.map(i64::from), 1, LENGTH),
        ("bucket", rates.bucket, 1, LENGTH),
        ("walk", rates.walk, 1, LENGTH),
        ("lead", minutes(rates.lead), 0, 10 * DAY),
        ("gas", rates.gas, 0, LENGTH),
    ];
    settings.into_iter().try_for_each(|(name, value, least, most)| {
        optional(&format!("plan.programme.rates.{name}"), value, least, most)
    })
}

fn check_calendar(calendar: &Calendar) -> Checked {
    many("holidays", calendar.holidays.len(), OFF_DAYS)?;
    many("lost days", calendar.lost.len(), OFF_DAYS)?;
    range("plan.programme.calendar.weather", i64::from(calendar.weather), 0, WEATHER)
}

fn check_tie(path: &str, tie: &Tie) -> Checked {
    point(&format!("{path}.at"), &tie.at)?;
    optional(&format!("{path}.day"), tie.day.map(i64::from), 1, LATEST)?;
    optional(&format!("{path}.turn"), tie.turn.map(i64::from), 1, LATEST)
}

fn check_prices(prices: &OrderPrices) -> Checked {
    let settings = [
        ("day", prices.day),
        ("facing_metre", prices.facing_metre),
        ("joint_metre", prices.joint_metre),
        ("bad_joint_metre", prices.bad_joint_metre),
        ("parted", prices.parted),
        ("left_behind", prices.left_behind),
        ("haul", prices.haul),
    ];
    settings
        .into_iter()
        .try_for_each(|(name, value)| range(&format!("plan.programme.prices.{name}"), value, 0, NUMBER))
}
