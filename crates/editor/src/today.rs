//! Today's work: which bays a day has, and what one bay needs.
//!
//! In: a plan and its layout. Out: days with their bays, as the programme has them or all bays as one day where there is no
//! programme; for a bay its courses, the rolls to carry up, the cuts roll by roll, and its details where they are worked
//! out; where a place lies by the sheets' own chainages. It decides nothing and knows no clock.

use crate::measure;
use baylap_core::geom::ring::{Side, locate_in};
use baylap_core::geom::{Pt, Region};
use baylap_core::layout::days::{BayWork, UpstandWork};
use baylap_core::layout::{Bay, Layout, Piece, Zone};
use baylap_core::plan::{Date, Mm};
use baylap_core::{Plan, layout};
use baylap_sheets::place::in_frame;
use baylap_sheets::reference::References;

/// A day to choose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DayChoice {
    /// Number of the day; nothing for all bays of a job without a programme.
    pub number: Option<u32>,
    /// Its date, where the programme has a first one.
    pub date: Option<Date>,
    /// Its bays, in the order they are poured.
    pub bays: Vec<u32>,
}

impl DayChoice {
    /// Its name: "Day 3, 2026-12-02", or "All bays".
    pub fn name(&self) -> String {
        match (self.number, self.date) {
            (Some(number), Some(date)) => format!("Day {number}, {date}"),
            (Some(number), None) => format!("Day {number}"),
            (None, _) => "All bays".to_owned(),
        }
    }
}

/// The days of a layout. All bays stand last, so that any bay can be got at on any day.
pub fn days(layout: &Layout) -> Vec<DayChoice> {
    let of_programme = layout.days.iter().flat_map(|d| &d.days).map(|day| DayChoice {
        number: Some(day.number),
        date: day.date,
        bays: day.turns.iter().map(|turn| turn.bay).collect(),
    });
    let all =
        DayChoice { number: None, date: None, bays: layout.bays.iter().map(|bay| bay.number).collect() };
    of_programme.chain([all]).collect()
}

/// Which of the days a date is: its own day; else the first day with a bay that is not done; else the last, all bays.
pub fn day_of(days: &[DayChoice], date: Option<Date>, is_done: impl Fn(u32) -> bool) -> usize {
    let own = days.iter().position(|d| d.date.is_some() && d.date == date);
    let open = || days.iter().position(|d| d.number.is_some() && !d.bays.iter().all(|b| is_done(*b)));
    own.or_else(open).unwrap_or_else(|| days.len().saturating_sub(1))
}

/// What one bay needs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BayNeeds {
    /// Number of the bay.
    pub bay: u32,
    /// Its zone.
    pub zone: u32,
    /// Area, mm2.
    pub size: i64,
    /// Length along the courses.
    pub length: Mm,
    /// First and last course.
    pub courses: [u32; 2],
    /// Rolls first opened here: to be carried up.
    pub rolls_up: Vec<u32>,
    /// Rolls opened before.
    pub rolls_open: Vec<u32>,
    /// The cuts, roll by roll.
    pub cuts: Vec<RollCuts>,
    /// Details, in words: upstands, joints, penetrations, outlets. Empty where they are not worked out.
    pub details: Vec<String>,
    /// Membrane of the field, litres cold; nothing where it is not worked out.
    pub litres: Option<i64>,
}

/// What is cut from one roll for one bay.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RollCuts {
    /// Number of the roll.
    pub roll: u32,
    /// The cuts, from its free end.
    pub cuts: Vec<PieceCut>,
}

/// One cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PieceCut {
    /// Number of the piece.
    pub piece: u32,
    /// Its course.
    pub course: u32,
    /// Cut length.
    pub length: Mm,
    /// Cut width.
    pub width: Mm,
}

/// What a bay needs; nothing when there is no such bay.
pub fn needs(layout: &Layout, number: u32) -> Option<BayNeeds> {
    let bay = layout.bays.iter().find(|b| b.number == number)?;
    let own: Vec<&Piece> = layout.pieces.iter().filter(|p| p.bay == number).collect();
    let mut rolls: Vec<u32> = own.iter().map(|p| p.roll).filter(|roll| *roll > 0).collect();
    rolls.sort_unstable();
    rolls.dedup();
    // Bays are numbered in the order they are poured.
    let opened_before = |roll: &u32| layout.pieces.iter().any(|p| p.roll == *roll && p.bay < number);
    let cuts = rolls.iter().map(|&roll| cuts_of(roll, &own)).collect();
    let (rolls_open, rolls_up) = rolls.iter().partition(|roll| opened_before(roll));
    let work = layout.days.iter().flat_map(|d| &d.bays).find(|w| w.bay == number);
    Some(BayNeeds {
        bay: number,
        zone: bay.zone,
        size: bay.size,
        length: bay.length,
        courses: bay.courses,
        rolls_up,
        rolls_open,
        cuts,
        details: work.map(details).unwrap_or_default(),
        litres: work.map(|w| (w.millilitres + 999) / 1000).filter(|litres| *litres > 0),
    })
}

fn cuts_of(roll: u32, own: &[&Piece]) -> RollCuts {
    let mut pieces: Vec<&&Piece> = own.iter().filter(|p| p.roll == roll).collect();
    pieces.sort_by_key(|p| (p.roll_from, p.roll_across));
    let cut = |p: &&&Piece| PieceCut {
        piece: p.number,
        course: p.course,
        length: p.length,
        width: p.across[1] - p.across[0],
    };
    RollCuts { roll, cuts: pieces.iter().map(cut).collect() }
}

