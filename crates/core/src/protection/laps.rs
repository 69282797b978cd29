//! Laps of the sheet: where its pieces lie on one another, and how far from the laps of the reinforcement.
//!
//! In: the pieces of the sheet as laid, the reinforcement, the boards. Out: every lap with its length, and for each that
//! runs beside a lap of the reinforcement nearer than asked, how near and for how long. A lap that crosses one is not near
//! it: that it must. Laps over drawn lines are listed with their length alone. It moves nothing.

use super::bay::thick;
use super::board::{Board, rectangle};
use super::rims::{Floor, Rim, inner, rims};
use super::strips::gap;
use super::{Laid, Sheets};
use crate::geom::spans::in_both;
use crate::geom::{Pt, Region, ring};
use crate::layout::Piece;
use crate::layout::protection::{SheetEdge, SheetLap, SheetLapKind};
use crate::numbering::count;
use crate::plan::Mm;
use std::collections::BTreeMap;

/// What snapping may take off a lap, mm.
const SNAP: Mm = 3;

/// A lap of the reinforcement in its zone: along the courses, across them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Band {
    /// Chainages.
    pub along: [Mm; 2],
    /// Offsets.
    pub across: [Mm; 2],
}

/// Laps of the reinforcement of one zone.
#[derive(Clone, Debug, Default)]
pub(super) struct Below {
    side: Vec<Band>,
    end: Vec<Band>,
}

impl Below {
    /// The laps of a zone's pieces, as far as both lie there.
    pub(super) fn new(sheets: &Sheets, zone: usize) -> Self {
        let mut by_course: BTreeMap<u32, Vec<&Piece>> = BTreeMap::new();
        for p in sheets.layout.pieces.iter().filter(|p| p.zone as usize == zone + 1) {
            by_course.entry(p.course).or_default().push(p);
        }
        let lap = |p: &Piece, q: &Piece| {
            let band = |p: &Piece| Band { along: [p.from, p.to], across: p.across };
            as_laid(sheets, zone, both(&band(p), &band(q))?, [p, q])
        };
        let mut below = Self::default();
        for (course, own) in &by_course {
            let next = by_course.get(&(course + 1)).into_iter().flatten();
            for (i, p) in own.iter().enumerate() {
                below.end.extend(own[i + 1..].iter().filter_map(|q| lap(p, q)));
                below.side.extend(next.clone().filter_map(|q| lap(p, q)));
            }
        }
        below
    }
}

/// What of a band two pieces of the reinforcement lap on, where a wall cuts one of them short.
fn as_laid(sheets: &Sheets, zone: usize, band: Band, pieces: [&Piece; 2]) -> Option<Band> {
    let whole = |p: &Piece| {
        let breadth = p.across[1] - p.across[0];
        (p.area - p.length * breadth).abs() <= p.length + breadth
    };
    if pieces.into_iter().all(whole) {
        return Some(band);
    }
    let canvas = &sheets.model.canvas;
    let shared = canvas.intersection_with(&canvas.rings(&pieces[0].as_laid), &pieces[1].as_laid);
    let flat = sheets.boards[zone].flat(&thick(shared));
    let (lo, hi) = ring::bounds(flat.iter().flatten().flatten())?;
    both(&band, &Band { along: [lo.x, hi.x], across: [lo.y, hi.y] })
}

/// All laps, by the pieces they join.
pub(super) fn find(sheets: &Sheets, laid: &[Laid]) -> Vec<SheetLap> {
    let below: Vec<Below> = (0..sheets.boards.len()).map(|zone| Below::new(sheets, zone)).collect();
    let bounds: Vec<_> = laid.iter().map(|p| ring::bounds(p.as_laid.iter().flatten().flatten())).collect();
    let mut found = Vec::new();
    for (top, one) in laid.iter().enumerate() {
        for (low, two) in laid.iter().enumerate().take(top) {
            let meet = bounds[top]
                .zip(bounds[low])
                .is_some_and(|((a, b), (c, d))| a.x < d.x && c.x < b.x && a.y < d.y && c.y < b.y);
            if !meet {
                continue;
            }
            let numbers = [count(low) + 1, count(top) + 1];
            if one.zone == two.zone {
                let board = &sheets.boards[one.zone];
                for band in bands(board, two, one) {
                    found.extend(lap(sheets, &below[one.zone], [two, one], numbers, band));
                }
            } else {
                found.extend(over_line(sheets, [two, one], numbers));
            }
        }
    }
    stagger(sheets, laid, &mut found);
    found.sort_by_key(|lap| (lap.pieces, lap.kind, lap.along, lap.across));
    found
}

