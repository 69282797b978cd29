//! Ponds: where water stands once it has stopped running, exact for the faceted surface.
//!
//! In: a mesh and its flood. Out: each pond with its level, depth, area, volume, outline, deepest place and the place it
//! spills over. A point is wet when its water stands above the surface; points that are wet and share an edge are one pond,
//! and of the facets at a wet point that part is under water whose plane is below the level. A deck, or a part of one,
//! that water cannot leave has no ponds: nothing says how high it would stand.

use super::flood::{Flood, Next};
use super::given::near;
use super::mesh::{Beyond, Mesh};
use super::triangles::doubled;
use crate::geom::overlay::Canvas;
use crate::geom::sets::Sets;
use crate::geom::{Pt, Region};
use crate::layout::falls::{Pond, Sink};
use std::collections::BTreeMap;

/// Water shallower than this is rounding, mm.
pub(super) const WET: f64 = 1e-6;

/// A pond before rounding.
#[derive(Clone, Debug, PartialEq)]
pub struct PondExact {
    /// Level of the water, mm.
    pub level: f64,
    /// Greatest depth, mm.
    pub depth: f64,
    /// Volume, mm3.
    pub volume: f64,
    /// Area, mm2.
    pub area: f64,
    /// The deepest point of the mesh.
    pub deepest: usize,
    /// The point of the mesh that it spills over, or leaves by.
    pub spill: usize,
    /// Wet points of the mesh.
    pub points: Vec<usize>,
    /// Facets with water on them.
    pub facets: Vec<usize>,
}

/// Whether water stands on a point, at a level that is known.
pub fn is_wet(mesh: &Mesh, flood: &Flood, point: usize) -> bool {
    flood.water[point].is_finite() && flood.water[point] - mesh.z[point] > WET
}

/// The ponds of a mesh, deepest first.
pub fn ponds(mesh: &Mesh, flood: &Flood) -> Vec<PondExact> {
    let wet: Vec<bool> = (0..mesh.at.len()).map(|n| is_wet(mesh, flood, n)).collect();
    let mut sets = Sets::new(mesh.at.len());
    for t in &mesh.facets {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            if wet[a] && wet[b] {
                sets.join(a, b);
            }
        }
    }
    for &[low, high] in mesh.steps.iter().filter(|s| wet[s[0]] && wet[s[1]]) {
        sets.join(low, high);
    }
    let mut found: BTreeMap<usize, PondExact> = BTreeMap::new();
    // In the order water reached them: the first point of a pond is the one that it spills from.
    for &n in flood.order.iter().filter(|&&n| wet[n]) {
        let (level, depth) = (flood.water[n], flood.water[n] - mesh.z[n]);
        let pond = found.entry(sets.find(n)).or_insert_with(|| PondExact {
            level,
            depth,
            volume: 0.0,
            area: 0.0,
            deepest: n,
            spill: match flood.next[n] {
                Next::Point(over) => over,
                Next::Drain(_) | Next::Edge(_) | Next::Nowhere => n,
            },
            points: Vec::new(),
            facets: Vec::new(),
        });
        if depth > pond.depth || (depth >= pond.depth && n < pond.deepest) {
            (pond.depth, pond.deepest) = (depth, n);
        }
        pond.points.push(n);
    }
    for (f, t) in mesh.facets.iter().enumerate() {
        let Some(&corner) = t.iter().find(|&&n| wet[n]) else { continue };
        if let Some(pond) = found.get_mut(&sets.find(corner)) {
            let (area, volume) = under_water(mesh.doubled_area(f) / 2.0, t.map(|n| pond.level - mesh.z[n]));
            pond.area += area;
            pond.volume += volume;
            pond.facets.push(f);
        }
    }
    let mut ponds: Vec<PondExact> = found.into_values().collect();
    ponds.sort_by(|a, b| b.depth.total_cmp(&a.depth).then(a.deepest.cmp(&b.deepest)));
    ponds
}

