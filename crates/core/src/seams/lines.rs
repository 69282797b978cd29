//! Where seams run: the common edges of bays, and the edges of the upper piece of every lap.
//!
//! In: a layout with bays and pieces. Out: for each pair of bays or pieces the straight lines of their seam, with the side
//! that lies on top. The line of a lap is the edge of the piece on top where it lies over the other. It judges nothing.

use super::{SeamLine, place};
use crate::geom::contact::{common_edges, may_touch};
use crate::geom::spans::{SHORTEST, in_both, length_of};
use crate::geom::{Pt, ring};
use crate::layout::{Frame, Layout, Piece};
use crate::numbering::INSIDE;
use std::collections::BTreeMap;

/// Seams of one kind: the numbers they join, and their lines.
pub(super) type Found = Vec<([u32; 2], Vec<SeamLine>)>;

/// The common edges of bays, however short.
pub(super) fn bay_edges(layout: &Layout) -> Found {
    let bounds: Vec<Option<(Pt, Pt)>> =
        layout.bays.iter().map(|b| ring::bounds(b.area.iter().flatten().flatten())).collect();
    let mut found = Vec::new();
    for (i, bay) in layout.bays.iter().enumerate() {
        for (_, top) in
            layout.bays.iter().enumerate().skip(i + 1).filter(|(j, _)| may_touch(bounds[i], bounds[*j]))
        {
            let lines: Vec<SeamLine> = common_edges(&top.area, &bay.area)
                .into_iter()
                .map(|(a, b, towards_top)| SeamLine { a, b, towards_top })
                .collect();
            if !lines.is_empty() {
                found.push(([bay.number, top.number], lines));
            }
        }
    }
    found
}

/// The laps between pieces of neighbouring courses of a zone.
pub(super) fn side_laps(layout: &Layout) -> Found {
    let mut found = Vec::new();
    let by_course = by_course(layout);
    for (&(zone, course), lower) in &by_course {
        let Some(frame) = frame_of(layout, zone) else { continue };
        for p in lower {
            for q in by_course.get(&(zone, course + 1)).into_iter().flatten() {
                let (from, to) = (p.from.max(q.from), p.to.min(q.to));
                let lap = p.across[1] - q.across[0];
                if from < to && lap > 0 {
                    let v = if q.number > p.number { q.across[0] } else { p.across[1] };
                    let towards = if q.number > p.number { 1.0 } else { -1.0 };
                    let inside = mm(v) + towards * INSIDE.min(mm(lap) / 2.0);
                    let line = Straight {
                        frame,
                        u: [mm(from), mm(to)],
                        v: [inside, inside],
                        towards: [0.0, towards],
                    };
                    push(&mut found, p, q, line.where_both(p, q));
                }
            }
        }
    }
    found.sort_by_key(|(between, _)| *between);
    found
}

/// The laps between pieces of one course, and between pieces of two zones.
pub(super) fn end_laps(layout: &Layout) -> Found {
    let mut found = Vec::new();
    for ((zone, _), pieces) in &by_course(layout) {
        let Some(frame) = frame_of(layout, *zone) else { continue };
        for (p, q) in pairs(pieces).filter(|(p, q)| q.from > p.from && q.from < p.to) {
            let u = if q.number > p.number { q.from } else { p.to };
            let towards = if q.number > p.number { 1.0 } else { -1.0 };
            let inside = mm(u) + towards * INSIDE.min(mm(p.to - q.from) / 2.0);
            let v = [p.across[0].max(q.across[0]), p.across[1].min(q.across[1])].map(mm);
            let line = Straight { frame, u: [inside, inside], v, towards: [towards, 0.0] };
            push(&mut found, p, q, line.where_both(p, q));
        }
    }
    across_zones(layout, &mut found);
    found.sort_by_key(|(between, _)| *between);
    found
}

fn pairs<'a>(pieces: &'a [&'a Piece]) -> impl Iterator<Item = (&'a Piece, &'a Piece)> {
    pieces.iter().flat_map(move |p| pieces.iter().map(move |q| (*p, *q)))
}

