//! What one day of the programme holds: its bays with their times, what it takes, the melters, the joints left open.
//!
//! In: a plan, its layout, the number of a day. Out: lines to read, in the trade's words and the units of the sheets. Times
//! count from the start of work; the clock stands beside them only where the plan says when work begins. Every figure is
//! the layout's own: nothing is worked out here.

use crate::change::capital;
use crate::measure;
use crate::tie;
use crate::today::whereabouts;
use baylap_core::geom::Pt;
use baylap_core::layout::days::{Day, DayJoint, Days, Materials, MelterDay, Minutes, Turn};
use baylap_core::plan::{Melter, Mm};
use baylap_core::{Layout, Plan};

/// A day in lines.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DayDetails {
    /// Its number.
    pub number: u32,
    /// Its name: "Day 3, Wed 2026-12-02".
    pub name: String,
    /// Its bays, in the order they are begun.
    pub turns: Vec<TurnLine>,
    /// What it takes: name and figure; what it takes none of is left out.
    pub materials: Vec<(&'static str, String)>,
    /// Each melter that is drawn from.
    pub melters: Vec<MelterLine>,
    /// Bay edges left open at its end.
    pub joints: Vec<JointLine>,
    /// Where the bond test is made, as the sheets say it, and the place.
    pub test: Option<(String, Pt)>,
    /// Bays whose details are done ahead on this day.
    pub ahead: Vec<u32>,
}

/// One bay of a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TurnLine {
    /// Number of the bay.
    pub bay: u32,
    /// Number of its gang, from 1.
    pub gang: u32,
    /// Begun and done, hours and minutes from the start of work: "1:00 to 3:20".
    pub times: String,
    /// The same by the clock, where the plan says when work begins: "08:30 to 10:50".
    pub clock: Option<String>,
    /// What the time goes on: "prime 0:10, details 0:40, pour 1:10".
    pub trades: String,
    /// What the bay is tied to, in words.
    pub tie: Option<String>,
}

/// One melter on a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MelterLine {
    /// What to call it.
    pub name: String,
    /// Drawn and melted.
    pub litres: String,
    /// When it runs short.
    pub short: Option<String>,
}

/// One bay edge left open.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JointLine {
    /// The bay laid.
    pub laid: u32,
    /// The bay to come.
    pub next: u32,
    /// Its length, and how much of it lies in a bad place.
    pub words: String,
    /// Whether some of it does.
    pub bad: bool,
}

/// The details of a day; nothing when there is no such day.
pub fn details(plan: &Plan, layout: &Layout, number: u32) -> Option<DayDetails> {
    let days = layout.days.as_ref()?;
    let day = days.days.iter().find(|d| d.number == number)?;
    let mut materials = materials(&day.materials);
    materials.extend(later(days, day));
    Some(DayDetails {
        number,
        name: tie::day_name(day),
        turns: day.turns.iter().map(|turn| turn_line(plan, layout, days, turn)).collect(),
        materials,
        melters: day.melters.iter().map(|m| melter_line(plan, m)).collect(),
        joints: day.joints.iter().map(joint_line).collect(),
        test: day.test_at.map(|at| (capital(&whereabouts(plan, layout, at)), at)),
        ahead: day.details_of.clone(),
    })
}

/// When a bay is begun and done, hours and minutes from the start of work.
pub fn times(turn: &Turn) -> String {
    format!("{} to {}", measure::hours(turn.from), measure::hours(turn.to))
}

/// The same by the clock, where the plan says when work begins.
pub fn clock(plan: &Plan, turn: &Turn) -> Option<String> {
    let start = plan.programme.rates.day_start?;
    let at = |minutes: u32| measure::clock(start.saturating_add(minutes));
    Some(format!("{} to {}", at(turn.from), at(turn.to)))
}

/// What to call a gang: its name behind its number, where it has one.
pub fn gang_name(days: &Days, gang: u32) -> String {
    let named = (gang as usize).checked_sub(1).and_then(|n| days.gangs.get(n)).map(|g| g.name.trim());
    match named.filter(|name| !name.is_empty()) {
        Some(name) => format!("Gang {gang}, {name}"),
        None => format!("Gang {gang}"),
    }
}

