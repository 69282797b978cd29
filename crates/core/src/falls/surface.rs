//! The surface of each deck with levels: facets over the levels given, clipped to the deck.
//!
//! In: a plan and its checked geometry. Out: a mesh for each deck that has levels enough. Facets cover the deck once and
//! keep to level lines and the sides of fall planes; where a change of level parts the deck, each side has a surface of its own
//! and the two stand one above the other. Corners of decks and openings and outlets without a level get one
//! from the facets over the levels around them, or beyond these from the nearest sound facet; a finding says so. What
//! stands along an edge says whether water runs over it. It knows no water.

use super::given;
use super::known::Known;
use super::mesh::{Beyond, Drain, Mesh};
use super::outliers;
use super::sheets::{NotParted, Sheet, keep_inside, sheets_of};
use super::sketch::Sketch;
use super::steps;
use super::triangles::triangles;
use crate::finding::{About, Finding};
use crate::layout::falls::LevelInput;
use crate::model::{DeckModel, Model, distance_to};
use crate::plan::{Edge, OutletKind, Plan};
use std::collections::{BTreeMap, BTreeSet};

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
    let mut sheets: Vec<Sheet> = Vec::new();
    let mut not_parted = Vec::new();
    for (n, mut sketch) in sketches.into_iter().enumerate() {
        let parted = sketch.parted();
        let (own, why) = sheets_of(n, sketch, parted, &plan.levels.planes);
        sheets.extend(own);
        not_parted.push(why);
    }
    let mut levels = given::settled(sheets.iter().map(|s| &s.sketch), findings);
    let mut meshes = Vec::new();
    let mut bare = Vec::new();
    for (n, deck) in model.decks.iter().enumerate() {
        let own = sheets.partition_point(|s| s.deck < n)..sheets.partition_point(|s| s.deck <= n);
        let (own, levels) = (&mut sheets[own.clone()], &mut levels[own]);
        match deck_of(deck, own, levels, &mut input, findings) {
            Made::Mesh(mut mesh, number) => {
                findings.extend(not_parted[n].iter().map(NotParted::told));
                mesh.drains = drains(plan, &mesh, &number, &outlets[n]);
                meshes.push(mesh);
            }
            Made::Bare => bare.push(deck),
            Made::TooFew => {}
        }
    }
    if !meshes.is_empty() {
        findings.extend(bare.into_iter().map(no_levels));
    }
    Surfaces { meshes, input }
}

/// What came of one deck.
enum Made {
    /// Its surface, and the point of it for each point of the deck's sketch.
    Mesh(Mesh, Vec<Option<usize>>),
    /// No levels at all.
    Bare,
    /// Fewer than a surface needs: told.
    TooFew,
}

