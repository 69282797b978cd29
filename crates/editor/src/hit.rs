//! What lies under a place: things of the plan first, then pieces and bays of the layout.
//!
//! In: a plan, a layout, a place and a reach in mm. Out: the nearest thing of the finest kind: places and pipes, then
//! lines and edges, then openings, then pieces or bays where the stage is about them, then decks. It draws nothing.

use crate::selection::Selection;
use crate::stage::Stage;
use crate::thing::{self, Thing};
use baylap_core::geom::ring::{Side, locate, locate_in};
use baylap_core::geom::{Pt, Region};
use baylap_core::plan::Shape;
use baylap_core::{Layout, Plan};

/// What lies under a place. At the stages Falls, Rolls and Days ponds, pieces and
/// bays are found before the deck they lie on.
pub fn at(plan: &Plan, layout: &Layout, stage: Stage, place: Pt, reach: f64) -> Option<Selection> {
    if !in_range(place) {
        return None;
    }
    let things = thing::all(plan);
    place_of(&things, plan, place, reach)
        .or_else(|| line_of(&things, place, reach))
        .or_else(|| inside_of(&things, place, |t| matches!(t, Thing::Opening(_) | Thing::Penetration(_))))
        .or_else(|| laid(layout, stage, place))
        .or_else(|| inside_of(&things, place, |t| matches!(t, Thing::Deck(_))))
}

/// Places beyond any plan would overflow the exact products.
fn in_range(place: Pt) -> bool {
    let far = 100 * baylap_core::plan::file::COORDINATE;
    (-far..=far).contains(&place.x) && (-far..=far).contains(&place.y)
}

/// Outlets, pipes, ways, melters, spots, zone settings and the ends of the datum.
fn place_of(things: &[Thing], plan: &Plan, place: Pt, reach: f64) -> Option<Selection> {
    let single = things.iter().filter(|t| t.edge_count() == 0);
    let near = single.filter_map(|t| {
        let off = (t.points().first()?.distance(place) - radius(t)).max(0.0);
        Some((off, Selection::Thing(t.id())))
    });
    let ends = plan.datum.iter().flat_map(|d| [d.zero, d.along]);
    let datum = ends.map(|end| (end.distance(place), Selection::Datum));
    let best = near.chain(datum).filter(|(off, _)| *off <= reach);
    best.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, found)| found)
}

#[allow(clippy::cast_precision_loss)]
fn radius(thing: &Thing) -> f64 {
    match thing {
        Thing::Penetration(p) => match p.shape {
            Shape::Circle { diameter, .. } => diameter as f64 / 2.0,
            Shape::Ring { .. } => 0.0,
        },
        Thing::Outlet(o) => o.bowl as f64 / 2.0,
        _ => 0.0,
    }
}

/// The nearest edge of a ring, or the nearest line.
fn line_of(things: &[Thing], place: Pt, reach: f64) -> Option<Selection> {
    let near = things.iter().filter_map(|t| Some((t, nearest_edge(t, place)?)));
    let (thing, (edge, _)) =
        near.filter(|(_, (_, off))| *off <= reach).min_by(|a, b| a.1.1.total_cmp(&b.1.1))?;
    Some(if thing.closed() { Selection::Edge { id: thing.id(), edge } } else { Selection::Thing(thing.id()) })
}

/// The edge of a thing nearest to a place, and how far it is, mm.
pub(crate) fn nearest_edge(thing: &Thing, place: Pt) -> Option<(u32, f64)> {
    let count = u32::try_from(thing.edge_count()).ok()?;
    let points = thing.points();
    let end = |n: u32| points[n as usize % points.len()];
    (0..count).map(|n| (n, off_edge(end(n), end(n + 1), place))).min_by(|a, b| a.1.total_cmp(&b.1))
}

/// Distance of a place from an edge, mm.
#[allow(clippy::cast_precision_loss)]
fn off_edge(a: Pt, b: Pt, place: Pt) -> f64 {
    let length = a.distance_squared(b) as f64;
    if length <= 0.0 {
        return a.distance(place);
    }
    let t = (a.dot(b, place) as f64 / length).clamp(0.0, 1.0);
    let (dx, dy) = ((b.x - a.x) as f64 * t, (b.y - a.y) as f64 * t);
    libm::hypot((place.x - a.x) as f64 - dx, (place.y - a.y) as f64 - dy)
}

/// The smallest closed thing of a kind that holds a place.
fn inside_of(things: &[Thing], place: Pt, kind: impl Fn(&Thing) -> bool) -> Option<Selection> {
    let holding = things.iter().filter(|t| t.closed() && kind(t)).filter_map(|t| {
        let ring = t.points();
        let area = baylap_core::geom::ring::doubled_area(&ring).unsigned_abs();
        (locate(place, [ring.as_slice()]) != Side::Outside).then_some((area, t.id()))
    });
    holding.min_by_key(|(area, _)| *area).map(|(_, id)| Selection::Thing(id))
}

/// The piece, bay or pond that holds a place, where the stage is about them.
fn laid(layout: &Layout, stage: Stage, place: Pt) -> Option<Selection> {
    match stage {
        Stage::Rolls => {
            let piece = layout.pieces.iter().find(|p| holds(&p.as_laid, place))?;
            Some(Selection::Piece(piece.number))
        }
        Stage::Days | Stage::Sheets => {
            let bay = layout.bays.iter().find(|b| holds(&b.area, place))?;
            Some(Selection::Bay(bay.number))
        }
        Stage::Falls => {
            let ponds = layout.falls.iter().flat_map(|f| &f.ponds);
            let pond = ponds.into_iter().find(|p| holds(&p.area, place))?;
            Some(Selection::Pond(pond.number))
        }
        Stage::Deck => None,
    }
}

fn holds(regions: &[Region], place: Pt) -> bool {
    regions.iter().any(|region| locate_in(place, region) != Side::Outside)
}
