//! Outlets: what each has to take and takes, and what happens when it is blocked.
//!
//! In: a plan, its checked geometry, the surfaces of its decks with their floods. Out: the outlets of the
//! [`Falls`], deck areas by where their water goes, to the mm2, where each facet drains, and
//! findings (`outlet_findings`). Rain, openings and walls count only as far as the plan gives them. It moves and
//! adds no outlet.

use super::blocked::{Standing, standing};
use super::catchments::{self, Catchments};
use super::classes::shares;
use super::feet::{self, Foot};
use super::flood::{Flood, flood};
use super::flow::Flow;
use super::hydraulics;
use super::mesh::{Drain, Mesh};
use super::outlet_findings;
use crate::finding::Finding;
use crate::geom::ring::doubled_area_of;
use crate::geom::{Pt, Region};
use crate::layout::falls::{Falls, OutletWork, Sink};
use crate::model::Model;
use crate::plan::{Drainage, Id, Outlet, OutletKind, Plan};
use std::collections::BTreeMap;

/// One deck with its water.
pub(super) struct Site<'a> {
    pub mesh: &'a Mesh,
    pub flow: Flow<'a>,
    pub flood: &'a Flood,
    pub parts: Catchments,
    pub feet: Vec<Foot>,
}

/// An outlet on a deck with a surface.
pub(super) struct Placed<'a> {
    pub outlet: &'a Outlet,
    /// Its deck.
    pub site: &'a Site<'a>,
    /// Its drain of the mesh; absent when it is taken to be blocked.
    pub drain: Option<Drain>,
    /// What stands over it when it is blocked; for overflows, not looked at.
    pub blocked: Option<Standing>,
    /// What the layout says of it.
    pub work: OutletWork,
}

/// Fills in outlets, catchments and where facets and ponds drain.
pub fn fill(
    plan: &Plan,
    model: &Model,
    meshes: &[Mesh],
    floods: &[Flood],
    falls: &mut Falls,
    findings: &mut Vec<Finding>,
) {
    let sites: Vec<Site> =
        meshes.iter().zip(floods).map(|(mesh, flood)| Site::new(mesh, flood, model)).collect();
    let total = deck_area(model, meshes, falls);
    let sizes = sizes(plan, &sites, total, falls);
    let mut outlines = outlines(&sites, model);
    let faces = faces(&sites, plan);
    drains_to(&sites, falls);
    let mut placed: Vec<Placed> = Vec::new();
    let mut works: Vec<OutletWork> = Vec::new();
    for outlet in &plan.outlets {
        let sink = Sink::Outlet(outlet.id);
        let faces = faces.get(&sink).map_or(&[][..], Vec::as_slice);
        let catchment = Catchment {
            size: sizes.get(&outlet.id).copied().unwrap_or(0),
            wall_area: hydraulics::wall_area(faces, f64::from(plan.drainage.wall_share) / 1000.0),
            outline: outlines.remove(&sink).unwrap_or_default(),
        };
        let mut work = worked(outlet, &plan.drainage, catchment);
        if let Some(mut found) = place(outlet, &sites) {
            work.level_um = Some(micrometres(found.level));
            work.blocked = found.blocked.as_ref().map(Standing::written);
            work.overflow |= found.drain.is_some_and(|d| d.overflow);
            placed.push(Placed {
                outlet,
                site: found.site,
                drain: found.drain,
                blocked: found.blocked.take(),
                work: work.clone(),
            });
        }
        works.push(work);
    }
    falls.outlets = works;
    outlet_findings::tell(&sites, &placed, findings);
}

impl<'a> Site<'a> {
    fn new(mesh: &'a Mesh, flood: &'a Flood, model: &Model) -> Self {
        let flow = Flow::new(mesh, flood);
        let parts = catchments::of(&flow);
        let deck = model.decks.iter().find(|d| d.id == mesh.deck);
        let feet = deck.map_or_else(Vec::new, |d| feet::feet(mesh, &d.walls));
        Self { mesh, flow, flood, parts, feet }
    }

    /// The surface with only some of its outlets, and its flood.
    pub(super) fn with(&self, keep: impl Fn(&Drain) -> bool) -> (Mesh, Flood) {
        let mut mesh = self.mesh.clone();
        mesh.drains.retain(keep);
        let flood = flood(&mesh);
        (mesh, flood)
    }
}

/// Area of the decks that have a surface, mm2: what the classes add up to, where they are known.
#[allow(clippy::cast_possible_truncation)]
fn deck_area(model: &Model, meshes: &[Mesh], falls: &Falls) -> i64 {
    let classed: i64 = falls.class_areas.iter().sum();
    if classed > 0 {
        return classed;
    }
    let with = model.decks.iter().filter(|d| meshes.iter().any(|m| m.deck == d.id));
    (with.map(|d| doubled_area_of(&d.area)).sum::<i128>() / 2) as i64
}

/// Size of the catchment of each outlet; what goes over edges and what is trapped go straight to the falls.
fn sizes(plan: &Plan, sites: &[Site], total: i64, falls: &mut Falls) -> BTreeMap<Id, i64> {
    let mut areas: Vec<f64> = vec![0.0; plan.outlets.len() + 2];
    let (over_edges, trapped) = (plan.outlets.len(), plan.outlets.len() + 1);
    for (sink, area) in sites.iter().flat_map(|s| s.parts.areas()) {
        let slot = match sink {
            Sink::Outlet(id) => plan.outlets.iter().position(|o| o.id == id).unwrap_or(trapped),
            Sink::Edge(_) => over_edges,
            Sink::Nowhere => trapped,
        };
        areas[slot] += area;
    }
    let sizes = shares(&areas, total);
    (falls.over_edges, falls.trapped) = (sizes[over_edges], sizes[trapped]);
    plan.outlets.iter().zip(sizes).map(|(o, size)| (o.id, size)).collect()
}

