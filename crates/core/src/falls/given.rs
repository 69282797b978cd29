//! The levels that are given: spot levels, level lines and fall planes, put on the decks they belong to.
//!
//! In: a plan's levels, and a sketch of each deck. Out: points and lines in the sketches with the levels claimed for them,
//! how many were used, and a finding for everything that could not be. Places are not moved by more than
//! [`super::sketch::BESIDE`]. It makes no surface.

use super::sketch::{BESIDE, Claim, End, ON_EDGE, Sketch, Source, Spot, real};
use crate::finding::{About, Finding};
use crate::geom::{Pt, ring};
use crate::layout::falls::LevelInput;
use crate::plan::{FallPlane, LevelLine, OutletKind, Plan, SpotLevel, ZoneLineKind};

/// Chutes this far outside the deck still take its water, mm: the thickness of a parapet. Common practice, no source.
const CHUTE_REACH: f64 = 1000.0;

/// Findings of one kind that are told one by one; the rest are counted.
const TOLD: usize = 20;

/// Puts everything with a level on the decks.
pub(super) fn put(plan: &Plan, sketches: &mut [Sketch], findings: &mut Vec<Finding>) -> LevelInput {
    let mut input = LevelInput::default();
    let mut off = Vec::new();
    for spot in &plan.levels.spots {
        if put_spot(spot, sketches) {
            input.spots += 1;
        } else {
            off.push(spot);
        }
    }
    tell_off_deck(&off, findings);
    for line in &plan.levels.lines {
        input.line_points += put_line(line, sketches, findings);
    }
    input.planes = super::planes::put(&plan.levels.planes, sketches, findings);
    for line in plan.zone_lines.iter().filter(|l| l.kind == ZoneLineKind::LevelChange) {
        for sketch in sketches.iter_mut() {
            for ends in line.points.windows(2) {
                sketch.change([ends[0], ends[1]], line.id);
            }
        }
    }
    input
}

/// Points of the outlets on one deck: which outlet of the plan, and its point.
pub(super) fn outlets(plan: &Plan, sketch: &mut Sketch) -> Vec<(usize, usize)> {
    let open = plan.outlets.iter().enumerate().filter(|(_, o)| !o.intake.blocked);
    open.filter_map(|(n, outlet)| {
        let reach = if outlet.kind == OutletKind::Chute { CHUTE_REACH } else { BESIDE };
        sketch.place(outlet.at, reach).map(|point| (n, point))
    })
    .collect()
}

/// Puts a spot level on the deck that holds it, on each deck whose edge it is on, or on the edge it is just outside of.
fn put_spot(spot: &SpotLevel, sketches: &mut [Sketch]) -> bool {
    let mut on: Vec<usize> = Vec::new();
    let mut beside: Option<(f64, usize)> = None;
    for (n, sketch) in sketches.iter().enumerate() {
        match sketch.where_is(spot.at, BESIDE) {
            Spot::Within => {
                on = vec![n];
                break;
            }
            Spot::Edge(_, away) if away <= ON_EDGE => on.push(n),
            Spot::Edge(_, away) if beside.is_none_or(|(least, _)| away < least) => beside = Some((away, n)),
            _ => {}
        }
    }
    if on.is_empty() {
        on.extend(beside.map(|(_, n)| n));
    }
    for &n in &on {
        if let Some(point) = sketches[n].place(spot.at, BESIDE) {
            let claim = Claim { level: whole(spot.level), from: Source::Spot(spot.id), given: true };
            sketches[n].claims[point].push(claim);
        }
    }
    !on.is_empty()
}

#[allow(clippy::cast_precision_loss)]
pub(super) fn whole(level: i64) -> f64 {
    level as f64
}

fn tell_off_deck(off: &[&SpotLevel], findings: &mut Vec<Finding>) {
    for spot in off.iter().take(TOLD) {
        let text = format!("Spot level {} is on no deck, and is not used.", spot.id);
        let mend =
            "Move it on to a deck, or delete it; if all are off, check the origin, the axes and the units.";
        findings.push(Finding::warning("level-off-deck", About::Plan(spot.id), text, mend).at(spot.at));
    }
    if off.len() > TOLD {
        let text = format!("{} more spot levels are on no deck.", off.len() - TOLD);
        let mend = "Check the origin, the axes and the units that they were read with.";
        findings.push(Finding::warning("level-off-deck", About::Job, text, mend).at(off[TOLD].at));
    }
}

