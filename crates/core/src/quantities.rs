//! Quantities: what is measured and what is ordered.
//!
//! In: the plan, the checked decks, areas and the cut list. Out: the details to be done first and the sums of
//! [`Totals`], each rounded once and in the direction a buyer would. Measured figures are net; ordered figures hold laps,
//! cuts and whole units; the two are never mixed. All rates are the user's inputs.

use crate::geom::Pt;
use crate::geom::ring::doubled_area;
use crate::layout::{Details, Totals, UpstandSum};
use crate::model::Model;
use crate::plan::{Edge, Mm, Plan, Products, UpstandKind};
use std::collections::{BTreeMap, BTreeSet};

/// Voids up to this are not deducted from the measured area, mm2 (1.00 m2; NRM2 and SMM7 as remembered in trade.md 7).
pub const VOID_NOT_DEDUCTED: i64 = 1_000_000;

const MM2_IN_M2: i128 = 1_000_000;

/// What is done before the main deck.
pub fn details(plan: &Plan, model: &Model, joints: Mm) -> Details {
    let mut upstands: BTreeMap<(u8, Mm), (UpstandKind, f64)> = BTreeMap::new();
    let mut free = 0.0;
    for deck in &model.decks {
        for wall in &deck.walls {
            let length = on_deck(wall.a, wall.b, deck);
            match wall.edge {
                Edge::Upstand { height, kind } => {
                    upstands.entry((kind as u8, height)).or_insert((kind, 0.0)).1 += length;
                }
                Edge::Free { .. } => free += length,
            }
        }
    }
    let pockets: BTreeSet<u32> = plan.penetrations.iter().filter_map(|p| p.pocket).collect();
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    Details {
        upstands: upstands
            .into_iter()
            .map(|((_, height), (kind, length))| UpstandSum { kind, height, length: up(length) })
            .filter(|sum| sum.length > 0)
            .collect(),
        free_edges: up(free),
        joints,
        penetrations: count(plan.penetrations.iter().filter(|p| p.pocket.is_none()).count()),
        pockets: count(pockets.len()),
        outlets: count(plan.outlets.len()),
    }
}

/// Completes the sums that follow from areas and the user's rates.
pub fn complete(totals: &mut Totals, products: &Products, details: &Details) {
    let area = i128::from(totals.deck_area);
    let coats: i128 = products.coats.iter().map(|c| i128::from(*c)).sum();
    // mm2 x 1/100 mm x kg/m3: 10^2 and 10^9 to come back to kg.
    let kg = area * coats * i128::from(products.density);
    totals.membrane_kg = ceil(kg, 100 * 1_000_000_000);
    totals.blocks = ceil(i128::from(totals.membrane_kg) * 100, i128::from(products.block));
    let litres = ceil(area * 100, MM2_IN_M2 * i128::from(products.primer_coverage));
    totals.primer_litres = litres;
    totals.primer_tins = ceil(i128::from(litres) * 100, i128::from(products.primer_tin));
    totals.sheet_area = sheet_gross(area, products);
    let gross = i128::from(products.sheet_width) * i128::from(products.sheet_length);
    totals.sheet_rolls = if gross > 0 { ceil(i128::from(totals.sheet_area), gross) } else { 0 };
    totals.upstand_area = details.upstands.iter().map(|u| u.length * (u.height + products.foot)).sum();
}

/// Protection sheet with its laps for an area, mm2 rounded up; 0 when its laps leave nothing of it.
pub fn sheet_gross(area: i128, products: &Products) -> i64 {
    with_laps(area, [products.sheet_width, products.sheet_length], products.sheet_lap)
}

/// Area of rolls of a width and a length that cover an area with a lap on one long side and one end, mm2 rounded up; 0 when
/// the lap leaves nothing of them.
pub fn with_laps(area: i128, roll: [Mm; 2], lap: Mm) -> i64 {
    let [width, length] = roll.map(i128::from);
    let lap = i128::from(lap);
    let cover = if width > lap && length > lap { (width - lap) * (length - lap) } else { 0 };
    ceil(area * width * length, cover)
}

/// Deck as measured: outlines, less only the voids over [`VOID_NOT_DEDUCTED`].
pub fn measured(model: &Model) -> i64 {
    let mut doubled: i128 = 0;
    for ring in model.decks.iter().flat_map(|d| &d.area).flatten() {
        let area = doubled_area(ring);
        if area > 0 || -area > 2 * i128::from(VOID_NOT_DEDUCTED) {
            doubled += area;
        }
    }
    i64::try_from(doubled / 2).unwrap_or(i64::MAX)
}

/// Length of a wall that bounds the deck.
fn on_deck(a: Pt, b: Pt, deck: &crate::model::DeckModel) -> f64 {
    let length = a.distance(b);
    stretches_on_deck(a, b, deck).into_iter().map(|[from, to]| (to - from) * length).sum()
}

/// The stretches of a wall that bound the deck, as shares of the way from `a` to `b`: openings may overlap each other or
/// stand off it. Points put on a straight wall are no corners of the deck, so either may be the longer.
pub fn stretches_on_deck(a: Pt, b: Pt, deck: &crate::model::DeckModel) -> Vec<[f64; 2]> {
    let length = a.distance(b);
    let shared = |(p, q): (Pt, Pt)| -> Option<[f64; 2]> {
        #[allow(clippy::cast_precision_loss)]
        let share = |r: Pt| (a.dot(b, r) as f64 / (length * length)).clamp(0.0, 1.0);
        let (from, to) = (share(p), share(q));
        let near = |t: f64| crate::model::distance_to(between(a, b, t), p, q) <= 1.5;
        (to > from && near(from) && near(to)).then_some([from, to])
    };
    deck.rim.iter().flat_map(|r| crate::geom::ring::edges(r)).filter_map(shared).collect()
}

/// The place a share of the way from `a` to `b`, on the grid.
#[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
pub fn between(a: Pt, b: Pt, share: f64) -> Pt {
    let part = |from: i64, to: i64| from + libm::round((to - from) as f64 * share) as i64;
    Pt::new(part(a.x, b.x), part(a.y, b.y))
}

#[allow(clippy::cast_possible_truncation)]
fn up(length: f64) -> Mm {
    (length - 0.02).ceil().max(0.0) as Mm
}

/// Whole units that hold `amount / per`; 0 when `per` is not positive.
pub(crate) fn ceil(amount: i128, per: i128) -> i64 {
    if per <= 0 { 0 } else { i64::try_from((amount + per - 1) / per).unwrap_or(i64::MAX) }
}
