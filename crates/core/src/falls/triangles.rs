//! Triangles over points, with lines that none of them crosses: the one file that knows the triangulation library.
//!
//! In: points apart from one another, and edges between them that do not cross. Out: triangles, anticlockwise, that cover
//! the convex hull of the points, in an order that depends on the input alone. An edge that would cross one given before
//! it is left out and never stops the rest. It knows no deck and no level.

use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};
use std::collections::BTreeMap;

/// A triangle lower than this, mm, on an edge that can be turned is no facet but rounding.
const SLIVER: f64 = 1e-3;

/// Rounds of turning edges of slivers.
const ROUNDS: usize = 8;

/// A point with its number.
struct Corner {
    at: [f64; 2],
    number: usize,
}

impl HasPosition for Corner {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        Point2::new(self.at[0], self.at[1])
    }
}

/// Triangles over those of `points` that are listed in `used`, keeping to `edges`.
pub(super) fn triangles(points: &[[f64; 2]], used: &[usize], edges: &[[usize; 2]]) -> Vec<[usize; 3]> {
    let corners: Vec<Corner> = used.iter().map(|&n| Corner { at: points[n], number: n }).collect();
    let Ok(mut mesh) = ConstrainedDelaunayTriangulation::<Corner>::bulk_load(corners) else {
        return Vec::new();
    };
    let mut handles = vec![None; points.len()];
    for vertex in mesh.vertices() {
        handles[vertex.data().number] = Some(vertex.fix());
    }
    for &[a, b] in edges {
        if let (Some(from), Some(to)) = (handles[a], handles[b])
            && from != to
        {
            // Says nothing when it crosses one given before it: better without it than without a surface.
            mesh.try_add_constraint(from, to);
        }
    }
    let mut out: Vec<[usize; 3]> = mesh
        .inner_faces()
        .map(|face| from_least(face.vertices().map(|vertex| vertex.data().number)))
        .collect();
    out.sort_unstable();
    turn_slivers(points, &mut out, edges);
    out
}

fn from_least(mut triangle: [usize; 3]) -> [usize; 3] {
    let least = (0..3).min_by_key(|&k| triangle[k]).unwrap_or(0);
    triangle.rotate_left(least);
    triangle
}

/// Twice the area of a triangle, positive when anticlockwise.
pub(super) fn doubled(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// Square of a distance.
pub(super) fn squared(a: [f64; 2], b: [f64; 2]) -> f64 {
    (b[0] - a[0]) * (b[0] - a[0]) + (b[1] - a[1]) * (b[1] - a[1])
}

/// Least height of a triangle.
fn height(points: &[[f64; 2]], triangle: [usize; 3]) -> f64 {
    let [a, b, c] = triangle.map(|n| points[n]);
    let longest = squared(a, b).max(squared(b, c)).max(squared(c, a)).sqrt();
    if longest > 0.0 { doubled(a, b, c) / longest } else { 0.0 }
}

/// Turns the long edge of triangles that are nothing but rounding (points put on one line are not quite on it), where
/// that makes both better.
fn turn_slivers(points: &[[f64; 2]], triangles: &mut Vec<[usize; 3]>, edges: &[[usize; 2]]) {
    for _ in 0..ROUNDS {
        let slivers: Vec<usize> =
            (0..triangles.len()).filter(|&t| height(points, triangles[t]) < SLIVER).collect();
        let mut turning = Turning { points, edges, triangles, owner: BTreeMap::new(), touched: Vec::new() };
        if slivers.is_empty() || !turning.round(&slivers) {
            break;
        }
    }
    triangles.retain(|&t| height(points, t) > 0.0);
    triangles.sort_unstable();
}

/// A round of turning edges.
struct Turning<'a> {
    points: &'a [[f64; 2]],
    edges: &'a [[usize; 2]],
    triangles: &'a mut Vec<[usize; 3]>,
    /// The triangle on the left of each edge.
    owner: BTreeMap<(usize, usize), usize>,
    /// Triangles changed in this round: their neighbours are out of date.
    touched: Vec<bool>,
}

impl Turning<'_> {
    /// Whether any edge was turned.
    fn round(&mut self, slivers: &[usize]) -> bool {
        let sides = self.triangles.iter().enumerate();
        self.owner = sides.flat_map(|(n, t)| (0..3).map(move |k| ((t[k], t[(k + 1) % 3]), n))).collect();
        self.touched = vec![false; self.triangles.len()];
        let mut turned = false;
        for &sliver in slivers {
            turned |= self.turn(sliver);
        }
        turned
    }

    fn turn(&mut self, sliver: usize) -> bool {
        let (points, triangle) = (self.points, self.triangles[sliver]);
        let length = |k: usize| squared(points[triangle[k]], points[triangle[(k + 1) % 3]]);
        let long = (0..3).max_by(|&j, &k| length(j).total_cmp(&length(k))).unwrap_or(0);
        let (a, b, tip) = (triangle[long], triangle[(long + 1) % 3], triangle[(long + 2) % 3]);
        let Some(&other) = self.owner.get(&(b, a)) else { return false };
        let held = self.edges.contains(&[a, b]) || self.edges.contains(&[b, a]);
        if held || self.touched[sliver] || self.touched[other] {
            return false;
        }
        let Some(&far) = self.triangles[other].iter().find(|&&n| n != a && n != b) else { return false };
        let (one, two) = (from_least([a, far, tip]), from_least([far, b, tip]));
        let better = height(points, one).min(height(points, two));
        if better <= height(points, triangle).min(height(points, self.triangles[other])) {
            return false;
        }
        (self.triangles[sliver], self.triangles[other]) = (one, two);
        (self.touched[sliver], self.touched[other]) = (true, true);
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_not_quite_on_a_line_leaves_no_sliver() {
        let points = [[0.0, 0.0], [3.0, 1.0 + 1e-12], [6.0, 2.0], [0.0, 9.0], [9.0, 0.0], [3.0, 1.0 - 5.0]];
        let found = triangles(&points, &[0, 1, 2, 3, 4, 5], &[]);
        assert!(found.iter().all(|&t| height(&points, t) > SLIVER), "{found:?}");
    }

    #[test]
    fn crossing_edges_do_not_panic() {
        let points = [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]];
        let found = triangles(&points, &[0, 1, 2, 3], &[[0, 2], [1, 3]]);
        assert_eq!(found, [[0, 1, 2], [0, 2, 3]]);
    }
}
