//! Bays, first half: which rows of deck go together, and about where a long stretch of them is split.
//!
//! In: a zone, its courses and the gang. Out: rows (the deck between neighbouring course lines, so that every part of the
//! deck belongs to exactly one), rows grouped by the gang's number of courses with the remainder shared out, and
//! stretches: connected parts of a group, each with the chainages where it is to be split to keep within the pour limit.
//! Splits seek short bay edges (beside openings) and keep out of outlets' clear zones. The exact place of each split,
//! course by course, is found with the end laps in [`crate::endlaps`].

use crate::courses::ZoneCourses;
use crate::geom::Region;
use crate::geom::frame::UM;
use crate::geom::net::{self, Marks, Net, Part};
use crate::geom::sets::Sets;
use crate::plan::{Gang, Mm, Products};
use std::ops::Range;

/// Rows of a zone, grouped and joined into stretches.
#[derive(Clone, Debug)]
pub struct Rows {
    /// The deck of the zone in its frame, noded at the lines between rows.
    pub deck: Net,
    /// Lines that bound the rows, micrometres: row `k` lies between `lines[k]` and `lines[k + 1]`.
    pub lines: Vec<i64>,
    /// Connected parts of each row with the number of the stretch each belongs to.
    pub parts: Vec<Vec<(Part, usize)>>,
    /// The stretches.
    pub stretches: Vec<Stretch>,
}

/// A connected part of a group of rows.
#[derive(Clone, Debug)]
pub struct Stretch {
    /// Its rows.
    pub rows: Range<usize>,
    /// Chainages where it is to be split, in order, mm.
    pub splits: Vec<Mm>,
}

/// An outlet's clear zone in the frame.
#[derive(Clone, Copy, Debug)]
pub struct ClearZone {
    /// Chainage of its middle, micrometres.
    pub u: i64,
    /// Offset of its middle, micrometres.
    pub v: i64,
    /// Radius, micrometres.
    pub radius: i64,
}

/// Beyond every deck, micrometres: the outer bounds of the first and last row.
const FAR: i64 = 1 << 50;

/// Steps in which places for a split are tried, mm.
const STEP: Mm = 250;

/// Groups rows and finds where stretches are to be split.
pub fn group(area: &Region, courses: &ZoneCourses, limits: &Limits, outlets: &[ClearZone]) -> Rows {
    let mut lines = vec![-FAR];
    lines.extend(courses.courses.iter().skip(1).map(|c| c.from * UM));
    lines.push(FAR);
    let mut deck = Net::new(courses.frame, std::slice::from_ref(area));
    deck.node_lines(&lines);
    let parts: Vec<Vec<Part>> = lines.windows(2).map(|w| deck.between(w[0], w[1], &Marks::new())).collect();
    let groups = shared_out(parts.len(), limits.courses);
    let (stretch_of, mut stretches) = join(&parts, &groups, &lines);
    let parts: Vec<Vec<(Part, usize)>> =
        parts.into_iter().zip(stretch_of).map(|(row, of)| row.into_iter().zip(of).collect()).collect();
    for (number, stretch) in stretches.iter_mut().enumerate() {
        let own: Vec<&Part> = stretch
            .rows
            .clone()
            .flat_map(|k| parts[k].iter().filter(|(_, s)| *s == number).map(|(part, _)| part))
            .collect();
        stretch.splits = splits(&own, limits, stretch.rows.len(), outlets);
    }
    Rows { deck, lines, parts, stretches }
}

/// What one bay may be.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Courses in one bay.
    pub courses: usize,
    /// Largest area, mm2.
    pub area: Option<i64>,
    /// Longest, mm.
    pub length: Option<Mm>,
    /// Distance between end laps of neighbouring courses, mm: bay edges step by as much.
    pub stagger: Mm,
    /// Cover width of a course, mm.
    pub pitch: Mm,
}

