//! The days as a strip: a row for each gang, a column for each day and for what lies between, a block for each bay.
//!
//! In: a plan and its layout with days. Out: rows and columns with what stands in them, in minutes; the shell makes pixels
//! of it. Days that are not worked between two that are stand where they lie, lost ones and holidays by their date. It puts
//! nothing in order and knows no screen.

use crate::day;
use crate::measure;
use crate::tie;
use baylap_core::calendar::Dates;
use baylap_core::layout::Days;
use baylap_core::layout::days::{Day, Turn};
use baylap_core::plan::{Calendar, Date};
use baylap_core::{About, Layout, Plan, Severity, rates};
use std::collections::BTreeSet;

/// Dates looked through between two days at most: longer gaps are shown by their ends.
const LONGEST_GAP: i32 = 400;

/// The strip.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Strip {
    /// What to call each gang, first to last.
    pub gangs: Vec<String>,
    /// Days and what lies between them, in the order of time.
    pub columns: Vec<Column>,
    /// Minutes of a working day.
    pub minutes: u32,
    /// Minutes of a short bay: a quarter of the bays take less.
    pub short: u32,
}

/// One column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Column {
    /// A day that is worked.
    Day(DayColumn),
    /// A date that was lost.
    Lost(Date),
    /// A holiday on a day of the week that is worked.
    Holiday(Date),
    /// Dates between two days that no week works: the first and how many.
    Off(Date, u32),
    /// Days allowed for weather behind the last one, and the date they end on.
    Weather(u32, Option<Date>),
}

/// A day that is worked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DayColumn {
    /// Its number.
    pub number: u32,
    /// Its date, with its day of the week: "Wed 2026-12-02"; empty where there is no first date.
    pub date: String,
    /// Its bays, in the order they are begun.
    pub blocks: Vec<Block>,
}

/// One bay.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Block {
    /// Number of the bay.
    pub bay: u32,
    /// Number of its gang, from 1.
    pub gang: u32,
    /// Begun, minutes from the start of work.
    pub from: u32,
    /// Done.
    pub to: u32,
    /// Whether it is tied.
    pub tied: bool,
    /// Whether an error of the layout is about it.
    pub wrong: bool,
    /// All of it in words, for who cannot see where it stands.
    pub words: String,
}

/// The strip of a layout; nothing while its order is being looked for.
pub fn strip(plan: &Plan, layout: &Layout) -> Option<Strip> {
    let days = layout.days.as_ref()?;
    let turns = days.days.iter().flat_map(|d| &d.turns);
    let mut minutes: Vec<u32> = turns.map(|t| t.to.saturating_sub(t.from)).collect();
    minutes.sort_unstable();
    let gangs = u32::try_from(days.gangs.len()).unwrap_or(1).max(1);
    Some(Strip {
        gangs: (1..=gangs).map(|n| day::gang_name(days, n)).collect(),
        columns: columns(plan, layout, days),
        minutes: rates::resolve(plan).day_minutes.max(1),
        short: minutes.get(minutes.len() / 4).map_or(1, |m| (*m).max(1)),
    })
}

fn columns(plan: &Plan, layout: &Layout, days: &Days) -> Vec<Column> {
    let calendar = &plan.programme.calendar;
    let wrong = wrong(layout);
    let mut out = Vec::new();
    let mut next = calendar.start;
    for day in &days.days {
        if let (Some(from), Some(date)) = (next, day.date) {
            between(calendar, from, date, &mut out);
        }
        next = day.date.map(|date| date.plus(1));
        let blocks = day.turns.iter().map(|turn| block(plan, layout, (days, day), turn, &wrong)).collect();
        let date = day.date.map_or_else(String::new, |d| format!("{} {d}", measure::weekday(d)));
        out.push(Column::Day(DayColumn { number: day.number, date, blocks }));
    }
    let allowed = Dates::of(calendar).allowed(u32::try_from(days.days.len()).unwrap_or(0));
    if allowed > 0 && !days.days.is_empty() {
        out.push(Column::Weather(allowed, days.finish));
    }
    out
}

