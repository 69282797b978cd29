//! Regions seen in a working frame, with a shared corner wherever a setting-out line crosses their edges.
//!
//! In: regions in whole mm and a frame; then lines across (constant v) and short cuts along v (constant u). Out: the
//! parts of the regions between two lines, as loops of [`Node`]s.
//!
//! Why: two pieces, or two bays, cut from one region must agree on every corner they share, to the mm, or gaps and
//! overlaps of half a millimetre creep in. So every crossing becomes a node *once*, on the region's own ring, with its
//! frame place (exact on the line) and its snapped plan point side by side. Cutting afterwards only follows nodes:
//! topology comes from the frame place, coordinates on the sheet come from the plan point, and unions are exact.
//!
//! ```text
//!            hi ----o=======o--------o===o----    === links along the line
//!                  /         \      /    |         o  nodes
//!            lo --o===========o----o=====o----
//! ```
//!
//! It does no boolean operations and decides nothing about courses.

use super::frame::{Frame, Place};
use super::ring::untied;
use super::{Points, Pt, Region};
use std::collections::BTreeMap;

/// A corner: where it is in the frame and on the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Node {
    /// Place in the frame; exactly on every line it belongs to.
    pub at: Place,
    /// The same, before it was put on a line: what positions along its edges are reckoned from.
    true_at: Place,
    /// Plan point, whole mm.
    pub p: Pt,
}

/// A loop of nodes: anticlockwise in the frame when it is an outer edge, clockwise when it is a hole.
pub type Loop = Vec<Node>;

/// A connected part of a net: its outer loop, then its holes.
pub type Part = Vec<Loop>;

/// Corners closer than this to a line are put on it, micrometres. Snapping to whole mm moves a crossing by up to half
/// the diagonal of a mm, 707 micrometres: a corner nearer than that could end up on its wrong side.
pub(crate) const ON_LINE: i64 = 710;

/// Extra corners along lines, by line and in order along it: where cuts on one side of a line end.
pub type Marks = BTreeMap<i64, Vec<Node>>;

/// Puts marks in order along their lines, each place once.
pub fn put_in_order(marks: &mut Marks) {
    for on_line in marks.values_mut() {
        on_line.sort_by_key(|n| n.at.u);
        on_line.dedup_by_key(|n| n.at.u);
    }
}

/// Regions in a working frame.
#[derive(Clone, Debug)]
pub struct Net {
    frame: Frame,
    /// Rings with the area on their left in the frame.
    rings: Vec<Ring>,
}

/// A ring with its bounds: most cuts miss most rings.
#[derive(Clone, Debug)]
struct Ring {
    nodes: Loop,
    lo: Place,
    hi: Place,
}

impl Ring {
    fn new(nodes: Loop) -> Self {
        let (lo, hi) = bounds([&nodes]).unwrap_or_default();
        Self { nodes, lo, hi }
    }

    fn meets_rows(&self, lo: i64, hi: i64) -> bool {
        self.lo.v <= hi && self.hi.v >= lo
    }
}

impl Net {
    /// The regions as they are, nothing noded yet.
    pub fn new(frame: Frame, regions: &[Region]) -> Self {
        let mut rings = Vec::new();
        for ring in regions.iter().flatten() {
            let mut nodes: Loop = ring.iter().map(|&p| node(frame.place(p), p)).collect();
            if !frame.is_right_handed() {
                nodes.reverse();
            }
            rings.push(Ring::new(nodes));
        }
        Self { frame, rings }
    }

    /// Least and greatest u and v, micrometres; `None` when the net is empty.
    pub fn bounds(&self) -> Option<(Place, Place)> {
        bounds(self.rings())
    }

    /// All rings, the area on their left in the frame.
    pub fn rings(&self) -> impl Iterator<Item = &Loop> {
        self.rings.iter().map(|ring| &ring.nodes)
    }

    /// A node at a place of the frame that is on no ring.
    pub fn mark(&self, at: Place) -> Node {
        node(at, self.frame.plan_point(at))
    }

