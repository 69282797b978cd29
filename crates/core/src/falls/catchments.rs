//! Catchments: which part of a surface drains to which sink, exactly.
//!
//! In: the steps of water on a mesh. Out: each facet parted by lines straight down its fall into slices that drain to one
//! sink each, their areas, and outlines for drawing. The sink only changes along the way up from a point of the mesh (or
//! from where water parts on a level edge), so those ways are followed up and nothing is searched. Areas do not depend on
//! the outlines, which are snapped to whole mm.

use super::flood::Flood;
use super::flow::{Flow, Incline, Pass, Stop};
use super::mesh::{Beyond, Mesh};
use crate::geom::overlay::{Canvas, Contour};
use crate::geom::ring;
use crate::geom::{Points, Region};
use crate::layout::falls::Sink;
use std::collections::BTreeMap;

/// A part of a facet that drains to one sink.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slice {
    /// The facet.
    pub facet: usize,
    /// Where it begins, mm to the left of the facet's first corner seen along its fall.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// Where its water goes.
    pub sink: Sink,
    /// Its area, mm2.
    pub area: f64,
}

/// The surface parted by where its water goes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Catchments {
    /// Slices, facet by facet, each facet's from right to left seen along its fall.
    pub slices: Vec<Slice>,
    /// For each facet, where the water of its middle goes.
    pub middles: Vec<Sink>,
}

/// Ways up are followed over no more facets than this for each facet of the mesh: some surfaces wind round and round.
const WAYS_UP: usize = 200;

/// Slices narrower than this share of their facet are not made.
const NARROW: f64 = 1e-9;

/// The catchments of a mesh.
pub fn catchments(mesh: &Mesh, flood: &Flood) -> Catchments {
    of(&Flow::new(mesh, flood))
}

/// The catchments of a mesh whose steps are known.
pub fn of(flow: &Flow) -> Catchments {
    let cuts = Cuts::new(flow);
    let sinks = sinks(flow, &cuts);
    let mut found = Catchments::default();
    for facet in 0..flow.mesh.facets.len() {
        let own = cuts.bounds(flow, facet);
        let middle = own.windows(2).position(|w| w[1] >= middle_side(flow, facet)).unwrap_or(0);
        found.middles.push(sinks[cuts.first(facet) + middle]);
        let start = found.slices.len();
        for (n, w) in own.windows(2).enumerate() {
            let sink = sinks[cuts.first(facet) + n];
            match found.slices[start..].last_mut() {
                Some(last) if last.sink == sink => last.to = w[1],
                _ => found.slices.push(Slice { facet, from: w[0], to: w[1], sink, area: 0.0 }),
            }
        }
        for slice in &mut found.slices[start..] {
            let right = |side| area_right_of(flow, facet, side);
            slice.area = (right(slice.to) - right(slice.from)).max(0.0);
        }
    }
    found
}

impl Catchments {
    /// Area that drains to each sink, mm2. Together the surface.
    pub fn areas(&self) -> BTreeMap<Sink, f64> {
        let mut areas = BTreeMap::new();
        for slice in &self.slices {
            *areas.entry(slice.sink).or_insert(0.0) += slice.area;
        }
        areas
    }

    /// The parts of an edge of a facet that drain to one sink each, as shares of its length from its first corner.
    pub fn along_edge(&self, mesh: &Mesh, facet: usize, k: usize) -> Vec<(f64, f64, Sink)> {
        let start = self.slices.partition_point(|s| s.facet < facet);
        let end = self.slices.partition_point(|s| s.facet <= facet);
        let own = &self.slices[start..end];
        let sides =
            super::flow::incline(mesh, facet).map_or((0.0, 0.0), |i| (i.side[k], i.side[(k + 1) % 3]));
        let (from, to) = sides;
        if (to - from).abs() <= 0.0 {
            let here = own.iter().find(|s| s.to >= from).or(own.last());
            return here.map(|s| (0.0, 1.0, s.sink)).into_iter().collect();
        }
        own.iter()
            .filter_map(|s| {
                let (a, b) = ((s.from - from) / (to - from), (s.to - from) / (to - from));
                let (a, b) = (a.min(b).clamp(0.0, 1.0), a.max(b).clamp(0.0, 1.0));
                (b > a).then_some((a, b, s.sink))
            })
            .collect()
    }

