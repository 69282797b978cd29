//! Measures of rings and regions.
//!
//! In: rings of whole-millimetre corners. Out: exact doubled areas, lengths, and tests of containment. Rings may be
//! either way round; nothing here changes them.

use super::{Points, Pt, Region};

/// Twice the signed area of a ring, square millimetres: positive when anticlockwise.
pub fn doubled_area(ring: &[Pt]) -> i128 {
    let Some(&origin) = ring.first() else { return 0 };
    ring.windows(2).map(|w| origin.turn(w[0], w[1])).sum()
}

/// Twice the area of regions, square millimetres: outer rings count positive, holes negative.
pub fn doubled_area_of(regions: &[Region]) -> i128 {
    regions.iter().flatten().map(|ring| doubled_area(ring)).sum()
}

/// Length round a ring, mm.
pub fn perimeter(ring: &[Pt]) -> f64 {
    edges(ring).map(|(a, b)| a.distance(b)).sum()
}

/// The edges of a ring, the closing one last.
pub fn edges(ring: &[Pt]) -> impl Iterator<Item = (Pt, Pt)> + '_ {
    ring.iter().enumerate().map(|(i, &a)| (a, ring[(i + 1) % ring.len()]))
}

/// Where a point lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Strictly inside.
    Inside,
    /// On the boundary.
    On,
    /// Strictly outside.
    Outside,
}

/// Where `p` lies with respect to rings taken together (odd crossings are inside).
pub fn locate<'a>(p: Pt, rings: impl IntoIterator<Item = &'a [Pt]>) -> Side {
    let mut inside = false;
    for ring in rings {
        for (a, b) in edges(ring) {
            let turn = a.turn(b, p);
            if turn == 0 && between(a, b, p) {
                return Side::On;
            }
            if (a.y > p.y) != (b.y > p.y) && ((turn > 0) == (b.y > a.y)) {
                inside = !inside;
            }
        }
    }
    if inside { Side::Inside } else { Side::Outside }
}

/// Where `p` lies with respect to a region.
pub fn locate_in(p: Pt, region: &Region) -> Side {
    locate(p, region.iter().map(Vec::as_slice))
}

/// Whether `p`, known to be on the line through `a` and `b`, is on the segment between them.
pub fn between(a: Pt, b: Pt, p: Pt) -> bool {
    p.x >= a.x.min(b.x) && p.x <= a.x.max(b.x) && p.y >= a.y.min(b.y) && p.y <= a.y.max(b.y)
}

/// Least and greatest x and y of points, or `None` when there are none.
pub fn bounds<'a>(points: impl IntoIterator<Item = &'a Pt>) -> Option<(Pt, Pt)> {
    points.into_iter().fold(None, |acc, &p| {
        let (lo, hi) = acc.unwrap_or((p, p));
        Some((Pt::new(lo.x.min(p.x), lo.y.min(p.y)), Pt::new(hi.x.max(p.x), hi.y.max(p.y))))
    })
}

/// Regions from rings with their area on the left, where a ring may run through a corner more than once: each ring is
/// untied at such corners, what encloses nothing is dropped, and holes go to the area that holds them.
pub fn untied(rings: impl IntoIterator<Item = Points>) -> Vec<Region> {
    let loops: Vec<Points> = rings.into_iter().flat_map(simple_loops).collect();
    let (mut outers, holes): (Vec<Points>, Vec<Points>) =
        loops.into_iter().partition(|l| doubled_area(l) > 0);
    outers.sort();
    let mut regions: Vec<Region> = outers.into_iter().map(|outer| vec![outer]).collect();
    for hole in holes {
        let home = regions
            .iter()
            .enumerate()
            .filter(|(_, region)| holds_hole(&region[0], &hole))
            .min_by_key(|(_, region)| doubled_area(&region[0]))
            .map(|(i, _)| i);
        if let Some(i) = home {
            regions[i].push(hole);
        }
    }
    for region in &mut regions {
        region[1..].sort();
    }
    regions
}

/// The loops of a ring, parted wherever it runs through a corner again, each starting at its least corner.
fn simple_loops(ring: Points) -> Vec<Points> {
    let mut loops = Vec::new();
    let mut open: Points = Vec::with_capacity(ring.len());
    let mut place: std::collections::BTreeMap<Pt, usize> = std::collections::BTreeMap::new();
    for p in ring {
        if let Some(&at) = place.get(&p) {
            for q in &open[at + 1..] {
                place.remove(q);
            }
            loops.push(open.split_off(at));
        }
        place.insert(p, open.len());
        open.push(p);
    }
    loops.push(open);
    loops.retain(|l| l.len() > 2 && doubled_area(l) != 0);
    for l in &mut loops {
        start_at_least(l);
    }
    loops
}

/// Whether a hole lies in an outer ring: all of it is inside or on it, and some of it is inside.
fn holds_hole(outer: &[Pt], hole: &[Pt]) -> bool {
    let side = |p: Pt| locate(p, [outer]);
    let mut corners = hole.iter().map(|&p| side(p)).filter(|s| *s != Side::On);
    match corners.next() {
        Some(first) => first == Side::Inside,
        None => edges(hole)
            .any(|(a, b)| side(Pt::new(i64::midpoint(a.x, b.x), i64::midpoint(a.y, b.y))) == Side::Inside),
    }
}

/// Turns a ring so that it starts at its least corner: equal areas then compare equal.
fn start_at_least(ring: &mut Points) {
    if let Some(least) = ring.iter().enumerate().min_by_key(|(_, p)| **p).map(|(i, _)| i) {
        ring.rotate_left(least);
    }
}
