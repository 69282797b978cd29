//! What of a plan can be varied to lay its roof another way, and the ways that come of it.
//!
//! In: a plan and a layout of it. Out: the values of each aspect that make sense ([`Aspects::possible`]), and every
//! combination of some of them. Rates, laps and the drawing are no aspects: they are given, not chosen.

use super::MOST_WAYS;
use crate::layout::Layout;
use crate::plan::{Id, Laying, Plan, StartSide};
use serde::{Deserialize, Serialize};

/// Most directions offered.
const MOST_DIRECTIONS: usize = 4;

/// One way to lay the roof: what it does otherwise than the plan. Absent parts are as in the plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Alternative {
    /// Direction of every zone whose direction is not held, thousandths of a degree anticlockwise from +x.
    pub direction_mdeg: Option<i32>,
    /// Side of the first course, seen along the laying direction, in every zone whose direction is not held.
    pub start: Option<StartSide>,
    /// How runs are made of pieces.
    pub laying: Option<Laying>,
    /// The only kind of roll, from 0.
    pub roll: Option<u32>,
    /// Courses in one bay.
    pub courses_per_bay: Option<u32>,
    /// Id of the only melter.
    pub melter: Option<Id>,
    /// Gangs: the first of the plan's, and more like the last of them where it has fewer.
    pub gangs: Option<u32>,
}

impl Alternative {
    /// Whether it is the plan as it stands.
    pub fn is_none(&self) -> bool {
        *self == Self::default()
    }

    /// Whether it differs from another in gangs and melters only.
    pub(super) fn laid_alike(&self, other: &Self) -> bool {
        let laid = |way: &Self| Self { melter: None, gangs: None, ..*way };
        laid(self) == laid(other)
    }
}

/// Values to be varied, aspect by aspect; an aspect without any is left as it stands.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Aspects {
    /// Directions, thousandths of a degree.
    pub directions: Vec<i32>,
    /// Sides of the first course.
    pub starts: Vec<StartSide>,
    /// Ways to make runs of pieces.
    pub layings: Vec<Laying>,
    /// Kinds of roll, each the only one, from 0.
    pub rolls: Vec<u32>,
    /// Courses in one bay.
    pub courses_per_bay: Vec<u32>,
    /// Ids of melters, each the only one.
    pub melters: Vec<Id>,
    /// Numbers of gangs.
    pub gangs: Vec<u32>,
}

impl Aspects {
    /// All values that make sense for a plan. An aspect with one value only has nothing to choose and is empty.
    pub fn possible(plan: &Plan, layout: &Layout) -> Self {
        let usual = plan.gang.courses_per_bay.max(1);
        let gangs = u32::try_from(plan.programme.gangs.len()).unwrap_or(u32::MAX).max(1);
        let courses = [usual.saturating_sub(1), usual, usual.saturating_add(1)];
        let kinds = u32::try_from(plan.products.rolls.len()).unwrap_or(u32::MAX);
        Self {
            directions: several(directions(layout)),
            starts: vec![StartSide::Right, StartSide::Left],
            layings: vec![Laying::Cut, Laying::RunOn, Laying::Mixed],
            rolls: several((0..kinds).collect()),
            courses_per_bay: courses.into_iter().filter(|n| *n > 0).collect(),
            melters: several(plan.melters.iter().map(|m| m.id).collect()),
            gangs: (1..=gangs.clamp(2, 4)).collect(),
        }
    }

    /// Those to begin with: directions, cut or run on, and what the plan itself lets choose.
    pub fn usual(plan: &Plan, layout: &Layout) -> Self {
        let mut some = Self::possible(plan, layout);
        some.directions.truncate(2);
        some.starts.clear();
        some.layings = vec![Laying::Cut, Laying::RunOn];
        some.courses_per_bay.clear();
        some.rolls.truncate(2);
        some.melters.truncate(2);
        if plan.programme.gangs.len() < 2 {
            some.gangs.clear();
        } else {
            some.gangs.truncate(2);
        }
        some
    }

    /// How many ways come of it; 0 when nothing is varied.
    pub fn count(&self) -> usize {
        let sizes = [
            self.directions.len(),
            self.starts.len(),
            self.layings.len(),
            self.rolls.len(),
            self.courses_per_bay.len(),
            self.melters.len(),
            self.gangs.len(),
        ];
        let some: Vec<usize> = sizes.into_iter().filter(|n| *n > 0).collect();
        if some.is_empty() { 0 } else { some.into_iter().fold(1, usize::saturating_mul) }
    }

    /// Every combination, the last aspects changing first; no more than [`MOST_WAYS`].
    pub fn ways(&self) -> Vec<Alternative> {
        let mut ways = vec![Alternative::default()];
        cross(&mut ways, &self.directions, |way, v| way.direction_mdeg = Some(v));
        cross(&mut ways, &self.starts, |way, v| way.start = Some(v));
        cross(&mut ways, &self.layings, |way, v| way.laying = Some(v));
        cross(&mut ways, &self.rolls, |way, v| way.roll = Some(v));
        cross(&mut ways, &self.courses_per_bay, |way, v| way.courses_per_bay = Some(v));
        cross(&mut ways, &self.melters, |way, v| way.melter = Some(v));
        cross(&mut ways, &self.gangs, |way, v| way.gangs = Some(v));
        ways.retain(|way| !way.is_none());
        ways
    }
}

/// Each way with each value, where there are values; no more than [`MOST_WAYS`].
fn cross<T: Copy>(ways: &mut Vec<Alternative>, values: &[T], set: impl Fn(&mut Alternative, T)) {
    if values.is_empty() {
        return;
    }
    let with = |way: &Alternative, value: &T| {
        let mut way = *way;
        set(&mut way, *value);
        way
    };
    let all = ways.iter().flat_map(|way| values.iter().map(|value| with(way, value)).collect::<Vec<_>>());
    *ways = all.take(MOST_WAYS).collect();
}

/// Values, or none where there is only one.
fn several<T>(values: Vec<T>) -> Vec<T> {
    if values.len() > 1 { values } else { Vec::new() }
}

/// Directions that were tried for the zones, those of least cut length in the largest zone first.
fn directions(layout: &Layout) -> Vec<i32> {
    let length = |zone: u32| -> i64 {
        let own = layout.pieces.iter().filter(|p| p.zone == zone);
        own.map(|p| p.length).sum()
    };
    let mut zones: Vec<_> = layout.choices.iter().filter(|c| c.ways.len() > 1).collect();
    zones.sort_by_key(|c| (std::cmp::Reverse(length(c.zone)), c.zone));
    let mut found: Vec<i32> = Vec::new();
    for choice in zones {
        let mut ways: Vec<_> = choice.ways.iter().collect();
        ways.sort_by_key(|w| (w.cut_length * w.width, w.direction_mdeg));
        for way in ways {
            let near = |other: &i32| {
                let turn = (way.direction_mdeg - other).rem_euclid(180_000);
                turn.min(180_000 - turn) < NEARLY_ONE
            };
            if found.len() < MOST_DIRECTIONS && !found.iter().any(near) {
                found.push(way.direction_mdeg);
            }
        }
    }
    found
}

/// Directions nearer to each other than this are one to whoever chooses, thousandths of a degree.
const NEARLY_ONE: i32 = 5000;
