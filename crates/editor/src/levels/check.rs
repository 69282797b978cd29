//! What is odd in a list that reads: places twice, levels unlike those around them, places off the decks.
//!
//! In: the levels that read, on the plan. Out: which stand out and by how much. It judges no roof: what is a fall and
//! what a mistake of the survey the user says.

use super::near::nearest;
use super::reading::Taken;
use baylap_core::Plan;
use baylap_core::geom::Pt;
use baylap_core::geom::ring::{Side, locate};
use baylap_core::plan::Mm;
use std::collections::BTreeMap;

/// Neighbours that a level is held against.
const NEIGHBOURS: usize = 8;
/// Fewest neighbours that say anything of a level.
const FEWEST: usize = 5;
/// How many times the usual difference is odd: 3.5 robust standard deviations of 1.4826 MAD each is the usual bound
/// (Iglewicz and Hoaglin 1993, from memory); doubled, for a roof has edges and steps.
const TIMES: f64 = 2.0 * 3.5 * 1.4826;
/// A difference up to this is never odd, mm. Common practice, no source: more than an outlet's recess.
const LEAST_ODD: f64 = 50.0;
/// Rounds in which levels that stand out are taken away, so that others behind them are seen.
const ROUNDS: usize = 10;

/// For each level the one taken before at the same place, if any.
pub(super) fn again(taken: &[Taken]) -> Vec<Option<usize>> {
    let mut first: BTreeMap<Pt, usize> = BTreeMap::new();
    let one = |(n, t): (usize, &Taken)| {
        let before = *first.entry(t.at).or_insert(n);
        (before != n).then_some(before)
    };
    taken.iter().enumerate().map(one).collect()
}

/// Levels that stand out from those around them, each with by how much, mm.
pub(super) fn odd(taken: &[Taken]) -> Vec<(usize, Mm)> {
    let places: Vec<Pt> = taken.iter().map(|t| t.at).collect();
    let near = nearest(&places, NEIGHBOURS);
    let mut found: BTreeMap<usize, Mm> = BTreeMap::new();
    for _ in 0..ROUNDS {
        let more = round(taken, &near, &found);
        if more.is_empty() {
            break;
        }
        found.extend(more);
    }
    found.into_iter().collect()
}

/// The levels that stand out when those found before are left aside. Of neighbours that do, only the furthest out: it
/// is what makes the others look so.
#[allow(clippy::cast_possible_truncation)]
fn round(taken: &[Taken], near: &[Vec<usize>], found: &BTreeMap<usize, Mm>) -> Vec<(usize, Mm)> {
    let others =
        |n: usize| near[n].iter().copied().filter(|m| !found.contains_key(m)).collect::<Vec<usize>>();
    let offs: Vec<Option<Off>> = (0..taken.len())
        .map(|n| if found.contains_key(&n) { None } else { Off::of(taken, n, &others(n)) })
        .collect();
    let usual = median(offs.iter().flatten().map(|o| o.by.abs()).collect());
    let size = |n: usize| offs[n].as_ref().map_or(0.0, |o| o.by.abs());
    let stands_out = |n: usize, off: &Off| {
        let bound = (TIMES * usual).max(LEAST_ODD).max(off.relief);
        size(n) > bound && others(n).into_iter().all(|m| size(m) <= size(n))
    };
    let out = offs.iter().enumerate().filter_map(|(n, off)| Some((n, off.as_ref()?)));
    out.filter(|(n, off)| stands_out(*n, off)).map(|(n, off)| (n, off.by.round() as Mm)).collect()
}

/// How a level lies to those around it.
struct Off {
    /// How far above the surface through them, mm.
    by: f64,
    /// How much they differ among themselves, mm: what a ridge or a step may come to.
    relief: f64,
}

impl Off {
    #[allow(clippy::cast_precision_loss)]
    fn of(taken: &[Taken], n: usize, others: &[usize]) -> Option<Self> {
        if others.len() < FEWEST {
            return None;
        }
        let levels: Vec<f64> = others.iter().map(|m| taken[*m].level as f64).collect();
        let most = levels.iter().copied().fold(f64::MIN, f64::max);
        let least = levels.iter().copied().fold(f64::MAX, f64::min);
        let at = |m: usize| {
            let d = taken[m].at;
            [(d.x - taken[n].at.x) as f64, (d.y - taken[n].at.y) as f64]
        };
        let places: Vec<[f64; 2]> = others.iter().map(|m| at(*m)).collect();
        let expected = plane_at_zero(&places, &levels).unwrap_or_else(|| median(levels));
        Some(Self { by: taken[n].level as f64 - expected, relief: most - least })
    }
}

/// Level at (0, 0) of the plane that fits best; none when the places lie nearly on a line.
#[allow(clippy::cast_precision_loss)]
fn plane_at_zero(places: &[[f64; 2]], levels: &[f64]) -> Option<f64> {
    let count = places.len() as f64;
    let mean = |values: &mut dyn Iterator<Item = f64>| values.sum::<f64>() / count;
    let (mx, my) = (mean(&mut places.iter().map(|p| p[0])), mean(&mut places.iter().map(|p| p[1])));
    let mz = mean(&mut levels.iter().copied());
    let (mut xx, mut xy, mut yy, mut xz, mut yz) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for (p, z) in places.iter().zip(levels) {
        let (x, y, z) = (p[0] - mx, p[1] - my, z - mz);
        xx += x * x;
        xy += x * y;
        yy += y * y;
        xz += x * z;
        yz += y * z;
    }
    let det = xx * yy - xy * xy;
    // A fortieth across the line of what is along it says nothing of the slope across.
    (det > 0.025 * (xx + yy) * (xx + yy)).then(|| {
        let (a, b) = ((xz * yy - yz * xy) / det, (yz * xx - xz * xy) / det);
        mz - a * mx - b * my
    })
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    match n {
        0 => 0.0,
        _ if n % 2 == 1 => values[n / 2],
        _ => f64::midpoint(values[n / 2 - 1], values[n / 2]),
    }
}

/// Levels that lie on no deck, by number.
pub(super) fn off_decks(taken: &[Taken], plan: &Plan) -> Vec<usize> {
    let rings: Vec<Vec<Pt>> = plan.decks.iter().map(|d| d.ring.iter().map(|c| c.at).collect()).collect();
    let on = |p: Pt| rings.iter().any(|ring| locate(p, [ring.as_slice()]) != Side::Outside);
    if rings.is_empty() {
        return Vec::new();
    }
    (0..taken.len()).filter(|n| !on(taken[*n].at)).collect()
}
