//! Zones: the parts of the decks that are laid in one direction, and the field of each.
//!
//! In: the checked model and the plan's zone settings. Out: zones, connected, parted at movement joints, changes of
//! level and drawn lines, each with a laying direction and the field its reinforcement must cover. Along a drawn line
//! the zone with the lower number reaches across by the end lap, so that the reinforcement laps there; along a joint
//! or a change of level nothing reaches across. It lays no course.

use crate::finding::{About, Finding};
use crate::geom::offset::{self, Banded};
use crate::geom::overlay::Contour;
use crate::geom::ring::{self, Side};
use crate::geom::{Pt, Region};
use crate::model::{Model, distance_to};
use crate::plan::{Direction, Id, Mm, Plan, StartSide};

/// A part of the deck laid in one direction.
#[derive(Clone, Debug)]
pub struct ZoneModel {
    /// Number, from 1.
    pub number: u32,
    /// Id of its deck in the plan.
    pub deck: Id,
    /// Its part of the deck.
    pub area: Region,
    /// What the reinforcement must cover.
    pub field: Vec<Region>,
    /// Laying directions on the plan that it may have, any length: one when it is held, else every direction of a wall
    /// and its normal, that of the longest wall first.
    pub directions: Vec<[f64; 2]>,
    /// Side of the first course.
    pub start: StartSide,
    /// How far the first course starts outside the field, where that is held, mm.
    pub first: Option<Mm>,
}

/// Corners this close to the straight between their neighbours do not end a wall, mm: they come from snapping.
const STRAIGHT: f64 = 1.0;

/// Parts the decks into zones and reckons their fields.
pub fn part(plan: &Plan, model: &Model, findings: &mut Vec<Finding>) -> Vec<ZoneModel> {
    let lines: Vec<Vec<Pt>> = model.lines.iter().map(|l| l.points.clone()).collect();
    let mut zones = Vec::new();
    for deck in &model.decks {
        let areas = model.canvas.slice(&deck.area, &lines);
        for (i, area) in areas.iter().enumerate() {
            let mut subject = model.canvas.rings(std::slice::from_ref(area));
            for later in &areas[i + 1..] {
                subject.extend(reach(area, later, plan.products.end_lap.max(plan.products.side_lap), model));
            }
            zones.push(ZoneModel {
                number: 0,
                deck: deck.id,
                area: area.clone(),
                field: model.canvas.difference(&subject, deck.barred.clone()),
                directions: vec![[1.0, 0.0]],
                start: StartSide::Best,
                first: None,
            });
        }
    }
    for (zone, number) in zones.iter_mut().zip(1..) {
        zone.number = number;
    }
    settle(plan, &mut zones, findings);
    zones
}

/// The strip of `later` along its shared drawn edges with `area`: where the reinforcement laps across.
fn reach(area: &Region, later: &Region, lap: Mm, model: &Model) -> Vec<Contour> {
    let drawn: Vec<&Vec<Pt>> = model.lines.iter().filter(|l| l.lapped).map(|l| &l.points).collect();
    if drawn.is_empty() {
        return Vec::new();
    }
    let on_drawn = |a: Pt, b: Pt| {
        drawn.iter().any(|line| {
            line.windows(2).any(|w| distance_to(a, w[0], w[1]) <= 1.5 && distance_to(b, w[0], w[1]) <= 1.5)
        })
    };
    let shared: Vec<Banded> = later
        .iter()
        .flat_map(|r| ring::edges(r))
        .filter(|&(a, b)| on_drawn(a, b) && borders(area, a, b))
        .map(|(a, b)| Banded { a, b, width: lap })
        .collect();
    let mut strips: Vec<Contour> =
        shared.iter().filter_map(offset::strip).map(|shape| model.canvas.shape(&shape)).collect();
    if strips.is_empty() {
        return strips;
    }
    for pair in shared.windows(2).filter(|w| w[0].b == w[1].a) {
        strips.extend(offset::bands(pair).iter().map(|shape| model.canvas.shape(shape)));
    }
    let within = model.canvas.intersection(&model.canvas.rings(std::slice::from_ref(later)), strips);
    model.canvas.rings(&within)
}

