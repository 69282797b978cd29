//! Changes of single corners: move, put in, take out.
//!
//! In: a thing and the number of a corner or an edge. Out: the thing changed, or one sentence. A ring keeps three
//! corners, a line two.

use crate::thing::Thing;
use baylap_core::geom::Pt;
use baylap_core::plan::{Corner, LevelPoint, Shape};

/// Moves corner `corner` to a place.
pub(super) fn move_to(thing: &mut Thing, corner: u32, to: Pt) -> Result<(), String> {
    let title = thing.title();
    let mut points = thing.points_mut();
    let point = points.get_mut(corner as usize).ok_or_else(|| no_corner(&title, corner))?;
    **point = to;
    Ok(())
}

/// Puts a corner on edge `edge`; both parts keep the edge's kind.
pub(super) fn insert(thing: &mut Thing, edge: u32, at: Pt) -> Result<(), String> {
    let (edge, count) = (edge as usize, thing.edge_count());
    if edge >= count {
        return Err(format!("{} has no side {}: choose another.", super::capital(&thing.title()), edge + 1));
    }
    if thing.points().contains(&at) {
        return Err("There is a corner at this place already: put the new one beside it.".to_owned());
    }
    match thing {
        Thing::Deck(d) => split(&mut d.ring, edge, at),
        Thing::Opening(o) => split(&mut o.ring, edge, at),
        Thing::Joint(l) => l.points.insert(edge + 1, at),
        Thing::ZoneLine(l) => l.points.insert(edge + 1, at),
        Thing::LevelLine(l) => l.points.insert(edge + 1, LevelPoint { at, level: None }),
        Thing::Penetration(p) => {
            if let Shape::Ring { corners } = &mut p.shape {
                corners.insert(edge + 1, at);
            }
        }
        _ => {}
    }
    Ok(())
}

fn split(ring: &mut Vec<Corner>, edge: usize, at: Pt) {
    let kind = ring[edge].edge.clone();
    ring.insert(edge + 1, Corner { at, edge: kind });
}

/// Takes corner `corner` out.
pub(super) fn delete(thing: &mut Thing, corner: u32) -> Result<(), String> {
    let (n, count, title) = (corner as usize, thing.points().len(), thing.title());
    let (least, what) = if thing.closed() { (3, "three corners") } else { (2, "two points") };
    if n >= count {
        return Err(no_corner(&title, corner));
    }
    if count <= least {
        let title = super::capital(&title);
        return Err(format!("{title} needs {what}: delete the whole {} instead.", thing.noun()));
    }
    match thing {
        Thing::Deck(d) => drop(d.ring.remove(n)),
        Thing::Opening(o) => drop(o.ring.remove(n)),
        Thing::Joint(l) => drop(l.points.remove(n)),
        Thing::ZoneLine(l) => drop(l.points.remove(n)),
        Thing::LevelLine(l) => drop(l.points.remove(n)),
        Thing::Plane(p) if n > 0 => drop(p.area.remove(n - 1)),
        Thing::Penetration(p) => {
            if let Shape::Ring { corners } = &mut p.shape {
                corners.remove(n);
            }
        }
        _ => return Err(no_corner(&title, corner)),
    }
    Ok(())
}

fn no_corner(title: &str, corner: u32) -> String {
    format!("{} has no corner {}: choose another.", super::capital(title), u64::from(corner) + 1)
}
