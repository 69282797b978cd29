//! Spans: the parts of a straight line that lie inside areas.
//!
//! In: a line on the plan, mm, and areas in whole mm. Out: the parts of it inside one area, or inside both of two, in order.
//! A line along an edge may be said to lie on either side of it: look a little to the side. It moves nothing.

use super::{Region, ring};

/// Shortest part worth a line, mm.
pub const SHORTEST: f64 = 2.0;

/// A line: its ends, mm.
pub type Span = ([f64; 2], [f64; 2]);

/// The parts of a line inside both of two areas.
pub fn in_both(a: [f64; 2], b: [f64; 2], one: &[Region], two: &[Region]) -> Vec<Span> {
    let length = length_of(a, b);
    let at = |t: f64| [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
    let mut out = Vec::new();
    let inside_two = inside(a, b, two);
    for [from, to] in inside(a, b, one) {
        for [f, t] in &inside_two {
            let (from, to) = (from.max(*f), to.min(*t));
            if (to - from) * length >= SHORTEST {
                out.push((at(from), at(to)));
            }
        }
    }
    out
}

/// Length of a line, mm.
pub fn length_of(a: [f64; 2], b: [f64; 2]) -> f64 {
    let d = [b[0] - a[0], b[1] - a[1]];
    (d[0] * d[0] + d[1] * d[1]).sqrt()
}

/// The parts of a line inside an area, as shares of it, in order.
#[allow(clippy::cast_precision_loss)]
pub fn inside(a: [f64; 2], b: [f64; 2], area: &[Region]) -> Vec<[f64; 2]> {
    let d = [b[0] - a[0], b[1] - a[1]];
    let side = |p: [f64; 2]| d[0] * (p[1] - a[1]) - d[1] * (p[0] - a[0]);
    let along = |p: [f64; 2]| (d[0] * (p[0] - a[0]) + d[1] * (p[1] - a[1])) / (d[0] * d[0] + d[1] * d[1]);
    let mut crossings = Vec::new();
    for (p, q) in area.iter().flatten().flat_map(|r| ring::edges(r)) {
        let [p, q] = [p, q].map(|p| [p.x as f64, p.y as f64]);
        let (sp, sq) = (side(p), side(q));
        if (sp < 0.0) != (sq < 0.0) {
            let t = sp / (sp - sq);
            crossings.push(along(p) + t * (along(q) - along(p)));
        }
    }
    crossings.sort_by(f64::total_cmp);
    let pairs = crossings.chunks_exact(2).map(|c| [c[0].max(0.0), c[1].min(1.0)]);
    pairs.filter(|[from, to]| from < to).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Pt;

    #[test]
    fn a_line_over_two_areas_and_a_hole_is_parted() {
        let ring = |points: &[(i64, i64)]| points.iter().map(|&(x, y)| Pt::new(x, y)).collect::<Vec<_>>();
        let outer = ring(&[(0, 0), (100, 0), (100, 50), (0, 50)]);
        let hole = ring(&[(40, 10), (40, 40), (60, 40), (60, 10)]);
        let one = vec![vec![outer, hole]];
        let two = vec![vec![ring(&[(20, -10), (300, -10), (300, 90), (20, 90)])]];
        let spans = in_both([-50.0, 25.0], [400.0, 25.0], &one, &two);
        let wanted = [([20.0, 25.0], [40.0, 25.0]), ([60.0, 25.0], [100.0, 25.0])];
        assert_eq!(spans.len(), 2, "{spans:?}");
        for ((a, b), (c, d)) in spans.into_iter().zip(wanted) {
            assert!(length_of(a, c) < 1e-9 && length_of(b, d) < 1e-9, "{a:?} {b:?}");
        }
        assert!(in_both([0.0, 60.0], [100.0, 60.0], &one, &two).is_empty());
    }
}
