//! Bay edges as the sheet sees them: what a bay leaves open for a bay after it.
//!
//! In: the bays in the order they are laid, and the boards of their zones. Out: for each two bays that touch where the
//! reinforcement laps from one to the other, their common edges, each with the strip along it that stays uncovered until
//! the later bay is laid. At a movement joint and at a change of level nothing laps, and the sheet stops on both sides.
//!
//! Why a strip stays open: the fleece of the later bay is laid on to the membrane of the earlier one, or is melted on to
//! the fleece that sticks out of it. A sheet over that strip would have to be torn off again. So the earlier sheet stops
//! short of the lap by the distance that sheet laps keep from it anyway, and the later one covers the strip and laps on.
//! Common practice, no source.

use super::Rules;
use super::board::{Board, Shape, rectangle};
use super::laps::Band;
use crate::geom::contact::{common_edges, may_touch};
use crate::geom::{Pt, ring};
use crate::layout::{Bay, Layout, Piece};
use crate::model::{Model, distance_to};
use crate::plan::Mm;

/// A common edge of two bays; in the frame of their zone unless it is a drawn line.
#[derive(Clone, Debug)]
pub(super) struct Edge {
    /// Index of the bay laid first.
    pub low: usize,
    /// Index of the bay laid later.
    pub high: usize,
    /// How it runs.
    pub way: Way,
}

/// How an edge runs.
#[derive(Clone, Debug)]
pub(super) enum Way {
    /// Along a course line.
    Along {
        /// Offset.
        v: Mm,
        /// Chainages it reaches from and to.
        u: [Mm; 2],
        /// Breadth of the reinforcement's side lap, which lies beyond the line.
        lap: Mm,
    },
    /// Across the courses.
    Across {
        /// Chainage; the reinforcement's end lap lies beyond it.
        u: Mm,
        /// Offsets it reaches from and to.
        v: [Mm; 2],
        /// Whether the later bay lies beyond it.
        beyond: bool,
    },
    /// Along a drawn line between two zones: the strip left open, and the strip that may still be open, on the plan.
    Line {
        /// Left open.
        open: Shape,
        /// May be open.
        reach: Shape,
    },
}

/// All common edges, by the bay laid first.
pub(super) fn find(layout: &Layout, model: &Model, boards: &[Board], rules: &Rules) -> Vec<Edge> {
    let bounds: Vec<Option<(Pt, Pt)>> =
        layout.bays.iter().map(|b| ring::bounds(b.area.iter().flatten().flatten())).collect();
    let mut found = Vec::new();
    for (low, first) in layout.bays.iter().enumerate() {
        for (high, later) in layout.bays.iter().enumerate().skip(low + 1) {
            if !may_touch(bounds[low], bounds[high]) {
                continue;
            }
            for (a, b, towards) in common_edges(&later.area, &first.area) {
                let way = if first.zone == later.zone {
                    let way = straight(&boards[first.zone as usize - 1], [a, b], towards, rules);
                    Some(as_long_as_its_lap(way, layout, [first, later], rules.end_lap))
                } else {
                    on_drawn(model, [a, b]).then(|| over(first.zone < later.zone, [a, b], towards, rules))
                };
                found.extend(way.map(|way| Edge { low, high, way }));
            }
        }
    }
    found
}

impl Edge {
    /// What the earlier bay leaves open, in the frame of its zone, where it stops along a straight line.
    pub(super) fn open(&self, rules: &Rules) -> Shape {
        match (&self.way, self.open_band(rules)) {
            (Way::Line { open, .. }, _) => open.clone(),
            (_, Some(band)) => rectangle(band.along, band.across),
            _ => Shape::new(),
        }
    }

    /// The same as chainages and offsets; nothing at a drawn line.
    pub(super) fn open_band(&self, rules: &Rules) -> Option<Band> {
        let (off, end) = (rules.open, rules.end_lap);
        match &self.way {
            Way::Along { v, u, lap } => {
                Some(Band { along: [u[0] - off, u[1] + off + end], across: [v - off, v + lap + off] })
            }
            Way::Across { u, v, .. } => Some(Band {
                along: [u - off, u + end + off],
                across: [v[0] - off, v[1] + off + rules.side_lap],
            }),
            Way::Line { .. } => None,
        }
    }

