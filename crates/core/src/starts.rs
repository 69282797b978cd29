//! Starts: the cut length of a zone for every place that its first course can have.
//!
//! In: the field in a working frame, the roll width, the side lap. Out: for every whole mm that the first course may start
//! outside the field, the exact sum of run lengths, the number of slivers and the length of side laps, as
//! [`crate::courses`] would find them. It chooses nothing.
//!
//! How: a course at offset t sees the field between two lines. While no corner meets one of the lines, its runs keep
//! their make-up: the same corners inside, the same edges cut. So the field is looked at once for every stretch between
//! such events, and once for each whole mm at an event, where corners are put on the line as [`crate::geom::net`] puts
//! them. Between events a run's extent is the reach of its corners or of the edges cut, whichever is further, so that
//! re-entrant corners that hand over to one another are in the count. Nothing is sampled.

use crate::geom::frame::{Place, UM, down_to_mm, up_to_mm};
use crate::geom::net::{self, Net, ON_LINE, interpolate};
use crate::geom::sets::Sets;
use crate::plan::Mm;

/// What a start gives.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Start {
    /// Sum of run lengths, mm.
    pub cut_length: Mm,
    /// Runs narrower than the least strip.
    pub slivers: Mm,
    /// Length of side laps, about, mm.
    pub laps: Mm,
}

/// How courses lie over a breadth.
#[derive(Clone, Copy, Debug)]
pub struct Spacing {
    /// Breadth of the field, mm.
    pub breadth: Mm,
    /// Width of the roll, mm.
    pub width: Mm,
    /// Side lap, mm.
    pub lap: Mm,
    /// Least width of a strip, mm.
    pub least: Mm,
}

impl Spacing {
    /// Cover width of a course, mm.
    pub fn pitch(&self) -> Mm {
        self.width - self.lap
    }

    /// Number of courses when the first starts so far outside.
    pub fn courses(&self, first: Mm) -> Mm {
        let pitch = self.pitch();
        (((self.breadth + first - self.lap).max(1) + pitch - 1) / pitch).max(1)
    }

    /// What the last course covers when the first starts so far outside, mm.
    pub fn last_cover(&self, first: Mm) -> Mm {
        self.breadth + first - (self.courses(first) - 1) * self.pitch()
    }

    /// The start that puts the last course hard against its wall.
    pub fn last_hard(&self) -> Mm {
        (self.width - self.last_cover(0)).rem_euclid(self.pitch())
    }

    /// Whether neither the first nor the last course is narrower than the least strip.
    pub fn is_sound(&self, first: Mm) -> bool {
        let least = self.least.min(self.width).max(1);
        self.courses(first) == 1 || (self.width - first >= least && self.last_cover(first) >= least)
    }
}

/// What every start gives, by how far the first course starts outside the field, from 0 to the pitch. The frame of
/// `field` has its zero at the field's least u and v; nothing is noded in it yet.
pub fn all(field: &Net, spacing: &Spacing) -> Vec<Start> {
    let pitch = spacing.pitch();
    let mut starts = vec![Start::default(); usize::try_from(pitch).unwrap_or(0)];
    if starts.is_empty() || spacing.width < 2 * spacing.lap {
        return Vec::new();
    }
    let mut scan = Scan::new(field, spacing);
    let (first, end) = (1 - pitch, (spacing.breadth - spacing.lap).max(1));
    let mut at = first;
    for event in scan.events() {
        // Whole mm whose lines a corner is put on, and the stretch of whole mm before them.
        let near = ((event - ON_LINE + UM - 1).div_euclid(UM), (event + ON_LINE).div_euclid(UM));
        if near.0 >= end {
            break;
        }
        scan.add_stretch(at, near.0.min(end), &mut starts);
        at = at.max(near.0);
        while at <= near.1 && at < end {
            scan.add_stretch(at, at + 1, &mut starts);
            at += 1;
        }
    }
    scan.add_stretch(at, end, &mut starts);
    starts
}

/// An edge of the field.
#[derive(Clone, Copy, Debug)]
struct Edge {
    a: Place,
    b: Place,
    /// The edge before it on its ring.
    before: usize,
    /// Whether its ring is a hole.
    hole: bool,
}

/// The field, ready to be looked at through many strips.
struct Scan {
    spacing: Spacing,
    edges: Vec<Edge>,
    /// Edges by the bands of the roll width that they reach into.
    bands: Vec<Vec<usize>>,
    /// Index of an edge among those of the present strip, with the look it is good for.
    local: Vec<(u32, usize)>,
    look: u32,
}

