//! What the days have to say: laws that ties break, each by its name, bays longer than a day, ties that hold nothing.
//!
//! In: a plan, its layout with days, what the order breaks. Out: findings. It changes nothing.

use crate::calendar::Dates;
use crate::finding::{About, Finding};
use crate::geom::Pt;
use crate::layout::days::{Day, Days, Turn};
use crate::layout::falls::{SeamKind, Verdict};
use crate::layout::{Bay, Layout};
use crate::melting;
use crate::plan::{Plan, Tie};
use crate::seams::length_of;
use crate::sequence::{Broken, Law};
use std::collections::BTreeMap;

/// Tells what is to be told of the days; `broken` names sites by the place of their bay in the layout.
pub fn remark(plan: &Plan, layout: &Layout, broken: &[Broken], findings: &mut Vec<Finding>) {
    let Some(days) = &layout.days else { return };
    for tie in &plan.programme.ties {
        findings.extend(astray(layout, tie));
    }
    for broken in broken {
        findings.extend(broken_law(plan, layout, days, broken));
    }
    facing(plan, layout, findings);
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

fn broken_law(plan: &Plan, layout: &Layout, days: &Days, broken: &Broken) -> Option<Finding> {
    let bay = layout.bays.get(broken.site)?;
    let (day, turn) =
        days.days.iter().find_map(|d| Some((d, d.turns.iter().find(|t| t.bay == bay.number)?)))?;
    let (n, on) = (bay.number, day.number);
    let tie = tie_of(plan, layout, broken.site);
    let (code, text, mend) = match broken.law {
        Law::Reach => (
            "cut-off",
            format!(
                "Law 9, reach: on day {on} bay {n} would only be reached across {}, laid before it, and the ties of bays leave no \
                 other order.",
                in_the_way(bay, day, |t| (t.from, t.gang) < (turn.from, turn.gang))
            ),
            "Tie fewer bays to that day, or let the nearer ones go later.",
        ),
        Law::Leave => (
            "shut-in",
            format!(
                "Law 9, leave: on day {on} people would leave bay {n} across {}, begun by another gang before it is done, and \
                 the ties of bays leave no other order.",
                in_the_way(bay, day, |t| t.from < turn.to)
            ),
            "Tie fewer bays to that day, or let one gang lay the bays round it.",
        ),
        Law::Day => (
            "tie-day",
            format!(
                "Bay {n} is tied to {} and would be laid on day {on}: no order keeps that tie, the other ties and the hours of a \
                 day.",
                tie.and_then(|t| tied_day(plan, t)).map_or("another day".to_owned(), |d| format!("day {d}"))
            ),
            "Take out one of the ties, or give the gang more time in a day.",
        ),
        Law::Gang => (
            "tie-gang",
            format!(
                "Bay {n} is tied to {} and would be laid by gang {}: no order keeps that tie and the others.",
                tie.and_then(|t| tied_gang(days, t))
                    .map_or("another gang".to_owned(), |g| format!("gang {g}")),
                turn.gang
            ),
            "Take out one of the ties.",
        ),
        Law::Turn => (
            "tie-turn",
            format!(
                "Bay {n} is tied to {} and would be laid as number {n}: no order keeps that tie and the others.",
                tie.and_then(|t| t.turn).map_or("another turn".to_owned(), |t| format!("turn {t}"))
            ),
            "Take out one of the ties, or give two bays different turns.",
        ),
        Law::Time => (
            "day-too-full",
            format!("Bay {n} does not fit into the hours of day {on} with what is laid before it."),
            "Give the gang more time in a day, make bays smaller, or tie fewer bays to that day.",
        ),
    };
    Some(Finding::error(code, About::Bay(n), text, mend).at(bay.label))
}

/// Bays of a day, begun so early, that lie round a bay: "bay 3", "bays 3 and 5".
fn in_the_way(bay: &Bay, day: &Day, early: impl Fn(&Turn) -> bool) -> String {
    let begun = |t: &&Turn| t.bay != bay.number && early(t);
    let all: Vec<u32> = day.turns.iter().filter(begun).map(|t| t.bay).collect();
    let near: Vec<u32> = all.iter().copied().filter(|n| bay.beside.contains(n)).collect();
    // Its own neighbours are in the way, or what is laid further on.
    let named: Vec<String> = if near.is_empty() { all } else { near }.iter().map(u32::to_string).collect();
    match named.as_slice() {
        [] => "bays of the same day".to_owned(),
        [one] => format!("bay {one}"),
        [most @ .., last] => format!("bays {} and {last}", most.join(", ")),
    }
}

/// The last tie of a bay: it goes before those above it.
fn tie_of<'a>(plan: &'a Plan, layout: &Layout, bay: usize) -> Option<&'a Tie> {
    plan.programme.ties.iter().rev().find(|tie| layout.bay_at(tie.at) == Some(bay))
}

fn tied_day(plan: &Plan, tie: &Tie) -> Option<u32> {
    let dates = Dates::of(&plan.programme.calendar);
    tie.date.and_then(|date| dates.day_of(date).ok()).or(tie.day)
}

fn tied_gang(days: &Days, tie: &Tie) -> Option<usize> {
    days.gangs.iter().position(|g| Some(g.id) == tie.gang).map(|n| n + 1)
}

/// Law 8 where a tie is at work: a tied bay and one lapped with it, with the lap between them facing the water.
fn facing(plan: &Plan, layout: &Layout, findings: &mut Vec<Finding>) {
    let mut ties: BTreeMap<u32, &Tie> = BTreeMap::new();
    for tie in &plan.programme.ties {
        if let Some(bay) = layout.bay_at(tie.at).and_then(|i| layout.bays.get(i)) {
            ties.insert(bay.number, tie);
        }
    }
    let mut pairs: BTreeMap<[u32; 2], (f64, Pt)> = BTreeMap::new();
    for seam in layout.seams.iter().filter(|s| s.kind != SeamKind::BayEdge) {
        let bays = seam.between.map(|n| layout.pieces.get((n as usize).wrapping_sub(1)).map_or(0, |p| p.bay));
        // The bay laid first is the higher one, or the lap would shed.
        let pair = [bays[0].min(bays[1]), bays[0].max(bays[1])];
        let part = seam.parts.iter().find(|p| p.verdict == Some(Verdict::FacesWater));
        if let Some(part) = part.filter(|_| pair[0] != pair[1] && pair.iter().any(|n| ties.contains_key(n))) {
            pairs.entry(pair).or_insert((0.0, part.a)).0 += length_of(seam, Verdict::FacesWater);
        }
    }
    for ([first, later], (length, at)) in pairs {
        let tied = if ties.contains_key(&first) { first } else { later };
        let text = format!(
            "Law 8, shedding: bay {first} is laid before bay {later}, which lies lower, so the lap between them faces the water for \
             {:.1} m; bay {tied} is tied.",
            length / 1000.0
        );
        let mend =
            "Let the lower bay go before the higher one, or untie it; where it must stay, look to this lap.";
        findings.push(Finding::warning("tie-faces-water", About::Bay(tied), text, mend).at(at));
    }
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
