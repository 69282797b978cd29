//! The ground under a line: what water does along any straight line over the decks.
//!
//! In: meshes with their water, low lines, ridges, outlets. Out: the parts of a line, each with one answer: within an
//! outlet's clear zone, in a pond, along a low line, along a ridge, level, or on a slope. It knows nothing of bays or laps.

use super::flood::Flood;
use super::mesh::Mesh;
use crate::geom::Pt;
use crate::geom::sets::Sets;
use crate::layout::falls::Section;
use crate::model::OutletZone;

/// A line this near to a low line or a ridge, and nearly along it, runs along it, mm. Common practice, no source.
pub const BESIDE: f64 = 150.0;

/// Nearly along: the cosine of 30 degrees. Common practice, no source.
const ALONG: f64 = 0.866_025_403_784_438_6;

/// Water less deep than this over a point is none, mm: rounding.
const DRY: f64 = 1e-9;

/// A share of a line that is longer than any part that rounding makes.
const SURELY: f64 = 1e-6;

/// What is this far outside a facet, mm, is on its edge: rounding.
const HAIR: f64 = 1e-6;

/// Neighbouring facets further apart than this in level are at a step, thousandths of a mm.
const STEP_UM: i64 = 1000;

/// What water does under a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Under {
    /// Within the clear zone of an outlet.
    Outlet,
    /// In a pond.
    Pond,
    /// Along a low line.
    LowLine,
    /// Along a ridge.
    Ridge,
    /// As good as level.
    Level,
    /// On a slope: how much the level grows for each mm along x and y.
    Slope([f64; 2]),
    /// Where the deck has no levels.
    Unknown,
}

/// How the level changes across a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rise {
    /// It grows towards the side asked for.
    Up,
    /// It falls towards that side.
    Down,
    /// The line runs with the fall, to within 15 degrees.
    With,
}

/// A line that runs within 15 degrees of the fall runs with it: the sine of that. Common practice, no source.
const WITH_FALL: f64 = 0.258_819_045_102_520_76;

/// How a slope rises across a line, towards the side that a unit vector points to.
pub fn rise(slope: [f64; 2], towards: [f64; 2]) -> Rise {
    let steep = (slope[0] * slope[0] + slope[1] * slope[1]).sqrt();
    let across = slope[0] * towards[0] + slope[1] * towards[1];
    if across.abs() < WITH_FALL * steep {
        Rise::With
    } else if across > 0.0 {
        Rise::Up
    } else {
        Rise::Down
    }
}

/// A part of a line, as shares of its length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Start.
    pub from: f64,
    /// End.
    pub to: f64,
    /// What water does there.
    pub under: Under,
}

/// What all decks say about lines over them.
#[derive(Clone, Debug, Default)]
pub struct Ground {
    facets: Vec<GroundFacet>,
    index: Index,
    low_lines: Lines,
    ridges: Lines,
    outlets: Vec<OutletZone>,
    flat: f64,
}

/// Lines that another may run beside.
#[derive(Clone, Debug, Default)]
struct Lines {
    ends: Vec<[Pt; 2]>,
    index: Index,
}

/// A facet as the ground knows it.
#[derive(Clone, Debug)]
struct GroundFacet {
    corners: [[f64; 2]; 3],
    slope: [f64; 2],
    /// Level at the first corner, mm.
    level: f64,
    /// Level of the water that stands on it, mm.
    water: Option<f64>,
}

