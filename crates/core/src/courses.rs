//! Courses: where the runs of roll lie across a zone, and where each has something to cover.
//!
//! In: a zone and the roll. Out: the zone's working frame (zero at the first place of the field), the offsets of its
//! courses in whole mm, and in each course its runs: the connected parts of course ∩ field. Neighbouring courses overlap
//! by the side lap or more; first and last course are no narrower than the least strip. A run that lies wholly in the
//! lap of a neighbouring course is covered by that course already and is left out. It splits no run into pieces.

use crate::geom::frame::{Frame, Place, UM, down_to_mm, up_to_mm};
use crate::geom::net::{self, Loop, Marks, Net, Part};
use crate::geom::{Pt, Region, ring};
use crate::layout::Course;
use crate::plan::{Mm, NarrowCourse};
use crate::starts::Spacing;

/// The courses of a zone.
#[derive(Clone, Debug)]
pub struct ZoneCourses {
    /// Working frame: u along the courses, v across them.
    pub frame: Frame,
    /// The field in that frame, noded at every course edge.
    pub field: Net,
    /// The courses in order across the zone.
    pub courses: Vec<Course>,
    /// Runs of each course, in order along it.
    pub runs: Vec<Vec<Run>>,
}

/// A connected part of a course's field.
#[derive(Clone, Debug)]
pub struct Run {
    /// The field it covers.
    pub part: Part,
    /// Chainage of its start, mm.
    pub from: Mm,
    /// Chainage of its end, mm.
    pub to: Mm,
}

/// More courses than any roof needs: a roll barely wider than its lap would otherwise be laid for ever.
pub const MOST_COURSES: Mm = 20_000;

/// One way to lay a zone.
#[derive(Clone, Copy, Debug)]
pub struct Way {
    /// Its frame: zero at the least u and v of the field.
    pub frame: Frame,
    /// How the courses lie over the breadth.
    pub spacing: Spacing,
    /// Where the first course starts.
    pub first: First,
}

/// Where the first course starts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum First {
    /// So far outside the field, mm; the others follow at the pitch.
    Outside(Mm),
    /// Against the field's edge, and the last one against the other edge: the laps grow evenly.
    GrownLaps,
}

/// Frames that do not depend on how the job is turned or mirrored.
#[derive(Clone, Copy, Debug)]
pub struct Sides {
    /// v grows from the right of the laying direction as it was given.
    pub right: Frame,
    /// v grows from the side that more of the field lies on.
    pub first: Frame,
}

/// Frames of a field with axes that follow its shape: the heavier half comes first along u and v.
pub fn canonical(area: &Region, field: &[Region], direction: [f64; 2]) -> Sides {
    let (base, _) = ring::bounds(area.iter().flatten()).unwrap_or((Pt::default(), Pt::default()));
    let frame = Frame::new(base, direction);
    let net = Net::new(frame, field);
    let (lo, hi) = net.bounds().unwrap_or_default();
    let (u, v) = centroid(&net);
    #[allow(clippy::cast_precision_loss)]
    let beyond = |centre: f64, lo: i64, hi: i64| centre > (lo as f64 + hi as f64) / 2.0;
    let right = if beyond(u, lo.u, hi.u) { frame.flip_along() } else { frame };
    let first = if beyond(v, lo.v, hi.v) { right.flip_across() } else { right };
    Sides { right, first }
}

/// Centre of the area of a net, micrometres.
#[allow(clippy::cast_precision_loss)]
fn centroid(net: &Net) -> (f64, f64) {
    let (lo, _) = net.bounds().unwrap_or_default();
    let (mut area, mut mu, mut mv) = (0.0, 0.0, 0.0);
    for ring in net.rings() {
        for (a, b) in net::edges(ring) {
            let (au, av) = ((a.at.u - lo.u) as f64, (a.at.v - lo.v) as f64);
            let (bu, bv) = ((b.at.u - lo.u) as f64, (b.at.v - lo.v) as f64);
            let cross = au * bv - av * bu;
            area += cross;
            mu += cross * (au + bu);
            mv += cross * (av + bv);
        }
    }
    (lo.u as f64 + mu / (3.0 * area), lo.v as f64 + mv / (3.0 * area))
}

/// A frame with its zero at the least u and v of a field, the field in it, and its breadth in whole mm.
pub fn zeroed(frame: Frame, field: &[Region]) -> Option<(Frame, Net, Mm)> {
    let (lo, _) = Net::new(frame, field).bounds()?;
    let frame = frame.moved_to(lo);
    let net = Net::new(frame, field);
    let (_, hi) = net.bounds()?;
    Some((frame, net, up_to_mm(hi.v).max(1)))
}

/// Lays out the courses of a field; `None` when there would be more than any roof needs.
pub fn lay_out(field: &[Region], way: &Way) -> Option<ZoneCourses> {
    let mut net = Net::new(way.frame, field);
    let courses = across(&way.spacing, way.first)?;
    let mut lines: Vec<i64> = courses.iter().flat_map(|c| [c.from * UM, c.to * UM]).collect();
    lines.sort_unstable();
    lines.dedup();
    net.node_lines(&lines);
    let runs = needed_runs(&net, &courses);
    Some(ZoneCourses { frame: way.frame, field: net, courses, runs })
}

