//! Fields of the programme: gangs, rates, the calendar, who does the details, and what an order of bays is judged by.
//!
//! In: a plan. Out: what can be set. A rate that is not given shows the example that stands in for it: no norm is
//! published for any of them. It puts nothing in order.

use super::spec::{Digits, Spec, choice, number, one_of, optional_length, optional_number, reading, text};
use super::{FieldKind, Group, Outcome};
use crate::change::Change;
use crate::day::melter_name;
use crate::thing::greatest_id;
use baylap_core::Plan;
use baylap_core::plan::date::Date;
use baylap_core::plan::{Calendar, Detailing, DetailsBy, Id, Mm, NamedGang, OrderPrices, Programme, Rates};

const DAY: i64 = 24 * 60;
const MANY: i64 = 1_000_000;
const LARGE: i64 = 1_000_000_000;
const PEOPLE: Digits = Digits::whole(1, 1_000);
/// Gangs that can be typed: the plan file holds no more.
const GANGS: i64 = 20;

const WEEK: [&str; 7] = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];

const DETAILS: &[(bool, &str, &str)] =
    &[(false, "gang", "The gang, before it pours"), (true, "others", "Other people, ahead of it")];

/// The fields of the programme.
pub(super) fn groups(plan: &Plan) -> Vec<Group> {
    let programme = &plan.programme;
    let mut gangs = vec![how_many(plan)];
    for n in 0..programme.gangs.len() {
        gangs.extend(gang(plan, n));
    }
    gangs.extend(details(programme));
    vec![
        ("Gangs".to_owned(), gangs),
        ("Calendar".to_owned(), calendar(programme)),
        ("Rates".to_owned(), rates(programme)),
        ("How details are made".to_owned(), detailing(plan)),
        ("What an order of bays is judged by".to_owned(), prices(programme)),
    ]
}

/// The programme with one thing of it set.
fn with<T: 'static>(
    programme: &Programme,
    set: impl Fn(&mut Programme, T) + 'static,
) -> impl Fn(T) -> Change + 'static {
    let old = programme.clone();
    move |value| {
        let mut new = old.clone();
        set(&mut new, value);
        Change::Programme(new)
    }
}

fn small(value: i64) -> u32 {
    u32::try_from(value).unwrap_or(0)
}

// Gangs -------------------------------------------------------------------

/// How many gangs are named: more are added behind, fewer leave from the end.
fn how_many(plan: &Plan) -> Spec {
    let people = plan.gang.people.max(1);
    let next = greatest_id(plan);
    let count = i64::try_from(plan.programme.gangs.len()).unwrap_or(GANGS);
    let set = with(&plan.programme, move |p: &mut Programme, wanted: i64| {
        let wanted = usize::try_from(wanted).unwrap_or(0);
        p.gangs.truncate(wanted);
        let fresh = (1..=u32::MAX).map(|n| next.saturating_add(n)).take(wanted - p.gangs.len());
        p.gangs.extend(fresh.map(|id| NamedGang { id, people, ..NamedGang::default() }));
    });
    number("programme.gangs", "Gangs", count, Digits::whole(0, GANGS), set)
        .usual("0: one gang, at the nearest melter; fewer takes the last ones out")
}

fn gang(plan: &Plan, n: usize) -> Vec<Spec> {
    let Some(gang) = plan.programme.gangs.get(n) else { return Vec::new() };
    let path = format!("programme.gangs[{n}]");
    let nth = n + 1;
    let edit = move |set: fn(&mut NamedGang, i64)| {
        move |p: &mut Programme, value: i64| {
            if let Some(gang) = p.gangs.get_mut(n) {
                set(gang, value);
            }
        }
    };
    let name = with(&plan.programme, move |p: &mut Programme, name: String| {
        if let Some(gang) = p.gangs.get_mut(n) {
            gang.name = name;
        }
    });
    let people = with(&plan.programme, edit(|gang, people| gang.people = small(people)));
    vec![
        text(format!("{path}.name"), &format!("Gang {nth}, name"), &gang.name, name),
        number(format!("{path}.people"), &format!("Gang {nth}, people"), gang.people.into(), PEOPLE, people),
        melter(plan, n, gang),
    ]
}

