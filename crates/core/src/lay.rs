//! The whole engine: runs the stages one after the other and writes their results into a [`Layout`].
//!
//! In: a plan. Out: a layout with numbers given out in pouring order. No stage is entered with what an earlier one
//! refused. It computes nothing of its own beyond sums and numbers.

use crate::bays::{self, ClearZone, Limits};
use crate::cells::{self, BayModel, ZoneBays};
use crate::courses::{self, ZoneCourses};
use crate::cuts::{Item, Problem, Solver, Stock, Terms};
use crate::endlaps;
use crate::finding::{About, Finding};
use crate::geom::Pt;
use crate::geom::Region;
use crate::geom::frame::{Frame, UM};
use crate::geom::ring::{self, Side, doubled_area_of};
use crate::layout::{self, Bay, Layout, Piece, Roll, Totals, Waste, Zone};
use crate::model::{self, Model, distance_to};
use crate::order::{self, Stop};
use crate::pieces::{self, PieceModel, ZonePieces};
use crate::plan::{Mm, Plan, RollKind};
use crate::products::{self, Rules};
use crate::quantities;
use crate::strips;
use crate::zones::{self, ZoneModel};

/// Lays a plan: the whole engine in one call.
///
/// Never fails: what cannot be laid is left out and named in [`Layout::findings`].
pub fn lay(plan: &Plan) -> Layout {
    let mut findings = Vec::new();
    let rules = products::check(plan, &mut findings);
    let model = model::check(plan, &mut findings);
    let zones = zones::part(plan, &model, &mut findings);
    let laid: Vec<LaidZone> = zones
        .into_iter()
        .map(|zone| match rules {
            Some(rules) => lay_zone(plan, &model, zone, &rules, &mut findings),
            None => bare_zone(zone),
        })
        .collect();
    let mut layout = number(plan, &laid);
    roll_out(plan, &mut layout);
    strips::cut(plan, &model, &mut layout, &mut findings);
    rolls_short(plan, &layout, &mut findings);
    sum_up(plan, &model, &laid, &mut layout);
    look_over(plan, &layout, &mut findings);
    findings.sort();
    findings.dedup();
    layout.findings = findings;
    layout
}

/// Results of one zone, not yet numbered.
struct LaidZone {
    zone: ZoneModel,
    courses: Option<ZoneCourses>,
    pieces: ZonePieces,
    bays: Vec<BayModel>,
    /// The deck, with the corners the bays share.
    deck: Vec<Region>,
}

fn lay_zone(
    plan: &Plan,
    model: &Model,
    zone: ZoneModel,
    rules: &Rules,
    findings: &mut Vec<Finding>,
) -> LaidZone {
    let Some(courses) = courses::lay_out(&zone, &plan.products, findings) else { return bare_zone(zone) };
    if let Some(finding) = too_many_pieces(&zone, &courses, rules) {
        findings.push(finding);
        return bare_zone(zone);
    }
    let limits = Limits::of(&plan.gang, &plan.products);
    let outlets: Vec<ClearZone> = model
        .outlets
        .iter()
        .map(|o| {
            let at = courses.frame.place(o.at);
            ClearZone { u: at.u, v: at.v, radius: o.radius * UM }
        })
        .collect();
    let rows = bays::group(&zone.area, &courses, &limits, &outlets);
    let ends = endlaps::place(zone.number, &courses, &rows, rules, &outlets, findings);
    let pieces = pieces::cut(&courses, &ends, rules.end_lap);
    let ZoneBays { bays, deck } =
        cells::gather(&model.canvas, &courses, &rows, &ends, &limits, &pieces.pieces);
    LaidZone { zone, courses: Some(courses), pieces, bays, deck }
}

/// More pieces in a zone than any roof needs: a hectare takes about 500.
const MOST_PIECES: Mm = 50_000;

/// Whether a zone would be cut into more pieces than anybody can have meant.
fn too_many_pieces(zone: &ZoneModel, courses: &ZoneCourses, rules: &Rules) -> Option<Finding> {
    let runs = || courses.runs.iter().flatten();
    let cover: Mm = runs().map(|r| r.to - r.from).sum();
    let pieces = cover / (rules.longest - rules.end_lap) + i64::from(count(runs().count()));
    let at = zone.area.first().and_then(|r| r.first()).copied().unwrap_or_default();
    (pieces > MOST_PIECES).then(|| {
        let text = format!("Zone {} would take some {pieces} pieces.", zone.number);
        let mend = "Check the units of the drawing and the size of the rolls.";
        Finding::error("too-many-pieces", About::Zone(zone.number), text, mend).at(at)
    })
}

