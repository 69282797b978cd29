//! Courses: where the runs of roll lie across a zone, and where each has something to cover.
//!
//! In: a zone and the roll. Out: the zone's working frame (zero at the first place of the field), the offsets of its
//! courses in whole mm, and in each course its runs: the connected parts of course ∩ field. Neighbouring courses overlap
//! by the side lap or more; first and last course are no narrower than the least strip. A run that lies wholly in the
//! lap of a neighbouring course is covered by that course already and is left out. It splits no run into pieces.

use crate::finding::{About, Finding};
use crate::geom::frame::{Frame, Place, UM};
use crate::geom::net::{self, Loop, Marks, Net, Part};
use crate::geom::{Pt, ring};
use crate::layout::Course;
use crate::plan::{Mm, NarrowCourse, Products, StartSide};
use crate::zones::ZoneModel;

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

/// What snapping may put on either side of a whole mm, micrometres: not worth another mm of roll.
pub const HAIR: i64 = 20;

/// More courses than any roof needs: a roll barely wider than its lap would otherwise be laid for ever.
const MOST_COURSES: Mm = 20_000;

/// Lays out the courses of a zone; `None` when there is nothing to cover or no way to cover it.
pub fn lay_out(zone: &ZoneModel, products: &Products, findings: &mut Vec<Finding>) -> Option<ZoneCourses> {
    let place = zone.area.first().and_then(|r| r.first()).copied().unwrap_or_default();
    if zone.field.is_empty() {
        let text = format!("Zone {} has no room for reinforcement between its upstands.", zone.number);
        let mend = "Cover it with detail work, or make the clear strips narrower.";
        findings.push(Finding::warning("no-field", About::Zone(zone.number), text, mend).at(place));
        return None;
    }
    let width = products.rolls.first().map_or(0, |r| r.width);
    let (start, lower) = (canonical(zone), width.min(products.side_lap.max(0)));
    let sides: Vec<Frame> = match zone.start {
        StartSide::Right => vec![start.right],
        StartSide::Left => vec![start.right.flip_across()],
        StartSide::Best => vec![start.first, start.first.flip_across()],
    };
    if width <= lower {
        return None;
    }
    let tried = sides.into_iter().filter_map(|frame| try_side(zone, frame, products, width));
    let best = tried.min_by_key(|c| (cut_length(c), c.runs.iter().map(Vec::len).sum::<usize>()));
    if best.is_none() {
        let text = format!("Zone {} would need more than {MOST_COURSES} courses.", zone.number);
        let mend = "Check the roll width and the side lap.";
        findings.push(Finding::error("too-many-courses", About::Zone(zone.number), text, mend).at(place));
    }
    best
}

fn cut_length(courses: &ZoneCourses) -> Mm {
    courses.runs.iter().flatten().map(|r| r.to - r.from).sum()
}

/// Frames that do not depend on how the job is turned or mirrored.
struct Sides {
    /// v grows from the right of the laying direction as it was given.
    right: Frame,
    /// v grows from the side that more of the field lies on.
    first: Frame,
}

/// Frames with axes that follow the shape of the field: the heavier half comes first along u and v.
fn canonical(zone: &ZoneModel) -> Sides {
    let (base, _) = ring::bounds(zone.area.iter().flatten()).unwrap_or((Pt::default(), Pt::default()));
    let frame = Frame::new(base, zone.direction);
    let net = Net::new(frame, &zone.field);
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

fn try_side(zone: &ZoneModel, frame: Frame, products: &Products, width: Mm) -> Option<ZoneCourses> {
    let (lo, _) = Net::new(frame, &zone.field).bounds()?;
    let frame = frame.moved_to(lo);
    let mut field = Net::new(frame, &zone.field);
    let (_, hi) = field.bounds()?;
    let breadth = up_to_mm(hi.v).max(1);
    let courses = across(breadth, width, products)?;
    let mut lines: Vec<i64> = courses.iter().flat_map(|c| [c.from * UM, c.to * UM]).collect();
    lines.sort_unstable();
    lines.dedup();
    field.node_lines(&lines);
    let runs = needed_runs(&field, &courses);
    Some(ZoneCourses { frame, field, courses, runs })
}

/// The next whole mm, a hair's breadth forgiven.
pub fn up_to_mm(um: i64) -> Mm {
    (um - HAIR).div_euclid(UM) + i64::from((um - HAIR).rem_euclid(UM) > 0)
}

/// The whole mm before, a hair's breadth forgiven.
pub fn down_to_mm(um: i64) -> Mm {
    (um + HAIR).div_euclid(UM)
}

/// Course offsets over a breadth: `ceil((breadth - lap) / (width - lap))` courses, none narrower than the least strip.
pub fn across(breadth: Mm, width: Mm, products: &Products) -> Option<Vec<Course>> {
    let lap = products.side_lap.max(0);
    let pitch = width - lap;
    if pitch <= 0 {
        return None;
    }
    let count = ((breadth - lap).max(1) + pitch - 1) / pitch;
    if count > MOST_COURSES {
        return None;
    }
    let last = breadth - (count - 1) * pitch;
    let least = products.least_strip.min(width);
    let grown = (breadth - width) / (count - 1).max(1);
    let narrow = count > 1 && last < least;
    let starts: Vec<Mm> = match products.narrow_course {
        // Laps grown past half the roll would put three layers on one another: move the first course instead.
        NarrowCourse::GrowLaps if narrow && grown * 2 >= width => {
            (0..count).map(|k| k * (breadth - width) / (count - 1)).collect()
        }
        NarrowCourse::Leave => (0..count).map(|k| k * pitch).collect(),
        _ if narrow => (0..count).map(|k| k * pitch - moved(width, least, last)).collect(),
        _ => (0..count).map(|k| k * pitch).collect(),
    };
    Some(
        starts.into_iter().zip(1..).map(|(from, number)| Course { number, from, to: from + width }).collect(),
    )
}

/// How far the first course moves out so that the last is no narrower than the least strip; it keeps as much itself.
fn moved(width: Mm, least: Mm, last: Mm) -> Mm {
    (least - last).min(width - least).max(0).min(width - last)
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
        let products = Products { narrow_course: rule, ..Products::default() };
        let courses = across(breadth, 1000, &products).unwrap();
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
