//! The model: the plan's drawing turned into checked geometry.
//!
//! In: a [`Plan`] that may hold any nonsense. Out: decks with their area (outline less openings), the walls that
//! bound them with the deck on their left, the shapes no reinforcement may enter, and the lines that part zones; and a
//! finding for everything that is wrong with the drawing. Later stages cannot receive a crossed ring, a ring the wrong
//! way round or an opening in mid-air. It decides nothing about laying.

use crate::finding::{About, Finding};
use crate::geom::offset::{self, Banded, Shape as OffsetShape};
use crate::geom::overlay::{Canvas, Contour};
use crate::geom::ring::{self, Side};
use crate::geom::{Points, Pt, Region};
use crate::plan::{Edge, Id, Line, Mm, OutletKind, Penetration, Plan, Ring, Shape, ZoneLineKind};

/// Checked geometry of a job.
#[derive(Clone, Debug)]
pub struct Model {
    /// The grid that every boolean operation of the job shares.
    pub canvas: Canvas,
    /// Decks with something to lay on.
    pub decks: Vec<DeckModel>,
    /// Lines that part zones.
    pub lines: Vec<PartingLine>,
    /// Outlets, where no end lap and no bay edge may lie.
    pub outlets: Vec<OutletZone>,
}

/// One deck.
#[derive(Clone, Debug)]
pub struct DeckModel {
    /// Its id in the plan.
    pub id: Id,
    /// Outline less openings.
    pub area: Vec<Region>,
    /// The rings of its area, less spikes of no width: what its walls are measured along.
    pub rim: Vec<Points>,
    /// What reinforcement may not enter: clear strips, edge gaps, collars, bowls. They may overlap.
    pub barred: Vec<Contour>,
    /// Its outline and the openings on it, edge by edge.
    pub walls: Vec<Wall>,
}

/// An edge of a deck or an opening, with the deck on its left.
#[derive(Clone, Debug)]
pub struct Wall {
    /// Start.
    pub a: Pt,
    /// End.
    pub b: Pt,
    /// What stands along it.
    pub edge: Edge,
    /// Id of the deck or the opening that it bounds.
    pub of: Id,
}

/// A line that parts zones.
#[derive(Clone, Debug)]
pub struct PartingLine {
    /// Its corners, its ends drawn out a little so that they reach across.
    pub points: Vec<Pt>,
    /// Whether the reinforcement laps across it (a drawn line) or stops at it (a joint, a change of level).
    pub lapped: bool,
}

/// An outlet's clear zone.
#[derive(Clone, Copy, Debug)]
pub struct OutletZone {
    /// Middle.
    pub at: Pt,
    /// Radius, mm.
    pub radius: Mm,
}

/// Ends of parting lines are drawn out by this, mm: an end put on a skew edge is up to 1 mm short of it.
const DRAWN_OUT: f64 = 5.0;

/// Widest job, mm: beyond it a mm is no longer what the working grid can hold.
const WIDEST: Mm = 4_000_000;

/// Checks a plan's drawing.
pub fn check(plan: &Plan, findings: &mut Vec<Finding>) -> Model {
    let canvas = canvas_of(plan, findings);
    let openings = sound_rings(plan.openings.iter().map(|o| (o.id, &o.ring)), "Opening", &canvas, findings);
    let outlines = sound_rings(plan.decks.iter().map(|d| (d.id, &d.ring)), "Outline", &canvas, findings);
    let collars = collars(plan, &canvas, findings);
    let mut decks: Vec<DeckModel> = Vec::new();
    for outline in &outlines {
        let holes: Vec<Contour> = openings.iter().flat_map(|o| canvas.rings(&o.area)).collect();
        let taken = overlapped(&outline.area, &decks, &canvas);
        if !taken.is_empty() {
            findings.push(decks_overlap(outline.id, &taken));
        }
        // Decks all round may take a frame out of this one: what is within it is left.
        let area = canvas.difference_with(&canvas.rings(&outline.area), holes, &taken);
        let walls: Vec<Wall> =
            outline.walls.iter().cloned().chain(openings.iter().flat_map(|o| turned(&o.walls))).collect();
        let mut barred = collars.clone();
        barred.extend(bars(outline, &openings, plan, &canvas));
        let rim = area.iter().flatten().map(|points| without_spikes(points)).collect();
        decks.push(DeckModel { id: outline.id, area, rim, barred, walls });
    }
    check_openings(&openings, &outlines, findings);
    check_things(plan, &decks, findings);
    let lines = parting_lines(plan, &canvas, &decks, findings);
    let outlets = plan.outlets.iter().map(|o| OutletZone { at: o.at, radius: o.clear_zone.max(0) }).collect();
    if plan.decks.is_empty() {
        findings.push(Finding::note(
            "no-deck",
            About::Job,
            "There is no deck yet.",
            "Draw the outline of the roof.",
        ));
    }
    Model { canvas, decks, lines, outlets }
}

