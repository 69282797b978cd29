//! Bay edges in bad places, and the places that are better.
//!
//! In: a plan and its layout. Out: the bay edges that lie where water stands or runs, each with the nearest good place,
//! and the change that has one run there. What is bad and what is better the engine says; this only turns it into
//! places held in the plan.

use crate::change::Change;
use crate::thing::Thing;
use baylap_core::geom::Pt;
use baylap_core::layout::falls::{Better, SeamKind, SeamPart, Verdict};
use baylap_core::plan::{BayEdge, Mm};
use baylap_core::{Layout, Plan};

/// A place held in the plan is taken for the cause of an edge no further from it than this, mm: an edge across the
/// courses is stepped from course to course, and runs only near the place.
const NEAR: f64 = 1000.0;

/// A bay edge that has a better place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Movable {
    /// Numbers of the two bays.
    pub between: [u32; 2],
    /// The part of it that lies badly.
    pub part: SeamPart,
    /// What is bad about it.
    pub verdict: Verdict,
    /// Where it would lie well.
    pub better: Better,
}

/// The bay edges that have a better place: in ponds first, at outlets next, then the rest; the longest first.
pub fn movable(layout: &Layout) -> Vec<Movable> {
    let edges = layout.seams.iter().filter(|s| s.kind == SeamKind::BayEdge);
    let parts = edges.flat_map(|s| s.parts.iter().map(|p| (s.between, *p)));
    let mut all: Vec<Movable> = parts
        .filter_map(|(between, part)| {
            Some(Movable { between, part, verdict: part.verdict?, better: part.better? })
        })
        .collect();
    all.sort_by_key(|m| (rank(m.verdict), std::cmp::Reverse(m.part.a.distance_squared(m.part.b))));
    all
}

const fn rank(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::InPond => 0,
        Verdict::AtOutlet => 1,
        Verdict::LowLine => 2,
        _ => 3,
    }
}

/// The change that has a bay edge run through its better place: it moves what holds the edge where it is, else a new
/// place is held.
pub fn moved(plan: &Plan, layout: &Layout, edge: &Movable) -> Change {
    let Better { at, along, .. } = edge.better;
    let seams = layout.seams.iter().filter(|s| s.kind == SeamKind::BayEdge && s.between == edge.between);
    let parts: Vec<&SeamPart> = seams.flat_map(|s| &s.parts).collect();
    let off = |e: &BayEdge| parts.iter().map(|p| off_part(p, e.at)).fold(f64::INFINITY, f64::min);
    let held = plan.bay_edges.iter().filter(|e| e.along == along && off(e) <= NEAR);
    let id = held.min_by(|a, b| off(a).total_cmp(&off(b))).map_or(0, |e| e.id);
    Change::Put(Thing::BayEdge(BayEdge { id, at, along }))
}

/// The change that does so with every one of them; edges that go to one place are moved there once.
pub fn all_moved(plan: &Plan, layout: &Layout) -> Option<Change> {
    let mut seen: Vec<(Pt, bool)> = Vec::new();
    let mut held: Vec<u32> = Vec::new();
    let mut changes = Vec::new();
    for edge in movable(layout) {
        let place = (edge.better.at, edge.better.along);
        if seen.contains(&place) {
            continue;
        }
        seen.push(place);
        if let Change::Put(thing) = moved(plan, layout, &edge) {
            // What holds one edge is moved once; the others get places of their own.
            let id = if held.contains(&thing.id()) { 0 } else { thing.id() };
            held.push(id);
            changes.push(Change::Put(thing.with_id(id)));
        }
    }
    (!changes.is_empty()).then_some(Change::All(changes))
}

/// Distance of a place from a part, mm.
#[allow(clippy::cast_precision_loss)]
fn off_part(part: &SeamPart, place: Pt) -> f64 {
    let (a, b) = (part.a, part.b);
    let whole = a.distance_squared(b) as f64;
    if whole <= 0.0 {
        return a.distance(place);
    }
    let t = (a.dot(b, place) as f64 / whole).clamp(0.0, 1.0);
    let (dx, dy) = ((b.x - a.x) as f64 * t, (b.y - a.y) as f64 * t);
    let (ex, ey) = ((place.x - a.x) as f64 - dx, (place.y - a.y) as f64 - dy);
    (ex * ex + ey * ey).sqrt()
}

/// Length of a part, whole mm.
#[allow(clippy::cast_possible_truncation)]
pub fn length(part: &SeamPart) -> Mm {
    part.a.distance(part.b).round() as Mm
}

#[cfg(test)]
mod tests {
    use super::*;
    use baylap_core::layout::falls::Seam;

    fn edge(a: [i64; 2], b: [i64; 2], verdict: Verdict, better: Option<[i64; 2]>) -> Seam {
        let better =
            better.map(|at| Better { at: at.into(), distance: 500, direction_mdeg: 0, along: false });
        let part = SeamPart { a: a.into(), b: b.into(), verdict: Some(verdict), better };
        Seam { kind: SeamKind::BayEdge, between: [1, 2], top: 2, parts: vec![part] }
    }

    fn layout() -> Layout {
        let mut lap = edge([0, 0], [0, 9000], Verdict::InPond, Some([1, 1]));
        lap.kind = SeamKind::EndLap;
        Layout {
            seams: vec![
                edge([0, 0], [0, 3000], Verdict::LowLine, Some([700, 0])),
                edge([5000, 0], [5000, 1000], Verdict::InPond, Some([5500, 0])),
                edge([8000, 0], [8000, 2000], Verdict::InPond, Some([5500, 0])),
                edge([9000, 0], [9000, 2000], Verdict::InPond, None),
                edge([2000, 0], [2000, 2000], Verdict::Sheds, None),
                lap,
            ],
            ..Layout::default()
        }
    }

    #[test]
    fn the_worst_and_longest_come_first_and_laps_not_at_all() {
        let places: Vec<i64> = movable(&layout()).iter().map(|m| m.part.a.x).collect();
        assert_eq!(places, [8000, 5000, 0]);
    }

    #[test]
    fn a_place_that_holds_the_edge_is_moved() {
        let worst = movable(&layout())[0];
        let put = |edges: &[BayEdge]| {
            let plan = Plan { bay_edges: edges.to_vec(), ..Plan::default() };
            match moved(&plan, &layout(), &worst) {
                Change::Put(Thing::BayEdge(e)) => e,
                other => panic!("{other:?}"),
            }
        };
        let at = |x, along| BayEdge { id: 4, at: Pt::new(x, 1500), along };
        assert_eq!(put(&[]), BayEdge { id: 0, at: Pt::new(5500, 0), along: false });
        assert_eq!(put(&[at(8900, false)]).id, 4, "an edge in steps runs near what holds it");
        assert_eq!(put(&[at(8003, true)]).id, 0, "it holds an edge the other way");
        assert_eq!(put(&[at(19_001, false)]).id, 0);
    }

    #[test]
    fn all_go_at_once_and_each_place_is_held_once() {
        let Some(Change::All(changes)) = all_moved(&Plan::default(), &layout()) else { panic!() };
        assert_eq!(changes.len(), 2);
        assert_eq!(all_moved(&Plan::default(), &Layout::default()), None);
    }
}