/// A zone with nothing laid: one bay that holds all of it.
fn bare_zone(zone: ZoneModel) -> LaidZone {
    let area = vec![zone.area.clone()];
    let label = zone.area.first().and_then(|r| r.first()).copied().unwrap_or_default();
    let bay = BayModel {
        courses: [0, 0],
        size: half(doubled_area_of(&area)),
        area: area.clone(),
        length: 0,
        pieces: Vec::new(),
        label,
        beside: Vec::new(),
    };
    let pieces = ZonePieces { field: zone.field.clone(), ..ZonePieces::default() };
    LaidZone { zone, courses: None, pieces, bays: vec![bay], deck: area }
}

/// Puts bays in order and gives out all numbers.
fn number(plan: &Plan, laid: &[LaidZone]) -> Layout {
    let owners: Vec<(usize, usize)> =
        laid.iter().enumerate().flat_map(|(z, l)| (0..l.bays.len()).map(move |b| (z, b))).collect();
    let beside = all_beside(laid, &owners);
    let stops: Vec<Stop> = owners
        .iter()
        .zip(&beside)
        .map(|(&(z, b), beside)| Stop {
            at: laid[z].bays[b].label,
            beside: beside.clone(),
            from_way: from_way(plan, &laid[z].bays[b].area),
        })
        .collect();
    let order = order::first_workable(&stops);
    let mut number_of = vec![0_u32; owners.len()];
    for (&i, number) in order.iter().zip(1..) {
        number_of[i] = number;
    }
    let mut layout = Layout {
        format: layout::FORMAT.to_owned(),
        version: layout::VERSION,
        job: plan.job.name.clone(),
        zones: laid.iter().map(zone_out).collect(),
        ..Layout::default()
    };
    for &i in &order {
        let (z, b) = owners[i];
        let bay = &laid[z].bays[b];
        let first = count(layout.pieces.len()) + 1;
        let mut own: Vec<&PieceModel> = bay.pieces.iter().map(|&p| &laid[z].pieces.pieces[p]).collect();
        own.sort_by_key(|p| (p.course, p.from));
        for piece in own {
            let number = count(layout.pieces.len()) + 1;
            layout.pieces.push(piece_out(&laid[z], piece, number, number_of[i]));
        }
        layout.bays.push(Bay {
            number: number_of[i],
            zone: laid[z].zone.number,
            courses: [count(bay.courses[0]) + 1, count(bay.courses[1]) + 1],
            area: bay.area.clone(),
            size: bay.size,
            length: bay.length,
            pieces: (first..=count(layout.pieces.len())).collect(),
            label: bay.label,
            beside: sorted(beside[i].iter().map(|&j| number_of[j]).collect()),
        });
    }
    layout
}

