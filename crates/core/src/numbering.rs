//! Numbering: bays put in pouring order, and the numbers of bays and pieces given out.
//!
//! In: the zones as laid. Out: a layout with zones, bays and pieces, nothing cut from rolls and nothing added up. Bays
//! touch within a zone as their cells do, and across zones where they run side by side for a person's width.

use crate::cells::BayModel;
use crate::courses::ZoneCourses;
use crate::falls::ground::Ground;
use crate::geom::contact::{common_edges, may_touch};
use crate::geom::frame::{Frame, Place, UM};
use crate::geom::ring::{self, Side};
use crate::geom::spans::in_both;
use crate::geom::{Pt, Region};
use crate::layout::{self, Bay, Layout, Piece, Zone};
use crate::model::distance_to;
use crate::order::{self, Stop};
use crate::pieces::{PieceModel, ZonePieces};
use crate::plan::{Mm, Plan};
use crate::zones::ZoneModel;
use std::cmp::Ordering;

/// Results of one zone, not yet numbered.
#[derive(Clone, Debug)]
pub struct LaidZone {
    /// The zone.
    pub zone: ZoneModel,
    /// Its courses; none when nothing is laid.
    pub courses: Option<ZoneCourses>,
    /// Its pieces.
    pub pieces: ZonePieces,
    /// Its bays, the pieces of each in the order they are laid.
    pub bays: Vec<BayModel>,
    /// The deck, with the corners the bays share.
    pub deck: Vec<Region>,
}

/// Puts bays in a first workable order and gives out all numbers. Also told: the order, as indexes of the bays, zone by zone.
pub fn number(plan: &Plan, laid: &[LaidZone], ground: Option<&Ground>) -> (Layout, Vec<usize>) {
    let owners = owners(laid);
    let beside = all_beside(laid, &owners);
    let stops: Vec<Stop> = owners
        .iter()
        .zip(&beside)
        .map(|(&(z, b), beside)| Stop {
            at: laid[z].bays[b].label,
            beside: beside.clone(),
            from_way: from_ways(plan, &laid[z].bays[b].area),
            above: ground.map(|g| above(laid, &owners, g, (z, b), beside)).unwrap_or_default(),
        })
        .collect();
    let order = order::first_workable(&stops);
    (give_out(plan, laid, &beside, &order), order)
}

/// Gives out all numbers, the bays in a given order.
pub fn number_in(plan: &Plan, laid: &[LaidZone], order: &[usize]) -> Layout {
    give_out(plan, laid, &all_beside(laid, &owners(laid)), order)
}

/// Puts the pieces of each bay in the order they are laid; the order of the bays changes nothing about it.
pub fn put_pieces_in_order(laid: &mut LaidZone, ground: Option<&Ground>) {
    let pieces = &laid.pieces.pieces;
    for bay in &mut laid.bays {
        bay.pieces.sort_by_key(|&p| (pieces[p].course, pieces[p].from));
        if let (Some(ground), Some(courses)) = (ground, &laid.courses) {
            let own: Vec<&PieceModel> = bay.pieces.iter().map(|&p| &pieces[p]).collect();
            bay.pieces = low_first(courses, &own, ground).into_iter().map(|i| bay.pieces[i]).collect();
        }
    }
}

