//! The level that water stands at: for each point of a mesh, the least highest level on any way out.
//!
//! In: a mesh. Out: the water level of every point, and the point that its water goes to next on the way out. On a
//! faceted surface the best way over the deck runs along edges (the highest place of a facet is one of its corners) and up
//! or down steps, so //! looking at points only is exact. Ways out are open drains, and free edges at their own level. Where there is none, water
//! has no level and stands until it dries.

use super::mesh::{Beyond, Mesh};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Where the water of a point goes next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Next {
    /// To a neighbouring point.
    Point(usize),
    /// Into a drain of the mesh, by its index.
    Drain(usize),
    /// Over a free edge of the thing with this id.
    Edge(u32),
    /// Nowhere.
    Nowhere,
}

/// Water levels of a mesh.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Flood {
    /// Level that water stands at, mm: the surface's own where it runs off. Infinite where there is no way out.
    pub water: Vec<f64>,
    /// Where it goes next.
    pub next: Vec<Next>,
    /// Points in the order they were reached, lowest water first: each after the one its water goes to.
    pub order: Vec<usize>,
}

/// A level that sorts; levels are finite.
#[derive(Clone, Copy, PartialEq)]
struct Level(f64);

impl Eq for Level {}

impl PartialOrd for Level {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Level {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

/// Floods a mesh from its ways out.
pub fn flood(mesh: &Mesh) -> Flood {
    let count = mesh.at.len();
    let mut flood =
        Flood { water: vec![f64::INFINITY; count], next: vec![Next::Nowhere; count], order: Vec::new() };
    let mut reached = vec![false; count];
    let mut open = BinaryHeap::new();
    for (level, point, next) in ways_out(mesh) {
        if level < flood.water[point] {
            flood.water[point] = level;
            flood.next[point] = next;
            open.push(Reverse((Level(level), point)));
        }
    }
    let beside = mesh.neighbours();
    while let Some(Reverse((Level(level), point))) = open.pop() {
        if std::mem::replace(&mut reached[point], true) {
            continue;
        }
        flood.order.push(point);
        for &other in &beside[point] {
            let water = level.max(mesh.z[other]);
            if !reached[other] && water < flood.water[other] {
                flood.water[other] = water;
                flood.next[other] = Next::Point(point);
                open.push(Reverse((Level(water), other)));
            }
        }
    }
    flood
}

/// Levels at which water leaves the mesh, with the point and the way out; drains before edges.
fn ways_out(mesh: &Mesh) -> Vec<(f64, usize, Next)> {
    let mut ways: Vec<(f64, usize, Next)> = Vec::new();
    for (n, drain) in mesh.drains.iter().enumerate() {
        ways.push((drain.level.max(mesh.z[drain.point]), drain.point, Next::Drain(n)));
    }
    for (facet, beyond) in mesh.facets.iter().zip(&mesh.beyond) {
        for (k, side) in beyond.iter().enumerate() {
            if let Beyond::Open(id) = side {
                for point in [facet[k], facet[(k + 1) % 3]] {
                    ways.push((mesh.z[point], point, Next::Edge(*id)));
                }
            }
        }
    }
    ways
}
