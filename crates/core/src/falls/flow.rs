//! Where water runs on a faceted surface, step by step and exactly.
//!
//! In: a mesh and its water levels. Out: a [`Flow`] that knows the next step from every place, and the [`Path`] of the
//! water from any place to the drain, the free edge or the pond that it ends in. On a facet water runs straight down; where
//! two facets fall towards their edge, at walls and at the foot of a step, it runs along the edge; over a step it drops; at a
//! point it takes the steepest way; from a //! pit or a level place it takes the way that the flood found. It always ends, and it knows nothing of areas: see
//! [`super::catchments`].

use super::flood::{Flood, Next};
use super::mesh::{Beyond, Mesh};
use crate::layout::falls::Sink;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// Levels closer than this are the same, mm: far above rounding, far below any survey.
pub(super) const SAME: f64 = 1e-6;

/// A direction within this of an edge's (radians), and a place within this share of an edge's end, count as on it.
const NEAR: f64 = 1e-9;

/// The way of water from a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// Places where it turns, mm, the first being where it starts.
    pub points: Vec<[f64; 2]>,
    /// Where it ends.
    pub sink: Sink,
    /// Points of the mesh where it stood in a pond before it went on, in order.
    pub ponds: Vec<usize>,
}

/// How water crosses an edge of a facet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Pass {
    /// Out of the facet.
    Out,
    /// Into it.
    In,
    /// Neither: it runs beside the edge.
    Beside,
}

/// How water runs on a facet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Incline {
    /// How much the level falls for each mm along the fall.
    pub steep: f64,
    /// How far each corner lies to the left of the first, seen along the fall, mm. A place keeps this on its way down.
    pub side: [f64; 3],
    /// How water crosses each edge.
    pub pass: [Pass; 3],
    /// Unit vector down the fall.
    pub down: [f64; 2],
}

/// Where water is, ready for its next step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Stop {
    /// At a point, free to run down.
    At(usize),
    /// At a point, risen to its water level and looking for a way on.
    Standing(usize),
    /// On a facet, this far to the left of its first corner.
    On(usize, f64),
    /// In its sink.
    Gone(Sink),
}

/// The way on from a point on level deck.
#[derive(Clone, Copy, Debug, PartialEq)]
enum LevelWay {
    Out(Sink),
    Down(usize),
    Along(usize),
    Unknown,
}

/// The steps of water on a mesh.
#[derive(Debug)]
pub struct Flow<'a> {
    pub(super) mesh: &'a Mesh,
    flood: &'a Flood,
    /// Absent for facets as good as level.
    pub(super) inclines: Vec<Option<Incline>>,
    around: Around,
    /// Place of each point in the order of the flood.
    rank: Vec<usize>,
    ways: Vec<LevelWay>,
    /// For each point at the top of a step, the lowest at its foot.
    feet: BTreeMap<usize, usize>,
    /// Distance along level deck to where water leaves it, mm; infinite where none was found.
    reach: Vec<f64>,
}

/// The way of water from a place of the mesh. From a place off the mesh: no way at all.
pub fn path(mesh: &Mesh, flood: &Flood, from: [f64; 2]) -> Path {
    Flow::new(mesh, flood).path(from)
}

impl<'a> Flow<'a> {
    /// Prepares the steps of a mesh.
    pub fn new(mesh: &'a Mesh, flood: &'a Flood) -> Self {
        let mut rank = vec![usize::MAX; mesh.at.len()];
        for (n, &point) in flood.order.iter().enumerate() {
            rank[point] = n;
        }
        let inclines = (0..mesh.facets.len()).map(|f| incline(mesh, f)).collect();
        let around = Around::new(mesh);
        let feet = feet(mesh);
        let (ways, reach) = level_ways(mesh, flood, &around, &feet);
        Self { mesh, flood, inclines, around, rank, ways, feet, reach }
    }

    /// The way of water from a place.
    pub fn path(&self, from: [f64; 2]) -> Path {
        match self.start(from) {
            Some(start) => self.run(from, start),
            None => Path { points: vec![from], sink: Sink::Nowhere, ponds: Vec::new() },
        }
    }

    /// The way of water from a point of the mesh.
    pub fn path_from_point(&self, point: usize) -> Path {
        self.run(self.mesh.at[point], Stop::At(point))
    }

    /// The facet that holds a place, the first of several.
    pub fn facet_at(&self, place: [f64; 2]) -> Option<usize> {
        (0..self.mesh.facets.len()).find(|&f| holds(self.mesh, f, place))
    }

    /// Where the water that stands at a point goes once it has risen to its level.
    pub fn spills_to(&self, point: usize) -> Sink {
        self.run(self.mesh.at[point], Stop::Standing(point)).sink
    }

