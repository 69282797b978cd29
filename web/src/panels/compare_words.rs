//! The words of the comparison of ways.
//!
//! In: ways, counts, standings. Out: names and sentences. It weighs nothing.

use baylap_core::Plan;
use baylap_core::compare::{Alternative, Count, Outcome, Progress};
use baylap_core::plan::{Laying, StartSide};
use baylap_editor::measure;

/// Name of the tab.
pub(crate) const COMPARE: &str = "Compare ways";
/// What it is for.
pub(crate) const LEAD: &str = "Tick what may be laid otherwise. Every combination is laid, counted and held against the others; a way is listed first when no other is as good on every count and better on one.";
/// Before the first layout is whole.
pub(crate) const LATER: &str = "Ways are compared once the layout that stands has been searched to its end.";
/// Nothing ticked.
pub(crate) const NONE_TICKED: &str =
    "Nothing is ticked: tick two directions, say, and cut to length and run on.";
/// Begins.
pub(crate) const BEGIN: &str = "Compare";
/// Gives up.
pub(crate) const STOP: &str = "Stop here";
/// Takes a way.
pub(crate) const TAKE: &str = "Take this way";
/// The way in force.
pub(crate) const IN_FORCE: &str = "in force now";
/// The plan changed since.
pub(crate) const CHANGED: &str =
    "The plan has changed since these were laid: compare again, or undo the change to take one of them.";
/// Beaten ways.
pub(crate) const BEATEN: &str = "Ways that another beats";
/// Taken.
pub(crate) const TAKEN: &str = "Taken. Undo takes it back; the others can still be taken instead.";
/// A short search.
pub(crate) const SHORT: &str = "Counted after a short search.";
/// Held.
pub(crate) const HELD: &str = "Zones whose direction is held keep it.";
/// Cautions.
pub(crate) const CAUTION: &str = "Counts say nothing of heat, gas, heights and fumes: a way that is cheaper is no way at all where it brings people or the melter into danger.";

/// Heading of an aspect.
pub(crate) const DIRECTIONS: &str = "Courses run at";
/// Heading of an aspect.
pub(crate) const STARTS: &str = "First course on the";
/// Heading of an aspect.
pub(crate) const LAYINGS: &str = "Runs";
/// Heading of an aspect.
pub(crate) const ROLLS: &str = "Only rolls of";
/// Heading of an aspect.
pub(crate) const COURSES: &str = "Courses in a bay";
/// Heading of an aspect.
pub(crate) const MELTERS: &str = "Only the melter";
/// Heading of an aspect.
pub(crate) const GANGS: &str = "Gangs";

/// How many ways are ticked.
pub(crate) fn ticked(ways: usize, most: usize) -> String {
    match ways {
        0 => NONE_TICKED.to_owned(),
        1 => "1 way, held against the one that stands.".to_owned(),
        n if n <= most => format!("{n} ways, held against the one that stands."),
        n => format!("{n} ways are more than {most}: take some ticks away."),
    }
}

/// How far it is.
pub(crate) fn progress(progress: Progress, done: bool) -> String {
    let Progress { laid, ways, whole, wanted } = progress;
    if done {
        format!("{ways} ways compared, {whole} of them searched to the end.")
    } else if laid < ways {
        format!("{laid} of {ways} ways laid.")
    } else {
        format!("All {ways} ways laid; {whole} of the {wanted} best searched to the end.")
    }
}

/// A direction.
pub(crate) fn direction(mdeg: i32) -> String {
    measure::degrees(i64::from(mdeg))
}

/// A side.
pub(crate) const fn side(side: StartSide) -> &'static str {
    match side {
        StartSide::Best => "better side",
        StartSide::Right => "right",
        StartSide::Left => "left",
    }
}

/// A way of making runs.
pub(crate) const fn laying(laying: Laying) -> &'static str {
    match laying {
        Laying::Cut => "cut to length",
        Laying::RunOn => "run on",
        Laying::Mixed => "whichever costs less",
    }
}

/// A kind of roll.
pub(crate) fn roll(plan: &Plan, kind: u32) -> String {
    plan.products.rolls.get(kind as usize).map_or_else(String::new, |r| {
        let size = format!("{} x {}", measure::metres(r.width), measure::metres(r.length));
        if r.name.is_empty() { size } else { format!("{} ({size})", r.name) }
    })
}

/// A melter.
pub(crate) fn melter(plan: &Plan, id: u32) -> String {
    let place = plan.melters.iter().position(|m| m.id == id);
    let name = place.map(|n| plan.melters[n].name.clone()).unwrap_or_default();
    if name.is_empty() { (place.unwrap_or(0) + 1).to_string() } else { name }
}

/// What a way does.
pub(crate) fn way(plan: &Plan, way: &Alternative) -> String {
    if way.is_none() {
        return "As it stands".to_owned();
    }
    let mut parts = Vec::new();
    parts.extend(way.direction_mdeg.map(|mdeg| format!("courses at {}", direction(mdeg))));
    parts.extend(way.start.map(|s| format!("first course on the {}", side(s))));
    parts.extend(way.laying.map(|l| laying(l).to_owned()));
    parts.extend(way.roll.map(|kind| format!("rolls of {}", roll(plan, kind))));
    parts.extend(way.courses_per_bay.map(|n| format!("{n} courses in a bay")));
    parts.extend(way.melter.map(|id| format!("melter {}", melter(plan, id))));
    parts.extend(way.gangs.map(|n| if n == 1 { "one gang".to_owned() } else { format!("{n} gangs") }));
    let text = parts.join(", ");
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// Name and unit of a count.
pub(crate) const fn count(count: Count) -> (&'static str, &'static str) {
    match count {
        Count::Rolls => ("Rolls", ""),
        Count::Waste => ("Waste", "m²"),
        Count::Laps => ("Laps", "m"),
        Count::Days => ("Days", ""),
        Count::GangDays => ("Gang-days", ""),
        Count::Haul => ("Haul", "km"),
        Count::Findings => ("Findings", ""),
    }
}

/// A count as it is shown: the haul in km, to the tenth.
pub(crate) fn value(count: Count, value: i64) -> String {
    if count == Count::Haul { measure::decimal(value, 1) } else { value.to_string() }
}

/// Counts as an enumeration, in small letters.
fn listed(counts: &[Count]) -> String {
    let names: Vec<String> = counts.iter().map(|c| count(*c).0.to_lowercase()).collect();
    match names.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        None => String::new(),
    }
}

/// Why a way wins or loses; `name` tells the name of another one.
pub(crate) fn reason(outcome: &Outcome, name: impl Fn(usize) -> String) -> String {
    let standing = &outcome.standing;
    if let Some(by) = standing.beaten_by {
        let better = listed(&standing.worse_on);
        return format!("Beaten by “{}”: better on {better}, no worse on the rest.", name(by));
    }
    let mut words = Vec::new();
    if standing.cheapest {
        words.push("Costs least.".to_owned());
    }
    words.push(if standing.best_on.is_empty() {
        "Best on no single count, but no other way is as good on all.".to_owned()
    } else {
        format!("None is better on {}.", listed(&standing.best_on))
    });
    words.join(" ")
}