fn give_out(plan: &Plan, laid: &[LaidZone], beside: &[Vec<usize>], order: &[usize]) -> Layout {
    let owners = owners(laid);
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
    for &i in order {
        let (z, b) = owners[i];
        let bay = &laid[z].bays[b];
        let first = count(layout.pieces.len()) + 1;
        for piece in bay.pieces.iter().map(|&p| &laid[z].pieces.pieces[p]) {
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

/// The bays, zone by zone.
fn owners(laid: &[LaidZone]) -> Vec<(usize, usize)> {
    laid.iter().enumerate().flat_map(|(z, l)| (0..l.bays.len()).map(move |b| (z, b))).collect()
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

/// How far inside a lap its line is looked at, mm: its very edge is the edge of the piece on top.
pub(crate) const INSIDE: f64 = 1.5;

/// The pieces of a bay in the order they are laid, as places in the list: each before those that lie above it, as far as may
/// be.
fn low_first(courses: &ZoneCourses, own: &[&PieceModel], ground: &Ground) -> Vec<usize> {
    let mut above = vec![Vec::new(); own.len()];
    for (i, one) in own.iter().enumerate() {
        for (j, two) in own.iter().enumerate().skip(i + 1) {
            let more = facing(courses, ground, [one, two]) - facing(courses, ground, [two, one]);
            match more.total_cmp(&0.0) {
                Ordering::Greater => above[i].push((j, more)),
                Ordering::Less => above[j].push((i, -more)),
                Ordering::Equal => {}
            }
        }
    }
    order::low_first(&above, |_, _| true)
}

/// How much of the lap of two pieces faces the water, less how much sheds it, when the second lies on top, mm. Both are
/// taken as laid: where the edge of the field cuts a lap short, most of its breadth is not there.
fn facing(courses: &ZoneCourses, ground: &Ground, [under, top]: [&PieceModel; 2]) -> f64 {
    let Some((a, b, towards)) = lap(under, top) else { return 0.0 };
    let [a, b] = [a, b].map(|place| courses.frame.plan_place(place));
    let (along, across) = courses.frame.axes();
    let towards = [0, 1].map(|k| towards[0] * along[k] + towards[1] * across[k]);
    let spans = in_both(a, b, &under.as_laid, &top.as_laid);
    spans.into_iter().map(|(a, b)| ground.balance(a, b, towards)).sum()
}

/// The line of the lap of two pieces in the frame, along the edge of the one on top, and the way from there to the one
/// under it: chainage or offset.
fn lap(under: &PieceModel, top: &PieceModel) -> Option<(Place, Place, [f64; 2])> {
    let (from, to) = (under.from.max(top.from), under.to.min(top.to));
    let (lo, hi) = (under.across[0].max(top.across[0]), under.across[1].min(top.across[1]));
    if from >= to || lo >= hi {
        return None;
    }
    if under.course.abs_diff(top.course) == 1 {
        let v = edge_within(lo, hi, top.course > under.course);
        let sign = if top.course > under.course { -1.0 } else { 1.0 };
        return Some((Place { u: from * UM, v }, Place { u: to * UM, v }, [0.0, sign]));
    }
    (under.course == top.course && under.from != top.from).then(|| {
        let u = edge_within(from, to, top.from > under.from);
        let sign = if top.from > under.from { -1.0 } else { 1.0 };
        (Place { u, v: lo * UM }, Place { u, v: hi * UM }, [sign, 0.0])
    })
}

/// Just inside the lower or the upper end of a breadth in mm, micrometres.
#[allow(clippy::cast_possible_truncation)]
fn edge_within(from: Mm, to: Mm, lower: bool) -> i64 {
    let inside = ((INSIDE * 1000.0) as i64).min((to - from) * UM / 2);
    if lower { from * UM + inside } else { to * UM - inside }
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
                && may_touch(bounds[i], bounds[j])
                && touch(&laid[owners[i].0].bays[owners[i].1].area, &laid[owners[j].0].bays[owners[j].1].area)
            {
                beside[i].push(j);
                beside[j].push(i);
            }
        }
    }
    beside
}

/// Two areas touch when they run side by side for a person's width or more, mm.
const PERSON: f64 = 500.0;

fn touch(one: &[Region], two: &[Region]) -> bool {
    let length = |(a, b, _): ([f64; 2], [f64; 2], [f64; 2])| {
        let d = [b[0] - a[0], b[1] - a[1]];
        (d[0] * d[0] + d[1] * d[1]).sqrt()
    };
    common_edges(one, two).into_iter().map(length).sum::<f64>() >= PERSON
}

/// Distance of an area from the nearest way off, mm; from nothing when there is no way off.
fn from_ways(plan: &Plan, area: &[Region]) -> f64 {
    let nearest = plan.ways.iter().map(|w| distance_of(w.at, area)).fold(f64::INFINITY, f64::min);
    if nearest.is_finite() { nearest } else { 0.0 }
}

/// Distance of a place from an area, mm; 0 inside it.
pub fn distance_of(place: Pt, area: &[Region]) -> f64 {
    if area.iter().any(|r| ring::locate_in(place, r) != Side::Outside) {
        return 0.0;
    }
    let edges = area.iter().flatten().flat_map(|r| ring::edges(r));
    edges.map(|(a, b)| distance_to(place, a, b)).fold(f64::INFINITY, f64::min)
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