/// A ring that encloses something.
struct SoundRing {
    id: Id,
    area: Vec<Region>,
    /// Edges with what the ring encloses on their left.
    walls: Vec<Wall>,
}

fn canvas_of(plan: &Plan, findings: &mut Vec<Finding>) -> Canvas {
    let corners = plan.decks.iter().flat_map(|d| d.ring.iter().map(|c| &c.at));
    let (lo, hi) = ring::bounds(corners).unwrap_or_default();
    if hi.x - lo.x > WIDEST || hi.y - lo.y > WIDEST {
        findings.push(
            Finding::error(
                "job-too-wide",
                About::Job,
                "The decks are more than 4 km apart.",
                "Check the units of the drawing, or make a job of each roof.",
            )
            .at(lo),
        );
    }
    Canvas::new(lo, hi)
}

fn sound_rings<'a>(
    rings: impl Iterator<Item = (Id, &'a Ring)>,
    what: &str,
    canvas: &Canvas,
    findings: &mut Vec<Finding>,
) -> Vec<SoundRing> {
    rings.filter_map(|(id, ring)| sound_ring(id, ring, what, canvas, findings)).collect()
}

fn sound_ring(
    id: Id,
    ring: &Ring,
    what: &str,
    canvas: &Canvas,
    findings: &mut Vec<Finding>,
) -> Option<SoundRing> {
    let mut walls = edges_of(id, ring);
    let points: Vec<Pt> = walls.iter().map(|w| w.a).collect();
    let place = ring.first().map(|c| c.at);
    let doubled = ring::doubled_area(&points);
    let crossing = self_crossing(&points);
    if points.len() < 3 || (doubled == 0 && crossing.is_none()) {
        let text = format!("{what} {id} encloses nothing.");
        let finding = Finding::error(
            "no-area",
            About::Plan(id),
            text,
            "Draw at least three corners that are not in line.",
        );
        findings.push(match place {
            Some(p) => finding.at(p),
            None => finding,
        });
        return None;
    }
    if let Some((edge, at)) = crossing {
        let text = format!("{what} {id} crosses itself at ({}, {}).", at.x, at.y);
        let mend = "Move a corner so that its edges no longer cross; until then what it encloses is planned.";
        findings.push(Finding::error("crosses-itself", About::Edge { id, edge }, text, mend).at(at));
        let area = canvas.enclosed(&points);
        let kind = walls[0].edge.clone();
        let walls = walls_of(id, &area, &kind);
        return Some(SoundRing { id, area, walls });
    }
    if doubled < 0 {
        walls = turned(&walls);
    }
    let mut points: Vec<Pt> = walls.iter().map(|w| w.a).collect();
    points.dedup();
    Some(SoundRing { id, area: vec![vec![points]], walls })
}

/// Edges of a ring, repeated corners left out.
fn edges_of(of: Id, ring: &Ring) -> Vec<Wall> {
    ring.iter()
        .enumerate()
        .map(|(i, c)| Wall { a: c.at, b: ring[(i + 1) % ring.len()].at, edge: c.edge.clone(), of })
        .filter(|wall| wall.a != wall.b)
        .collect()
}

fn walls_of(of: Id, area: &[Region], edge: &Edge) -> Vec<Wall> {
    area.iter()
        .flatten()
        .flat_map(|r| ring::edges(r))
        .map(|(a, b)| Wall { a, b, edge: edge.clone(), of })
        .collect()
}

/// The same edges with the other side on their left.
fn turned(walls: &[Wall]) -> Vec<Wall> {
    walls.iter().rev().map(|w| Wall { a: w.b, b: w.a, edge: w.edge.clone(), of: w.of }).collect()
}

