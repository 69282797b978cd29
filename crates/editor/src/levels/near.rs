//! The nearest of many points.
//!
//! In: points. Out: for each, the few nearest to it. Points are looked at outwards from each along x, so that thousands
//! take no time.

use baylap_core::geom::Pt;

/// For each point the numbers of the `count` nearest others, nearest first.
pub(super) fn nearest(points: &[Pt], count: usize) -> Vec<Vec<usize>> {
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by_key(|n| (points[*n].x, points[*n].y, *n));
    let mut found = vec![Vec::new(); points.len()];
    for (at, n) in order.iter().enumerate() {
        found[*n] = around(points, &order, at, count);
    }
    found
}

fn around(points: &[Pt], order: &[usize], at: usize, count: usize) -> Vec<usize> {
    let here = points[order[at]];
    let mut best: Vec<(i128, usize)> = Vec::with_capacity(count + 1);
    let (mut left, mut right) = (at, at + 1);
    loop {
        let to_left = left.checked_sub(1).map(|n| here.x.abs_diff(points[order[n]].x));
        let to_right = order.get(right).map(|n| here.x.abs_diff(points[*n].x));
        let (off, next) = match (to_left, to_right) {
            (Some(l), Some(r)) if l <= r => (l, left - 1),
            (Some(l), None) => (l, left - 1),
            (_, Some(r)) => (r, right),
            (None, None) => break,
        };
        let full = best.len() == count;
        if full && best.last().is_some_and(|(far, _)| i128::from(off) * i128::from(off) > *far) {
            break;
        }
        if next < at {
            left = next
        } else {
            right = next + 1
        }
        let n = order[next];
        let entry = (here.distance_squared(points[n]), n);
        let place = best.partition_point(|b| *b < entry);
        best.insert(place, entry);
        best.truncate(count);
    }
    best.into_iter().map(|(_, n)| n).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against looking at every pair.
    #[test]
    fn the_nearest_are_found() {
        let mut seed = 7_u64;
        let mut next = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            i64::try_from(seed >> 40).unwrap() % 5000
        };
        let points: Vec<Pt> = (0..300).map(|_| Pt::new(next(), next())).collect();
        for (n, found) in nearest(&points, 6).iter().enumerate() {
            let mut all: Vec<(i128, usize)> = (0..points.len())
                .filter(|m| *m != n)
                .map(|m| (points[n].distance_squared(points[m]), m))
                .collect();
            all.sort_unstable();
            let expect: Vec<usize> = all.into_iter().take(6).map(|(_, m)| m).collect();
            assert_eq!(*found, expect);
        }
        assert_eq!(nearest(&points[..2], 6), [vec![1], vec![0]]);
        assert_eq!(nearest(&[], 6), Vec::<Vec<usize>>::new());
    }
}