/// Edges of pieces nearer to a lap of the reinforcement than asked, beside those of the laps that are said to be near.
pub(super) fn near_edges(
    (sheets, floors): (&Sheets, &[Floor]),
    laid: &[Laid],
    laps: &[SheetLap],
) -> Vec<SheetEdge> {
    let mut found = Vec::new();
    for (zone, floor) in floors.iter().enumerate() {
        let below = Below::new(sheets, zone);
        let known: Vec<&SheetLap> = laps
            .iter()
            .filter(|lap| lap.off.is_some() && laid[lap.pieces[1] as usize - 1].zone == zone)
            .collect();
        for (n, piece) in laid.iter().enumerate().filter(|(_, p)| p.zone == zone) {
            for rim in rims(&piece.flat) {
                found.extend(
                    near_edge(sheets, (&below, floor, &known), &rim)
                        .into_iter()
                        .map(|edge| SheetEdge { piece: count(n) + 1, ..edge }),
                );
            }
        }
    }
    found
}

/// Shortest edge that can be said to run beside a lap, mm.
const SHORTEST: Mm = 100;

/// The parts of an edge that run beside a lap of the reinforcement nearer than asked and beside no lap known to be near.
fn near_edge(
    sheets: &Sheets,
    (below, floor, known): (&Below, &Floor, &[&SheetLap]),
    rim: &Rim,
) -> Vec<SheetEdge> {
    let rules = &sheets.rules;
    let (kind, bands) = if rim.is_side() {
        (SheetLapKind::Side, &below.side)
    } else if rim.is_end() {
        (SheetLapKind::End, &below.end)
    } else {
        return Vec::new();
    };
    let pair = |band: &Band| match kind {
        SheetLapKind::Side => (band.across, band.along),
        _ => (band.along, band.across),
    };
    let shared = |a: [Mm; 2], b: [Mm; 2]| [a[0].max(b[0]), a[1].min(b[1])];
    let close = |line: &Band, other: &Band| {
        let ((at, run), (places, reach)) = (pair(line), pair(other));
        let beside = shared(run, reach);
        (gap(at, places) < rules.off && beside[1] - beside[0] >= SHORTEST)
            .then_some((gap(at, places).max(0), beside))
    };
    let Some(line) = rim.strip(0) else { return Vec::new() };
    if !bands.iter().any(|band| close(&line, band).is_some()) {
        return Vec::new();
    }
    let mut found = Vec::new();
    for part in inner(&floor.areas, rim).iter().filter_map(|part| part.strip(0)) {
        let near: Vec<(Mm, [Mm; 2])> = bands.iter().filter_map(|band| close(&part, band)).collect();
        for (off, beside) in joined(near) {
            let (at, _) = pair(&part);
            let (along, across) = if kind == SheetLapKind::Side { (beside, at) } else { (at, beside) };
            let edge = SheetEdge { piece: 0, kind, along, across, off };
            if !known.iter().any(|lap| holds(lap, &edge, rules.side.max(rules.end))) {
                found.push(edge);
            }
        }
    }
    found
}

/// Stretches with how near they are, those that overlap or follow on as one.
fn joined(mut near: Vec<(Mm, [Mm; 2])>) -> Vec<(Mm, [Mm; 2])> {
    near.sort_by_key(|(off, beside)| (beside[0], beside[1], *off));
    let mut joined: Vec<(Mm, [Mm; 2])> = Vec::new();
    for (off, beside) in near {
        match joined.last_mut() {
            Some((least, last)) if beside[0] <= last[1] => {
                *least = off.min(*least);
                last[1] = last[1].max(beside[1]);
            }
            _ => joined.push((off, beside)),
        }
    }
    joined
}

/// Whether an edge lies within a lap, or as near to its corners as laps are broad.
fn holds(lap: &SheetLap, edge: &SheetEdge, room: Mm) -> bool {
    let within = |inner: [Mm; 2], outer: [Mm; 2]| outer[0] - room <= inner[0] && inner[1] <= outer[1] + room;
    within(edge.along, lap.along) && within(edge.across, lap.across)
}

/// What two bands share.
pub(super) fn both(p: &Band, q: &Band) -> Option<Band> {
    let shared = |a: [Mm; 2], b: [Mm; 2]| [a[0].max(b[0]), a[1].min(b[1])];
    let (along, across) = (shared(p.along, q.along), shared(p.across, q.across));
    (along[0] < along[1] && across[0] < across[1]).then_some(Band { along, across })
}