/// The first edge that properly crosses another, and where.
#[allow(clippy::cast_possible_truncation)]
fn self_crossing(points: &[Pt]) -> Option<(u32, Pt)> {
    let mut order: Vec<usize> = (0..points.len()).collect();
    let edge = |i: usize| (points[i], points[(i + 1) % points.len()]);
    let left = |i: usize| edge(i).0.x.min(edge(i).1.x);
    let right = |i: usize| edge(i).0.x.max(edge(i).1.x);
    order.sort_by_key(|&i| (left(i), i));
    let mut found: Option<(u32, Pt)> = None;
    for (rank, &i) in order.iter().enumerate() {
        for &j in order[rank + 1..].iter().take_while(|&&j| left(j) <= right(i)) {
            if let Some(at) = crossing(edge(i), edge(j)) {
                let hit = (i.min(j) as u32, at);
                found = Some(found.map_or(hit, |f| f.min(hit)));
            }
        }
    }
    found
}

/// Where two edges properly cross: each has its ends on different sides of the other.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
fn crossing((a, b): (Pt, Pt), (c, d): (Pt, Pt)) -> Option<Pt> {
    let (from, to) = (c.turn(d, a), c.turn(d, b));
    let (one, two) = (a.turn(b, c), a.turn(b, d));
    let parts = |p: i128, q: i128| (p < 0 && q > 0) || (p > 0 && q < 0);
    if !(parts(from, to) && parts(one, two)) {
        return None;
    }
    let share = from as f64 / (from - to) as f64;
    let along = |p: i64, q: i64| p + ((q - p) as f64 * share).round() as i64;
    Some(Pt::new(along(a.x, b.x), along(a.y, b.y)))
}

fn overlapped(outline: &[Region], earlier: &[DeckModel], canvas: &Canvas) -> Vec<Region> {
    let (Some((lo, hi)), rings) = (ring::bounds(outline.iter().flatten().flatten()), canvas.rings(outline))
    else {
        return Vec::new();
    };
    let near = |d: &&DeckModel| {
        ring::bounds(d.area.iter().flatten().flatten())
            .is_some_and(|(l, h)| l.x < hi.x && h.x > lo.x && l.y < hi.y && h.y > lo.y)
    };
    let others: Vec<Contour> = earlier.iter().filter(near).flat_map(|d| canvas.rings(&d.area)).collect();
    if others.is_empty() { Vec::new() } else { canvas.intersection(&rings, others) }
}

fn decks_overlap(id: Id, taken: &[Region]) -> Finding {
    let text = format!("Deck {id} overlaps a deck drawn before it.");
    let finding = Finding::error(
        "decks-overlap",
        About::Plan(id),
        text,
        "Move it clear; the shared part is planned once.",
    );
    match taken.first().and_then(|r| r.first()).and_then(|r| r.first()) {
        Some(&p) => finding.at(p),
        None => finding,
    }
}

/// Distance reinforcement keeps from an edge.
fn kept_clear(edge: &Edge, plan: &Plan) -> Mm {
    match edge {
        Edge::Upstand { .. } => plan.products.clear,
        Edge::Free { .. } => plan.products.edge_gap,
    }
}

/// Clear strips and edge gaps of one deck.
fn bars(outline: &SoundRing, openings: &[SoundRing], plan: &Plan, canvas: &Canvas) -> Vec<Contour> {
    let banded = |walls: &[Wall]| -> Vec<Banded> {
        walls.iter().map(|w| Banded { a: w.a, b: w.b, width: kept_clear(&w.edge, plan) }).collect()
    };
    let mut shapes = offset::bands(&banded(&outline.walls));
    for opening in openings {
        shapes.extend(offset::bands(&banded(&turned(&opening.walls))));
    }
    shapes.iter().map(|shape| canvas.shape(shape)).collect()
}

/// Collars of penetrations and bowls of outlets.
fn collars(plan: &Plan, canvas: &Canvas, findings: &mut Vec<Finding>) -> Vec<Contour> {
    let mut shapes: Vec<OffsetShape> = Vec::new();
    for penetration in &plan.penetrations {
        shapes.extend(collar(penetration, plan, findings));
    }
    shapes.extend(plan.outlets.iter().filter(|o| o.bowl > 0).map(|o| offset::circle(o.at, half(o.bowl))));
    shapes.iter().map(|shape| canvas.shape(shape)).collect()
}

