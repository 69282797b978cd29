//! Sheets: a deck, or the parts that changes of level make of it, each with a surface of its own.
//!
//! In: the sketch of a deck with its lines parted. Out: a sheet for the deck, or one for each part where changes of level
//! part it and every part has levels enough; else why not. A level on such a line itself belongs to the side whose other
//! levels lead to it; a fall plane holds for the sides that its area reaches. It decides no level.

use super::given::{near, settle};
use super::known::Known;
use super::planes::holds;
use super::sketch::{Claim, Parted, Sketch, Source};
use super::triangles::{doubled, triangles};
use crate::finding::{About, Finding};
use crate::geom::Pt;
use crate::geom::sets::Sets;
use crate::plan::{FallPlane, Id};
use std::collections::{BTreeMap, BTreeSet};

/// A deck or a part of it.
pub(super) struct Sheet {
    /// Which deck of the model.
    pub(super) deck: usize,
    pub(super) sketch: Sketch,
    /// Its edges (changes of level are edges of the sheets beside them) and its lines.
    pub(super) parted: Parted,
    /// For each point of the sketch, the point of the whole deck's sketch.
    pub(super) whole: Vec<usize>,
}

/// Why a change of level is not in the surface.
pub(super) struct NotParted {
    id: Id,
    at: Pt,
    /// Whether it parts the deck, but some part has too few levels.
    parts: bool,
}

impl NotParted {
    /// The finding about it.
    pub(super) fn told(&self) -> Finding {
        let id = self.id;
        let (text, mend) = if self.parts {
            (
                format!(
                    "The change of level {id} is not in the surface of falls: a part of the deck beside it has fewer than 3 levels of its own that are not in line."
                ),
                "Give each side its own levels, or its own fall plane; a level on the line itself counts for one side only.",
            )
        } else {
            (
                format!(
                    "The change of level {id} does not part the deck, so the surface of falls runs on across it."
                ),
                "Draw it out until both its ends reach an edge, an opening or another change of level.",
            )
        };
        Finding::note("level-change-not-in-falls", About::Plan(id), text, mend).at(self.at)
    }
}

/// The sheets of a deck, and why some changes of level part it none.
pub(super) fn sheets_of(
    deck: usize,
    sketch: Sketch,
    parted: Parted,
    planes: &[FallPlane],
) -> (Vec<Sheet>, Vec<NotParted>) {
    let not_parted = |parting: &BTreeSet<[usize; 2]>, enough: bool| -> Vec<NotParted> {
        let mut told: BTreeMap<Id, NotParted> = BTreeMap::new();
        for (edge, id) in
            parted.changes.iter().filter(|(edge, _)| !enough || !parting.contains(&sorted(*edge)))
        {
            let (at, parts) = (near(sketch.at[edge[0]]), parting.contains(&sorted(*edge)));
            told.entry(*id).or_insert(NotParted { id: *id, at, parts }).parts |= parts;
        }
        told.into_values().collect()
    };
    let (mut sheets, parting) = parts(deck, &sketch, &parted);
    let enough = sheets.len() > 1 && {
        share_out(&mut sheets, &sketch, planes);
        sheets.iter().all(|sheet| known(sheet).places.is_some())
    };
    let why = not_parted(&parting, enough);
    if enough {
        return (sheets, why);
    }
    let whole = (0..sketch.at.len()).collect();
    let mut parted = parted;
    parted.lines.extend(parted.changes.iter().map(|(edge, _)| *edge));
    (vec![Sheet { deck, sketch, parted, whole }], why)
}

fn sorted([a, b]: [usize; 2]) -> [usize; 2] {
    [a.min(b), a.max(b)]
}

