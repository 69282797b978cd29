//! Classes of fall: each facet judged by the rule, and what there is to say of it.
//!
//! In: meshes with their floods and ponds, and the rule. Out: facets with fall, direction and class; the area of each
//! class, which together are the decks to the mm2; findings. A dead level deck falls less than its rule asks and holds no
//! pond: it is told as what it is.

use super::flood::Flood;
use super::flow::{Flow, Stop};
use super::given::near;
use super::mesh::Mesh;
use super::outlet_findings::place_of;
use super::ponds::{PondExact, sink};
use super::rules::written;
use crate::finding::{About, Finding};
use crate::geom::Pt;
use crate::layout::falls::{Facet, FallClass, Pond, RuleUsed};

/// Ponds that are told one by one; the rest are counted.
const TOLD: usize = 20;

/// Classes, worst first.
pub const CLASSES: [FallClass; 5] =
    [FallClass::BackFall, FallClass::Flat, FallClass::BelowLeast, FallClass::BelowDesign, FallClass::Good];

/// The facets of a mesh with their falls and classes, their corners counted from the mesh's own first point. Back-falls
/// are looked for towards the ponds given.
pub fn classed(mesh: &Mesh, flood: &Flood, ponds: &[PondExact], rule: &RuleUsed) -> Vec<Facet> {
    let mut into = PondsBelow::new(mesh, flood, ponds);
    (0..mesh.facets.len())
        .map(|f| {
            let corners = mesh.facets[f];
            let slope = mesh.slope(f);
            let fall_ppm = fall_of(slope);
            let steep = fall_ppm >= rule.flat_ppm.max(1);
            let back = steep && into.of(f).is_some_and(|n| falls_away(mesh, f, slope, &ponds[n]));
            let class = if back { FallClass::BackFall } else { class_of(fall_ppm, rule) };
            Facet {
                corners: corners.map(|n| u32::try_from(n).unwrap_or(u32::MAX)),
                deck: mesh.deck,
                fall_ppm,
                direction_mdeg: if fall_ppm == 0 { 0 } else { direction(slope) },
                class,
                drains_to: sink(mesh, flood, lowest(mesh, f)),
            }
        })
        .collect()
}

/// Fall of a slope, millionths.
#[allow(clippy::cast_possible_truncation)]
pub fn fall_of(slope: [f64; 2]) -> i64 {
    ((slope[0] * slope[0] + slope[1] * slope[1]).sqrt() * 1e6).round() as i64
}

/// Direction that water runs down a slope, thousandths of a degree anticlockwise from +x, 0 to 359999.
#[allow(clippy::cast_possible_truncation)]
pub fn direction(slope: [f64; 2]) -> i32 {
    let angle = libm::atan2(-slope[1], -slope[0]) * 180_000.0 / core::f64::consts::PI;
    (angle.round() as i32).rem_euclid(360_000)
}

fn class_of(fall_ppm: i64, rule: &RuleUsed) -> FallClass {
    if fall_ppm < rule.flat_ppm || fall_ppm == 0 {
        FallClass::Flat
    } else if fall_ppm < rule.least_ppm {
        FallClass::BelowLeast
    } else if fall_ppm < rule.design_ppm {
        FallClass::BelowDesign
    } else {
        FallClass::Good
    }
}

fn lowest(mesh: &Mesh, facet: usize) -> usize {
    let [a, b, c] = mesh.facets[facet];
    let lower = |p: usize, q: usize| if mesh.z[q] < mesh.z[p] { q } else { p };
    lower(lower(a, b), c)
}

fn middle(mesh: &Mesh, facet: usize) -> [f64; 2] {
    let [a, b, c] = mesh.facets[facet].map(|n| mesh.at[n]);
    [(a[0] + b[0] + c[0]) / 3.0, (a[1] + b[1] + c[1]) / 3.0]
}

/// Which pond the water of each facet runs into.
struct PondsBelow<'a> {
    mesh: &'a Mesh,
    flow: Flow<'a>,
    /// For each point, the pond it stands in.
    pond: Vec<Option<usize>>,
    /// For each point that water was followed from, the first pond on its way.
    known: Vec<Option<Option<usize>>>,
    any: bool,
}