/// The lines of a course at an offset, micrometres.
#[derive(Clone, Copy, Debug)]
struct Lines {
    lo: i64,
    hi: i64,
    /// Where the course before ends.
    before: Option<i64>,
    /// Where the course after starts.
    after: Option<i64>,
}

impl Lines {
    /// The offset as it is once corners near a line are put on it.
    fn put_on(&self, v: i64) -> i64 {
        let mut best = (ON_LINE + 1, v);
        for line in [Some(self.lo), self.before, self.after, Some(self.hi)].into_iter().flatten() {
            let off = (line - v).abs();
            if off < best.0 {
                best = (off, line);
            }
        }
        best.1
    }
}

/// Where an edge crosses one of the two outer lines.
#[derive(Clone, Copy, Debug)]
struct Crossing {
    edge: usize,
    u: i64,
    lean: (i64, i64),
    /// It starts from a corner on the line: it does not move along the edge.
    fixed: bool,
}

/// A run as it is made up between two events.
#[derive(Clone, Debug, Default)]
struct Shape {
    lo_u: i64,
    hi_u: i64,
    /// Least and greatest offset of its corners; `None` where it reaches the line.
    lo_v: Option<i64>,
    hi_v: Option<i64>,
    /// Edges that slide along the first and the second line.
    on_lo: Vec<usize>,
    on_hi: Vec<usize>,
}

/// What a course sees of the field.
#[derive(Clone, Debug, Default)]
struct View {
    shapes: Vec<Shape>,
    /// Pairs of crossings on the second line, where the next course laps.
    contact: Vec<[Crossing; 2]>,
    /// Whether every edge cut runs straight across: extents then stay the same.
    still: bool,
}

impl Scan {
    fn new(field: &Net, spacing: &Spacing) -> Self {
        let mut edges = Vec::new();
        for ring in field.rings() {
            let (start, count) = (edges.len(), ring.len());
            let hole = net::doubled_area_um(ring) < 0;
            for (i, (a, b)) in net::edges(ring).enumerate() {
                edges.push(Edge { a: a.at, b: b.at, before: start + (i + count - 1) % count, hole });
            }
        }
        let band = |v: i64| usize::try_from(v.div_euclid(spacing.width * UM) + 1).unwrap_or(0);
        let mut bands = vec![Vec::new(); band(spacing.breadth * UM) + 2];
        for (i, edge) in edges.iter().enumerate() {
            let (lo, hi) = (edge.a.v.min(edge.b.v) - UM, edge.a.v.max(edge.b.v) + UM);
            let last = bands.len() - 1;
            bands[band(lo)..=band(hi).min(last)].iter_mut().for_each(|b| b.push(i));
        }
        let local = vec![(0, 0); edges.len()];
        Self { spacing: *spacing, edges, bands, local, look: 0 }
    }

    /// Offsets at which a corner meets a line of the course there, in order, micrometres.
    fn events(&self) -> Vec<i64> {
        let Spacing { width, lap, .. } = self.spacing;
        let lines = [0, lap, width - lap, width].map(|mm| mm * UM);
        let mut events: Vec<i64> = self.edges.iter().flat_map(|e| lines.map(|line| e.a.v - line)).collect();
        // Also where the first course becomes one with a course before it, and the last one with one after it.
        events.extend([UM / 2, (self.spacing.breadth - width) * UM - UM / 2]);
        events.sort_unstable();
        events.dedup();
        events
    }

    fn lines(&self, offset: Mm) -> Lines {
        let Spacing { breadth, width, lap, .. } = self.spacing;
        Lines {
            lo: offset * UM,
            hi: (offset + width) * UM,
            before: (offset > 0).then_some((offset + lap) * UM),
            after: (offset < breadth - width).then_some((offset + width - lap) * UM),
        }
    }

    /// Adds what courses at the offsets `from..to`, all made up alike, give to each start.
    fn add_stretch(&mut self, from: Mm, to: Mm, starts: &mut [Start]) {
        if from >= to {
            return;
        }
        let view = self.view(self.lines(from));
        let pitch = self.spacing.pitch();
        let mut add = |offset: Mm, given: Start| {
            let slot = usize::try_from((-offset).rem_euclid(pitch)).unwrap_or(0);
            starts[slot].cut_length += given.cut_length;
            starts[slot].slivers += given.slivers;
            starts[slot].laps += given.laps;
        };
        let first = self.measure(&view, from);
        let last = self.measure(&view, to - 1);
        if view.still && first == last {
            (from..to).for_each(|offset| add(offset, first));
        } else {
            (from..to).for_each(|offset| add(offset, self.measure(&view, offset)));
        }
    }

