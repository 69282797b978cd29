//! Upstands, free edges and corners along each bay.
//!
//! In: the checked decks, and bays that partition them. Out: for each bay the walls that its area lies against, by kind and
//! height, and the corners of upstands. What bounds a deck bounds one of its bays: each stretch of a wall goes to the bay
//! that lies nearest to it there, also where a strip of a few mm parts it from another, so the lengths add up to those of
//! [`crate::quantities::details`] but for rounding. A corner where several bays meet is done with the one poured first.

use super::Place;
use crate::geom::contact::{Bounds, may_touch};
use crate::geom::{Pt, Region, ring};
use crate::layout::days::UpstandWork;
use crate::model::{DeckModel, Wall, distance_to};
use crate::plan::{Edge, Mm, Products, UpstandKind};
use crate::quantities::{between, stretches_on_deck};
use std::collections::BTreeMap;

/// What stands along a bay.
#[derive(Clone, Debug, Default)]
pub(super) struct Along {
    upstands: BTreeMap<(u8, Mm), (UpstandKind, f64)>,
    free: f64,
    /// Corners that stand into the deck.
    pub(super) outside: u32,
    /// Corners that the deck runs into.
    pub(super) inside: u32,
}

impl Along {
    /// Its upstands by kind and height, to the nearest mm.
    pub(super) fn upstands(&self, products: &Products) -> Vec<UpstandWork> {
        let work = |(&(_, height), &(kind, length)): (&(u8, Mm), &(UpstandKind, f64))| UpstandWork {
            kind,
            height,
            length: nearest(length),
            girth: height + products.foot,
        };
        self.upstands.iter().map(work).filter(|u| u.length > 0).collect()
    }

    /// Its free edges, to the nearest mm.
    pub(super) fn free_edges(&self) -> Mm {
        nearest(self.free)
    }

    fn add(&mut self, wall: &Wall, length: f64) {
        match wall.edge {
            Edge::Upstand { height, kind } => {
                self.upstands.entry((kind as u8, height)).or_insert((kind, 0.0)).1 += length;
            }
            Edge::Free { .. } => self.free += length,
        }
    }
}

/// What stands along each of the bays of a deck.
pub(super) fn along(deck: &DeckModel, bays: &[Place<'_>]) -> Vec<Along> {
    let mut out = vec![Along::default(); bays.len()];
    for wall in &deck.walls {
        for (bay, length) in shared_out(wall, deck, bays) {
            out[bay].add(wall, length);
        }
    }
    for (at, outside) in corners(deck) {
        let Some(i) = first_at(bays, at) else { continue };
        if outside {
            out[i].outside += 1;
        } else {
            out[i].inside += 1;
        }
    }
    out
}

/// The nearest whole mm.
#[allow(clippy::cast_possible_truncation)]
pub(super) fn nearest(length: f64) -> Mm {
    libm::round(length) as Mm
}

/// Bounds of a segment.
pub(super) fn bounds_of(a: Pt, b: Pt) -> Bounds {
    ring::bounds([&a, &b])
}

/// Edges of a bay this near to a wall lie along it, mm: a corner is snapped where zones are parted and again where bays are.
const BESIDE: f64 = 3.0;

/// The stretches of a line from `a` to `b` that an area on its left lies against, as shares of the way.
pub(super) fn stretches(a: Pt, b: Pt, area: &[Region]) -> Vec<[f64; 2]> {
    beside(a, b, area).into_iter().map(|s| s.ends).collect()
}

/// A stretch of a line that an edge lies along.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    /// Its ends, as shares of the way along the line.
    ends: [f64; 2],
    /// How far the edge is off the line at either end, mm.
    off: [f64; 2],
}

impl Stretch {
    /// How far the edge is off the line at a share of its way, mm; `None` beyond the ends.
    fn off_at(&self, share: f64) -> Option<f64> {
        let [from, to] = self.ends;
        let along = (share - from) / (to - from);
        (0.0..=1.0).contains(&along).then(|| (self.off[0] + along * (self.off[1] - self.off[0])).abs())
    }
}

/// The stretches of a line from `a` to `b` that an area on its left lies against.
#[allow(clippy::cast_precision_loss)]
fn beside(a: Pt, b: Pt, area: &[Region]) -> Vec<Stretch> {
    let length = a.distance(b);
    if length <= 0.0 {
        return Vec::new();
    }
    let span = |(p, q): (Pt, Pt)| {
        let (at_p, at_q) = (a.dot(b, p) as f64 / length, a.dot(b, q) as f64 / length);
        let (from, to) = (at_p.max(0.0), at_q.min(length));
        if to <= from {
            return None;
        }
        // How far off it is counts where they run beside each other only: either may go on past a corner.
        let (off_p, off_q) = (a.turn(b, p) as f64 / length, a.turn(b, q) as f64 / length);
        let off = [from, to].map(|s| off_p + (s - at_p) / (at_q - at_p) * (off_q - off_p));
        let near = off.iter().all(|off| off.abs() <= BESIDE);
        near.then_some(Stretch { ends: [from / length, to / length], off })
    };
    area.iter().flatten().flat_map(|r| ring::edges(r)).filter_map(span).collect()
}

