//! What seams have to say: laps that face the water, bay edges in bad places.
//!
//! In: the seams of a layout. Out: findings with a place, one for each bay whose laps face the water and one for each bay
//! edge in a bad place. Every lap is in the seams; a finding names the worst of them.

use super::{is_bad, length_of};
use crate::finding::{About, Finding};
use crate::layout::Layout;
use crate::layout::falls::{Seam, SeamKind, SeamPart, Verdict};
use std::collections::BTreeMap;

/// Laps named in one finding.
const NAMED: usize = 4;

/// Laps that face the water for less than this in a bay are none, metres: half a mm.
const LEAST_TOLD: f64 = 0.000_5;

/// Findings about the seams of a layout.
pub fn remark(layout: &Layout, findings: &mut Vec<Finding>) {
    facing_laps(layout, findings);
    for seam in layout.seams.iter().filter(|s| s.kind == SeamKind::BayEdge) {
        bad_edge(seam, findings);
    }
}

/// One finding for each bay whose laps face the water.
fn facing_laps(layout: &Layout, findings: &mut Vec<Finding>) {
    let mut of_bay: BTreeMap<u32, Vec<&Seam>> = BTreeMap::new();
    let laps = layout.seams.iter().filter(|s| s.kind != SeamKind::BayEdge);
    for seam in laps.filter(|s| length_of(s, Verdict::FacesWater) > 0.0) {
        let bay = layout.pieces.get(seam.top as usize - 1).map_or(0, |p| p.bay);
        of_bay.entry(bay).or_default().push(seam);
    }
    for (bay, seams) in of_bay {
        let metres: f64 = seams.iter().map(|s| length_of(s, Verdict::FacesWater)).sum::<f64>() / 1000.0;
        if metres < LEAST_TOLD {
            continue;
        }
        let names: Vec<String> =
            seams.iter().take(NAMED).map(|s| format!("{} on {}", s.top, lower(s))).collect();
        let more = seams.len().saturating_sub(NAMED);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        let text = format!(
            "In bay {bay}, {} of laps face the water: the lower piece lies on top (piece {}{more}).",
            told(metres),
            names.join(", ")
        );
        let mend = "Mark another way off on the high side, or turn the courses; where it must stay, look to these laps.";
        let place = seams.first().and_then(|s| first(s, |v| v == Verdict::FacesWater));
        let finding = Finding::warning("laps-face-water", About::Bay(bay), text, mend);
        findings.push(place.map_or(finding.clone(), |p| finding.at(p.a)));
    }
}

/// A length, in mm where it is short.
fn told(metres: f64) -> String {
    if metres < 0.1 { format!("{:.0} mm", metres * 1000.0) } else { format!("{metres:.1} m") }
}

fn lower(seam: &Seam) -> u32 {
    seam.between[0].min(seam.between[1])
}

/// A finding for a bay edge in a bad place.
fn bad_edge(seam: &Seam, findings: &mut Vec<Finding>) {
    let worst = [
        (Verdict::AtOutlet, "edge-at-outlet", "within the clear zone of an outlet"),
        (Verdict::InPond, "edge-in-pond", "in a pond"),
        (Verdict::LowLine, "edge-along-low-line", "along a low line"),
    ];
    let [one, two] = seam.between;
    for (verdict, code, place) in worst {
        let Some(part) = first(seam, |v| v == verdict) else { continue };
        let metres = length_of(seam, verdict) / 1000.0;
        let text = format!("The edge between bays {one} and {two} lies {place} for {}.", told(metres));
        let mend = match part.better {
            Some(better) => format!(
                "Move it {:.1} m: the nearest good place is at {} / {}.",
                metres_of(better.distance),
                better.at.x,
                better.at.y
            ),
            None => String::from(
                "No better place was found near it: change the falls, the limits or the direction.",
            ),
        };
        findings.push(Finding::warning(code, About::Bay(two), text, mend).at(part.a));
    }
}

fn first(seam: &Seam, wanted: impl Fn(Verdict) -> bool) -> Option<&SeamPart> {
    let mut own = seam.parts.iter().filter(|p| p.verdict.is_some_and(&wanted));
    let with_better =
        seam.parts.iter().find(|p| p.better.is_some() && p.verdict.is_some_and(|v| is_bad(v) && wanted(v)));
    with_better.or_else(|| own.next())
}

#[allow(clippy::cast_precision_loss)]
fn metres_of(mm: i64) -> f64 {
    mm as f64 / 1000.0
}