    /// Makes a corner wherever an edge crosses one of the lines v = `lines` (sorted, micrometres).
    pub fn node_lines(&mut self, lines: &[i64]) {
        let frame = self.frame;
        for ring in &mut self.rings {
            for corner in &mut ring.nodes {
                if let Some(line) = nearest(lines, corner.at.v).filter(|l| (l - corner.at.v).abs() <= ON_LINE)
                {
                    corner.at.v = line;
                }
            }
            let mut nodes = noded(&ring.nodes, |a, b, on_edge| {
                let start = on_edge.len();
                let crossed = strictly_between(lines, a.at.v, b.at.v);
                on_edge.extend(crossed.iter().map(|&v| crossing_v(&frame, a, b, v)));
                if a.at.v > b.at.v {
                    on_edge[start..].reverse();
                }
            });
            // A wedge less than a mm wide may now run out along a line and back: no roll can follow it.
            trim_spikes(&mut nodes);
            *ring = Ring::new(nodes);
        }
        self.rings.retain(|ring| ring.nodes.len() > 2 && doubled_area_um(&ring.nodes) != 0);
    }

    /// Makes a corner wherever an edge between the lines `lo` and `hi` crosses u = `u`. Lines must be noded before.
    pub fn node_cut(&mut self, u: i64, lo: i64, hi: i64) {
        let frame = self.frame;
        let meets = |a: &Node, b: &Node| {
            a.at.v.min(b.at.v) >= lo
                && a.at.v.max(b.at.v) <= hi
                && ((a.at.u < u && b.at.u > u) || (a.at.u > u && b.at.u < u))
        };
        for ring in self.rings.iter_mut().filter(|r| r.lo.u < u && r.hi.u > u && r.meets_rows(lo, hi)) {
            if edges(&ring.nodes).any(|(a, b)| meets(a, b)) {
                ring.nodes = noded(&ring.nodes, |a, b, on_edge| {
                    if meets(a, b) {
                        on_edge.push(crossing_u(&frame, a, b, u));
                    }
                });
            }
        }
    }

    /// Every corner on one of the lines, as marks: what runs along the line on either side then runs through them.
    pub fn corners_on(&self, lines: &[i64]) -> Marks {
        let mut marks = Marks::new();
        for corner in self.rings().flatten().filter(|n| lines.binary_search(&n.at.v).is_ok()) {
            marks.entry(corner.at.v).or_default().push(*corner);
        }
        marks
    }

    /// Leads every edge that passes within 0.71 mm of a mark through it. A wall so near to a line keeps to its own
    /// side of it in the frame, but not between the whole-mm points of its ends: what lies between them would cross
    /// itself at the mark. Lines must be noded and the marks in order before.
    pub fn through_marks(&mut self, marks: &Marks) {
        for ring in &mut self.rings {
            let passes = |a: &Node, b: &Node, on_edge: &mut Loop| marks_beside(a, b, marks, on_edge);
            let mut nodes = noded(&ring.nodes, passes);
            if nodes.len() > ring.nodes.len() {
                trim_spikes(&mut nodes);
                *ring = Ring::new(nodes);
            }
        }
        self.rings.retain(|ring| ring.nodes.len() > 2 && doubled_area_um(&ring.nodes) != 0);
    }

    /// The connected parts between two lines, in order of their least u. `marks` become corners where a part runs
    /// along a line.
    pub fn between(&self, lo: i64, hi: i64, marks: &Marks) -> Vec<Part> {
        let near = self.rings.iter().filter(|ring| ring.meets_rows(lo, hi));
        parts(cut(near.map(|ring| ring.nodes.as_slice()), lo, hi, marks))
    }

    /// The regions with every node as a corner.
    pub fn regions(&self) -> Vec<Region> {
        untied(self.rings().map(|ring| self.plan_ring(ring)))
    }