/// The lengths of a wall, by the place of the bay that each is done with; what bounds no deck is done with none.
fn shared_out(wall: &Wall, deck: &DeckModel, bays: &[Place<'_>]) -> Vec<(usize, f64)> {
    let (a, b) = (wall.a, wall.b);
    let near = (0..bays.len()).filter(|&i| may_touch(bays[i].bounds, bounds_of(a, b)));
    let held: Vec<(usize, Stretch)> =
        near.flat_map(|i| beside(a, b, &bays[i].bay.area).into_iter().map(move |s| (i, s))).collect();
    let mut out = Vec::new();
    for [from, to] in stretches_on_deck(a, b, deck) {
        let mut cuts: Vec<f64> = held.iter().flat_map(|(_, s)| s.ends).collect();
        cuts.retain(|t| from < *t && *t < to);
        cuts.extend([from, to]);
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.windows(2).filter(|w| w[1] > w[0]) {
            let middle = f64::midpoint(pair[0], pair[1]);
            let far = |(i, s): &(usize, Stretch)| s.off_at(middle).map(|off| (off, bays[*i].bay.number, *i));
            let order = |one: &(f64, u32, usize), other: &(f64, u32, usize)| {
                one.0.total_cmp(&other.0).then(one.1.cmp(&other.1))
            };
            let against = held.iter().filter_map(far).min_by(order).map(|(_, _, i)| i);
            // Where no bay lies against it, as beside a wedge that snapping closed, the nearest does it.
            let at = || super::place::nearest(bays, between(a, b, middle));
            if let Some(i) = against.or_else(at) {
                out.push((i, (pair[1] - pair[0]) * a.distance(b)));
            }
        }
    }
    out
}

/// The cosine of 25 degrees: what turns by less is a bend, as in the runs of strips (common practice, no source).
const BEND: f64 = 0.9063;

/// Edges of a deck shorter than this are what snapping left, no walls, mm.
const SHORTEST: f64 = 3.0;

/// A point this near to an edge is on it, mm.
const ON: f64 = 1.5;

/// The corners between upstands, and whether each stands into the deck.
fn corners(deck: &DeckModel) -> Vec<(Pt, bool)> {
    let mut out = Vec::new();
    for points in &deck.rim {
        let edges: Vec<(Pt, Pt)> = ring::edges(points).filter(|(a, b)| a.distance(*b) >= SHORTEST).collect();
        for (i, &(a, b)) in edges.iter().enumerate() {
            let next = edges[(i + 1) % edges.len()];
            if is_upstand((b, a), deck) && is_upstand(next, deck) {
                out.extend(turn((a, b), next).map(|outside| (b, outside)));
            }
        }
    }
    out
}

/// Whether the deck, on the left of both edges, goes round a corner that stands into it; `None` when there is no corner.
#[allow(clippy::cast_precision_loss)]
fn turn((a, b): (Pt, Pt), (c, d): (Pt, Pt)) -> Option<bool> {
    let (one, two) = ([b.x - a.x, b.y - a.y].map(|v| v as f64), [d.x - c.x, d.y - c.y].map(|v| v as f64));
    let lengths = a.distance(b) * c.distance(d);
    let ahead = (one[0] * two[0] + one[1] * two[1]) / lengths;
    let left = one[0] * two[1] - one[1] * two[0];
    (ahead < BEND).then_some(left <= 0.0)
}

/// How far from its end an edge is looked at, mm: what stands along it may change further on.
const LOOK: f64 = 20.0;

/// Whether an upstand stands along an edge of a deck where it begins at `a`.
fn is_upstand((a, b): (Pt, Pt), deck: &DeckModel) -> bool {
    let at = between(a, b, (LOOK / a.distance(b)).min(0.5));
    let along = |wall: &&Wall| {
        let (one, two) = ([wall.b.x - wall.a.x, wall.b.y - wall.a.y], [b.x - a.x, b.y - a.y]);
        let cross = i128::from(one[0]) * i128::from(two[1]) - i128::from(one[1]) * i128::from(two[0]);
        let dot = i128::from(one[0]) * i128::from(two[0]) + i128::from(one[1]) * i128::from(two[1]);
        // Within some six degrees of one line, either way round.
        dot != 0 && cross.abs() * 10 < dot.abs() && distance_to(at, wall.a, wall.b) <= ON
    };
    deck.walls.iter().find(along).is_some_and(|wall| matches!(wall.edge, Edge::Upstand { .. }))
}

/// Of the bays at a place the one poured first.
fn first_at(bays: &[Place<'_>], at: Pt) -> Option<usize> {
    let near = |place: &Place<'_>| place.distance(at) <= 2.0 * ON;
    let held = (0..bays.len()).filter(|&i| near(&bays[i]));
    held.min_by_key(|&i| bays[i].bay.number).or_else(|| super::place::nearest(bays, at))
}
