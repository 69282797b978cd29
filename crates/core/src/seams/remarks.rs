//! What seams have to say: laps that face the water, bay edges in bad places.
//!
//! In: the seams of a layout. Out: findings with a place, one for each zone with laps that face the water and one for each
//! bay edge in a bad place. Every lap is in the seams; a finding names the worst of them.

use super::{is_bad, length_of};
use crate::finding::{About, Finding};
use crate::layout::Layout;
use crate::layout::falls::{Seam, SeamKind, SeamPart, Verdict};
use std::collections::BTreeMap;

/// Laps named in one finding.
const NAMED: usize = 3;

/// Findings about the seams of a layout.
pub fn remark(layout: &Layout, findings: &mut Vec<Finding>) {
    facing_laps(layout, findings);
    for seam in layout.seams.iter().filter(|s| s.kind == SeamKind::BayEdge) {
        bad_edge(seam, findings);
    }
}

/// One finding for each zone with laps that face the water: how much, how many, and the bay that has most of it. A lap is
/// of the zone and the bay of the piece on top.
fn facing_laps(layout: &Layout, findings: &mut Vec<Finding>) {
    let mut of_zone: BTreeMap<u32, Vec<Facing>> = BTreeMap::new();
    for seam in layout.seams.iter().filter(|s| s.kind != SeamKind::BayEdge) {
        let length = length_of(seam, Verdict::FacesWater);
        let Some(top) = layout.pieces.get(seam.top as usize - 1).filter(|_| length > 0.0) else { continue };
        of_zone.entry(top.zone).or_default().push(Facing { bay: top.bay, length, seam });
    }
    findings.extend(of_zone.into_iter().filter_map(|(zone, laps)| facing_in(zone, &laps)));
}

/// A lap that faces the water.
struct Facing<'a> {
    bay: u32,
    /// Length that does, mm.
    length: f64,
    seam: &'a Seam,
}

/// The finding of one zone.
fn facing_in(zone: u32, laps: &[Facing]) -> Option<Finding> {
    let sum = |own: &mut dyn Iterator<Item = &Facing>| own.map(|lap| lap.length).sum::<f64>();
    let of_bay = |bay: u32| sum(&mut laps.iter().filter(|lap| lap.bay == bay));
    // Of bays with as much, the one laid first.
    let worst =
        laps.iter().map(|lap| lap.bay).max_by(|&a, &b| of_bay(a).total_cmp(&of_bay(b)).then(b.cmp(&a)))?;
    let mut own: Vec<&Facing> = laps.iter().filter(|lap| lap.bay == worst).collect();
    own.sort_by(|a, b| b.length.total_cmp(&a.length));
    let names: Vec<String> =
        own.iter().take(NAMED).map(|lap| format!("piece {} on {}", lap.seam.top, lower(lap.seam))).collect();
    let more = own.len().saturating_sub(NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let count = if laps.len() == 1 { String::from("1 lap") } else { format!("{} laps", laps.len()) };
    let face = if laps.len() == 1 { "faces" } else { "face" };
    let all = told(sum(&mut laps.iter()) / 1000.0);
    let text = format!(
        "In zone {zone}, {count} {face} the water for {all}: most of it in bay {worst}, {} ({}{more}).",
        told(of_bay(worst) / 1000.0),
        names.join(", ")
    );
    let mend = "Mark another way off on the high side, or turn the courses; where they must stay, look to these laps.";
    let place = own.first().and_then(|lap| first(lap.seam, |v| v == Verdict::FacesWater))?;
    Some(Finding::warning("laps-face-water", About::Zone(zone), text, mend).at(place.a))
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
