//! What the days have to say: laws that ties break, bays longer than a day, ties that hold nothing.
//!
//! In: a plan, its layout with days, what the order breaks. Out: findings. It changes nothing.

use crate::finding::{About, Finding};
use crate::layout::Layout;
use crate::layout::days::{Day, Days};
use crate::melting;
use crate::plan::{Plan, Tie};
use crate::sequence::{Broken, Law};

/// Tells what is to be told of the days; `broken` names sites by the place of their bay in the layout.
pub fn remark(plan: &Plan, layout: &Layout, broken: &[Broken], findings: &mut Vec<Finding>) {
    let Some(days) = &layout.days else { return };
    for tie in &plan.programme.ties {
        findings.extend(astray(layout, tie));
    }
    for broken in broken {
        findings.extend(broken_law(layout, days, broken));
    }
    for day in &days.days {
        too_long(layout, days, day, findings);
    }
    melting::remark(days, findings);
}

fn astray(layout: &Layout, tie: &Tie) -> Option<Finding> {
    layout.bay_at(tie.at).is_none().then(|| {
        let text = "A bay is tied to a day or a turn, and there is no bay at its place.";
        let mend = "Move the tie into a bay, or take it out.";
        Finding::warning("tie-astray", About::Plan(tie.id), text, mend).at(tie.at)
    })
}

fn broken_law(layout: &Layout, days: &Days, broken: &Broken) -> Option<Finding> {
    let bay = layout.bays.get(broken.site)?;
    let day = days.days.iter().find(|d| d.turns.iter().any(|t| t.bay == bay.number))?;
    let n = bay.number;
    let (code, text, mend) = match broken.law {
        Law::Reach => (
            "cut-off",
            format!(
                "Bay {n} is only reached over bays laid the same day (day {}): the ties of bays leave it no way off (law 9).",
                day.number
            ),
            "Tie fewer bays to that day, or let the nearer ones go later.",
        ),
        Law::Leave => (
            "shut-in",
            format!(
                "Bay {n} has no way off when it is done (day {}): another gang has begun bays all round by then, and the ties \
                 of bays leave no other order (law 9).",
                day.number
            ),
            "Tie fewer bays to that day, or let one gang lay the bays round it.",
        ),
        Law::Day => (
            "tie-day",
            format!(
                "Bay {n} is tied to another day than day {}: no order keeps that tie and the others.",
                day.number
            ),
            "Take out one of the ties, or give the gang more time in a day.",
        ),
        Law::Gang => (
            "tie-gang",
            format!(
                "Bay {n} is tied to another gang than the one that lays it: no order keeps that tie and the others."
            ),
            "Take out one of the ties.",
        ),
        Law::Turn => (
            "tie-turn",
            format!("Bay {n} is tied to another turn: no order keeps that tie and the others."),
            "Take out one of the ties, or give two bays different turns.",
        ),
        Law::Time => (
            "day-too-full",
            format!("Bay {n} does not fit into day {} with what is laid before it.", day.number),
            "Give the gang more time in a day, or make bays smaller.",
        ),
    };
    Some(Finding::error(code, About::Bay(n), text, mend).at(bay.label))
}

fn too_long(layout: &Layout, days: &Days, day: &Day, findings: &mut Vec<Finding>) {
    for turn in &day.turns {
        let Some(gang) = days.gangs.get(turn.gang as usize - 1) else { continue };
        let minutes = turn.to - turn.from;
        let Some(bay) = layout.bays.get(turn.bay as usize - 1) else { continue };
        if minutes > gang.minutes {
            let text = format!(
                "Bay {} takes {minutes} minutes at the rates given and a day has {}: it cannot be poured and covered in one day.",
                bay.number, gang.minutes
            );
            let mend = "Make bays smaller, or check the rates and the working day.";
            findings.push(
                Finding::warning("bay-longer-than-day", About::Bay(bay.number), text, mend).at(bay.label),
            );
        }
    }
}
