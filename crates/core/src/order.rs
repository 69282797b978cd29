//! Order: a first workable order of the bays.
//!
//! In: bays, which of them touch, and the ways off. Out: the bays in pouring order. Each bay has a way off over bays
//! that are still bare when it is poured: the bays form a tree of shortest ways, and only an outermost bay of what is
//! left may be taken. Of those, one next to the bay just laid comes first, and the furthest from the way off before
//! nearer ones. Where falls are known, low bays come before those above them as far as the way off allows. It does not
//! look for the best order and knows nothing of days.

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
    /// For each bay in `beside`: length of the common edge that this bay lies above, mm. Empty where no falls are known.
    pub above: Vec<f64>,
}

/// The bays in pouring order, as indexes.
pub fn first_workable(stops: &[Stop]) -> Vec<usize> {
    if stops.iter().any(|s| s.above.iter().any(|&length| length > 0.0)) {
        return low_first(stops);
    }
    furthest_first(stops)
}

/// With falls: of the bays that leave a way off to all that are left, the one whose edges face the water least. A bay is
/// laid before the bays above it, so that they lap on to it.
fn low_first(stops: &[Stop]) -> Vec<usize> {
    let (distance, _) = shortest_ways(stops);
    let mut left: BTreeSet<usize> = (0..stops.len()).collect();
    let mut order: Vec<usize> = Vec::with_capacity(stops.len());
    let entries = linked_groups(stops);
    while !left.is_empty() {
        let last = order.last().copied();
        let facing = |i: usize| -> f64 {
            let pairs = stops[i].beside.iter().zip(&stops[i].above);
            pairs.filter(|(b, _)| left.contains(b)).map(|(_, length)| length).sum()
        };
        let beside_last = |i: usize| last.is_some_and(|l: usize| stops[l].beside.contains(&i));
        let beside_laid = |i: usize| stops[i].beside.iter().any(|b| !left.contains(b));
        let mut ranked: Vec<usize> = left.iter().copied().collect();
        ranked.sort_by(|&a, &b| {
            let rank = |i: usize| (!beside_last(i), !beside_laid(i));
            let facing = facing(a).total_cmp(&facing(b));
            facing.then(rank(a).cmp(&rank(b))).then(distance[b].total_cmp(&distance[a])).then(a.cmp(&b))
        });
        let free = ranked.iter().copied().find(|&i| leaves_a_way(stops, &left, &entries, i));
        // Of bays that hang together one can always go; should none, the rest goes in number order.
        let Some(next) = free.or_else(|| left.first().copied()) else { break };
        left.remove(&next);
        order.push(next);
    }
    order
}

/// Whether every bay left still reaches the entry of its group over bays left, when one is laid.
fn leaves_a_way(stops: &[Stop], left: &BTreeSet<usize>, entries: &BTreeSet<usize>, laid: usize) -> bool {
    let mut open: BTreeSet<usize> = left.iter().copied().filter(|&i| i != laid).collect();
    let mut stack: Vec<usize> = entries.iter().copied().filter(|e| open.contains(e)).collect();
    for entry in &stack {
        open.remove(entry);
    }
    while let Some(i) = stack.pop() {
        for next in &stops[i].beside {
            if open.remove(next) {
                stack.push(*next);
            }
        }
    }
    open.is_empty()
}

fn furthest_first(stops: &[Stop]) -> Vec<usize> {
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