impl<'a> PondsBelow<'a> {
    fn new(mesh: &'a Mesh, flood: &'a Flood, ponds: &[PondExact]) -> Self {
        let mut pond = vec![None; mesh.at.len()];
        for (n, own) in ponds.iter().enumerate() {
            for &point in &own.points {
                pond[point] = Some(n);
            }
        }
        let known = vec![None; mesh.at.len()];
        Self { mesh, flow: Flow::new(mesh, flood), pond, known, any: !ponds.is_empty() }
    }

    /// The first pond on the way of the water of a facet's middle.
    fn of(&mut self, facet: usize) -> Option<usize> {
        if !self.any {
            return None;
        }
        let mut stop = self.flow.start_on(facet, middle(self.mesh, facet));
        let (mut passed, mut found) = (Vec::new(), None);
        for _ in 0..self.flow.most_steps() {
            if let Stop::At(point) = stop {
                if let Some(known) = self.known[point] {
                    found = known;
                    break;
                }
                passed.push(point);
            }
            let next = self.flow.after(stop);
            found = self.flow.stood(stop, next).and_then(|pit| self.pond[pit]);
            if found.is_some() || matches!(next, Stop::Gone(_)) {
                break;
            }
            stop = next;
        }
        for point in passed {
            self.known[point] = Some(found);
        }
        found
    }
}

/// Whether a facet falls away from the place that its pond spills over.
fn falls_away(mesh: &Mesh, facet: usize, slope: [f64; 2], pond: &PondExact) -> bool {
    let (from, to) = (middle(mesh, facet), mesh.at[pond.spill]);
    slope[0] * (to[0] - from[0]) + slope[1] * (to[1] - from[1]) > 0.0
}

/// Area of each class over all meshes, which together are `total` to the mm2.
pub fn areas(meshes: &[Mesh], facets: &[Facet], total: i64) -> [i64; 5] {
    let mut sums = [0.0; 5];
    let all = meshes.iter().flat_map(|m| (0..m.facets.len()).map(move |f| m.doubled_area(f) / 2.0));
    for (area, facet) in all.zip(facets) {
        sums[facet.class as usize] += area;
    }
    let parts = shares(&sums, total);
    [0, 1, 2, 3, 4].map(|n| parts.get(n).copied().unwrap_or_default())
}

/// Whole numbers nearest to some parts that add up to `total`: what rounding leaves goes to the largest remainders, and
/// what the parts themselves miss goes to the largest part.
#[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
pub fn shares(parts: &[f64], total: i64) -> Vec<i64> {
    let mut whole: Vec<i64> = parts.iter().map(|p| p.floor() as i64).collect();
    let mut left = total - whole.iter().sum::<i64>();
    let mut order: Vec<usize> = (0..parts.len()).collect();
    let remainder = |n: usize| parts[n] - parts[n].floor();
    order.sort_by(|&a, &b| remainder(b).total_cmp(&remainder(a)).then(a.cmp(&b)));
    for &n in &order {
        if left > 0 && remainder(n) > 0.0 {
            whole[n] += 1;
            left -= 1;
        }
    }
    if let Some(largest) = (0..parts.len()).max_by_key(|&n| (whole[n], std::cmp::Reverse(n))) {
        whole[largest] += left;
    }
    whole
}

/// An area as people write it.
#[allow(clippy::cast_precision_loss)]
fn square_metres(area: f64) -> String {
    format!("{:.2} m2", area / 1e6)
}

/// Says of one deck how much of it falls back and how much falls less than its rule asks.
pub fn tell_falls(mesh: &Mesh, facets: &[Facet], rule: &RuleUsed, findings: &mut Vec<Finding>) {
    let of = |wanted: &[FallClass]| Share::of(mesh, facets, wanted);
    let deck = mesh.deck;
    if let Some(share) = of(&[FallClass::BackFall]) {
        let text = format!(
            "{} of deck {deck}, {}, fall away from the place their water must leave by.",
            square_metres(share.area),
            share.percent()
        );
        let mend = "Correct the falls there, or put an outlet where the water collects.";
        findings.push(Finding::warning("back-fall", About::Plan(deck), text, mend).at(share.at));
    }
    if rule.least_ppm > 0
        && let Some(share) = of(&[FallClass::Flat, FallClass::BelowLeast])
    {
        let text = format!(
            "{} of deck {deck}, {}, fall less than {} ({}).",
            square_metres(share.area),
            share.percent(),
            written(rule.least_ppm),
            rule.name
        );
        let mend = "Add falls there, or agree another rule for this roof and choose it.";
        findings.push(Finding::warning("fall-below-least", About::Plan(deck), text, mend).at(share.at));
    }
}

