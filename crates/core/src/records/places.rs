//! Where thickness is to be read.
//!
//! In: a plan and its layout. Out: for every bay as many places as are due, along the middle of its courses where nothing
//! lies double, evenly apart on the way up one course and down the next. They keep clear of laps, openings, collars and
//! bay edges by [`crate::plan::Recording::reading_clear`] where there is room, and as far as there is room elsewhere. One
//! reading per so much area is that of UFGS 07141; the pattern is our own, no published one was found.

use crate::geom::Pt;
use crate::geom::ring::{self, Side, locate_in};
use crate::layout::{Bay, Layout, Piece, Zone};
use crate::model::distance_to;
use crate::plan::{Mm, Plan};
use serde::{Deserialize, Serialize};

/// Steps along a course in which places are looked at, mm.
const STEP: Mm = 100;

/// A place where thickness is to be read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct ReadingPlace {
    /// Number of the bay.
    pub bay: u32,
    /// Number of the place in its bay, from 1, along the courses.
    pub number: u32,
    /// Where.
    pub at: Pt,
}

/// Readings due in a bay: one for every so much area or part of it.
pub fn readings_due(plan: &Plan, bay: &Bay) -> u32 {
    let each = plan.recording.reading_area.saturating_mul(10_000).max(1);
    let whole = (bay.size.max(1) - 1) / each + 1;
    u32::try_from(whole).unwrap_or(u32::MAX)
}

/// The places where thickness is to be read, bay by bay.
pub fn reading_places(plan: &Plan, layout: &Layout) -> Vec<ReadingPlace> {
    layout.bays.iter().flat_map(|bay| places_in(plan, layout, bay)).collect()
}

/// The places of one bay.
pub(super) fn places_in(plan: &Plan, layout: &Layout, bay: &Bay) -> Vec<ReadingPlace> {
    let due = readings_due(plan, bay) as usize;
    let around = Around::of(layout, bay, plan.recording.reading_clear);
    let way = way_through(layout, bay, &around);
    let place = |(number, at): (u32, Pt)| ReadingPlace { bay: bay.number, number, at };
    if way.is_empty() {
        return vec![place((1, bay.label))];
    }
    // Each place has a stretch of the way to itself.
    let count = due.clamp(1, way.len());
    let cut = |i: usize| i * way.len() / count;
    let mut places: Vec<Pt> = (0..count).map(|i| best_of(&way[cut(i)..cut(i + 1)], &around)).collect();
    for i in 0..places.len() {
        if around.clearance(places[i]) < around.enough / 2.0 {
            places[i] = elsewhere(&way, &around, &places, i);
        }
    }
    (1..).zip(places).map(place).collect()
}

/// Places of one bay stay this far apart, mm (common practice, no source).
const APART: f64 = 1000.0;

/// Where the stretch of a place has no room: the nearest place on the way that is clear enough and apart from the others; the
/// place itself when there is none.
fn elsewhere(way: &[Pt], around: &Around<'_>, places: &[Pt], i: usize) -> Pt {
    let own = places[i];
    let apart = |at: Pt| places.iter().enumerate().all(|(j, p)| j == i || p.distance(at) >= APART);
    let clear = way.iter().copied().filter(|&at| apart(at) && around.clearance(at) >= around.enough);
    clear.min_by(|a, b| a.distance(own).total_cmp(&b.distance(own))).unwrap_or(own)
}

/// The place nearest to the first quarter of a stretch that is clear enough; else the clearest. Quarters, as the way turns
/// from course to course: places of neighbouring courses then lie staggered.
fn best_of(stretch: &[Pt], around: &Around<'_>) -> Pt {
    let aim = stretch.len() / 4;
    let mut by_distance: Vec<usize> = (0..stretch.len()).collect();
    by_distance.sort_by_key(|i| i.abs_diff(aim));
    let (mut best, mut clearest) = (stretch.get(aim).copied().unwrap_or_default(), -1.0);
    for at in by_distance.into_iter().filter_map(|i| stretch.get(i).copied()) {
        let clear = around.clearance(at);
        if clear > clearest {
            (best, clearest) = (at, clear);
        }
        if clearest >= around.enough {
            break;
        }
    }
    best
}

/// Places along the middles of the courses of a bay, up one and down the next.
fn way_through(layout: &Layout, bay: &Bay, around: &Around<'_>) -> Vec<Pt> {
    let Some(zone) = layout.zones.iter().find(|z| z.number == bay.zone) else { return Vec::new() };
    // A course too narrow to keep clear in is left out where the bay has others.
    let room = |p: &Piece| {
        let [lo, hi] = alone(zone, p);
        (hi - lo) / 2
    };
    let most = around.own.iter().map(|p| room(p)).max().unwrap_or(0);
    let enough = most.min(around.clear);
    let mut own: Vec<&Piece> = around.own.iter().copied().filter(|p| room(p) >= enough).collect();
    own.sort_by_key(|p| (p.course, p.from, p.number));
    let mut out: Vec<Pt> = Vec::new();
    for (row, course) in own.chunk_by(|a, b| a.course == b.course).enumerate() {
        let mut places: Vec<Pt> = course.iter().flat_map(|piece| along(zone, piece)).collect();
        if row % 2 == 1 {
            places.reverse();
        }
        out.extend(places);
    }
    out
}

