//! Order: a first workable order of the bays.
//!
//! In: bays, which of them touch, and the ways off. Out: the bays in pouring order. Each bay has a way off over bays
//! that are still bare when it is poured: the bays form a tree of shortest ways, and only an outermost bay of what is
//! left may be taken. Of those, one next to the bay just laid comes first, and the furthest from the way off before
//! nearer ones. It does not look for the best order and knows nothing of days.

use crate::geom::Pt;
use std::collections::BTreeSet;

/// What the order needs to know of a bay.
#[derive(Clone, Debug)]
pub struct Stop {
    /// A place inside it.
    pub at: Pt,
    /// Bays it touches.
    pub beside: Vec<usize>,
    /// Distance from the nearest way off, mm, when it lies beside one.
    pub from_way: f64,
}

/// The bays in pouring order, as indexes.
pub fn first_workable(stops: &[Stop]) -> Vec<usize> {
    let (distance, parent) = shortest_ways(stops);
    let mut children = vec![0_usize; stops.len()];
    for p in parent.iter().flatten() {
        children[*p] += 1;
    }
    let mut left: BTreeSet<usize> = (0..stops.len()).collect();
    let mut laid: BTreeSet<usize> = BTreeSet::new();
    let mut order = Vec::with_capacity(stops.len());
    let mut last: Option<usize> = None;
    while !left.is_empty() {
        let beside_last = |i: usize| last.is_some_and(|l| stops[l].beside.contains(&i));
        let beside_laid = |i: usize| stops[i].beside.iter().any(|b| laid.contains(b));
        let best = left.iter().copied().filter(|&i| children[i] == 0).max_by(|&a, &b| {
            let rank = |i: usize| (beside_last(i), beside_laid(i));
            rank(a).cmp(&rank(b)).then(distance[a].total_cmp(&distance[b])).then(b.cmp(&a))
        });
        // A tree always has an outermost member; should it not, the rest goes in number order.
        let Some(next) = best.or_else(|| left.first().copied()) else { break };
        left.remove(&next);
        laid.insert(next);
        if let Some(p) = parent[next] {
            children[p] = children[p].saturating_sub(1);
        }
        order.push(next);
        last = Some(next);
    }
    order
}

/// Distance of each bay from the way off, going from bay to bay, and the bay it is reached from.
fn shortest_ways(stops: &[Stop]) -> (Vec<f64>, Vec<Option<usize>>) {
    let mut distance: Vec<f64> = vec![f64::INFINITY; stops.len()];
    let mut parent = vec![None; stops.len()];
    let mut open: BTreeSet<usize> = (0..stops.len()).collect();
    let mut linked = linked_groups(stops);
    while !open.is_empty() {
        let nearest =
            open.iter().copied().min_by(|&a, &b| distance[a].total_cmp(&distance[b]).then(a.cmp(&b)));
        let Some(mut at) = nearest else { break };
        if distance[at].is_infinite() {
            // The next group of bays that touch: it is entered where it lies nearest a way off.
            at = linked.pop_first().unwrap_or(at);
            if !open.contains(&at) {
                continue;
            }
            distance[at] = stops[at].from_way;
        }
        open.remove(&at);
        for &next in &stops[at].beside {
            let through = distance[at] + stops[at].at.distance(stops[next].at);
            if open.contains(&next) && through < distance[next] {
                distance[next] = through;
                parent[next] = Some(at);
            }
        }
    }
    (distance, parent)
}

/// For each group of bays that touch, the one nearest a way off.
fn linked_groups(stops: &[Stop]) -> BTreeSet<usize> {
    let mut seen = vec![false; stops.len()];
    let mut entries = BTreeSet::new();
    for start in 0..stops.len() {
        if seen[start] {
            continue;
        }
        let (mut stack, mut best) = (vec![start], start);
        seen[start] = true;
        while let Some(i) = stack.pop() {
            if stops[i].from_way < stops[best].from_way {
                best = i;
            }
            for &next in &stops[i].beside {
                if !seen[next] {
                    seen[next] = true;
                    stack.push(next);
                }
            }
        }
        entries.insert(best);
    }
    entries
}
