//! Fields of a bay that is tied to a day, a date, a gang or a turn.
//!
//! In: a plan, and the place that names the bay. Out: what can be set. A tie names its bay by a place inside it, as bays
//! get other numbers when they are laid in another order; a tie that says nothing leaves the plan. Whether an order can
//! keep it is told by findings.

use super::programme::optional_date;
use super::spec::{Digits, Spec, one_of, optional_number, reading};
use super::{FieldKind, Group};
use crate::change::Change;
use crate::thing::greatest_id;
use baylap_core::geom::Pt;
use baylap_core::plan::{NamedGang, Tie};
use baylap_core::{Layout, Plan};

const LATEST: Digits = Digits::whole(1, 100_000);

/// The fields of the bay with a number: at the place of its tie, or at its middle.
pub(super) fn of_bay(plan: &Plan, layout: &Layout, bay: u32) -> Vec<Group> {
    let Some(index) = layout.bays.iter().position(|b| b.number == bay) else { return Vec::new() };
    let tied = plan.programme.ties.iter().map(|t| t.at).find(|at| layout.bay_at(*at) == Some(index));
    tied.or(layout.bays.get(index).map(|b| b.label)).map_or_else(Vec::new, |at| at_place(plan, at))
}

/// The fields of a path that begins with `tie`: the place follows.
pub(super) fn of_path<'a>(plan: &Plan, mut parts: impl Iterator<Item = &'a str>) -> Vec<Group> {
    let mut next = || parts.next().and_then(|part| part.parse().ok());
    match (next(), next()) {
        (Some(x), Some(y)) => at_place(plan, Pt::new(x, y)),
        _ => Vec::new(),
    }
}

fn at_place(plan: &Plan, at: Pt) -> Vec<Group> {
    let tie = plan.programme.ties.iter().find(|t| t.at == at).cloned().unwrap_or_default();
    let path = |key: &str| format!("tie/{}/{}/{key}", at.x, at.y);
    let count = |value: Option<i64>| value.and_then(|v| u32::try_from(v).ok());
    let shown = tie.date.map_or_else(String::new, |date| date.to_string());
    let date = with(plan, at, |tie, date| tie.date = date);
    let day = with(plan, at, move |tie, day| tie.day = count(day));
    let turn = with(plan, at, move |tie, turn| tie.turn = count(turn));
    let mut specs = vec![
        optional_number(path("day"), "Tied to day", tie.day.map(i64::from), LATEST, day)
            .usual("counted from 1; empty: any"),
        reading(path("date"), "Tied to date", &shown, FieldKind::Text, move |typed| {
            optional_date(typed).map(&date)
        })
        .usual("goes before the day, and stays when days are lost"),
        optional_number(path("turn"), "Tied to turn", tie.turn.map(i64::from), LATEST, turn)
            .usual("its turn over the whole job"),
    ];
    specs.extend(gang(plan, at, &tie));
    vec![("Programme".to_owned(), specs)]
}

/// The gang, by its name or its place in the list of gangs; nothing to choose where there is one.
fn gang(plan: &Plan, at: Pt, tie: &Tie) -> Option<Spec> {
    let gangs = &plan.programme.gangs;
    if gangs.is_empty() && tie.gang.is_none() {
        return None;
    }
    let name = |(n, gang): (u32, &NamedGang)| {
        let behind = if gang.name.is_empty() { String::new() } else { format!(", {}", gang.name) };
        (gang.id, format!("Gang {n}{behind}"))
    };
    let there = (1..).zip(gangs).map(name).collect();
    let set = with(plan, at, |tie, gang| tie.gang = gang);
    let path = format!("tie/{}/{}/gang", at.x, at.y);
    Some(one_of(path, "Tied to gang", (tie.gang, "Any gang"), there, set))
}

/// The plan's programme with the tie at a place set; a tie that says nothing goes.
fn with<T: 'static>(
    plan: &Plan,
    at: Pt,
    set: impl Fn(&mut Tie, T) + 'static,
) -> impl Fn(T) -> Change + 'static {
    let (programme, id) = (plan.programme.clone(), greatest_id(plan).saturating_add(1));
    move |value| {
        let mut new = programme.clone();
        let place = new.ties.iter().position(|t| t.at == at).unwrap_or(new.ties.len());
        if place == new.ties.len() {
            new.ties.push(Tie { id, at, ..Tie::default() });
        }
        let tie = &mut new.ties[place];
        set(tie, value);
        if tie.day.is_none() && tie.date.is_none() && tie.gang.is_none() && tie.turn.is_none() {
            new.ties.remove(place);
        }
        Change::Programme(new)
    }
}
