//! Separate straight lines joined to runs, so that a dash goes on round a corner and nothing is drawn twice.
//!
//! In: straight lines in whole mm, in any order and either way round. Out: runs from corner to corner, each line once;
//! they end where three or more meet. It does not see lines that overlap without sharing both ends.

use baylap_core::geom::{Points, Pt};
use std::collections::{BTreeMap, BTreeSet};

/// The runs.
pub fn chains(lines: impl IntoIterator<Item = [Pt; 2]>) -> Vec<Points> {
    let mut unused: BTreeSet<[Pt; 2]> =
        lines.into_iter().filter(|[a, b]| a != b).map(|[a, b]| [a.min(b), a.max(b)]).collect();
    let mut beside: BTreeMap<Pt, Vec<Pt>> = BTreeMap::new();
    for [a, b] in &unused {
        beside.entry(*a).or_default().push(*b);
        beside.entry(*b).or_default().push(*a);
    }
    let ends: Vec<Pt> = beside.iter().filter(|(_, to)| to.len() != 2).map(|(p, _)| *p).collect();
    let mut made = Vec::new();
    // From the ends first; what is left then are closed rounds.
    for from in ends.iter().chain(beside.keys()) {
        for to in &beside[from] {
            if unused.contains(&[*from.min(to), *from.max(to)]) {
                made.push(run(*from, *to, &beside, &mut unused));
            }
        }
    }
    made
}

fn run(from: Pt, to: Pt, beside: &BTreeMap<Pt, Vec<Pt>>, unused: &mut BTreeSet<[Pt; 2]>) -> Points {
    let mut points = vec![from];
    let mut next = Some(to);
    while let Some(at) = next {
        let before = points[points.len() - 1];
        unused.remove(&[before.min(at), before.max(at)]);
        points.push(at);
        let on = beside.get(&at).filter(|to| to.len() == 2);
        next = on.and_then(|to| to.iter().copied().find(|p| unused.contains(&[at.min(*p), at.max(*p)])));
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(a: [i64; 2], b: [i64; 2]) -> [Pt; 2] {
        [Pt::from(a), Pt::from(b)]
    }

    #[test]
    fn a_round_a_fork_and_a_double_line() {
        // A square drawn twice, and a line of two parts that ends on a corner of it.
        let square = [[0, 0], [10, 0], [10, 10], [0, 10]];
        let mut lines: Vec<[Pt; 2]> = (0..8).map(|i| line(square[i % 4], square[(i + 1) % 4])).collect();
        lines.push(line([30, 0], [20, 0]));
        lines.push(line([20, 0], [10, 0]));
        let made = chains(lines);
        let parts: usize = made.iter().map(|run| run.len() - 1).sum();
        assert_eq!((made.len(), parts), (2, 6), "{made:?}");
        assert!(made.iter().any(|run| run.len() == 5 && run[0] == run[4] && run[0] == Pt::new(10, 0)));
    }
}
