//! Playing a job day by day: which bays are laid, being laid and to come at one moment of its programme.
//!
//! In: the days of a layout and a moment: a day as a whole, or the beginning of one bay on it. Out: how far each bay is, in
//! words as well, and the moment before and after. Minutes decide, so that gangs that work side by side are shown as they
//! stand. It knows no clock: the shell says when to step on.

use crate::measure;
use baylap_core::days::{WayOff, way_off};
use baylap_core::layout::Days;
use baylap_core::layout::days::{Day, Turn};
use baylap_core::{Layout, Plan};

/// A moment of the programme.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Moment {
    /// Number of the day, from 1.
    pub day: u32,
    /// Which bay of the day has just been begun, from 1; none for the day as a whole.
    pub turn: Option<u32>,
}

/// How the job is stepped through.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Pace {
    /// A day at a time.
    #[default]
    Day,
    /// A bay at a time.
    Bay,
}

/// How far a bay is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BayState {
    /// Laid on an earlier day.
    Before,
    /// Laid earlier on this day.
    Done,
    /// Being laid; of a day as a whole: laid on this day.
    Now,
    /// Still to be laid on this day.
    Later,
    /// Laid on a later day.
    ToCome,
}

impl BayState {
    /// All of them, in the order of time.
    pub const ALL: [BayState; 5] =
        [BayState::Before, BayState::Done, BayState::Now, BayState::Later, BayState::ToCome];

    /// What it says on the screen, of a day as a whole or of one moment of it.
    pub const fn words(self, whole_day: bool) -> &'static str {
        match self {
            BayState::Before => "Laid before",
            BayState::Done => "Laid today",
            BayState::Now if whole_day => "Laid this day",
            BayState::Now => "Being laid",
            BayState::Later => "Later today",
            BayState::ToCome => "To come",
        }
    }

    /// Its short name in the style sheet.
    pub const fn slug(self) -> &'static str {
        match self {
            BayState::Before => "before",
            BayState::Done => "done",
            BayState::Now => "now",
            BayState::Later => "later",
            BayState::ToCome => "to-come",
        }
    }
}

/// Every moment of the programme at a pace, first to last.
pub fn moments(days: &Days, pace: Pace) -> Vec<Moment> {
    let of_day = |day: &Day| -> Vec<Moment> {
        let number = day.number;
        let count = u32::try_from(day.turns.len()).unwrap_or(0);
        match pace {
            Pace::Day => vec![Moment { day: number, turn: None }],
            Pace::Bay => (1..=count).map(|turn| Moment { day: number, turn: Some(turn) }).collect(),
        }
    };
    days.days.iter().flat_map(of_day).collect()
}

/// The place of a moment in a list of moments: its own, or the first of its day.
pub fn place(list: &[Moment], at: Moment) -> usize {
    let own = list.iter().position(|m| *m == at);
    own.or_else(|| list.iter().position(|m| m.day == at.day)).unwrap_or(0)
}

/// The moment after or before another; the first one where there is none yet. Nothing beyond the ends.
pub fn step(days: &Days, pace: Pace, at: Option<Moment>, forward: bool) -> Option<Moment> {
    let list = moments(days, pace);
    let Some(at) = at else { return list.first().copied() };
    let here = place(&list, at);
    // From a day as a whole the first step on by bays is to its first bay.
    let into_day = pace == Pace::Bay && at.turn.is_none();
    let next = match (forward, into_day) {
        (true, true) => Some(here),
        (true, false) => here.checked_add(1),
        (false, _) => here.checked_sub(1),
    };
    next.and_then(|n| list.get(n)).copied()
}

/// The nearest moment that these days have; nothing where there are no days.
pub fn nearest(days: &Days, at: Moment) -> Option<Moment> {
    let day = days.days.iter().find(|d| d.number == at.day).or(days.days.last())?;
    let count = u32::try_from(day.turns.len()).unwrap_or(0);
    let turn =
        at.turn.filter(|_| count > 0).map(|turn| if day.number == at.day { turn.clamp(1, count) } else { 1 });
    Some(Moment { day: day.number, turn })
}