/// The surface of one deck from its sheets.
fn deck_of(
    deck: &DeckModel,
    sheets: &mut [Sheet],
    levels: &mut [Vec<Option<f64>>],
    input: &mut LevelInput,
    findings: &mut Vec<Finding>,
) -> Made {
    for (sheet, levels) in sheets.iter().zip(levels.iter_mut()) {
        let known = Known::of(&sheet.sketch, levels, &sheet.parted.lines);
        if known.used.is_empty() {
            return Made::Bare;
        }
        if known.places.is_none() {
            findings.push(too_few(&sheet.sketch, &known));
            return Made::TooFew;
        }
        outliers::tell(&sheet.sketch, &known.used, &known.facets, findings);
        findings.extend(known.fill(&sheet.sketch, levels, input).told(deck.id));
    }
    steps::meet(sheets, levels);
    let parts: Vec<SheetFacets> = sheets.iter().zip(levels.iter()).map(|(s, l)| facets(s, l)).collect();
    let (mesh, number) = joined(deck, &parts);
    Made::Mesh(mesh, number)
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

/// The facets of one sheet.
struct SheetFacets {
    at: Vec<[f64; 2]>,
    z: Vec<f64>,
    facets: Vec<[usize; 3]>,
    /// For each point, the point of the whole deck.
    whole: Vec<usize>,
}

/// Facets over all points of a sheet, those outside it dropped.
fn facets(sheet: &Sheet, levels: &[Option<f64>]) -> SheetFacets {
    let sketch = &sheet.sketch;
    let all: Vec<usize> = (0..sketch.at.len()).collect();
    let edges: Vec<[usize; 2]> = sheet.parted.deck.iter().chain(&sheet.parted.lines).copied().collect();
    let mut facets = triangles(&sketch.at, &all, &edges);
    keep_inside(&mut facets, sketch, &sheet.parted.deck);
    let z = levels.iter().map(|level| level.unwrap_or_default()).collect();
    SheetFacets { at: sketch.at.clone(), z, facets, whole: sheet.whole.clone() }
}

/// Levels this near are one, mm.
const SAME_LEVEL: f64 = 1e-6;

/// The sheets of a deck as one mesh, and for each point of the whole deck the lowest of the mesh there. Where two sheets
/// meet at one level they share a point; else one stands above the other.
fn joined(deck: &DeckModel, parts: &[SheetFacets]) -> (Mesh, Vec<Option<usize>>) {
    let mut mesh = Mesh { deck: deck.id, ..Mesh::default() };
    let mut whole: Vec<usize> = Vec::new();
    let count = parts.iter().flat_map(|p| &p.whole).max().map_or(0, |&most| most + 1);
    let mut here: Vec<Vec<usize>> = vec![Vec::new(); count];
    for part in parts {
        let mut used = vec![false; part.at.len()];
        for &n in part.facets.iter().flatten() {
            used[n] = true;
        }
        let mut number = vec![0; part.at.len()];
        for n in (0..part.at.len()).filter(|&n| used[n]) {
            let place = &mut here[part.whole[n]];
            let same = place.iter().find(|&&p| (mesh.z[p] - part.z[n]).abs() <= SAME_LEVEL);
            number[n] = same.copied().unwrap_or(mesh.at.len());
            if same.is_none() {
                place.push(mesh.at.len());
                whole.push(part.whole[n]);
                mesh.at.push(part.at[n]);
                mesh.z.push(part.z[n]);
            }
        }
        mesh.facets.extend(part.facets.iter().map(|t| t.map(|n| number[n])));
    }
    (mesh.beyond, mesh.steps) = beyond(&mesh, &whole, deck);
    let lowest =
        |points: &Vec<usize>| points.iter().copied().min_by(|&a, &b| mesh.z[a].total_cmp(&mesh.z[b]));
    let number = here.iter().map(lowest).collect();
    (mesh, number)
}

/// What lies beyond each edge of each facet, and the points one above the other at steps, the lower first.
fn beyond(mesh: &Mesh, whole: &[usize], deck: &DeckModel) -> (Vec<[Beyond; 3]>, Vec<[usize; 2]>) {
    let mut owner: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    let mut in_plan: BTreeMap<(usize, usize), (usize, usize)> = BTreeMap::new();
    for (n, t) in mesh.facets.iter().enumerate() {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            owner.insert((a, b), n);
            in_plan.insert((whole[a], whole[b]), (n, k));
        }
    }
    let mut steps = BTreeSet::new();
    let mut side = |t: &[usize; 3], k: usize| {
        let (a, b) = (t[k], t[(k + 1) % 3]);
        if let Some(&other) = owner.get(&(b, a)) {
            return Beyond::Facet(other);
        }
        let Some(&(facet, edge)) = in_plan.get(&(whole[b], whole[a])) else {
            return edge_kind(mesh.at[a], mesh.at[b], deck);
        };
        let (there, here) = (mesh.facets[facet][edge], mesh.facets[facet][(edge + 1) % 3]);
        for [p, q] in [[a, here], [b, there]] {
            if p != q {
                steps.insert(if mesh.z[p] < mesh.z[q] { [p, q] } else { [q, p] });
            }
        }
        let drops = mesh.z[a] + mesh.z[b] > mesh.z[here] + mesh.z[there];
        if drops { Beyond::Drop { facet, edge } } else { Beyond::Rise { facet, edge } }
    };
    let beyond = mesh.facets.iter().map(|t| [side(t, 0), side(t, 1), side(t, 2)]).collect();
    (beyond, steps.into_iter().collect())
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