/// The parts that changes of level make of a deck, without levels yet, and the edges that part them.
fn parts(deck: usize, sketch: &Sketch, parted: &Parted) -> (Vec<Sheet>, BTreeSet<[usize; 2]>) {
    if parted.changes.is_empty() {
        return (Vec::new(), BTreeSet::new());
    }
    let all: Vec<usize> = (0..sketch.at.len()).collect();
    let changes = || parted.changes.iter().map(|(edge, _)| *edge);
    let edges: Vec<[usize; 2]> = parted.deck.iter().chain(&parted.lines).copied().chain(changes()).collect();
    let mut facets = triangles(&sketch.at, &all, &edges);
    keep_inside(&mut facets, sketch, &parted.deck);
    let held: BTreeSet<[usize; 2]> = parted.deck.iter().copied().chain(changes()).map(sorted).collect();
    let mut sets = hanging_together(&facets, &held);
    // Sides of facets, run round them anticlockwise, by part.
    let mut sides: BTreeMap<usize, BTreeSet<[usize; 2]>> = BTreeMap::new();
    for (n, t) in facets.iter().enumerate() {
        sides.entry(sets.find(n)).or_default().extend((0..3).map(|k| [t[k], t[(k + 1) % 3]]));
    }
    let parting = changes()
        .filter(|&[a, b]| !sides.values().any(|own| own.contains(&[a, b]) && own.contains(&[b, a])))
        .map(sorted)
        .collect();
    let sheets = sides.values().map(|own| sheet(deck, sketch, parted, own)).collect();
    (sheets, parting)
}

/// The part of a deck whose facets have these sides.
fn sheet(deck: usize, sketch: &Sketch, parted: &Parted, sides: &BTreeSet<[usize; 2]>) -> Sheet {
    let points: BTreeSet<usize> = sides.iter().flatten().copied().collect();
    let whole: Vec<usize> = points.into_iter().collect();
    let own = |edge: [usize; 2]| edge.map(|p| whole.partition_point(|&n| n < p));
    let rim: Vec<[usize; 2]> =
        sides.iter().filter(|[a, b]| !sides.contains(&[*b, *a])).map(|&edge| own(edge)).collect();
    let within = |&[a, b]: &[usize; 2]| sides.contains(&[a, b]) && sides.contains(&[b, a]);
    let changes = parted.changes.iter().map(|(edge, _)| edge);
    let lines =
        parted.lines.iter().chain(changes).filter(|edge| within(edge)).map(|&edge| own(edge)).collect();
    let part = sketch.part(&whole, &rim);
    Sheet { deck, sketch: part, parted: Parted { deck: rim, lines, changes: Vec::new() }, whole }
}

/// Gives every claim to the sheets that it is for.
fn share_out(sheets: &mut [Sheet], sketch: &Sketch, planes: &[FallPlane]) {
    let mut on: Vec<Vec<(usize, usize)>> = vec![Vec::new(); sketch.at.len()];
    for (s, sheet) in sheets.iter().enumerate() {
        for (n, &whole) in sheet.whole.iter().enumerate() {
            on[whole].push((s, n));
        }
    }
    let mut open = Vec::new();
    for (whole, claims) in sketch.claims.iter().enumerate() {
        for claim in claims {
            match (on[whole].as_slice(), claim.from) {
                ([], _) => {}
                (&[(s, n)], _) => sheets[s].sketch.claims[n].push(*claim),
                (both, Source::Plane(id)) => {
                    let plane = planes.iter().find(|p| p.id == id);
                    for &(s, n) in both {
                        if plane.is_some_and(|p| reaches(p, &sheets[s], n)) {
                            sheets[s].sketch.claims[n].push(*claim);
                        }
                    }
                }
                // What a line says between its ends holds for neither side where it crosses a step.
                (_, Source::Line(_)) if !claim.given => {}
                _ => open.push((whole, *claim)),
            }
        }
    }
    let known: Vec<Known> = sheets.iter().map(known).collect();
    let mut given = Vec::new();
    for own in open.chunk_by(|a, b| a.0 == b.0) {
        let sides: Vec<(f64, usize, usize)> = on[own[0].0]
            .iter()
            .filter_map(|&(s, n)| Some((known[s].expected_at(sheets[s].sketch.at[n])?, s, n)))
            .collect();
        let claims: Vec<Claim> = own.iter().map(|(_, claim)| *claim).collect();
        given.extend(matched(sides, claims));
    }
    for (s, n, claim) in given {
        sheets[s].sketch.claims[n].push(claim);
    }
}