    /// Outlines of the catchments, whole mm: for drawing. Slivers left by snapping are dropped.
    pub fn outlines(&self, mesh: &Mesh, canvas: &Canvas) -> BTreeMap<Sink, Vec<Region>> {
        let mut contours: BTreeMap<Sink, Vec<Contour>> = BTreeMap::new();
        let mut whole: Vec<Option<Sink>> = vec![None; mesh.facets.len()];
        for (n, slice) in self.slices.iter().enumerate() {
            let facet = slice.facet;
            let alone = n.checked_sub(1).is_none_or(|p| self.slices[p].facet != facet)
                && self.slices.get(n + 1).is_none_or(|next| next.facet != facet);
            if alone {
                whole[facet] = Some(slice.sink);
            } else if let Some(shape) = slice_shape(mesh, slice) {
                contours.entry(slice.sink).or_default().push(canvas.shape(&shape));
            }
        }
        for (sink, rings) in rings_of(mesh, &whole) {
            contours.entry(sink).or_default().extend(rings.iter().map(|ring| canvas.shape(ring)));
        }
        let drawn = |contours: Vec<Contour>| -> Vec<Region> {
            canvas.difference(&contours, Vec::new()).into_iter().filter_map(without_slivers).collect()
        };
        contours.into_iter().map(|(sink, contours)| (sink, drawn(contours))).collect()
    }
}

/// Where facets are cut: sides strictly within each, sorted.
struct Cuts {
    starts: Vec<usize>,
    sides: Vec<f64>,
}

impl Cuts {
    fn new(flow: &Flow) -> Self {
        let mut found: Vec<(usize, f64)> = Vec::new();
        let most = WAYS_UP * flow.mesh.facets.len();
        for (facet, side) in foots(flow) {
            follow_up(flow, facet, side, &mut found);
            if found.len() > most {
                break;
            }
        }
        let mut starts = vec![0; flow.mesh.facets.len() + 1];
        for &(facet, _) in &found {
            starts[facet + 1] += 1;
        }
        for n in 1..starts.len() {
            starts[n] += starts[n - 1];
        }
        let (mut free, mut sides) = (starts.clone(), vec![0.0; found.len()]);
        for (facet, side) in found {
            sides[free[facet]] = side;
            free[facet] += 1;
        }
        for w in starts.windows(2) {
            sides[w[0]..w[1]].sort_by(f64::total_cmp);
        }
        Self { starts, sides }
    }

    fn own(&self, facet: usize) -> &[f64] {
        &self.sides[self.starts[facet]..self.starts[facet + 1]]
    }

    /// Number of a facet's first slice; a facet has one more than it has cuts.
    fn first(&self, facet: usize) -> usize {
        self.starts[facet] + facet
    }

    fn count(&self) -> usize {
        self.sides.len() + self.starts.len() - 1
    }

    /// Number of the slice of a facet that a side lies in.
    fn slice_at(&self, facet: usize, side: f64) -> usize {
        self.first(facet) + self.own(facet).partition_point(|&cut| cut < side)
    }

    /// Ends of the slices of a facet, from right to left.
    fn bounds(&self, flow: &Flow, facet: usize) -> Vec<f64> {
        let (low, high) = breadth(flow, facet);
        let mut bounds = vec![low];
        bounds.extend_from_slice(self.own(facet));
        bounds.push(high);
        bounds
    }
}

/// Places where ways up begin: corners between two lower edges of a facet, and where water parts on a level low edge.
fn foots(flow: &Flow) -> Vec<(usize, f64)> {
    let mut foots = Vec::new();
    for (facet, incline) in flow.inclines.iter().enumerate() {
        let Some(incline) = incline else { continue };
        for k in 0..3 {
            if incline.pass[k] != Pass::Out {
                continue;
            }
            if incline.pass[(k + 1) % 3] == Pass::Out {
                foots.push((facet, incline.side[(k + 1) % 3]));
            }
            foots.extend(parting(flow, facet, k, incline).map(|side| (facet, side)));
        }
    }
    foots
}