    fn start(&self, from: [f64; 2]) -> Option<Stop> {
        self.facet_at(from).map(|facet| self.start_on(facet, from))
    }

    /// Where the water of a place on a facet is at first.
    pub(super) fn start_on(&self, facet: usize, from: [f64; 2]) -> Stop {
        let corner = self.mesh.facets[facet].into_iter().find(|&p| apart(self.mesh.at[p], from) <= SAME);
        match (corner, &self.inclines[facet]) {
            (Some(point), _) => Stop::At(point),
            (None, Some(incline)) => Stop::On(facet, incline.side_of(self.mesh, facet, from)),
            (None, None) => Stop::At(self.lead(facet)),
        }
    }

    /// The next stop.
    pub(super) fn after(&self, stop: Stop) -> Stop {
        self.step(stop).1
    }

    /// The point at which water stood in a pond between a stop and the next one.
    pub(super) fn stood(&self, stop: Stop, next: Stop) -> Option<usize> {
        match (stop, next) {
            (Stop::At(point), Stop::Standing(_)) => {
                (self.flood.water[point] > self.mesh.z[point] + SAME).then_some(point)
            }
            _ => None,
        }
    }

    /// Steps that no way of water is longer than: it descends, so this only ends one that rounding sends in circles.
    pub(super) fn most_steps(&self) -> usize {
        4 * (self.mesh.facets.len() + self.mesh.at.len()) + 64
    }

    fn run(&self, from: [f64; 2], start: Stop) -> Path {
        let mut path = Path { points: vec![from], sink: Sink::Nowhere, ponds: Vec::new() };
        let mut stop = start;
        for _ in 0..self.most_steps() {
            let (place, next) = self.step(stop);
            if let Some(place) = place.filter(|p| path.points.last() != Some(p)) {
                path.points.push(place);
            }
            path.ponds.extend(self.stood(stop, next));
            if let Stop::Gone(sink) = next {
                path.sink = sink;
                return path;
            }
            stop = next;
        }
        path.sink = self.flooded_to(match stop {
            Stop::At(point) | Stop::Standing(point) => point,
            Stop::On(facet, _) => self.lead(facet),
            Stop::Gone(sink) => return Path { sink, ..path },
        });
        path
    }

