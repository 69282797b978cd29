//! The surface of each deck with levels: facets over the levels given, clipped to the deck.
//!
//! In: a plan and its checked geometry. Out: a mesh for each deck that has levels enough. Facets cover the deck once and
//! keep to level lines and the sides of fall planes. Corners of decks and openings and outlets without a level get one
//! from the facets over the levels around them, or beyond these from the nearest sound facet; a finding says so. What
//! stands along an edge says whether water runs over it. It knows no water.

use super::given;
use super::locate::Places;
use super::mesh::{Beyond, Drain, Mesh};
use super::outliers;
use super::sketch::{Parted, Sketch};
use super::triangles::{doubled, squared, triangles};
use crate::finding::{About, Finding};
use crate::layout::falls::LevelInput;
use crate::model::{DeckModel, Model, distance_to};
use crate::plan::{Edge, OutletKind, Plan};
use std::collections::BTreeMap;

/// Facets lower than this share of their longest side are not extended beyond the levels.
const SOUND: f64 = 0.1;

/// The surfaces of a job.
#[derive(Clone, Debug, Default)]
pub struct Surfaces {
    /// One for each deck that has levels enough, in the order of the plan.
    pub meshes: Vec<Mesh>,
    /// What they were made of.
    pub input: LevelInput,
}

/// Makes the surfaces of all decks with levels.
pub fn surfaces(plan: &Plan, model: &Model, findings: &mut Vec<Finding>) -> Surfaces {
    let mut sketches: Vec<Sketch> = model.decks.iter().map(Sketch::of).collect();
    let mut input = given::put(plan, &mut sketches, findings);
    let outlets: Vec<Vec<(usize, usize)>> = sketches.iter_mut().map(|s| given::outlets(plan, s)).collect();
    let parted: Vec<Parted> = sketches.iter_mut().map(Sketch::parted).collect();
    let mut levels = given::settled(&sketches, findings);
    let mut meshes = Vec::new();
    let mut bare = Vec::new();
    for (n, deck) in model.decks.iter().enumerate() {
        let known = Known::of(&sketches[n], &levels[n], &parted[n].lines);
        if known.used.is_empty() {
            bare.push(deck);
        } else if known.places.is_none() {
            findings.push(too_few(&sketches[n], &known));
        } else {
            outliers::tell(&sketches[n], &known.used, &known.facets, findings);
            known.fill(&sketches[n], &mut levels[n], &mut input, findings);
            let mut mesh = facets(deck, &sketches[n], &parted[n], &levels[n]);
            mesh.drains = drains(plan, &mesh, &sketches[n], &outlets[n]);
            meshes.push(mesh);
        }
    }
    if !meshes.is_empty() {
        findings.extend(bare.into_iter().map(no_levels));
    }
    Surfaces { meshes, input }
}

/// The points of a deck whose levels are known, and facets over them.
struct Known {
    used: Vec<usize>,
    facets: Vec<[usize; 3]>,
    /// The facets as a mesh of their own; absent when there is none.
    places: Option<Places>,
}

impl Known {
    fn of(sketch: &Sketch, levels: &[Option<f64>], lines: &[[usize; 2]]) -> Self {
        let used: Vec<usize> = (0..levels.len()).filter(|&n| levels[n].is_some()).collect();
        let both: Vec<[usize; 2]> =
            lines.iter().copied().filter(|e| e.iter().all(|&n| levels[n].is_some())).collect();
        let facets = triangles(&sketch.at, &used, &both);
        let places = (!facets.is_empty()).then(|| {
            let z = levels.iter().map(|l| l.unwrap_or_default()).collect();
            Places::of(Mesh { at: sketch.at.clone(), z, facets: facets.clone(), ..Mesh::default() })
        });
        Self { used, facets, places }
    }

    /// Gives a level to every point that has none.
    fn fill(
        &self,
        sketch: &Sketch,
        levels: &mut [Option<f64>],
        input: &mut LevelInput,
        findings: &mut Vec<Finding>,
    ) {
        let Some(places) = &self.places else { return };
        let rim = self.rim(places.mesh());
        let (mut farthest, mut count) = ((0.0, 0), 0);
        for n in 0..levels.len() {
            if levels[n].is_some() {
                continue;
            }
            let at = sketch.at[n];
            if let Some(facet) = places.facet_at(at) {
                levels[n] = Some(places.mesh().level_on(facet, at));
                input.between += u32::from(n < sketch.corners);
                continue;
            }
            let (away, level) = self.extended(places.mesh(), &rim, at);
            levels[n] = Some(level);
            // Rounding may put a point on the edge of the levels just beyond it.
            if away > 0.5 {
                count += 1;
                input.beyond += u32::from(n < sketch.corners);
                farthest = if away > farthest.0 { (away, n) } else { farthest };
            } else {
                input.between += u32::from(n < sketch.corners);
            }
        }
        if count > 0 {
            let text = format!(
                "On deck {} the levels of {count} corners or outlets are assumed: they lie up to {:.0} mm beyond the levels given.",
                sketch.deck, farthest.0
            );
            let mend = "Take levels at the corners of the deck, or check what was assumed.";
            let finding = Finding::note("levels-extended", About::Plan(sketch.deck), text, mend);
            findings.push(finding.at(given::near(sketch.at[farthest.1])));
        }
    }

