//! The feet of upstands on a surface: which edge of the mesh stands at which wall of the plan, and how high that is.
//!
//! In: a mesh and the walls of its deck. Out: a [`Foot`] for each edge of the mesh at an upstand, the faces that walls above
//! the roof turn to the rain by where their water goes, and the level that water rises to before it runs over an upstand.

use super::catchments::Catchments;
use super::flow::{apart, cross, minus};
use super::mesh::{Beyond, Mesh};
use crate::layout::falls::Sink;
use crate::model::Wall;
use crate::plan::{Edge, Mm, UpstandKind};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// An edge of the mesh at an upstand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Foot {
    /// The facet.
    pub facet: usize,
    /// Its edge, from this corner to the next.
    pub edge: usize,
    /// The wall of the deck, by its place in the model's list.
    pub wall: usize,
    /// Height of the upstand, mm.
    pub height: Mm,
    /// What stands there.
    pub kind: UpstandKind,
}

/// Edges of the mesh lie this close to the wall they stand at, mm.
const AT_WALL: f64 = 5.0;

/// The feet of a mesh, facet by facet.
pub fn feet(mesh: &Mesh, walls: &[Wall]) -> Vec<Foot> {
    let mut feet = Vec::new();
    for (facet, beyond) in mesh.beyond.iter().enumerate() {
        for edge in (0..3).filter(|&k| beyond[k] == Beyond::Wall) {
            let [a, b] = ends(mesh, facet, edge);
            let middle = [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])];
            let upstands = walls.iter().enumerate().filter_map(|(wall, w)| match w.edge {
                Edge::Upstand { height, kind } => Some((wall, height, kind, off(middle, w))),
                Edge::Free { .. } => None,
            });
            let nearest = upstands.min_by(|a, b| a.3.total_cmp(&b.3)).filter(|n| n.3 <= AT_WALL);
            feet.extend(nearest.map(|(wall, height, kind, _)| Foot { facet, edge, wall, height, kind }));
        }
    }
    feet
}

/// The faces of walls above the roof, by where the water at their foot goes: vectors out from each wall, as long as its area
/// in mm2, at a height in mm.
pub fn faces(mesh: &Mesh, parts: &Catchments, feet: &[Foot], height: f64) -> BTreeMap<Sink, Vec<[f64; 2]>> {
    let mut by_wall: BTreeMap<(Sink, usize), [f64; 2]> = BTreeMap::new();
    for foot in feet.iter().filter(|f| f.kind == UpstandKind::Wall) {
        let [a, b] = ends(mesh, foot.facet, foot.edge);
        let [x, y] = minus(b, a);
        for (from, to, sink) in parts.along_edge(mesh, foot.facet, foot.edge) {
            let face = by_wall.entry((sink, foot.wall)).or_insert([0.0; 2]);
            // The deck is on the left of its edges, so that is the side that the wall turns to it.
            *face = [face[0] - y * (to - from) * height, face[1] + x * (to - from) * height];
        }
    }
    let mut faces: BTreeMap<Sink, Vec<[f64; 2]>> = BTreeMap::new();
    for ((sink, _), face) in by_wall {
        faces.entry(sink).or_default().push(face);
    }
    faces
}

/// The level that water rising from a point reaches when it first runs over an upstand, and the point at whose foot that
/// is, if outlets and free edges let none out. Nothing when no upstand bounds it.
pub fn over_upstand(mesh: &Mesh, feet: &[Foot], beside: &[Vec<usize>], from: usize) -> Option<(f64, usize)> {
    let mut top = vec![f64::INFINITY; mesh.at.len()];
    for foot in feet {
        let points = mesh.facets[foot.facet];
        for point in [points[foot.edge], points[(foot.edge + 1) % 3]] {
            top[point] = top[point].min(mesh.z[point] + height_of(foot));
        }
    }
    let key = |level: f64, point: usize| Reverse((Rising(level), point));
    let mut open = BinaryHeap::from([key(mesh.z[from], from)]);
    let (mut level, mut reached, mut over) = (mesh.z[from], vec![false; mesh.at.len()], None);
    while let Some(Reverse((Rising(z), point))) = open.pop() {
        if over.is_some_and(|(least, _)| z.max(level) >= least) {
            break;
        }
        if std::mem::replace(&mut reached[point], true) {
            continue;
        }
        level = level.max(z);
        let here = top[point].max(level);
        if here.is_finite() && over.is_none_or(|(least, _)| here < least) {
            over = Some((here, point));
        }
        open.extend(beside[point].iter().filter(|&&p| !reached[p]).map(|&p| key(mesh.z[p], p)));
    }
    over
}

/// A level that sorts.
#[derive(Clone, Copy, PartialEq)]
struct Rising(f64);

impl Eq for Rising {}

impl PartialOrd for Rising {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Rising {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

fn ends(mesh: &Mesh, facet: usize, edge: usize) -> [[f64; 2]; 2] {
    [mesh.at[mesh.facets[facet][edge]], mesh.at[mesh.facets[facet][(edge + 1) % 3]]]
}

#[allow(clippy::cast_precision_loss)]
fn height_of(foot: &Foot) -> f64 {
    foot.height.max(0) as f64
}

/// Distance of a place from a wall, mm.
#[allow(clippy::cast_precision_loss)]
fn off(place: [f64; 2], wall: &Wall) -> f64 {
    let (a, b) = ([wall.a.x as f64, wall.a.y as f64], [wall.b.x as f64, wall.b.y as f64]);
    let (along, to) = (minus(b, a), minus(place, a));
    let length = along[0] * along[0] + along[1] * along[1];
    let ahead = along[0] * to[0] + along[1] * to[1];
    if length <= 0.0 || ahead <= 0.0 {
        apart(place, a)
    } else if ahead >= length {
        apart(place, b)
    } else {
        cross(along, to).abs() / length.sqrt()
    }
}
