//! Where two areas touch: the straight lines that they share.
//!
//! In: two areas that lie side by side, in whole mm. Out: the parts of their edges that run along each other, to within
//! 3 mm. Areas of two zones share corners to the mm only. It measures no distance between areas that are apart.

use super::{Pt, Region, ring};

/// Edges this near to each other are one, mm.
const TOUCHING: f64 = 3.0;

/// The same in whole mm, for bounds.
const NEAR: i64 = 3;

/// Shortest common edge worth a line, mm.
const SHORTEST: f64 = 2.0;

/// A line that two areas share: its ends, mm, and the unit vector at right angles to it that points into the first area.
pub type CommonEdge = ([f64; 2], [f64; 2], [f64; 2]);

/// Bounds of an area, as far as it has any.
pub type Bounds = Option<(Pt, Pt)>;

/// Whether two areas may touch, by their bounds.
pub fn may_touch(one: Bounds, two: Bounds) -> bool {
    let (Some((a, b)), Some((c, d))) = (one, two) else { return false };
    a.x <= d.x + NEAR && c.x <= b.x + NEAR && a.y <= d.y + NEAR && c.y <= b.y + NEAR
}

/// The lines that two areas share, in the order of the first area's edges.
pub fn common_edges(one: &[Region], two: &[Region]) -> Vec<CommonEdge> {
    let two = edges(two);
    edges(one).into_iter().flat_map(|(a, b)| shared_with(a, b, &two)).collect()
}

fn edges(area: &[Region]) -> Vec<([f64; 2], [f64; 2])> {
    let all = area.iter().flatten().flat_map(|r| ring::edges(r).collect::<Vec<_>>());
    all.map(|(a, b)| (place(a), place(b))).collect()
}

/// The parts of the edge from `a` to `b` that others run along the other way round, as areas on its other side do.
fn shared_with(a: [f64; 2], b: [f64; 2], others: &[([f64; 2], [f64; 2])]) -> Vec<CommonEdge> {
    let d = [b[0] - a[0], b[1] - a[1]];
    let length = (d[0] * d[0] + d[1] * d[1]).sqrt();
    if length < SHORTEST {
        return Vec::new();
    }
    let along = d.map(|c| c / length);
    let inwards = [-along[1], along[0]];
    let from_a = |p: [f64; 2], by: [f64; 2]| (p[0] - a[0]) * by[0] + (p[1] - a[1]) * by[1];
    let at = |s: f64| [a[0] + s * along[0], a[1] + s * along[1]];
    let span = |&(c, d): &([f64; 2], [f64; 2])| {
        let (at_c, at_d) = (from_a(c, along), from_a(d, along));
        let (from, to) = (at_d.max(0.0), at_c.min(length));
        // How far apart they are is looked at where they run beside each other only: a short edge drawn out is off.
        let off = |s: f64| {
            let share = (s - at_c) / (at_d - at_c);
            (from_a(c, inwards) + share * (from_a(d, inwards) - from_a(c, inwards))).abs()
        };
        (to - from >= SHORTEST && off(from) <= TOUCHING && off(to) <= TOUCHING).then_some((from, to))
    };
    others.iter().filter_map(span).map(|(from, to)| (at(from), at(to), inwards)).collect()
}

#[allow(clippy::cast_precision_loss)]
fn place(p: Pt) -> [f64; 2] {
    [p.x as f64, p.y as f64]
}
