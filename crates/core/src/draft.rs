//! Drafts: a zone laid one way as far as its pieces' lengths, which is all that choosing between ways needs.
//!
//! In: a zone, a way, the rules. Out: courses, rows, end laps; the lengths and widths of the pieces to be cut; and, when
//! the way is taken, the pieces and bays themselves. It numbers nothing and chooses nothing.

use crate::bays::{self, Limits, Rows};
use crate::cells::{self, BayModel, ZoneBays};
use crate::courses::{self, Way, ZoneCourses};
use crate::endlaps::{self, Ends};
use crate::falls::ground::Ground;
use crate::finding::Finding;
use crate::footing::{ClearZone, Footing};
use crate::geom::Region;
use crate::geom::frame::{down_to_mm, up_to_mm};
use crate::geom::net;
use crate::geom::ring::doubled_area_of;
use crate::model::Model;
use crate::pieces::{self, ZonePieces};
use crate::plan::{Mm, Plan, Slitting};
use crate::products::Rules;
use crate::zones::ZoneModel;

/// A zone laid one way, pieces not yet cut out.
#[derive(Clone, Debug)]
pub struct Draft {
    /// The way.
    pub way: Way,
    /// Its courses.
    pub courses: ZoneCourses,
    /// Its rows.
    pub rows: Rows,
    /// Its end laps.
    pub ends: Ends,
    /// Outlets' clear zones in the frame.
    pub outlets: Vec<ClearZone>,
    /// What the end laps could not keep.
    pub findings: Vec<Finding>,
}

/// A piece of a draft.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DraftPiece {
    /// Course, from 0.
    pub course: usize,
    /// Run in the course, from 0.
    pub run: usize,
    /// Chainage of its start and end, mm.
    pub from: Mm,
    /// Chainage of its end, mm.
    pub to: Mm,
    /// Width it needs, mm: that of the roll when it is not to be slit.
    pub width: Mm,
}

/// Lays a zone one way as far as its end laps.
pub fn draft(
    plan: &Plan,
    model: &Model,
    ground: Option<&Ground>,
    zone: &ZoneModel,
    way: &Way,
    rules: &Rules,
) -> Option<Draft> {
    let courses = courses::lay_out(&zone.field, way)?;
    let limits = Limits::of(&plan.gang, &plan.products, way.spacing.width);
    let footing = Footing::new(plan, model, courses.frame, ground);
    let rows = bays::group(&zone.area, &courses, &limits, &footing);
    let mut findings = Vec::new();
    let ends = endlaps::place(zone.number, &courses, &rows, rules, &footing, &mut findings);
    let outlets = footing.outlets;
    Some(Draft { way: *way, courses, rows, ends, outlets, findings })
}

impl Draft {
    /// Its pieces, by course and chainage.
    pub fn pieces(&self, rules: &Rules, slitting: Slitting) -> Vec<DraftPiece> {
        self.pieces_with(&self.ends, rules, slitting)
    }

    /// Its pieces with other end laps than its own.
    pub fn pieces_with(&self, ends: &Ends, rules: &Rules, slitting: Slitting) -> Vec<DraftPiece> {
        let mut found = Vec::new();
        for (course, runs) in self.courses.runs.iter().enumerate() {
            for (run, data) in runs.iter().enumerate() {
                let width = self.width(course, run, slitting);
                let starts = &ends.starts[course][run];
                let froms = [data.from].into_iter().chain(starts.iter().copied());
                let tos = starts.iter().map(|x| x + rules.end_lap).chain([data.to]);
                found.extend(froms.zip(tos).map(|(from, to)| DraftPiece { course, run, from, to, width }));
            }
        }
        found
    }

    /// The width that a run needs.
    fn width(&self, course: usize, run: usize, slitting: Slitting) -> Mm {
        let whole = self.way.spacing.width;
        let own = self.courses.courses[course];
        let Some((lo, hi)) = net::bounds(&self.courses.runs[course][run].part) else { return whole };
        if may_slit(slitting, course, self.courses.courses.len()) {
            (up_to_mm(hi.v).min(own.to) - down_to_mm(lo.v).max(own.from)).clamp(1, whole)
        } else {
            whole
        }
    }

    /// The pieces themselves and the bays they lie in.
    pub fn finish(&self, plan: &Plan, model: &Model, slitting: Slitting) -> (ZonePieces, ZoneBays) {
        let end_lap = plan.products.end_lap.max(0);
        let limits = Limits::of(&plan.gang, &plan.products, self.way.spacing.width);
        let mut pieces = pieces::cut(&self.courses, &self.ends, end_lap);
        let last = self.courses.courses.len();
        for piece in &mut pieces.pieces {
            if !may_slit(slitting, piece.course, last) {
                let course = self.courses.courses[piece.course];
                piece.across = [course.from, course.to];
            }
        }
        let bays =
            cells::gather(&model.canvas, &self.courses, &self.rows, &self.ends, &limits, &pieces.pieces);
        (pieces, bays)
    }
}

/// Whether pieces of a course may be cut narrower than the roll.
pub fn may_slit(slitting: Slitting, course: usize, courses: usize) -> bool {
    match slitting {
        Slitting::None => false,
        Slitting::OuterCourses => course == 0 || course + 1 == courses,
        Slitting::AnyPiece => true,
    }
}

/// A zone with nothing laid: one bay that holds all of it.
pub fn bare(zone: &ZoneModel) -> (ZonePieces, ZoneBays) {
    let area = vec![zone.area.clone()];
    let bay = BayModel {
        courses: [0, 0],
        size: i64::try_from(doubled_area_of(&area) / 2).unwrap_or(i64::MAX),
        label: zone.area.first().and_then(|r| r.first()).copied().unwrap_or_default(),
        area: area.clone(),
        length: 0,
        pieces: Vec::new(),
        beside: Vec::new(),
    };
    let field: Vec<Region> = zone.field.clone();
    (ZonePieces { field, ..ZonePieces::default() }, ZoneBays { bays: vec![bay], deck: area })
}