    /// A part on the plan: nothing when snapping leaves nothing of it, more than one region when it hangs together at
    /// single corners only.
    pub fn plan_regions(&self, part: &Part) -> Vec<Region> {
        untied(part.iter().map(|ring| self.plan_ring(ring)))
    }

    fn plan_ring(&self, ring: &Loop) -> Points {
        let mut points: Points = ring.iter().map(|n| n.p).collect();
        if !self.frame.is_right_handed() {
            points.reverse();
        }
        points.dedup();
        while points.len() > 1 && points.first() == points.last() {
            points.pop();
        }
        points
    }
}

/// The parts of a part between two cuts u = `lo` and u = `hi`. The cuts must be noded before.
pub fn between_cuts(part: &Part, lo: i64, hi: i64) -> Vec<Part> {
    let turned: Vec<Loop> = part.iter().map(transpose).collect();
    let loops = cut(turned.iter().map(Vec::as_slice), lo, hi, &Marks::new());
    parts(loops.iter().map(transpose).collect())
}

/// Least and greatest u and v of loops.
pub fn bounds<'a>(loops: impl IntoIterator<Item = &'a Loop>) -> Option<(Place, Place)> {
    let mut found: Option<(Place, Place)> = None;
    for n in loops.into_iter().flatten() {
        let (lo, hi) = found.unwrap_or((n.at, n.at));
        found = Some((
            Place { u: lo.u.min(n.at.u), v: lo.v.min(n.at.v) },
            Place { u: hi.u.max(n.at.u), v: hi.v.max(n.at.v) },
        ));
    }
    found
}

/// Where a part runs along the line v = `line`: intervals of u, each with its least end first.
pub fn runs_along(part: &Part, line: i64) -> Vec<[i64; 2]> {
    let mut found = Vec::new();
    for (a, b) in part.iter().flat_map(edges) {
        if a.at.v == line && b.at.v == line && a.at.u != b.at.u {
            found.push([a.at.u.min(b.at.u), a.at.u.max(b.at.u)]);
        }
    }
    found.sort_unstable();
    found
}

/// Length that two lists of intervals share.
pub fn shared(one: &[[i64; 2]], two: &[[i64; 2]]) -> i64 {
    one.iter().flat_map(|a| two.iter().map(|b| (a[1].min(b[1]) - a[0].max(b[0])).max(0))).sum()
}

/// Twice the area of the part left of u = `limit`, square micrometres.
pub fn doubled_area_left_of(part: &Part, limit: i64) -> i128 {
    part.iter().flat_map(edges).map(|(a, b)| doubled_integral(a.at, b.at, limit)).sum()
}

/// Lengths of u = `u` inside the part: intervals of v.
pub fn section(part: &Part, u: i64) -> Vec<[i64; 2]> {
    let mut crossings: Vec<i64> = part
        .iter()
        .flat_map(edges)
        .filter(|(a, b)| (a.at.u < u) != (b.at.u < u))
        .map(|(a, b)| interpolate(a.at.u, a.at.v, b.at.u, b.at.v, u))
        .collect();
    crossings.sort_unstable();
    crossings.chunks_exact(2).map(|pair| [pair[0], pair[1]]).collect()
}

/// A place well inside a part, as near the middle of its v range as may be.
pub fn inner_place(part: &Part, v_lo: i64, v_hi: i64) -> Option<Place> {
    let (lo, hi) = bounds(part)?;
    let (lo, hi) = (lo.v.max(v_lo), hi.v.min(v_hi));
    let turned: Part = part.iter().map(transpose).collect();
    // Odd fractions first: a corner seldom lies exactly there.
    [0.5, 0.37, 0.61, 0.23, 0.79, 0.11, 0.89, 0.03, 0.97].iter().find_map(|share| {
        let v = lo + share_of(hi - lo, *share);
        let widest = section(&turned, v).into_iter().max_by_key(|s| (s[1] - s[0], -s[0]))?;
        (widest[1] > widest[0]).then(|| Place { u: i64::midpoint(widest[0], widest[1]), v })
    })
}