#[allow(clippy::cast_precision_loss)]
fn collar(penetration: &Penetration, plan: &Plan, findings: &mut Vec<Finding>) -> Vec<OffsetShape> {
    let width = penetration.collar.unwrap_or(plan.products.collar).max(0);
    match &penetration.shape {
        Shape::Circle { centre, diameter } => vec![offset::circle(*centre, half(*diameter) + width as f64)],
        Shape::Ring { corners } => {
            let mut points = corners.clone();
            points.dedup();
            if points.len() < 3 || ring::doubled_area(&points) == 0 {
                let id = penetration.id;
                let text = format!("Penetration {id} encloses nothing.");
                findings.push(Finding::error(
                    "no-area",
                    About::Plan(id),
                    text,
                    "Draw its shape, or make it round.",
                ));
                return Vec::new();
            }
            if ring::doubled_area(&points) > 0 {
                points.reverse();
            }
            let edges: Vec<Banded> = ring::edges(&points).map(|(a, b)| Banded { a, b, width }).collect();
            let mut shapes = offset::bands(&edges);
            shapes.push(points.iter().map(|p| [p.x as f64, p.y as f64]).collect());
            shapes
        }
    }
}

#[allow(clippy::cast_precision_loss)]
fn half(diameter: Mm) -> f64 {
    diameter.max(0) as f64 / 2.0
}

fn check_openings(openings: &[SoundRing], outlines: &[SoundRing], findings: &mut Vec<Finding>) {
    for opening in openings {
        let points = || opening.area.iter().flatten().flatten();
        let sides: Vec<Side> = points()
            .map(|&p| {
                let inside = |o: &&SoundRing| o.area.iter().any(|r| ring::locate_in(p, r) == Side::Inside);
                if outlines.iter().any(|o| inside(&o)) { Side::Inside } else { Side::Outside }
            })
            .collect();
        if !sides.contains(&Side::Inside) && !outlines.iter().any(|o| touches(&o.area, &opening.area)) {
            let id = opening.id;
            let text = format!("Opening {id} lies outside every deck.");
            let finding =
                Finding::error("outside-deck", About::Plan(id), text, "Move it on to a deck or delete it.");
            findings.push(finding.at(points().next().copied().unwrap_or_default()));
        }
    }
}

/// Whether two areas whose corners are not inside one another still share something.
fn touches(one: &[Region], two: &[Region]) -> bool {
    let edges = |area: &[Region]| -> Vec<(Pt, Pt)> {
        area.iter().flatten().flat_map(|r| ring::edges(r).collect::<Vec<_>>()).collect()
    };
    let (one_edges, two_edges) = (edges(one), edges(two));
    one_edges.iter().any(|&e| two_edges.iter().any(|&f| crossing(e, f).is_some()))
        || one_edges.iter().any(|&(p, _)| two.iter().any(|r| ring::locate_in(p, r) == Side::Inside))
        || two_edges.iter().any(|&(a, b)| {
            let middle = Pt::new(i64::midpoint(a.x, b.x), i64::midpoint(a.y, b.y));
            one.iter().any(|r| ring::locate_in(middle, r) == Side::Inside)
        })
}

/// Penetrations and outlets that stand off the deck or on an upstand.
fn check_things(plan: &Plan, decks: &[DeckModel], findings: &mut Vec<Finding>) {
    let on_deck = |p: Pt| decks.iter().any(|d| d.area.iter().any(|r| ring::locate_in(p, r) != Side::Outside));
    for penetration in &plan.penetrations {
        let at = match &penetration.shape {
            Shape::Circle { centre, .. } => Some(*centre),
            Shape::Ring { corners } => {
                corners.iter().copied().find(|&c| on_deck(c)).or(corners.first().copied())
            }
        };
        if let Some(at) = at.filter(|&p| !on_deck(p)) {
            let id = penetration.id;
            let text = format!("Penetration {id} is not on a deck.");
            let mend = "Move it on to a deck or delete it.";
            findings.push(Finding::error("outside-deck", About::Plan(id), text, mend).at(at));
        }
    }
    for outlet in &plan.outlets {
        let id = outlet.id;
        if !on_deck(outlet.at) && outlet.kind != OutletKind::Chute {
            let text = format!("Outlet {id} is not on a deck.");
            let mend = "Move it on to a deck or delete it.";
            findings.push(Finding::error("outside-deck", About::Plan(id), text, mend).at(outlet.at));
        } else if outlet.kind != OutletKind::Chute && on_upstand(outlet.at, outlet.bowl, decks) {
            let text = format!("The bowl of outlet {id} runs into an upstand.");
            let mend = "Move it clear of the upstand, or make it an outlet through the parapet.";
            findings.push(Finding::error("outlet-on-upstand", About::Plan(id), text, mend).at(outlet.at));
        }
    }
}