/// The ponds of a mesh that are at least so deep, deepest first.
pub fn at_least(mesh: &Mesh, flood: &Flood, depth: f64) -> Vec<PondExact> {
    let mut found = ponds(mesh, flood);
    found.retain(|pond| pond.depth >= depth);
    found
}

/// Area and volume of the part of a facet that is under water, from the depth at its corners (negative above it).
pub fn under_water(area: f64, depths: [f64; 3]) -> (f64, f64) {
    let mut d = depths;
    d.sort_by(f64::total_cmp);
    let [low, middle, high] = d;
    if high <= 0.0 {
        (0.0, 0.0)
    } else if low >= 0.0 {
        (area, area * (low + middle + high) / 3.0)
    } else if middle <= 0.0 {
        let part = area * (high / (high - low)) * (high / (high - middle));
        (part, part * high / 3.0)
    } else {
        let dry = area * (low / (low - middle)) * (low / (low - high));
        (area - dry, area * (low + middle + high) / 3.0 - dry * low / 3.0)
    }
}

/// Where the water of a point goes in the end, the way it floods.
pub fn sink(mesh: &Mesh, flood: &Flood, point: usize) -> Sink {
    let mut at = point;
    // No way is longer than there are points.
    for _ in 0..=mesh.at.len() {
        match flood.next[at] {
            Next::Point(next) => at = next,
            Next::Drain(n) => return mesh.drains.get(n).map_or(Sink::Nowhere, |d| Sink::Outlet(d.id)),
            Next::Edge(id) => return Sink::Edge(id),
            Next::Nowhere => return Sink::Nowhere,
        }
    }
    Sink::Nowhere
}

/// A pond as the layout holds it, its number left at 0.
#[allow(clippy::cast_possible_truncation)]
pub fn written(mesh: &Mesh, flood: &Flood, pond: &PondExact, canvas: &Canvas) -> Pond {
    let volume = pond.volume.round() as i64;
    Pond {
        number: 0,
        deck: mesh.deck,
        area: outline(mesh, pond, canvas),
        size: pond.area.round() as i64,
        level_um: (pond.level * 1000.0).round() as i64,
        depth_um: (pond.depth * 1000.0).round() as i64,
        deepest: near(mesh.at[pond.deepest]),
        volume,
        // A litre is a million mm3 and weighs 1 kg.
        mass: (volume + 5_000).div_euclid(10_000),
        spill: Some(near(mesh.at[pond.spill])),
        drains_to: sink(mesh, flood, pond.spill),
    }
}

/// A corner of an outline: a point of the mesh, or the place between two of them that is at the level of the water.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Shore {
    Point(usize),
    Between(usize, usize),
}

/// The outline of a pond: the shore in each facet, and the edges of the deck it stands against.
fn outline(mesh: &Mesh, pond: &PondExact, canvas: &Canvas) -> Vec<Region> {
    let level = pond.level;
    let mut rim: Vec<(Shore, Shore)> = Vec::new();
    let wet: std::collections::BTreeSet<usize> = pond.facets.iter().copied().collect();
    for &f in &pond.facets {
        let t = mesh.facets[f];
        let corners = wet_part(t, t.map(|n| level - mesh.z[n]));
        for (n, &(from, side)) in corners.iter().enumerate() {
            let to = corners[(n + 1) % corners.len()].0;
            let inner = side.is_some_and(|k| match mesh.beyond[f][k] {
                Beyond::Facet(other) => wet.contains(&other),
                _ => false,
            });
            if from != to && !inner {
                rim.push((from, to));
            }
        }
    }
    let rings: Region = chained(rim)
        .into_iter()
        .map(|ring| snapped(ring.into_iter().map(|shore| place(mesh, level, shore))))
        .filter(|ring| ring.len() > 2)
        .collect();
    if rings.is_empty() { Vec::new() } else { canvas.union(&[rings]) }
}

