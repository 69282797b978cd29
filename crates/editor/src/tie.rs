//! Tying a bay to a day, a gang or a turn, and untying it.
//!
//! In: a plan, its layout, the number of a bay and what it is tied to. Out: the tie that names the bay, and the change of
//! the programme that ties it or lets it go. Where a day has a date the tie is to the date, so that it stays when days are
//! lost. Whether an order can keep a tie is told by findings; it puts nothing in order.

use crate::change::{Change, capital};
use crate::playing;
use crate::thing::greatest_id;
use baylap_core::layout::days::Day;
use baylap_core::plan::{Id, Programme, Tie};
use baylap_core::{Finding, Layout, Plan};

/// What a bay is tied to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TieTo {
    /// A day of the layout by its number; the gang, where one is named, as well.
    Day {
        /// Number of the day, from 1.
        day: u32,
        /// Number of the gang, from 1, where it is to be that gang's.
        gang: Option<u32>,
    },
    /// A turn over the whole job, from 1; what else it is tied to stays.
    Turn {
        /// The turn.
        turn: u32,
    },
    /// No day; what else it is tied to stays.
    AnyDay,
    /// Nothing any more.
    Nothing,
}

/// Codes of findings that tell of ties that cannot be kept, and of what they lead to.
const CODES: [&str; 12] = [
    "cut-off",
    "day-too-full",
    "shut-in",
    "tie-astray",
    "tie-before-start",
    "tie-day",
    "tie-faces-water",
    "tie-gang",
    "tie-not-worked",
    "tie-turn",
    "tie-without-gang",
    "tie-without-start",
];

/// The tie that names a bay of the layout.
pub fn of_bay<'a>(plan: &'a Plan, layout: &Layout, bay: u32) -> Option<&'a Tie> {
    all_of_bay(plan, layout, bay).first().copied()
}

/// Every tie that names a bay of the layout: several where bays have grown together.
fn all_of_bay<'a>(plan: &'a Plan, layout: &Layout, bay: u32) -> Vec<&'a Tie> {
    let index = layout.bays.iter().position(|b| b.number == bay);
    let names = |tie: &&Tie| index.is_some() && layout.bay_at(tie.at) == index;
    plan.programme.ties.iter().filter(names).collect()
}

/// One tie that says what two say; the later one goes before, as it does in the order.
fn joined(one: Tie, later: &Tie) -> Tie {
    let first = one.id == 0;
    let dated = later.day.is_some() || later.date.is_some();
    Tie {
        id: if first { later.id } else { one.id },
        at: if first { later.at } else { one.at },
        day: if dated { later.day } else { one.day },
        date: if dated { later.date } else { one.date },
        gang: later.gang.or(one.gang),
        turn: later.turn.or(one.turn),
    }
}

/// What a tie says: "Tied to day 3", "Tied to Wed 2026-12-02, gang 2".
pub fn words(plan: &Plan, tie: &Tie) -> String {
    let date = tie.date.map(|date| format!("{} {date}", crate::measure::weekday(date)));
    let day = date.or(tie.day.map(|day| format!("day {day}")));
    let nth = |id: Id| plan.programme.gangs.iter().position(|g| g.id == id).map(|n| n + 1);
    let gang = tie.gang.map(|id| match nth(id) {
        Some(n) => format!("gang {n}"),
        None => format!("gang {id}, which there is not"),
    });
    let turn = tie.turn.map(|turn| format!("turn {turn}"));
    let parts: Vec<String> = [day, gang, turn].into_iter().flatten().collect();
    format!("Tied to {}", parts.join(", "))
}

/// What the layout tells of ties that cannot be kept.
pub fn findings(layout: &Layout) -> impl Iterator<Item = &Finding> {
    layout.findings.iter().filter(|f| CODES.contains(&f.code.as_str()))
}

/// The change that ties a bay or lets it go, and what to say of it; one sentence where it cannot be.
///
/// # Errors
/// What is missing, and what to do.
pub(crate) fn change(plan: &Plan, layout: &Layout, bay: u32, to: TieTo) -> Result<(Change, String), String> {
    let at = layout.bays.iter().find(|b| b.number == bay).map(|b| b.label);
    let at = at.ok_or_else(|| format!("There is no bay {bay} in this layout any more: pick another."))?;
    let own = all_of_bay(plan, layout, bay);
    let mut tie = own.iter().fold(Tie { at, ..Tie::default() }, |one, next| joined(one, next));
    match to {
        TieTo::Day { day, gang } => {
            let day = day_of(layout, day)?;
            (tie.date, tie.day) = (day.date, day.date.is_none().then_some(day.number));
            // A turn was of the order as it was: beside another day it can only be in the way.
            tie.turn = None;
            if let Some(gang) = gang {
                tie.gang = layout
                    .days
                    .as_ref()
                    .and_then(|d| d.gangs.get((gang as usize).checked_sub(1)?))
                    .map(|g| g.id);
                tie.gang = tie.gang.filter(|id| *id > 0);
            }
        }
        TieTo::Turn { turn } => tie.turn = Some(turn),
        TieTo::AnyDay => (tie.date, tie.day) = (None, None),
        TieTo::Nothing => (tie.date, tie.day, tie.gang, tie.turn) = (None, None, None, None),
    }
    let said = if is_idle(&tie) { format!("Bay {bay} is tied to nothing.") } else { said(plan, bay, &tie) };
    Ok((Change::Programme(with(plan, &own, tie)), said))
}

fn said(plan: &Plan, bay: u32, tie: &Tie) -> String {
    let mut words = words(plan, tie);
    words.replace_range(..1, "t");
    capital(&format!("bay {bay} is {words}. The order is looked for again."))
}

fn day_of(layout: &Layout, number: u32) -> Result<&Day, String> {
    let days = layout.days.as_ref().map(|d| d.days.as_slice()).unwrap_or_default();
    days.iter().find(|d| d.number == number).ok_or_else(|| {
        format!("There is no day {number} in this layout: wait until the order is found, or pick another.")
    })
}

fn is_idle(tie: &Tie) -> bool {
    tie.day.is_none() && tie.date.is_none() && tie.gang.is_none() && tie.turn.is_none()
}

/// The programme with the ties of the bay replaced by one; one that says nothing goes.
fn with(plan: &Plan, own: &[&Tie], mut tie: Tie) -> Programme {
    let mut new = plan.programme.clone();
    let place = new.ties.iter().position(|t| own.iter().any(|o| o.id == t.id)).unwrap_or(new.ties.len());
    new.ties.retain(|t| own.iter().all(|o| o.id != t.id));
    if tie.id == 0 {
        tie.id = greatest_id(plan).saturating_add(1);
    }
    if !is_idle(&tie) {
        new.ties.insert(place, tie);
    }
    new
}

/// The name of a day to tie to: "Day 3, Wed 2026-12-02".
pub fn day_name(day: &Day) -> String {
    format!("Day {}{}", day.number, playing::dated(day))
}
