//! Numbering: bays put in pouring order, and the numbers of bays and pieces given out.
//!
//! In: the zones as laid. Out: a layout with zones, bays and pieces, nothing cut from rolls and nothing added up. Bays
//! touch within a zone as their cells do, and across zones where they run side by side for a person's width.

use crate::cells::BayModel;
use crate::courses::ZoneCourses;
use crate::falls::ground::Ground;
use crate::geom::contact::common_edges;
use crate::geom::frame::{Frame, Place, UM};
use crate::geom::ring::{self, Side};
use crate::geom::{Pt, Region};
use crate::layout::{self, Bay, Layout, Piece, Zone};
use crate::model::distance_to;
use crate::order::{self, Stop};
use crate::pieces::{PieceModel, ZonePieces};
use crate::plan::{Mm, Plan};
use crate::zones::ZoneModel;

/// Results of one zone, not yet numbered.
#[derive(Clone, Debug)]
pub struct LaidZone {
    /// The zone.
    pub zone: ZoneModel,
    /// Its courses; none when nothing is laid.
    pub courses: Option<ZoneCourses>,
    /// Its pieces.
    pub pieces: ZonePieces,
    /// Its bays.
    pub bays: Vec<BayModel>,
    /// The deck, with the corners the bays share.
    pub deck: Vec<Region>,
}

/// Puts bays in order and gives out all numbers.
pub fn number(plan: &Plan, laid: &[LaidZone], ground: Option<&Ground>) -> Layout {
    let owners: Vec<(usize, usize)> =
        laid.iter().enumerate().flat_map(|(z, l)| (0..l.bays.len()).map(move |b| (z, b))).collect();
    let beside = all_beside(laid, &owners);
    let stops: Vec<Stop> = owners
        .iter()
        .zip(&beside)
        .map(|(&(z, b), beside)| Stop {
            at: laid[z].bays[b].label,
            beside: beside.clone(),
            from_way: from_way(plan, &laid[z].bays[b].area),
            above: ground.map(|g| above(laid, &owners, g, (z, b), beside)).unwrap_or_default(),
        })
        .collect();
    let order = order::first_workable(&stops);
    let mut number_of = vec![0_u32; owners.len()];
    for (&i, number) in order.iter().zip(1..) {
        number_of[i] = number;
    }
    let mut layout = Layout {
        format: layout::FORMAT.to_owned(),
        version: layout::VERSION,
        job: plan.job.name.clone(),
        zones: laid.iter().map(zone_out).collect(),
        ..Layout::default()
    };
    for &i in &order {
        let (z, b) = owners[i];
        let bay = &laid[z].bays[b];
        let first = count(layout.pieces.len()) + 1;
        let mut own: Vec<&PieceModel> = bay.pieces.iter().map(|&p| &laid[z].pieces.pieces[p]).collect();
        let [across, along] = ground.map_or([false; 2], |g| downhill(&laid[z], &own, g));
        own.sort_by_key(|p| (turned(p.course, across), turned(p.from, along)));
        for piece in own {
            let number = count(layout.pieces.len()) + 1;
            layout.pieces.push(piece_out(&laid[z], piece, number, number_of[i]));
        }
        layout.bays.push(Bay {
            number: number_of[i],
            zone: laid[z].zone.number,
            courses: [count(bay.courses[0]) + 1, count(bay.courses[1]) + 1],
            area: bay.area.clone(),
            size: bay.size,
            length: bay.length,
            pieces: (first..=count(layout.pieces.len())).collect(),
            label: bay.label,
            beside: sorted(beside[i].iter().map(|&j| number_of[j]).collect()),
        });
    }
    layout
}

/// For each bay beside one: how much of their common edge it lies above, mm.
fn above(
    laid: &[LaidZone],
    owners: &[(usize, usize)],
    ground: &Ground,
    own: (usize, usize),
    beside: &[usize],
) -> Vec<f64> {
    let area = |(z, b): (usize, usize)| &laid[z].bays[b].area;
    let edge = |&other: &usize| {
        let edges = common_edges(area(own), area(owners[other]));
        edges.into_iter().map(|(a, b, towards)| ground.balance(a, b, towards)).sum::<f64>().max(0.0)
    };
    beside.iter().map(edge).collect()
}

/// Whether the level falls from course to course, and along the courses, over the laps of a bay: then the last course, or
/// the last piece of a course, is laid first.
fn downhill(laid: &LaidZone, own: &[&PieceModel], ground: &Ground) -> [bool; 2] {
    let Some(courses) = &laid.courses else { return [false; 2] };
    let frame = courses.frame;
    let at = |u: Mm, v: Mm| frame.plan_place(Place { u: u * UM, v: v * UM });
    let (along, across) = frame.axes();
    let mut rises = [0.0; 2];
    for piece in own {
        let [lo, hi] = piece.across;
        if own.iter().any(|p| p.course + 1 == piece.course && p.from < piece.to && p.to > piece.from) {
            rises[0] += ground.balance(at(piece.from, lo), at(piece.to, lo), across);
        }
        if piece.lap_from > 0 {
            rises[1] += ground.balance(at(piece.from, lo), at(piece.from, hi), along);
        }
    }
    rises.map(|rise| rise < 0.0)
}

/// A key that sorts from the far end when asked to.
fn turned<T: TryInto<i64>>(key: T, from_far_end: bool) -> i64 {
    let key = key.try_into().unwrap_or(0);
    if from_far_end { -key } else { key }
}