/// How much of a deck has some classes.
struct Share {
    area: f64,
    whole: f64,
    /// The middle of the largest facet.
    at: Pt,
}

impl Share {
    fn of(mesh: &Mesh, facets: &[Facet], wanted: &[FallClass]) -> Option<Self> {
        let area = |f: usize| mesh.doubled_area(f) / 2.0;
        let these: Vec<usize> = (0..facets.len()).filter(|&f| wanted.contains(&facets[f].class)).collect();
        let largest = these.iter().copied().max_by(|&f, &g| area(f).total_cmp(&area(g)))?;
        Some(Self {
            area: these.iter().map(|&f| area(f)).sum(),
            whole: (0..facets.len()).map(area).sum(),
            at: near(middle(mesh, largest)),
        })
    }

    fn percent(&self) -> String {
        let percent = self.area / self.whole * 100.0;
        if percent < 0.1 { "under 0.1 %".to_owned() } else { format!("{percent:.1} %") }
    }
}

/// Says where water stands, how much, and what would drain it.
pub fn tell_ponds(ponds: &[Pond], meshes: &[Mesh], findings: &mut Vec<Finding>) {
    for pond in ponds.iter().take(TOLD) {
        let text = format!(
            "Water stands on deck {}: pond {}, up to {}.{} mm deep, {}.{:02} m2, {} litres; what spills runs {}.",
            pond.deck,
            pond.number,
            pond.depth_um / 1000,
            pond.depth_um % 1000 / 100,
            pond.size / 1_000_000,
            pond.size / 10_000 % 100,
            (pond.volume + 500_000) / 1_000_000,
            place_of(pond.drains_to)
        );
        let finding = Finding::warning("pond", About::Plan(pond.deck), text, drained_by(pond, meshes));
        findings.push(finding.at(pond.deepest));
    }
    if let Some(next) = ponds.get(TOLD) {
        let text = format!("Water stands in {} more ponds, none deeper.", ponds.len() - TOLD);
        let mend = "Mend those named first; the surface lists them all.";
        findings.push(Finding::warning("pond", About::Plan(next.deck), text, mend).at(next.deepest));
    }
}

/// What would drain a pond: an outlet at its deepest place, or what it spills over made lower.
fn drained_by(pond: &Pond, meshes: &[Mesh]) -> String {
    let up = (pond.depth_um + 999) / 1000;
    let new = format!("Put an outlet at ({}, {})", pond.deepest.x, pond.deepest.y);
    let raised = meshes.iter().filter(|m| m.deck == pond.deck).flat_map(|m| {
        m.drains.iter().filter(|d| Some(near(m.at[d.point])) == pond.spill && d.level > m.z[d.point])
    });
    match (raised.map(|d| d.id).next(), pond.spill) {
        (Some(id), _) => {
            format!("Lower outlet {id} by {up} mm, or put one at ({}, {}).", pond.deepest.x, pond.deepest.y)
        }
        (None, Some(spill)) => {
            format!("{new}, or lower the deck at ({}, {}), where it spills, by {up} mm.", spill.x, spill.y)
        }
        (None, None) => format!("{new}."),
    }
}

/// Says which parts of a deck water cannot leave at all.
pub fn tell_no_way_out(mesh: &Mesh, parts: &[(f64, usize)], findings: &mut Vec<Finding>) {
    for &(area, lowest) in parts {
        let text = format!(
            "{} of deck {} have no outlet and no free edge: water cannot leave.",
            square_metres(area),
            mesh.deck
        );
        let place = near(mesh.at[lowest]);
        let mend = format!(
            "Put an outlet at ({}, {}), the lowest place, or open the one that is blocked.",
            place.x, place.y
        );
        findings.push(Finding::warning("no-way-out", About::Plan(mesh.deck), text, mend).at(place));
    }
}