/// Courses over a breadth; `None` when there would be more than any roof needs.
pub fn across(spacing: &Spacing, first: First) -> Option<Vec<Course>> {
    let Spacing { breadth, width, .. } = *spacing;
    let pitch = spacing.pitch();
    if pitch <= 0 {
        return None;
    }
    let outside = if let First::Outside(mm) = first { mm } else { 0 };
    let count = spacing.courses(outside);
    if count > MOST_COURSES {
        return None;
    }
    let from = |k: Mm| match first {
        First::Outside(mm) => k * pitch - mm,
        First::GrownLaps => k * (breadth - width) / (count - 1).max(1),
    };
    let course = |(k, number)| Course { number, from: from(k), to: from(k) + width };
    Some((0..count).zip(1..).map(course).collect())
}

/// Where the first course starts on its side by the rule for a narrow last course, nothing else looked at.
pub fn plain(spacing: &Spacing, rule: NarrowCourse) -> First {
    let Spacing { breadth, width, .. } = *spacing;
    let (count, last) = (spacing.courses(0), spacing.last_cover(0));
    let least = spacing.least.min(width);
    let narrow = count > 1 && last < least;
    match rule {
        // Laps grown past half the roll would put three layers on one another: move the first course instead.
        NarrowCourse::GrowLaps if narrow && (breadth - width) / (count - 1) * 2 >= width => First::GrownLaps,
        NarrowCourse::Leave => First::Outside(0),
        _ if narrow => First::Outside(moved(width, least, last)),
        _ => First::Outside(0),
    }
}

/// How far the first course moves out so that the last is no narrower than the least strip; it keeps as much itself.
fn moved(width: Mm, least: Mm, last: Mm) -> Mm {
    (least - last).min(width - least).max(0).min(width - last)
}

/// Length of side laps, mm.
pub fn side_laps(courses: &ZoneCourses) -> Mm {
    (0..courses.courses.len())
        .flat_map(|k| courses.runs[k].iter().map(move |r| (k, r)))
        .map(|(k, r)| side_lap(courses, k, &r.part))
        .sum()
}

/// Length along which a run of course `k` lies under the next course, mm.
pub fn side_lap(courses: &ZoneCourses, k: usize, part: &Part) -> Mm {
    if k + 1 >= courses.courses.len() {
        return 0;
    }
    let line = courses.courses[k].to * UM;
    let own = net::runs_along(part, line);
    let above: Vec<[i64; 2]> = courses.runs[k + 1]
        .iter()
        .filter(|r| r.from * UM < own.last().map_or(i64::MIN, |i| i[1]))
        .map(|r| [r.from * UM, r.to * UM])
        .collect();
    net::shared(&own, &above) / UM
}

/// Runs of each course, less those that a neighbouring course covers with its lap.
fn needed_runs(field: &Net, courses: &[Course]) -> Vec<Vec<Run>> {
    let all: Vec<Vec<Part>> =
        courses.iter().map(|c| field.between(c.from * UM, c.to * UM, &Marks::new())).collect();
    let in_lap_before = |k: usize, part: &Part| {
        k > 0 && net::bounds(part).is_some_and(|(_, hi)| hi.v <= courses[k - 1].to * UM)
    };
    let covered_after = |k: usize, part: &Part| {
        let (Some(next), Some((lo, _))) = (courses.get(k + 1), net::bounds(part)) else { return false };
        lo.v >= next.from * UM
            && net::inner_place(part, i64::MIN / 4, i64::MAX / 4).is_some_and(|at: Place| {
                all[k + 1].iter().any(|other| !in_lap_before(k + 1, other) && net::holds(other, at))
            })
    };
    all.iter()
        .enumerate()
        .map(|(k, parts)| {
            parts.iter().filter(|p| !in_lap_before(k, p) && !covered_after(k, p)).filter_map(run).collect()
        })
        .collect()
}

fn run(part: &Part) -> Option<Run> {
    let (lo, hi) = net::bounds(part)?;
    let (from, to) = (down_to_mm(lo.u), up_to_mm(hi.u));
    Some(Run { part: part.clone(), from, to: to.max(from + 1) })
}

/// Area of loops, doubled, square micrometres.
pub fn doubled_area(part: &[Loop]) -> i128 {
    part.iter().map(|l| net::doubled_area_um(l)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(breadth: Mm, rule: NarrowCourse, froms: &[Mm]) {
        let spacing = Spacing { breadth, width: 1000, lap: 75, least: 300 };
        let courses = across(&spacing, plain(&spacing, rule)).unwrap();
        assert_eq!(courses.iter().map(|c| c.from).collect::<Vec<_>>(), froms);
        assert!(courses[0].from <= 0 && courses[courses.len() - 1].to >= breadth, "the breadth is covered");
    }

    #[test]
    fn a_narrow_last_course_is_avoided() {
        // Breadth 2000, pitch 925: the third course would be 150 wide, 300 is the least.
        check(2000, NarrowCourse::Leave, &[0, 925, 1850]);
        check(2000, NarrowCourse::MoveFirst, &[-150, 775, 1700]);
        check(2000, NarrowCourse::GrowLaps, &[0, 500, 1000]);
        // Laps would grow past half the roll: the first course moves instead.
        check(1950, NarrowCourse::GrowLaps, &[-200, 725, 1650]);
    }

    #[test]
    fn a_wide_last_course_stays() {
        check(2800, NarrowCourse::MoveFirst, &[0, 925, 1850]);
    }
}
