//! End laps: where the runs of each course are cut into pieces.
//!
//! In: the courses of a zone and the stretches that are to become bays. Out: for each run the chainages where one piece
//! ends and the next begins, and for each row the chainages where bays part. Pieces are no longer than the gang can lay
//! and no shorter than the least piece; end laps of neighbouring courses are the stagger apart; none lies in an
//! outlet's clear zone, nor within a few mm of a corner. What cannot be kept is reported with its place.

use crate::bays::Rows;
use crate::courses::{Run, ZoneCourses};
use crate::finding::{About, Finding};
use crate::footing::{ClearZone, Footing};
use crate::geom::frame::{Place, UM};
use crate::geom::net::{self, Part};
use crate::plan::Mm;
use crate::products::Rules;
use std::collections::BTreeMap;

/// Where runs and rows are cut.
#[derive(Clone, Debug, Default)]
pub struct Ends {
    /// For each course, for each run: starts of the second and later pieces, in order, mm.
    pub starts: Vec<Vec<Vec<Mm>>>,
    /// For each row: chainage of each split (stretch, number of the split), mm.
    pub row_cuts: Vec<BTreeMap<(usize, usize), Mm>>,
}

/// End laps keep this far from corners, mm: a corner snapped to the other side of a cut would tear a piece.
const FROM_CORNER: Mm = 3;

/// Most pieces tried above the fewest for a run before a rule is given up.
const MORE_PIECES: Mm = 4;

/// Places the end laps of a zone.
pub fn place(
    zone: u32,
    courses: &ZoneCourses,
    rows: &Rows,
    rules: &Rules,
    footing: &Footing,
    findings: &mut Vec<Finding>,
) -> Ends {
    let mut ends = Ends::default();
    let mut before: Vec<Mm> = Vec::new();
    for (k, runs) in courses.runs.iter().enumerate() {
        let mut cuts = BTreeMap::new();
        let mut starts = Vec::new();
        for run in runs {
            let bans = bans(k, run, courses, rows, rules, &before, &footing.outlets);
            let course = courses.courses[k];
            let mut wet = footing.wet([run.from, run.to], [course.from, course.to]);
            wet.iter_mut().for_each(|ban| ban[0] -= rules.end_lap);
            let attempt = |bans: &Bans| {
                let (mut own, mut way) =
                    (cuts.clone(), Way { rules, bans, up_first: k % 2 == 0, kept: true });
                let fixed = fixed_splits(k, run, rows, &mut way, &mut own);
                let placed = way.fill(run, &fixed);
                (placed, own, way.kept)
            };
            // Out of the water where that leaves all other rules kept.
            let dry = (!wet.is_empty()).then(|| attempt(&bans.with(&wet))).filter(|(.., kept)| *kept);
            let (placed, own, kept) = dry.unwrap_or_else(|| attempt(&bans));
            cuts = own;
            if !kept {
                findings.push(not_kept(zone, courses, k, run, &placed));
            }
            starts.push(placed);
        }
        before = starts.iter().flatten().copied().collect();
        loose_splits(k, rows, &mut cuts);
        ends.row_cuts.push(cuts);
        ends.starts.push(starts);
    }
    ends
}

/// Open intervals where no piece may start, merged and in order, mm.
pub struct Bans(Vec<[Mm; 2]>);

impl Bans {
    fn new(mut open: Vec<[Mm; 2]>) -> Self {
        open.retain(|b| b[1] > b[0]);
        open.sort_unstable();
        let mut merged: Vec<[Mm; 2]> = Vec::new();
        for ban in open {
            match merged.last_mut() {
                // Open intervals that only meet leave the place where they meet.
                Some(last) if ban[0] < last[1] => last[1] = last[1].max(ban[1]),
                _ => merged.push(ban),
            }
        }
        Self(merged)
    }

    /// The same with more of them.
    fn with(&self, more: &[[Mm; 2]]) -> Self {
        Self::new(self.0.iter().chain(more).copied().collect())
    }