/// The rectangles in which two pieces of one zone lie on one another.
fn bands(board: &Board, low: &Laid, top: &Laid) -> Vec<Band> {
    let whole = |p: &Laid| {
        let (lo, hi) = ring::bounds(p.cover.iter().flatten().flatten())?;
        Some(Band { along: [lo.x.max(p.from), hi.x.min(p.to)], across: [lo.y, hi.y] })
    };
    let Some(shared) = whole(low).zip(whole(top)).and_then(|(p, q)| both(&p, &q)) else { return Vec::new() };
    if low.is_plain() && top.is_plain() {
        return vec![shared];
    }
    let canvas = &board.canvas;
    let shape = board.contour(&rectangle(shared.along, shared.across));
    let in_low = canvas.intersection(&canvas.rings(&low.cover), vec![shape]);
    let meeting = canvas.intersection_with(&canvas.rings(&in_low), &top.cover);
    meeting.iter().flat_map(rectangles).collect()
}

/// A region with edges along the axes as rectangles: one for each breadth between its corners, joined where they go on.
fn rectangles(region: &Region) -> Vec<Band> {
    let mut levels: Vec<Mm> = region.iter().flatten().map(|p| p.y).collect();
    levels.sort_unstable();
    levels.dedup();
    let mut found: Vec<Band> = Vec::new();
    for level in levels.windows(2) {
        // Twice the middle, so that it is whole.
        let middle = level[0] + level[1];
        let mut crossings: Vec<Mm> = region
            .iter()
            .flat_map(|ring| ring::edges(ring))
            .filter(|(a, b)| (2 * a.y < middle) != (2 * b.y < middle))
            .map(|(a, b)| i64::midpoint(a.x, b.x))
            .collect();
        crossings.sort_unstable();
        for pair in crossings.chunks_exact(2) {
            let along = [pair[0], pair[1]];
            match found.iter_mut().find(|b| b.across[1] == level[0] && goes_on(b.along, along)) {
                Some(before) => {
                    // Of a slanting or stepped end the part that is broadest counts.
                    if level[1] - level[0] > before.across[1] - before.across[0] {
                        before.along = along;
                    }
                    before.across[1] = level[1];
                }
                None => found.push(Band { along, across: [level[0], level[1]] }),
            }
        }
    }
    found
}

/// Whether two stretches are one, but for an end that slants or steps: they share most of the longer.
fn goes_on(one: [Mm; 2], other: [Mm; 2]) -> bool {
    let shared = one[1].min(other[1]) - one[0].max(other[0]);
    4 * shared >= 3 * (one[1] - one[0]).max(other[1] - other[0])
}

/// A lap in a band, measured; none where it is only the corner of other laps, or lies beyond the deck.
fn lap(
    sheets: &Sheets,
    below: &Below,
    [low, top]: [&Laid; 2],
    pieces: [u32; 2],
    band: Band,
) -> Option<SheetLap> {
    let rules = &sheets.rules;
    let size = [band.along[1] - band.along[0], band.across[1] - band.across[0]];
    // An end lap takes more of the breadth of a piece than of its length.
    let part = |size: Mm, of: [Mm; 2]| i128::from(size) * 1_000_000 / i128::from(of[0].min(of[1]).max(1));
    let length = part(size[0], [low.to - low.from, top.to - top.from]);
    let breadth = part(size[1], [low, top].map(|p| p.across[1] - p.across[0]));
    let kind = match (low.bay == top.bay, low.course == top.course) {
        (true, true) => SheetLapKind::End,
        (true, false) => SheetLapKind::Side,
        _ if length >= breadth => SheetLapKind::Side,
        _ => SheetLapKind::End,
    };
    let most = 2 * rules.side.max(rules.end);
    if size[0].max(size[1]) <= most && 2 * size[0].min(size[1]) <= most {
        return None;
    }
    let board = &sheets.boards[top.zone];
    let mut band = band;
    let mut spans = self::spans(board, kind, &band, [low, top]);
    if spans.is_empty() {
        // Its middle lies beyond the deck: what of it lies on deck has another.
        band = on_deck(&band, [low, top])?;
        spans = self::spans(board, kind, &band, [low, top]);
    }
    let asked = if kind == SheetLapKind::End { rules.end } else { rules.side };
    let [from, to] = if kind == SheetLapKind::End { band.along } else { band.across };
    let broad = to - from;
    // Less than any lap: what two pieces happen to share beside a third that laps them both.
    if broad + SNAP < rules.side.min(rules.end) {
        return None;
    }
    let length: Mm = spans.iter().map(|s| s[1] - s[0]).sum();
    let (own, others) = match kind {
        SheetLapKind::End => (band.along, &below.end),
        _ => (band.across, &below.side),
    };
    let beside = |other: &&Band| {
        let (places, reach) = match kind {
            SheetLapKind::End => (other.along, other.across),
            _ => (other.across, other.along),
        };
        let shared: Mm = spans.iter().map(|s| (s[1].min(reach[1]) - s[0].max(reach[0])).max(0)).sum();
        let off = gap(own, places);
        (off < rules.off && shared > 0).then_some((off.max(0), shared))
    };
    let near: Vec<(Mm, Mm)> = others.iter().filter_map(|other| beside(&other)).collect();
    let middle = spans.iter().max_by_key(|s| s[1] - s[0]).map(|s| i64::midpoint(s[0], s[1]))?;
    let at = match kind {
        SheetLapKind::End => Pt::new(i64::midpoint(own[0], own[1]), middle),
        _ => Pt::new(middle, i64::midpoint(own[0], own[1])),
    };
    Some(SheetLap {
        kind,
        pieces,
        along: band.along,
        across: band.across,
        length,
        at: sheets.boards[top.zone].plan_point(at),
        off: near.iter().map(|n| n.0).min(),
        near: near.iter().map(|n| n.1).sum::<Mm>().min(length),
        narrow: broad < asked,
        stagger: None,
    })
}

