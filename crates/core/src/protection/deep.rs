//! Places where four pieces of sheet or more lie on one another.
//!
//! In: the pieces as laid. Out: a place of each, in order. Laps that cross where ends do not stand the stagger apart make
//! them, and patches over such corners. It moves nothing.

use super::Laid;
use super::bay::thick;
use crate::geom::ring::{self, doubled_area_of};
use crate::geom::{Pt, Region};
use crate::model::Model;

/// What is smaller than this comes from snapping, mm2.
const LEAST: i128 = 100;

/// All of them; four pieces that share one place are one, and so are five.
pub(super) fn find(model: &Model, laid: &[Laid]) -> Vec<Pt> {
    let bounds: Vec<Option<(Pt, Pt)>> =
        laid.iter().map(|p| ring::bounds(p.as_laid.iter().flatten().flatten())).collect();
    let mut found = Vec::new();
    for (n, bound) in bounds.iter().enumerate() {
        let Some(bound) = *bound else { continue };
        let over: Vec<(usize, (Pt, Pt))> = (n + 1..laid.len())
            .filter_map(|m| Some((m, common(bound, bounds[m]?)?)))
            .filter(|&(m, _)| may_meet(&[&laid[n], &laid[m]]))
            .collect();
        for (i, &(a, one)) in over.iter().enumerate() {
            for (j, &(b, two)) in over.iter().enumerate().skip(i + 1) {
                let Some(both) = common(one, two) else { continue };
                if !may_meet(&[&laid[n], &laid[a], &laid[b]]) {
                    continue;
                }
                for &(c, three) in &over[j + 1..] {
                    let four = [&laid[n], &laid[a], &laid[b], &laid[c]];
                    if common(both, three).is_some() && may_meet(&four) {
                        found.extend(shared(model, four));
                    }
                }
            }
        }
    }
    found.sort_unstable_by_key(|p| (p.x, p.y));
    found.dedup();
    found
}

fn common((a, b): (Pt, Pt), (c, d): (Pt, Pt)) -> Option<(Pt, Pt)> {
    let (lo, hi) = (Pt::new(a.x.max(c.x), a.y.max(c.y)), Pt::new(b.x.min(d.x), b.y.min(d.y)));
    (lo.x < hi.x && lo.y < hi.y).then_some((lo, hi))
}

/// Whether the rectangles of those pieces that lie in one zone have a place in common.
fn may_meet(pieces: &[&Laid]) -> bool {
    let own = pieces.iter().filter(|p| p.zone == pieces[0].zone);
    let (mut along, mut across) = ([i64::MIN, i64::MAX], [i64::MIN, i64::MAX]);
    for p in own {
        along = [along[0].max(p.from), along[1].min(p.to)];
        across = [across[0].max(p.across[0]), across[1].min(p.across[1])];
    }
    along[0] < along[1] && across[0] < across[1]
}

/// A place that four pieces share.
fn shared(model: &Model, [first, rest @ ..]: [&Laid; 4]) -> Option<Pt> {
    let canvas = &model.canvas;
    let mut left: Vec<Region> = first.as_laid.clone();
    for piece in rest {
        left = thick(canvas.intersection_with(&canvas.rings(&left), &piece.as_laid));
    }
    let large = |region: &&Region| doubled_area_of(std::slice::from_ref(*region)) / 2 > LEAST;
    let at = left.iter().filter(large).flatten().flatten().min_by_key(|p| (p.x, p.y))?;
    Some(*at)
}