    /// The allowed place within `lo..=hi` nearest to `ideal`; of two equally near the greater when `up_first`.
    pub fn nearest(&self, ideal: Mm, lo: Mm, hi: Mm, up_first: bool) -> Option<Mm> {
        if lo > hi {
            return None;
        }
        let ideal = ideal.clamp(lo, hi);
        let ban = |x: Mm| self.0.iter().find(|b| x > b[0] && x < b[1]);
        let Some(&[below, above]) = ban(ideal) else { return Some(ideal) };
        let mut choices: Vec<Mm> = [below, above].into_iter().filter(|x| (lo..=hi).contains(x)).collect();
        choices.sort_by_key(|&x| ((x - ideal).abs(), if up_first { -x } else { x }));
        choices.first().copied()
    }
}

/// Cutting one run by the rules.
struct Way<'a> {
    rules: &'a Rules,
    bans: &'a Bans,
    up_first: bool,
    kept: bool,
}

impl Way<'_> {
    /// The fixed starts and as many more as keep every piece within its length.
    fn fill(&mut self, run: &Run, fixed: &[Mm]) -> Vec<Mm> {
        let mut starts = Vec::new();
        let mut from = run.from;
        for (i, end) in fixed.iter().map(|x| x + self.rules.end_lap).chain([run.to]).enumerate() {
            starts.extend(self.shares(from, end));
            if let Some(&x) = fixed.get(i) {
                starts.push(x);
                from = x;
            }
        }
        starts
    }

    /// Starts between `from` and `end` that cut it into even shares, each moved to the nearest allowed place.
    fn shares(&mut self, from: Mm, end: Mm) -> Vec<Mm> {
        let Rules { end_lap, longest, .. } = *self.rules;
        let length = end - from;
        if length <= longest {
            return Vec::new();
        }
        let fewest = (length - end_lap + longest - end_lap - 1) / (longest - end_lap);
        for count in fewest..=fewest + MORE_PIECES {
            if let Some(starts) = self.long_first(from, end, count).or_else(|| self.even(from, end, count)) {
                return starts;
            }
        }
        self.kept = false;
        (1..fewest).map(|t| from + t * (length - end_lap) / fewest).collect()
    }

    /// Pieces of the longest length but one, which a roll's rest may still hold: the one at the far end in every second
    /// course, so that end laps of neighbours lie apart.
    fn long_first(&self, from: Mm, end: Mm, count: Mm) -> Option<Vec<Mm>> {
        let Rules { end_lap, longest, .. } = *self.rules;
        let step = longest - end_lap;
        self.near(from, end, count, |t| {
            if self.up_first { from + t * step } else { end - end_lap - (count - t) * step }
        })
    }

    /// Pieces of one length.
    fn even(&self, from: Mm, end: Mm, count: Mm) -> Option<Vec<Mm>> {
        let cover = end - from - self.rules.end_lap;
        self.near(from, end, count, |t| from + t * cover / count)
    }

    /// So many pieces that start as near to their ideal places as is allowed.
    fn near(&self, from: Mm, end: Mm, count: Mm, ideal: impl Fn(Mm) -> Mm) -> Option<Vec<Mm>> {
        let Rules { end_lap, longest, least, .. } = *self.rules;
        let mut starts = Vec::new();
        let mut before = from;
        for t in 1..count {
            let left = count - t;
            let lo =
                (before + least - end_lap).max(end - left * (longest - end_lap) - end_lap).max(before + 1);
            let hi = (before + longest - end_lap).min(end - least - (left - 1) * (least - end_lap).max(0));
            let x = self.bans.nearest(ideal(t), lo, hi, self.up_first)?;
            starts.push(x);
            before = x;
        }
        Some(starts)
    }
}

/// Where bays part this run: each split at the nearest allowed place.
fn fixed_splits(
    k: usize,
    run: &Run,
    rows: &Rows,
    way: &mut Way,
    cuts: &mut BTreeMap<(usize, usize), Mm>,
) -> Vec<Mm> {
    let least = way.rules.least.max(way.rules.end_lap + 1);
    let reach = (2 * way.rules.stagger).max(1000);
    let mut fixed: Vec<Mm> = Vec::new();
    for (key, split) in splits_of_row(k, rows) {
        if split <= run.from || split >= run.to || cuts.contains_key(&key) {
            continue;
        }
        let lo = fixed.last().map_or(run.from + least, |x| x + least).max(split - reach);
        let hi = (run.to - least).min(split + reach);
        if split < run.from + least || split > run.to - least {
            // Too near the end of the run for another piece: the bay ends where the run does.
            let end = if split - run.from < run.to - split { run.from } else { run.to };
            cuts.insert(key, end);
            continue;
        }
        let x = way.bans.nearest(split, lo, hi, way.up_first).unwrap_or_else(|| {
            way.kept = false;
            split
        });
        if fixed.last().is_none_or(|last| x > *last) {
            fixed.push(x);
        }
        cuts.insert(key, x);
    }
    fixed
}