/// Whether a place lies inside a part.
pub fn holds(part: &[Loop], at: Place) -> bool {
    let crossed = part
        .iter()
        .flat_map(edges)
        .filter(|(a, b)| (a.at.v > at.v) != (b.at.v > at.v))
        .filter(|(a, b)| interpolate(a.at.v, a.at.u, b.at.v, b.at.u, at.v) > at.u)
        .count();
    crossed % 2 == 1
}

/// Edges of a loop, the closing one last.
pub fn edges(ring: &Loop) -> impl Iterator<Item = (&Node, &Node)> {
    ring.iter().enumerate().map(|(i, a)| (a, &ring[(i + 1) % ring.len()]))
}

/// Twice the signed area of a loop in the frame, square micrometres.
pub fn doubled_area_um(ring: &[Node]) -> i128 {
    let Some(first) = ring.first() else { return 0 };
    ring.windows(2)
        .map(|w| {
            let (au, av) = (i128::from(w[0].at.u - first.at.u), i128::from(w[0].at.v - first.at.v));
            let (bu, bv) = (i128::from(w[1].at.u - first.at.u), i128::from(w[1].at.v - first.at.v));
            au * bv - av * bu
        })
        .sum()
}

fn node(at: Place, p: Pt) -> Node {
    Node { at, true_at: at, p }
}

#[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
fn share_of(length: i64, share: f64) -> i64 {
    (length as f64 * share) as i64
}

fn nearest(sorted: &[i64], value: i64) -> Option<i64> {
    let after = sorted.partition_point(|&l| l < value);
    let candidates = [after.checked_sub(1).map(|i| sorted[i]), sorted.get(after).copied()];
    candidates.into_iter().flatten().min_by_key(|l| (l - value).abs())
}

fn strictly_between(sorted: &[i64], a: i64, b: i64) -> &[i64] {
    let (lo, hi) = (a.min(b), a.max(b));
    let (start, end) = (sorted.partition_point(|&l| l <= lo), sorted.partition_point(|&l| l < hi));
    &sorted[start..end.max(start)]
}

/// The ring with whatever `crossings` adds behind the first corner of each edge.
fn noded(ring: &Loop, crossings: impl Fn(&Node, &Node, &mut Loop)) -> Loop {
    let mut with = Loop::with_capacity(ring.len() + ring.len() / 4);
    for (a, b) in edges(ring) {
        with.push(*a);
        crossings(a, b, &mut with);
    }
    with
}

fn crossing_v(frame: &Frame, a: &Node, b: &Node, v: i64) -> Node {
    let u = interpolate(a.true_at.v, a.true_at.u, b.true_at.v, b.true_at.u, v);
    let at = Place { u, v };
    node(at, frame.plan_point(at))
}

fn crossing_u(frame: &Frame, a: &Node, b: &Node, u: i64) -> Node {
    let v = interpolate(a.true_at.u, a.true_at.v, b.true_at.u, b.true_at.v, u);
    // Put on lines, its ends may be off their true place by up to 1 mm: stay between them.
    let at = Place { u, v: v.clamp(a.at.v.min(b.at.v), a.at.v.max(b.at.v)) };
    // An edge put on a line gets the very point that a mark on the line gets.
    let snapped = if a.at.v == b.at.v { at } else { Place { u, v } };
    node(at, frame.plan_point(snapped))
}

/// The value at `x` on the straight line from (x1, y1) to (x2, y2), rounded down; between y1 and y2.
#[allow(clippy::cast_possible_truncation)]
pub(crate) fn interpolate(x1: i64, y1: i64, x2: i64, y2: i64, x: i64) -> i64 {
    if x1 == x2 {
        return y1;
    }
    // From the same end whichever way round the edge runs: neighbours then agree.
    let ((x1, y1), (x2, y2)) = if x1 < x2 { ((x1, y1), (x2, y2)) } else { ((x2, y2), (x1, y1)) };
    let product = i128::from(y2 - y1) * i128::from(x - x1);
    let value = y1 + product.div_euclid(i128::from(x2 - x1)) as i64;
    value.clamp(y1.min(y2), y1.max(y2))
}