fn push(found: &mut Found, p: &Piece, q: &Piece, lines: Vec<SeamLine>) {
    if !lines.is_empty() {
        found.push(([p.number.min(q.number), p.number.max(q.number)], lines));
    }
}

fn by_course(layout: &Layout) -> BTreeMap<(u32, u32), Vec<&Piece>> {
    let mut by: BTreeMap<(u32, u32), Vec<&Piece>> = BTreeMap::new();
    for piece in &layout.pieces {
        by.entry((piece.zone, piece.course)).or_default().push(piece);
    }
    by
}

fn frame_of(layout: &Layout, zone: u32) -> Option<&Frame> {
    layout.zones.iter().find(|z| z.number == zone).map(|z| &z.frame)
}

/// A line of a zone's frame, straight along u or v.
struct Straight<'a> {
    frame: &'a Frame,
    u: [f64; 2],
    v: [f64; 2],
    towards: [f64; 2],
}

impl Straight<'_> {
    fn at(&self, u: f64, v: f64) -> [f64; 2] {
        let Frame { origin_um, along, across } = self.frame;
        [0, 1].map(|k| mm(origin_um[k]) / 1000.0 + u * along[k] + v * across[k])
    }

    /// The parts of the line that lie in both pieces as laid.
    fn where_both(&self, p: &Piece, q: &Piece) -> Vec<SeamLine> {
        let (a, b) = (self.at(self.u[0], self.v[0]), self.at(self.u[1], self.v[1]));
        let Frame { along, across, .. } = self.frame;
        let towards_top = [0, 1].map(|k| self.towards[0] * along[k] + self.towards[1] * across[k]);
        in_both(a, b, &p.as_laid, &q.as_laid)
            .into_iter()
            .map(|(a, b)| SeamLine { a, b, towards_top })
            .collect()
    }
}

/// Laps of pieces of two zones: the edges of the upper piece that lie over the lower one.
fn across_zones(layout: &Layout, found: &mut Found) {
    let bounds: Vec<Option<(Pt, Pt)>> =
        layout.pieces.iter().map(|p| ring::bounds(p.as_laid.iter().flatten().flatten())).collect();
    for (j, top) in layout.pieces.iter().enumerate() {
        for (i, low) in layout.pieces.iter().enumerate().take(j) {
            if low.zone != top.zone && may_touch(bounds[i], bounds[j]) {
                push(found, low, top, over(top, low));
            }
        }
    }
}

/// The edges of `top` that lie over `low`.
fn over(top: &Piece, low: &Piece) -> Vec<SeamLine> {
    let mut lines = Vec::new();
    for (p, q) in top.as_laid.iter().flatten().flat_map(|r| ring::edges(r)) {
        let (a, b) = (place(p), place(q));
        let length = length_of(a, b);
        if length < SHORTEST {
            continue;
        }
        // The area lies on the left of its edges.
        let towards_top = [-(b[1] - a[1]) / length, (b[0] - a[0]) / length];
        // Just beyond the edge the lower piece must go on: else the edge is where both end, at the edge of the field.
        let beyond = |p: [f64; 2]| [p[0] - INSIDE * towards_top[0], p[1] - INSIDE * towards_top[1]];
        for (a, b) in in_both(beyond(a), beyond(b), &low.as_laid, &low.as_laid) {
            // And just inside it too: pieces that only meet at a joint do not lap.
            let inside =
                |p: [f64; 2]| [p[0] + 2.0 * INSIDE * towards_top[0], p[1] + 2.0 * INSIDE * towards_top[1]];
            let spans = in_both(inside(a), inside(b), &low.as_laid, &low.as_laid);
            lines.extend(spans.into_iter().map(|(a, b)| SeamLine { a, b, towards_top }));
        }
    }
    lines
}

#[allow(clippy::cast_precision_loss)]
fn mm(length: i64) -> f64 {
    length as f64
}