impl Ground {
    /// The ground of meshes with their water. Ponds shallower than `least_pond` mm do not count; slopes below `flat` are
    /// level.
    pub fn new(waters: &[(&Mesh, &Flood)], least_pond: f64, flat: f64) -> Self {
        let mut facets = Vec::new();
        for (mesh, flood) in waters {
            let water = standing(mesh, flood, least_pond);
            facets.extend(mesh.facets.iter().enumerate().map(|(f, corners)| GroundFacet {
                corners: corners.map(|i| mesh.at[i]),
                slope: mesh.slope(f),
                level: mesh.z[corners[0]],
                water: corners.iter().find_map(|&i| water[i]),
            }));
        }
        let bounds = |f: &GroundFacet| {
            let of = |k: usize| f.corners.map(|c| c[k]);
            [[least(of(0)), least(of(1))], [most(of(0)), most(of(1))]]
        };
        let index = Index::new(&facets.iter().map(bounds).collect::<Vec<_>>());
        Self { facets, index, flat, ..Self::default() }
    }

    /// The same ground with the lines and places that matter beside slopes.
    #[must_use]
    pub fn with_lines(mut self, low_lines: &[[Pt; 2]], ridges: &[[Pt; 2]], outlets: &[OutletZone]) -> Self {
        self.low_lines = Lines::new(low_lines);
        self.ridges = Lines::new(ridges);
        self.outlets = outlets.to_vec();
        self
    }

    /// The low lines it knows of.
    pub fn low_lines(&self) -> &[[Pt; 2]] {
        &self.low_lines.ends
    }

    /// Whether part of a line surely lies at an outlet or along a low line: told without a look at the facets, so that
    /// the many places tried for a bay edge cost little. `false` says nothing.
    pub fn meets_outlet_or_low_line(&self, a: [f64; 2], b: [f64; 2]) -> bool {
        let long = |span: (f64, f64)| span.1 - span.0 > SURELY;
        self.at_outlets(a, b).any(long) || self.low_lines.beside(a, b).any(long)
    }

    /// Whether part of a line runs beside a ridge and nearly along it: told without a look at the facets.
    pub fn runs_beside_ridge(&self, a: [f64; 2], b: [f64; 2]) -> bool {
        self.ridges.beside(a, b).next().is_some()
    }

    /// Slope at a place, if it has one: how much the level grows for each mm along x and y.
    pub fn slope_at(&self, at: [f64; 2]) -> Option<[f64; 2]> {
        self.index.near(at, at).into_iter().find(|&f| self.facets[f].holds(at)).map(|f| self.facets[f].slope)
    }

    /// Level at a place, mm.
    pub fn level_at(&self, at: [f64; 2]) -> Option<f64> {
        let found = self.index.near(at, at).into_iter().find(|&f| self.facets[f].holds(at));
        found.map(|f| self.facets[f].level_on(at))
    }

