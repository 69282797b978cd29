//! Marks along edges and laps that stand where the water is: our own, told apart by shape and not by colour.
//!
//! In: a straight part with its verdict, and which way is up the fall. Out: short strokes along it: ticks up the fall
//! where it faces the water, crosses along a low line, waves in a pond, diamonds in the clear zone of an outlet. A part
//! in a good place has none. Lengths are in the unit of the part: plan mm, or mm of a page.

use crate::scene::Role;
use baylap_core::layout::{SeamKind, Verdict};

/// A place in the unit of the caller.
pub type Spot = [f64; 2];

/// How marks are spread: size of one and the distance between two.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Half the size of a mark.
    pub half: f64,
    /// Distance between marks.
    pub gap: f64,
}

/// The role that a part of a seam is drawn in; none where its place is good or not judged. Side laps run through the clear
/// zone of an outlet on any roof: it is kept free of bay edges and end laps only.
pub const fn role(kind: SeamKind, verdict: Option<Verdict>) -> Option<Role> {
    match verdict {
        Some(Verdict::AtOutlet) if matches!(kind, SeamKind::SideLap) => None,
        Some(Verdict::FacesWater) => Some(Role::FacesWater),
        Some(Verdict::LowLine) => Some(Role::AlongLow),
        Some(Verdict::InPond) => Some(Role::InPond),
        Some(Verdict::AtOutlet) => Some(Role::AtOutlet),
        Some(Verdict::WithFall | Verdict::Sheds | Verdict::Level | Verdict::Raised) | None => None,
    }
}

/// No more marks on one part than this: on any sheet they have long run into one.
const MOST: f64 = 4000.0;

/// The marks of a role along the line from `a` to `b`; `up` tells whether up the fall is on its left.
pub fn marks(role: Role, [a, b]: [Spot; 2], up: bool, spread: Spread) -> Vec<[Spot; 2]> {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let long = (dx * dx + dy * dy).sqrt();
    if long <= 0.0 || spread.gap <= 0.0 {
        return Vec::new();
    }
    let (x, y) = (dx / long, dy / long);
    let side = if up { 1.0 } else { -1.0 };
    let count = (long / spread.gap).floor().clamp(1.0, MOST);
    let step = long / count;
    let shape = shape(role);
    let mut made = Vec::new();
    let mut middle = step / 2.0;
    while middle < long {
        let place = |[along, left]: Spot| {
            let (t, l) = (middle + along * spread.half, left * spread.half * side);
            [a[0] + t * x - l * y, a[1] + t * y + l * x]
        };
        made.extend(shape.iter().map(|stroke| stroke.map(place)));
        middle += step;
    }
    made
}

/// Strokes of one mark: along the line and up the fall, half its size being 1.
const fn shape(role: Role) -> &'static [[Spot; 2]] {
    match role {
        Role::FacesWater => &[[[0.0, 0.0], [0.0, 2.0]]],
        Role::AlongLow => &[[[-1.0, -1.0], [1.0, 1.0]], [[-1.0, 1.0], [1.0, -1.0]]],
        Role::InPond => &[
            [[-1.6, 0.0], [-0.8, 0.9]],
            [[-0.8, 0.9], [0.0, 0.0]],
            [[0.0, 0.0], [0.8, -0.9]],
            [[0.8, -0.9], [1.6, 0.0]],
        ],
        Role::AtOutlet => &[
            [[-1.0, 0.0], [0.0, 1.0]],
            [[0.0, 1.0], [1.0, 0.0]],
            [[1.0, 0.0], [0.0, -1.0]],
            [[0.0, -1.0], [-1.0, 0.0]],
        ],
        _ => &[],
    }
}

/// A level line of waves: the hatch of a pond.
pub fn waves([from, to]: [f64; 2], y: f64, spread: Spread) -> Vec<Spot> {
    let mut made = vec![[from, y]];
    // Crests stand at fixed places, so that the waves of neighbours join up.
    let mut crest = (from / spread.gap).floor() + 1.0;
    while crest * spread.gap < to {
        let up = crest - (crest / 2.0).floor() * 2.0;
        made.push([crest * spread.gap, y + (up * 2.0 - 1.0) * spread.half]);
        crest += 1.0;
    }
    made.push([to, y]);
    made
}

#[cfg(test)]
mod tests {
    use super::*;

    const SPREAD: Spread = Spread { half: 1.0, gap: 4.0 };

    #[test]
    fn ticks_stand_up_the_fall() {
        for up in [true, false] {
            let made = marks(Role::FacesWater, [[0.0, 5.0], [20.0, 5.0]], up, SPREAD);
            assert_eq!(made.len(), 5);
            assert!(made.iter().all(|[a, b]| (a[1] - 5.0).abs() < 1e-9 && (b[1] > 5.0) == up), "{made:?}");
        }
    }

    #[test]
    fn a_short_part_has_one_mark_and_a_good_place_none() {
        assert_eq!(marks(Role::AlongLow, [[0.0, 0.0], [0.5, 0.0]], true, SPREAD).len(), 2);
        assert_eq!(role(SeamKind::SideLap, Some(Verdict::AtOutlet)), None);
        assert!(role(SeamKind::EndLap, Some(Verdict::AtOutlet)).is_some());
        for verdict in [Verdict::WithFall, Verdict::Sheds, Verdict::Level, Verdict::Raised] {
            assert_eq!(role(SeamKind::BayEdge, Some(verdict)), None);
        }
    }

    #[test]
    fn waves_start_and_end_where_they_should() {
        let made = waves([1.0, 13.0], 2.0, SPREAD);
        assert_eq!((made[0], made[made.len() - 1], made.len()), ([1.0, 2.0], [13.0, 2.0], 5));
        assert!(made[1..4].iter().all(|p| ((p[1] - 2.0).abs() - 1.0).abs() < 1e-9), "{made:?}");
    }
}
