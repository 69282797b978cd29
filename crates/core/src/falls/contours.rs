//! Lines of equal level, and the edges of a surface where falls meet or part.
//!
//! In: meshes. Out: contours at an interval that shows the shape without blackening the sheet, low lines and ridges. A
//! contour keeps the higher ground on one side: a place that is just at its level counts as above it.

use super::mesh::{Beyond, Mesh};
use super::ponds::{crossed, snapped};
use crate::geom::Pt;
use crate::layout::falls::Contour;
use crate::plan::Mm;
use std::collections::BTreeMap;

/// Most contours between the lowest and the highest place of a deck.
const MOST: f64 = 20.0;

/// Contours of all meshes, lowest first.
pub fn contours(meshes: &[Mesh]) -> Vec<Contour> {
    let interval = interval(meshes);
    let mut by_level: BTreeMap<Mm, Vec<Vec<Pt>>> = BTreeMap::new();
    for mesh in meshes {
        let Some((low, high)) = range(mesh) else { continue };
        for level in levels(low, high, interval) {
            by_level.entry(level).or_default().extend(lines_at(mesh, level));
        }
    }
    by_level
        .into_iter()
        .filter(|(_, lines)| !lines.is_empty())
        .map(|(level, lines)| Contour { level, lines })
        .collect()
}

/// The interval between contours, mm: 1, 2 or 5 times a power of ten.
pub fn interval(meshes: &[Mesh]) -> Mm {
    let most = meshes.iter().filter_map(range).map(|(low, high)| high - low).fold(0.0, f64::max);
    let mut unit: Mm = 1;
    loop {
        for times in [1, 2, 5] {
            #[allow(clippy::cast_precision_loss)]
            if most <= MOST * (unit * times) as f64 || unit >= 1_000_000_000 {
                return unit * times;
            }
        }
        unit *= 10;
    }
}

fn range(mesh: &Mesh) -> Option<(f64, f64)> {
    let low = mesh.z.iter().copied().fold(f64::INFINITY, f64::min);
    let high = mesh.z.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    (low <= high).then_some((low, high))
}

/// Multiples of the interval above the lowest place and not above the highest.
#[allow(clippy::cast_possible_truncation)]
fn levels(low: f64, high: f64, interval: Mm) -> impl Iterator<Item = Mm> {
    let first = (low.floor() as Mm).div_euclid(interval) + 1;
    let last = (high.floor() as Mm).div_euclid(interval);
    (first..=last).map(move |n| n * interval)
}

/// The lines of one level on one mesh.
#[allow(clippy::cast_precision_loss)]
fn lines_at(mesh: &Mesh, level: Mm) -> Vec<Vec<Pt>> {
    let height = level as f64;
    let above = |n: usize| mesh.z[n] >= height;
    // In each facet it crosses, the line comes in by one edge and goes out by another, the higher ground on its left.
    let mut ways: Vec<Option<(usize, usize)>> = vec![None; mesh.facets.len()];
    for (way, t) in ways.iter_mut().zip(&mesh.facets) {
        let up = t.map(above);
        let into = (0..3).find(|&k| !up[k] && up[(k + 1) % 3]);
        let out = (0..3).find(|&k| up[k] && !up[(k + 1) % 3]);
        *way = out.zip(into);
    }
    let mut lines = Vec::new();
    // First the lines that start at the edge of the mesh, then the closed ones.
    for open in [true, false] {
        for f in 0..ways.len() {
            let Some((into, _)) = ways[f] else { continue };
            if open && matches!(mesh.beyond[f][into], Beyond::Facet(_)) {
                continue;
            }
            let line = followed(mesh, height, &mut ways, f);
            let points = if open { with_ends(line) } else { closed(line) };
            if points.len() > 1 {
                lines.push(points);
            }
        }
    }
    lines
}

/// Follows a line from facet to facet, taking up its ways.
fn followed(mesh: &Mesh, height: f64, ways: &mut [Option<(usize, usize)>], from: usize) -> Vec<[f64; 2]> {
    let on = |f: usize, k: usize| {
        let (a, b) = (mesh.facets[f][k], mesh.facets[f][(k + 1) % 3]);
        crossed(mesh, height, a.min(b), a.max(b))
    };
    let mut line = Vec::new();
    let mut at = from;
    while let Some((into, out)) = ways[at].take() {
        if line.is_empty() {
            line.push(on(at, into));
        }
        line.push(on(at, out));
        match mesh.beyond[at][out] {
            Beyond::Facet(next) => at = next,
            _ => break,
        }
    }
    line
}

fn with_ends(line: Vec<[f64; 2]>) -> Vec<Pt> {
    let mut points: Vec<Pt> = line.into_iter().map(super::given::near).collect();
    points.dedup();
    points
}

/// A closed line repeats its first point.
fn closed(line: Vec<[f64; 2]>) -> Vec<Pt> {
    let mut points = snapped(line.into_iter());
    if points.len() > 1 {
        points.push(points[0]);
    }
    points
}

/// Edges of the surface: those where falls meet at the bottom, and those where they part at the top. Both sides must fall
/// by more than `flat_ppm` across the edge.
pub fn low_lines_and_ridges(meshes: &[Mesh], flat_ppm: i64) -> (Vec<[Pt; 2]>, Vec<[Pt; 2]>) {
    #[allow(clippy::cast_precision_loss)]
    let flat = (flat_ppm as f64 / 1e6).max(1e-9);
    let (mut low, mut high) = (Vec::new(), Vec::new());
    for mesh in meshes {
        for (f, t) in mesh.facets.iter().enumerate() {
            for k in 0..3 {
                let Beyond::Facet(other) = mesh.beyond[f][k] else { continue };
                let (a, b) = (mesh.at[t[k]], mesh.at[t[(k + 1) % 3]]);
                let ends = [a, b].map(super::given::near);
                if other < f || ends[0] == ends[1] {
                    continue;
                }
                let (here, there) = (rise(mesh.slope(f), a, b), -rise(mesh.slope(other), a, b));
                if here > flat && there > flat {
                    low.push(ends);
                } else if here < -flat && there < -flat {
                    high.push(ends);
                }
            }
        }
    }
    (low, high)
}

/// How much a slope rises to the left of the way from `a` to `b`, across it.
fn rise(slope: [f64; 2], a: [f64; 2], b: [f64; 2]) -> f64 {
    let length = super::triangles::squared(a, b).sqrt();
    if length > 0.0 { (slope[1] * (b[0] - a[0]) - slope[0] * (b[1] - a[1])) / length } else { 0.0 }
}
