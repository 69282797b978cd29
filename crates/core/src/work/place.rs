//! Where things lie: the bay that holds a place, and the deck of a bay.
//!
//! In: bays with their bounds. Out: the one that holds or touches a place, the nearest when none does. Of several the one
//! poured first.

use crate::geom::Pt;
use crate::geom::contact::Bounds;
use crate::geom::ring::{self, Side};
use crate::layout::Bay;
use crate::model::{DeckModel, distance_to};

/// A bay and its bounds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place<'a> {
    /// Its index among all bays asked for.
    pub(super) index: usize,
    /// The bay.
    pub(super) bay: &'a Bay,
    /// Its bounds.
    pub(super) bounds: Bounds,
}

impl<'a> Place<'a> {
    /// All bays.
    pub(super) fn all(bays: &'a [Bay]) -> Vec<Self> {
        let place = |(index, bay): (usize, &'a Bay)| Place {
            index,
            bay,
            bounds: ring::bounds(bay.area.iter().flatten().flatten()),
        };
        bays.iter().enumerate().map(place).collect()
    }

    /// Whether a place is in it or on its edge.
    pub(super) fn holds(&self, at: Pt) -> bool {
        self.may_hold(at) && self.bay.area.iter().any(|r| ring::locate_in(at, r) != Side::Outside)
    }

    /// Distance of a place from its edge, 0 inside it, mm.
    pub(super) fn distance(&self, at: Pt) -> f64 {
        if self.holds(at) {
            return 0.0;
        }
        let edges = self.bay.area.iter().flatten().flat_map(|r| ring::edges(r));
        edges.map(|(a, b)| distance_to(at, a, b)).fold(f64::INFINITY, f64::min)
    }

    fn may_hold(&self, at: Pt) -> bool {
        self.bounds.is_some_and(|(lo, hi)| at.x >= lo.x && at.x <= hi.x && at.y >= lo.y && at.y <= hi.y)
    }
}

/// The bay at a place, as an index into `bays`: the first poured of those that hold or touch it, else the nearest.
pub(super) fn nearest(bays: &[Place<'_>], at: Pt) -> Option<usize> {
    let held = (0..bays.len()).filter(|&i| bays[i].holds(at)).min_by_key(|&i| bays[i].bay.number);
    held.or_else(|| {
        let far: Vec<f64> = bays.iter().map(|b| b.distance(at)).collect();
        (0..bays.len())
            .min_by(|&i, &j| far[i].total_cmp(&far[j]).then(bays[i].bay.number.cmp(&bays[j].bay.number)))
    })
}

/// The bays of each deck.
pub(super) fn by_deck<'a>(decks: &[DeckModel], bays: &[Place<'a>]) -> Vec<Vec<Place<'a>>> {
    let mut out = vec![Vec::new(); decks.len()];
    for place in bays {
        let at = place.bay.label;
        let holds = |deck: &DeckModel| deck.area.iter().any(|r| ring::locate_in(at, r) != Side::Outside);
        if let Some(deck) = decks.iter().position(holds) {
            out[deck].push(*place);
        }
    }
    out
}
