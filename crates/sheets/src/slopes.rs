//! Which way the deck rises at a place.
//!
//! In: the facets of the surface. Out: on which side of a line up the fall is. A raster over the facets keeps the look-up
//! short. Beyond the surface nothing is known, and the answer is the left.

use crate::clip::direction;
use baylap_core::geom::Pt;
use baylap_core::layout::Falls;
use std::collections::BTreeMap;

/// Squares along the longer side of the surface, at most.
const MOST_SQUARES: f64 = 64.0;

/// Facets by square.
pub struct Slopes<'a> {
    falls: &'a Falls,
    side: f64,
    cells: BTreeMap<[i64; 2], Vec<usize>>,
}

impl<'a> Slopes<'a> {
    /// The facets of a surface, ready to be looked up.
    pub fn new(falls: &'a Falls) -> Self {
        let mut slopes = Self { falls, side: 1.0, cells: BTreeMap::new() };
        let [lo, hi] = bounds(&falls.points.iter().map(of_mm).collect::<Vec<_>>());
        slopes.side = ((hi[0] - lo[0]).max(hi[1] - lo[1]) / MOST_SQUARES).max(500.0);
        for index in 0..falls.facets.len() {
            let [lo, hi] = bounds(&slopes.corners(index)).map(|p| slopes.cell(p));
            for x in lo[0]..=hi[0] {
                for y in lo[1]..=hi[1] {
                    slopes.cells.entry([x, y]).or_default().push(index);
                }
            }
        }
        slopes
    }

    /// Whether the deck rises to the left of the line from `a` to `b`, at its middle.
    #[allow(clippy::cast_precision_loss)]
    pub fn rises_left(&self, a: Pt, b: Pt) -> bool {
        let (dx, dy) = ((b.x - a.x) as f64, (b.y - a.y) as f64);
        let middle = [(a.x + b.x) as f64 / 2.0, (a.y + b.y) as f64 / 2.0];
        let Some(index) = self.at(middle) else { return true };
        // Water runs to the right when the deck rises to the left.
        let [x, y] = direction(self.falls.facets[index].direction_mdeg);
        dx * y - dy * x <= 0.0
    }

    fn at(&self, place: [f64; 2]) -> Option<usize> {
        let near = self.cells.get(&self.cell(place))?;
        near.iter().copied().find(|index| holds(self.corners(*index), place))
    }

    fn corners(&self, index: usize) -> [[f64; 2]; 3] {
        self.falls.facets[index].corners.map(|i| self.falls.points.get(i as usize).map_or([0.0; 2], of_mm))
    }

    fn cell(&self, place: [f64; 2]) -> [i64; 2] {
        place.map(|c| crate::clip::whole((c / self.side).floor()))
    }
}

#[allow(clippy::cast_precision_loss)]
fn of_mm([x, y, _]: &[i64; 3]) -> [f64; 2] {
    [*x as f64 / 1000.0, *y as f64 / 1000.0]
}

/// Least and greatest coordinates; noughts of nothing.
fn bounds(points: &[[f64; 2]]) -> [[f64; 2]; 2] {
    let Some(first) = points.first() else { return [[0.0; 2]; 2] };
    points.iter().fold([*first; 2], |[lo, hi], p| {
        [[lo[0].min(p[0]), lo[1].min(p[1])], [hi[0].max(p[0]), hi[1].max(p[1])]]
    })
}

/// Whether a place lies in a triangle or on its edge, whichever way round it is.
fn holds([a, b, c]: [[f64; 2]; 3], p: [f64; 2]) -> bool {
    let turn = |a: [f64; 2], b: [f64; 2]| (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
    let turns = [turn(a, b), turn(b, c), turn(c, a)];
    turns.iter().all(|t| *t >= 0.0) || turns.iter().all(|t| *t <= 0.0)
}