/// The melter of a gang, by its name on the plan.
fn melter(plan: &Plan, n: usize, gang: &NamedGang) -> Spec {
    let there = plan.melters.iter().map(|m| (m.id, melter_name(m))).collect();
    let set = with(&plan.programme, move |p: &mut Programme, melter: Option<Id>| {
        if let Some(gang) = p.gangs.get_mut(n) {
            gang.melter = melter;
        }
    });
    let path = format!("programme.gangs[{n}].melter");
    one_of(path, &format!("Gang {}, melter", n + 1), (gang.melter, "The nearest to each bay"), there, set)
}

fn details(programme: &Programme) -> Vec<Spec> {
    let others = match programme.details {
        DetailsBy::Gang => None,
        DetailsBy::Others { people } => Some(people),
    };
    let by = with(programme, move |p: &mut Programme, by_others: bool| {
        p.details =
            if by_others { DetailsBy::Others { people: others.unwrap_or(2) } } else { DetailsBy::Gang };
    });
    let label = "Upstands, joints and penetrations";
    let mut specs = vec![choice("programme.details", label, Some(others.is_some()), DETAILS, move |v| {
        Outcome::Change(by(v))
    })];
    if let Some(people) = others {
        let set = with(programme, |p: &mut Programme, people| {
            p.details = DetailsBy::Others { people: small(people) };
        });
        specs.push(number("programme.details.people", "These people", people.into(), PEOPLE, set));
    }
    specs
}

// Calendar ----------------------------------------------------------------

fn calendar(programme: &Programme) -> Vec<Spec> {
    let c = &programme.calendar;
    let start = with(programme, |p: &mut Programme, start| p.calendar.start = start);
    let shown = c.start.map_or_else(String::new, |date| date.to_string());
    let start = reading("programme.calendar.start", "First day", &shown, FieldKind::Text, move |typed| {
        optional_date(typed).map(&start)
    });
    let week = with(programme, |p: &mut Programme, week| p.calendar.week = week);
    let shown = week_words(c.week);
    let week = reading("programme.calendar.week", "Days worked", &shown, FieldKind::Text, move |typed| {
        read_week(typed).map(&week)
    });
    let weather = with(programme, |p: &mut Programme, days| p.calendar.weather = small(days));
    let weather = number(
        "programme.calendar.weather",
        "Days for weather in every hundred",
        c.weather.into(),
        Digits::whole(0, 1_000),
        weather,
    );
    vec![
        start.usual("year-month-day, as 2026-11-30; empty: days have numbers only"),
        week.usual("as Monday Tuesday Wednesday"),
        dates(programme, ("holidays", "Holidays"), |c| &mut c.holidays).usual("dates, typed or pasted"),
        dates(programme, ("lost", "Days lost"), |c| &mut c.lost)
            .usual("what is behind moves; bays tied to a date stay"),
        weather,
    ]
}

/// A list of dates, one a line.
fn dates(programme: &Programme, (key, label): (&str, &str), of: fn(&mut Calendar) -> &mut Vec<Date>) -> Spec {
    let lines: Vec<String> = of(&mut programme.calendar.clone()).iter().map(Date::to_string).collect();
    let set = with(programme, move |p: &mut Programme, dates| *of(&mut p.calendar) = dates);
    let path = format!("programme.calendar.{key}");
    reading(path, label, &lines.join("\n"), FieldKind::Notes, move |typed| read_dates(typed).map(&set))
}

/// A date, or none where nothing is typed.
pub(super) fn optional_date(typed: &str) -> Result<Option<Date>, String> {
    if typed.is_empty() { Ok(None) } else { typed.parse().map(Some).map_err(|e| format!("{e}")) }
}

/// The dates of a list, each once, in the order typed.
fn read_dates(typed: &str) -> Result<Vec<Date>, String> {
    let mut dates = Vec::new();
    let words = typed.split(|c: char| c.is_whitespace() || c == ',' || c == ';');
    for word in words.filter(|w| !w.is_empty()) {
        let date: Date = word.parse().map_err(|e| format!("{e}"))?;
        if !dates.contains(&date) {
            dates.push(date);
        }
    }
    Ok(dates)
}

fn week_words(week: [bool; 7]) -> String {
    let worked: Vec<&str> = WEEK.iter().zip(week).filter(|(_, on)| *on).map(|(name, _)| *name).collect();
    worked.join(" ")
}

