//! Remarks: findings about a layout as a whole.
//!
//! In: a plan and its layout. Out: what breaks a limit, with its place. It mends nothing.

use crate::bays::Limits;
use crate::finding::{About, Finding};
use crate::layout::Layout;
use crate::plan::Plan;

/// Findings about the layout as a whole.
pub fn look_over(plan: &Plan, layout: &Layout, findings: &mut Vec<Finding>) {
    let limits = Limits::of(&plan.gang, &plan.products, 0);
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
    across_falls(layout, findings);
    if plan.ways.is_empty() && !layout.bays.is_empty() {
        let text = "No way off the roof is marked, so the bays are numbered from one end to the other.";
        findings.push(Finding::note("no-way-off", About::Job, text, "Mark where people leave the roof."));
    }
}

/// What laying across the fall costs, where courses down it would take fewer rolls.
fn across_falls(layout: &Layout, findings: &mut Vec<Finding>) {
    for choice in &layout.choices {
        let Some(taken) = choice.ways.get(choice.taken as usize) else { continue };
        let down = choice.ways.iter().filter(|w| w.across_fall == Some(false));
        let best = down.filter_map(|w| w.rolls.map(|rolls| (rolls, w.direction_mdeg))).min();
        let (Some(true), Some(own), Some((rolls, direction))) = (taken.across_fall, taken.rolls, best) else {
            continue;
        };
        if rolls < own {
            let text = format!(
                "Zone {} is laid across the fall, which takes {} more rolls than courses at {}.{} degrees, down it.",
                choice.zone,
                own - rolls,
                direction / 1000,
                direction % 1000 / 100
            );
            let mend = "Keep it, so that water runs over the laps, or set the direction of the zone.";
            findings.push(Finding::note("across-fall-costs", About::Zone(choice.zone), text, mend));
        }
    }
}
