//! Puts texts where none lies on another.
//!
//! In: texts with a place, a turn, a size and perhaps a line they may slide along, those that matter more first. Out:
//! which of them stand, and where; one that finds no room is left out. Deterministic and simple: each takes the first
//! free place. Sizes and places are in one unit, whichever the caller uses (mm of the page, mm of the plan, pixels).

use crate::clip::direction;

/// A text that wants a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wish {
    /// Where its middle should be.
    pub at: [f64; 2],
    /// A line it may slide along; both ends equal `at` when it may not.
    pub track: [[f64; 2]; 2],
    /// Its turn, thousandths of a degree.
    pub turn_mdeg: i32,
    /// Its width and height.
    pub size: [f64; 2],
}

/// A turned rectangle that is taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taken {
    /// Its middle.
    pub at: [f64; 2],
    /// Unit vector along its width.
    pub along: [f64; 2],
    /// Half its width and half its height.
    pub half: [f64; 2],
}

impl Taken {
    /// An upright rectangle.
    pub const fn level(at: [f64; 2], half: [f64; 2]) -> Self {
        Self { at, along: [1.0, 0.0], half }
    }

    /// Its corners.
    pub fn corners(&self) -> [[f64; 2]; 4] {
        let ([x, y], [cos, sin], [w, h]) = (self.at, self.along, self.half);
        [[-w, -h], [w, -h], [w, h], [-w, h]].map(|[a, b]| [x + a * cos - b * sin, y + a * sin + b * cos])
    }

    /// Whether two rectangles share more than an edge.
    pub fn meets(&self, other: &Taken) -> bool {
        let apart = |axis: [f64; 2]| {
            let gap = (other.at[0] - self.at[0]) * axis[0] + (other.at[1] - self.at[1]) * axis[1];
            gap.abs() >= self.shadow(axis) + other.shadow(axis)
        };
        let axes = [self.along, across(self.along), other.along, across(other.along)];
        !axes.into_iter().any(apart)
    }

    fn shadow(&self, axis: [f64; 2]) -> f64 {
        let along = (self.along[0] * axis[0] + self.along[1] * axis[1]).abs();
        let across = (self.along[1] * axis[0] - self.along[0] * axis[1]).abs();
        self.half[0] * along + self.half[1] * across
    }
}

/// Places tried along a track, as shares of the way from its middle to its ends: the wish itself comes first.
const TRIES: [f64; 14] = [0.2, -0.2, 0.35, -0.35, 0.5, -0.5, 0.65, -0.65, 0.8, -0.8, 0.9, -0.9, 1.0, -1.0];

/// The first free place for a text, or `None`. A place found is added to what is taken.
pub fn take(wish: &Wish, taken: &mut Vec<Taken>, allowed: impl Fn(&Taken) -> bool) -> Option<[f64; 2]> {
    let along = direction(wish.turn_mdeg);
    let half = wish.size.map(|s| s / 2.0);
    let found = places(wish)
        .map(|at| Taken { at, along, half })
        .find(|place| allowed(place) && !taken.iter().any(|other| place.meets(other)))?;
    taken.push(found);
    Some(found.at)
}

fn places(wish: &Wish) -> impl Iterator<Item = [f64; 2]> + '_ {
    let [a, b] = wish.track;
    let middle = [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])];
    let reach = [(b[0] - a[0]) / 2.0, (b[1] - a[1]) / 2.0];
    let long = reach[0].abs() + reach[1].abs() > 0.0;
    // The ends of the track are for the ends of the text, not for its middle.
    let share =
        (1.0 - wish.size[0] / (2.0 * (reach[0] * reach[0] + reach[1] * reach[1]).sqrt().max(1e-9))).max(0.0);
    let slid =
        TRIES.into_iter().map(move |t| [middle[0] + reach[0] * t * share, middle[1] + reach[1] * t * share]);
    core::iter::once(wish.at).chain(slid.filter(move |_| long))
}

const fn across(v: [f64; 2]) -> [f64; 2] {
    [-v[1], v[0]]
}

#[cfg(test)]
mod tests {
    use super::*;

    const FIXED: Wish = Wish { at: [0.0, 0.0], track: [[0.0, 0.0]; 2], turn_mdeg: 0, size: [10.0, 3.0] };

    #[test]
    fn the_second_text_at_one_place_is_left_out_or_slides() {
        let mut taken = Vec::new();
        assert_eq!(take(&FIXED, &mut taken, |_| true), Some([0.0, 0.0]));
        assert_eq!(take(&FIXED, &mut taken, |_| true), None);
        let sliding = Wish { track: [[-40.0, 0.0], [40.0, 0.0]], ..FIXED };
        let at = take(&sliding, &mut taken, |_| true).expect("there is room along the track");
        assert!(at[0].abs() >= 10.0 && !taken[0].meets(&taken[1]));
    }

    #[test]
    fn turned_rectangles_that_only_share_bounds_do_not_meet() {
        // Two thin strips at 45 degrees, side by side: their upright bounds overlap, they do not.
        let half_root = core::f64::consts::FRAC_1_SQRT_2;
        let strip = |x: f64| Taken { at: [x, 0.0], along: [half_root; 2], half: [20.0, 1.0] };
        assert!(!strip(0.0).meets(&strip(6.0)));
        assert!(strip(0.0).meets(&strip(2.0)));
    }
}
