//! The points and lines that the surface of one deck is made over, parted wherever they meet.
//!
//! In: a deck's checked edges; then places, and lines between places. Out: points at least a mm apart, those near an edge
//! of the deck put on it, and edges between points that stop wherever another line, the deck or a point is in their way;
//! each point with the levels that were claimed for it. Lines outside the deck are dropped. It decides no level.

use super::triangles::{doubled, squared};
use crate::geom::{Pt, ring};
use crate::model::DeckModel;
use crate::plan::Id;
use std::collections::BTreeMap;

/// What is nearer to an edge of the deck than this, mm, is put on it.
pub(super) const ON_EDGE: f64 = 5.0;

/// What is outside the deck but nearer than this, mm, is put on its edge.
pub(super) const BESIDE: f64 = 50.0;

/// Points nearer than this, mm, are one. Whole mm are never that near.
const SAME: f64 = 0.999;

/// Cells that points are looked up by, mm.
const CELL: f64 = 64.0;

/// Parts of a mm that computed points are put on: none is then a number too small for the triangulation.
const GRID: f64 = 1_048_576.0;

/// What a level comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Source {
    /// A spot level, by its id.
    Spot(Id),
    /// A level line.
    Line(Id),
    /// A fall plane.
    Plane(Id),
}

/// A level claimed for a point.
#[derive(Clone, Copy, Debug)]
pub(super) struct Claim {
    pub(super) level: f64,
    pub(super) from: Source,
    /// Whether it was given for this place; else it follows from a line or a plane through it.
    pub(super) given: bool,
}

/// An end of a line.
#[derive(Clone, Copy, Debug)]
pub(super) struct End {
    pub(super) at: Pt,
    pub(super) level: Option<f64>,
}

/// An edge of the deck and the points on it.
struct DeckEdge {
    a: [f64; 2],
    b: [f64; 2],
    /// How far along, and which.
    on: Vec<(f64, usize)>,
}

/// What a line is drawn for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum DrawnFor {
    /// It gives levels.
    Levels(Source),
    /// The deck changes level along it: its id.
    Change(Id),
}

/// A straight line that facets must keep to.
struct Stroke {
    a: [f64; 2],
    b: [f64; 2],
    levels: Option<[f64; 2]>,
    from: DrawnFor,
    /// How far along, and which point is there.
    cuts: Vec<(f64, usize)>,
}

/// Where a place is on the deck.
pub(super) enum Spot {
    /// On it well within its edges.
    Within,
    /// At an edge: its number and how far away it is, mm.
    Edge(usize, f64),
    /// Nowhere near.
    Off,
}

/// The points and lines of one deck.
pub(super) struct Sketch {
    /// Id of the deck.
    pub(super) deck: Id,
    /// Points, mm.
    pub(super) at: Vec<[f64; 2]>,
    /// Levels claimed for each.
    pub(super) claims: Vec<Vec<Claim>>,
    /// How many of the points are corners of the deck and its openings: they come first.
    pub(super) corners: usize,
    edges: Vec<DeckEdge>,
    strokes: Vec<Stroke>,
    cells: BTreeMap<(i64, i64), Vec<usize>>,
    lo: [f64; 2],
    hi: [f64; 2],
}

#[allow(clippy::cast_precision_loss)]
pub(super) fn real(p: Pt) -> [f64; 2] {
    [p.x as f64, p.y as f64]
}

#[allow(clippy::cast_possible_truncation)]
fn cell(value: f64) -> i64 {
    (value / CELL).floor() as i64
}

/// How far along a line, 0 to 1, the place on it nearest to `p` is.
fn share_along(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> f64 {
    let length = squared(a, b);
    if length <= 0.0 {
        return 0.0;
    }
    let ahead = (p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1]);
    (ahead / length).clamp(0.0, 1.0)
}

fn between(a: [f64; 2], b: [f64; 2], share: f64) -> [f64; 2] {
    [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share]
}

/// The place on a line nearest to `p`.
pub(super) fn nearest_along(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    between(a, b, share_along(p, a, b))
}

