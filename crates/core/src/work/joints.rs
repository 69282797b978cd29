//! Movement joints by bay.
//!
//! In: joints, the checked decks, their bays. Out: for each bay the length of joints that are done with it. Bays end at
//! joints, so a joint runs between two of them and is done with the lower number as they stand; one that parts nothing
//! lies within a bay and is done with that. The lengths add up to the joints on the decks but for rounding.

use super::Place;
use super::walls::{bounds_of, stretches};
use crate::geom::contact::may_touch;
use crate::geom::ring::{self, Side};
use crate::geom::{Pt, Region};
use crate::model::DeckModel;
use crate::quantities::between;

/// Length of joints done with each of the bays of a deck, mm.
pub(super) fn along<'p>(
    deck: &DeckModel,
    bays: &[Place<'_>],
    joints: impl Iterator<Item = &'p [Pt]>,
) -> Vec<f64> {
    let mut out = vec![0.0; bays.len()];
    for (a, b) in joints.flat_map(|points| points.windows(2)).map(|pair| (pair[0], pair[1])) {
        if a != b {
            add(deck, bays, (a, b), &mut out);
        }
    }
    out
}

fn add(deck: &DeckModel, bays: &[Place<'_>], (a, b): (Pt, Pt), out: &mut [f64]) {
    let near: Vec<usize> = (0..bays.len()).filter(|&i| may_touch(bays[i].bounds, bounds_of(a, b))).collect();
    // Bays on its left see it one way round, those on its right the other.
    let covered: Vec<(usize, [f64; 2])> = near
        .iter()
        .flat_map(|&i| {
            let area = &bays[i].bay.area;
            let right = stretches(b, a, area).into_iter().map(|[from, to]| [1.0 - to, 1.0 - from]);
            stretches(a, b, area).into_iter().chain(right).map(move |s| (i, s)).collect::<Vec<_>>()
        })
        .collect();
    let mut cuts = vec![0.0, 1.0];
    cuts.extend(covered.iter().flat_map(|(_, stretch)| stretch));
    cuts.extend(crossings(a, b, &deck.area));
    near.iter().for_each(|&i| cuts.extend(crossings(a, b, &bays[i].bay.area)));
    cuts.retain(|t| (0.0..=1.0).contains(t));
    cuts.sort_by(f64::total_cmp);
    for pair in cuts.windows(2).filter(|w| w[1] > w[0]) {
        let middle = f64::midpoint(pair[0], pair[1]);
        let at = between(a, b, middle);
        if !deck.area.iter().any(|r| ring::locate_in(at, r) == Side::Inside) {
            continue;
        }
        let beside =
            covered.iter().filter(|(_, [from, to])| *from <= middle && middle <= *to).map(|(i, _)| *i);
        let first = beside.min_by_key(|&i| bays[i].bay.number);
        if let Some(i) = first.or_else(|| super::place::nearest(bays, at)) {
            out[i] += (pair[1] - pair[0]) * a.distance(b);
        }
    }
}

/// Where edges of an area cross a segment, as shares of the way from `a` to `b`.
#[allow(clippy::cast_precision_loss)]
fn crossings(a: Pt, b: Pt, area: &[Region]) -> Vec<f64> {
    let crossing = |(c, d): (Pt, Pt)| {
        let (from, to) = (c.turn(d, a), c.turn(d, b));
        ((from < 0) != (to < 0)).then(|| from as f64 / (from - to) as f64)
    };
    area.iter().flatten().flat_map(|r| ring::edges(r)).filter_map(crossing).collect()
}