    /// Facets with a corner on the outside of the levels, those of a sound shape; all sound ones when none is.
    fn rim(&self, mesh: &Mesh) -> Vec<usize> {
        let mut sides: BTreeMap<(usize, usize), bool> = BTreeMap::new();
        for t in &self.facets {
            for k in 0..3 {
                let (a, b) = (t[k], t[(k + 1) % 3]);
                sides.entry((a.min(b), a.max(b))).and_modify(|open| *open = false).or_insert(true);
            }
        }
        let mut outside = vec![false; mesh.at.len()];
        for (&(a, b), _) in sides.iter().filter(|&(_, &open)| open) {
            (outside[a], outside[b]) = (true, true);
        }
        let sound: Vec<usize> = (0..self.facets.len()).filter(|&f| is_sound(mesh, f)).collect();
        let rim: Vec<usize> =
            sound.iter().copied().filter(|&f| self.facets[f].iter().any(|&n| outside[n])).collect();
        if !rim.is_empty() {
            rim
        } else if !sound.is_empty() {
            sound
        } else {
            // Nothing sound at all: the largest will do.
            (0..self.facets.len())
                .max_by(|&f, &g| mesh.doubled_area(f).total_cmp(&mesh.doubled_area(g)))
                .into_iter()
                .collect()
        }
    }

    /// How far a place is from the nearest of some facets, and its level on that facet's plane.
    fn extended(&self, mesh: &Mesh, rim: &[usize], at: [f64; 2]) -> (f64, f64) {
        let away = |f: usize| {
            let [a, b, c] = mesh.facets[f].map(|n| mesh.at[n]);
            let sides = [(a, b), (b, c), (c, a)];
            if sides.iter().all(|&(p, q)| doubled(p, q, at) >= 0.0) {
                return 0.0;
            }
            sides
                .map(|(p, q)| super::sketch::squared_from(at, p, q))
                .into_iter()
                .fold(f64::INFINITY, f64::min)
        };
        let nearest = rim.iter().map(|&f| (away(f), f)).min_by(|a, b| a.0.total_cmp(&b.0));
        nearest.map_or((0.0, 0.0), |(squared, f)| (squared.sqrt(), mesh.level_on(f, at)))
    }
}

fn is_sound(mesh: &Mesh, facet: usize) -> bool {
    let [a, b, c] = mesh.facets[facet].map(|n| mesh.at[n]);
    let longest = squared(a, b).max(squared(b, c)).max(squared(c, a));
    mesh.doubled_area(facet) >= SOUND * longest
}

fn too_few(sketch: &Sketch, known: &Known) -> Finding {
    let deck = sketch.deck;
    let first = known.used.first().map_or([0.0, 0.0], |&n| sketch.at[n]);
    let (code, text, mend) = if known.used.len() < 3 {
        let (count, levels) = (known.used.len(), if known.used.len() == 1 { "level" } else { "levels" });
        let missing = 3 - count;
        (
            "levels-too-few",
            format!("Deck {deck} has {count} {levels}, and a surface needs 3 that are not in line."),
            format!("Add at least {missing} more, or a fall plane for the whole deck."),
        )
    } else {
        (
            "levels-in-line",
            format!("All levels of deck {deck} lie on one line."),
            "Add a level to the side of that line, or a fall plane for the whole deck.".to_owned(),
        )
    };
    Finding::warning(code, About::Plan(deck), text, mend).at(given::near(first))
}

fn no_levels(deck: &DeckModel) -> Finding {
    let text = format!("Deck {} has no levels, so nothing is known of its falls.", deck.id);
    let mend = "Add levels or a fall plane to it, or leave it out of the question.";
    let finding = Finding::note("levels-too-few", About::Plan(deck.id), text, mend);
    match deck.area.first().and_then(|r| r.first()).and_then(|r| r.first()) {
        Some(&at) => finding.at(at),
        None => finding,
    }
}