fn sorted(mut list: Vec<u32>) -> Vec<u32> {
    list.sort_unstable();
    list.dedup();
    list
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

fn half(doubled: i128) -> i64 {
    i64::try_from(doubled / 2).unwrap_or(i64::MAX)
}

/// Which bays touch, within zones and across their borders.
fn all_beside(laid: &[LaidZone], owners: &[(usize, usize)]) -> Vec<Vec<usize>> {
    let index = |z: usize, b: usize| owners.partition_point(|&o| o < (z, b));
    let mut beside: Vec<Vec<usize>> =
        owners.iter().map(|&(z, b)| laid[z].bays[b].beside.iter().map(|&c| index(z, c)).collect()).collect();
    let bounds: Vec<Option<(Pt, Pt)>> =
        owners.iter().map(|&(z, b)| ring::bounds(laid[z].bays[b].area.iter().flatten().flatten())).collect();
    for i in 0..owners.len() {
        for j in i + 1..owners.len() {
            if owners[i].0 != owners[j].0
                && near(bounds[i], bounds[j])
                && touch(&laid[owners[i].0].bays[owners[i].1].area, &laid[owners[j].0].bays[owners[j].1].area)
            {
                beside[i].push(j);
                beside[j].push(i);
            }
        }
    }
    beside
}

/// Bays of two zones whose edges come this close touch, mm.
const TOUCHING: Mm = 3;

fn near(one: Option<(Pt, Pt)>, two: Option<(Pt, Pt)>) -> bool {
    let (Some((a, b)), Some((c, d))) = (one, two) else { return false };
    a.x - TOUCHING <= d.x && c.x - TOUCHING <= b.x && a.y - TOUCHING <= d.y && c.y - TOUCHING <= b.y
}

/// Whether two areas run side by side for a person's width or more.
#[allow(clippy::cast_precision_loss)]
fn touch(one: &[Region], two: &[Region]) -> bool {
    const PERSON: f64 = 500.0;
    let edges = |area: &[Region]| -> Vec<(Pt, Pt)> {
        area.iter().flatten().flat_map(|r| ring::edges(r).collect::<Vec<_>>()).collect()
    };
    let (one, two) = (edges(one), edges(two));
    let side_by_side = |(a, b): (Pt, Pt), (c, d): (Pt, Pt)| -> f64 {
        let length = a.distance(b);
        let on = |p: Pt| -> Option<f64> {
            let off = (a.turn(b, p) as f64).abs() / length;
            (off <= TOUCHING as f64).then(|| a.dot(b, p) as f64 / length)
        };
        match (on(c), on(d)) {
            (Some(s), Some(t)) => (s.max(t).min(length) - s.min(t).max(0.0)).max(0.0),
            _ => 0.0,
        }
    };
    one.iter().map(|&e| two.iter().map(|&f| side_by_side(e, f)).sum::<f64>()).sum::<f64>() >= PERSON
}

/// Distance of an area from the nearest way off, mm; from nothing when there is no way off.
fn from_way(plan: &Plan, area: &[Region]) -> f64 {
    let to_area = |p: Pt| {
        if area.iter().any(|r| ring::locate_in(p, r) != Side::Outside) {
            return 0.0;
        }
        let edges = area.iter().flatten().flat_map(|r| ring::edges(r));
        edges.map(|(a, b)| distance_to(p, a, b)).fold(f64::INFINITY, f64::min)
    };
    let nearest = plan.ways.iter().map(|w| to_area(w.at)).fold(f64::INFINITY, f64::min);
    if nearest.is_finite() { nearest } else { 0.0 }
}

fn zone_out(laid: &LaidZone) -> Zone {
    let frame = laid.courses.as_ref().map_or_else(
        || {
            Frame::new(
                laid.zone.area.first().and_then(|r| r.first()).copied().unwrap_or_default(),
                laid.zone.direction,
            )
        },
        |c| c.frame,
    );
    Zone {
        number: laid.zone.number,
        deck: laid.zone.deck,
        frame: frame.to_layout(),
        direction_mdeg: mdeg(laid.zone.direction),
        area: laid.deck.clone(),
        field: laid.pieces.field.clone(),
        courses: laid.courses.as_ref().map(|c| c.courses.clone()).unwrap_or_default(),
    }
}

#[allow(clippy::cast_possible_truncation)]
fn mdeg(direction: [f64; 2]) -> i32 {
    let degrees = libm::atan2(direction[1], direction[0]) * 180.0 / core::f64::consts::PI;
    ((degrees * 1000.0).round() as i32).rem_euclid(180_000)
}

fn piece_out(laid: &LaidZone, piece: &PieceModel, number: u32, bay: u32) -> Piece {
    let courses = laid.courses.as_ref().map(|c| c.courses.as_slice()).unwrap_or_default();
    let course = courses[piece.course];
    let beside =
        |k: usize| laid.pieces.pieces.iter().any(|p| p.course == k && p.from < piece.to && p.to > piece.from);
    let before =
        piece.course.checked_sub(1).filter(|&k| beside(k)).map_or(0, |k| courses[k].to - course.from);
    let after = Some(piece.course + 1).filter(|&k| k < courses.len() && beside(k));
    Piece {
        number,
        zone: laid.zone.number,
        bay,
        course: course.number,
        from: piece.from,
        to: piece.to,
        across: [course.from, course.to],
        length: piece.to - piece.from,
        lap_from: piece.lap_from,
        lap_to: piece.lap_to,
        lap_before: before,
        lap_after: after.map_or(0, |k| course.to - courses[k].from),
        as_laid: piece.as_laid.clone(),
        area: piece.area,
        roll: 0,
        roll_from: 0,
        roll_across: 0,
    }
}

/// Cuts the pieces from rolls. Rolls are numbered as they are first needed, pieces on them in laying order.
fn roll_out(plan: &Plan, layout: &mut Layout) {
    let products = &plan.products;
    if products.rolls.is_empty() {
        return;
    }
    let list = Solver::new(cutting(plan, layout)).list().clone();
    for (cut, number) in list.rolls.iter().zip(1..) {
        let kind = &products.rolls[cut.stock];
        let mut pieces = Vec::new();
        for (from, &(i, across)) in cut.cuts.iter().flat_map(|c| c.items.iter().map(|item| (c.from, item))) {
            let piece = &mut layout.pieces[i];
            (piece.roll, piece.roll_from, piece.roll_across) = (number, from, across);
            pieces.push(piece.number);
        }
        let used: Mm = cut.cuts.iter().map(|c| c.length).sum();
        layout.rolls.push(Roll {
            number,
            kind: count(cut.stock),
            width: kind.width,
            length: kind.length,
            pieces,
            strips: Vec::new(),
            kerf: kind.length - used - cut.rest,
            rest: cut.rest,
            kept: cut.rest > 0 && cut.rest >= products.least_offcut,
        });
    }
    layout.totals.rolls = count(layout.rolls.len());
    layout.totals.rolls_least = count(list.least_rolls);
    layout.totals.proved = list.proved;
    layout.totals.open_rolls = list.open;
}

/// The cutting problem of a layout.
fn cutting(plan: &Plan, layout: &Layout) -> Problem {
    let products = &plan.products;
    let item = |p: &Piece| {
        let width = p.across[1] - p.across[0];
        Item { length: p.length, width, slit: false, bay: p.bay }
    };
    let stock = |kind: &RollKind| Stock {
        length: kind.length,
        width: kind.width,
        count: None,
        price: products.price(kind),
    };
    Problem {
        items: layout.pieces.iter().map(item).collect(),
        stocks: products.rolls.iter().map(stock).collect(),
        terms: Terms {
            kerf: products.kerf.max(0),
            least_offcut: products.least_offcut,
            open_most: Some(plan.gang.open_rolls).filter(|&n| n > 0),
        },
    }
}

fn rolls_short(plan: &Plan, layout: &Layout, findings: &mut Vec<Finding>) {
    for (k, kind) in plan.products.rolls.iter().enumerate() {
        let needed = count(layout.rolls.iter().filter(|r| r.kind == count(k)).count());
        let Some(on_hand) = kind.on_hand.filter(|&n| n < needed) else { continue };
        let text = format!("{needed} rolls are needed and {on_hand} are on hand.");
        let mend = "Order the rest before mobilising.";
        let about = About::Setting(format!("products.rolls[{k}].on_hand"));
        findings.push(Finding::warning("rolls-short", about, text, mend));
    }
}

fn sum_up(plan: &Plan, model: &Model, laid: &[LaidZone], layout: &mut Layout) {
    let mut totals = std::mem::take(&mut layout.totals);
    totals.deck_area = half(model.decks.iter().map(|d| doubled_area_of(&d.area)).sum());
    totals.measured_area = quantities::measured(model);
    totals.field_area = half(doubled_field(model, layout));
    totals.pieces = count(layout.pieces.len());
    totals.bays = count(layout.bays.len());
    totals.cut_length = layout.pieces.iter().map(|p| p.length).sum();
    totals.side_lap_length = laid.iter().map(|l| l.pieces.side_laps).sum();
    totals.end_laps = count(layout.pieces.iter().filter(|p| p.lap_to > 0).count());
    totals.roll_area = field_rolls(layout, &totals).map(|r| r.width * r.length).sum();
    totals.waste = waste(layout, &totals);
    layout.details = quantities::details(plan, model, joints_on_deck(plan, model));
    quantities::complete(&mut totals, &plan.products, &layout.details);
    layout.totals = totals;
}

/// Twice the area of the fields, what neighbouring zones share across a drawn line counted once.
fn doubled_field(model: &Model, layout: &Layout) -> i128 {
    let fields: Vec<Region> = layout.zones.iter().flat_map(|z| z.field.iter().cloned()).collect();
    let shared = model.lines.iter().any(|line| line.lapped);
    if shared { doubled_area_of(&model.canvas.union(&fields)) } else { doubled_area_of(&fields) }
}

/// The rolls opened for the field; those opened for strips alone stand after them.
fn field_rolls<'a>(layout: &'a Layout, totals: &Totals) -> impl Iterator<Item = &'a Roll> {
    layout.rolls.iter().take(totals.rolls as usize)
}