/// Twice the integral of min(u, limit) dv along an edge.
fn doubled_integral(a: Place, b: Place, limit: i64) -> i128 {
    let trapezium = |a: Place, b: Place| i128::from(a.u + b.u) * i128::from(b.v - a.v);
    let flat = |a: Place, b: Place| 2 * i128::from(limit) * i128::from(b.v - a.v);
    match (a.u <= limit, b.u <= limit) {
        (true, true) => trapezium(a, b),
        (false, false) => flat(a, b),
        (inside, _) => {
            let at = Place { u: limit, v: interpolate(a.u, a.v, b.u, b.v, limit) };
            if inside { trapezium(a, at) + flat(at, b) } else { flat(a, at) + trapezium(at, b) }
        }
    }
}

/// Swaps the axes; turning the loop round keeps its area on the left.
fn transpose(ring: &Loop) -> Loop {
    let swap = |at: Place| Place { u: at.v, v: at.u };
    ring.iter().rev().map(|n| Node { at: swap(n.at), true_at: swap(n.true_at), p: n.p }).collect()
}

/// The loops of what lies between two noded lines.
fn cut<'a>(rings: impl Iterator<Item = &'a [Node]>, lo: i64, hi: i64, marks: &Marks) -> Vec<Loop> {
    let mut loops = Vec::new();
    let mut chains: Vec<Loop> = Vec::new();
    for ring in rings {
        if ring.iter().all(|n| n.at.v > lo && n.at.v < hi) {
            loops.push(ring.to_vec());
        } else {
            chains.extend(chains_within(ring, lo, hi));
        }
    }
    let mut next: Vec<Option<usize>> = vec![None; chains.len()];
    link(&chains, lo, true, &mut next);
    link(&chains, hi, false, &mut next);
    loops.extend(follow(&chains, &next, marks));
    loops.iter_mut().for_each(trim_spikes);
    loops.retain(|ring| ring.len() > 2 && doubled_area_um(ring) != 0);
    loops
}

/// Runs of edges strictly between the lines, each from a node on a line to a node on a line.
fn chains_within(ring: &[Node], lo: i64, hi: i64) -> Vec<Loop> {
    let count = ring.len();
    let on_line = |n: &Node| n.at.v == lo || n.at.v == hi;
    let within = |n: &Node| n.at.v >= lo && n.at.v <= hi;
    let edge_within = |a: &Node, b: &Node| within(a) && within(b) && !(a.at.v == b.at.v && on_line(a));
    let Some(start) = ring.iter().position(|n| on_line(n) || !within(n)) else { return Vec::new() };
    let mut chains = Vec::new();
    let mut chain: Loop = Vec::new();
    for i in 0..count {
        let (a, b) = (&ring[(start + i) % count], &ring[(start + i + 1) % count]);
        if !edge_within(a, b) {
            continue;
        }
        if chain.is_empty() {
            chain.push(*a);
        }
        chain.push(*b);
        if on_line(b) {
            chains.push(std::mem::take(&mut chain));
        }
    }
    chains
}

