//! Bands along edges: the area within a distance of a run of walls, with mitred joins.
//!
//! In: edges of a ring with a distance each, the area to keep on the left. Out: shapes in mm as floats, to be taken
//! away in one boolean operation. Joins are mitred, so the band is never narrower than asked at a corner; a corner
//! sharper than the limit is cut off square. It does no boolean operation itself and knows nothing of upstands.

use super::Pt;

/// A shape computed off the grid, mm.
pub type Shape = Vec<[f64; 2]>;

/// Longest mitre as a multiple of the distance.
const MITRE_LIMIT: f64 = 10.0;

/// Sides of the polygon that stands for a circle.
const CIRCLE_SIDES: u32 = 24;

/// An edge with the width of the band on its left, mm.
#[derive(Clone, Copy, Debug)]
pub struct Banded {
    /// Start.
    pub a: Pt,
    /// End.
    pub b: Pt,
    /// Width of the band, mm; 0 for none.
    pub width: i64,
}

/// Bands on the left of the edges of a closed ring.
pub fn bands(edges: &[Banded]) -> Vec<Shape> {
    let mut shapes = Vec::new();
    for (i, edge) in edges.iter().enumerate() {
        shapes.extend(strip(edge));
        shapes.extend(mitre(edge, &edges[(i + 1) % edges.len()]));
    }
    shapes
}

/// Bands reach this far back over the edge, mm: an area cut along a line and snapped may bulge over its own edge by a
/// mm, and what bulges must not be left standing outside the band.
const BACK: f64 = 2.0;

/// The band on the left of one edge, with no joins.
pub fn strip(edge: &Banded) -> Option<Shape> {
    let side = Side::of(edge)?;
    if edge.width <= 0 {
        return None;
    }
    Some(vec![
        point(edge.a),
        side.out(edge.a),
        side.out(edge.b),
        point(edge.b),
        side.off(edge.b),
        side.off(edge.a),
    ])
}

/// A polygon that holds a circle and is nowhere more than 1 % of its radius outside it.
#[allow(clippy::cast_precision_loss)]
pub fn circle(centre: Pt, radius: f64) -> Shape {
    let step = 2.0 * core::f64::consts::PI / f64::from(CIRCLE_SIDES);
    let reach = radius / libm::cos(step / 2.0);
    (0..CIRCLE_SIDES)
        .map(|i| {
            let angle = (f64::from(i) + 0.5) * step;
            [centre.x as f64 + reach * libm::cos(angle), centre.y as f64 + reach * libm::sin(angle)]
        })
        .collect()
}

/// The join of two bands at a corner that turns right (a re-entrant corner of the area on the left).
fn mitre(first: &Banded, second: &Banded) -> Option<Shape> {
    let (one, two) = (Side::of(first)?, Side::of(second)?);
    let turn = one.along[0] * two.along[1] - one.along[1] * two.along[0];
    let ahead = one.along[0] * two.along[0] + one.along[1] * two.along[1];
    let reversed = ahead < 0.0 && turn == 0.0;
    if first.b != second.a || (turn >= 0.0 && !reversed) || first.width.max(second.width) <= 0 {
        return None;
    }
    let corner = point(first.b);
    let (start, end) = (one.off(first.b), two.off(second.a));
    let mut shape = vec![corner, start];
    shape.extend(tip(&one, &two, start, end, turn));
    shape.push(end);
    // Clockwise as built: the caller's boolean operation winds it.
    Some(shape)
}

/// Where the outer lines of two bands meet, or the two corners of a square cut when that is too far out.
fn tip(one: &Side, two: &Side, start: [f64; 2], end: [f64; 2], turn: f64) -> Vec<[f64; 2]> {
    let gap = [end[0] - start[0], end[1] - start[1]];
    let limit = MITRE_LIMIT * one.width.max(two.width);
    if turn != 0.0 {
        let t = (gap[0] * two.along[1] - gap[1] * two.along[0]) / turn;
        if t.abs() <= limit {
            return vec![[start[0] + t * one.along[0], start[1] + t * one.along[1]]];
        }
    }
    if (one.width - two.width).abs() > 0.5 {
        // Bands of different widths on what is nearly one straight edge: their ends make a step, not a mitre.
        return Vec::new();
    }
    vec![
        [start[0] + limit * one.along[0], start[1] + limit * one.along[1]],
        [end[0] - limit * two.along[0], end[1] - limit * two.along[1]],
    ]
}

struct Side {
    along: [f64; 2],
    width: f64,
}

impl Side {
    #[allow(clippy::cast_precision_loss)]
    fn of(edge: &Banded) -> Option<Self> {
        let length = edge.a.distance(edge.b);
        (edge.a != edge.b).then(|| Side {
            along: [(edge.b.x - edge.a.x) as f64 / length, (edge.b.y - edge.a.y) as f64 / length],
            width: edge.width.max(0) as f64,
        })
    }

    fn off(&self, p: Pt) -> [f64; 2] {
        self.beside(p, self.width)
    }

    fn out(&self, p: Pt) -> [f64; 2] {
        self.beside(p, -BACK)
    }

    fn beside(&self, p: Pt, distance: f64) -> [f64; 2] {
        let [x, y] = point(p);
        [x - distance * self.along[1], y + distance * self.along[0]]
    }
}

#[allow(clippy::cast_precision_loss)]
fn point(p: Pt) -> [f64; 2] {
    [p.x as f64, p.y as f64]
}