fn turn_line(plan: &Plan, layout: &Layout, days: &Days, turn: &Turn) -> TurnLine {
    let work = days.bays.iter().find(|w| w.bay == turn.bay);
    let minutes = work.and_then(|w| w.minutes.get((turn.gang as usize).checked_sub(1)?));
    TurnLine {
        bay: turn.bay,
        gang: turn.gang,
        times: times(turn),
        clock: clock(plan, turn),
        trades: minutes.map(trades).unwrap_or_default(),
        tie: tie::of_bay(plan, layout, turn.bay).map(|t| tie::words(plan, t)),
    }
}

fn trades(minutes: &Minutes) -> String {
    let all = [
        ("prime", minutes.prime),
        ("details", minutes.details),
        ("pour", minutes.pour),
        ("carry", minutes.haul),
        ("sheet", minutes.protect),
    ];
    let said =
        all.into_iter().filter(|(_, m)| *m > 0).map(|(name, m)| format!("{name} {}", measure::hours(m)));
    said.collect::<Vec<_>>().join(", ")
}

fn materials(m: &Materials) -> Vec<(&'static str, String)> {
    let some = |name: &'static str, n: i64, said: String| (n > 0).then_some((name, said));
    let rolls = |numbers: &[u32]| format!("{}: {}", numbers.len(), numbered(numbers));
    let count = |numbers: &[u32]| i64::try_from(numbers.len()).unwrap_or(0);
    let tenth = |mm: Mm| format!("{} m", measure::decimal((mm + 99) / 100, 1));
    [
        some("Membrane, field", m.membrane_kg, format!("{} kg", m.membrane_kg)),
        some("Membrane, details", m.details_kg, format!("{} kg", m.details_kg)),
        some("Blocks to melt", m.blocks, m.blocks.to_string()),
        some("Primer", m.primer_litres, format!("{} l", m.primer_litres)),
        some("Rolls to carry up", count(&m.rolls_up), rolls(&m.rolls_up)),
        some("Part rolls left over", count(&m.rolls_part), rolls(&m.rolls_part)),
        some("Protection sheet", m.sheet_area, measure::square_metres(m.sheet_area)),
        some("Elastomeric strip", m.strip, tenth(m.strip)),
        some("Termination bar", m.bar, tenth(m.bar)),
        some("Fixings", m.fixings, m.fixings.to_string()),
        some("Gas", m.gas, format!("{} kg", measure::decimal(m.gas, 2))),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Part rolls of the day before, to be brought out again.
fn later(days: &Days, day: &Day) -> Option<(&'static str, String)> {
    let before = days.days.iter().find(|d| d.number + 1 == day.number)?;
    let rolls = &before.materials.rolls_part;
    (!rolls.is_empty()).then(|| ("Part rolls from before", format!("{}: {}", rolls.len(), numbered(rolls))))
}

/// Numbers with runs of them drawn together: "1, 4 to 7, 9".
pub(crate) fn numbered(numbers: &[u32]) -> String {
    let mut sorted = numbers.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    let mut runs: Vec<[u32; 2]> = Vec::new();
    for n in sorted {
        match runs.last_mut() {
            Some(run) if run[1].checked_add(1) == Some(n) => run[1] = n,
            _ => runs.push([n, n]),
        }
    }
    let said = runs.into_iter().flat_map(|[a, b]| match b - a {
        0 => vec![a.to_string()],
        1 => vec![a.to_string(), b.to_string()],
        _ => vec![format!("{a} to {b}")],
    });
    said.collect::<Vec<_>>().join(", ")
}

fn melter_line(plan: &Plan, m: &MelterDay) -> MelterLine {
    let placed = plan.melters.iter().find(|placed| placed.id == m.melter);
    let name = placed.map_or_else(|| "The melter".to_owned(), melter_name);
    let short = m.short_at.map(|minute| {
        let start = plan.programme.rates.day_start;
        let clock =
            start.map_or_else(String::new, |s| format!(" ({})", measure::clock(s.saturating_add(minute))));
        format!("Runs short {} h after the start of work{clock}.", measure::hours(minute))
    });
    MelterLine { name, litres: format!("{} l drawn, {} l melted by the last pour", m.drawn, m.melted), short }
}

/// What to call a melter: its name, or its number on the plan.
pub(crate) fn melter_name(melter: &Melter) -> String {
    if melter.name.trim().is_empty() { format!("Melter {}", melter.id) } else { melter.name.clone() }
}

fn joint_line(joint: &DayJoint) -> JointLine {
    let DayJoint { laid, next, length, bad } = *joint;
    let tenth = |mm: Mm| format!("{} m", measure::decimal((mm + 50) / 100, 1));
    let worse = if bad > 0 { format!(", {} of it in a bad place", tenth(bad)) } else { String::new() };
    JointLine { laid, next, words: format!("{}{worse}", tenth(length)), bad: bad > 0 }
}

#[cfg(test)]
mod tests {
    //! A day made by hand, and every day of a roof that is laid.
    use super::*;
    use baylap_core::plan::Date;

    fn made() -> (Plan, Layout) {
        let turn = Turn { bay: 1, gang: 1, from: 60, to: 205 };
        let materials = Materials {
            membrane_kg: 310,
            blocks: 13,
            rolls_up: vec![3, 1, 2, 7],
            gas: 147,
            bar: 4_210,
            ..Materials::default()
        };
        let melter = MelterDay { melter: 0, drawn: 400, melted: 350, short_at: Some(185), level: Vec::new() };
        let joint = DayJoint { laid: 1, next: 2, length: 4_350, bad: 1_200 };
        let day = Day {
            number: 1,
            date: Date::new(2026, 12, 2),
            turns: vec![turn],
            joints: vec![joint],
            melters: vec![melter],
            materials,
            ..Day::default()
        };
        let days = Days { days: vec![day], ..Days::default() };
        (Plan::default(), Layout { days: Some(days), ..Layout::default() })
    }

    #[test]
    fn times_count_from_the_start_of_work_and_by_the_clock_where_it_is_given() {
        let (mut plan, layout) = made();
        let before = details(&plan, &layout, 1).expect("a day");
        assert_eq!(
            (before.name.as_str(), before.turns[0].times.as_str()),
            ("Day 1, Wed 2026-12-02", "1:00 to 3:25")
        );
        assert_eq!(before.turns[0].clock, None, "no clock where nobody said when work begins");
        assert_eq!(before.melters[0].short.as_deref(), Some("Runs short 3:05 h after the start of work."));
        plan.programme.rates.day_start = Some(7 * 60 + 30);
        let after = details(&plan, &layout, 1).expect("a day");
        assert_eq!(after.turns[0].clock.as_deref(), Some("08:30 to 10:55"));
        assert_eq!(
            after.melters[0].short.as_deref(),
            Some("Runs short 3:05 h after the start of work (10:35).")
        );
        assert!(details(&plan, &layout, 2).is_none());
    }

    #[test]
    fn what_a_day_takes_is_listed_and_what_it_does_not_take_is_left_out() {
        let (plan, layout) = made();
        let day = details(&plan, &layout, 1).expect("a day");
        let said: Vec<String> = day.materials.iter().map(|(name, what)| format!("{name} {what}")).collect();
        assert_eq!(
            said,
            [
                "Membrane, field 310 kg",
                "Blocks to melt 13",
                "Rolls to carry up 4: 1 to 3, 7",
                "Termination bar 4.3 m",
                "Gas 1.47 kg"
            ]
        );
        assert_eq!(day.joints[0].words, "4.4 m, 1.2 m of it in a bad place");
    }

    #[test]
    fn numbers_are_drawn_together() {
        assert_eq!(numbered(&[9, 1, 4, 5, 6, 7]), "1, 4 to 7, 9");
        assert_eq!(numbered(&[2, 1]), "1, 2");
        assert_eq!(numbered(&[]), "");
    }
}