/// Claims for one place on a step, each with the side that it belongs to, from the level expected on each side: as many levels
/// as there are sides go to them in order; else each goes to the side that it is nearest to.
fn matched(mut sides: Vec<(f64, usize, usize)>, claims: Vec<Claim>) -> Vec<(usize, usize, Claim)> {
    sides.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut levels: Vec<f64> = claims.iter().map(|c| c.level).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    let in_order = levels.len() == sides.len();
    claims
        .into_iter()
        .filter_map(|claim| {
            let off = |side: &&(f64, usize, usize)| (side.0 - claim.level).abs();
            let side = if in_order {
                sides.get(levels.partition_point(|&level| level < claim.level))
            } else {
                sides.iter().min_by(|a, b| off(a).total_cmp(&off(b)))
            };
            side.map(|&(_, s, n)| (s, n, claim))
        })
        .collect()
}

/// What is known of a sheet from the levels given to it so far.
fn known(sheet: &Sheet) -> Known {
    let levels: Vec<Option<f64>> = sheet.sketch.claims.iter().map(|claims| settle(claims)).collect();
    Known::of(&sheet.sketch, &levels, &sheet.parted.lines)
}

/// How far inside a sheet it is looked whether a plane reaches there, as a share of the edge beside it.
const LOOK: f64 = 0.01;

/// Whether a plane holds for a sheet at a point of its edge: there, a little way in.
fn reaches(plane: &FallPlane, sheet: &Sheet, point: usize) -> bool {
    let at = &sheet.sketch.at;
    plane.area.is_empty()
        || sheet.parted.deck.iter().filter(|edge| edge.contains(&point)).any(|&[a, b]| {
            // The sheet is on the left of its edges.
            let (d, from) = ([at[b][0] - at[a][0], at[b][1] - at[a][1]], at[point]);
            let ahead = if a == point { LOOK } else { -LOOK };
            let place = [from[0] + ahead * d[0] - LOOK * d[1], from[1] + ahead * d[1] + LOOK * d[0]];
            sheet.sketch.holds(place) && holds(&plane.area, place)
        })
}

/// Drops what is outside the deck: facets joined without an edge of the deck between them stay or go together.
pub(super) fn keep_inside(found: &mut Vec<[usize; 3]>, sketch: &Sketch, deck: &[[usize; 2]]) {
    let held: BTreeSet<[usize; 2]> = deck.iter().copied().map(sorted).collect();
    let mut sets = hanging_together(found, &held);
    let area = |t: &[usize; 3]| {
        let [a, b, c] = t.map(|n| sketch.at[n]);
        doubled(a, b, c)
    };
    // The largest facet of each part speaks for it: its middle is the furthest from rounding.
    let mut largest: BTreeMap<usize, usize> = BTreeMap::new();
    for n in 0..found.len() {
        let best = largest.entry(sets.find(n)).or_insert(n);
        if area(&found[n]) > area(&found[*best]) {
            *best = n;
        }
    }
    let inside: BTreeMap<usize, bool> = largest
        .into_iter()
        .map(|(part, n)| {
            let [a, b, c] = found[n].map(|n| sketch.at[n]);
            (part, sketch.holds([(a[0] + b[0] + c[0]) / 3.0, (a[1] + b[1] + c[1]) / 3.0]))
        })
        .collect();
    let mut n = 0;
    found.retain(|_| {
        n += 1;
        inside.get(&sets.find(n - 1)).copied().unwrap_or_default()
    });
}

/// Facets in sets that hang together over sides that are not held.
fn hanging_together(facets: &[[usize; 3]], held: &BTreeSet<[usize; 2]>) -> Sets {
    let mut sets = Sets::new(facets.len());
    let mut sides: BTreeMap<[usize; 2], usize> = BTreeMap::new();
    for (n, t) in facets.iter().enumerate() {
        for k in 0..3 {
            let side = sorted([t[k], t[(k + 1) % 3]]);
            if held.contains(&side) {
                continue;
            }
            match sides.get(&side) {
                Some(&other) => sets.join(n, other),
                None => {
                    sides.insert(side, n);
                }
            }
        }
    }
    sets
}
