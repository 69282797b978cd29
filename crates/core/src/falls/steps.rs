//! Steps in level: where the sheets on both sides of a change of level meet.
//!
//! In: the sheets of a deck with a level at every point. Out: the same with a point of one level wherever the higher side
//! changes along the line, so that along every edge of a step one side is the higher all the way. It moves no level by
//! more than the fall over a mm.

use super::sheets::Sheet;
use super::triangles::squared;
use std::collections::BTreeMap;

/// Levels this near are one, mm.
const SAME: f64 = 1e-6;

/// Points nearer than this are one, mm.
const APART: f64 = 1.0;

/// Parts of a mm that computed points are put on, as in [`super::sketch`].
const GRID: f64 = 1_048_576.0;

/// An edge of a sheet: which sheet, and which of its edges.
type SheetEdge = (usize, usize);

/// Puts a point of one level where sheets change places.
pub(super) fn meet(sheets: &mut [Sheet], levels: &mut [Vec<Option<f64>>]) {
    let mut both: BTreeMap<[usize; 2], Vec<SheetEdge>> = BTreeMap::new();
    for (s, sheet) in sheets.iter().enumerate() {
        for (e, &[a, b]) in sheet.parted.deck.iter().enumerate() {
            let [a, b] = [sheet.whole[a], sheet.whole[b]];
            both.entry([a.min(b), a.max(b)]).or_default().push((s, e));
        }
    }
    let mut next = sheets.iter().flat_map(|s| &s.whole).max().map_or(0, |most| most + 1);
    for edges in both.values() {
        if let [one, two] = edges[..]
            && one.0 != two.0
            && cross(sheets, levels, [one, two], next)
        {
            next += 1;
        }
    }
}

/// Parts an edge of two sheets where they cross; whether it took a new point.
fn cross(
    sheets: &mut [Sheet],
    levels: &mut [Vec<Option<f64>>],
    edges: [SheetEdge; 2],
    number: usize,
) -> bool {
    // The second runs the other way.
    let [[a, b], [d, c]] = edges.map(|(s, e)| sheets[s].parted.deck[e]);
    let level = |k: usize, n: usize| levels[edges[k].0][n].unwrap_or_default();
    let (at_start, at_end) = (level(0, a) - level(1, c), level(0, b) - level(1, d));
    if at_start.abs() <= SAME || at_end.abs() <= SAME || (at_start > 0.0) == (at_end > 0.0) {
        return false;
    }
    let (from, to) = (sheets[edges[0].0].sketch.at[a], sheets[edges[0].0].sketch.at[b]);
    let share = at_start / (at_start - at_end);
    let place = [0, 1].map(|k| ((from[k] + share * (to[k] - from[k])) * GRID).round() / GRID);
    for (end, ours, theirs) in [(from, a, c), (to, b, d)] {
        if squared(place, end) < APART * APART {
            levels[edges[1].0][theirs] = Some(level(0, ours));
            return false;
        }
    }
    let here = level(0, a) + share * (level(0, b) - level(0, a));
    for (s, e) in edges {
        let sheet = &mut sheets[s];
        let point = sheet.sketch.bend(e, place);
        sheet.whole.push(number);
        levels[s].push(Some(here));
        let [start, end] = sheet.parted.deck[e];
        sheet.parted.deck[e] = [start, point];
        sheet.parted.deck.push([point, end]);
    }
    true
}
