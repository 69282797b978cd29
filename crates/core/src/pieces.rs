//! Pieces: each run cut at its end laps, and each piece as it lies on the deck.
//!
//! In: the courses of a zone and the places of their end laps. Out: pieces with their exact rectangles in the zone's
//! frame and their outlines as laid, whole mm on the plan, which share every corner with their neighbours so that
//! together they cover the field exactly. It numbers nothing and assigns no rolls.

use crate::courses::{self, ZoneCourses};
use crate::endlaps::Ends;
use crate::geom::Region;
use crate::geom::frame::{Place, UM, down_to_mm, up_to_mm};
use crate::geom::net::{self, Net, Part};
use crate::geom::ring::doubled_area_of;
use crate::plan::Mm;

/// A piece of one zone.
#[derive(Clone, Debug)]
pub struct PieceModel {
    /// Which course, from 0.
    pub course: usize,
    /// Chainage of its start, mm.
    pub from: Mm,
    /// Chainage of its end, mm.
    pub to: Mm,
    /// Overlap on to the piece before, mm.
    pub lap_from: Mm,
    /// Overlap on to the piece after, mm.
    pub lap_to: Mm,
    /// Offsets v that it needs to reach from and to, within its course, mm.
    pub across: [Mm; 2],
    /// As laid.
    pub as_laid: Vec<Region>,
    /// Area as laid, mm2.
    pub area: i64,
    /// A place well inside it, in the middle of its course where that can be.
    pub inside: Place,
}

/// The pieces of a zone with its field, every crossing a corner.
#[derive(Clone, Debug, Default)]
pub struct ZonePieces {
    /// In order of course, then chainage.
    pub pieces: Vec<PieceModel>,
    /// The field.
    pub field: Vec<Region>,
    /// Length of side laps, mm.
    pub side_laps: Mm,
}

impl ZonePieces {
    /// The pieces of one course.
    pub fn of_course(&self, course: usize) -> &[PieceModel] {
        let start = self.pieces.partition_point(|p| p.course < course);
        let end = self.pieces.partition_point(|p| p.course <= course);
        &self.pieces[start..end]
    }
}

/// Cuts the runs of a zone into pieces.
pub fn cut(courses: &ZoneCourses, ends: &Ends, end_lap: Mm) -> ZonePieces {
    let mut field = courses.field.clone();
    let mut lines: Vec<i64> = courses.courses.iter().flat_map(|c| [c.from * UM, c.to * UM]).collect();
    lines.sort_unstable();
    let mut marks = field.corners_on(&lines);
    for (course, runs) in courses.courses.iter().zip(&ends.starts) {
        let (lo, hi) = (course.from * UM, course.to * UM);
        for u in runs.iter().flatten().flat_map(|&start| [start * UM, (start + end_lap) * UM]) {
            field.node_cut(u, lo, hi);
            for v in [lo, hi] {
                marks.entry(v).or_default().push(field.mark(Place { u, v }));
            }
        }
    }
    net::put_in_order(&mut marks);
    let mut done = ZonePieces { field: field.regions(), ..ZonePieces::default() };
    for (k, course) in courses.courses.iter().enumerate() {
        let parts = field.between(course.from * UM, course.to * UM, &marks);
        for (run, starts) in courses.runs[k].iter().zip(&ends.starts[k]) {
            let Some(part) = same_part(&parts, &run.part) else { continue };
            done.side_laps += courses::side_lap(courses, k, part);
            let bounds: Vec<Mm> =
                [run.from].into_iter().chain(starts.iter().copied()).chain([run.to]).collect();
            for i in 0..=starts.len() {
                let last = i == starts.len();
                let span = Span {
                    course: k,
                    from: bounds[i],
                    to: if last { run.to } else { bounds[i + 1] + end_lap },
                    lap_from: if i == 0 { 0 } else { end_lap },
                    lap_to: if last { 0 } else { end_lap },
                };
                done.pieces.extend(piece(&field, courses, part, &span));
            }
        }
    }
    done
}

struct Span {
    course: usize,
    from: Mm,
    to: Mm,
    lap_from: Mm,
    lap_to: Mm,
}

/// Beyond every run, micrometres.
const FAR: i64 = 1 << 50;

fn piece(field: &Net, courses: &ZoneCourses, part: &Part, span: &Span) -> Option<PieceModel> {
    // A run's own ends are the edge of the field: nothing is cut there.
    let lo = if span.lap_from == 0 { -FAR } else { span.from * UM };
    let hi = if span.lap_to == 0 { FAR } else { span.to * UM };
    let parts = if lo == -FAR && hi == FAR { vec![part.clone()] } else { net::between_cuts(part, lo, hi) };
    let as_laid: Vec<Region> = parts.iter().flat_map(|p| field.plan_regions(p)).collect();
    let doubled = doubled_area_of(&as_laid);
    if doubled == 0 {
        return None;
    }
    let course = courses.courses[span.course];
    let next = courses.courses.get(span.course + 1).map_or(course.to, |c| c.from);
    let largest = parts.iter().max_by_key(|p| crate::courses::doubled_area(p))?;
    let inside = net::inner_place(largest, course.from * UM, next * UM)
        .or_else(|| net::inner_place(largest, -FAR, FAR))
        .unwrap_or_default();
    let (lo, hi) = net::bounds(parts.iter().flatten())?;
    let from = down_to_mm(lo.v).max(course.from);
    Some(PieceModel {
        course: span.course,
        across: [from, up_to_mm(hi.v).min(course.to).max(from + 1)],
        from: span.from,
        to: span.to,
        lap_from: span.lap_from,
        lap_to: span.lap_to,
        as_laid,
        area: i64::try_from(doubled / 2).unwrap_or(i64::MAX),
        inside,
    })
}

/// The part that a run was made of, now with more corners.
fn same_part<'a>(parts: &'a [Part], run: &Part) -> Option<&'a Part> {
    let first = run.first()?.first()?;
    parts.iter().find(|p| p[0].iter().any(|n| n.at == first.at) && net::bounds(*p) == net::bounds(run))
}