/// The splits that pass through the parts of a row, in order of chainage.
fn splits_of_row(k: usize, rows: &Rows) -> Vec<((usize, usize), Mm)> {
    let mut found = Vec::new();
    for (part, stretch) in &rows.parts[k] {
        let Some((lo, hi)) = net::bounds(part) else { continue };
        for (j, &split) in rows.stretches[*stretch].splits.iter().enumerate() {
            if split * UM > lo.u && split * UM < hi.u {
                found.push(((*stretch, j), split));
            }
        }
    }
    found.sort_by_key(|&(key, split)| (split, key));
    found.dedup();
    found
}

/// Splits that no run is cut at: the row is still parted there, clear of its corners.
fn loose_splits(k: usize, rows: &Rows, cuts: &mut BTreeMap<(usize, usize), Mm>) {
    for (stretch, data) in rows.stretches.iter().enumerate().filter(|(_, s)| s.rows.contains(&k)) {
        let mut corners = Vec::new();
        for (part, _) in rows.parts[k].iter().filter(|(_, s)| *s == stretch) {
            corners.extend(corner_bans(part, 0));
        }
        let bans = Bans::new(corners);
        for (j, &split) in data.splits.iter().enumerate() {
            let at = *cuts.entry((stretch, j)).or_insert(split);
            let clear = bans.nearest(at, at - 1000, at + 1000, true).unwrap_or(at);
            cuts.insert((stretch, j), clear);
        }
    }
}

/// Where no piece of a run of course `k` may start: near end laps at the chainages `beside` of neighbouring courses, near
/// corners, in outlets' clear zones.
pub fn bans(
    k: usize,
    run: &Run,
    courses: &ZoneCourses,
    rows: &Rows,
    rules: &Rules,
    beside: &[Mm],
    outlets: &[ClearZone],
) -> Bans {
    let course = courses.courses[k];
    let mut open: Vec<[Mm; 2]> = beside.iter().map(|x| [x - rules.stagger, x + rules.stagger]).collect();
    open.extend(corner_bans(&run.part, rules.end_lap));
    let overlaps = |part: &&(Part, usize)| {
        net::bounds(&part.0).is_some_and(|(lo, hi)| lo.u < run.to * UM && hi.u > run.from * UM)
    };
    for (part, _) in rows.parts[k].iter().filter(overlaps) {
        open.extend(corner_bans(part, 0));
    }
    for outlet in outlets {
        if outlet.v + outlet.radius > course.from * UM && outlet.v - outlet.radius < course.to * UM {
            let (lo, hi) =
                ((outlet.u - outlet.radius).div_euclid(UM), (outlet.u + outlet.radius).div_euclid(UM) + 1);
            open.push([lo - rules.end_lap, hi]);
        }
    }
    Bans::new(open)
}

/// Bans about the corners of a part, for a cut and for another so much further on.
fn corner_bans(part: &Part, lap: Mm) -> Vec<[Mm; 2]> {
    let mut found = Vec::new();
    for node in part.iter().flatten() {
        let u = node.at.u.div_euclid(UM);
        found.push([u - FROM_CORNER, u + FROM_CORNER + 1]);
        if lap > 0 {
            found.push([u - lap - FROM_CORNER, u - lap + FROM_CORNER + 1]);
        }
    }
    found
}

fn not_kept(zone: u32, courses: &ZoneCourses, k: usize, run: &Run, placed: &[Mm]) -> Finding {
    let course = courses.courses[k];
    let u = placed.first().copied().unwrap_or(run.from);
    let at = courses.frame.plan_point(Place { u: u * UM, v: i64::midpoint(course.from, course.to) * UM });
    let text = format!(
        "In zone {zone}, course {}, an end lap near chainage {u} could not keep the stagger, the piece lengths and the outlets' clear zones together.",
        course.number
    );
    let mend = "Allow longer or shorter pieces, or lay the zone in another direction.";
    Finding::warning("stagger-not-kept", About::Zone(zone), text, mend).at(at)
}
