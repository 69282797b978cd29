//! The surface of each deck with levels: facets over the levels given, clipped to the deck.
//!
//! In: a plan and its checked geometry. Out: a mesh for each deck that has levels enough. Facets cover the deck once and
//! keep to level lines and the sides of fall planes. Corners of decks and openings and outlets without a level get one
//! from the facets over the levels around them, or beyond these from the nearest sound facet; a finding says so. What
//! stands along an edge says whether water runs over it. It knows no water.

use super::fit::fitted;
use super::given;
use super::locate::Places;
use super::mesh::{Beyond, Drain, Mesh};
use super::outliers;
use super::sketch::{Parted, Sketch, nearest_along};
use super::triangles::{doubled, squared, triangles};
use crate::finding::{About, Finding};
use crate::layout::falls::LevelInput;
use crate::model::{DeckModel, Model, distance_to};
use crate::plan::{Edge, OutletKind, Plan};
use std::collections::BTreeMap;

/// Facets lower than this share of their longest side are not extended beyond the levels.
const SOUND: f64 = 0.1;

/// Beyond the width of the nearest facet, the mean fall is that of the levels within so many times the distance.
const AROUND: f64 = 3.0;

/// Points this near to the levels given are at their edge, mm: rounding may put them just beyond it.
const ROUNDING: f64 = 0.5;

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
            let beside = known.fill(&sketches[n], &mut levels[n], &mut input);
            findings.extend(beside.told(deck.id));
            let (mut mesh, number) = facets(deck, &sketches[n], &parted[n], &levels[n]);
            mesh.drains = drains(plan, &mesh, &number, &outlets[n]);
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
    fn fill(&self, sketch: &Sketch, levels: &mut [Option<f64>], input: &mut LevelInput) -> Beside {
        let mut beside = Beside::default();
        let Some(places) = &self.places else { return beside };
        let rim = self.rim(places.mesh());
        for (n, level) in levels.iter_mut().enumerate().filter(|(_, level)| level.is_none()) {
            let at = sketch.at[n];
            let (away, found) = match places.facet_at(at) {
                Some(facet) => (0.0, places.mesh().level_on(facet, at)),
                None => self.extended(places.mesh(), &rim, at),
            };
            *level = Some(found);
            let corner = u32::from(n < sketch.corners);
            if away > ROUNDING {
                input.beyond += corner;
                beside.count += 1;
                if away > beside.away {
                    (beside.away, beside.at) = (away, at);
                }
            } else {
                input.between += corner;
            }
        }
        beside
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

    /// How far a place is from the nearest of some facets, and a level for it: on that facet's plane while it is no
    /// further away than the facet is wide; else on from the facet by the mean fall of the levels around, so that one odd
    /// level does not throw a corner far beyond it up or down.
    fn extended(&self, mesh: &Mesh, rim: &[usize], at: [f64; 2]) -> (f64, f64) {
        let nearest =
            rim.iter().map(|&f| (nearest_on(mesh, f, at), f)).min_by(|a, b| a.0.0.total_cmp(&b.0.0));
        let Some(((squared_away, foot), facet)) = nearest else { return (0.0, 0.0) };
        let away = squared_away.sqrt();
        if away <= width(mesh, facet) {
            return (away, mesh.level_on(facet, at));
        }
        let reach = AROUND * away;
        let around: Vec<[f64; 3]> = self
            .used
            .iter()
            .filter(|&&n| squared(mesh.at[n], foot) <= reach * reach)
            .map(|&n| [mesh.at[n][0] - foot[0], mesh.at[n][1] - foot[1], mesh.z[n]])
            .collect();
        let slope = fitted(&around).map_or_else(|| mesh.slope(facet), |plane| plane.slope);
        let level = mesh.level_on(facet, foot) + slope[0] * (at[0] - foot[0]) + slope[1] * (at[1] - foot[1]);
        (away, level)
    }
}

/// The place on a facet nearest to a place outside it, with the square of the distance.
fn nearest_on(mesh: &Mesh, facet: usize, at: [f64; 2]) -> (f64, [f64; 2]) {
    let corners = mesh.facets[facet].map(|n| mesh.at[n]);
    let sides = [0, 1, 2].map(|k| (corners[k], corners[(k + 1) % 3]));
    if sides.iter().all(|&(p, q)| doubled(p, q, at) >= 0.0) {
        return (0.0, at);
    }
    let feet = sides.map(|(p, q)| nearest_along(at, p, q));
    let [first, second, third] = feet.map(|foot| (squared(foot, at), foot));
    let nearer = |a: (f64, [f64; 2]), b: (f64, [f64; 2])| if b.0 < a.0 { b } else { a };
    nearer(nearer(first, second), third)
}

/// Least height of a facet, mm.
fn width(mesh: &Mesh, facet: usize) -> f64 {
    let [a, b, c] = mesh.facets[facet].map(|n| mesh.at[n]);
    mesh.doubled_area(facet) / squared(a, b).max(squared(b, c)).max(squared(c, a)).sqrt()
}

/// Points beyond the levels given.
#[derive(Default)]
struct Beside {
    count: usize,
    /// How far the furthest is from the levels, mm, and where.
    away: f64,
    at: [f64; 2],
}

impl Beside {
    fn told(&self, deck: u32) -> Option<Finding> {
        let text = match self.count {
            0 => return None,
            1 => format!(
                "On deck {deck} the level of one corner or outlet is assumed: it lies {:.0} mm beyond the levels given.",
                self.away
            ),
            count => format!(
                "On deck {deck} the levels of {count} corners or outlets are assumed: they lie up to {:.0} mm beyond the levels given.",
                self.away
            ),
        };
        let mend = "Take levels at the corners of the deck, or check what was assumed.";
        Some(Finding::note("levels-extended", About::Plan(deck), text, mend).at(given::near(self.at)))
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

/// Facets over all points of a deck, those outside it dropped; and the number of each point of the sketch in the mesh.
fn facets(
    deck: &DeckModel,
    sketch: &Sketch,
    parted: &Parted,
    levels: &[Option<f64>],
) -> (Mesh, Vec<Option<usize>>) {
    let all: Vec<usize> = (0..sketch.at.len()).collect();
    let edges: Vec<[usize; 2]> = parted.deck.iter().chain(&parted.lines).copied().collect();
    let mut found = triangles(&sketch.at, &all, &edges);
    keep_inside(&mut found, sketch, &parted.deck);
    let mut used = vec![false; sketch.at.len()];
    for &n in found.iter().flatten() {
        used[n] = true;
    }
    let mut mesh = Mesh { deck: deck.id, ..Mesh::default() };
    let mut number = vec![None; sketch.at.len()];
    for n in all.into_iter().filter(|&n| used[n]) {
        number[n] = Some(mesh.at.len());
        mesh.at.push(sketch.at[n]);
        mesh.z.push(levels[n].unwrap_or_default());
    }
    mesh.facets = found.iter().map(|t| t.map(|n| number[n].unwrap_or_default())).collect();
    mesh.beyond = beyond(&mesh, deck);
    (mesh, number)
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
fn drains(plan: &Plan, mesh: &Mesh, number: &[Option<usize>], outlets: &[(usize, usize)]) -> Vec<Drain> {
    let mut drains = Vec::new();
    for &(n, point) in outlets {
        let outlet = &plan.outlets[n];
        // A point that no facet uses is off the deck.
        let Some(point) = number[point] else { continue };
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
