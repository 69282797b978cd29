//! Where a bay edge in a bad place could go instead.
//!
//! In: the seams of a layout and the ground. Out: for each part of a bay edge that lies in a pond, at an outlet or along a
//! low line, the nearest place for the whole straight edge where none of it does: along the courses for an edge across
//! them, a course or more to either side for an edge along them. Whether bays then keep to the pour limit is for the
//! next layout to say.

use super::{is_bad, place, snapped, verdict};
use crate::falls::ground::{Ground, Under};
use crate::geom::Pt;
use crate::layout::falls::{Better, Seam, SeamKind, SeamPart};
use crate::layout::{Frame, Layout, Zone};
use crate::plan::Mm;

/// Steps in which another place across the courses is looked for, mm.
const STEP: Mm = 50;

/// How far another place is looked for, mm.
const FAR: Mm = 10_000;

/// Courses to either side that another place along them is looked for.
const COURSES: usize = 6;

/// Finds better places for the bay edges in bad ones.
pub(super) fn find(layout: &Layout, ground: &Ground, seams: &mut [Seam]) {
    for seam in seams.iter_mut().filter(|s| s.kind == SeamKind::BayEdge) {
        if !seam.parts.iter().any(|p| p.verdict.is_some_and(is_bad)) {
            continue;
        }
        let zones = seam.between.map(|n| layout.bays.get(n as usize - 1).map(|b| b.zone));
        if zones[0] != zones[1] {
            // Where zones meet is drawn, not chosen.
            continue;
        }
        let Some(zone) = layout.zones.iter().find(|z| Some(z.number) == zones[0]) else { continue };
        // Where both bays hold the same courses the edge lies across them: its steps along them go where it goes.
        let courses = seam.between.map(|n| layout.bays[n as usize - 1].courses);
        let parts_courses = courses[0][1] < courses[1][0] || courses[1][1] < courses[0][0];
        for (range, a, b) in straight_runs(&seam.parts) {
            let bad = |p: &SeamPart| p.verdict.is_some_and(is_bad);
            if !seam.parts[range.clone()].iter().any(bad) {
                continue;
            }
            let along = runs_along(zone, a, b) && parts_courses;
            let found = nearest(zone, ground, [a, b], along).map(|shift| (shift, along));
            for part in seam.parts[range].iter_mut().filter(|p| bad(p)) {
                part.better = found.map(|(shift, along)| moved(part, shift, along));
            }
        }
    }
}

/// Neighbouring parts on one straight line: their range, and its ends.
fn straight_runs(parts: &[SeamPart]) -> Vec<(std::ops::Range<usize>, Pt, Pt)> {
    let mut runs: Vec<(std::ops::Range<usize>, Pt, Pt)> = Vec::new();
    for (i, part) in parts.iter().enumerate() {
        match runs.last_mut() {
            Some((range, a, b)) if *b == part.a && straight(*a, *b, part.b) => {
                range.end = i + 1;
                *b = part.b;
            }
            _ => runs.push((i..i + 1, part.a, part.b)),
        }
    }
    runs
}

/// Whether three places lie on one line to within a mm or so.
#[allow(clippy::cast_precision_loss)]
fn straight(a: Pt, b: Pt, c: Pt) -> bool {
    (a.turn(b, c) as f64).abs() <= 2.0 * a.distance(c)
}

/// Whether an edge runs along the courses of a zone.
fn runs_along(zone: &Zone, a: Pt, b: Pt) -> bool {
    let Frame { along, across, .. } = zone.frame;
    let (a, b) = (place(a), place(b));
    let d = [b[0] - a[0], b[1] - a[1]];
    (d[0] * along[0] + d[1] * along[1]).abs() > (d[0] * across[0] + d[1] * across[1]).abs()
}

/// The least shift that puts a straight edge in a good place: across the courses when it runs `along` them.
fn nearest(zone: &Zone, ground: &Ground, [a, b]: [Pt; 2], runs_along: bool) -> Option<[f64; 2]> {
    let (a, b) = (place(a), place(b));
    let shifts: Vec<Mm> = if runs_along {
        let pitch = zone.courses.windows(2).map(|w| w[1].from - w[0].from).min()?;
        (1..=COURSES).flat_map(|n| [1, -1].map(|s| s * pitch * i64::try_from(n).unwrap_or(1))).collect()
    } else {
        (1..=FAR / STEP).flat_map(|n| [n * STEP, -n * STEP]).collect()
    };
    let by = if runs_along { zone.frame.across } else { zone.frame.along };
    shifts.into_iter().find_map(|shift| {
        #[allow(clippy::cast_precision_loss)]
        let shift = by.map(|c| c * shift as f64);
        let moved = |p: [f64; 2]| [p[0] + shift[0], p[1] + shift[1]];
        is_good(ground, moved(a), moved(b)).then_some(shift)
    })
}

/// Whether a bay edge may lie there all along.
pub(crate) fn is_good(ground: &Ground, a: [f64; 2], b: [f64; 2]) -> bool {
    !ground.meets_outlet_or_low_line(a, b)
        && ground.along(a, b).iter().all(|stretch| match stretch.under {
            Under::Unknown => false,
            under => verdict(under, [0.0, 0.0]).is_some_and(|v| !is_bad(v)),
        })
}

#[allow(clippy::cast_possible_truncation)]
fn moved(part: &SeamPart, shift: [f64; 2], along: bool) -> Better {
    let (a, b) = (place(part.a), place(part.b));
    let middle = [f64::midpoint(a[0], b[0]) + shift[0], f64::midpoint(a[1], b[1]) + shift[1]];
    let turn = libm::atan2(shift[1], shift[0]).to_degrees() * 1000.0;
    Better {
        at: snapped(middle),
        distance: (shift[0] * shift[0] + shift[1] * shift[1]).sqrt().round() as Mm,
        direction_mdeg: (turn.round() as i32).rem_euclid(360_000),
        along,
    }
}