fn sorted(mut list: Vec<u32>) -> Vec<u32> {
    list.sort_unstable();
    list.dedup();
    list
}

pub(crate) fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

pub(crate) fn half(doubled: i128) -> i64 {
    i64::try_from(doubled / 2).unwrap_or(i64::MAX)
}

/// Which bays touch, within zones and across their borders.
fn all_beside(laid: &[LaidZone], owners: &[(usize, usize)]) -> Vec<Vec<usize>> {
    let index = |z: usize, b: usize| owners.partition_point(|&o| o < (z, b));
    let mut beside: Vec<Vec<usize>> =
        owners.iter().map(|&(z, b)| laid[z].bays[b].beside.iter().map(|&c| index(z, c)).collect()).collect();
    let bounds: Vec<Option<(Pt, Pt)>> =
        owners.iter().map(|&(z, b)| ring::bounds(laid[z].bays[b].area.iter().flatten().flatten())).collect();
    for i in 0..owners.len() {
        for j in i + 1..owners.len() {
            if owners[i].0 != owners[j].0
                && near(bounds[i], bounds[j])
                && touch(&laid[owners[i].0].bays[owners[i].1].area, &laid[owners[j].0].bays[owners[j].1].area)
            {
                beside[i].push(j);
                beside[j].push(i);
            }
        }
    }
    beside
}

/// Bays of two zones whose edges come this close touch, mm.
const TOUCHING: Mm = 3;

fn near(one: Option<(Pt, Pt)>, two: Option<(Pt, Pt)>) -> bool {
    let (Some((a, b)), Some((c, d))) = (one, two) else { return false };
    a.x - TOUCHING <= d.x && c.x - TOUCHING <= b.x && a.y - TOUCHING <= d.y && c.y - TOUCHING <= b.y
}

/// Whether two areas run side by side for a person's width or more.
#[allow(clippy::cast_precision_loss)]
fn touch(one: &[Region], two: &[Region]) -> bool {
    const PERSON: f64 = 500.0;
    let edges = |area: &[Region]| -> Vec<(Pt, Pt)> {
        area.iter().flatten().flat_map(|r| ring::edges(r).collect::<Vec<_>>()).collect()
    };
    let (one, two) = (edges(one), edges(two));
    let side_by_side = |(a, b): (Pt, Pt), (c, d): (Pt, Pt)| -> f64 {
        let length = a.distance(b);
        let on = |p: Pt| -> Option<f64> {
            let off = (a.turn(b, p) as f64).abs() / length;
            (off <= TOUCHING as f64).then(|| a.dot(b, p) as f64 / length)
        };
        match (on(c), on(d)) {
            (Some(s), Some(t)) => (s.max(t).min(length) - s.min(t).max(0.0)).max(0.0),
            _ => 0.0,
        }
    };
    one.iter().map(|&e| two.iter().map(|&f| side_by_side(e, f)).sum::<f64>()).sum::<f64>() >= PERSON
}

/// Distance of an area from the nearest way off, mm; from nothing when there is no way off.
fn from_way(plan: &Plan, area: &[Region]) -> f64 {
    let to_area = |p: Pt| {
        if area.iter().any(|r| ring::locate_in(p, r) != Side::Outside) {
            return 0.0;
        }
        let edges = area.iter().flatten().flat_map(|r| ring::edges(r));
        edges.map(|(a, b)| distance_to(p, a, b)).fold(f64::INFINITY, f64::min)
    };
    let nearest = plan.ways.iter().map(|w| to_area(w.at)).fold(f64::INFINITY, f64::min);
    if nearest.is_finite() { nearest } else { 0.0 }
}

fn zone_out(laid: &LaidZone) -> Zone {
    let frame = laid.courses.as_ref().map_or_else(
        || {
            Frame::new(
                laid.zone.area.first().and_then(|r| r.first()).copied().unwrap_or_default(),
                [1.0, 0.0],
            )
        },
        |c| c.frame,
    );
    Zone {
        number: laid.zone.number,
        deck: laid.zone.deck,
        frame: frame.to_layout(),
        direction_mdeg: frame.direction_mdeg(),
        area: laid.deck.clone(),
        field: laid.pieces.field.clone(),
        courses: laid.courses.as_ref().map(|c| c.courses.clone()).unwrap_or_default(),
    }
}

fn piece_out(laid: &LaidZone, piece: &PieceModel, number: u32, bay: u32) -> Piece {
    let courses = laid.courses.as_ref().map(|c| c.courses.as_slice()).unwrap_or_default();
    let course = courses[piece.course];
    let beside =
        |k: usize| laid.pieces.pieces.iter().any(|p| p.course == k && p.from < piece.to && p.to > piece.from);
    let before =
        piece.course.checked_sub(1).filter(|&k| beside(k)).map_or(0, |k| courses[k].to - course.from);
    let after = Some(piece.course + 1).filter(|&k| k < courses.len() && beside(k));
    Piece {
        number,
        zone: laid.zone.number,
        bay,
        course: course.number,
        from: piece.from,
        to: piece.to,
        across: piece.across,
        length: piece.to - piece.from,
        lap_from: piece.lap_from,
        lap_to: piece.lap_to,
        lap_before: before,
        lap_after: after.map_or(0, |k| course.to - courses[k].from),
        as_laid: piece.as_laid.clone(),
        area: piece.area,
        roll: 0,
        roll_from: 0,
        roll_across: 0,
    }
}