    /// The levels along a line of two points or more; `None` where none of it has a level.
    pub fn section(&self, line: &[Pt]) -> Option<Section> {
        let mut section = Section { length: 0, parts: Vec::new(), water: Vec::new() };
        let mut before = 0.0;
        for ends in line.windows(2) {
            let (a, b) = (place(ends[0]), place(ends[1]));
            let length = ends[0].distance(ends[1]);
            let mut crossed = self.crossed(a, b);
            crossed.sort_by(|x, y| x.0.total_cmp(&y.0));
            for (from, to, f) in crossed {
                let at = |t: f64| [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
                let mark =
                    |t: f64| [whole(before + t * length), whole(self.facets[f].level_on(at(t)) * 1000.0)];
                match section.parts.last_mut() {
                    Some(part) if part.last().is_some_and(|end| (end[0] - mark(from)[0]).abs() <= 1) => {
                        // At a step in level the section goes straight up or down.
                        let steps = part.last().is_some_and(|end| (end[1] - mark(from)[1]).abs() > STEP_UM);
                        part.extend(steps.then(|| mark(from)));
                        part.push(mark(to));
                    }
                    _ => section.parts.push(vec![mark(from), mark(to)]),
                }
                section.water.extend(self.facets[f].covered(a, b, from, to).map(|(from, to, level)| {
                    [whole(before + from * length), whole(before + to * length), whole(level * 1000.0)]
                }));
            }
            before += length;
        }
        section.length = whole(before);
        (!section.parts.is_empty()).then_some(section)
    }

    /// How much of a line, in mm, rises towards a side, less how much falls towards it.
    pub fn balance(&self, a: [f64; 2], b: [f64; 2], towards: [f64; 2]) -> f64 {
        let d = [b[0] - a[0], b[1] - a[1]];
        let length = (d[0] * d[0] + d[1] * d[1]).sqrt();
        let signed = |s: &Stretch| match s.under {
            Under::Slope(slope) => match rise(slope, towards) {
                Rise::Up => s.to - s.from,
                Rise::Down => s.from - s.to,
                Rise::With => 0.0,
            },
            _ => 0.0,
        };
        length * self.along(a, b).iter().map(signed).sum::<f64>()
    }

    /// How much of a line, in mm, rises towards a side, and how much falls towards it.
    pub fn rises(&self, a: [f64; 2], b: [f64; 2], towards: [f64; 2]) -> [f64; 2] {
        let d = [b[0] - a[0], b[1] - a[1]];
        let length = (d[0] * d[0] + d[1] * d[1]).sqrt();
        let parts = self.along(a, b);
        let sum = |way: Rise| {
            let runs = |s: &&Stretch| matches!(s.under, Under::Slope(slope) if rise(slope, towards) == way);
            length * parts.iter().filter(runs).map(|s| s.to - s.from).sum::<f64>()
        };
        [sum(Rise::Up), sum(Rise::Down)]
    }

    /// The parts of a line from `a` to `b`, in order.
    pub fn along(&self, a: [f64; 2], b: [f64; 2]) -> Vec<Stretch> {
        let crossed = self.crossed(a, b);
        let mut breaks = vec![0.0, 1.0];
        for &(from, to, f) in &crossed {
            breaks.extend([from, to]);
            breaks.extend(self.facets[f].shore(a, b));
        }
        let bad = self.spans(a, b);
        breaks.extend(bad.iter().flat_map(|(from, to, _)| [*from, *to]));
        breaks.retain(|t| (0.0..=1.0).contains(t));
        breaks.sort_by(f64::total_cmp);
        let mut parts: Vec<Stretch> = Vec::new();
        for w in breaks.windows(2).filter(|w| w[1] - w[0] > 1e-9) {
            let under = self.under(a, b, f64::midpoint(w[0], w[1]), &crossed, &bad);
            match parts.last_mut() {
                Some(last) if last.under == under => last.to = w[1],
                _ => parts.push(Stretch { from: w[0], to: w[1], under }),
            }
        }
        parts
    }

    /// The facets that a line crosses, with the shares of it inside them.
    fn crossed(&self, a: [f64; 2], b: [f64; 2]) -> Vec<(f64, f64, usize)> {
        let near = self.index.near(a, b);
        near.into_iter().filter_map(|f| self.facets[f].clip(a, b).map(|(from, to)| (from, to, f))).collect()
    }

    /// Spans of a line near outlets, low lines and ridges, those that matter most first.
    fn spans(&self, a: [f64; 2], b: [f64; 2]) -> Vec<(f64, f64, Under)> {
        let named = |under: Under| move |(from, to): (f64, f64)| (from, to, under);
        let at_outlets = self.at_outlets(a, b).map(named(Under::Outlet));
        let low = self.low_lines.beside(a, b).map(named(Under::LowLine));
        at_outlets.chain(low).chain(self.ridges.beside(a, b).map(named(Under::Ridge))).collect()
    }

    fn at_outlets(&self, a: [f64; 2], b: [f64; 2]) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.outlets.iter().filter_map(move |o| within_circle(a, b, place(o.at), mm(o.radius)))
    }

