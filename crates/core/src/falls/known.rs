//! What the levels given say of the rest of a deck: levels between them, and beyond them.
//!
//! In: the points of a sketch, those with levels, and lines that facets must keep to. Out: facets over the points with
//! levels, and a level for every other point: on the facet that holds it, or on from the nearest sound one. It makes no
//! surface of the deck.

use super::fit::fitted;
use super::given;
use super::locate::Places;
use super::mesh::Mesh;
use super::sketch::{Sketch, nearest_along};
use super::triangles::{doubled, squared, triangles};
use crate::finding::{About, Finding};
use crate::layout::falls::LevelInput;
use std::collections::BTreeMap;

/// Facets lower than this share of their longest side are not extended beyond the levels.
const SOUND: f64 = 0.1;

/// Beyond the width of the nearest facet, the mean fall is that of the levels within so many times the distance.
const AROUND: f64 = 3.0;

/// Points this near to the levels given are at their edge, mm: rounding may put them just beyond it.
const ROUNDING: f64 = 0.5;

/// The points of a deck whose levels are known, and facets over them.
pub(super) struct Known {
    /// Those points.
    pub(super) used: Vec<usize>,
    pub(super) facets: Vec<[usize; 3]>,
    /// The facets as a mesh of their own; absent when there is none.
    pub(super) places: Option<Places>,
}

impl Known {
    /// Facets over the points with levels, keeping to `lines` whose ends have them.
    pub(super) fn of(sketch: &Sketch, levels: &[Option<f64>], lines: &[[usize; 2]]) -> Self {
        let used: Vec<usize> = (0..levels.len()).filter(|&n| levels[n].is_some()).collect();
        let both: Vec<[usize; 2]> =
            lines.iter().copied().filter(|e| e.iter().all(|&n| levels[n].is_some())).collect();
        let facets = triangles(&sketch.at, &used, &both);
        let places = (!facets.is_empty()).then(|| {
            let z = levels.iter().map(|l| l.unwrap_or_default()).collect();
            Places::of(Mesh { at: sketch.at.clone(), z, facets: facets.clone(), ..Mesh::default() })
        });
        Self { used, facets, places }
    }

    /// Gives a level to every point that has none.
    pub(super) fn fill(&self, sketch: &Sketch, levels: &mut [Option<f64>], input: &mut LevelInput) -> Beside {
        let mut beside = Beside::default();
        let Some(places) = &self.places else { return beside };
        let rim = self.rim(places.mesh());
        for (n, level) in levels.iter_mut().enumerate().filter(|(_, level)| level.is_none()) {
            let at = sketch.at[n];
            let (away, found) = match places.facet_at(at) {
                Some(facet) => (0.0, places.mesh().level_on(facet, at)),
                None => self.extended(places.mesh(), &rim, at),
            };
            *level = Some(found);
            let corner = u32::from(n < sketch.corners);
            if away > ROUNDING {
                input.beyond += corner;
                beside.count += 1;
                if away > beside.away {
                    (beside.away, beside.at) = (away, at);
                }
            } else {
                input.between += corner;
            }
        }
        beside
    }

    /// The level to be expected at a place: on the surface over the known points, or extended to there, but no further up or
    /// down than the known levels differ: a steep facet says little of what is far from it.
    pub(super) fn expected_at(&self, at: [f64; 2]) -> Option<f64> {
        let places = self.places.as_ref()?;
        let mesh = places.mesh();
        let level = match places.facet_at(at) {
            Some(facet) => mesh.level_on(facet, at),
            None => self.extended(mesh, &self.rim(mesh), at).1,
        };
        let levels = || self.used.iter().map(|&n| mesh.z[n]);
        let (low, high) =
            (levels().fold(f64::INFINITY, f64::min), levels().fold(f64::NEG_INFINITY, f64::max));
        Some(level.max(low - (high - low)).min(high + (high - low)))
    }