    /// The next stop, and the place where the step begins (a point) or ends (a facet's lower edge).
    fn step(&self, stop: Stop) -> (Option<[f64; 2]>, Stop) {
        match stop {
            Stop::At(point) => (Some(self.mesh.at[point]), self.after_point(point)),
            Stop::Standing(point) => (Some(self.mesh.at[point]), self.after_standing(point)),
            Stop::On(facet, side) => match self.leaves(facet, side) {
                Some((k, share)) => {
                    let [a, b] = self.edge(facet, k).map(|p| self.mesh.at[p]);
                    let place = [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])];
                    (Some(place), self.over(facet, k, share))
                }
                None => (None, Stop::At(self.lead(facet))),
            },
            Stop::Gone(_) => (None, stop),
        }
    }

    /// Where water goes that runs down a facet.
    pub(super) fn after_facet(&self, facet: usize, side: f64) -> Stop {
        match self.leaves(facet, side) {
            Some((k, share)) => self.over(facet, k, share),
            None => Stop::At(self.lead(facet)),
        }
    }

    /// The edge that water leaves a facet by, and how far along it from its first corner.
    fn leaves(&self, facet: usize, side: f64) -> Option<(usize, f64)> {
        self.inclines[facet].as_ref()?.edge_at(Pass::Out, side)
    }

    /// Where water goes that comes to an edge from a facet.
    fn over(&self, facet: usize, k: usize, share: f64) -> Stop {
        let [a, b] = self.edge(facet, k);
        if share <= NEAR {
            return Stop::At(a);
        }
        if share >= 1.0 - NEAR {
            return Stop::At(b);
        }
        match self.mesh.beyond[facet][k] {
            Beyond::Open(id) => Stop::Gone(Sink::Edge(id)),
            Beyond::Wall | Beyond::Rise { .. } => self.along([a, b], share),
            Beyond::Drop { facet: other, edge } => {
                match (&self.inclines[other], self.side_beyond(facet, k, share)) {
                    (None, _) => Stop::At(self.lead(other)),
                    (Some(_), Some((Pass::In, side))) => Stop::On(other, side),
                    // Along the foot of the step.
                    _ => self.along(self.edge(other, edge), 1.0 - share),
                }
            }
            Beyond::Facet(other) => match (self.inclines.get(other), self.side_beyond(facet, k, share)) {
                (Some(None), _) => Stop::At(self.lead(other)),
                (Some(Some(_)), Some((Pass::In, side))) => Stop::On(other, side),
                _ => self.along([a, b], share),
            },
        }
    }

    /// How water crosses an edge of a facet as the neighbour sees it, and how far left a place on it is there.
    pub(super) fn side_beyond(&self, facet: usize, k: usize, share: f64) -> Option<(Pass, f64)> {
        let [a, b] = self.edge(facet, k);
        let (other, there) = match self.mesh.beyond[facet][k] {
            Beyond::Facet(other) => (other, (0..3).find(|&n| self.edge(other, n) == [b, a])?),
            Beyond::Drop { facet, edge } | Beyond::Rise { facet, edge } => (facet, edge),
            Beyond::Wall | Beyond::Open(_) => return None,
        };
        let incline = self.inclines.get(other)?.as_ref()?;
        let (from, to) = (incline.side[there], incline.side[(there + 1) % 3]);
        Some((incline.pass[there], from + (1.0 - share) * (to - from)))
    }

    /// Where water goes that runs along an edge: to its lower end, and on a level one to the end that lets it out sooner.
    fn along(&self, [a, b]: [usize; 2], share: f64) -> Stop {
        let fall = self.mesh.z[a] - self.mesh.z[b];
        let to_start = if fall.abs() > SAME {
            fall < 0.0
        } else {
            match self.parting([a, b]) {
                Some(parting) => share < parting,
                None => (self.reach[a], self.rank[a]) < (self.reach[b], self.rank[b]),
            }
        };
        Stop::At(if to_start { a } else { b })
    }

    /// Where water parts on a level edge, as a share of its length: as far from a way out by one end as by the other.
    pub(super) fn parting(&self, [a, b]: [usize; 2]) -> Option<f64> {
        let (level, length) =
            ((self.mesh.z[a] - self.mesh.z[b]).abs() <= SAME, apart(self.mesh.at[a], self.mesh.at[b]));
        let share = (length + self.reach[b] - self.reach[a]) / (2.0 * length);
        (level && share.is_finite()).then_some(share)
    }

    /// Where water goes that is at a point and free to run down: the steepest way, ties by index.
    pub(super) fn after_point(&self, point: usize) -> Stop {
        if let Some(sink) = flush_drain(self.mesh, point, self.mesh.z[point]) {
            return Stop::Gone(sink);
        }
        if let Some(&foot) = self.feet.get(&point) {
            return Stop::At(foot);
        }
        let mut best: Option<(f64, Stop)> = None;
        let mut offer = |steep: f64, stop: Stop| {
            if best.is_none_or(|(most, _)| steep > most) {
                best = Some((steep, stop));
            }
        };
        for &(facet, corner) in self.around.facets(point) {
            let before = (corner + 2) % 3;
            for other in [self.mesh.facets[facet][(corner + 1) % 3], self.mesh.facets[facet][before]] {
                let drop = self.mesh.z[point] - self.mesh.z[other];
                if drop > SAME {
                    offer(drop / apart(self.mesh.at[point], self.mesh.at[other]), Stop::At(other));
                }
            }
            let Some(incline) = &self.inclines[facet] else { continue };
            if incline.pass[corner] == Pass::In && incline.pass[before] == Pass::In {
                offer(incline.steep, Stop::On(facet, incline.side[corner]));
            }
            for k in [corner, before] {
                if let (Pass::Out, Beyond::Open(id)) = (incline.pass[k], self.mesh.beyond[facet][k]) {
                    offer(incline.steep, Stop::Gone(Sink::Edge(id)));
                }
            }
        }
        best.map_or(Stop::Standing(point), |(_, stop)| stop)
    }

    /// Where water goes that stands at a point: on towards its way out, and free again once that leads lower.
    pub(super) fn after_standing(&self, point: usize) -> Stop {
        match self.ways[point] {
            LevelWay::Out(sink) => return Stop::Gone(sink),
            LevelWay::Down(next) => return Stop::At(next),
            LevelWay::Along(next) => return Stop::Standing(next),
            LevelWay::Unknown => {}
        }
        match self.flood.next[point] {
            Next::Point(next) if self.flood.water[next] < self.flood.water[point] - SAME => Stop::At(next),
            Next::Point(next) => Stop::Standing(next),
            Next::Drain(drain) => Stop::Gone(Sink::Outlet(self.mesh.drains[drain].id)),
            Next::Edge(id) => Stop::Gone(Sink::Edge(id)),
            Next::Nowhere => Stop::Gone(Sink::Nowhere),
        }
    }

    /// The corner that water of a level facet runs to.
    pub(super) fn lead(&self, facet: usize) -> usize {
        let [a, b, c] = self.mesh.facets[facet];
        let key = |p: usize| (self.mesh.z[p] > self.lowest(facet) + SAME, self.reach[p], self.rank[p]);
        [b, c].into_iter().fold(a, |best, p| if key(p) < key(best) { p } else { best })
    }

    fn lowest(&self, facet: usize) -> f64 {
        self.mesh.facets[facet].iter().fold(f64::INFINITY, |low, &p| low.min(self.mesh.z[p]))
    }

    /// The sink at the end of the flood's own way from a point: each step was reached before the last, so it ends.
    pub(super) fn flooded_to(&self, mut point: usize) -> Sink {
        loop {
            match self.flood.next[point] {
                Next::Point(next) if self.rank[next] < self.rank[point] => point = next,
                Next::Point(_) | Next::Nowhere => return Sink::Nowhere,
                Next::Drain(drain) => return Sink::Outlet(self.mesh.drains[drain].id),
                Next::Edge(id) => return Sink::Edge(id),
            }
        }
    }

    pub(super) fn edge(&self, facet: usize, k: usize) -> [usize; 2] {
        [self.mesh.facets[facet][k], self.mesh.facets[facet][(k + 1) % 3]]
    }
}

