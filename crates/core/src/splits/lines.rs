//! Where a zone might be split: the lines worth trying in one zone.
//!
//! In: the area of a zone. Out: cuts, each of one line or more that together part the area, the most telling corners
//! first. Lines run from re-entrant corners, and from corners of large openings, on along a wall there, or to another
//! such corner in sight when that is along some wall. They end at the edge of the zone, and stop at an opening and go on
//! beyond it. It weighs nothing: what a cut saves is for [`super`] to find.
//!
//! ```text
//!   +-------+              C: re-entrant corner; both walls at it are drawn on
//!   |       |
//!   |       C-----------+
//!   |       :           |
//!   +-------------------+
//! ```

use crate::geom::ring::{self, Side};
use crate::geom::{Pt, Region};
use crate::model::distance_to;
use crate::plan::Mm;
use crate::zones::straight_walls;

/// Lines that part a zone when they are drawn together; each has two ends.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cut {
    /// The lines. One line of sight broken by openings is several.
    pub lines: Vec<Vec<Pt>>,
}

/// A corner closer to a line than this is taken to be on it, mm: nobody wants a strip of zone narrower than that.
const NEAR: f64 = 30.0;

/// A corner is re-entrant when its walls turn by more than this, sine of the angle: 20 degrees. Less is a curve.
const TURN: f64 = 0.34;

/// Walls within this are parallel, sine of the angle: a third of a degree.
const PARALLEL: f64 = 0.006;

/// An opening is a reason for a split when it is at least so many rolls across either way.
const LARGE_OPENING: Mm = 4;

/// A re-entrant corner with the walls that meet in it.
#[derive(Clone, Copy, Debug)]
struct Corner {
    at: Pt,
    /// Ring of the zone: 0 is its outer one.
    ring: usize,
    /// Unit vectors along its walls, on beyond the corner: of the wall before it and of the wall after it.
    on: [[f64; 2]; 2],
    /// Length of the shorter of the two walls, mm.
    reach: f64,
}

/// A line from a corner to the outer edge of the zone, openings left out.
#[derive(Clone, Debug)]
struct Sight {
    from: Corner,
    along: [f64; 2],
    lines: Vec<Vec<Pt>>,
}

/// The cuts of a zone, at most `most`, those at the corners of longer walls first. `width` is that of the narrowest roll.
pub fn cuts(area: &Region, width: Mm, most: usize) -> Vec<Cut> {
    let walls: Vec<Vec<(Pt, Pt)>> = area.iter().map(|ring| straight_walls(ring)).collect();
    let corners = corners(area, &walls, width);
    let mut sights: Vec<Sight> = Vec::new();
    for corner in &corners {
        let at_walls = corner.on.into_iter();
        for along in at_walls.chain(towards_others(corner, &corners, &walls)) {
            let known = |s: &&Sight| {
                s.from.at == corner.at && cross(s.along, along).abs() < PARALLEL && dot(s.along, along) > 0.0
            };
            if sights.iter().any(|s| known(&s)) {
                continue;
            }
            sights.extend(sight(area, corner.at, along).map(|lines| Sight { from: *corner, along, lines }));
        }
    }
    let mut found: Vec<(f64, Cut)> = Vec::new();
    for (i, one) in sights.iter().enumerate() {
        let outer = one.from.ring == 0;
        if outer {
            found.push((one.from.reach, cut([one])));
        }
        for two in sights[i + 1..].iter().filter(|s| s.from.ring == one.from.ring && s.from.at != one.from.at)
        {
            // In line, they are one line to whoever reads the plan; side by side, they take a leg off at both its ends. A
            // line from an opening parts nothing by itself: it takes another one from the same opening.
            let parallel = cross(one.along, two.along).abs() < PARALLEL;
            let in_line = parallel && cross(one.along, unit(one.from.at, two.from.at)).abs() < PARALLEL;
            let reach = one.from.reach.min(two.from.reach);
            if in_line {
                found.push((reach, cut([one, two])));
            } else if parallel || !outer {
                found.push((reach / 4.0, cut([one, two])));
            }
        }
    }
    // To the mm, so that turning the job does not change the order.
    found.sort_by(|a, b| b.0.round().total_cmp(&a.0.round()).then_with(|| a.1.cmp(&b.1)));
    let mut cuts: Vec<Cut> = Vec::new();
    for (_, cut) in found {
        if cuts.len() < most && !cuts.iter().any(|known| same(known, &cut)) && !crossed(&cut) {
            cuts.push(cut);
        }
    }
    cuts
}