impl Limits {
    /// The limits of a gang with its products, for rolls of a width.
    pub fn of(gang: &Gang, products: &Products, width: Mm) -> Self {
        Self {
            courses: usize::try_from(gang.courses_per_bay).unwrap_or(usize::MAX).max(1),
            area: gang.bay_area.filter(|a| *a > 0).map(|a| a * 10_000),
            length: gang.bay_length.filter(|l| *l > 0),
            stagger: products.stagger.max(0),
            pitch: (width - products.side_lap).max(1),
        }
    }
}

/// Splits `rows` rows into groups of at most `most`, as even as may be, larger groups first.
pub fn shared_out(rows: usize, most: usize) -> Vec<Range<usize>> {
    let count = rows.div_ceil(most.max(1)).max(1);
    let (each, larger) = (rows / count, rows % count);
    let mut start = 0;
    (0..count)
        .map(|i| {
            let end = start + each + usize::from(i < larger);
            let group = start..end;
            start = end;
            group
        })
        .collect()
}

/// Joins parts of neighbouring rows of one group that touch. Returns the stretch of each part, and the stretches.
fn join(parts: &[Vec<Part>], groups: &[Range<usize>], lines: &[i64]) -> (Vec<Vec<usize>>, Vec<Stretch>) {
    let mut of: Vec<Vec<usize>> = parts.iter().map(|row| vec![usize::MAX; row.len()]).collect();
    let mut stretches = Vec::new();
    for group in groups {
        let mut sets = Sets::new(group.clone().map(|k| parts[k].len()).sum());
        let first: Vec<usize> = group
            .clone()
            .scan(0, |at, k| {
                *at += parts[k].len();
                Some(*at - parts[k].len())
            })
            .collect();
        for (row, k) in group.clone().enumerate().skip(1) {
            for (i, above) in parts[k].iter().enumerate() {
                for (j, below) in parts[k - 1].iter().enumerate() {
                    if contact(below, above, lines[k]) > 0 {
                        sets.join(first[row] + i, first[row - 1] + j);
                    }
                }
            }
        }
        let mut numbers = std::collections::BTreeMap::new();
        for (row, k) in group.clone().enumerate() {
            for (i, own) in of[k].iter_mut().enumerate() {
                let number = *numbers.entry(sets.find(first[row] + i)).or_insert_with(|| {
                    stretches.push(Stretch { rows: k..k + 1, splits: Vec::new() });
                    stretches.len() - 1
                });
                let rows = &mut stretches[number].rows;
                *rows = rows.start.min(k)..rows.end.max(k + 1);
                *own = number;
            }
        }
    }
    (of, stretches)
}

/// Length along the line v = `line` that two parts share, micrometres.
pub fn contact(one: &Part, two: &Part, line: i64) -> i64 {
    net::shared(&net::runs_along(one, line), &net::runs_along(two, line))
}

/// Where a stretch is to be split.
fn splits(parts: &[&Part], limits: &Limits, rows: usize, outlets: &[ClearZone]) -> Vec<Mm> {
    let Some((lo, hi)) = net::bounds(parts.iter().flat_map(|p| p.iter())) else { return Vec::new() };
    let area: i64 = area_left_of(parts, hi.u);
    let length = (hi.u - lo.u) / UM;
    let rows_wide = i64::try_from(rows).unwrap_or(1) * limits.pitch;
    // Bay edges step by the stagger: keep that much in hand, unless it would eat the bay.
    let in_hand = 2 * limits.stagger * rows_wide;
    let area_limit = limits.area.map(|a| if a > 2 * in_hand { a - in_hand } else { a });
    let length_limit = limits.length.map(|l| if l > 4 * limits.stagger { l - 2 * limits.stagger } else { l });
    let by_area = area_limit.map_or(1, |a| (area + a - 1) / a);
    let by_length = length_limit.map_or(1, |l| (length + l - 1) / l);
    let count = by_area.max(by_length);
    let mut found = Vec::new();
    let mut before = lo.u / UM;
    for j in 1..count {
        let Some(split) = one_split(
            parts,
            &Ask { j, count, before, area, area_limit, length_limit, hi: hi.u / UM },
            outlets,
        ) else {
            continue;
        };
        found.push(split);
        before = split;
    }
    found
}