fn waste(layout: &Layout, totals: &Totals) -> Waste {
    let as_laid: i64 = layout.pieces.iter().map(|p| p.area).sum();
    let as_cut: i64 = layout.pieces.iter().map(|p| p.length * (p.across[1] - p.across[0])).sum();
    let offcuts: i64 = field_rolls(layout, totals).filter(|r| r.kept).map(|r| r.rest * r.width).sum();
    Waste {
        laps: as_laid - totals.field_area,
        trim: as_cut - as_laid,
        scrap: totals.roll_area - as_cut - offcuts - totals.strips_from_offcuts,
        offcuts,
    }
}

/// Length of movement joints on the deck, to the mm.
#[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
fn joints_on_deck(plan: &Plan, model: &Model) -> Mm {
    let length: f64 = model
        .decks
        .iter()
        .flat_map(|deck| plan.joints.iter().map(move |joint| (deck, joint)))
        .flat_map(|(deck, joint)| joint.points.windows(2).map(move |w| inside_length(w[0], w[1], &deck.area)))
        .sum();
    length.round() as Mm
}

/// Length of a segment inside regions, mm.
#[allow(clippy::cast_precision_loss)]
fn inside_length(a: Pt, b: Pt, area: &[Region]) -> f64 {
    let mut cuts: Vec<f64> = vec![0.0, 1.0];
    for (c, d) in area.iter().flatten().flat_map(|r| ring::edges(r)) {
        let (from, to) = (c.turn(d, a), c.turn(d, b));
        if (from < 0) != (to < 0) {
            cuts.push(from as f64 / (from - to) as f64);
        }
    }
    cuts.retain(|t| (0.0..=1.0).contains(t));
    cuts.sort_by(f64::total_cmp);
    let at = |t: f64| {
        let along = |p: i64, q: i64| {
            #[allow(clippy::cast_possible_truncation)]
            let moved = ((q - p) as f64 * t).round() as i64;
            p + moved
        };
        Pt::new(along(a.x, b.x), along(a.y, b.y))
    };
    let inside =
        |s: f64, e: f64| area.iter().any(|r| ring::locate_in(at(f64::midpoint(s, e)), r) == Side::Inside);
    cuts.windows(2).filter(|w| w[1] > w[0] && inside(w[0], w[1])).map(|w| (w[1] - w[0]) * a.distance(b)).sum()
}