/// Facets over all points of a deck, those outside it dropped.
fn facets(deck: &DeckModel, sketch: &Sketch, parted: &Parted, levels: &[Option<f64>]) -> Mesh {
    let all: Vec<usize> = (0..sketch.at.len()).collect();
    let edges: Vec<[usize; 2]> = parted.deck.iter().chain(&parted.lines).copied().collect();
    let mut found = triangles(&sketch.at, &all, &edges);
    keep_inside(&mut found, sketch, &parted.deck);
    let mut number = vec![usize::MAX; sketch.at.len()];
    let mut mesh = Mesh { deck: deck.id, ..Mesh::default() };
    for n in found.iter().flatten().copied() {
        if number[n] == usize::MAX {
            number[n] = 0;
        }
    }
    for n in all {
        if number[n] != 0 {
            continue;
        }
        number[n] = mesh.at.len();
        mesh.at.push(sketch.at[n]);
        mesh.z.push(levels[n].unwrap_or_default());
    }
    mesh.facets = found.iter().map(|t| t.map(|n| number[n])).collect();
    mesh.beyond = beyond(&mesh, deck);
    mesh
}

/// Drops what is outside the deck: facets joined without an edge of the deck between them stay or go together.
fn keep_inside(found: &mut Vec<[usize; 3]>, sketch: &Sketch, deck: &[[usize; 2]]) {
    let held: std::collections::BTreeSet<(usize, usize)> =
        deck.iter().map(|e| (e[0].min(e[1]), e[0].max(e[1]))).collect();
    let mut sets = crate::geom::sets::Sets::new(found.len());
    let mut sides: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for (n, t) in found.iter().enumerate() {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            let side = (a.min(b), a.max(b));
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

/// What lies beyond each edge of each facet.
fn beyond(mesh: &Mesh, deck: &DeckModel) -> Vec<[Beyond; 3]> {
    let mut owner: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for (n, t) in mesh.facets.iter().enumerate() {
        for k in 0..3 {
            owner.insert((t[k], t[(k + 1) % 3]), n);
        }
    }
    let side = |t: &[usize; 3], k: usize| {
        let (a, b) = (t[k], t[(k + 1) % 3]);
        match owner.get(&(b, a)) {
            Some(&other) => Beyond::Facet(other),
            None => edge_kind(mesh.at[a], mesh.at[b], deck),
        }
    };
    mesh.facets.iter().map(|t| [side(t, 0), side(t, 1), side(t, 2)]).collect()
}

/// What stands along the part of an edge between two points.
#[allow(clippy::cast_possible_truncation)]
fn edge_kind(a: [f64; 2], b: [f64; 2], deck: &DeckModel) -> Beyond {
    let middle = given::near([(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0]);
    let with = |w: &&crate::model::Wall| {
        let [p, q] = [w.a, w.b].map(super::sketch::real);
        (b[0] - a[0]) * (q[0] - p[0]) + (b[1] - a[1]) * (q[1] - p[1]) > 0.0
    };
    let nearest = deck
        .walls
        .iter()
        .filter(with)
        .map(|w| (distance_to(middle, w.a, w.b), w))
        .min_by(|one, two| one.0.total_cmp(&two.0));
    match nearest {
        Some((away, wall)) if away < 3.0 && matches!(wall.edge, Edge::Free { .. }) => Beyond::Open(wall.of),
        // An edge cut out of the deck by another deck counts as a wall, as an upstand does.
        _ => Beyond::Wall,
    }
}

/// The open outlets of a deck, each at its point.
#[allow(clippy::cast_precision_loss)]
fn drains(plan: &Plan, mesh: &Mesh, sketch: &Sketch, outlets: &[(usize, usize)]) -> Vec<Drain> {
    let mut drains = Vec::new();
    for &(n, point) in outlets {
        let outlet = &plan.outlets[n];
        // A point of the sketch that no facet uses is off the deck.
        let Some(point) = mesh.at.iter().position(|&p| p == sketch.at[point]) else { continue };
        let rim = outlet.intake.level.map_or(mesh.z[point], given::whole);
        let sill = given::whole(outlet.intake.sill.max(0));
        let overflow = match outlet.kind {
            OutletKind::Overflow => true,
            OutletKind::Chute => outlet.intake.sill > 0,
            OutletKind::Gravity | OutletKind::Siphonic => false,
        };
        let level = (rim + sill).max(mesh.z[point]);
        drains.push(Drain { id: outlet.id, point, level, overflow });
    }
    drains
}