/// How far each bay is at a moment, by the numbers of the bays.
pub fn states(days: &Days, at: Moment) -> Vec<(u32, BayState)> {
    let mut out: Vec<(u32, BayState)> = days
        .days
        .iter()
        .flat_map(|day| day.turns.iter().map(move |turn| (turn.bay, state(day, turn, at))))
        .collect();
    out.sort_unstable();
    out
}

fn state(day: &Day, turn: &Turn, at: Moment) -> BayState {
    match day.number.cmp(&at.day) {
        std::cmp::Ordering::Less => return BayState::Before,
        std::cmp::Ordering::Greater => return BayState::ToCome,
        std::cmp::Ordering::Equal => {}
    }
    let Some(begun) = at.turn.and_then(|n| day.turns.get((n as usize).checked_sub(1)?)) else {
        return BayState::Now;
    };
    // Of bays begun in the same minute those named first are begun first: only the one asked for is certain to be begun.
    if turn.bay == begun.bay {
        BayState::Now
    } else if turn.to <= begun.from {
        BayState::Done
    } else if (turn.from, turn.bay) < (begun.from, begun.bay) {
        BayState::Now
    } else {
        BayState::Later
    }
}

/// How people leave at a moment: each bay that is being laid over bays that nobody has begun by the time it is done; of a
/// day as a whole the last bay of each gang. Bays that have no way off are left out: findings tell of them.
pub fn ways_off(plan: &Plan, layout: &Layout, at: Moment) -> Vec<WayOff> {
    let Some(days) = &layout.days else { return Vec::new() };
    let Some(day) = days.days.iter().find(|d| d.number == at.day) else { return Vec::new() };
    let last = |turn: &Turn| day.turns.iter().all(|other| other.gang != turn.gang || other.to <= turn.to);
    let left = |turn: &&Turn| match at.turn {
        None => last(turn),
        Some(_) => state(day, turn, at) == BayState::Now,
    };
    let barred = |turn: &Turn| {
        let others = day.turns.iter().filter(|other| other.bay != turn.bay && other.from < turn.to);
        others.map(|other| other.bay).collect()
    };
    day.turns.iter().filter(left).filter_map(|turn| way_off(plan, layout, turn.bay, &barred(turn))).collect()
}

/// A way off in words: "Way off bay 12: over bays 8, 4".
pub fn way_words(way: &WayOff) -> String {
    match way.over.as_slice() {
        [] => format!("Way off bay {}: straight off the roof", way.bay),
        [one] => format!("Way off bay {}: over bay {one}", way.bay),
        all => {
            let all: Vec<String> = all.iter().map(u32::to_string).collect();
            format!("Way off bay {}: over bays {}", way.bay, all.join(", "))
        }
    }
}

/// A moment in words: "Day 3 of 12, Wed 2026-12-02: bays 7, 8, 9" or "Day 3 of 12: bay 8, begun 2:40 after the start".
pub fn words(days: &Days, at: Moment) -> String {
    let Some(day) = days.days.iter().find(|d| d.number == at.day) else { return String::new() };
    let name = format!("Day {} of {}{}", day.number, days.days.len(), dated(day));
    match at.turn.and_then(|n| day.turns.get((n as usize).checked_sub(1)?)) {
        Some(turn) => {
            format!("{name}: bay {} begun {} h after the start of work", turn.bay, measure::hours(turn.from))
        }
        None => format!("{name}: {}", bays(day)),
    }
}

fn bays(day: &Day) -> String {
    let numbers: Vec<String> = day.turns.iter().map(|t| t.bay.to_string()).collect();
    match numbers.as_slice() {
        [] => "no bay".to_owned(),
        [one] => format!("bay {one}"),
        all => format!("bays {}", all.join(", ")),
    }
}