/// Puts a level line on the decks it runs over; returns how many of its levels are used.
fn put_line(line: &LevelLine, sketches: &mut [Sketch], findings: &mut Vec<Finding>) -> u32 {
    let id = line.id;
    let mut points = line.points.clone();
    points.dedup();
    let Some(first) = points.first().map(|p| p.at) else {
        let text = format!("Level line {id} has no points.");
        findings.push(Finding::error("no-length", About::Plan(id), text, "Draw it again, or delete it."));
        return 0;
    };
    let given = points.iter().filter(|p| p.level.is_some()).count();
    if given == 0 {
        let text = format!("Level line {id} has no level, and shapes nothing.");
        let mend = "Give a level at both its ends.";
        findings.push(Finding::warning("line-without-level", About::Plan(id), text, mend).at(first));
        return 0;
    }
    if points.len() == 1 {
        let text = format!("Level line {id} has no length; its level is used as a spot level.");
        findings.push(
            Finding::error("no-length", About::Plan(id), text, "Draw it to its other end, or delete it.")
                .at(first),
        );
    }
    let levels = filled(&points.iter().map(|p| (p.at, p.level.map(whole))).collect::<Vec<_>>());
    let from = Source::Line(id);
    let mut used = vec![false; points.len()];
    let mut claim = |sketch: &mut Sketch, n: usize, point: usize| {
        if let Some(level) = levels[n] {
            sketch.claims[point].push(Claim { level, from, given: points[n].level.is_some() });
            used[n] |= points[n].level.is_some();
        }
    };
    for sketch in sketches.iter_mut() {
        if points.len() == 1
            && let Some(point) = sketch.place(first, BESIDE)
        {
            claim(sketch, 0, point);
        }
        for n in 1..points.len() {
            let ends = [n - 1, n].map(|k| End { at: points[k].at, level: levels[k] });
            let placed = sketch.stroke(ends, from);
            for (k, point) in [n - 1, n].into_iter().zip(placed) {
                if let Some(point) = point {
                    claim(sketch, k, point);
                }
            }
        }
    }
    let touched = sketches.iter().any(|s| s.has_stroke_of(from)) || used.contains(&true);
    if !touched {
        let text = format!("Level line {id} is on no deck, and is not used.");
        let mend = "Move it on to a deck, or delete it.";
        findings.push(Finding::warning("level-off-deck", About::Plan(id), text, mend).at(first));
    }
    u32::try_from(used.iter().filter(|&&u| u).count()).unwrap_or(u32::MAX)
}

/// Levels along a line: between two that are given, in proportion to length; before the first and after the last, none.
fn filled(points: &[(Pt, Option<f64>)]) -> Vec<Option<f64>> {
    let mut run = 0.0;
    let mut along = Vec::with_capacity(points.len());
    for (n, (at, _)) in points.iter().enumerate() {
        run += if n > 0 { points[n - 1].0.distance(*at) } else { 0.0 };
        along.push(run);
    }
    let given: Vec<usize> = (0..points.len()).filter(|&n| points[n].1.is_some()).collect();
    let mut levels: Vec<Option<f64>> = points.iter().map(|p| p.1).collect();
    for pair in given.windows(2) {
        let (Some(from), Some(to)) = (points[pair[0]].1, points[pair[1]].1) else { continue };
        let length = along[pair[1]] - along[pair[0]];
        for n in pair[0] + 1..pair[1] {
            let share = if length > 0.0 { (along[n] - along[pair[0]]) / length } else { 0.0 };
            levels[n] = Some(from + (to - from) * share);
        }
    }
    levels
}

/// Says where levels disagree, and settles each: what was given before what follows, the first of spot levels, the mean of
/// lines and of planes.
pub(super) fn settled<'a>(
    sketches: impl Iterator<Item = &'a Sketch>,
    findings: &mut Vec<Finding>,
) -> Vec<Vec<Option<f64>>> {
    let mut disagreeing: Vec<(f64, Finding)> = Vec::new();
    let mut levels = Vec::new();
    for sketch in sketches {
        let mut own = Vec::with_capacity(sketch.at.len());
        for (claims, at) in sketch.claims.iter().zip(&sketch.at) {
            own.push(settle(claims));
            disagreeing.extend(disagreement(claims, *at));
        }
        levels.push(own);
    }
    disagreeing.sort_by(|a, b| b.0.total_cmp(&a.0));
    let more = disagreeing.len().saturating_sub(TOLD);
    findings.extend(disagreeing.into_iter().take(TOLD).map(|(_, finding)| finding));
    if more > 0 {
        let text = format!("Levels disagree at {more} more places.");
        findings.push(Finding::warning("levels-disagree", About::Job, text, "Mend those named first."));
    }
    levels
}