/// Where water that a facet sends over an edge parts on it.
fn parting(flow: &Flow, facet: usize, k: usize, incline: &Incline) -> Option<f64> {
    let not_into = |other: usize| {
        flow.inclines.get(other).is_some_and(Option::is_some)
            && !matches!(flow.side_beyond(facet, k, 0.5), Some((Pass::In, _)))
    };
    let [a, b] = flow.edge(facet, k);
    // The edge that it runs along: over a step, the one at the foot.
    let along = match flow.mesh.beyond[facet][k] {
        Beyond::Open(_) => None,
        Beyond::Wall | Beyond::Rise { .. } => Some([a, b]),
        Beyond::Facet(other) => not_into(other).then_some([a, b]),
        Beyond::Drop { facet: other, edge } => not_into(other).then(|| {
            let [b, a] = flow.edge(other, edge);
            [a, b]
        }),
    };
    let share = flow.parting(along?).filter(|share| *share > 0.0 && *share < 1.0)?;
    let (from, to) = (incline.side[k], incline.side[(k + 1) % 3]);
    Some(from + share * (to - from))
}

/// Follows the way up from a place on the lower edges of a facet and cuts every facet on it.
fn follow_up(flow: &Flow, mut facet: usize, mut side: f64, found: &mut Vec<(usize, f64)>) {
    for _ in 0..2 * flow.mesh.facets.len() {
        let Some(incline) = &flow.inclines[facet] else { return };
        let (low, high) = breadth(flow, facet);
        let margin = NARROW * (high - low);
        if side <= low + margin || side >= high - margin {
            return;
        }
        found.push((facet, side));
        let Some((k, share)) = incline.edge_at(Pass::In, side) else { return };
        let (Beyond::Facet(other) | Beyond::Rise { facet: other, .. }) = flow.mesh.beyond[facet][k] else {
            return;
        };
        match flow.side_beyond(facet, k, share) {
            Some((Pass::Out, there)) => (facet, side) = (other, there),
            _ => return,
        }
    }
}

/// The sink of every slice, following each to the next until one is known.
fn sinks(flow: &Flow, cuts: &Cuts) -> Vec<Sink> {
    let (slices, points) = (cuts.count(), flow.mesh.at.len());
    let mut facet_of = vec![0; slices];
    for facet in 0..flow.mesh.facets.len() {
        for slot in &mut facet_of[cuts.first(facet)..=cuts.first(facet) + cuts.own(facet).len()] {
            *slot = facet;
        }
    }
    let node = |stop: Stop| match stop {
        Stop::On(facet, side) => Ok(cuts.slice_at(facet, side)),
        Stop::At(point) => Ok(slices + point),
        Stop::Standing(point) => Ok(slices + points + point),
        Stop::Gone(sink) => Err(sink),
    };
    let next = |n: usize| {
        if n >= slices + points {
            flow.after_standing(n - slices - points)
        } else if n >= slices {
            flow.after_point(n - slices)
        } else {
            let facet = facet_of[n];
            flow.after_facet(facet, middle_of(flow, cuts, facet, n - cuts.first(facet)))
        }
    };
    let last_way =
        |n: usize| flow.flooded_to(if n >= slices { (n - slices) % points } else { flow.lead(facet_of[n]) });
    let mut known: Vec<Option<Sink>> = vec![None; slices + 2 * points];
    let mut seen = vec![usize::MAX; slices + 2 * points];
    let mut way = Vec::new();
    for start in 0..slices {
        let mut at = start;
        let sink = loop {
            if let Some(sink) = known[at] {
                break sink;
            }
            // Water descends, so only rounding can lead in a circle.
            if std::mem::replace(&mut seen[at], start) == start {
                break last_way(at);
            }
            way.push(at);
            match node(next(at)) {
                Ok(on) => at = on,
                Err(sink) => break sink,
            }
        };
        for n in way.drain(..) {
            known[n] = Some(sink);
        }
    }
    known.truncate(slices);
    known.into_iter().map(|sink| sink.unwrap_or(Sink::Nowhere)).collect()
}

fn middle_of(flow: &Flow, cuts: &Cuts, facet: usize, slice: usize) -> f64 {
    let (own, (low, high)) = (cuts.own(facet), breadth(flow, facet));
    let from = if slice == 0 { low } else { own[slice - 1] };
    let to = own.get(slice).copied().unwrap_or(high);
    f64::midpoint(from, to)
}