/// What is not worked from a date to another, that one left out.
fn between(calendar: &Calendar, from: Date, to: Date, out: &mut Vec<Column>) {
    if to.days_since(from) > LONGEST_GAP {
        let days = u32::try_from(to.days_since(from)).unwrap_or(0);
        return out.push(Column::Off(from, days));
    }
    let mut date = from;
    while date < to {
        if calendar.lost.contains(&date) {
            out.push(Column::Lost(date));
        } else if calendar.week[date.weekday() % 7] {
            out.push(Column::Holiday(date));
        } else if let Some(Column::Off(_, count)) = out.last_mut() {
            *count += 1;
        } else {
            out.push(Column::Off(date, 1));
        }
        date = date.plus(1);
    }
}

/// Bays that an error of the layout is about.
fn wrong(layout: &Layout) -> BTreeSet<u32> {
    let errors = layout.findings.iter().filter(|f| f.severity == Severity::Error);
    errors.filter_map(|f| if let About::Bay(n) = f.about { Some(n) } else { None }).collect()
}

fn block(plan: &Plan, layout: &Layout, of: (&Days, &Day), turn: &Turn, wrong: &BTreeSet<u32>) -> Block {
    let (days, day) = of;
    let tie = tie::of_bay(plan, layout, turn.bay).map(|t| tie::words(plan, t));
    let wrong = wrong.contains(&turn.bay);
    let mut words = format!("Bay {}, {}", turn.bay, tie::day_name(day));
    if days.gangs.len() > 1 {
        words.push_str(&format!(", {}", day::gang_name(days, turn.gang)));
    }
    words.push_str(&match day::clock(plan, turn) {
        Some(clock) => format!(", {clock}"),
        None => format!(", {} h from the start of work", day::times(turn)),
    });
    words.extend(tie.iter().map(|tie| format!(". {tie}")));
    if wrong {
        words.push_str(". Breaks a law: see the findings");
    }
    Block { bay: turn.bay, gang: turn.gang, from: turn.from, to: turn.to, tied: tie.is_some(), wrong, words }
}

/// Where the blocks of one gang on one day stand, left and width in pixels at so many a minute: none is narrower than
/// `least`, and where that pushes one it moves on, so that no two overlap and none stands before its time.
pub fn placed(blocks: &[Block], gang: u32, scale: f64, least: f64) -> Vec<(&Block, [f64; 2])> {
    let (mut free, mut row) = (0.0_f64, Vec::new());
    for block in blocks.iter().filter(|b| b.gang == gang) {
        let left = (f64::from(block.from) * scale).max(free);
        // A hair less than its time, so that neighbours do not share an edge.
        let width = (f64::from(block.to.saturating_sub(block.from)) * scale - 1.0).max(least);
        free = left + width + 1.0;
        row.push((block, [left, width]));
    }
    row
}