    fn under(
        &self,
        a: [f64; 2],
        b: [f64; 2],
        t: f64,
        crossed: &[(f64, f64, usize)],
        spans: &[(f64, f64, Under)],
    ) -> Under {
        let span = |wanted: Under| spans.iter().any(|s| s.2 == wanted && s.0 <= t && t <= s.1);
        if span(Under::Outlet) {
            return Under::Outlet;
        }
        let Some(&(_, _, f)) = crossed.iter().find(|c| c.0 <= t && t <= c.1) else { return Under::Unknown };
        let at = [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
        let facet = &self.facets[f];
        if facet.water.is_some_and(|water| facet.level_on(at) < water) {
            return Under::Pond;
        }
        if let Some(line) = [Under::LowLine, Under::Ridge].into_iter().find(|&line| span(line)) {
            return line;
        }
        let [gx, gy] = facet.slope;
        if gx * gx + gy * gy < self.flat * self.flat { Under::Level } else { Under::Slope(facet.slope) }
    }
}

impl Lines {
    fn new(ends: &[[Pt; 2]]) -> Self {
        // As large as the places beside a line are.
        let bounds = |ends: &[Pt; 2]| {
            let [p, q] = ends.map(place);
            [0, 1].map(|far| {
                let end = |k: usize| if far == 0 { p[k].min(q[k]) - BESIDE } else { p[k].max(q[k]) + BESIDE };
                [end(0), end(1)]
            })
        };
        Self { ends: ends.to_vec(), index: Index::new(&ends.iter().map(bounds).collect::<Vec<_>>()) }
    }

    /// The spans of a line that run beside one of these and nearly along it.
    fn beside(&self, a: [f64; 2], b: [f64; 2]) -> impl Iterator<Item = (f64, f64)> + '_ {
        let near = self.index.near(a, b).into_iter();
        near.filter_map(move |n| beside(a, b, place(self.ends[n][0]), place(self.ends[n][1])))
    }
}

impl GroundFacet {
    fn level_on(&self, at: [f64; 2]) -> f64 {
        self.level
            + self.slope[0] * (at[0] - self.corners[0][0])
            + self.slope[1] * (at[1] - self.corners[0][1])
    }

    fn holds(&self, at: [f64; 2]) -> bool {
        (0..3).all(|k| side(self.corners[k], self.corners[(k + 1) % 3], at) >= -1e-6)
    }

    /// The share of a line inside the facet.
    fn clip(&self, a: [f64; 2], b: [f64; 2]) -> Option<(f64, f64)> {
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for k in 0..3 {
            let (p, q) = (self.corners[k], self.corners[(k + 1) % 3]);
            let (sa, sb) = (side(p, q, a), side(p, q, b));
            // A line along an edge is on it, however its ends are rounded: else it would lie on neither side.
            let hair = -HAIR * (q[0] - p[0]).abs().max((q[1] - p[1]).abs());
            if sa < hair && sb < hair {
                return None;
            }
            if sa < hair {
                from = from.max(sa / (sa - sb));
            } else if sb < hair {
                to = to.min(sa / (sa - sb));
            }
        }
        (to - from > 1e-12).then_some((from, to))
    }

