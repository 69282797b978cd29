//! Fall planes, put on the decks they hold for.
//!
//! In: the planes of a plan and a sketch of each deck. Out: their sides as lines, and their level at the corners of the
//! decks and openings in them. A plane without an area holds for the whole deck that its point is on, but for what
//! planes with an area take of it.

use super::given::{level_of, within_reach};
use super::sketch::{BESIDE, Claim, End, Sketch, Source, Spot, squared_from};
use crate::finding::{About, Finding};
use crate::geom::Pt;
use crate::geom::ring::{self, Side};
use crate::plan::FallPlane;

/// Puts planes on decks; returns how many are used.
pub(super) fn put(planes: &[FallPlane], sketches: &mut [Sketch], findings: &mut Vec<Finding>) -> u32 {
    let (whole, parts): (Vec<&FallPlane>, Vec<&FallPlane>) = planes.iter().partition(|p| p.area.is_empty());
    let mut used = 0;
    let mut sound: Vec<(&FallPlane, Vec<Pt>)> = Vec::new();
    for plane in parts {
        let mut area = plane.area.clone();
        area.dedup();
        if area.len() < 3 || area.iter().all(|&p| area[0].turn(area[1], p) == 0) {
            let text = format!("The area of fall plane {} encloses nothing.", plane.id);
            let mend = "Draw at least three corners that are not in line.";
            findings.push(Finding::error("no-area", About::Plan(plane.id), text, mend).at(plane.at));
        } else {
            sound.push((plane, area));
        }
    }
    let mut before: Vec<Option<u32>> = vec![None; sketches.len()];
    for plane in whole {
        let on = sketches.iter().position(|s| !matches!(s.where_is(plane.at, BESIDE), Spot::Off));
        let Some(n) = on else {
            findings.push(off_deck(plane));
            continue;
        };
        if let Some(first) = before[n] {
            let text = format!("Fall planes {first} and {} both hold for the whole of one deck.", plane.id);
            let mend = "Draw the area that each holds for; until then only the first is used.";
            findings.push(Finding::warning("planes-overlap", About::Plan(plane.id), text, mend).at(plane.at));
            continue;
        }
        before[n] = Some(plane.id);
        claim_corners(plane, &mut sketches[n], |at| !sound.iter().any(|(_, area)| holds(area, at)));
        used += 1;
    }
    for (plane, area) in &sound {
        let mut on = false;
        for sketch in sketches.iter_mut().filter(|s| within_reach(s, area)) {
            on |= put_area(plane, area, sketch);
        }
        if on { used += 1 } else { findings.push(off_deck(plane)) }
    }
    used
}

fn off_deck(plane: &FallPlane) -> Finding {
    let text = format!("Fall plane {} is on no deck, and is not used.", plane.id);
    let mend = "Move it on to a deck, or delete it.";
    Finding::warning("level-off-deck", About::Plan(plane.id), text, mend).at(plane.at)
}

/// Sides and corners of an area, and the corners of the deck in it; whether any is on the deck.
fn put_area(plane: &FallPlane, area: &[Pt], sketch: &mut Sketch) -> bool {
    let from = Source::Plane(plane.id);
    let end = |at: Pt| End { at, level: Some(level_of(plane, super::sketch::real(at))) };
    for (a, b) in ring::edges(area) {
        let ends = [end(a), end(b)];
        let placed = sketch.stroke(ends, from);
        if let Some(point) = placed[0] {
            let level = level_of(plane, sketch.at[point]);
            sketch.claims[point].push(Claim { level, from, given: true });
        }
    }
    let corners = claim_corners(plane, sketch, |at| holds(area, at));
    corners || sketch.has_stroke_of(from)
}

/// Claims the plane's level at those corners of the deck that it holds for.
fn claim_corners(plane: &FallPlane, sketch: &mut Sketch, here: impl Fn([f64; 2]) -> bool) -> bool {
    let mut any = false;
    for n in 0..sketch.corners {
        let at = sketch.at[n];
        if here(at) {
            let claim = Claim { level: level_of(plane, at), from: Source::Plane(plane.id), given: false };
            sketch.claims[n].push(claim);
            any = true;
        }
    }
    any
}

/// Whether a place is in an area or on its edge.
pub(super) fn holds(area: &[Pt], at: [f64; 2]) -> bool {
    ring::edges(area).any(|(a, b)| squared_from(at, super::sketch::real(a), super::sketch::real(b)) < 1.0)
        || ring::locate(super::given::near(at), [area]) == Side::Inside
}