/// Days of the week by their names or the first three letters of these.
fn read_week(typed: &str) -> Result<[bool; 7], String> {
    let mut week = [false; 7];
    for word in typed.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()) {
        let low = word.to_lowercase();
        let is = |name: &&str| low.len() >= 3 && name.to_lowercase().starts_with(&low);
        let day = WEEK.iter().position(is).ok_or_else(|| {
            format!("\"{word}\" is no day of the week: write their names, as Monday Tuesday.")
        })?;
        week[day] = true;
    }
    Ok(week)
}

// Rates -------------------------------------------------------------------

/// How a rate is read and kept.
struct Rate {
    key: &'static str,
    label: &'static str,
    unit: &'static str,
    /// What is shown while it is empty.
    example: &'static str,
    digits: Digits,
    get: fn(&Rates) -> Option<i64>,
    set: fn(&mut Rates, Option<i64>),
}

/// One line of the list of rates: key, label, unit, example, digits.
macro_rules! rate {
    ($key:ident, $label:literal, $unit:literal, $example:literal, $digits:expr) => {
        Rate {
            key: stringify!($key),
            label: $label,
            unit: $unit,
            example: concat!("example ", $example, " ", $unit, ", no published norm"),
            digits: $digits,
            get: |r| r.$key.map(i64::from),
            set: |r, value| r.$key = value.and_then(|v| v.try_into().ok()),
        }
    };
}

const AREA: Digits = Digits::hundredths(LARGE);
const SMALL: Digits = Digits::hundredths(MANY);
const LENGTH: Digits = Digits { places: 3, least: 1, most: LARGE };
const MINUTES: Digits = Digits::whole(0, DAY);
const LITRES: Digits = Digits::whole(1, MANY);

const RATES: [Rate; 16] = [
    rate!(prime, "Priming", "m²/h", "120", AREA),
    rate!(protect, "Protection sheet", "m²/h", "60", AREA),
    rate!(upstand, "Upstands", "m/h", "6", LENGTH),
    rate!(free_edge, "Free edges", "m/h", "10", LENGTH),
    rate!(joint, "Movement joints", "m/h", "5", LENGTH),
    rate!(penetration, "One penetration", "min", "20", MINUTES),
    rate!(pocket, "One pitch pocket", "min", "45", MINUTES),
    rate!(outlet, "One outlet", "min", "40", MINUTES),
    rate!(first_thing, "Bond test and setting out", "min", "45", MINUTES),
    rate!(melt_start, "From lighting the melter to the first litre", "min", "60", MINUTES),
    rate!(melt_rate, "A melter melts", "l/h", "300", LITRES),
    rate!(melter_litres, "A melter holds", "l", "625", LITRES),
    rate!(bucket, "One bucket", "l", "12", SMALL),
    rate!(walk, "Walking with a full bucket", "m/min", "40", Digits { places: 3, least: 1, most: MANY }),
    rate!(lead, "From details to the first pour", "min", "60", Digits::whole(0, 10 * DAY)),
    rate!(gas, "Gas to melt 100 kg", "kg", "1.47", Digits { places: 2, least: 0, most: MANY }),
];

fn rates(programme: &Programme) -> Vec<Spec> {
    let mut specs = vec![day_start(programme)];
    specs.extend(RATES.iter().map(|rate| {
        let value = (rate.get)(&programme.rates);
        let put = rate.set;
        let set = with(programme, move |p: &mut Programme, v| put(&mut p.rates, v));
        let path = format!("programme.rates.{}", rate.key);
        let spec = optional_number(path, rate.label, value, rate.digits, set).unit(rate.unit);
        if value.is_none() { spec.usual(rate.example) } else { spec }
    }));
    specs
}

fn day_start(programme: &Programme) -> Spec {
    let value = programme.rates.day_start;
    let shown = value.map_or_else(String::new, |m| format!("{:02}:{:02}", m / 60, m % 60));
    let set = with(programme, |p: &mut Programme, start| p.rates.day_start = start);
    let path = "programme.rates.day_start";
    let spec = reading(path, "Work begins at", &shown, FieldKind::Text, move |typed| {
        if typed.is_empty() { Ok(set(None)) } else { read_time(typed).map(|m| set(Some(m))) }
    });
    if value.is_none() { spec.usual("example 08:00, no published norm") } else { spec }
}