/// What of a band lies within the bounds of both pieces as laid.
fn on_deck(band: &Band, pieces: [&Laid; 2]) -> Option<Band> {
    pieces.into_iter().try_fold(*band, |band, piece| {
        let (lo, hi) = ring::bounds(piece.flat.iter().flatten().flatten())?;
        both(&band, &Band { along: [lo.x, hi.x], across: [lo.y, hi.y] })
    })
}

/// The stretches of a band's middle line that lie in both pieces as laid.
#[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
fn spans(board: &Board, kind: SheetLapKind, band: &Band, [low, top]: [&Laid; 2]) -> Vec<[Mm; 2]> {
    let middle = |b: [Mm; 2]| (b[0] + b[1]) as f64 / 2.0;
    let [u0, u1] = band.along.map(|u| u as f64);
    let [v0, v1] = band.across.map(|v| v as f64);
    let across = kind == SheetLapKind::End;
    let ends = if across {
        let u = middle(band.along);
        [[u, v0], [u, v1]]
    } else {
        let v = middle(band.across);
        [[u0, v], [u1, v]]
    };
    let [a, b] = ends.map(|p| board.back(p));
    let place = |p: [f64; 2]| (board.place(p)[usize::from(across)] + 0.5).floor() as Mm;
    let found = in_both(a, b, &low.as_laid, &top.as_laid).into_iter();
    found.map(|(a, b)| [place(a), place(b)]).filter(|s| s[1] > s[0]).collect()
}

/// A lap over a drawn line: its area over its breadth.
fn over_line(sheets: &Sheets, [low, top]: [&Laid; 2], pieces: [u32; 2]) -> Option<SheetLap> {
    let canvas = &sheets.model.canvas;
    let shared = canvas.intersection_with(&canvas.rings(&top.as_laid), &low.as_laid);
    let breadth = i128::from(sheets.rules.side.max(sheets.rules.end).max(1));
    let length = Mm::try_from(ring::doubled_area_of(&shared) / 2 / breadth).unwrap_or(Mm::MAX);
    let (lo, hi) = ring::bounds(shared.iter().flatten().flatten())?;
    (i128::from(length) > breadth).then(|| SheetLap {
        kind: SheetLapKind::ZoneLine,
        pieces,
        length,
        at: Pt::new(i64::midpoint(lo.x, hi.x), i64::midpoint(lo.y, hi.y)),
        ..SheetLap::default()
    })
}

/// Marks end laps nearer than the stagger to one of another course that lies beside them or laps them.
fn stagger(sheets: &Sheets, laid: &[Laid], laps: &mut [SheetLap]) {
    let zone = |lap: &SheetLap| laid[lap.pieces[1] as usize - 1].zone;
    let ends: Vec<SheetLap> = laps.iter().filter(|lap| lap.kind == SheetLapKind::End).copied().collect();
    for lap in laps.iter_mut().filter(|lap| lap.kind == SheetLapKind::End) {
        let beside = |other: &&SheetLap| {
            zone(other) == zone(lap)
                && other.pieces != lap.pieces
                && other.across[0] <= lap.across[1]
                && lap.across[0] <= other.across[1]
        };
        let apart = |other: &SheetLap| {
            (other.along[0] - lap.along[0]).abs().min((other.along[1] - lap.along[1]).abs())
        };
        let apart = ends.iter().filter(beside).map(apart).min();
        lap.stagger = apart.filter(|&a| a < sheets.rules.stagger);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_corner_lap_is_two_rectangles() {
        let points = [(0, 0), (1000, 0), (1000, 75), (75, 75), (75, 900), (0, 900)];
        let corner: Region = vec![points.iter().map(|&(x, y)| Pt::new(x, y)).collect()];
        let wanted = [Band { along: [0, 1000], across: [0, 75] }, Band { along: [0, 75], across: [75, 900] }];
        assert_eq!(rectangles(&corner), wanted);
    }
}