    /// Facets with a corner on the outside of the levels, those of a sound shape; all sound ones when none is.
    fn rim(&self, mesh: &Mesh) -> Vec<usize> {
        let mut sides: BTreeMap<(usize, usize), bool> = BTreeMap::new();
        for t in &self.facets {
            for k in 0..3 {
                let (a, b) = (t[k], t[(k + 1) % 3]);
                sides.entry((a.min(b), a.max(b))).and_modify(|open| *open = false).or_insert(true);
            }
        }
        let mut outside = vec![false; mesh.at.len()];
        for (&(a, b), _) in sides.iter().filter(|&(_, &open)| open) {
            (outside[a], outside[b]) = (true, true);
        }
        let sound: Vec<usize> = (0..self.facets.len()).filter(|&f| is_sound(mesh, f)).collect();
        let rim: Vec<usize> =
            sound.iter().copied().filter(|&f| self.facets[f].iter().any(|&n| outside[n])).collect();
        if !rim.is_empty() {
            rim
        } else if !sound.is_empty() {
            sound
        } else {
            // Nothing sound at all: the largest will do.
            (0..self.facets.len())
                .max_by(|&f, &g| mesh.doubled_area(f).total_cmp(&mesh.doubled_area(g)))
                .into_iter()
                .collect()
        }
    }

    /// How far a place is from the nearest of some facets, and a level for it: on that facet's plane while it is no
    /// further away than the facet is wide; else on from the facet by the mean fall of the levels around, so that one odd
    /// level does not throw a corner far beyond it up or down.
    fn extended(&self, mesh: &Mesh, rim: &[usize], at: [f64; 2]) -> (f64, f64) {
        let nearest =
            rim.iter().map(|&f| (nearest_on(mesh, f, at), f)).min_by(|a, b| a.0.0.total_cmp(&b.0.0));
        let Some(((squared_away, foot), facet)) = nearest else { return (0.0, 0.0) };
        let away = squared_away.sqrt();
        if away <= width(mesh, facet) {
            return (away, mesh.level_on(facet, at));
        }
        let reach = AROUND * away;
        let around: Vec<[f64; 3]> = self
            .used
            .iter()
            .filter(|&&n| squared(mesh.at[n], foot) <= reach * reach)
            .map(|&n| [mesh.at[n][0] - foot[0], mesh.at[n][1] - foot[1], mesh.z[n]])
            .collect();
        let slope = fitted(&around).map_or_else(|| mesh.slope(facet), |plane| plane.slope);
        let level = mesh.level_on(facet, foot) + slope[0] * (at[0] - foot[0]) + slope[1] * (at[1] - foot[1]);
        (away, level)
    }
}

/// The place on a facet nearest to a place outside it, with the square of the distance.
fn nearest_on(mesh: &Mesh, facet: usize, at: [f64; 2]) -> (f64, [f64; 2]) {
    let corners = mesh.facets[facet].map(|n| mesh.at[n]);
    let sides = [0, 1, 2].map(|k| (corners[k], corners[(k + 1) % 3]));
    if sides.iter().all(|&(p, q)| doubled(p, q, at) >= 0.0) {
        return (0.0, at);
    }
    let feet = sides.map(|(p, q)| nearest_along(at, p, q));
    let [first, second, third] = feet.map(|foot| (squared(foot, at), foot));
    let nearer = |a: (f64, [f64; 2]), b: (f64, [f64; 2])| if b.0 < a.0 { b } else { a };
    nearer(nearer(first, second), third)
}

/// Least height of a facet, mm.
fn width(mesh: &Mesh, facet: usize) -> f64 {
    let [a, b, c] = mesh.facets[facet].map(|n| mesh.at[n]);
    mesh.doubled_area(facet) / squared(a, b).max(squared(b, c)).max(squared(c, a)).sqrt()
}

/// Points beyond the levels given.
#[derive(Default)]
pub(super) struct Beside {
    count: usize,
    /// How far the furthest is from the levels, mm, and where.
    away: f64,
    at: [f64; 2],
}

impl Beside {
    /// What there is to say of them.
    pub(super) fn told(&self, deck: u32) -> Option<Finding> {
        let text = match self.count {
            0 => return None,
            1 => format!(
                "On deck {deck} the level of one corner or outlet is assumed: it lies {:.0} mm beyond the levels given.",
                self.away
            ),
            count => format!(
                "On deck {deck} the levels of {count} corners or outlets are assumed: they lie up to {:.0} mm beyond the levels given.",
                self.away
            ),
        };
        let mend = "Take levels at the corners of the deck, or check what was assumed.";
        Some(Finding::note("levels-extended", About::Plan(deck), text, mend).at(given::near(self.at)))
    }
}

fn is_sound(mesh: &Mesh, facet: usize) -> bool {
    let [a, b, c] = mesh.facets[facet].map(|n| mesh.at[n]);
    let longest = squared(a, b).max(squared(b, c)).max(squared(c, a));
    mesh.doubled_area(facet) >= SOUND * longest
}