/// Whether the edge from `a` to `b` lies on the border of `area`.
fn borders(area: &Region, a: Pt, b: Pt) -> bool {
    let middle = Pt::new(i64::midpoint(a.x, b.x), i64::midpoint(a.y, b.y));
    area.iter().flat_map(|r| ring::edges(r)).any(|(c, d)| distance_to(middle, c, d) <= 1.5)
}

/// Gives each zone its direction and start side.
fn settle(plan: &Plan, zones: &mut [ZoneModel], findings: &mut Vec<Finding>) {
    let mut set: Vec<Option<Id>> = vec![None; zones.len()];
    for zone in zones.iter_mut() {
        zone.directions = all_directions(&zone.area);
    }
    for setting in &plan.zones {
        let id = setting.id;
        let Some(i) = zones.iter().position(|z| ring::locate_in(setting.at, &z.area) != Side::Outside) else {
            let text = format!("Zone setting {id} lies on no deck, so nothing follows it.");
            let mend = "Move it on to the part of the deck it is meant for, or delete it.";
            findings.push(Finding::warning("setting-off-deck", About::Plan(id), text, mend).at(setting.at));
            continue;
        };
        if let Some(first) = set[i] {
            let text =
                format!("Zone {} has two settings, {first} and {id}; the first holds.", zones[i].number);
            let mend = "Delete one of them, or draw a line between them.";
            findings.push(Finding::warning("setting-twice", About::Plan(id), text, mend).at(setting.at));
            continue;
        }
        set[i] = Some(id);
        zones[i].start = setting.start;
        zones[i].first = setting.first;
        match vector(setting.direction) {
            Some(direction) => zones[i].directions = vec![direction],
            None if setting.direction == Direction::LongestWall => {
                zones[i].directions = vec![longest_wall(&zones[i].area)];
            }
            None => {}
        }
    }
}

/// A set direction as a vector; `None` for the best one and for the longest wall.
#[allow(clippy::cast_precision_loss)]
fn vector(direction: Direction) -> Option<[f64; 2]> {
    match direction {
        Direction::Best | Direction::LongestWall => None,
        Direction::Along { from, to } => {
            (from != to).then(|| [(to.x - from.x) as f64, (to.y - from.y) as f64])
        }
        Direction::Angle { mdeg } => {
            let turned = mdeg.rem_euclid(360_000);
            // Exact on the axes, where the sine of a rounded pi would not be.
            Some(match turned {
                0 => [1.0, 0.0],
                90_000 => [0.0, 1.0],
                180_000 => [-1.0, 0.0],
                270_000 => [0.0, -1.0],
                _ => {
                    let angle = f64::from(turned) * core::f64::consts::PI / 180_000.0;
                    [libm::cos(angle), libm::sin(angle)]
                }
            })
        }
    }
}

/// Direction of the longest wall, points put on a straight wall notwithstanding.
#[allow(clippy::cast_precision_loss)]
fn longest_wall(area: &Region) -> [f64; 2] {
    let mut best = (0, [1.0, 0.0]);
    for ring in area {
        for (a, b) in straight_walls(ring) {
            let length = a.distance_squared(b);
            if length > best.0 {
                best = (length, [(b.x - a.x) as f64, (b.y - a.y) as f64]);
            }
        }
    }
    best.1
}

/// Directions closer than this are one, sine of the angle: a twentieth of a degree.
const ONE_DIRECTION: f64 = 0.000_9;

/// Most walls whose directions are tried: the longest.
const MOST_WALLS: usize = 32;

/// Walls in a row that turn a little each are a curve.
const CURVE_WALLS: usize = 6;