fn details(work: &BayWork) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let upstand = |u: &UpstandWork| {
        format!("Upstand {} high: {}", measure::millimetres(u.height), measure::metres(u.length))
    };
    out.extend(work.upstands.iter().map(upstand));
    let length = |name: &str, mm: Mm| (mm > 0).then(|| format!("{name}: {}", measure::metres(mm)));
    let count = |name: &str, n: usize| (n > 0).then(|| format!("{name}: {n}"));
    out.extend(length("Free edges", work.free_edges));
    out.extend(length("Movement joints", work.joints));
    out.extend(count("Corners of upstands", (work.inside_corners + work.outside_corners) as usize));
    out.extend(count("Penetrations", work.penetrations.len()));
    out.extend(count("Pitch pockets", work.pockets.len()));
    out.extend(count("Outlets", work.outlets.len()));
    out
}

/// Where a place lies, as the sheets say it: its course, chainage and offset; its coordinates off the reinforcement.
pub fn whereabouts(plan: &Plan, layout: &Layout, at: Pt) -> String {
    let holds = |regions: &[Region]| regions.iter().any(|r| locate_in(at, r) != Side::Outside);
    let piece = layout.pieces.iter().find(|p| holds(&p.as_laid));
    let zone = |number: u32| layout.zones.iter().find(|z| z.number == number);
    match piece.and_then(|p| zone(p.zone).map(|z| (p, z))) {
        Some((piece, zone)) => {
            let [chainage, offset] = running(plan, layout, zone, at);
            format!("course {}, chainage {chainage}, offset {offset}", piece.course)
        }
        None => format!("x {}, y {}", measure::metres(at.x), measure::metres(at.y)),
    }
}

#[allow(clippy::cast_possible_truncation)] // places on a plan are far within the range
fn running(plan: &Plan, layout: &Layout, zone: &Zone, at: Pt) -> [String; 2] {
    let [u, v] = in_frame(&zone.frame, at).map(|c| libm::round(c) as Mm);
    let from = References::new(plan, layout).of(zone.number);
    [from.chainage(u), from.offset(v)].map(measure::metres)
}

/// A place in a bay to enter a record of the whole bay at.
pub fn place_of(layout: &Layout, number: u32) -> Option<Pt> {
    let bay: Option<&layout::Bay> = layout.bays.iter().find(|b: &&Bay| b.number == number);
    bay.map(|b| b.label)
}

#[cfg(test)]
mod tests {
    //! Days and needs of a small layout made by hand.
    use super::*;
    use baylap_core::layout::Days;
    use baylap_core::layout::days::{Day, Turn};

    fn piece(number: u32, bay: u32, roll: u32, roll_from: Mm) -> Piece {
        Piece {
            number,
            bay,
            roll,
            roll_from,
            course: number,
            length: 4000,
            across: [0, 1000],
            zone: 1,
            ..Piece::default()
        }
    }

    fn laid() -> Layout {
        let bay = |number| Bay { number, zone: 1, size: 12_000_000, courses: [1, 3], ..Bay::default() };
        Layout {
            bays: [1, 2, 3].map(bay).to_vec(),
            pieces: vec![piece(1, 1, 1, 4000), piece(2, 1, 1, 0), piece(3, 2, 1, 8000), piece(4, 2, 2, 0)],
            ..Layout::default()
        }
    }

    #[test]
    fn rolls_are_carried_up_to_the_bay_that_opens_them() {
        let first = needs(&laid(), 1).expect("a bay");
        assert_eq!((first.rolls_up, first.rolls_open), (vec![1], vec![]));
        let order: Vec<u32> = first.cuts[0].cuts.iter().map(|c| c.piece).collect();
        assert_eq!(order, [2, 1], "from the free end of the roll");
        let second = needs(&laid(), 2).expect("a bay");
        assert_eq!((second.rolls_up, second.rolls_open), (vec![2], vec![1]));
        assert!(needs(&laid(), 9).is_none());
    }

    #[test]
    fn the_day_is_that_of_the_date_or_the_first_that_is_not_done() {
        let mut layout = laid();
        assert_eq!(days(&layout).iter().map(DayChoice::name).collect::<Vec<_>>(), ["All bays"]);
        let turn = |bay| Turn { bay, ..Turn::default() };
        let day = |number, day, bays: &[u32]| Day {
            number,
            date: Date::new(2026, 12, day),
            turns: bays.iter().map(|b| turn(*b)).collect(),
            ..Day::default()
        };
        layout.days = Some(Days { days: vec![day(1, 1, &[1]), day(2, 2, &[2, 3])], ..Days::default() });
        let list = days(&layout);
        assert_eq!(list[1].name(), "Day 2, 2026-12-02");
        assert_eq!(list[2].bays, [1, 2, 3]);
        assert_eq!(day_of(&list, Date::new(2026, 12, 2), |_| false), 1);
        assert_eq!(day_of(&list, Date::new(2026, 1, 2), |_| false), 0);
        assert_eq!(day_of(&list, None, |bay| bay == 1), 1);
        assert_eq!(day_of(&list, None, |_| true), 2);
    }
}