/// The next split asked for.
struct Ask {
    j: i64,
    count: i64,
    before: Mm,
    area: i64,
    area_limit: Option<i64>,
    length_limit: Option<Mm>,
    hi: Mm,
}

fn one_split(parts: &[&Part], ask: &Ask, outlets: &[ClearZone]) -> Option<Mm> {
    let by_area = ask.area_limit.is_some();
    let target = if by_area {
        chainage_of(parts, mul_div(ask.area, ask.j, ask.count), ask.before, ask.hi)
    } else {
        ask.before + (ask.hi - ask.before) / (ask.count - ask.j + 1)
    };
    let window = ((target - ask.before) * 3 / 20).max(STEP);
    let before_area = area_left_of(parts, ask.before * UM);
    let fits = |x: Mm| {
        let area = area_left_of(parts, x * UM);
        let left = ask.count - ask.j;
        ask.area_limit.is_none_or(|a| area - before_area <= a && ask.area - area <= a * left)
            && ask.length_limit.is_none_or(|l| x - ask.before <= l && ask.hi - x <= l * left)
    };
    let steps = window / STEP;
    (-steps..=steps)
        .map(|i| target + i * STEP)
        .filter(|&x| x > ask.before && x < ask.hi && (x == target || fits(x)))
        .min_by_key(|&x| (cost(parts, x, target, outlets), x))
}

/// Length of bay edge at a chainage, with a charge for leaving the target and a ban on outlets' clear zones.
fn cost(parts: &[&Part], x: Mm, target: Mm, outlets: &[ClearZone]) -> i64 {
    let edge: i64 = parts.iter().flat_map(|p| net::section(p, x * UM)).map(|s| (s[1] - s[0]) / UM).sum();
    let bounds = net::bounds(parts.iter().flat_map(|p| p.iter()));
    let in_clear_zone = bounds.is_some_and(|(lo, hi)| {
        outlets.iter().any(|o| {
            (o.u - x * UM).abs() < o.radius + STEP * UM && o.v > lo.v - o.radius && o.v < hi.v + o.radius
        })
    });
    edge + (x - target).abs() / 4 + if in_clear_zone { 1_000_000 } else { 0 }
}

/// Area left of a chainage, mm2.
fn area_left_of(parts: &[&Part], u: i64) -> i64 {
    let doubled: i128 = parts.iter().map(|p| net::doubled_area_left_of(p, u)).sum();
    i64::try_from(doubled / (2 * i128::from(UM) * i128::from(UM))).unwrap_or(i64::MAX)
}

/// The chainage that so much area lies left of.
fn chainage_of(parts: &[&Part], area: i64, lo: Mm, hi: Mm) -> Mm {
    let (mut lo, mut hi) = (lo, hi);
    while hi - lo > 1 {
        let middle = i64::midpoint(lo, hi);
        if area_left_of(parts, middle * UM) < area { lo = middle } else { hi = middle }
    }
    hi
}

fn mul_div(value: i64, by: i64, over: i64) -> i64 {
    i64::try_from(i128::from(value) * i128::from(by) / i128::from(over)).unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_remainder_is_shared_out() {
        // method: 10 courses by threes are 3 + 3 + 2 + 2, not 3 + 3 + 3 + 1.
        let sizes = |rows, most| shared_out(rows, most).iter().map(Range::len).collect::<Vec<_>>();
        assert_eq!(sizes(10, 3), [3, 3, 2, 2]);
        assert_eq!(sizes(9, 3), [3, 3, 3]);
        assert_eq!(sizes(4, 3), [2, 2]);
        assert_eq!(sizes(1, 3), [1]);
        assert_eq!(sizes(2, 1), [1, 1]);
    }
}
