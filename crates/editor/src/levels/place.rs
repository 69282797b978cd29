//! How the places of a list come to lie on the plan.
//!
//! In: places as they stand in the list, whole mm, and the way chosen. Out: the shift that puts them on the plan. Lists
//! are moved, never turned or stretched.

use super::Reading;
use crate::change::Shift;
use baylap_core::Plan;
use baylap_core::geom::{Pt, ring};
use baylap_core::plan::Mm;

/// How a list is put on the plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Put {
    /// As it is: the list has the plan's zero.
    #[default]
    AsTyped,
    /// Its zero lies at this place of the list: it is taken off every point, mm.
    Less([Mm; 2]),
    /// Its first point comes to lie here.
    FirstAt(Pt),
    /// Its middle comes to lie on the middle of the decks.
    OnDeck,
}

impl Put {
    /// The shift of all places.
    pub(super) fn shift(self, places: &[Pt], plan: &Plan) -> Shift {
        let by = |from: Pt, to: Pt| Shift::between(from, to);
        match (self, places.first()) {
            (Put::AsTyped, _) | (_, None) => Shift::default(),
            (Put::Less([x, y]), _) => by(Pt::new(x, y), Pt::new(0, 0)),
            (Put::FirstAt(to), Some(first)) => by(*first, to),
            (Put::OnDeck, _) => match (middle(places), middle(&corners_of_decks(plan))) {
                (Some(from), Some(to)) => by(from, to),
                _ => Shift::default(),
            },
        }
    }
}

/// The middle of the box round points.
fn middle(points: &[Pt]) -> Option<Pt> {
    let (lo, hi) = ring::bounds(points)?;
    Some(Pt::new(lo.x.midpoint(hi.x), lo.y.midpoint(hi.y)))
}

pub(super) fn corners_of_decks(plan: &Plan) -> Vec<Pt> {
    plan.decks.iter().flat_map(|d| d.ring.iter().map(|c| c.at)).collect()
}

/// Width and height of the box round the decks.
pub(super) fn size_of_decks(plan: &Plan) -> Option<[Mm; 2]> {
    let (lo, hi) = ring::bounds(&corners_of_decks(plan))?;
    (hi != lo).then(|| [hi.x - lo.x, hi.y - lo.y])
}

/// As it is when most of it lies on the decks or when there are none; else on the middle of the decks.
pub(super) fn likely(as_typed: &Reading, plan: &Plan) -> Put {
    let Some((lo, hi)) = ring::bounds(&corners_of_decks(plan)) else { return Put::AsTyped };
    let on = |p: Pt| (lo.x..=hi.x).contains(&p.x) && (lo.y..=hi.y).contains(&p.y);
    let inside = as_typed.places.iter().filter(|p| on(**p)).count();
    if as_typed.places.is_empty() || 2 * inside >= as_typed.places.len() { Put::AsTyped } else { Put::OnDeck }
}