fn on_upstand(at: Pt, bowl: Mm, decks: &[DeckModel]) -> bool {
    decks
        .iter()
        .flat_map(|d| &d.walls)
        .any(|w| matches!(w.edge, Edge::Upstand { .. }) && distance_to(at, w.a, w.b) < half(bowl))
}

/// A corner at which a ring turns back on itself to within this is a spike, mm.
const SPIKE: f64 = 3.0;

/// A ring less the corners at which it turns back on itself: an opening drawn along the edge of the deck, a mm off it, leaves
/// a spike that nobody builds.
fn without_spikes(points: &[Pt]) -> Points {
    let mut out = points.to_vec();
    while out.len() > 3 {
        let at = |i: usize| out[i % out.len()];
        let spike = (0..out.len()).find(|&i| {
            let (a, b, c) = (at(i + out.len() - 1), at(i), at(i + 1));
            b.dot(a, c) > 0 && distance_to(c, a, b).min(distance_to(a, b, c)) <= SPIKE
        });
        let Some(spike) = spike else { break };
        out.remove(spike);
    }
    out
}

/// Distance of a point from a segment, mm.
#[allow(clippy::cast_precision_loss)]
pub fn distance_to(p: Pt, a: Pt, b: Pt) -> f64 {
    let (ahead, length) = (a.dot(b, p), a.distance_squared(b));
    if length == 0 || ahead <= 0 {
        p.distance(a)
    } else if ahead >= length {
        p.distance(b)
    } else {
        (a.turn(b, p) as f64).abs() / (length as f64).sqrt()
    }
}

fn parting_lines(
    plan: &Plan,
    canvas: &Canvas,
    decks: &[DeckModel],
    findings: &mut Vec<Finding>,
) -> Vec<PartingLine> {
    let joints = plan.joints.iter().map(|j: &Line| (j.id, &j.points, "Movement joint", false));
    let drawn = plan.zone_lines.iter().map(|z| (z.id, &z.points, "Zone line", z.kind == ZoneLineKind::Drawn));
    let (mut lines, mut seen) = (Vec::new(), Vec::new());
    for (id, points, what, lapped) in joints.chain(drawn) {
        let mut points = points.clone();
        points.dedup();
        if points.len() < 2 {
            let text = format!("{what} {id} has no length.");
            let finding = Finding::error(
                "no-length",
                About::Plan(id),
                text,
                "Draw it from edge to edge, or delete it.",
            );
            findings.push(match points.first() {
                Some(&p) => finding.at(p),
                None => finding,
            });
            continue;
        }
        let middle = points[points.len() / 2];
        lines.push(PartingLine { points: drawn_out(points), lapped });
        seen.push((id, what, middle));
    }
    for (i, (id, what, middle)) in seen.into_iter().enumerate() {
        if !parts(i, &lines, canvas, decks) {
            let text = format!("{what} {id} does not part the deck.");
            let mend = "Draw it out until both its ends reach an edge, an opening or another line.";
            findings.push(Finding::warning("line-stops-short", About::Plan(id), text, mend).at(middle));
        }
    }
    lines
}

/// Lines are looked at together when there are no more than these: each look is a cut of the decks along all of them.
const MOST_TOGETHER: usize = 100;

/// Whether a line parts some deck, alone or together with the others: two lines from a courtyard do, and so does a line
/// that ends at another.
fn parts(i: usize, lines: &[PartingLine], canvas: &Canvas, decks: &[DeckModel]) -> bool {
    let points = |lines: &[PartingLine]| -> Vec<Vec<Pt>> { lines.iter().map(|l| l.points.clone()).collect() };
    let alone = points(&lines[i..=i]);
    let all = points(lines);
    let others = [points(&lines[..i]), points(&lines[i + 1..])].concat();
    decks.iter().any(|deck| {
        let count = |lines: &[Vec<Pt>]| canvas.slice(&deck.area, lines).len();
        count(&alone) > deck.area.len() || (lines.len() <= MOST_TOGETHER && count(&all) > count(&others))
    })
}

fn drawn_out(mut points: Vec<Pt>) -> Vec<Pt> {
    let last = points.len() - 1;
    let (start, end) = (beyond(points[1], points[0]), beyond(points[last - 1], points[last]));
    points[0] = start;
    points[last] = end;
    points
}

/// The point a little beyond `to`, coming from `from`.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
fn beyond(from: Pt, to: Pt) -> Pt {
    let share = DRAWN_OUT / from.distance(to);
    let out = |p: i64, q: i64| q + ((q - p) as f64 * share).round() as i64;
    Pt::new(out(from.x, to.x), out(from.y, to.y))
}