/// The block that a key goes to from a bay: in time along its own gang, across gangs to the nearest beginning, by days.
pub fn go(strip: &Strip, from: u32, key: Go) -> Option<u32> {
    let all: Vec<(u32, &Block)> = strip
        .columns
        .iter()
        .filter_map(|c| if let Column::Day(day) = c { Some(day) } else { None })
        .flat_map(|day| day.blocks.iter().map(move |block| (day.number, block)))
        .collect();
    let Some(&(day, here)) = all.iter().find(|(_, b)| b.bay == from) else {
        return all.first().map(|(_, b)| b.bay);
    };
    let at = (day, here.from, here.bay);
    let time = |(day, b): &(u32, &Block)| (*day, b.from, b.bay);
    let own = || all.iter().filter(|(_, b)| b.gang == here.gang);
    let other = |gang: u32| {
        let theirs = all.iter().filter(move |(_, b)| b.gang == gang);
        theirs.min_by_key(|(d, b)| (d.abs_diff(day), b.from.abs_diff(here.from), b.bay))
    };
    let found = match key {
        Go::Later => own().filter(|b| time(b) > at).min_by_key(|b| time(b)),
        Go::Earlier => own().filter(|b| time(b) < at).max_by_key(|b| time(b)),
        Go::Down => (here.gang + 1..=u32::try_from(strip.gangs.len()).unwrap_or(1)).find_map(other),
        Go::Up => (1..here.gang).rev().find_map(other),
        Go::NextDay => all.iter().filter(|(d, _)| *d > day).min_by_key(|b| time(b)),
        Go::DayBefore => {
            let last = all.iter().map(|(d, _)| *d).filter(|d| *d < day).max();
            all.iter().filter(|(d, _)| Some(*d) == last).min_by_key(|b| time(b))
        }
        Go::First => all.iter().min_by_key(|b| time(b)),
        Go::Last => all.iter().max_by_key(|b| time(b)),
    };
    found.map(|(_, b)| b.bay)
}

/// Where a key goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Go {
    /// The next bay of the same gang.
    Later,
    /// The bay before, of the same gang.
    Earlier,
    /// The gang below, at about the same time.
    Down,
    /// The gang above.
    Up,
    /// The first bay of the next day.
    NextDay,
    /// The first bay of the day before.
    DayBefore,
    /// The first bay of the job.
    First,
    /// The last one.
    Last,
}

#[cfg(test)]
mod tests {
    //! A strip about Christmas 2026, made by hand (25 December 2026 is a Friday: 31 December is a Thursday, ISO 8601).
    use super::*;
    use baylap_core::Finding;
    use baylap_core::geom::Pt;
    use baylap_core::layout::Bay;
    use baylap_core::layout::days::GangOut;
    use baylap_core::plan::Tie;

    fn date(text: &str) -> Date {
        text.parse().expect("a date")
    }

    fn made() -> (Plan, Layout) {
        let mut plan = Plan::default();
        let calendar = &mut plan.programme.calendar;
        calendar.start = Some(date("2026-12-23"));
        calendar.holidays = vec![date("2026-12-25")];
        calendar.lost = vec![date("2026-12-23"), date("2026-12-28")];
        calendar.weather = 10;
        let square = |n: i64| {
            let x = n * 1_000;
            let ring = [[x, 0], [x + 900, 0], [x + 900, 900], [x, 900]];
            vec![ring.into_iter().map(Pt::from).collect::<Vec<Pt>>()]
        };
        let bay = |n: u32| Bay {
            number: n,
            area: vec![square(n.into())],
            label: Pt::new(i64::from(n) * 1_000 + 450, 450),
            ..Bay::default()
        };
        plan.programme.ties = vec![Tie { id: 9, at: Pt::new(2_450, 450), day: Some(1), ..Tie::default() }];
        let turn = |bay, gang, from, to| Turn { bay, gang, from, to };
        let day = |number, at: &str, turns| Day { number, date: Some(date(at)), turns, ..Day::default() };
        let days = vec![
            day(1, "2026-12-24", vec![turn(1, 1, 60, 200), turn(2, 2, 60, 300), turn(3, 1, 200, 290)]),
            day(2, "2026-12-29", vec![turn(4, 2, 60, 700)]),
        ];
        let gangs = vec![GangOut::default(), GangOut { name: "West".into(), ..GangOut::default() }];
        let finish = Some(date("2026-12-30"));
        let days = Days { days, gangs, finish, ..Days::default() };
        let findings = vec![Finding::error("tie-day", About::Bay(4), "It breaks.", "Mend it.")];
        (plan, Layout { bays: (1..=4).map(bay).collect(), days: Some(days), findings, ..Layout::default() })
    }

