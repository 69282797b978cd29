//! Runs: how far the upstands go in one piece.
//!
//! In: the checked decks. Out: runs of upstand of one kind and height, each with its course on the plan, its length and
//! the girth of its strips. A run ends at corners; it goes through points on a straight wall and round a bend that a
//! strip can be eased round. It cuts nothing.

use crate::geom::Pt;
use crate::model::{DeckModel, Model};
use crate::plan::{Edge, Mm, Products, UpstandKind};
use crate::quantities::{between, stretches_on_deck};
use std::collections::BTreeMap;

/// A run of upstand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// Its course along the face, two points or more.
    pub points: Vec<Pt>,
    /// Its length, mm, rounded up.
    pub length: Mm,
    /// Girth of its strips: height and foot, mm.
    pub girth: Mm,
    /// What it is.
    pub kind: UpstandKind,
    /// Its height, mm.
    pub height: Mm,
}

impl Run {
    /// The place so far along it, mm.
    #[allow(clippy::cast_precision_loss)]
    pub fn at(&self, along: Mm) -> Pt {
        let mut along = along as f64;
        for pair in self.points.windows(2) {
            let length = pair[0].distance(pair[1]);
            if along <= length && length > 0.0 {
                return between(pair[0], pair[1], (along / length).max(0.0));
            }
            along -= length;
        }
        self.points.last().copied().unwrap_or_default()
    }
}

/// The cosine of 25 degrees: a strip is eased round smaller turns and lapped at larger ones (common practice, no source).
/// The flattened arcs of curved walls turn by less, corners of walls by more.
const EASED: f64 = 0.9063;

/// The runs of all upstands that bound a deck, those of no girth left out.
pub fn runs(model: &Model, products: &Products) -> Vec<Run> {
    model.decks.iter().flat_map(|deck| runs_of(deck, products)).collect()
}

/// A straight bit of upstand.
struct Bit {
    from: Pt,
    to: Pt,
    length: f64,
    kind: UpstandKind,
    height: Mm,
}

fn runs_of(deck: &DeckModel, products: &Products) -> Vec<Run> {
    let bits: Vec<Bit> = deck.walls.iter().flat_map(|wall| bits_of(wall, deck)).collect();
    let next = links(&bits);
    let mut led_to = vec![false; bits.len()];
    next.iter().flatten().for_each(|&n| led_to[n] = true);
    let mut seen = vec![false; bits.len()];
    let mut out = Vec::new();
    // Open chains first, from their starts; what is then unseen runs in circles.
    let firsts = (0..bits.len()).filter(|&i| !led_to[i]).chain(0..bits.len());
    for first in firsts {
        let mut chain = Vec::new();
        let mut at = Some(first);
        while let Some(i) = at.filter(|&i| !seen[i]) {
            seen[i] = true;
            chain.push(i);
            at = next[i];
        }
        out.extend(run_of(&chain, &bits, products));
    }
    out
}

fn run_of(chain: &[usize], bits: &[Bit], products: &Products) -> Option<Run> {
    let first = &bits[*chain.first()?];
    let mut points = vec![first.from];
    points.extend(chain.iter().map(|&i| bits[i].to));
    let length: f64 = chain.iter().map(|&i| bits[i].length).sum();
    #[allow(clippy::cast_possible_truncation)]
    let length = (length - 0.02).ceil().max(0.0) as Mm;
    let girth = first.height + products.foot;
    (length > 0 && girth > 0).then_some(Run { points, length, girth, kind: first.kind, height: first.height })
}

/// The parts of a wall that bound the deck, those that touch taken together.
fn bits_of(wall: &crate::model::Wall, deck: &DeckModel) -> Vec<Bit> {
    const TOUCHING: f64 = 2.0;
    let Edge::Upstand { height, kind } = wall.edge else { return Vec::new() };
    let whole = wall.a.distance(wall.b);
    let mut parts = stretches_on_deck(wall.a, wall.b, deck);
    parts.sort_by(|p, q| p[0].total_cmp(&q[0]));
    let mut merged: Vec<([f64; 2], f64)> = Vec::new();
    for [from, to] in parts {
        let length = (to - from) * whole;
        match merged.last_mut() {
            Some((last, sum)) if (from - last[1]) * whole <= TOUCHING => {
                last[1] = last[1].max(to);
                *sum += length;
            }
            _ => merged.push(([from, to], length)),
        }
    }
    let bit = |([from, to], length): ([f64; 2], f64)| Bit {
        from: between(wall.a, wall.b, from),
        to: between(wall.a, wall.b, to),
        length,
        kind,
        height,
    };
    merged.into_iter().map(bit).collect()
}

/// Which bit each goes on into.
fn links(bits: &[Bit]) -> Vec<Option<usize>> {
    let mut starting: BTreeMap<Pt, Vec<usize>> = BTreeMap::new();
    for (i, bit) in bits.iter().enumerate() {
        starting.entry(bit.from).or_default().push(i);
    }
    let mut taken = vec![false; bits.len()];
    let mut out = vec![None; bits.len()];
    for (i, bit) in bits.iter().enumerate() {
        let after = starting.get(&bit.to).into_iter().flatten().copied();
        let next = after.filter(|&n| n != i && !taken[n] && goes_on(bit, &bits[n])).min();
        if let Some(n) = next {
            taken[n] = true;
            out[i] = Some(n);
        }
    }
    out
}

#[allow(clippy::cast_precision_loss)]
fn goes_on(one: &Bit, two: &Bit) -> bool {
    let alike = (one.kind as u8, one.height) == (two.kind as u8, two.height);
    let ahead = |b: &Bit| ((b.to.x - b.from.x) as f64, (b.to.y - b.from.y) as f64);
    let ((ax, ay), (bx, by)) = (ahead(one), ahead(two));
    let lengths = one.from.distance(one.to) * two.from.distance(two.to);
    alike && lengths > 0.0 && (ax * bx + ay * by) / lengths >= EASED
}