impl Incline {
    /// How far a place lies to the left of the first corner, seen along the fall, mm.
    pub(super) fn side_of(&self, mesh: &Mesh, facet: usize, place: [f64; 2]) -> f64 {
        cross(self.down, minus(place, mesh.at[mesh.facets[facet][0]]))
    }

    /// The edge that water passes in this way at a side, and how far along it from its first corner.
    pub(super) fn edge_at(&self, pass: Pass, side: f64) -> Option<(usize, f64)> {
        let mut best: Option<(f64, usize, f64)> = None;
        for k in (0..3).filter(|&k| self.pass[k] == pass) {
            let (from, to) = (self.side[k], self.side[(k + 1) % 3]);
            let share = (side - from) / (to - from);
            let beside = (share - share.clamp(0.0, 1.0)).abs();
            if best.is_none_or(|(least, ..)| beside < least) {
                best = Some((beside, k, share.clamp(0.0, 1.0)));
            }
        }
        best.map(|(_, k, share)| (k, share))
    }
}

/// The facets round each point with their corner there, in order of index, packed.
#[derive(Debug)]
struct Around {
    starts: Vec<usize>,
    facets: Vec<(usize, usize)>,
}

impl Around {
    fn new(mesh: &Mesh) -> Self {
        let mut starts = vec![0; mesh.at.len() + 1];
        for &point in mesh.facets.iter().flatten() {
            starts[point + 1] += 1;
        }
        for n in 1..starts.len() {
            starts[n] += starts[n - 1];
        }
        let (mut free, mut facets) = (starts.clone(), vec![(0, 0); 3 * mesh.facets.len()]);
        for (f, corners) in mesh.facets.iter().enumerate() {
            for (k, &point) in corners.iter().enumerate() {
                facets[free[point]] = (f, k);
                free[point] += 1;
            }
        }
        Self { starts, facets }
    }

    fn facets(&self, point: usize) -> &[(usize, usize)] {
        &self.facets[self.starts[point]..self.starts[point + 1]]
    }
}

/// The lowest point at the foot of each that is at the top of a step.
fn feet(mesh: &Mesh) -> BTreeMap<usize, usize> {
    let mut feet: BTreeMap<usize, usize> = BTreeMap::new();
    for &[low, high] in mesh.steps.iter().filter(|[low, high]| mesh.z[*high] - mesh.z[*low] > SAME) {
        let foot = feet.entry(high).or_insert(low);
        if mesh.z[low] < mesh.z[*foot] {
            *foot = low;
        }
    }
    feet
}

pub(super) fn incline(mesh: &Mesh, facet: usize) -> Option<Incline> {
    let corners = mesh.facets[facet];
    let levels = corners.map(|p| mesh.z[p]);
    let spread = levels.iter().fold(f64::NEG_INFINITY, |a, &b| a.max(b))
        - levels.iter().fold(f64::INFINITY, |a, &b| a.min(b));
    let slope = mesh.slope(facet);
    let steep = (slope[0] * slope[0] + slope[1] * slope[1]).sqrt();
    let down = [-slope[0] / steep, -slope[1] / steep];
    let at = corners.map(|p| mesh.at[p]);
    let side = [0.0, cross(down, minus(at[1], at[0])), cross(down, minus(at[2], at[0]))];
    let mut pass = [Pass::Beside; 3];
    for k in 0..3 {
        let (across, length) = (side[(k + 1) % 3] - side[k], apart(at[k], at[(k + 1) % 3]));
        if across.abs() > NEAR * length {
            pass[k] = if across > 0.0 { Pass::Out } else { Pass::In };
        }
    }
    let sound = spread > SAME && steep.is_finite() && pass.contains(&Pass::Out);
    sound.then_some(Incline { steep, side, pass, down })
}