    #[test]
    fn what_is_not_worked_stands_between_the_days() {
        let (plan, layout) = made();
        let strip = strip(&plan, &layout).expect("days");
        let said: Vec<String> = strip
            .columns
            .iter()
            .map(|c| match c {
                Column::Day(day) => format!("day {} {}", day.number, day.date),
                Column::Lost(date) => format!("lost {date}"),
                Column::Holiday(date) => format!("holiday {date}"),
                Column::Off(date, n) => format!("off {date} {n}"),
                Column::Weather(n, to) => format!("weather {n} {}", to.expect("a date")),
            })
            .collect();
        assert_eq!(
            said,
            [
                "lost 2026-12-23",
                "day 1 Thu 2026-12-24",
                "holiday 2026-12-25",
                "off 2026-12-26 2",
                "lost 2026-12-28",
                "day 2 Tue 2026-12-29",
                "weather 1 2026-12-30"
            ]
        );
        assert_eq!((strip.minutes, strip.short), (480, 140), "the second of 90, 140, 240, 640");
        assert_eq!(strip.gangs, ["Gang 1", "Gang 2, West"]);
    }

    #[test]
    fn a_block_says_all_of_it_in_words() {
        let (mut plan, layout) = made();
        let block = |plan: &Plan, day: usize, n: usize| {
            let days: Vec<DayColumn> = strip(plan, &layout)
                .expect("days")
                .columns
                .into_iter()
                .filter_map(|c| if let Column::Day(day) = c { Some(day) } else { None })
                .collect();
            days[day].blocks[n].clone()
        };
        let tied = block(&plan, 0, 1);
        assert!(tied.tied && !tied.wrong);
        assert_eq!(
            tied.words,
            "Bay 2, Day 1, Thu 2026-12-24, Gang 2, West, 1:00 to 5:00 h from the start of work. Tied to day 1"
        );
        plan.programme.rates.day_start = Some(420);
        let wrong = block(&plan, 1, 0);
        assert!(wrong.wrong && wrong.words.contains("08:00 to 18:40. Breaks a law"), "{}", wrong.words);
    }

    #[test]
    fn blocks_neither_overlap_nor_shrink_nor_come_too_soon() {
        let (plan, layout) = made();
        let strip = strip(&plan, &layout).expect("days");
        let Some(Column::Day(day)) = strip.columns.get(1) else { panic!("the first day") };
        for (scale, least) in [(0.05, 24.0), (0.3, 24.0), (2.0, 24.0)] {
            let row = placed(&day.blocks, 1, scale, least);
            assert_eq!(row.iter().map(|(b, _)| b.bay).collect::<Vec<_>>(), [1, 3]);
            let [[a, wide], [b, _]] = [row[0].1, row[1].1];
            assert!(a + wide < b, "at {scale}");
            for (block, [left, width]) in row {
                assert!(
                    width >= least && left >= f64::from(block.from) * scale,
                    "bay {} at {scale}",
                    block.bay
                );
            }
        }
        let wide = placed(&day.blocks, 1, 2.0, 24.0);
        let [left, width] = wide[1].1;
        assert!(
            (left - 400.0).abs() < 1e-9 && (width - 179.0).abs() < 1e-9,
            "where there is room it stands at its time"
        );
    }

    #[test]
    fn keys_go_from_block_to_block() {
        let (plan, layout) = made();
        let strip = strip(&plan, &layout).expect("days");
        let to = |from, key| go(&strip, from, key);
        assert_eq!((to(1, Go::Later), to(3, Go::Later), to(3, Go::Earlier)), (Some(3), None, Some(1)));
        assert_eq!((to(3, Go::Down), to(2, Go::Up), to(1, Go::Up)), (Some(2), Some(1), None));
        assert_eq!(
            (to(3, Go::NextDay), to(4, Go::DayBefore), to(4, Go::First), to(1, Go::Last)),
            (Some(4), Some(1), Some(1), Some(4))
        );
        assert_eq!(to(99, Go::Later), Some(1), "a bay that is gone begins at the first");
    }
}