/// Joins the end of a chain at a line to the start of the next one along the line, area on the left.
fn link(chains: &[Loop], line: i64, is_low: bool, next: &mut [Option<usize>]) {
    struct Event {
        u: i64,
        lean: (i64, i64),
        arrives: bool,
        chain: usize,
    }
    let mut events = Vec::new();
    for (chain, nodes) in chains.iter().enumerate() {
        let (first, last) = (nodes[0], nodes[nodes.len() - 1]);
        let lean = |from: &Node, to: &Node| (to.at.u - from.at.u, (to.at.v - from.at.v).abs().max(1));
        if first.at.v == line {
            events.push(Event { u: first.at.u, lean: lean(&first, &nodes[1]), arrives: false, chain });
        }
        if last.at.v == line {
            events.push(Event {
                u: last.at.u,
                lean: lean(&last, &nodes[nodes.len() - 2]),
                arrives: true,
                chain,
            });
        }
    }
    let slope = |a: &Event, b: &Event| {
        (i128::from(a.lean.0) * i128::from(b.lean.1)).cmp(&(i128::from(b.lean.0) * i128::from(a.lean.1)))
    };
    events.sort_by(|a, b| {
        let order = a.u.cmp(&b.u).then_with(|| slope(a, b));
        let order = if is_low { order } else { order.reverse() };
        order.then(a.arrives.cmp(&b.arrives)).then(a.chain.cmp(&b.chain))
    });
    let (mut open, mut early): (Vec<usize>, Vec<usize>) = (Vec::new(), Vec::new());
    for event in &events {
        if event.arrives {
            match early.pop() {
                Some(start) => next[event.chain] = Some(start),
                None => open.push(event.chain),
            }
        } else {
            match open.pop() {
                Some(end) => next[end] = Some(event.chain),
                None => early.push(event.chain),
            }
        }
    }
}

fn follow(chains: &[Loop], next: &[Option<usize>], marks: &Marks) -> Vec<Loop> {
    let mut used = vec![false; chains.len()];
    let mut loops = Vec::new();
    for start in 0..chains.len() {
        let mut ring = Loop::new();
        let mut at = Some(start);
        while let Some(chain) = at.filter(|&c| !used[c]) {
            used[chain] = true;
            if let (Some(from), Some(to)) = (ring.last().copied(), chains[chain].first()) {
                marked(&mut ring, &from, to, marks);
            }
            ring.extend_from_slice(&chains[chain]);
            at = next[chain];
        }
        if let (Some(from), Some(to)) = (ring.last().copied(), ring.first().copied()) {
            marked(&mut ring, &from, &to, marks);
        }
        ring.dedup_by(|a, b| a.at == b.at);
        while ring.len() > 1 && ring.first().map(|n| n.at) == ring.last().map(|n| n.at) {
            ring.pop();
        }
        loops.push(ring);
    }
    loops
}

/// The marks on an edge or beside it, in the order of the edge.
fn marks_beside(a: &Node, b: &Node, marks: &Marks, on_edge: &mut Loop) {
    let start = on_edge.len();
    let (lo, hi) = (a.at.v.min(b.at.v), a.at.v.max(b.at.v));
    for (&line, on_line) in marks.range(lo - ON_LINE..=hi + ON_LINE) {
        let from = on_line.partition_point(|n| n.at.u <= a.at.u.min(b.at.u));
        let inside = on_line[from..].iter().take_while(|n| n.at.u < a.at.u.max(b.at.u));
        on_edge.extend(inside.filter_map(|n| {
            let v = interpolate(a.true_at.u, a.true_at.v, b.true_at.u, b.true_at.v, n.at.u);
            let true_at = Place { u: n.at.u, v };
            ((v - line).abs() <= ON_LINE).then_some(Node { true_at, ..*n })
        }));
    }
    on_edge[start..].sort_by_key(|n| n.at.u);
    if a.at.u > b.at.u {
        on_edge[start..].reverse();
    }
}

/// Adds the marks of a line strictly between two nodes on it.
fn marked(ring: &mut Loop, from: &Node, to: &Node, marks: &Marks) {
    let Some(on_line) = (from.at.v == to.at.v).then(|| marks.get(&from.at.v)).flatten() else { return };
    let (lo, hi) = (from.at.u.min(to.at.u), from.at.u.max(to.at.u));
    let between = on_line.iter().filter(|n| n.at.u > lo && n.at.u < hi).copied();
    if from.at.u <= to.at.u { ring.extend(between) } else { ring.extend(between.rev()) }
}