fn cut<const N: usize>(sights: [&Sight; N]) -> Cut {
    let mut lines: Vec<Vec<Pt>> = sights.iter().flat_map(|s| s.lines.iter().cloned()).collect();
    for line in &mut lines {
        line.sort();
    }
    lines.sort();
    lines.dedup();
    Cut { lines }
}

/// Whether two cuts are the same to within what counts as near.
fn same(one: &Cut, two: &Cut) -> bool {
    let near = |a: &[Pt], b: &[Pt]| {
        let ends = |c: Pt, d: Pt| a[0].distance(c) <= NEAR && a[1].distance(d) <= NEAR;
        ends(b[0], b[1]) || ends(b[1], b[0])
    };
    one.lines.len() == two.lines.len() && one.lines.iter().all(|a| two.lines.iter().any(|b| near(a, b)))
}

/// Whether lines of a cut cross one another: then a simpler cut does.
fn crossed(cut: &Cut) -> bool {
    let apart = |a: &[Pt], b: &[Pt]| {
        (a[0].turn(a[1], b[0]) > 0) != (a[0].turn(a[1], b[1]) > 0)
            && (b[0].turn(b[1], a[0]) > 0) != (b[0].turn(b[1], a[1]) > 0)
    };
    let touching = |a: &[Pt], b: &[Pt]| a.iter().any(|p| b.iter().any(|q| p.distance(*q) <= NEAR));
    cut.lines
        .iter()
        .enumerate()
        .any(|(i, a)| cut.lines[i + 1..].iter().any(|b| apart(a, b) && !touching(a, b)))
}

/// The corners that a split may start from: re-entrant, between walls no shorter than a roll is wide, and of openings
/// only the large ones.
fn corners(area: &Region, walls: &[Vec<(Pt, Pt)>], width: Mm) -> Vec<Corner> {
    let mut corners = Vec::new();
    for (ring, walls) in walls.iter().enumerate() {
        if ring > 0 && !is_large(&area[ring], walls, width) {
            continue;
        }
        for (i, &(a, b)) in walls.iter().enumerate() {
            let c = walls[(i + 1) % walls.len()].1;
            let (before, after) = (unit(a, b), unit(c, b));
            let reach = a.distance(b).min(b.distance(c));
            #[allow(clippy::cast_precision_loss)]
            let long = reach >= width as f64;
            // The zone is on the left of its walls: a turn to the right is re-entrant.
            if long && cross(before, unit(b, c)) < -TURN {
                corners.push(Corner { at: b, ring, on: [before, after], reach });
            }
        }
    }
    corners
}

/// Whether an opening is several rolls across, measured along its walls.
#[allow(clippy::cast_precision_loss)]
fn is_large(ring: &[Pt], walls: &[(Pt, Pt)], width: Mm) -> bool {
    let least = (LARGE_OPENING * width) as f64;
    let Some(&(a, b)) = walls.iter().max_by_key(|(a, b)| a.distance_squared(*b)) else { return false };
    let along = unit(a, b);
    let extent = |axis: [f64; 2]| {
        let places = || ring.iter().map(|&p| dot(axis, vector(a, p)));
        places().fold(f64::MIN, f64::max) - places().fold(f64::MAX, f64::min)
    };
    extent(along) >= least && extent([-along[1], along[0]]) >= least
}