    /// What a course at an offset gives.
    fn measure(&self, view: &View, offset: Mm) -> Start {
        let lines = self.lines(offset);
        let reach = |edges: &[usize], line: i64, bounds: &mut (i64, i64)| {
            for &edge in edges {
                let u = self.u_at(edge, line);
                *bounds = (bounds.0.min(u), bounds.1.max(u));
            }
        };
        let mut given = Start::default();
        for shape in &view.shapes {
            let mut bounds = (shape.lo_u, shape.hi_u);
            reach(&shape.on_lo, lines.lo, &mut bounds);
            reach(&shape.on_hi, lines.hi, &mut bounds);
            given.cut_length += (up_to_mm(bounds.1) - down_to_mm(bounds.0)).max(1);
            let across = shape.hi_v.unwrap_or(lines.hi) - shape.lo_v.unwrap_or(lines.lo);
            given.slivers += i64::from(across < self.spacing.least * UM);
        }
        if lines.after.is_some() {
            let at = |c: &Crossing| if c.fixed { c.u } else { self.u_at(c.edge, lines.hi) };
            given.laps = view.contact.iter().map(|pair| at(&pair[1]) - at(&pair[0])).sum::<i64>() / UM;
        }
        given
    }

    fn u_at(&self, edge: usize, line: i64) -> i64 {
        let Edge { a, b, .. } = self.edges[edge];
        interpolate(a.v, a.u, b.v, b.u, line)
    }

    /// The runs that a course needs.
    fn view(&mut self, lines: Lines) -> View {
        let inside = self.gather(&lines);
        let mut sets = Sets::new(inside.len());
        let on = |v: i64| v > lines.lo && v < lines.hi;
        for (i, &edge) in inside.iter().enumerate() {
            let e = self.edges[edge];
            let (look, before) = self.local[e.before];
            if on(lines.put_on(e.a.v)) && look == self.look {
                sets.join(i, before);
            }
        }
        let low = self.crossings(&inside, lines.lo, &lines);
        let high = self.crossings(&inside, lines.hi, &lines);
        for pair in low.chunks_exact(2).chain(high.chunks_exact(2)) {
            sets.join(self.local[pair[0].edge].1, self.local[pair[1].edge].1);
        }
        let mut view = self.shapes(&inside, &lines, &mut sets, &low, &high);
        view.contact = high.chunks_exact(2).map(|pair| [pair[0], pair[1]]).collect();
        view.still = low.iter().chain(&high).all(|c| {
            let e = self.edges[c.edge];
            c.fixed || e.a.u == e.b.u
        });
        view
    }

    /// Edges that run between the lines, each with its place in the list noted.
    fn gather(&mut self, lines: &Lines) -> Vec<usize> {
        self.look += 1;
        let width = self.spacing.width * UM;
        let band = |v: i64| usize::try_from(v.div_euclid(width) + 1).unwrap_or(0);
        let last = self.bands.len() - 1;
        let mut inside = Vec::new();
        for list in &self.bands[band(lines.lo).min(last)..=band(lines.hi).min(last)] {
            for &edge in list {
                let e = self.edges[edge];
                let (a, b) = (lines.put_on(e.a.v), lines.put_on(e.b.v));
                let between = a.max(b) > lines.lo && a.min(b) < lines.hi;
                if between && self.local[edge].0 != self.look {
                    self.local[edge] = (self.look, inside.len());
                    inside.push(edge);
                }
            }
        }
        inside
    }

    /// Where edges cross an outer line or start from it, in order along it.
    fn crossings(&self, inside: &[usize], line: i64, lines: &Lines) -> Vec<Crossing> {
        let mut found = Vec::new();
        for &edge in inside {
            let e = self.edges[edge];
            let (a, b) = (lines.put_on(e.a.v), lines.put_on(e.b.v));
            if a == b || (line - a).signum() * (line - b).signum() > 0 {
                continue;
            }
            // The end on the line, or beyond it; the other one is within.
            let outer_a = if line == lines.lo { a <= line } else { a >= line };
            let (outer, inner) = if outer_a { (e.a, e.b) } else { (e.b, e.a) };
            let fixed = if outer_a { a == line } else { b == line };
            let u = if fixed { outer.u } else { interpolate(e.a.v, e.a.u, e.b.v, e.b.u, line) };
            let lean = (inner.u - outer.u, (inner.v - outer.v).abs().max(1));
            found.push(Crossing { edge, u, lean, fixed });
        }
        let slope = |a: &Crossing, b: &Crossing| {
            (i128::from(a.lean.0) * i128::from(b.lean.1)).cmp(&(i128::from(b.lean.0) * i128::from(a.lean.1)))
        };
        found.sort_by(|a, b| a.u.cmp(&b.u).then_with(|| slope(a, b)).then(a.edge.cmp(&b.edge)));
        found
    }

