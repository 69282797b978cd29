//! Fields of the gang and its limits.
//!
//! In: a plan. Out: who lays it, how fast, within which limits. No norm is published for these: what is beside them is
//! common practice, no source.

use super::spec::{Digits, Spec, choice, number, optional_length, optional_number};
use super::{Group, Outcome};
use crate::change::Change;
use baylap_core::Plan;
use baylap_core::plan::Gang;

const MANY: i64 = 1_000_000;
const LARGE: i64 = 1_000_000_000;

const HOLD_OPEN: &[(bool, &str, &str)] =
    &[(false, "where_free", "Where it costs no roll"), (true, "always", "Always, whatever it costs")];

/// The fields of the gang.
pub(super) fn groups(plan: &Plan) -> Vec<Group> {
    let g = &plan.gang;
    let count = |key: &str, label: &str, value: u32, least: i64, set: fn(&mut Gang) -> &mut u32| -> Spec {
        let gang = g.clone();
        number(format!("gang.{key}"), label, i64::from(value), Digits::whole(least, MANY), move |v| {
            let mut gang = gang.clone();
            *set(&mut gang) = u32::try_from(v).unwrap_or(0);
            Change::Gang(gang)
        })
    };
    let amount =
        |key: &str, label: &str, value: Option<i64>, set: fn(&mut Gang) -> &mut Option<i64>| -> Spec {
            let gang = g.clone();
            optional_number(format!("gang.{key}"), label, value, Digits::hundredths(LARGE), move |v| {
                let mut gang = gang.clone();
                *set(&mut gang) = v;
                Change::Gang(gang)
            })
        };
    let limits = vec![
        count("courses_per_bay", "Courses in one bay", g.courses_per_bay, 1, |g| &mut g.courses_per_bay)
            .usual("usually 3"),
        amount("bay_area", "Largest bay", g.bay_area, |g| &mut g.bay_area).unit("m²"),
        bay_length(g),
        count("open_rolls", "Rolls part-used at once", g.open_rolls, 0, |g| &mut g.open_rolls)
            .usual("usually 3; 0 for as many as it takes"),
        hold_open(g),
    ];
    let work = vec![
        count("people", "People", g.people, 0, |g| &mut g.people),
        amount("rate", "Laid in an hour", g.rate, |g| &mut g.rate).unit("m²"),
        day(g),
    ];
    vec![("Limits of a bay".to_owned(), limits), ("Gang".to_owned(), work)]
}

fn hold_open(gang: &Gang) -> Spec {
    let old = gang.clone();
    let label = "That number is kept";
    choice("gang.hold_open_rolls", label, Some(gang.hold_open_rolls), HOLD_OPEN, move |hold_open_rolls| {
        Outcome::Change(Change::Gang(Gang { hold_open_rolls, ..old.clone() }))
    })
}

fn bay_length(gang: &Gang) -> Spec {
    let old = gang.clone();
    optional_length("gang.bay_length", "Longest bay", gang.bay_length, move |bay_length| {
        Change::Gang(Gang { bay_length, ..old.clone() })
    })
}

fn day(gang: &Gang) -> Spec {
    let old = gang.clone();
    let value = gang.day_minutes.map(i64::from);
    optional_number("gang.day_minutes", "Working day", value, Digits::whole(1, 1440), move |v| {
        let day_minutes = v.and_then(|v| u32::try_from(v).ok());
        Change::Gang(Gang { day_minutes, ..old.clone() })
    })
    .unit("min")
}