/// The date behind the number of a day, with its day of the week.
pub(crate) fn dated(day: &Day) -> String {
    day.date.map_or_else(String::new, |date| format!(", {} {date}", measure::weekday(date)))
}

#[cfg(test)]
mod tests {
    //! Two days, two gangs; what is laid when, counted by hand.
    use super::*;
    use baylap_core::plan::Date;

    fn turn(bay: u32, gang: u32, from: u32, to: u32) -> Turn {
        Turn { bay, gang, from, to }
    }

    fn days() -> Days {
        let day = |number: u32, turns: Vec<Turn>| Day {
            number,
            turns,
            date: Date::new(2026, 12, 1),
            ..Day::default()
        };
        let first = day(1, vec![turn(1, 1, 60, 200), turn(2, 2, 60, 300), turn(3, 1, 200, 400)]);
        Days { days: vec![first, day(2, vec![turn(4, 1, 60, 160)])], ..Days::default() }
    }

    fn at(day: u32, turn: u32) -> Moment {
        Moment { day, turn: Some(turn) }
    }

    #[test]
    fn gangs_side_by_side_are_shown_as_they_stand() {
        use BayState::{Before, Done, Later, Now, ToCome};
        let of = |moment| -> Vec<BayState> { states(&days(), moment).into_iter().map(|(_, s)| s).collect() };
        assert_eq!(of(Moment { day: 1, turn: None }), [Now, Now, Now, ToCome]);
        assert_eq!(of(at(1, 1)), [Now, Later, Later, ToCome]);
        assert_eq!(of(at(1, 2)), [Now, Now, Later, ToCome]);
        assert_eq!(of(at(1, 3)), [Done, Now, Now, ToCome], "bay 2 is still being laid when bay 3 is begun");
        assert_eq!(of(at(2, 1)), [Before, Before, Before, Now]);
    }

    #[test]
    fn steps_go_from_end_to_end_and_no_further() {
        let (days, mut at) = (days(), None);
        let mut seen = Vec::new();
        for _ in 0..9 {
            let Some(next) = step(&days, Pace::Bay, at, true) else { break };
            seen.push((next.day, next.turn.unwrap_or(0)));
            at = Some(next);
        }
        assert_eq!(seen, [(1, 1), (1, 2), (1, 3), (2, 1)]);
        assert_eq!(step(&days, Pace::Day, at, false), Some(Moment { day: 1, turn: None }));
        assert_eq!(step(&days, Pace::Day, Some(Moment { day: 1, turn: None }), false), None);
        assert_eq!(step(&Days::default(), Pace::Day, None, true), None);
        let whole = Some(Moment { day: 2, turn: None });
        assert_eq!(step(&days, Pace::Bay, whole, true), Some(self::at(2, 1)), "into the day");
        assert_eq!(step(&days, Pace::Bay, whole, false), Some(self::at(1, 3)));
    }

    #[test]
    fn a_moment_stays_where_other_days_have_it() {
        assert_eq!(nearest(&days(), at(1, 9)), Some(at(1, 3)));
        assert_eq!(nearest(&days(), at(7, 2)), Some(at(2, 1)), "behind the last day: its first bay");
        assert_eq!(nearest(&Days::default(), at(1, 1)), None);
    }

    /// 1 December 2026 is a Tuesday: 31 December 2026 is a Thursday (ISO 8601, as in the tests of dates), thirty days on.
    #[test]
    fn a_moment_is_said_in_words() {
        assert_eq!(words(&days(), Moment { day: 1, turn: None }), "Day 1 of 2, Tue 2026-12-01: bays 1, 2, 3");
        assert_eq!(
            words(&days(), at(1, 3)),
            "Day 1 of 2, Tue 2026-12-01: bay 3 begun 3:20 h after the start of work"
        );
    }
}
