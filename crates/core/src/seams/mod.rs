//! Seams: bay edges and laps, which side of each lies on top, and what each does to the water.
//!
//! In: a layout with its bays and pieces numbered in the order they are laid, and the ground; only where levels are known. Out:
//! every bay edge and lap with its straight parts, a verdict on each part, and for bay edges in a bad place the nearest
//! good one. What is laid later lies on top: the greater number. It moves nothing.

mod better;
mod lines;
mod remarks;

pub use remarks::remark;

use crate::falls::ground::{Ground, Rise, Under, rise};
use crate::geom::Pt;
use crate::layout::Layout;
use crate::layout::falls::{Seam, SeamKind, SeamPart, Verdict, VerdictLength};
use crate::plan::Mm;

/// A straight line of a seam before it is judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SeamLine {
    /// Start, mm.
    pub a: [f64; 2],
    /// End, mm.
    pub b: [f64; 2],
    /// Unit vector at right angles to it, towards what lies on top.
    pub towards_top: [f64; 2],
}

/// All seams of a layout: bay edges, side laps, end laps, each kind by its numbers.
pub fn find(layout: &Layout, ground: &Ground) -> Vec<Seam> {
    let mut seams = Vec::new();
    for (kind, found) in [
        (SeamKind::BayEdge, lines::bay_edges(layout)),
        (SeamKind::SideLap, lines::side_laps(layout)),
        (SeamKind::EndLap, lines::end_laps(layout)),
    ] {
        for (between, seam_lines) in found {
            let parts: Vec<SeamPart> = seam_lines.iter().flat_map(|line| parts_of(line, ground)).collect();
            if !parts.is_empty() {
                seams.push(Seam { kind, between, top: between[0].max(between[1]), parts });
            }
        }
    }
    better::find(layout, ground, &mut seams);
    seams
}

/// Lengths of seams by verdict, worst last, for the verdicts that occur.
pub fn lengths(seams: &[Seam]) -> Vec<VerdictLength> {
    use Verdict::{AtOutlet, FacesWater, InPond, Level, LowLine, Raised, Sheds, WithFall};
    [WithFall, Sheds, Level, Raised, FacesWater, LowLine, InPond, AtOutlet]
        .into_iter()
        .map(|verdict| VerdictLength {
            verdict,
            bay_edges: length(seams, SeamKind::BayEdge, verdict),
            side_laps: length(seams, SeamKind::SideLap, verdict),
            end_laps: length(seams, SeamKind::EndLap, verdict),
        })
        .filter(|sum| sum.bay_edges + sum.side_laps + sum.end_laps > 0)
        .collect()
}

/// What a slope does to a seam whose upper side lies towards `towards_top`.
pub(crate) fn verdict(under: Under, towards_top: [f64; 2]) -> Option<Verdict> {
    Some(match under {
        Under::Unknown => return None,
        Under::Outlet => Verdict::AtOutlet,
        Under::Pond => Verdict::InPond,
        Under::LowLine => Verdict::LowLine,
        Under::Ridge => Verdict::Raised,
        Under::Level => Verdict::Level,
        Under::Slope(slope) => match rise(slope, towards_top) {
            Rise::With => Verdict::WithFall,
            Rise::Up => Verdict::Sheds,
            Rise::Down => Verdict::FacesWater,
        },
    })
}

/// Whether a bay edge should not lie there.
pub(crate) fn is_bad(verdict: Verdict) -> bool {
    matches!(verdict, Verdict::LowLine | Verdict::InPond | Verdict::AtOutlet)
}

/// Length of the parts of a seam with one verdict, mm.
pub(crate) fn length_of(seam: &Seam, verdict: Verdict) -> f64 {
    let own = seam.parts.iter().filter(|p| p.verdict == Some(verdict));
    own.map(|p| p.a.distance(p.b)).sum()
}

#[allow(clippy::cast_possible_truncation)]
fn length(seams: &[Seam], kind: SeamKind, verdict: Verdict) -> Mm {
    seams.iter().filter(|s| s.kind == kind).map(|s| length_of(s, verdict)).sum::<f64>().round() as Mm
}

/// The parts of a line, each with one verdict.
fn parts_of(line: &SeamLine, ground: &Ground) -> Vec<SeamPart> {
    let mut parts: Vec<(f64, f64, Option<Verdict>)> = Vec::new();
    for stretch in ground.along(line.a, line.b) {
        let verdict = verdict(stretch.under, line.towards_top);
        match parts.last_mut() {
            Some(last) if last.2 == verdict => last.1 = stretch.to,
            _ => parts.push((stretch.from, stretch.to, verdict)),
        }
    }
    let at =
        |t: f64| snapped([line.a[0] + t * (line.b[0] - line.a[0]), line.a[1] + t * (line.b[1] - line.a[1])]);
    let out = parts.into_iter().map(|(from, to, verdict)| SeamPart {
        a: at(from),
        b: at(to),
        verdict,
        better: None,
    });
    out.filter(|p| p.a != p.b).collect()
}

/// A place in whole mm; halves go up.
#[allow(clippy::cast_possible_truncation)]
pub(crate) fn snapped(at: [f64; 2]) -> Pt {
    Pt::new((at[0] + 0.5).floor() as i64, (at[1] + 0.5).floor() as i64)
}

#[allow(clippy::cast_precision_loss)]
pub(crate) fn place(p: Pt) -> [f64; 2] {
    [p.x as f64, p.y as f64]
}