/// Square of the distance from a line.
pub(super) fn squared_from(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> f64 {
    squared(p, nearest_along(p, a, b))
}

/// How far along each of two lines they cross, when both have an end on either side of the other.
fn crossing(a: [f64; 2], b: [f64; 2], c: [f64; 2], d: [f64; 2]) -> Option<(f64, f64)> {
    let (from, to) = (doubled(c, d, a), doubled(c, d, b));
    let (one, two) = (doubled(a, b, c), doubled(a, b, d));
    let parted = |p: f64, q: f64| (p < 0.0 && q > 0.0) || (p > 0.0 && q < 0.0);
    (parted(from, to) && parted(one, two)).then(|| (from / (from - to), one / (one - two)))
}

impl Sketch {
    /// The edges of a deck, ready for places and lines.
    pub(super) fn of(deck: &DeckModel) -> Self {
        let bounds = ring::bounds(deck.area.iter().flatten().flatten()).unwrap_or_default();
        let mut sketch = Self {
            deck: deck.id,
            at: Vec::new(),
            claims: Vec::new(),
            corners: 0,
            edges: Vec::new(),
            strokes: Vec::new(),
            cells: BTreeMap::new(),
            lo: real(bounds.0),
            hi: real(bounds.1),
        };
        for (a, b) in deck.area.iter().flatten().flat_map(|r| ring::edges(r)) {
            let ends = [real(a), real(b)];
            let on = ends.map(|p| sketch.point(p));
            sketch.edges.push(DeckEdge { a: ends[0], b: ends[1], on: vec![(0.0, on[0]), (1.0, on[1])] });
        }
        // Straight on, but something else stands along the edge from here.
        for wall in &deck.walls {
            for end in [wall.a, wall.b].map(real) {
                if let Some((edge, away)) = sketch.nearest_edge(end, 2.0)
                    && away < 2.0
                {
                    sketch.on_edge(edge, end);
                }
            }
        }
        sketch.corners = sketch.at.len();
        sketch
    }

    /// The part of the sketch inside a rim of some of its points, all numbered anew in their order; no levels are claimed yet.
    pub(super) fn part(&self, points: &[usize], rim: &[[usize; 2]]) -> Self {
        let at: Vec<[f64; 2]> = points.iter().map(|&n| self.at[n]).collect();
        let edges = rim.iter().map(|e| DeckEdge { a: at[e[0]], b: at[e[1]], on: Vec::new() }).collect();
        Self {
            deck: self.deck,
            claims: vec![Vec::new(); at.len()],
            corners: points.partition_point(|&n| n < self.corners),
            at,
            edges,
            strokes: Vec::new(),
            cells: BTreeMap::new(),
            lo: self.lo,
            hi: self.hi,
        }
    }

    /// Puts a point on an edge of a part, whose edges are its rim in order; returns it.
    pub(super) fn bend(&mut self, edge: usize, at: [f64; 2]) -> usize {
        let DeckEdge { b, .. } = self.edges[edge];
        self.edges[edge].b = at;
        self.edges.push(DeckEdge { a: at, b, on: Vec::new() });
        self.at.push(at);
        self.claims.push(Vec::new());
        self.at.len() - 1
    }

    /// Whether a place is so far from the deck that nothing of it can be on it.
    pub(super) fn far_from(&self, lo: [f64; 2], hi: [f64; 2]) -> bool {
        (0..2).any(|k| hi[k] < self.lo[k] - BESIDE || lo[k] > self.hi[k] + BESIDE)
    }

    /// Where a place is, looking no further than `reach` outside the deck.
    pub(super) fn where_is(&self, at: Pt, reach: f64) -> Spot {
        let p = real(at);
        if (0..2).any(|k| p[k] < self.lo[k] - reach || p[k] > self.hi[k] + reach) {
            return Spot::Off;
        }
        let near = self.nearest_edge(p, reach.max(ON_EDGE));
        match near {
            Some((edge, away)) if away <= ON_EDGE => Spot::Edge(edge, away),
            _ if self.holds(p) => Spot::Within,
            Some((edge, away)) if away <= reach => Spot::Edge(edge, away),
            _ => Spot::Off,
        }
    }

    /// The point for a place on the deck or beside it.
    pub(super) fn place(&mut self, at: Pt, reach: f64) -> Option<usize> {
        match self.where_is(at, reach) {
            Spot::Within => Some(self.point(real(at))),
            Spot::Edge(edge, _) => Some(self.on_edge(edge, real(at))),
            Spot::Off => None,
        }
    }

    /// Adds a line with levels; returns the points at those ends that are on the deck.
    pub(super) fn stroke(&mut self, ends: [End; 2], from: Source) -> [Option<usize>; 2] {
        self.draw(ends, DrawnFor::Levels(from))
    }

    /// Adds a line along which the deck changes level.
    pub(super) fn change(&mut self, ends: [Pt; 2], id: Id) {
        self.draw(ends.map(|at| End { at, level: None }), DrawnFor::Change(id));
    }

    fn draw(&mut self, ends: [End; 2], from: DrawnFor) -> [Option<usize>; 2] {
        let [a, b] = ends.map(|e| real(e.at));
        if ends[0].at == ends[1].at
            || self.far_from([a[0].min(b[0]), a[1].min(b[1])], [a[0].max(b[0]), a[1].max(b[1])])
        {
            return [None, None];
        }
        let points = ends.map(|e| self.place(e.at, BESIDE));
        let cuts = points.iter().zip([0.0, 1.0]).filter_map(|(p, share)| p.map(|p| (share, p))).collect();
        let levels = ends[0].level.zip(ends[1].level).map(|(from, to)| [from, to]);
        self.strokes.push(Stroke { a, b, levels, from, cuts });
        points
    }

    /// Whether a line of this source runs over the deck or past it.
    pub(super) fn has_stroke_of(&self, from: Source) -> bool {
        self.strokes.iter().any(|s| {
            s.from == DrawnFor::Levels(from)
                && (!s.cuts.is_empty() || self.edges.iter().any(|e| crossing(s.a, s.b, e.a, e.b).is_some()))
        })
    }

    /// Parts all lines where they meet; returns the edges of the deck, then those of the lines.
    pub(super) fn parted(&mut self) -> Parted {
        self.cut_at_edges();
        self.cut_at_one_another();
        self.cut_at_points();
        let mut parted = Parted::default();
        for edge in &mut self.edges {
            edge.on.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)));
            parted.deck.extend(edge.on.windows(2).map(|w| [w[0].1, w[1].1]).filter(|e| e[0] != e[1]));
        }
        let strokes = std::mem::take(&mut self.strokes);
        for stroke in &strokes {
            self.claim_along(stroke);
            let mut cuts = stroke.cuts.clone();
            cuts.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)));
            for pair in cuts.windows(2).map(|w| [w[0].1, w[1].1]).filter(|e| e[0] != e[1]) {
                let middle = between(self.at[pair[0]], self.at[pair[1]], 0.5);
                if self.holds(middle) {
                    match stroke.from {
                        DrawnFor::Levels(_) => parted.lines.push(pair),
                        DrawnFor::Change(id) => parted.changes.push((pair, id)),
                    }
                }
            }
        }
        parted
    }

    /// Whether a place is inside the deck; at its edges either may be said.
    pub(super) fn holds(&self, p: [f64; 2]) -> bool {
        let mut inside = false;
        for DeckEdge { a, b, .. } in &self.edges {
            if (a[1] > p[1]) != (b[1] > p[1]) && ((doubled(*a, *b, p) > 0.0) == (b[1] > a[1])) {
                inside = !inside;
            }
        }
        inside
    }

    /// The edge nearest to a place, when within `reach`, and its distance.
    fn nearest_edge(&self, p: [f64; 2], reach: f64) -> Option<(usize, f64)> {
        let mut best: Option<(usize, f64)> = None;
        for (n, DeckEdge { a, b, .. }) in self.edges.iter().enumerate() {
            if (0..2).any(|k| p[k] < a[k].min(b[k]) - reach || p[k] > a[k].max(b[k]) + reach) {
                continue;
            }
            let away = squared_from(p, *a, *b);
            if away <= reach * reach && best.is_none_or(|(_, least)| away < least) {
                best = Some((n, away));
            }
        }
        best.map(|(n, away)| (n, away.sqrt()))
    }

    /// The point at a place: one that is there already, or a new one.
    fn point(&mut self, p: [f64; 2]) -> usize {
        for x in cell(p[0] - SAME)..=cell(p[0] + SAME) {
            for y in cell(p[1] - SAME)..=cell(p[1] + SAME) {
                let here = self.cells.get(&(x, y)).into_iter().flatten();
                if let Some(&n) = here.into_iter().find(|&&n| squared(self.at[n], p) < SAME * SAME) {
                    return n;
                }
            }
        }
        self.at.push(p);
        self.claims.push(Vec::new());
        self.cells.entry((cell(p[0]), cell(p[1]))).or_default().push(self.at.len() - 1);
        self.at.len() - 1
    }

    /// The point on an edge of the deck nearest to a place.
    fn on_edge(&mut self, edge: usize, p: [f64; 2]) -> usize {
        let DeckEdge { a, b, .. } = self.edges[edge];
        let share = share_along(p, a, b);
        let whole = if share <= 0.0 {
            a
        } else if share >= 1.0 {
            b
        } else {
            between(a, b, share).map(|v| (v * GRID).round() / GRID)
        };
        let point = self.point(whole);
        if !self.edges[edge].on.iter().any(|&(_, n)| n == point) {
            self.edges[edge].on.push((share, point));
        }
        point
    }

    /// The point where lines cross: on an edge of the deck when it is near one.
    fn meeting(&mut self, p: [f64; 2]) -> usize {
        match self.nearest_edge(p, ON_EDGE) {
            Some((edge, _)) => self.on_edge(edge, p),
            None => self.point(p.map(|v| (v * GRID).round() / GRID)),
        }
    }

    fn cut_at_edges(&mut self) {
        for s in 0..self.strokes.len() {
            for e in 0..self.edges.len() {
                let (Stroke { a, b, .. }, DeckEdge { a: c, b: d, .. }) = (&self.strokes[s], &self.edges[e]);
                let (a, b) = (*a, *b);
                if let Some((share, _)) = crossing(a, b, *c, *d) {
                    let point = self.on_edge(e, between(a, b, share));
                    self.strokes[s].cuts.push((share, point));
                }
            }
        }
    }

    fn cut_at_one_another(&mut self) {
        let left = |s: &Stroke| s.a[0].min(s.b[0]);
        let right = |s: &Stroke| s.a[0].max(s.b[0]);
        let mut order: Vec<usize> = (0..self.strokes.len()).collect();
        order.sort_by(|&i, &j| left(&self.strokes[i]).total_cmp(&left(&self.strokes[j])).then(i.cmp(&j)));
        for (rank, &i) in order.iter().enumerate() {
            for &j in &order[rank + 1..] {
                let (one, two) = (&self.strokes[i], &self.strokes[j]);
                if left(two) > right(one) {
                    break;
                }
                if let Some((share, other)) = crossing(one.a, one.b, two.a, two.b) {
                    let p = between(one.a, one.b, share);
                    if self.holds(p) {
                        let point = self.meeting(p);
                        self.strokes[i].cuts.push((share, point));
                        self.strokes[j].cuts.push((other, point));
                    }
                }
            }
        }
    }

    fn cut_at_points(&mut self) {
        let mut order: Vec<usize> = (0..self.at.len()).collect();
        order.sort_by(|&i, &j| self.at[i][0].total_cmp(&self.at[j][0]).then(i.cmp(&j)));
        for stroke in &mut self.strokes {
            let (a, b) = (stroke.a, stroke.b);
            let lo = [a[0].min(b[0]) - SAME, a[1].min(b[1]) - SAME];
            let hi = [a[0].max(b[0]) + SAME, a[1].max(b[1]) + SAME];
            let first = order.partition_point(|&n| self.at[n][0] < lo[0]);
            for &n in order[first..].iter().take_while(|&&n| self.at[n][0] <= hi[0]) {
                let p = self.at[n];
                if p[1] < lo[1] || p[1] > hi[1] || stroke.cuts.iter().any(|&(_, m)| m == n) {
                    continue;
                }
                let share = share_along(p, a, b);
                if share > 0.0 && share < 1.0 && squared(p, between(a, b, share)) < SAME * SAME {
                    stroke.cuts.push((share, n));
                }
            }
        }
    }

    /// What a line with levels says of the points on it; of its ends, what was given has been said already.
    fn claim_along(&mut self, stroke: &Stroke) {
        let (Some([from, to]), DrawnFor::Levels(source)) = (stroke.levels, stroke.from) else { return };
        for &(share, point) in stroke.cuts.iter().filter(|&&(share, _)| share > 0.0 && share < 1.0) {
            self.claims[point].push(Claim { level: from + (to - from) * share, from: source, given: false });
        }
    }
}

/// Edges that no other crosses.
#[derive(Default)]
pub(super) struct Parted {
    /// Round the deck and its openings.
    pub(super) deck: Vec<[usize; 2]>,
    /// Along lines and the sides of planes.
    pub(super) lines: Vec<[usize; 2]>,
    /// Along changes of level, each with the id of its line.
    pub(super) changes: Vec<([usize; 2], Id)>,
}
