//! Boards: a zone seen flat in its own frame, in whole mm of chainage and offset.
//!
//! In: a zone as laid. Out: areas of the plan as areas of the frame, and back. Whatever was drawn along a course line or a
//! cut lies on that very mm of the frame again, so that everything the sheet is cut by is whole mm and exact; only the edge
//! of the deck is snapped, by half a mm there and as much back. Boolean operations are done flat.

use crate::courses::ZoneCourses;
use crate::geom::frame::{Frame, Place, UM};
use crate::geom::overlay::{Canvas, Contour};
use crate::geom::ring::{self, untied};
use crate::geom::{Points, Pt, Region};
use crate::layout;
use crate::plan::Mm;

/// A zone's frame with the lines that things were drawn along.
#[derive(Clone, Debug)]
pub(super) struct Board {
    frame: Frame,
    axes: layout::Frame,
    /// The canvas of the frame.
    pub canvas: Canvas,
    /// Course lines that bays part along, in order: the first edge of every course but the first.
    pub lines: Vec<Mm>,
    /// Side laps of the reinforcement, in order.
    pub laps: Vec<[Mm; 2]>,
    /// Chainages where pieces of reinforcement or bays part, in order.
    cuts: Vec<Mm>,
}

/// A ring in the frame or on the plan, mm.
pub(super) type Shape = Vec<[f64; 2]>;

/// A corner this near to a line or a cut was drawn on it, micrometres: it is put on the line from up to 710 away, and snapping
/// moves it by up to 707.
const ON_LINE: i64 = 1500;

impl Board {
    /// The board of a zone, for areas of the plan.
    pub(super) fn new<'a>(
        courses: &ZoneCourses,
        mut cuts: Vec<Mm>,
        areas: impl Iterator<Item = &'a Region>,
    ) -> Self {
        let frame = courses.frame;
        let place = |p: &Pt| {
            let at = frame.place(*p);
            Pt::new(at.u / UM, at.v / UM)
        };
        let corners: Points = areas.flatten().flatten().map(place).collect();
        let (lo, hi) = ring::bounds(&corners).unwrap_or_default();
        cuts.sort_unstable();
        cuts.dedup();
        let pairs = courses.courses.windows(2);
        Self {
            frame,
            axes: frame.to_layout(),
            canvas: Canvas::new(lo, hi),
            lines: courses.courses.iter().skip(1).map(|c| c.from).collect(),
            laps: pairs.map(|w| [w[1].from, w[0].to]).collect(),
            cuts,
        }
    }

    /// Areas of the plan in the frame.
    pub(super) fn flat(&self, areas: &[Region]) -> Vec<Region> {
        areas.iter().map(|region| region.iter().map(|ring| self.flat_ring(ring)).collect()).collect()
    }

    /// Areas of the frame on the plan.
    pub(super) fn on_plan(&self, areas: &[Region]) -> Vec<Region> {
        untied(areas.iter().flatten().map(|ring| {
            let mut points: Points = ring.iter().map(|p| self.plan_point(*p)).collect();
            if !self.frame.is_right_handed() {
                points.reverse();
            }
            points.dedup();
            while points.len() > 1 && points.first() == points.last() {
                points.pop();
            }
            points
        }))
    }

    /// The plan point of a place of the frame.
    pub(super) fn plan_point(&self, p: Pt) -> Pt {
        self.frame.plan_point(Place { u: p.x * UM, v: p.y * UM })
    }

    /// A place of the plan in the frame, mm.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn place(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let layout::Frame { origin_um, along, across } = &self.axes;
        let (x, y) = (x - origin_um[0] as f64 / 1000.0, y - origin_um[1] as f64 / 1000.0);
        [x * along[0] + y * along[1], x * across[0] + y * across[1]]
    }

    /// A place of the frame on the plan, mm.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn back(&self, [u, v]: [f64; 2]) -> [f64; 2] {
        let layout::Frame { origin_um, along, across } = &self.axes;
        [0, 1].map(|k| origin_um[k] as f64 / 1000.0 + u * along[k] + v * across[k])
    }

    /// Unit vectors of the plan along u and v.
    pub(super) fn axes(&self) -> [[f64; 2]; 2] {
        [self.axes.along, self.axes.across]
    }

    /// The cut or the course line that a chainage or an offset lies on, to within 3 mm; else the nearest mm.
    pub(super) fn cut_at(&self, u: f64) -> Mm {
        on_known(&self.cuts, u)
    }

    /// The course line that an offset lies on, to within 3 mm; else the nearest mm.
    pub(super) fn line_at(&self, v: f64) -> Mm {
        on_known(&self.lines, v)
    }

    /// Offsets drawn out to the course lines round them.
    pub(super) fn rows_of(&self, [lo, hi]: [Mm; 2]) -> [Mm; 2] {
        let below = self.lines.iter().copied().filter(|line| *line <= lo + 1).max();
        let above = self.lines.iter().copied().filter(|line| *line >= hi - 1).min();
        [below.unwrap_or(lo), above.unwrap_or(hi)]
    }

    /// Breadth of the side lap at a course line, mm.
    pub(super) fn lap_at(&self, line: Mm) -> Option<Mm> {
        self.laps.iter().find(|lap| lap[0] == line).map(|lap| lap[1] - lap[0])
    }

    /// A shape of the frame, ready to cut with.
    pub(super) fn contour(&self, shape: &[[f64; 2]]) -> Contour {
        self.canvas.shape(shape)
    }

    fn flat_ring(&self, ring: &[Pt]) -> Points {
        let mut points: Points = ring
            .iter()
            .map(|&p| {
                let at = self.frame.place(p);
                Pt::new(on_line(&self.cuts, at.u), on_line(&self.lines, at.v))
            })
            .collect();
        points.dedup();
        if !self.frame.is_right_handed() {
            points.reverse();
        }
        points
    }
}

/// The rectangle of a frame between two chainages and two offsets.
#[allow(clippy::cast_precision_loss)]
pub(super) fn rectangle(u: [Mm; 2], v: [Mm; 2]) -> Shape {
    let ([a, b], [c, d]) = (u.map(|x| x as f64), v.map(|x| x as f64));
    vec![[a, c], [b, c], [b, d], [a, d]]
}

/// A place in micrometres as whole mm, on one of the known places where it was drawn on it.
fn on_line(known: &[Mm], um: i64) -> Mm {
    let near = nearest(known, (um + UM / 2).div_euclid(UM));
    near.filter(|k| (k * UM - um).abs() <= ON_LINE).unwrap_or((um + UM / 2).div_euclid(UM))
}

#[allow(clippy::cast_possible_truncation)]
fn on_known(known: &[Mm], at: f64) -> Mm {
    let whole = (at + 0.5).floor() as Mm;
    nearest(known, whole).filter(|k| (k - whole).abs() <= 3).unwrap_or(whole)
}

fn nearest(sorted: &[Mm], value: Mm) -> Option<Mm> {
    let after = sorted.partition_point(|&k| k < value);
    let near = [after.checked_sub(1).map(|i| sorted[i]), sorted.get(after).copied()];
    near.into_iter().flatten().min_by_key(|k| (k - value).abs())
}