/// Findings about the layout as a whole.
fn look_over(plan: &Plan, layout: &Layout, findings: &mut Vec<Finding>) {
    let limits = Limits::of(&plan.gang, &plan.products);
    for bay in &layout.bays {
        let large = limits.area.filter(|&a| bay.size > a);
        let long = limits.length.filter(|&l| bay.length > l);
        if let Some(limit) = large {
            let text = format!(
                "Bay {} is {}.{:02} m2, over the pour limit of {}.{:02} m2, and could not be split further along its courses.",
                bay.number,
                bay.size / 1_000_000,
                bay.size / 10_000 % 100,
                limit / 1_000_000,
                limit / 10_000 % 100
            );
            let mend = "Put fewer courses in a bay, or raise the limit if the gang can hold it.";
            findings
                .push(Finding::warning("bay-too-large", About::Bay(bay.number), text, mend).at(bay.label));
        }
        if let Some(limit) = long {
            let text = format!("Bay {} is {} mm long, over the limit of {limit} mm.", bay.number, bay.length);
            let mend = "Raise the limit or lay the zone in another direction.";
            findings.push(Finding::warning("bay-too-long", About::Bay(bay.number), text, mend).at(bay.label));
        }
    }
    for piece in layout.pieces.iter().filter(|p| p.length < plan.products.least_piece) {
        if piece.lap_from > 0 || piece.lap_to > 0 {
            let at = piece
                .as_laid
                .first()
                .and_then(|r| r.first())
                .and_then(|r| r.first())
                .copied()
                .unwrap_or_default();
            let text = format!("Piece {} is only {} mm long.", piece.number, piece.length);
            let mend = "Move a bay limit or allow longer pieces.";
            findings.push(Finding::warning("piece-short", About::Piece(piece.number), text, mend).at(at));
        }
    }
    if plan.ways.is_empty() && !layout.bays.is_empty() {
        let text = "No way off the roof is marked, so the bays are numbered from one end to the other.";
        findings.push(Finding::note("no-way-off", About::Job, text, "Mark where people leave the roof."));
    }
}