    fn shapes(
        &self,
        inside: &[usize],
        lines: &Lines,
        sets: &mut Sets,
        low: &[Crossing],
        high: &[Crossing],
    ) -> View {
        let mut of_root: Vec<Option<usize>> = vec![None; inside.len()];
        let mut found: Vec<(Shape, bool, Option<i64>, Option<i64>)> = Vec::new();
        for (i, &edge) in inside.iter().enumerate() {
            let root = sets.find(i);
            let n = *of_root[root].get_or_insert_with(|| {
                let shape = Shape { lo_u: i64::MAX, hi_u: i64::MIN, ..Shape::default() };
                found.push((shape, self.edges[edge].hole, None, None));
                found.len() - 1
            });
            let (shape, _, lo_v, hi_v) = &mut found[n];
            for corner in [self.edges[edge].a, self.edges[edge].b] {
                let v = lines.put_on(corner.v);
                if v >= lines.lo && v <= lines.hi {
                    shape.lo_u = shape.lo_u.min(corner.u);
                    shape.hi_u = shape.hi_u.max(corner.u);
                    *lo_v = Some(lo_v.map_or(v, |lo: i64| lo.min(v)));
                    *hi_v = Some(hi_v.map_or(v, |hi: i64| hi.max(v)));
                }
            }
        }
        let mut touches = vec![(false, false); found.len()];
        for (crossings, is_low) in [(low, true), (high, false)] {
            for crossing in crossings {
                let Some(n) = of_root[sets.find(self.local[crossing.edge].1)] else { continue };
                let touch = if is_low { &mut touches[n].0 } else { &mut touches[n].1 };
                *touch = true;
                if !crossing.fixed {
                    let list = if is_low { &mut found[n].0.on_lo } else { &mut found[n].0.on_hi };
                    list.push(crossing.edge);
                }
            }
        }
        let mut view = View::default();
        for ((mut shape, hole, lo_v, hi_v), (low, high)) in found.into_iter().zip(touches) {
            shape.lo_v = if low { None } else { lo_v };
            shape.hi_v = if high { None } else { hi_v };
            if hole && !low && !high {
                continue;
            }
            if !self.is_covered(&shape, lines) {
                view.shapes.push(shape);
            }
        }
        view
    }

    /// Whether a neighbouring course covers a run with its lap.
    fn is_covered(&self, shape: &Shape, lines: &Lines) -> bool {
        let by_before = lines.before.is_some_and(|line| shape.hi_v.is_some_and(|v| v <= line));
        let by_after = || {
            lines.after.is_some_and(|line| shape.lo_v.is_some_and(|v| v >= line))
                && shape.hi_v.is_none()
                && self.goes_on(shape, lines)
        };
        by_before || by_after()
    }

    /// Whether the field of a run that reaches the second line goes on beyond it.
    fn goes_on(&self, shape: &Shape, lines: &Lines) -> bool {
        let line = lines.hi;
        let mut beyond: Vec<(i64, i64, i64)> = Vec::new();
        for e in &self.edges {
            let (a, b) = (lines.put_on(e.a.v), lines.put_on(e.b.v));
            if a.min(b) <= line && a.max(b) > line {
                let (low, top) = if a <= b { (e.a, e.b) } else { (e.b, e.a) };
                let u = if a.min(b) == line { low.u } else { interpolate(e.a.v, e.a.u, e.b.v, e.b.u, line) };
                beyond.push((u, top.u - low.u, (top.v - low.v).max(1)));
            }
        }
        beyond.sort_by(|p, q| {
            let slope = (i128::from(p.1) * i128::from(q.2)).cmp(&(i128::from(q.1) * i128::from(p.2)));
            p.0.cmp(&q.0).then(slope)
        });
        let mut bounds = (shape.lo_u, shape.hi_u);
        for &edge in &shape.on_hi {
            let u = self.u_at(edge, line);
            bounds = (bounds.0.min(u), bounds.1.max(u));
        }
        beyond.chunks_exact(2).any(|pair| pair[0].0.max(bounds.0) < pair[1].0.min(bounds.1))
    }
}