/// Corners of the part of a facet that is under water, each with the edge of the facet that runs on from it (none where
/// the shore does).
fn wet_part(t: [usize; 3], depths: [f64; 3]) -> Vec<(Shore, Option<usize>)> {
    let mut corners: Vec<(Shore, Option<usize>)> = Vec::with_capacity(4);
    for k in 0..3 {
        let next = (k + 1) % 3;
        let between = Shore::Between(t[k].min(t[next]), t[k].max(t[next]));
        match (depths[k] > 0.0, depths[next] > 0.0) {
            (true, true) => corners.push((Shore::Point(t[k]), Some(k))),
            (true, false) => {
                corners.push((Shore::Point(t[k]), Some(k)));
                let level = depths[next] >= 0.0;
                // Where the next edge lies at the level of the water, the shore runs along it.
                let along = (level && depths[(next + 1) % 3] >= 0.0).then_some(next);
                corners.push((if level { Shore::Point(t[next]) } else { between }, along));
            }
            (false, true) => {
                corners.push((if depths[k] < 0.0 { between } else { Shore::Point(t[k]) }, Some(k)));
            }
            (false, false) => {}
        }
    }
    corners
}

fn place(mesh: &Mesh, level: f64, shore: Shore) -> [f64; 2] {
    match shore {
        Shore::Point(n) => mesh.at[n],
        Shore::Between(a, b) => crossed(mesh, level, a, b),
    }
}

/// The place between two points of a mesh that is at a level.
pub(super) fn crossed(mesh: &Mesh, level: f64, a: usize, b: usize) -> [f64; 2] {
    let share = (level - mesh.z[a]) / (mesh.z[b] - mesh.z[a]);
    let (p, q) = (mesh.at[a], mesh.at[b]);
    [p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share]
}

/// Rings from edges that each run on from where another ends.
fn chained(edges: Vec<(Shore, Shore)>) -> Vec<Vec<Shore>> {
    let mut from: BTreeMap<Shore, Vec<Shore>> = BTreeMap::new();
    for (a, b) in edges {
        from.entry(a).or_default().push(b);
    }
    let mut rings = Vec::new();
    while let Some((&start, _)) = from.iter().next() {
        let mut ring = vec![start];
        let mut at = start;
        while let Some(list) = from.get_mut(&at) {
            let Some(next) = list.pop() else { break };
            if list.is_empty() {
                from.remove(&at);
            }
            if next == start {
                break;
            }
            ring.push(next);
            at = next;
        }
        rings.push(ring);
    }
    rings
}

/// Places as whole mm, repeated ones left out.
pub(super) fn snapped(places: impl Iterator<Item = [f64; 2]>) -> Vec<Pt> {
    let mut points: Vec<Pt> = places.map(near).collect();
    points.dedup();
    while points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    points
}

/// Parts of a mesh that water cannot leave: for each its area, mm2, and its lowest point.
pub fn without_way_out(mesh: &Mesh, flood: &Flood) -> Vec<(f64, usize)> {
    let mut sets = Sets::new(mesh.at.len());
    for t in &mesh.facets {
        sets.join(t[0], t[1]);
        sets.join(t[0], t[2]);
    }
    for &[low, high] in &mesh.steps {
        sets.join(low, high);
    }
    let mut parts: BTreeMap<usize, (f64, usize)> = BTreeMap::new();
    for t in mesh.facets.iter().filter(|t| !flood.water[t[0]].is_finite()) {
        let part = parts.entry(sets.find(t[0])).or_insert((0.0, t[0]));
        let [a, b, c] = t.map(|n| mesh.at[n]);
        part.0 += doubled(a, b, c) / 2.0;
        for &n in t {
            if mesh.z[n] < mesh.z[part.1] || (mesh.z[n] <= mesh.z[part.1] && n < part.1) {
                part.1 = n;
            }
        }
    }
    parts.into_values().collect()
}
