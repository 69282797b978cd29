//! What a way of laying comes to, and which ways no other beats.
//!
//! In: layouts. Out: counts, each the better the less, in the units that a person would plan by; and how each way stands.
//! A way is beaten by another that is no worse on any count and better on one. Differences below a unit do not count:
//! nobody turns a roof round for half a metre of lap.

use crate::finding::{Finding, Severity};
use crate::layout::Layout;
use crate::protection;
use serde::{Deserialize, Serialize};

/// What a way comes to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Counts {
    /// Rolls opened for the field.
    pub rolls: i64,
    /// Area of these rolls beyond the field, m2, rounded.
    pub waste: i64,
    /// Laps: side laps and the width of the roll at each end lap, m, rounded.
    pub laps: i64,
    /// Days.
    pub days: i64,
    /// Days of gangs: one gang for one day is one.
    pub gang_days: i64,
    /// Walked with full buckets, hundreds of m, rounded.
    pub haul: i64,
    /// Findings that are errors or warnings. What the protection sheet leaves bare is not among them: the sheet follows from
    /// the bays, and is not laid for ways that are only compared.
    pub findings: i64,
    /// Cost of the field and of the order of the bays at the plan's prices, hundredths. A sum of the others more or less,
    /// so no way is beaten by it.
    pub cost: i64,
}

/// A count that ways are held against each other by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Count {
    /// [`Counts::rolls`].
    Rolls,
    /// [`Counts::waste`].
    Waste,
    /// [`Counts::laps`].
    Laps,
    /// [`Counts::days`].
    Days,
    /// [`Counts::gang_days`].
    GangDays,
    /// [`Counts::haul`].
    Haul,
    /// [`Counts::findings`].
    Findings,
}

impl Count {
    /// All of them.
    pub const ALL: [Self; 7] =
        [Self::Rolls, Self::Waste, Self::Laps, Self::Days, Self::GangDays, Self::Haul, Self::Findings];
}

/// How a way stands among others.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Standing {
    /// Another way that is no worse on any count and better on one: of several the cheapest, by its place in the list.
    pub beaten_by: Option<usize>,
    /// What that one is better on.
    pub worse_on: Vec<Count>,
    /// What no way is better on, and some way is worse on.
    pub best_on: Vec<Count>,
    /// Whether it costs least of all ways; the first of several.
    pub cheapest: bool,
}

impl Counts {
    /// What a layout comes to.
    pub fn of(layout: &Layout) -> Self {
        let totals = &layout.totals;
        let ends: i64 =
            layout.pieces.iter().filter(|p| p.lap_to > 0).map(|p| p.across[1] - p.across[0]).sum();
        let days = layout.days.as_ref();
        let order_cost = days.map_or(0, |d| d.score.cost);
        Self {
            rolls: i64::from(totals.rolls),
            waste: rounded(totals.roll_area - totals.field_area, 1_000_000),
            laps: rounded(totals.side_lap_length + ends, 1000),
            days: days.map_or(0, |d| i64::from(d.score.days)),
            gang_days: days.map_or(0, |d| d.days.iter().map(|day| gangs_at_work(&day.turns)).sum()),
            haul: rounded(days.map_or(0, |d| d.score.haul), 100_000),
            findings: layout.findings.iter().filter(|f| counted(f)).count() as i64,
            cost: totals.cost.saturating_add(order_cost),
        }
    }

    /// One of them.
    pub fn get(&self, count: Count) -> i64 {
        match count {
            Count::Rolls => self.rolls,
            Count::Waste => self.waste,
            Count::Laps => self.laps,
            Count::Days => self.days,
            Count::GangDays => self.gang_days,
            Count::Haul => self.haul,
            Count::Findings => self.findings,
        }
    }

    /// Whether it is no worse than another on any count, and better on one.
    pub fn beats(&self, other: &Self) -> bool {
        let pairs = || Count::ALL.into_iter().map(|c| (self.get(c), other.get(c)));
        pairs().all(|(own, theirs)| own <= theirs) && pairs().any(|(own, theirs)| own < theirs)
    }
}

fn counted(finding: &Finding) -> bool {
    finding.severity != Severity::Note && finding.code != protection::LEFT_BARE
}

/// How each of some ways stands among them.
pub fn standings(all: &[Counts]) -> Vec<Standing> {
    let cheapest = (0..all.len()).min_by_key(|&n| (all[n].cost, n));
    let of = |n: usize| {
        let own = &all[n];
        let better = (0..all.len()).filter(|&m| all[m].beats(own));
        // The cheapest of those that beat it is itself beaten by none of them that is as cheap or cheaper.
        let beaten_by = better.min_by_key(|&m| (beaten(all, m), all[m].cost, m));
        let worse = |count: &Count| beaten_by.is_some_and(|m| all[m].get(*count) < own.get(*count));
        let best = |count: &Count| {
            let values = all.iter().map(|c| c.get(*count));
            let (least, most) = (values.clone().min(), values.max());
            least != most && least == Some(own.get(*count))
        };
        Standing {
            beaten_by,
            worse_on: Count::ALL.into_iter().filter(worse).collect(),
            best_on: Count::ALL.into_iter().filter(best).collect(),
            cheapest: cheapest == Some(n),
        }
    };
    (0..all.len()).map(of).collect()
}

fn beaten(all: &[Counts], n: usize) -> bool {
    all.iter().any(|other| other.beats(&all[n]))
}

/// Gangs that lay something on a day.
fn gangs_at_work(turns: &[crate::layout::days::Turn]) -> i64 {
    let mut gangs: Vec<u32> = turns.iter().map(|t| t.gang).collect();
    gangs.sort_unstable();
    gangs.dedup();
    gangs.len() as i64
}

/// The nearest number of units.
fn rounded(value: i64, unit: i64) -> i64 {
    (value + unit / 2).div_euclid(unit)
}