    /// Where water stands over a line between two shares of it: from, to, level.
    fn covered(&self, a: [f64; 2], b: [f64; 2], from: f64, to: f64) -> Option<(f64, f64, f64)> {
        let water = self.water?;
        let at = |t: f64| self.level_on([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
        let shore = self.shore(a, b);
        match (at(from) < water, at(to) < water) {
            (true, true) => Some((from, to, water)),
            (true, false) => Some((from, shore?.clamp(from, to), water)),
            (false, true) => Some((shore?.clamp(from, to), to, water)),
            (false, false) => None,
        }
    }

    /// Where a line meets the edge of the water on the facet's plane.
    fn shore(&self, a: [f64; 2], b: [f64; 2]) -> Option<f64> {
        let water = self.water?;
        let (za, zb) = (self.level_on(a), self.level_on(b));
        ((za < water) != (zb < water)).then(|| (water - za) / (zb - za))
    }
}

/// Level of the water over each point that stands in a pond of at least `least` mm.
fn standing(mesh: &Mesh, flood: &Flood, least: f64) -> Vec<Option<f64>> {
    let depth = |i: usize| flood.water[i] - mesh.z[i];
    let wet = |i: usize| depth(i) > DRY && flood.water[i].is_finite();
    let mut ponds = Sets::new(mesh.at.len());
    for facet in &mesh.facets {
        for k in 0..3 {
            let (p, q) = (facet[k], facet[(k + 1) % 3]);
            if wet(p) && wet(q) {
                ponds.join(p, q);
            }
        }
    }
    for &[low, high] in mesh.steps.iter().filter(|s| wet(s[0]) && wet(s[1])) {
        ponds.join(low, high);
    }
    let mut deepest = vec![0.0_f64; mesh.at.len()];
    for i in (0..mesh.at.len()).filter(|&i| wet(i)) {
        let pond = ponds.find(i);
        deepest[pond] = deepest[pond].max(depth(i));
    }
    (0..mesh.at.len()).map(|i| (wet(i) && deepest[ponds.find(i)] >= least).then(|| flood.water[i])).collect()
}

/// The span of a line within a circle.
fn within_circle(a: [f64; 2], b: [f64; 2], centre: [f64; 2], radius: f64) -> Option<(f64, f64)> {
    let d = [b[0] - a[0], b[1] - a[1]];
    let e = [a[0] - centre[0], a[1] - centre[1]];
    let (dd, de) = (d[0] * d[0] + d[1] * d[1], d[0] * e[0] + d[1] * e[1]);
    let ee = e[0] * e[0] + e[1] * e[1] - radius * radius;
    let under = de * de - dd * ee;
    if dd <= 0.0 || under <= 0.0 {
        return None;
    }
    let root = under.sqrt();
    span((-de - root) / dd, (-de + root) / dd)
}

/// The span of a line that runs beside another and nearly along it.
fn beside(a: [f64; 2], b: [f64; 2], p: [f64; 2], q: [f64; 2]) -> Option<(f64, f64)> {
    let (d, e) = ([b[0] - a[0], b[1] - a[1]], [q[0] - p[0], q[1] - p[1]]);
    let (dd, ee) = (d[0] * d[0] + d[1] * d[1], e[0] * e[0] + e[1] * e[1]);
    let dot = d[0] * e[0] + d[1] * e[1];
    if dd <= 0.0 || ee <= 0.0 || dot * dot < ALONG * ALONG * dd * ee {
        return None;
    }
    // Within reach of the other line is within a band, and along it between its ends.
    let band = strip(side(p, q, a) / ee.sqrt(), side(p, q, b) / ee.sqrt(), BESIDE);
    let dot_at = |x: [f64; 2]| ((x[0] - p[0]) * e[0] + (x[1] - p[1]) * e[1]) / ee;
    let ends = strip(dot_at(a) - 0.5, dot_at(b) - 0.5, 0.5);
    let (band, ends) = (band?, ends?);
    span(band.0.max(ends.0), band.1.min(ends.1))
}

/// The span of a line within so much of zero, from its values at both ends.
fn strip(at_a: f64, at_b: f64, reach: f64) -> Option<(f64, f64)> {
    if (at_b - at_a).abs() < 1e-12 {
        return (at_a.abs() <= reach).then_some((0.0, 1.0));
    }
    let (t, u) = ((-reach - at_a) / (at_b - at_a), (reach - at_a) / (at_b - at_a));
    span(t.min(u), t.max(u))
}

fn span(from: f64, to: f64) -> Option<(f64, f64)> {
    let (from, to) = (from.max(0.0), to.min(1.0));
    (to > from).then_some((from, to))
}

/// Twice the area of the triangle p, q, x: positive when x is on the left.
fn side(p: [f64; 2], q: [f64; 2], x: [f64; 2]) -> f64 {
    (q[0] - p[0]) * (x[1] - p[1]) - (q[1] - p[1]) * (x[0] - p[0])
}

#[allow(clippy::cast_possible_truncation)]
fn whole(value: f64) -> i64 {
    value.round() as i64
}

#[allow(clippy::cast_precision_loss)]
fn mm(length: i64) -> f64 {
    length as f64
}

fn place(p: Pt) -> [f64; 2] {
    [mm(p.x), mm(p.y)]
}

/// Things with bounds, by cells of a square grid.
#[derive(Clone, Debug, Default)]
struct Index {
    lo: [f64; 2],
    step: f64,
    columns: usize,
    rows: usize,
    cells: Vec<Vec<u32>>,
}

impl Index {
    /// The things by their least and greatest corners.
    fn new(bounds: &[[[f64; 2]; 2]]) -> Self {
        if bounds.is_empty() {
            return Self::default();
        }
        let far = [f64::INFINITY; 2];
        let lo = bounds.iter().fold(far, |lo, [c, _]| [lo[0].min(c[0]), lo[1].min(c[1])]);
        let hi = bounds.iter().fold([-f64::INFINITY; 2], |hi, [_, c]| [hi[0].max(c[0]), hi[1].max(c[1])]);
        let (width, height) = ((hi[0] - lo[0]).max(1.0), (hi[1] - lo[1]).max(1.0));
        #[allow(clippy::cast_precision_loss)]
        let step = (width * height / bounds.len() as f64 * 2.0).sqrt().max((width + height) / 2000.0);
        let (columns, rows) = (cell(width / step) + 1, cell(height / step) + 1);
        let mut index = Self { lo, step, columns, rows, cells: vec![Vec::new(); columns * rows] };
        for (n, [lo, hi]) in bounds.iter().enumerate() {
            let (x0, x1) = (index.column(lo[0]), index.column(hi[0]));
            let (y0, y1) = (index.row(lo[1]), index.row(hi[1]));
            for row in y0..=y1 {
                for column in x0..=x1 {
                    index.cells[row * columns + column].push(u32::try_from(n).unwrap_or(u32::MAX));
                }
            }
        }
        index
    }

    fn column(&self, x: f64) -> usize {
        cell((x - self.lo[0]) / self.step).min(self.columns - 1)
    }

    fn row(&self, y: f64) -> usize {
        cell((y - self.lo[1]) / self.step).min(self.rows - 1)
    }

    /// What a line may cross, in order.
    fn near(&self, a: [f64; 2], b: [f64; 2]) -> Vec<usize> {
        if self.cells.is_empty() {
            return Vec::new();
        }
        let (low, high) = if a[1] <= b[1] { (a, b) } else { (b, a) };
        let x_at = |y: f64| {
            let share = if high[1] > low[1] { (y - low[1]) / (high[1] - low[1]) } else { 0.0 };
            low[0] + share.clamp(0.0, 1.0) * (high[0] - low[0])
        };
        let mut found = Vec::new();
        for row in self.row(low[1])..=self.row(high[1]) {
            #[allow(clippy::cast_precision_loss)]
            let (y0, y1) = (self.lo[1] + row as f64 * self.step, self.lo[1] + (row + 1) as f64 * self.step);
            let level = high[1] <= low[1];
            let (x0, x1) = if level { (low[0], high[0]) } else { (x_at(y0), x_at(y1)) };
            // A hair to either side: the ends of a row's share are rounded.
            let hair = self.step * 1e-6;
            for column in self.column(x0.min(x1) - hair)..=self.column(x0.max(x1) + hair) {
                found.extend(self.cells[row * self.columns + column].iter().map(|&f| f as usize));
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }
}

fn least(values: [f64; 3]) -> f64 {
    values[0].min(values[1]).min(values[2])
}

fn most(values: [f64; 3]) -> f64 {
    values[0].max(values[1]).max(values[2])
}

/// The cell that a value lies in; the first one for what lies before it.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn cell(value: f64) -> usize {
    value.max(0.0) as usize
}
