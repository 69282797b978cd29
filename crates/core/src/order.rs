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
        return low_stops_first(stops);
    }
    furthest_first(stops)
}

/// Bays low first, of equals the furthest from the way off, each leaving a way off to those left.
fn low_stops_first(stops: &[Stop]) -> Vec<usize> {
    let (distance, _) = shortest_ways(stops);
    let mut by_distance: Vec<usize> = (0..stops.len()).collect();
    by_distance.sort_by(|&a, &b| distance[b].total_cmp(&distance[a]).then(a.cmp(&b)));
    let mut rank = vec![0; stops.len()];
    for (n, &i) in by_distance.iter().enumerate() {
        rank[i] = n;
    }
    let above: Vec<Vec<(usize, f64)>> = by_distance
        .iter()
        .map(|&i| stops[i].beside.iter().map(|&j| rank[j]).zip(stops[i].above.iter().copied()).collect())
        .collect();
    let exits = exits(stops);
    let may = |left: &BTreeSet<usize>, laid: usize| {
        let left = left.iter().map(|&n| by_distance[n]).collect();
        leaves_a_way(stops, &left, &exits, by_distance[laid])
    };
    low_first(&above, may).into_iter().map(|n| by_distance[n]).collect()
}

/// Things that lap on to one another, low ones first. `above[i]` names what `i` lies above, with the length that would face
/// the water if `i` came first. Of those that `may` come next, the one with the least such length to what is left; of
/// equals one beside the last, one beside any, the first by index.
pub fn low_first(above: &[Vec<(usize, f64)>], may: impl Fn(&BTreeSet<usize>, usize) -> bool) -> Vec<usize> {
    let mut beside: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); above.len()];
    for (i, list) in above.iter().enumerate() {
        for &(j, _) in list {
            beside[i].insert(j);
            beside[j].insert(i);
        }
    }
    let mut left: BTreeSet<usize> = (0..above.len()).collect();
    let mut order: Vec<usize> = Vec::with_capacity(above.len());
    while !left.is_empty() {
        let last = order.last().copied();
        let facing = |i: usize| -> f64 {
            above[i].iter().filter(|(j, _)| left.contains(j)).map(|(_, length)| length).sum()
        };
        let rank = |i: usize| {
            let beside_last = last.is_some_and(|l: usize| beside[l].contains(&i));
            (!beside_last, !beside[i].iter().any(|j| !left.contains(j)))
        };
        let mut ranked: Vec<(f64, (bool, bool), usize)> =
            left.iter().map(|&i| (facing(i), rank(i), i)).collect();
        ranked.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        let free = ranked.iter().map(|r| r.2).find(|&i| may(&left, i));
        // Of bays that hang together one can always go; should none, the rest goes in number order.
        let Some(next) = free.or_else(|| left.first().copied()) else { break };
        left.remove(&next);
        order.push(next);
    }
    order
}

/// The bays that people leave by: in each group that hangs together, those nearest a way off.
fn exits(stops: &[Stop]) -> BTreeSet<usize> {
    groups(stops)
        .into_iter()
        .flat_map(|group| {
            let nearest = group.iter().map(|&i| stops[i].from_way).fold(f64::INFINITY, f64::min);
            group.into_iter().filter(move |&i| stops[i].from_way <= nearest)
        })
        .collect()
}

/// Whether every bay left still reaches a bay that people leave by, over bays left, when one is laid.
fn leaves_a_way(stops: &[Stop], left: &BTreeSet<usize>, exits: &BTreeSet<usize>, laid: usize) -> bool {
    let mut open: BTreeSet<usize> = left.iter().copied().filter(|&i| i != laid).collect();
    let mut stack: Vec<usize> = exits.iter().copied().filter(|e| open.contains(e)).collect();
    for exit in &stack {
        open.remove(exit);
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
    let nearest = |group: &Vec<usize>| {
        group.iter().copied().min_by(|&a, &b| stops[a].from_way.total_cmp(&stops[b].from_way))
    };
    groups(stops).iter().filter_map(nearest).collect()
}

/// Groups of bays that touch.
fn groups(stops: &[Stop]) -> Vec<Vec<usize>> {
    let mut seen = vec![false; stops.len()];
    let mut groups = Vec::new();
    for start in 0..stops.len() {
        if std::mem::replace(&mut seen[start], true) {
            continue;
        }
        let (mut stack, mut group) = (vec![start], Vec::new());
        while let Some(i) = stack.pop() {
            group.push(i);
            for &next in &stops[i].beside {
                if !std::mem::replace(&mut seen[next], true) {
                    stack.push(next);
                }
            }
        }
        groups.push(group);
    }
    groups
}