fn outlines(sites: &[Site], model: &Model) -> BTreeMap<Sink, Vec<Region>> {
    let mut outlines: BTreeMap<Sink, Vec<Region>> = BTreeMap::new();
    for site in sites {
        for (sink, regions) in site.parts.outlines(site.mesh, &model.canvas) {
            outlines.entry(sink).or_default().extend(regions);
        }
    }
    outlines
}

#[allow(clippy::cast_precision_loss)]
fn faces(sites: &[Site], plan: &Plan) -> BTreeMap<Sink, Vec<[f64; 2]>> {
    let height = plan.drainage.wall_height.max(0) as f64;
    let mut faces: BTreeMap<Sink, Vec<[f64; 2]>> = BTreeMap::new();
    for site in sites {
        for (sink, own) in feet::faces(site.mesh, &site.parts, &site.feet, height) {
            faces.entry(sink).or_default().extend(own);
        }
    }
    faces
}

/// Where facets and ponds drain. Facets stand in the falls mesh by mesh.
fn drains_to(sites: &[Site], falls: &mut Falls) {
    let middles: Vec<Sink> = sites.iter().flat_map(|s| s.parts.middles.iter().copied()).collect();
    if middles.len() == falls.facets.len() {
        for (facet, sink) in falls.facets.iter_mut().zip(middles) {
            facet.drains_to = sink;
        }
    }
    for pond in &mut falls.ponds {
        let site = sites.iter().find(|s| s.mesh.deck == pond.deck);
        if let Some((site, point)) = site.and_then(|s| Some((s, nearest(s.mesh, pond.deepest)?))) {
            pond.drains_to = site.flow.spills_to(point);
        }
    }
}

struct Catchment {
    size: i64,
    wall_area: f64,
    outline: Vec<Region>,
}

/// What an outlet has to take and takes.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
fn worked(outlet: &Outlet, drainage: &Drainage, catchment: Catchment) -> OutletWork {
    let square_metres = (catchment.size as f64 + catchment.wall_area) / 1e6;
    let flow = drainage.rain.map(|tenths| {
        let rain = hydraulics::rain_from_mm_per_hour(f64::from(tenths) / 10.0);
        hydraulics::runoff(rain, square_metres, f64::from(drainage.runoff) / 1000.0)
    });
    let intake = &outlet.intake;
    // A siphonic outlet takes what its maker tested, not what its opening would as a weir.
    let mouth = intake.mouth.filter(|_| outlet.kind != OutletKind::Siphonic);
    let capacity = mouth.map(|m| hydraulics::capacity(m, intake.strainer, intake.head.max(0) as f64));
    let head = mouth.zip(flow).map(|(m, flow)| hydraulics::head_for(m, intake.strainer, flow));
    OutletWork {
        id: outlet.id,
        overflow: outlet.kind == OutletKind::Overflow,
        level_um: None,
        catchment: catchment.outline,
        size: catchment.size,
        wall_area: catchment.wall_area.round() as i64,
        flow: flow.map(|litres| (litres * 1000.0).round() as i64),
        capacity: capacity.map(|litres| (litres * 1000.0).round() as i64),
        head_um: head.filter(|h| h.is_finite()).map(micrometres),
        blocked: None,
    }
}

struct Found<'a> {
    site: &'a Site<'a>,
    drain: Option<Drain>,
    level: f64,
    blocked: Option<Standing>,
}

/// Finds an outlet on the surfaces. One that is taken to be blocked is no drain of its mesh.
#[allow(clippy::cast_precision_loss)]
fn place<'a>(outlet: &Outlet, sites: &'a [Site<'a>]) -> Option<Found<'a>> {
    for site in sites {
        if let Some(drain) = site.mesh.drains.iter().find(|d| d.id == outlet.id) {
            let blocked = (!drain.overflow).then(|| {
                let (mesh, flood) = site.with(|d| d.id != outlet.id);
                standing(&mesh, &flood, &site.feet, drain.point)
            });
            return Some(Found { site, drain: Some(*drain), level: drain.level, blocked });
        }
    }
    let at = [outlet.at.x as f64, outlet.at.y as f64];
    let (site, facet) = sites.iter().find_map(|s| Some((s, s.flow.facet_at(at)?)))?;
    let deck = site.mesh.level_on(facet, at);
    let rim = outlet.intake.level.map_or(deck, |level| level as f64) + outlet.intake.sill.max(0) as f64;
    let point = nearest(site.mesh, outlet.at)?;
    let blocked = (outlet.kind != OutletKind::Overflow)
        .then(|| standing(site.mesh, site.flood, &site.feet, point).over_level(site.mesh.z[point] - deck));
    Some(Found { site, drain: None, level: rim.max(deck), blocked })
}

impl Standing {
    /// The same water over a place that lies lower by this much, mm.
    fn over_level(self, lower: f64) -> Self {
        let depth = if self.size > 0.0 { (self.depth + lower).max(0.0) } else { 0.0 };
        Self { depth, ..self }
    }
}

#[allow(clippy::cast_precision_loss)]
fn nearest(mesh: &Mesh, place: Pt) -> Option<usize> {
    let far = |p: usize| {
        let [x, y] = [mesh.at[p][0] - place.x as f64, mesh.at[p][1] - place.y as f64];
        x * x + y * y
    };
    // Of two one above the other, the lower: water stands at the foot of a step.
    (0..mesh.at.len()).min_by(|&a, &b| far(a).total_cmp(&far(b)).then(mesh.z[a].total_cmp(&mesh.z[b])))
}

#[allow(clippy::cast_possible_truncation)]
fn micrometres(mm: f64) -> i64 {
    (mm * 1000.0).round() as i64
}
