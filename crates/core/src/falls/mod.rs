//! Falls: the surface of the decks, where water runs, where it stands and how much each outlet has to take.
//!
//! In: a plan with levels, and its checked geometry. Out: a [`Found`], with the [`Falls`] of
//! the layout and the surfaces that later stages ask about levels, slopes and ponds. It lays nothing and judges no bay
//! edge: [`crate::seams`] does.

pub mod blocked;
pub mod catchments;
pub mod classes;
pub mod contours;
pub mod feet;
mod fit;
pub mod flood;
pub mod flow;
mod given;
pub mod ground;
pub mod hydraulics;
mod known;
pub mod locate;
pub mod mesh;
mod outlet_findings;
pub mod outlets;
mod outliers;
mod planes;
pub mod ponds;
pub mod rules;
mod sheets;
mod sketch;
mod steps;
pub mod surface;
mod triangles;

use crate::finding::Finding;
use crate::geom::Pt;
use crate::geom::ring::doubled_area_of;
use crate::layout::falls::{Facet, Falls, Pond, Section, Trace};
use crate::model::Model;
use crate::plan::{Levels, Plan};
use flood::Flood;
use flow::Flow;
use ground::Ground;
use mesh::Mesh;
use ponds::PondExact;

/// What is found of falls and water.
#[derive(Clone, Debug)]
pub struct Found {
    /// The surface of each deck that has levels enough, in the order of the plan.
    pub meshes: Vec<Mesh>,
    /// The flood of each.
    pub floods: Vec<Flood>,
    /// The ponds of each that are deep enough to tell of, deepest first.
    pub ponds: Vec<Vec<PondExact>>,
    /// As the layout holds it; lengths of edges by verdict still empty.
    pub falls: Falls,
    /// What later stages ask about lines over the decks.
    pub ground: Ground,
}

/// Finds the falls of a plan; nothing when no deck has levels enough.
pub fn find(plan: &Plan, model: &Model, findings: &mut Vec<Finding>) -> Option<Found> {
    if plan.levels == Levels::default() {
        return None;
    }
    let surface::Surfaces { meshes, input } = surface::surfaces(plan, model, findings);
    if meshes.is_empty() {
        return None;
    }
    let floods: Vec<Flood> = meshes.iter().map(flood::flood).collect();
    let least = given::whole(plan.drainage.least_pond);
    let ponds: Vec<Vec<PondExact>> =
        meshes.iter().zip(&floods).map(|(mesh, flood)| ponds::at_least(mesh, flood, least)).collect();
    let mut falls = Falls::bare(rules::used(&plan.drainage), input);
    (falls.low_lines, falls.ridges) = contours::low_lines_and_ridges(&meshes, falls.rule.flat_ppm);
    falls.contours = contours::contours(&meshes);
    falls.ponds = numbered(&meshes, &floods, &ponds, model);
    for ((mesh, flood), ponds) in meshes.iter().zip(&floods).zip(&ponds) {
        let facets = classes::classed(mesh, flood, ponds, &falls.rule);
        classes::tell_no_way_out(mesh, &ponds::without_way_out(mesh, flood), findings);
        classes::tell_falls(mesh, &facets, &falls.rule, findings);
        append(&mut falls, mesh, facets);
    }
    falls.class_areas = classes::areas(&meshes, &falls.facets, area_of(&meshes, model));
    outlets::fill(plan, model, &meshes, &floods, &mut falls, findings);
    // Only now is it known where ponds drain to.
    classes::tell_ponds(&falls.ponds, &meshes, findings);
    let waters: Vec<(&Mesh, &Flood)> = meshes.iter().zip(&floods).collect();
    let ground = Ground::new(&waters, least, falls.rule.flat_ppm as f64 / 1e6);
    let ground = ground.with_lines(&falls.low_lines, &falls.ridges, &model.outlets);
    Some(Found { meshes, floods, ponds, falls, ground })
}

impl Found {
    /// The way that water takes from a place; `None` from a place without levels.
    #[allow(clippy::cast_precision_loss)]
    pub fn trace(&self, from: Pt) -> Option<Trace> {
        let place = [from.x as f64, from.y as f64];
        for ((mesh, flood), ponds) in self.meshes.iter().zip(&self.floods).zip(&self.ponds) {
            let flow = Flow::new(mesh, flood);
            if flow.facet_at(place).is_none() {
                continue;
            }
            let path = flow.path(place);
            let mut points: Vec<Pt> = path.points.iter().map(|at| given::near(*at)).collect();
            points.dedup();
            let stood = |pond: &&PondExact| path.ponds.iter().any(|&pit| pond.points.contains(&pit));
            let deepest = ponds.iter().filter(stood).map(|pond| given::near(mesh.at[pond.deepest]));
            let numbers = deepest.filter_map(|at| {
                let pond = self.falls.ponds.iter().find(|p| p.deck == mesh.deck && p.deepest == at)?;
                Some(pond.number)
            });
            return Some(Trace { points, ponds: numbers.collect(), drains_to: path.sink });
        }
        None
    }

    /// The levels along a line; `None` where it crosses no deck with levels.
    pub fn section(&self, line: &[Pt]) -> Option<Section> {
        self.ground.section(line)
    }
}

/// Appends the points and facets of a mesh.
fn append(falls: &mut Falls, mesh: &Mesh, mut facets: Vec<Facet>) {
    let first = u32::try_from(falls.points.len()).unwrap_or(u32::MAX);
    for facet in &mut facets {
        facet.corners = facet.corners.map(|n| n.saturating_add(first));
    }
    falls.points.extend(mesh.at.iter().zip(&mesh.z).map(|(at, z)| micrometres([at[0], at[1], *z])));
    falls.facets.extend(facets);
}

/// Ponds of all decks, deepest first, as the layout holds them.
fn numbered(meshes: &[Mesh], floods: &[Flood], ponds: &[Vec<PondExact>], model: &Model) -> Vec<Pond> {
    let mut out: Vec<Pond> = Vec::new();
    for ((mesh, flood), ponds) in meshes.iter().zip(floods).zip(ponds) {
        out.extend(ponds.iter().map(|pond| ponds::written(mesh, flood, pond, &model.canvas)));
    }
    out.sort_by(|a, b| b.depth_um.cmp(&a.depth_um).then(a.deck.cmp(&b.deck)).then(a.deepest.cmp(&b.deepest)));
    for (pond, number) in out.iter_mut().zip(1..) {
        pond.number = number;
    }
    out
}

/// Area of the decks that have a surface, mm2; the half that decks of odd doubled area have over is left out.
#[allow(clippy::cast_possible_truncation)]
fn area_of(meshes: &[Mesh], model: &Model) -> i64 {
    let with = model.decks.iter().filter(|d| meshes.iter().any(|m| m.deck == d.id));
    (with.map(|d| doubled_area_of(&d.area)).sum::<i128>() / 2) as i64
}

#[allow(clippy::cast_possible_truncation)]
fn micrometres(point: [f64; 3]) -> [i64; 3] {
    point.map(|v| (v * 1000.0).round() as i64)
}