/// Places along the middle of what a piece covers alone, where the piece lies.
fn along(zone: &Zone, piece: &Piece) -> Vec<Pt> {
    let [lo, hi] = alone(zone, piece);
    let (from, to) = (piece.from + piece.lap_from, piece.to - piece.lap_to);
    if to <= from {
        return Vec::new();
    }
    let middle = i64::midpoint(lo, hi);
    let first = from + (to - from) % STEP / 2 + if to - from >= STEP { STEP / 2 } else { 0 };
    let step = usize::try_from(STEP).unwrap_or(1);
    let places = (first..to).step_by(step).map(|u| on_plan(zone, u, middle));
    places.filter(|&at| piece.as_laid.iter().any(|r| locate_in(at, r) == Side::Inside)).collect()
}

/// Offsets between which a piece lies alone: its laps and what is trimmed off it left out.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
fn alone(zone: &Zone, piece: &Piece) -> [Mm; 2] {
    let frame = &zone.frame;
    let offset = |p: &Pt| {
        let [x, y] = frame.origin_um.map(|um| um as f64 / 1000.0);
        libm::round((p.x as f64 - x) * frame.across[0] + (p.y as f64 - y) * frame.across[1]) as Mm
    };
    let (lo, hi) = (piece.across[0] + piece.lap_before, piece.across[1] - piece.lap_after);
    let offsets = || piece.as_laid.iter().flatten().flatten().map(offset);
    [lo.max(offsets().min().unwrap_or(lo)), hi.min(offsets().max().unwrap_or(hi))]
}

/// The plan point of a place in the frame of a zone, to the mm.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
fn on_plan(zone: &Zone, u: Mm, v: Mm) -> Pt {
    let frame = &zone.frame;
    let of = |i: usize| {
        let origin = frame.origin_um[i] as f64 / 1000.0;
        libm::round(origin + u as f64 * frame.along[i] + v as f64 * frame.across[i]) as i64
    };
    Pt::new(of(0), of(1))
}

/// What a place in a bay has to keep clear of.
struct Around<'a> {
    /// The pieces of the bay.
    own: Vec<&'a Piece>,
    /// Edges of pieces of the bay and of those next to it, with their bounds.
    edges: Vec<(Pt, Pt)>,
    /// Pieces of the bay and of those next to it.
    pieces: Vec<(&'a Piece, (Pt, Pt))>,
    /// Edges of the bay itself.
    bounds: Vec<(Pt, Pt)>,
    /// Clear enough, mm.
    clear: Mm,
    /// The same.
    enough: f64,
}

impl<'a> Around<'a> {
    #[allow(clippy::cast_precision_loss)]
    fn of(layout: &'a Layout, bay: &'a Bay, clear: Mm) -> Self {
        let near = |p: &&Piece| p.bay == bay.number || bay.beside.contains(&p.bay);
        let pieces: Vec<(&Piece, (Pt, Pt))> = layout
            .pieces
            .iter()
            .filter(near)
            .filter_map(|p| ring::bounds(p.as_laid.iter().flatten().flatten()).map(|b| (p, b)))
            .collect();
        let edges = pieces.iter().flat_map(|(p, _)| p.as_laid.iter().flatten()).flat_map(|r| ring::edges(r));
        Self {
            own: layout.pieces.iter().filter(|p| p.bay == bay.number).collect(),
            edges: edges.collect(),
            bounds: bay.area.iter().flatten().flat_map(|r| ring::edges(r)).collect(),
            pieces,
            clear,
            enough: clear as f64,
        }
    }

    /// Distance to the nearest lap, opening or edge, mm, no more than is enough; below 0 where two pieces lie.
    #[allow(clippy::cast_possible_truncation)]
    fn clearance(&self, at: Pt) -> f64 {
        let within = |(lo, hi): &(Pt, Pt)| at.x >= lo.x && at.x <= hi.x && at.y >= lo.y && at.y <= hi.y;
        let lies = |p: &Piece| p.as_laid.iter().any(|r| locate_in(at, r) != Side::Outside);
        if self.pieces.iter().filter(|(p, bounds)| within(bounds) && lies(p)).count() > 1 {
            return -0.5;
        }
        let reach = self.enough as i64 + 1;
        let near = |(a, b): &&(Pt, Pt)| {
            at.x >= a.x.min(b.x) - reach
                && at.x <= a.x.max(b.x) + reach
                && at.y >= a.y.min(b.y) - reach
                && at.y <= a.y.max(b.y) + reach
        };
        let all = self.edges.iter().chain(&self.bounds).filter(near);
        all.map(|&(a, b)| distance_to(at, a, b)).fold(self.enough, f64::min)
    }
}