/// Minutes after midnight.
fn read_time(typed: &str) -> Result<u32, String> {
    let read = || {
        let (hours, minutes) = typed.split_once(':')?;
        let digits = |t: &str| !t.is_empty() && t.len() <= 2 && t.bytes().all(|b| b.is_ascii_digit());
        let sound = digits(hours) && digits(minutes);
        let (hours, minutes): (u32, u32) = (hours.parse().ok()?, minutes.parse().ok()?);
        (sound && hours < 24 && minutes < 60).then_some(hours * 60 + minutes)
    };
    read().ok_or_else(|| format!("\"{typed}\" is no time of the day: write hours and minutes, as 07:30."))
}

// Details -----------------------------------------------------------------

/// Sizes that decide what details take; while one is empty its example stands in.
fn detailing(plan: &Plan) -> Vec<Spec> {
    let one = |key: &str, label: &str, example: &'static str, of: fn(&mut Detailing) -> &mut Option<Mm>| {
        let old = plan.detailing.clone();
        let value = *of(&mut old.clone());
        let spec = optional_length(format!("detailing.{key}"), label, value, move |mm| {
            let mut new = old.clone();
            *of(&mut new) = mm;
            Change::Detailing(new)
        });
        if value.is_none() { spec.usual(example) } else { spec }
    };
    vec![
        one("joint_girth", "Girth of the strip over joints", "example 450 mm, no published norm", |d| {
            &mut d.joint_girth
        }),
        one("bar_centres", "Fixings of bars, centres", "example 200 mm, no published norm", |d| {
            &mut d.bar_centres
        }),
        one("pocket_depth", "Pitch pockets, filled to", "example 75 mm, no published norm", |d| {
            &mut d.pocket_depth
        }),
    ]
}

// Prices ------------------------------------------------------------------

fn prices(programme: &Programme) -> Vec<Spec> {
    let digits = Digits { places: 2, least: 0, most: LARGE };
    let one = |key: &str, label: &str, of: fn(&mut OrderPrices) -> &mut i64| {
        let value = *of(&mut programme.prices.clone());
        let set = with(programme, move |p: &mut Programme, v| *of(&mut p.prices) = v);
        number(format!("programme.prices.{key}"), label, value, digits, set)
            .usual("your money; our own weight until then, no source")
    };
    vec![
        one("day", "A working day", |p| &mut p.day),
        one("facing_metre", "A metre of lap that faces the water", |p| &mut p.facing_metre),
        one("joint_metre", "A metre of day joint", |p| &mut p.joint_metre),
        one("bad_joint_metre", "A metre of it in a bad place, besides", |p| &mut p.bad_joint_metre),
        one("parted", "Bays of one day that do not touch", |p| &mut p.parted),
        one("left_behind", "A bay left behind at the end of a day", |p| &mut p.left_behind),
        one("haul", "100 m walked with full buckets", |p| &mut p.haul),
    ]
}

#[cfg(test)]
mod tests {
    //! Every example shown is the one that stands in.
    use super::*;
    use baylap_core::rates::resolve;

    #[test]
    fn examples_shown_are_those_that_stand_in() {
        let stands = resolve(&Plan::default());
        for rate in &RATES {
            let shown = rate.example.split(' ').nth(1).unwrap();
            let steps = crate::measure::parse_decimal(shown, rate.digits.places).unwrap();
            let mut plan = Plan::default();
            (rate.set)(&mut plan.programme.rates, Some(steps));
            let mut given = resolve(&plan);
            assert_eq!(given.examples.len() + 1, stands.examples.len(), "{} is given", rate.key);
            given.examples.clone_from(&stands.examples);
            assert_eq!(given, stands, "{}", rate.key);
        }
        assert_eq!(stands.day_start, 8 * 60);
    }

    #[test]
    fn examples_of_details_are_those_that_stand_in() {
        let stands = resolve(&Plan::default());
        let sizes = [stands.joint_girth, stands.bar_centres, stands.pocket_depth];
        for (spec, mm) in detailing(&Plan::default()).iter().zip(sizes) {
            assert_eq!(spec.field.usual, format!("example {mm} mm, no published norm"), "{}", spec.field.id);
        }
    }
}