/// Whether a place lies on a facet or its edges.
pub(super) fn holds(mesh: &Mesh, facet: usize, place: [f64; 2]) -> bool {
    let corners = mesh.facets[facet].map(|p| mesh.at[p]);
    (0..3).all(|k| {
        let (a, b) = (corners[k], corners[(k + 1) % 3]);
        cross(minus(b, a), minus(place, a)) >= -NEAR * apart(a, b).max(1.0)
    })
}

/// A drain at a point that takes water standing at a level; overflows are not meant.
fn flush_drain(mesh: &Mesh, point: usize, level: f64) -> Option<Sink> {
    let drain = mesh.drains.iter().find(|d| d.point == point && !d.overflow && d.level <= level + SAME)?;
    Some(Sink::Outlet(drain.id))
}

/// The way on from each point where water lies as thin as nothing, by the shortest way over deck of the same level: on a
/// dead level deck each place then drains to the outlet nearest along the mesh. The flood alone would take whichever point
/// came first.
fn level_ways(
    mesh: &Mesh,
    flood: &Flood,
    around: &Around,
    feet: &BTreeMap<usize, usize>,
) -> (Vec<LevelWay>, Vec<f64>) {
    let count = mesh.at.len();
    let (mut ways, mut reach) = (vec![LevelWay::Unknown; count], vec![f64::INFINITY; count]);
    let mut open = BinaryHeap::new();
    let dry = |p: usize| flood.water[p] <= mesh.z[p] + SAME;
    for point in (0..count).filter(|&p| dry(p)) {
        // Over a step it leaves at once, unless an outlet takes it or the water below stands as high.
        let down = feet.get(&point).copied().filter(|&foot| flood.water[foot] < flood.water[point] - SAME);
        let way = leaves_level(mesh, flood, around, point);
        let way = if matches!(way, Some(LevelWay::Out(_))) { way } else { down.map(LevelWay::Down).or(way) };
        if let Some(way) = way {
            (ways[point], reach[point]) = (way, 0.0);
            open.push(Reverse((0, point)));
        }
    }
    while let Some(Reverse((bits, point))) = open.pop() {
        let length = f64::from_bits(bits);
        if length > reach[point] {
            continue;
        }
        for &(facet, corner) in around.facets(point) {
            for k in [1, 2] {
                let other = mesh.facets[facet][(corner + k) % 3];
                let there = length + apart(mesh.at[point], mesh.at[other]);
                let same = (flood.water[other] - flood.water[point]).abs() <= SAME;
                if same && dry(other) && there < reach[other] {
                    (ways[other], reach[other]) = (LevelWay::Along(point), there);
                    // Lengths are not negative, so their bits sort as they do.
                    open.push(Reverse((there.to_bits(), other)));
                }
            }
        }
    }
    (ways, reach)
}

/// How water leaves level deck at a point, if it does there.
fn leaves_level(mesh: &Mesh, flood: &Flood, around: &Around, point: usize) -> Option<LevelWay> {
    if let Some(sink) = flush_drain(mesh, point, flood.water[point]) {
        return Some(LevelWay::Out(sink));
    }
    let (mut edge, mut lower): (Option<u32>, Option<(f64, usize)>) = (None, None);
    for &(facet, corner) in around.facets(point) {
        for k in [corner, (corner + 2) % 3] {
            if let Beyond::Open(id) = mesh.beyond[facet][k] {
                edge = Some(edge.map_or(id, |least| least.min(id)));
            }
        }
        for k in [1, 2] {
            let other = mesh.facets[facet][(corner + k) % 3];
            let steep = (mesh.z[point] - mesh.z[other]) / apart(mesh.at[point], mesh.at[other]);
            let leads_lower = flood.water[other] < flood.water[point] - SAME;
            if leads_lower && lower.is_none_or(|(most, _)| steep > most) {
                lower = Some((steep, other));
            }
        }
    }
    edge.map(|id| LevelWay::Out(Sink::Edge(id))).or(lower.map(|(_, p)| LevelWay::Down(p)))
}

pub(super) fn minus(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

pub(super) fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

pub(super) fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    let [x, y] = minus(a, b);
    (x * x + y * y).sqrt()
}
