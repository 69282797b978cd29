//! Straight lines cut to the inside of rings, and hatches made of them.
//!
//! In: rings in whole mm (even-odd), lines as a place and a direction. Out: strokes in whole mm that lie inside to
//! within the rounding of their ends (under 1 mm). Only + - * / and square roots, and sines from `libm`: the same on
//! every machine.

use baylap_core::geom::{Points, Pt, ring};

/// A straight line without end: a place on it and its unit direction.
#[derive(Clone, Copy, Debug)]
pub struct Ray {
    /// A place on it, mm.
    pub at: [f64; 2],
    /// Unit vector along it.
    pub along: [f64; 2],
}

impl Ray {
    /// The line through two points, `None` when they are one. Distances along it count from `a`.
    #[allow(clippy::cast_precision_loss)]
    pub fn through(a: Pt, b: Pt) -> Option<Self> {
        let length = a.distance(b);
        (a != b).then(|| Self {
            at: [a.x as f64, a.y as f64],
            along: [(b.x - a.x) as f64 / length, (b.y - a.y) as f64 / length],
        })
    }

    /// The whole-mm point at a distance along the line.
    pub fn point(&self, t: f64) -> Pt {
        Pt::new(whole(self.at[0] + t * self.along[0]), whole(self.at[1] + t * self.along[1]))
    }

    /// Distance of a point from the line, positive on its left.
    #[allow(clippy::cast_precision_loss)]
    pub fn off(&self, p: Pt) -> f64 {
        let [x, y] = [p.x as f64 - self.at[0], p.y as f64 - self.at[1]];
        self.along[0] * y - self.along[1] * x
    }

    /// How far along the line a point lies.
    #[allow(clippy::cast_precision_loss)]
    pub fn reach(&self, p: Pt) -> f64 {
        let [x, y] = [p.x as f64 - self.at[0], p.y as f64 - self.at[1]];
        self.along[0] * x + self.along[1] * y
    }
}

/// Parts of a line, as distances along it from and to, in order.
pub type Spans = Vec<[f64; 2]>;

/// The parts of a line inside rings taken together (odd crossings are inside).
pub fn inside<'a>(line: &Ray, rings: impl IntoIterator<Item = &'a Points>) -> Spans {
    let mut crossings: Vec<f64> = Vec::new();
    for points in rings {
        for (a, b) in ring::edges(points) {
            let (da, db) = (line.off(a), line.off(b));
            // A corner on the line counts as below it, so that each crossing is counted once.
            if (da > 0.0) != (db > 0.0) {
                let (ta, tb) = (line.reach(a), line.reach(b));
                crossings.push(ta + (tb - ta) * (da / (da - db)));
            }
        }
    }
    crossings.sort_by(f64::total_cmp);
    crossings.chunks_exact(2).map(|pair| [pair[0], pair[1]]).filter(|[a, b]| b > a).collect()
}

/// What two sets of spans share.
pub fn shared(one: &[[f64; 2]], two: &[[f64; 2]]) -> Spans {
    let mut both = Spans::new();
    for a in one {
        for b in two {
            let (from, to) = (a[0].max(b[0]), a[1].min(b[1]));
            if to > from {
                both.push([from, to]);
            }
        }
    }
    both.sort_by(|a, b| a[0].total_cmp(&b[0]));
    both
}

/// Spans of a line as strokes; those that round to a point are dropped.
pub fn strokes(line: &Ray, spans: &[[f64; 2]]) -> Vec<[Pt; 2]> {
    spans.iter().map(|[a, b]| [line.point(*a), line.point(*b)]).filter(|[a, b]| a != b).collect()
}

/// Lines `gap` mm apart in a direction (thousandths of a degree), cut to the inside of rings. Lines of one direction
/// and gap lie on the same raster whatever the rings, so neighbours hatched alike join up.
#[allow(clippy::cast_precision_loss)]
pub fn hatch(rings: &[Points], turn_mdeg: i32, gap: i64) -> Vec<[Pt; 2]> {
    let along = direction(turn_mdeg);
    let across = Ray { at: [0.0, 0.0], along: [-along[1], along[0]] };
    let offsets = rings.iter().flatten().map(|p| across.reach(*p));
    let (lo, hi) = offsets.fold((f64::MAX, f64::MIN), |(lo, hi), d| (lo.min(d), hi.max(d)));
    let gap = gap.max(1) as f64;
    let mut made = Vec::new();
    let mut k = (lo / gap).ceil();
    while k * gap < hi {
        let off = k * gap;
        let line = Ray { at: [across.along[0] * off, across.along[1] * off], along };
        made.extend(strokes(&line, &inside(&line, rings)));
        k += 1.0;
    }
    made
}

/// Unit vector of a direction in thousandths of a degree.
pub fn direction(turn_mdeg: i32) -> [f64; 2] {
    let turn = f64::from(turn_mdeg) / 180_000.0 * core::f64::consts::PI;
    [libm::cos(turn), libm::sin(turn)]
}

/// Nearest whole mm, halves up.
#[allow(clippy::cast_possible_truncation)]
pub fn whole(mm: f64) -> i64 {
    (mm + 0.5).floor() as i64
}
