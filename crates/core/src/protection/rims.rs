//! Rims: the edges of sheet pieces that lie inside the deck.
//!
//! In: pieces as laid in the frame of their zone, and the deck they lie on. Out: their edges, and the parts of these
//! beyond which the deck goes on: there another piece has to lap. An edge of the deck wants no lap.

use super::Sheets;
use super::board::Shape;
use super::edges::Way;
use super::laps::Band;
use crate::geom::ring;
use crate::geom::spans::inside;
use crate::geom::{Pt, Region};
use crate::plan::Mm;

/// The deck goes on where it is found this far outside an edge, mm: snapping moves edges by less.
const OUTSIDE: f64 = 3.0;

/// An edge that is this far from straight along the courses or across them was drawn so, mm.
const SNAP: f64 = 1.5;

/// The deck that the sheet of a zone lies on without a stop: its own bays, and those over drawn lines that are lapped.
pub(super) struct Floor {
    /// Zones, from 0.
    pub zones: Vec<usize>,
    /// Indexes of the bays.
    pub bays: Vec<usize>,
    /// Their areas in the frame of the zone, in the same order, one bay's after the other's.
    pub areas: Vec<Region>,
    /// For each area its bay.
    owners: Vec<usize>,
}

impl Floor {
    pub(super) fn new(sheets: &Sheets, zone: usize) -> Self {
        let mut floor = Self { zones: vec![zone], bays: Vec::new(), areas: Vec::new(), owners: Vec::new() };
        let over_line = |bay: usize| {
            let lines = sheets.edges.iter().filter(|edge| matches!(edge.way, Way::Line { .. }));
            let pair = |low: usize, high: usize| low == bay && sheets.zone_of(high) == zone;
            lines.into_iter().any(|edge| pair(edge.low, edge.high) || pair(edge.high, edge.low))
        };
        for bay in 0..sheets.flats.len() {
            let own = sheets.zone_of(bay) == zone;
            if !own && !over_line(bay) {
                continue;
            }
            let areas = if own {
                sheets.flats[bay].clone()
            } else {
                sheets.boards[zone].flat(&sheets.layout.bays[bay].area)
            };
            floor.zones.push(sheets.zone_of(bay));
            floor.bays.push(bay);
            floor.owners.extend(areas.iter().map(|_| bay));
            floor.areas.extend(areas);
        }
        floor.zones.sort_unstable();
        floor.zones.dedup();
        floor
    }

    /// Areas that a band may reach.
    pub(super) fn areas_in(&self, band: &Band) -> Vec<Region> {
        self.areas.iter().filter(|area| reaches(area, band)).cloned().collect()
    }

    /// Bays whose bounds a band meets.
    pub(super) fn bays_in(&self, band: &Band) -> Vec<usize> {
        let met = self.areas.iter().zip(&self.owners).filter(|(area, _)| reaches(area, band));
        met.map(|(_, bay)| *bay).collect()
    }
}

fn reaches(area: &Region, band: &Band) -> bool {
    ring::bounds(area.iter().flatten()).is_some_and(|(lo, hi)| {
        lo.x < band.along[1] && band.along[0] < hi.x && lo.y < band.across[1] && band.across[0] < hi.y
    })
}

/// An edge of a piece, the piece on its left.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rim {
    /// Start and end in the frame, mm.
    pub ends: [[f64; 2]; 2],
}

/// The edges of a piece as laid.
pub(super) fn rims(flat: &[Region]) -> impl Iterator<Item = Rim> + '_ {
    let edges = flat.iter().flatten().flat_map(|r| ring::edges(r));
    edges.map(|(a, b)| Rim { ends: [place(a), place(b)] })
}

/// The parts of an edge beyond which the deck goes on.
pub(super) fn inner(floor: &[Region], rim: &Rim) -> Vec<Rim> {
    let [a, b] = rim.ends;
    let out = rim.inward().map(|x| -x * OUTSIDE);
    let [c, d] = [a, b].map(|p| [p[0] + out[0], p[1] + out[1]]);
    let meets = |area: &&Region| {
        let far = |k: usize| (c[k].min(d[k]), c[k].max(d[k]));
        let ((x0, x1), (y0, y1)) = (far(0), far(1));
        ring::bounds(area.iter().flatten()).is_some_and(|(lo, hi)| {
            let ([a, b], [e, f]) = (place(lo), place(hi));
            a <= x1 && x0 <= e && b <= y1 && y0 <= f
        })
    };
    let mut spans: Vec<[f64; 2]> =
        floor.iter().filter(meets).flat_map(|area| inside(c, d, std::slice::from_ref(area))).collect();
    spans.sort_by(|x, y| x[0].total_cmp(&y[0]));
    let mut joined: Vec<[f64; 2]> = Vec::new();
    for span in spans {
        match joined.last_mut() {
            Some(last) if span[0] <= last[1] + 1e-9 => last[1] = last[1].max(span[1]),
            _ => joined.push(span),
        }
    }
    let at = |t: f64| [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
    let parts = joined.into_iter().map(|[from, to]| Rim { ends: [at(from), at(to)] });
    // Shorter ones want no lap of their own.
    parts.filter(|part| part.length() > OUTSIDE).collect()
}

impl Rim {
    /// Whether it runs along the courses, but for snapping.
    pub(super) fn is_side(&self) -> bool {
        (self.ends[0][1] - self.ends[1][1]).abs() <= SNAP && self.length() > OUTSIDE
    }

    /// Whether it runs across them, but for snapping.
    pub(super) fn is_end(&self) -> bool {
        (self.ends[0][0] - self.ends[1][0]).abs() <= SNAP && self.length() > OUTSIDE
    }

    /// Its length, mm.
    pub(super) fn length(&self) -> f64 {
        let [a, b] = self.ends;
        ((b[0] - a[0]) * (b[0] - a[0]) + (b[1] - a[1]) * (b[1] - a[1])).sqrt()
    }

    /// The way into the piece, a unit vector.
    fn inward(&self) -> [f64; 2] {
        let [a, b] = self.ends;
        let length = self.length().max(1e-9);
        [(a[1] - b[1]) / length, (b[0] - a[0]) / length]
    }

    /// The strip within it, so broad.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn shape(&self, broad: Mm) -> Shape {
        let [a, b] = self.ends;
        let into = self.inward().map(|x| x * broad as f64);
        vec![a, b, [b[0] + into[0], b[1] + into[1]], [a[0] + into[0], a[1] + into[1]]]
    }

    /// The same as chainages and offsets; nothing where it slants.
    pub(super) fn strip(&self, broad: Mm) -> Option<Band> {
        (self.is_side() || self.is_end()).then(|| {
            let shape = self.shape(broad);
            let of = |k: usize| {
                let values = shape.iter().map(|p| p[k]);
                let (lo, hi) =
                    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), x| (lo.min(x), hi.max(x)));
                [whole(lo), whole(hi)]
            };
            Band { along: of(0), across: of(1) }
        })
    }
}

#[allow(clippy::cast_precision_loss)]
fn place(p: Pt) -> [f64; 2] {
    [p.x as f64, p.y as f64]
}

#[allow(clippy::cast_possible_truncation)]
fn whole(value: f64) -> Mm {
    (value + 0.5).floor() as Mm
}
