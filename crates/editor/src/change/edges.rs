//! Changes of edges: kind, place and length.
//!
//! In: a thing and the number of an edge. Out: the thing changed, or one sentence. Moving an edge keeps the directions
//! of the edge and of its two neighbours; corners are rounded to whole millimetres once, at the end.
//!
//! ```text
//!        q            an edge a-b moved to a'-b': p-a and b-q keep their lines
//!    b'--+--b
//!    |      |
//!    a'--+--a
//!        p
//! ```

use super::FixedEnd;
use crate::thing::Thing;
use baylap_core::geom::Pt;
use baylap_core::plan::{Edge, Mm};

/// Sine of the angle below which two edges count as parallel: stretching them would send the corner away.
const PARALLEL: f64 = 0.03;

/// Sets what stands along edge `edge`.
pub(super) fn set_kind(thing: &mut Thing, edge: u32, kind: &Edge) -> Result<(), String> {
    let problem = no_edge(thing, edge);
    let corner = thing.ring_mut().and_then(|ring| ring.get_mut(edge as usize)).ok_or(problem)?;
    corner.edge = kind.clone();
    Ok(())
}

/// Sets what stands along every edge.
pub(super) fn set_all_kinds(thing: &mut Thing, kind: &Edge) -> Result<(), String> {
    let problem = no_edge(thing, 0);
    thing.ring_mut().ok_or(problem)?.iter_mut().for_each(|corner| corner.edge = kind.clone());
    Ok(())
}

/// Moves edge `edge` by so much to the left of its direction.
pub(super) fn shift(thing: &mut Thing, edge: u32, by: Mm) -> Result<(), String> {
    let (points, closed) = (thing.points(), thing.closed());
    let (a, b) = ends(thing, edge)?;
    let (from, to) = (vector(points[a]), vector(points[b]));
    let along = unit(from, to).ok_or_else(|| no_length(thing, edge))?;
    let off = mul([-along[1], along[0]], exact(by));
    let before = neighbour(&points, closed, a, -1);
    let after = neighbour(&points, closed, b, 1);
    let new_a = slide(from, off, along, before);
    let new_b = slide(to, off, along, after);
    let mut places = thing.points_mut();
    *places[a] = round(new_a)?;
    *places[b] = round(new_b)?;
    Ok(())
}

/// Gives edge `edge` a length; see [`super::Change::SetEdgeLength`].
pub(super) fn set_length(thing: &mut Thing, edge: u32, length: Mm, fixed: FixedEnd) -> Result<(), String> {
    if length <= 0 {
        return Err("A side must be longer than nothing: type its length.".to_owned());
    }
    let (points, closed) = (thing.points(), thing.closed());
    let (a, b) = ends(thing, edge)?;
    let (stays, moves, step) = match fixed {
        FixedEnd::Start => (a, b, 1),
        FixedEnd::End => (b, a, -1),
    };
    let along = unit(vector(points[stays]), vector(points[moves])).ok_or_else(|| no_length(thing, edge))?;
    if (points[stays].distance(points[moves]) - exact(length)).abs() <= 0.5 {
        return Ok(()); // A slanting side has this length already, as near as whole millimetres allow.
    }
    let to = round(add(vector(points[stays]), mul(along, exact(length))))?;
    let by = super::Shift::between(points[moves], to);
    let carried = carried(&points, closed, stays, moves, step);
    let mut places = thing.points_mut();
    for n in carried {
        *places[n] = by.of(*places[n]);
    }
    Ok(())
}

/// Which points go along when `moves` moves away from `stays`.
fn carried(points: &[Pt], closed: bool, stays: usize, moves: usize, step: isize) -> Vec<usize> {
    if !closed {
        return if step > 0 { (moves..points.len()).collect() } else { (0..=moves).collect() };
    }
    let next = around(moves, step, points.len());
    let square = points[moves].dot(points[stays], points[next]) == 0;
    if points.len() >= 4 && square { vec![moves, next] } else { vec![moves] }
}

/// Numbers of the corners at the ends of an edge.
fn ends(thing: &Thing, edge: u32) -> Result<(usize, usize), String> {
    let (n, count) = (edge as usize, thing.edge_count());
    if n < count { Ok((n, (n + 1) % thing.points().len())) } else { Err(no_edge(thing, edge)) }
}

/// Direction of the edge beyond corner `n`, seen from it; `None` at the end of a line.
fn neighbour(points: &[Pt], closed: bool, n: usize, step: isize) -> Option<[f64; 2]> {
    let at_end = if step > 0 { n + 1 == points.len() } else { n == 0 };
    if at_end && !closed {
        return None;
    }
    unit(vector(points[n]), vector(points[around(n, step, points.len())]))
}

fn around(n: usize, step: isize, len: usize) -> usize {
    n.checked_add_signed(step).map_or(len - 1, |m| m % len)
}

/// Where a corner comes to when its edge moves by `off`: on along the neighbouring edge.
fn slide(at: [f64; 2], off: [f64; 2], along: [f64; 2], neighbour: Option<[f64; 2]>) -> [f64; 2] {
    let Some(side) = neighbour else { return add(at, off) };
    let sine = along[0] * side[1] - along[1] * side[0];
    if sine.abs() < PARALLEL {
        return add(at, off);
    }
    let distance = along[0] * off[1] - along[1] * off[0];
    add(at, mul(side, distance / sine))
}

fn no_edge(thing: &Thing, edge: u32) -> String {
    let title = super::capital(&thing.title());
    format!("{title} has no side {} that could be set: choose another.", u64::from(edge) + 1)
}

fn no_length(thing: &Thing, edge: u32) -> String {
    let title = super::capital(&thing.title());
    format!("Side {} of {title} has no length: move one of its corners first.", u64::from(edge) + 1)
}

#[allow(clippy::cast_precision_loss)]
fn exact(mm: Mm) -> f64 {
    mm as f64
}

fn vector(p: Pt) -> [f64; 2] {
    [exact(p.x), exact(p.y)]
}

fn add(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] + b[0], a[1] + b[1]]
}

fn mul(a: [f64; 2], factor: f64) -> [f64; 2] {
    [a[0] * factor, a[1] * factor]
}

fn unit(from: [f64; 2], to: [f64; 2]) -> Option<[f64; 2]> {
    let d = [to[0] - from[0], to[1] - from[1]];
    let length = libm::hypot(d[0], d[1]);
    (length > 0.0).then(|| mul(d, 1.0 / length))
}

/// To the grid; a place further away than any plan reaches is refused.
#[allow(clippy::cast_possible_truncation)]
fn round(p: [f64; 2]) -> Result<Pt, String> {
    if p.iter().all(|c| c.abs() < 1.0e12) {
        Ok(Pt::new(p[0].round() as i64, p[1].round() as i64))
    } else {
        Err("This would send a corner out of reach: move less.".to_owned())
    }
}
