//! The way that membrane is carried: from a melter to the middle of each bay.
//!
//! In: bays, which of them touch, melters, ways off. Out: for each melter the way to each bay, mm. Within a bay people walk
//! straight; to another one from middle to middle over bays that touch. Where the melter stands off the deck, or the bays
//! hang together with none that holds it, they come up by the way off that makes it shortest, else on to the nearest bay.

use super::Place;
use super::walls::nearest;
use crate::geom::Pt;
use crate::plan::{Mm, Plan};
use std::collections::BTreeMap;

/// The way to each bay from a place, mm.
pub(super) fn ways(plan: &Plan, bays: &[Place<'_>], from: Pt) -> Vec<Mm> {
    let beside = neighbours(bays);
    let mut far = vec![f64::INFINITY; bays.len()];
    for group in groups(&beside) {
        let (entry, start) = entrance(plan, bays, &group, from);
        walk(bays, &beside, (entry, start), &mut far);
    }
    far.into_iter().map(nearest).collect()
}

fn neighbours(bays: &[Place<'_>]) -> Vec<Vec<usize>> {
    let index: BTreeMap<u32, usize> = bays.iter().enumerate().map(|(i, b)| (b.bay.number, i)).collect();
    bays.iter().map(|b| b.bay.beside.iter().filter_map(|n| index.get(n).copied()).collect()).collect()
}

/// The bay of a group that people come to first, and how far it is to its middle.
fn entrance(plan: &Plan, bays: &[Place<'_>], group: &[usize], from: Pt) -> (usize, f64) {
    if let Some(&home) = group.iter().find(|&&i| bays[i].holds(from)) {
        return (home, from.distance(bays[home].bay.label));
    }
    let nearest = |p: Pt| {
        let far = group.iter().map(|&i| (bays[i].distance(p), i));
        far.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))).map_or(group[0], |(_, i)| i)
    };
    let over = |p: Pt| {
        let bay = nearest(p);
        (bay, from.distance(p) + p.distance(bays[bay].bay.label))
    };
    let best = plan.ways.iter().map(|w| over(w.at)).min_by(|a, b| a.1.total_cmp(&b.1));
    best.unwrap_or_else(|| over(from))
}

/// Shortest ways from one bay to all that hang together with it.
fn walk(bays: &[Place<'_>], beside: &[Vec<usize>], (entry, start): (usize, f64), far: &mut [f64]) {
    far[entry] = start;
    let mut done = vec![false; bays.len()];
    loop {
        let open = (0..bays.len()).filter(|&i| !done[i] && far[i].is_finite());
        let linked = open.filter(|&i| i == entry || beside[i].iter().any(|&j| done[j]));
        let Some(i) = linked.min_by(|&i, &j| far[i].total_cmp(&far[j]).then(i.cmp(&j))) else { return };
        done[i] = true;
        for &j in &beside[i] {
            let through = far[i] + bays[i].bay.label.distance(bays[j].bay.label);
            if through < far[j] {
                far[j] = through;
            }
        }
    }
}

/// Bays that hang together.
fn groups(beside: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let mut seen = vec![false; beside.len()];
    let mut groups = Vec::new();
    for start in 0..beside.len() {
        if std::mem::replace(&mut seen[start], true) {
            continue;
        }
        let (mut stack, mut group) = (vec![start], Vec::new());
        while let Some(i) = stack.pop() {
            group.push(i);
            for &next in &beside[i] {
                if !std::mem::replace(&mut seen[next], true) {
                    stack.push(next);
                }
            }
        }
        group.sort_unstable();
        groups.push(group);
    }
    groups
}