/// The level that claims for one point come to.
#[allow(clippy::cast_precision_loss)]
pub(super) fn settle(claims: &[Claim]) -> Option<f64> {
    if let Some(spot) = claims.iter().find(|c| matches!(c.from, Source::Spot(_))) {
        return Some(spot.level);
    }
    let given = claims.iter().any(|c| c.given);
    let (sum, count) = claims
        .iter()
        .filter(|c| c.given == given)
        .fold((0.0, 0_usize), |(sum, count), c| (sum + c.level, count + 1));
    (count > 0).then(|| sum / count as f64)
}

/// The two claims for a point that are furthest apart, when that is more than a mm: a level typed twice, lines that cross
/// at two levels, planes that do not meet. A spot level beside a line or on a plane's side only refines it.
fn disagreement(claims: &[Claim], at: [f64; 2]) -> Option<(f64, Finding)> {
    let refines = |c: &Claim, d: &Claim| matches!(c.from, Source::Spot(_)) && !d.given;
    let mut worst: Option<(f64, &Claim, &Claim)> = None;
    for (n, one) in claims.iter().enumerate() {
        for two in &claims[n + 1..] {
            let apart = (one.level - two.level).abs();
            if apart > 1.0 && !refines(one, two) && !refines(two, one) && worst.is_none_or(|w| apart > w.0) {
                worst = Some((apart, one, two));
            }
        }
    }
    let (apart, one, two) = worst?;
    let (code, mend) = match (one.from, two.from) {
        (Source::Spot(_), Source::Spot(_)) => {
            ("spots-disagree", "Delete the wrong one; until then the first is used.")
        }
        (Source::Plane(_), Source::Plane(_)) => (
            "planes-disagree",
            "Correct a level, a fall or the line they meet along; until then the mean is used.",
        ),
        (Source::Line(_), Source::Line(_)) => {
            ("lines-disagree", "Correct a level, or end one line at the other; until then the mean is used.")
        }
        _ => {
            ("levels-disagree", "Correct one of them; until then a spot level goes before a line or a plane.")
        }
    };
    let text = format!(
        "{} and {} give levels {apart:.0} mm apart at one place, {:.0} mm and {:.0} mm.",
        named(one.from, true),
        named(two.from, false),
        one.level,
        two.level
    );
    let (Source::Spot(id) | Source::Line(id) | Source::Plane(id)) = two.from;
    Some((apart, Finding::warning(code, About::Plan(id), text, mend).at(near(at))))
}

fn named(from: Source, first: bool) -> String {
    let (name, id) = match from {
        Source::Spot(id) => (if first { "Spot level" } else { "spot level" }, id),
        Source::Line(id) => (if first { "Level line" } else { "level line" }, id),
        Source::Plane(id) => (if first { "Fall plane" } else { "fall plane" }, id),
    };
    format!("{name} {id}")
}

/// The whole-mm place nearest to a point.
#[allow(clippy::cast_possible_truncation)]
pub(super) fn near(at: [f64; 2]) -> Pt {
    Pt::new((at[0] + 0.5).floor() as i64, (at[1] + 0.5).floor() as i64)
}

/// Whether any deck's bounds hold something of a plane's area.
pub(super) fn within_reach(sketch: &Sketch, area: &[Pt]) -> bool {
    ring::bounds(area).is_some_and(|(lo, hi)| !sketch.far_from(real(lo), real(hi)))
}

/// The level of a plane at a place.
pub(super) fn level_of(plane: &FallPlane, at: [f64; 2]) -> f64 {
    if plane.one_in == 0 {
        return whole(plane.level);
    }
    let angle = f64::from(plane.direction_mdeg) / 1000.0 * core::f64::consts::PI / 180.0;
    let [x, y] = real(plane.at);
    let ahead = (at[0] - x) * libm::cos(angle) + (at[1] - y) * libm::sin(angle);
    whole(plane.level) - ahead / f64::from(plane.one_in)
}