/// Steps in which directions are tried where an outline has curves, degrees.
const CURVE_STEP: u32 = 5;

/// Every direction of a wall and its normal, the longest wall's first; in steps all round where there are curves.
fn all_directions(area: &Region) -> Vec<[f64; 2]> {
    let longest = unit(longest_wall(area));
    let mut walls: Vec<([f64; 2], f64)> = Vec::new();
    let rings: Vec<Vec<(Pt, Pt)>> = area.iter().map(|ring| straight_walls(ring)).collect();
    for &(a, b) in rings.iter().flatten().filter(|(a, b)| a != b) {
        let length = a.distance(b);
        #[allow(clippy::cast_precision_loss)]
        let along = unit([(b.x - a.x) as f64, (b.y - a.y) as f64]);
        match walls.iter_mut().find(|(known, _)| cross(*known, along).abs() < ONE_DIRECTION) {
            Some((_, sum)) => *sum += length,
            None => walls.push((along, length)),
        }
    }
    walls.sort_by(|a, b| b.1.total_cmp(&a.1));
    walls.truncate(MOST_WALLS);
    let mut found = vec![longest];
    let mut add = |along: [f64; 2]| {
        if found.iter().all(|known| cross(*known, along).abs() >= ONE_DIRECTION) {
            found.push(along);
        }
    };
    for along in [longest].into_iter().chain(walls.into_iter().map(|(along, _)| along)) {
        add(along);
        add([-along[1], along[0]]);
    }
    if rings.iter().any(|walls| is_curved(walls)) {
        for step in 1..180 / CURVE_STEP {
            let angle = f64::from(step * CURVE_STEP) * core::f64::consts::PI / 180.0;
            let (sin, cos) = (libm::sin(angle), libm::cos(angle));
            add([longest[0] * cos - longest[1] * sin, longest[0] * sin + longest[1] * cos]);
        }
    }
    found
}

/// Whether walls turn the same way, a little each, several times in a row.
#[allow(clippy::cast_precision_loss)]
fn is_curved(walls: &[(Pt, Pt)]) -> bool {
    let along = |i: usize| {
        let (a, b) = walls[i % walls.len()];
        unit([(b.x - a.x) as f64, (b.y - a.y) as f64])
    };
    let mut in_a_row: (usize, bool) = (0, false);
    (0..walls.len() + CURVE_WALLS).any(|i| {
        let (one, two) = (along(i), along(i + 1));
        let turn = cross(one, two);
        let little = turn.abs() < 0.5 && one[0] * two[0] + one[1] * two[1] > 0.0;
        in_a_row = match in_a_row {
            (count, left) if little && (count == 0 || left == (turn > 0.0)) => (count + 1, turn > 0.0),
            _ if little => (1, turn > 0.0),
            _ => (0, false),
        };
        in_a_row.0 >= CURVE_WALLS
    })
}

fn unit(v: [f64; 2]) -> [f64; 2] {
    let length = (v[0] * v[0] + v[1] * v[1]).sqrt();
    if length > 0.0 { [v[0] / length, v[1] / length] } else { [1.0, 0.0] }
}

fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

/// The walls of a ring: runs of edges straight to within a fiftieth of a degree.
pub fn straight_walls(ring: &[Pt]) -> Vec<(Pt, Pt)> {
    let count = ring.len();
    let at = |i: usize| ring[i % count];
    let straight =
        |from: usize, to: usize| (from + 1..to).all(|i| distance_to(at(i), at(from), at(to)) <= STRAIGHT);
    // Start at a true corner, or a wall through the ring's first corner would be counted in two halves.
    let start = (0..count).find(|&i| !straight(i + count - 1, i + count + 1)).unwrap_or(0);
    let mut walls = Vec::new();
    let mut from = start;
    while from < start + count {
        let mut to = from + 1;
        while to < start + count && straight(from, to + 1) {
            to += 1;
        }
        walls.push((at(from), at(to)));
        from = to;
    }
    walls
}