    /// Where the later bay looks for what bays before have left to it.
    pub(super) fn reach(&self, rules: &Rules) -> Shape {
        match &self.way {
            Way::Line { reach, .. } => reach.clone(),
            _ => self.open(rules),
        }
    }
}

/// An edge inside a zone: along a course line or across the courses.
#[allow(clippy::cast_possible_truncation)]
fn straight(board: &Board, ends: [[f64; 2]; 2], towards: [f64; 2], rules: &Rules) -> Way {
    let [a, b] = ends.map(|p| board.place(p));
    let whole = |x: f64, y: f64| [(x.min(y) + 0.5).floor() as Mm, (x.max(y) + 0.5).floor() as Mm];
    if (b[1] - a[1]).abs() <= (b[0] - a[0]).abs() {
        let v = board.line_at(f64::midpoint(a[1], b[1]));
        Way::Along { v, u: whole(a[0], b[0]), lap: board.lap_at(v).unwrap_or(rules.side_lap) }
    } else {
        let u = board.cut_at(f64::midpoint(a[0], b[0]));
        let [along, _] = board.axes();
        let beyond = towards[0] * along[0] + towards[1] * along[1] > 0.0;
        // The lap of the fleece is as broad as its course, also where a wall cuts the edge short.
        Way::Across { u, v: board.rows_of(whole(a[1], b[1])), beyond }
    }
}

/// An edge along a course line drawn out to where the reinforcement laps: a slanting wall may cut the edge short and not the
/// lap beside it. Pieces reach an end lap beyond their bay, which is left open in any case.
fn as_long_as_its_lap(way: Way, layout: &Layout, bays: [&Bay; 2], end_lap: Mm) -> Way {
    let Way::Along { v, u, lap } = way else { return way };
    let pieces = |bay: &Bay| -> Vec<&Piece> {
        bay.pieces.iter().filter_map(|n| layout.pieces.get(*n as usize - 1)).collect()
    };
    let mut reach = u;
    for p in pieces(bays[0]) {
        for q in pieces(bays[1]).into_iter().filter(|q| q.course.abs_diff(p.course) == 1) {
            let shared = [p.from.max(q.from), p.to.min(q.to)];
            let over = p.across[0].max(q.across[0]) <= v + lap && v <= p.across[1].min(q.across[1]);
            if over && shared[0] <= u[1] && u[0] <= shared[1] {
                reach = [reach[0].min(shared[0]), reach[1].max(shared[1] - end_lap)];
            }
        }
    }
    Way::Along { v, u: reach, lap }
}

/// An edge along a drawn line. The reinforcement of the zone with the lower number reaches across it.
#[allow(clippy::cast_precision_loss)]
fn over(low_reaches: bool, [a, b]: [[f64; 2]; 2], towards: [f64; 2], rules: &Rules) -> Way {
    let lap = rules.end_lap.max(rules.side_lap);
    // Where the reinforcement laps, from the line back on to the earlier bay.
    let band = if low_reaches { [-lap, 0] } else { [0, lap] };
    let along = [towards[1], -towards[0]];
    let strip = |ends: Mm, more: Mm| -> Shape {
        let forward = if (b[0] - a[0]) * along[0] + (b[1] - a[1]) * along[1] > 0.0 { 1.0 } else { -1.0 };
        let at = |p: [f64; 2], on: f64, back: f64| {
            [0, 1].map(|k| p[k] + on * forward * along[k] - back * towards[k])
        };
        let (ends, from, to) =
            (ends as f64, (band[0] - rules.open - more) as f64, (band[1] + rules.open + more) as f64);
        vec![at(a, -ends, from), at(b, ends, from), at(b, ends, to), at(a, -ends, to)]
    };
    Way::Line { open: strip(rules.open, 0), reach: strip(rules.open + 2, 2) }
}

/// Whether an edge lies on a line that the reinforcement laps across.
#[allow(clippy::cast_possible_truncation)]
fn on_drawn(model: &Model, ends: [[f64; 2]; 2]) -> bool {
    let near = |p: [f64; 2]| {
        let p = Pt::new((p[0] + 0.5).floor() as i64, (p[1] + 0.5).floor() as i64);
        let drawn = model.lines.iter().filter(|line| line.lapped);
        drawn.flat_map(|line| line.points.windows(2)).any(|w| distance_to(p, w[0], w[1]) <= 4.0)
    };
    ends.into_iter().all(near)
}