/// Sides of a facet: least and greatest; of a level one, nought and one.
fn breadth(flow: &Flow, facet: usize) -> (f64, f64) {
    flow.inclines[facet].as_ref().map_or((0.0, 1.0), |i| {
        let [a, b, c] = i.side;
        (a.min(b).min(c), a.max(b).max(c))
    })
}

fn middle_side(flow: &Flow, facet: usize) -> f64 {
    flow.inclines[facet].as_ref().map_or(0.5, |i| i.side.iter().sum::<f64>() / 3.0)
}

/// Area of a facet to the right of a side, mm2.
fn area_right_of(flow: &Flow, facet: usize, side: f64) -> f64 {
    let area = flow.mesh.doubled_area(facet) / 2.0;
    let Some(incline) = &flow.inclines[facet] else { return area * side };
    let mut sides = incline.side;
    sides.sort_by(f64::total_cmp);
    let [low, middle, high] = sides;
    if side <= low {
        0.0
    } else if side >= high {
        area
    } else if side <= middle {
        area * (side - low) / (high - low) * ((side - low) / (middle - low))
    } else {
        area - area * (high - side) / (high - low) * ((high - side) / (high - middle))
    }
}

/// Corners of a slice, anticlockwise, mm.
fn slice_shape(mesh: &Mesh, slice: &Slice) -> Option<Vec<[f64; 2]>> {
    let incline = super::flow::incline(mesh, slice.facet)?;
    let corners = mesh.facets[slice.facet].map(|p| mesh.at[p]);
    let mut shape = Vec::new();
    for k in 0..3 {
        let (a, b) = (corners[k], corners[(k + 1) % 3]);
        let (from, to) = (incline.side[k], incline.side[(k + 1) % 3]);
        if from >= slice.from && from <= slice.to {
            shape.push(a);
        }
        let mut shares: Vec<f64> = [slice.from, slice.to].iter().map(|s| (s - from) / (to - from)).collect();
        shares.retain(|share| *share > 0.0 && *share < 1.0);
        shares.sort_by(f64::total_cmp);
        shape.extend(shares.iter().map(|s| [a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])]));
    }
    (shape.len() > 2).then_some(shape)
}

/// Rings round whole facets of one sink: their edges without those between two of them.
fn rings_of(mesh: &Mesh, whole: &[Option<Sink>]) -> BTreeMap<Sink, Vec<Vec<[f64; 2]>>> {
    let mut edges: BTreeMap<Sink, BTreeMap<usize, Vec<usize>>> = BTreeMap::new();
    for (facet, sink) in whole.iter().enumerate() {
        let Some(sink) = sink else { continue };
        for k in 0..3 {
            let inner = matches!(mesh.beyond[facet][k], Beyond::Facet(g) if whole[g] == Some(*sink));
            if !inner {
                let (a, b) = (mesh.facets[facet][k], mesh.facets[facet][(k + 1) % 3]);
                edges.entry(*sink).or_default().entry(a).or_default().push(b);
            }
        }
    }
    edges.into_iter().map(|(sink, ways)| (sink, chained(mesh, ways))).collect()
}

fn chained(mesh: &Mesh, mut ways: BTreeMap<usize, Vec<usize>>) -> Vec<Vec<[f64; 2]>> {
    let mut rings = Vec::new();
    while let Some((&start, _)) = ways.first_key_value() {
        let (mut ring, mut at) = (Vec::new(), start);
        while let Some(next) = ways.get_mut(&at).and_then(Vec::pop) {
            ring.push(mesh.at[at]);
            if ways.get(&at).is_some_and(Vec::is_empty) {
                ways.remove(&at);
            }
            at = next;
        }
        rings.push(ring);
    }
    rings
}

/// A region without what is under a mm wide, or nothing when it all is.
fn without_slivers(mut region: Region) -> Option<Region> {
    region.retain(is_broad);
    let outer = region.first()?;
    (ring::doubled_area(outer) > 0).then_some(region)
}

#[allow(clippy::cast_precision_loss, clippy::ptr_arg)]
fn is_broad(ring: &Points) -> bool {
    ring::doubled_area(ring).unsigned_abs() as f64 > ring::perimeter(ring) * 1.5
}