/// Takes away corners where a loop runs out along a line and back again.
fn trim_spikes(ring: &mut Loop) {
    let mut i = 0;
    while ring.len() > 2 && i < ring.len() {
        let count = ring.len();
        let (a, b, c) = (ring[(i + count - 1) % count].at, ring[i].at, ring[(i + 1) % count].at);
        let (ba, bc) = ((a.u - b.u, a.v - b.v), (c.u - b.u, c.v - b.v));
        let cross = i128::from(ba.0) * i128::from(bc.1) - i128::from(ba.1) * i128::from(bc.0);
        let dot = i128::from(ba.0) * i128::from(bc.0) + i128::from(ba.1) * i128::from(bc.1);
        if a == b || (cross == 0 && dot > 0) {
            ring.remove(i);
            i = i.saturating_sub(1);
        } else {
            i += 1;
        }
    }
}

/// Sorts loops into parts: each outer loop with the holes inside it.
fn parts(loops: Vec<Loop>) -> Vec<Part> {
    let (outers, holes): (Vec<Loop>, Vec<Loop>) = loops.into_iter().partition(|l| doubled_area_um(l) > 0);
    let mut parts: Vec<Part> = outers.into_iter().map(|l| vec![l]).collect();
    parts.sort_by_key(|part| bounds(part));
    for hole in holes {
        let home = parts
            .iter()
            .enumerate()
            .filter(|(_, part)| {
                edges(&hole).any(|(a, b)| holds(std::slice::from_ref(&part[0]), middle(a, b)))
            })
            .min_by_key(|(_, part)| doubled_area_um(&part[0]))
            .map(|(i, _)| i);
        if let Some(i) = home {
            parts[i].push(hole);
        }
    }
    parts
}

fn middle(a: &Node, b: &Node) -> Place {
    Place { u: i64::midpoint(a.at.u, b.at.u), v: i64::midpoint(a.at.v, b.at.v) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::overlay::Canvas;
    use crate::geom::ring::doubled_area_of;

    /// A wall that leaves a course line by 0.3 to 2 mm over 16 m, with a mark of the row below at every place along it.
    /// Rows on both sides of the line must add up to the deck: without the lead through marks, bays of a real roof
    /// overlapped here by 89 cm2.
    #[test]
    fn a_wall_within_a_millimetre_of_a_line_shares_the_corners_of_both_rows() {
        let canvas = Canvas::new(Pt::new(-30_000, -30_000), Pt::new(30_000, 30_000));
        let frame = Frame::new(Pt::new(0, 0), [-0.544_364_478, 0.838_848_803]);
        for off in [300, 500, 750, 850, 1_000, 1_400, 2_000] {
            let places =
                [(0, -900_000), (18_000_000, -900_000), (18_000_000, 9_000), (16_000_000, off), (0, 0)];
            let ring: Points = places.into_iter().map(|(u, v)| frame.plan_point(Place { u, v })).collect();
            let deck = vec![vec![ring]];
            for at in (100_000..15_900_000).step_by(370_000) {
                let mut net = Net::new(frame, &deck);
                let lines = [-(1 << 49), 0, 1 << 49];
                net.node_lines(&lines);
                let mut marks = net.corners_on(&lines);
                marks.entry(0).or_default().push(net.mark(Place { u: at, v: 0 }));
                put_in_order(&mut marks);
                net.through_marks(&marks);
                let rows = [net.between(lines[0], 0, &marks), net.between(0, lines[2], &marks)].concat();
                let rows: Vec<Region> = rows.iter().flat_map(|part| net.plan_regions(part)).collect();
                // As bays are made: each by itself, so that an overlap counts twice.
                let whole = |r: &Region| doubled_area_of(&canvas.union(std::slice::from_ref(r)));
                let apart: i128 = rows.iter().map(whole).sum();
                let deck = doubled_area_of(&canvas.union(&net.regions()));
                assert_eq!(apart, deck, "wall {off} um off the line, mark at {at}");
            }
        }
    }
}
