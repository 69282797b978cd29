//! The way off: over which bays people leave a bay once it is laid (law 9).
//!
//! In: a plan with its ways on and off, bays that touch, one of them, the bays that may not be walked on. Out: the bays
//! crossed, and a line over them from middle to middle through the edges they share. The shortest such line is taken;
//! it tells over which bays, not where a foot is put: it may run over an opening. Nothing where no way is drawn or none
//! is open.

use super::sites::exits;
use crate::geom::Pt;
use crate::geom::contact::common_edges;
use crate::layout::{Bay, Layout};
use crate::plan::Plan;
use std::collections::{BTreeMap, BTreeSet};

/// A way off.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WayOff {
    /// The bay that is left.
    pub bay: u32,
    /// The bays crossed after it, in order.
    pub over: Vec<u32>,
    /// From the middle of the bay to the way on and off.
    pub points: Vec<Pt>,
}

/// The shortest way off a bay over bays that are not barred.
pub fn way_off(plan: &Plan, layout: &Layout, bay: u32, barred: &BTreeSet<u32>) -> Option<WayOff> {
    let bays = &layout.bays;
    let index: BTreeMap<u32, usize> = (0..).zip(bays).map(|(i, b)| (b.number, i)).collect();
    let start = *index.get(&bay)?;
    let exits = exits(plan, bays);
    let off = |i: usize| {
        let near = plan.ways.iter().min_by_key(|w| w.at.distance_squared(bays[i].label));
        near.filter(|_| exits[i]).map(|w| w.at)
    };
    let mut far = vec![f64::INFINITY; bays.len()];
    let mut before: Vec<Option<(usize, Pt)>> = vec![None; bays.len()];
    let mut done = vec![false; bays.len()];
    far[start] = 0.0;
    // A way on and off is one step more than the bays: the first bay settled from which it is nearest ends the search.
    let mut best: Option<(f64, usize, Pt)> = None;
    while let Some(i) = nearest(&far, &done) {
        if best.is_some_and(|(length, ..)| length <= far[i]) {
            break;
        }
        done[i] = true;
        if let Some(at) = off(i) {
            let length = far[i] + bays[i].label.distance(at);
            best = best.filter(|(known, ..)| *known <= length).or(Some((length, i, at)));
        }
        let open = bays[i].beside.iter().filter(|n| !barred.contains(n)).filter_map(|n| index.get(n));
        for &j in open {
            let Some(door) = door(&bays[i], &bays[j]) else { continue };
            let length = far[i] + bays[i].label.distance(door) + door.distance(bays[j].label);
            if length < far[j] {
                (far[j], before[j]) = (length, Some((i, door)));
            }
        }
    }
    let (_, end, at) = best?;
    let (mut over, mut points, mut i) = (Vec::new(), vec![at], end);
    points.push(bays[i].label);
    while let Some((from, door)) = before[i] {
        over.push(bays[i].number);
        points.extend([door, bays[from].label]);
        i = from;
    }
    over.reverse();
    points.reverse();
    Some(WayOff { bay, over, points })
}

/// The bay not done that is nearest; of equal ones the first.
fn nearest(far: &[f64], done: &[bool]) -> Option<usize> {
    let open = (0..far.len()).filter(|&i| !done[i] && far[i].is_finite());
    open.min_by(|&i, &j| far[i].total_cmp(&far[j]).then(i.cmp(&j)))
}

/// The middle of the longest edge that two bays share.
#[allow(clippy::cast_possible_truncation)]
fn door(one: &Bay, other: &Bay) -> Option<Pt> {
    let shared = common_edges(&one.area, &other.area);
    let length = |a: [f64; 2], b: [f64; 2]| (b[0] - a[0]).powi(2) + (b[1] - a[1]).powi(2);
    let (a, b, _) = shared.into_iter().max_by(|x, y| length(x.0, x.1).total_cmp(&length(y.0, y.1)))?;
    let half = |n: usize| libm::round(f64::midpoint(a[n], b[n])) as i64;
    Some(Pt::new(half(0), half(1)))
}

#[cfg(test)]
mod tests {
    //! Three by three bays of 4 m; the way off is at the lower left. Ways counted by hand.
    use super::*;
    use crate::plan::Place;

    fn board() -> Layout {
        let bay = |n: i64| {
            let (x, y) = (n % 3 * 4000, n / 3 * 4000);
            let ring = [[x, y], [x + 4000, y], [x + 4000, y + 4000], [x, y + 4000]];
            let steps = [(n % 3 > 0, -1), (n % 3 < 2, 1), (n >= 3, -3), (n < 6, 3)];
            let beside = steps.iter().filter(|(there, _)| *there).map(|(_, by)| n + by + 1);
            Bay {
                number: u32::try_from(n + 1).expect("small"),
                area: vec![vec![ring.into_iter().map(Pt::from).collect()]],
                label: Pt::new(x + 2000, y + 2000),
                beside: beside.map(|n| u32::try_from(n).expect("small")).collect(),
                ..Bay::default()
            }
        };
        Layout { bays: (0..9).map(bay).collect(), ..Layout::default() }
    }

    fn plan(ways: &[[i64; 2]]) -> Plan {
        let way = |at: &[i64; 2]| Place { at: Pt::from(*at), ..Place::default() };
        Plan { ways: ways.iter().map(way).collect(), ..Plan::default() }
    }

    fn over(plan: &Plan, bay: u32, barred: &[u32]) -> Option<Vec<u32>> {
        way_off(plan, &board(), bay, &barred.iter().copied().collect()).map(|way| way.over)
    }

    #[test]
    fn it_leads_over_bays_that_are_not_barred() {
        let corner = plan(&[[0, 2000]]);
        assert_eq!(over(&corner, 3, &[]), Some(vec![2, 1]));
        assert_eq!(over(&corner, 3, &[2]), Some(vec![6, 5, 4, 1]));
        assert_eq!(over(&corner, 3, &[2, 5]), Some(vec![6, 9, 8, 7, 4, 1]));
        assert_eq!(over(&corner, 3, &[2, 6]), None, "shut in");
        assert_eq!(over(&corner, 1, &[1, 2, 4]), Some(vec![]), "the bay itself is left, not walked on");
    }

    #[test]
    fn of_two_ways_the_nearer_is_taken() {
        let both = plan(&[[0, 2000], [12_000, 2000]]);
        assert_eq!(over(&both, 3, &[]), Some(vec![]));
        assert_eq!(over(&both, 2, &[3]), Some(vec![1]));
        assert_eq!(over(&plan(&[]), 2, &[]), None, "none is drawn");
    }

    #[test]
    fn the_line_runs_through_the_edges_that_bays_share() {
        let way = way_off(&plan(&[[0, 2000]]), &board(), 2, &BTreeSet::new()).expect("a way");
        let line: Vec<[i64; 2]> = way.points.into_iter().map(<[i64; 2]>::from).collect();
        assert_eq!(line, [[6000, 2000], [4000, 2000], [2000, 2000], [0, 2000]]);
    }
}
