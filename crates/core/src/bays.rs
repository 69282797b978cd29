//! Bays, first half: which rows of deck go together, and about where a long stretch of them is split.
//!
//! In: a zone, its courses and the gang. Out: rows (the deck between neighbouring course lines, so that every part of the
//! deck belongs to exactly one), rows grouped by the gang's number of courses with the remainder shared out, and
//! stretches: connected parts of a group, each with the chainages where it is to be split to keep within the pour limit.
//! Splits seek short bay edges (beside openings) and keep out of outlets' clear zones. The exact place of each split,
//! course by course, is found with the end laps in [`crate::endlaps`].

use crate::courses::ZoneCourses;
use crate::footing::{ClearZone, Footing, Weight};
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

/// Beyond every deck, micrometres: the outer bounds of the first and last row.
const FAR: i64 = 1 << 50;

/// Steps in which places for a split are tried, mm.
const STEP: Mm = 250;

/// Groups rows and finds where stretches are to be split.
pub fn group(area: &Region, courses: &ZoneCourses, limits: &Limits, footing: &Footing) -> Rows {
    let mut lines = vec![-FAR];
    lines.extend(courses.courses.iter().skip(1).map(|c| c.from * UM));
    lines.push(FAR);
    let mut deck = Net::new(courses.frame, std::slice::from_ref(area));
    deck.node_lines(&lines);
    let parts: Vec<Vec<Part>> = lines.windows(2).map(|w| deck.between(w[0], w[1], &Marks::new())).collect();
    let groups = groups(&parts, &lines, limits.courses, footing);
    let (stretch_of, mut stretches) = join(&parts, &groups, &lines);
    let parts: Vec<Vec<(Part, usize)>> =
        parts.into_iter().zip(stretch_of).map(|(row, of)| row.into_iter().zip(of).collect()).collect();
    for (number, stretch) in stretches.iter_mut().enumerate() {
        let own: Vec<&Part> = stretch
            .rows
            .clone()
            .flat_map(|k| parts[k].iter().filter(|(_, s)| *s == number).map(|(part, _)| part))
            .collect();
        let held = held_across(footing, &lines, &stretch.rows);
        stretch.splits = all_splits(&own, limits, stretch.rows.len(), &held, footing);
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

/// Chainages of bay edges across the courses that the user holds among these rows, mm, in order.
fn held_across(footing: &Footing, lines: &[i64], rows: &Range<usize>) -> Vec<Mm> {
    let among = |v: i64| v > lines[rows.start] && v <= lines[rows.end];
    let own = footing.held.iter().filter(|h| !h.along && among(h.at.v));
    let mut held: Vec<Mm> = own.map(|h| (h.at.u + UM / 2).div_euclid(UM)).collect();
    held.sort_unstable();
    held.dedup();
    held
}

/// Where a stretch is to be split: at the edges held, and between them where it must.
fn all_splits(parts: &[&Part], limits: &Limits, rows: usize, held: &[Mm], footing: &Footing) -> Vec<Mm> {
    let Some((lo, hi)) = net::bounds(parts.iter().flat_map(|p| p.iter())) else { return Vec::new() };
    let held: Vec<Mm> = held.iter().copied().filter(|x| x * UM > lo.u && x * UM < hi.u).collect();
    let mut found = Vec::new();
    let mut from = lo.u;
    for (i, to) in held.iter().map(|x| x * UM).chain([hi.u]).enumerate() {
        found.extend(splits(parts, limits, rows, [from, to], footing));
        found.extend(held.get(i));
        from = to;
    }
    found
}

/// More bays tried than a stretch needs, to keep its bay edges out of the water.
const MORE_BAYS: i64 = 2;

/// Where a stretch is to be split between two chainages, micrometres.
fn splits(parts: &[&Part], limits: &Limits, rows: usize, [lo, hi]: [i64; 2], footing: &Footing) -> Vec<Mm> {
    let area: i64 = area_left_of(parts, hi) - area_left_of(parts, lo);
    let length = (hi - lo) / UM;
    let rows_wide = i64::try_from(rows).unwrap_or(1) * limits.pitch;
    // Bay edges step by the stagger: keep that much in hand, unless it would eat the bay.
    let in_hand = 2 * limits.stagger * rows_wide;
    let area_limit = limits.area.map(|a| if a > 2 * in_hand { a - in_hand } else { a });
    let length_limit = limits.length.map(|l| if l > 4 * limits.stagger { l - 2 * limits.stagger } else { l });
    let by_area = area_limit.map_or(1, |a| (area + a - 1) / a);
    let by_length = length_limit.map_or(1, |l| (length + l - 1) / l);
    let count = by_area.max(by_length);
    let ask = |count| Ask { j: 1, count, before: lo / UM, area, area_limit, length_limit, hi: hi / UM };
    let fewest = split_into(parts, ask(count), footing);
    if count < 2 || !footing.knows_falls() || weight(parts, &fewest, footing).bad == 0 {
        return fewest;
    }
    let more = (1..=MORE_BAYS).map(|n| split_into(parts, ask(count + n), footing));
    let all = [fewest].into_iter().chain(more);
    all.min_by_key(|splits| (weight(parts, splits, footing).bad, splits.len())).unwrap_or_default()
}

/// The splits of a stretch into so many bays.
fn split_into(parts: &[&Part], mut ask: Ask, footing: &Footing) -> Vec<Mm> {
    let mut found = Vec::new();
    for j in 1..ask.count {
        ask.j = j;
        if let Some(split) = one_split(parts, &ask, footing) {
            found.push(split);
            ask.before = split;
        }
    }
    found
}

/// What splits lie on, together.
fn weight(parts: &[&Part], splits: &[Mm], footing: &Footing) -> Weight {
    splits.iter().fold(Weight::default(), |sum, &x| {
        let own = footing.across(x * UM, &sections(parts, x));
        Weight { bad: sum.bad + own.bad, raised: sum.raised + own.raised }
    })
}

/// The next split asked for.
#[derive(Clone, Copy)]
struct Ask {
    j: i64,
    count: i64,
    before: Mm,
    /// Area from the start of the first bay to the end of the last, mm2.
    area: i64,
    area_limit: Option<i64>,
    length_limit: Option<Mm>,
    hi: Mm,
}

fn one_split(parts: &[&Part], ask: &Ask, footing: &Footing) -> Option<Mm> {
    let by_area = ask.area_limit.is_some();
    let end_area = area_left_of(parts, ask.hi * UM);
    let target = if by_area {
        let before = end_area - ask.area + mul_div(ask.area, ask.j, ask.count);
        chainage_of(parts, before, ask.before, ask.hi)
    } else {
        ask.before + (ask.hi - ask.before) / (ask.count - ask.j + 1)
    };
    // Where water is known, any place that keeps the limits may do.
    let share = if footing.knows_falls() { 12 } else { 3 };
    let window = ((target - ask.before) * share / 20).max(STEP);
    let before_area = area_left_of(parts, ask.before * UM);
    let fits = |x: Mm| {
        let area = area_left_of(parts, x * UM);
        let left = ask.count - ask.j;
        ask.area_limit.is_none_or(|a| area - before_area <= a && end_area - area <= a * left)
            && ask.length_limit.is_none_or(|l| x - ask.before <= l && ask.hi - x <= l * left)
    };
    let allowed = |x: Mm| x > ask.before && x < ask.hi && (x == target || fits(x));
    cheapest(parts, target, window / STEP, allowed, footing)
}

/// The cheapest allowed chainage within so many steps of the target; of equals the least. It goes from the target outwards,
/// so that what cannot come down to the best known need not be asked of the falls.
fn cheapest(
    parts: &[&Part],
    target: Mm,
    steps: i64,
    allowed: impl Fn(Mm) -> bool,
    footing: &Footing,
) -> Option<Mm> {
    let mut best: Option<(i64, Mm)> = None;
    for far in (0..=steps).map(|i| i * STEP) {
        if best.is_some_and(|(least, _)| leaving(far) > least) {
            break;
        }
        let both = [target - far, target + far];
        for x in both.into_iter().skip(usize::from(far == 0)).filter(|&x| allowed(x)) {
            let split = Split::new(parts, x, leaving(far), footing);
            if best.is_none_or(|known| (split.at_least, x) < known) {
                let own = (split.cost(footing), x);
                best = Some(best.map_or(own, |known| known.min(own)));
            }
        }
    }
    best.map(|(_, x)| x)
}

/// What a mm of bay edge in a bad place counts, beside one elsewhere.
const BAD: i64 = 50;

/// The charge for a split so far from its target.
fn leaving(far: Mm) -> i64 {
    far / 4
}

/// A split at a chainage, before the falls are asked what it lies on.
struct Split {
    x: Mm,
    sections: Vec<[i64; 2]>,
    /// Length of bay edge, with a charge for leaving the target and a ban on outlets' clear zones.
    plain: i64,
    /// It costs no less, wherever it lies. What is on a ridge takes off half its length, and rounding makes no length
    /// more than twice as long.
    at_least: i64,
}

impl Split {
    fn new(parts: &[&Part], x: Mm, leaving: i64, footing: &Footing) -> Self {
        let sections = sections(parts, x);
        let edge: i64 = sections.iter().map(|s| (s[1] - s[0]) / UM).sum();
        let bounds = net::bounds(parts.iter().flat_map(|p| p.iter()));
        let near = |o: &ClearZone, lo: i64, hi: i64| {
            (o.u - x * UM).abs() < o.radius + STEP * UM && o.v > lo - o.radius && o.v < hi + o.radius
        };
        let banned = bounds.is_some_and(|(lo, hi)| footing.outlets.iter().any(|o| near(o, lo.v, hi.v)));
        let plain = edge + leaving + if banned { 1_000_000 } else { 0 };
        let at_least = if footing.may_be_raised(x * UM, &sections) { plain - edge } else { plain };
        Self { x, sections, plain, at_least }
    }

    /// With a charge for lying in a bad place and something off for lying on a ridge.
    fn cost(&self, footing: &Footing) -> i64 {
        let own = footing.across(self.x * UM, &self.sections);
        self.plain + own.bad * BAD - own.raised / 2
    }
}

/// Where a line across the courses lies on the parts: intervals of v, micrometres.
fn sections(parts: &[&Part], x: Mm) -> Vec<[i64; 2]> {
    parts.iter().flat_map(|p| net::section(p, x * UM)).collect()
}

/// Rows in groups of at most `most`: as even as may be. Where falls are known, of all even ways the one whose lines
/// between groups lie best; where the user holds a line, it parts two groups.
fn groups(parts: &[Vec<Part>], lines: &[i64], most: usize, footing: &Footing) -> Vec<Range<usize>> {
    let rows = parts.len();
    let mut ends: Vec<usize> =
        footing.held.iter().filter(|h| h.along).filter_map(|h| nearest_line(lines, h.at.v)).collect();
    ends.extend([0, rows]);
    ends.sort_unstable();
    ends.dedup();
    if !footing.knows_falls() {
        return ends.windows(2).flat_map(|w| moved(&shared_out(w[1] - w[0], most), w[0])).collect();
    }
    let weigh = |line: usize| -> Weight {
        let part_runs =
            parts.get(line).into_iter().flatten().flat_map(|part| net::runs_along(part, lines[line]));
        footing.along(lines[line], &part_runs.collect::<Vec<_>>())
    };
    ends.windows(2)
        .flat_map(|w| moved(&arranged(w[1] - w[0], most, |line| weigh(w[0] + line)), w[0]))
        .collect()
}

fn moved(groups: &[Range<usize>], by: usize) -> Vec<Range<usize>> {
    groups.iter().map(|g| g.start + by..g.end + by).collect()
}

/// The line between two rows nearest to an offset.
fn nearest_line(lines: &[i64], v: i64) -> Option<usize> {
    (1..lines.len().saturating_sub(1)).min_by_key(|&k| (lines[k] - v).abs())
}

/// Rows in groups of at most `most`, their lines as little in bad places as may be; of equals the fewest groups, then the
/// most on ridges, then as even as may be, larger groups first.
fn arranged(rows: usize, most: usize, weigh: impl Fn(usize) -> Weight) -> Vec<Range<usize>> {
    type Key = (Mm, usize, Mm, usize);
    let most = most.clamp(1, rows.max(1));
    // best[k]: the groups of the rows from k on, and how many rows the first of them has.
    let mut best: Vec<(Key, usize)> = vec![((Mm::MAX, 0, 0, 0), 0); rows + 1];
    best[rows] = ((0, 0, 0, 0), 0);
    for k in (0..rows).rev() {
        let own = if k == 0 { Weight::default() } else { weigh(k) };
        for size in (1..=most.min(rows - k)).rev() {
            let (bad, count, raised, uneven) = best[k + size].0;
            let key = (bad + own.bad, count + 1, raised - own.raised, uneven + size * size);
            if key < best[k].0 {
                best[k] = (key, size);
            }
        }
    }
    let mut start = 0;
    let mut groups = Vec::new();
    while start < rows {
        let end = start + best[start].1.max(1);
        groups.push(start..end);
        start = end;
    }
    groups
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
        // The same where nothing lies badly.
        let sizes = |rows, most| {
            let plain = arranged(rows, most, |_| Weight::default());
            plain.iter().map(Range::len).collect::<Vec<_>>()
        };
        assert_eq!(sizes(10, 3), [3, 3, 2, 2]);
        assert_eq!(sizes(9, 3), [3, 3, 3]);
        assert_eq!(sizes(1, 3), [1]);
    }

    #[test]
    fn groups_end_beside_a_bad_line_and_not_on_it() {
        let bad_at = |bad: usize| move |line| Weight { bad: if line == bad { 900 } else { 0 }, raised: 0 };
        let sizes = |bad| arranged(10, 3, bad_at(bad)).iter().map(Range::len).collect::<Vec<_>>();
        assert_eq!(sizes(3), [2, 3, 3, 2]);
        assert_eq!(sizes(1), [3, 3, 2, 2]);
        let ridge = |line| Weight { bad: 0, raised: if line == 5 { 900 } else { 0 } };
        assert_eq!(arranged(10, 3, ridge).iter().map(Range::len).collect::<Vec<_>>(), [3, 2, 3, 2]);
    }
}