/// Directions from a corner to others that lie along some wall of the zone, but not along one at the corner.
fn towards_others(corner: &Corner, corners: &[Corner], walls: &[Vec<(Pt, Pt)>]) -> Vec<[f64; 2]> {
    let along_a_wall =
        |along: [f64; 2]| walls.iter().flatten().any(|&(a, b)| cross(unit(a, b), along).abs() < PARALLEL);
    let others = corners.iter().filter(|other| other.at != corner.at).map(|other| unit(corner.at, other.at));
    others.filter(|&along| along_a_wall(along)).collect()
}

/// A place where a line of sight meets the edge.
#[derive(Clone, Copy, Debug)]
struct Stop {
    /// How far along, mm.
    ahead: f64,
    at: Pt,
    outer: bool,
}

/// The line from a corner on to the outer edge of the zone, without what lies in openings; `None` when it does not lead
/// into the zone.
fn sight(area: &Region, from: Pt, along: [f64; 2]) -> Option<Vec<Vec<Pt>>> {
    let mut lines: Vec<Vec<Pt>> = Vec::new();
    let mut last = (0.0, from);
    for stop in stops(area, from, along) {
        let inside = leads_inside(area, from, along, f64::midpoint(last.0, stop.ahead));
        if inside {
            lines.push(vec![last.1, stop.at]);
        } else if lines.is_empty() {
            return None;
        }
        if stop.outer {
            return (!lines.is_empty()).then_some(lines);
        }
        last = (stop.ahead, stop.at);
    }
    None
}

/// Whether the line is inside the zone, and not merely beside its edge, at a distance from its start.
#[allow(clippy::cast_possible_truncation)]
fn leads_inside(area: &Region, from: Pt, along: [f64; 2], ahead: f64) -> bool {
    let at = Pt::new(from.x + (along[0] * ahead).round() as i64, from.y + (along[1] * ahead).round() as i64);
    ring::locate_in(at, area) == Side::Inside
        && area.iter().flat_map(|r| ring::edges(r)).all(|(a, b)| distance_to(at, a, b) > NEAR)
}

/// Where a line meets the edge of a zone, nearest first. Where it passes near a corner it is taken through it.
#[allow(clippy::cast_possible_truncation)]
fn stops(area: &Region, from: Pt, along: [f64; 2]) -> Vec<Stop> {
    let mut stops: Vec<Stop> = Vec::new();
    for (i, ring) in area.iter().enumerate() {
        let outer = i == 0;
        for (a, b) in ring::edges(ring) {
            let (off, next) = (cross(along, vector(from, a)), cross(along, vector(from, b)));
            let (ahead, beyond) = (dot(along, vector(from, a)), dot(along, vector(from, b)));
            if off.abs() <= NEAR {
                stops.push(Stop { ahead, at: a, outer });
            } else if next.abs() > NEAR && (off > 0.0) != (next > 0.0) {
                let ahead = ahead + (beyond - ahead) * off / (off - next);
                let at = |from: i64, along: f64| from + (along * ahead).round() as i64;
                stops.push(Stop { ahead, at: Pt::new(at(from.x, along[0]), at(from.y, along[1])), outer });
            }
        }
    }
    stops.retain(|s| s.ahead > NEAR);
    stops.sort_by(|a, b| a.ahead.total_cmp(&b.ahead).then_with(|| a.at.cmp(&b.at)));
    stops
}

#[allow(clippy::cast_precision_loss)]
fn vector(a: Pt, b: Pt) -> [f64; 2] {
    [(b.x - a.x) as f64, (b.y - a.y) as f64]
}

fn unit(a: Pt, b: Pt) -> [f64; 2] {
    let [x, y] = vector(a, b);
    let length = (x * x + y * y).sqrt();
    if length > 0.0 { [x / length, y / length] } else { [0.0, 0.0] }
}

fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}
