//! The working frame of a laying direction, and its way back to the plan.
//!
//! In: a direction, an origin and which way round the axes run. Out: places of the frame in whole micrometres
//! (chainage u, offset v). The way there is rounded to 1 micrometre, the way back to 1 mm in [`Frame::plan_point`] and
//! nowhere else. Sines come from `libm`, so that every machine agrees to the last bit.

use super::Pt;
use crate::layout;

/// Micrometres in a mm: the grid of the working frame.
pub const UM: i64 = 1000;

/// What snapping may put on either side of a whole mm, micrometres: not worth another mm of roll.
pub const HAIR: i64 = 20;

/// A place in a frame, whole micrometres.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Place {
    /// Chainage along the laying direction.
    pub u: i64,
    /// Offset across it.
    pub v: i64,
}

/// The next whole mm, a hair's breadth forgiven.
pub fn up_to_mm(um: i64) -> i64 {
    (um - HAIR).div_euclid(UM) + i64::from((um - HAIR).rem_euclid(UM) > 0)
}

/// The whole mm before, a hair's breadth forgiven.
pub fn down_to_mm(um: i64) -> i64 {
    (um + HAIR).div_euclid(UM)
}

/// A working frame.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    /// A corner of the plan near the work: differences from it stay small and exact.
    base: Pt,
    /// Frame place of `base`, so that the frame's zero lies where the work starts.
    shift: Place,
    along: [f64; 2],
    across: [f64; 2],
}

impl Frame {
    /// A frame about `base` whose u axis runs along `direction` (any length) and whose v axis is on its left.
    #[allow(clippy::cast_precision_loss)]
    pub fn new(base: Pt, direction: [f64; 2]) -> Self {
        let length = (direction[0] * direction[0] + direction[1] * direction[1]).sqrt();
        let along = [direction[0] / length, direction[1] / length];
        Self { base, shift: Place::default(), along, across: [-along[1], along[0]] }
    }

    /// The same frame with u running the other way.
    #[must_use]
    pub fn flip_along(self) -> Self {
        Self { along: [-self.along[0], -self.along[1]], ..self }
    }

    /// The same frame with v running the other way.
    #[must_use]
    pub fn flip_across(self) -> Self {
        Self { across: [-self.across[0], -self.across[1]], ..self }
    }

    /// The same frame with its zero moved to what is now `place`.
    #[must_use]
    pub fn moved_to(self, place: Place) -> Self {
        Self { shift: Place { u: self.shift.u - place.u, v: self.shift.v - place.v }, ..self }
    }

    /// The place of a point of the plan.
    #[allow(clippy::cast_precision_loss)]
    pub fn place(&self, p: Pt) -> Place {
        let (x, y) = ((p.x - self.base.x) as f64, (p.y - self.base.y) as f64);
        Place {
            u: micro(x * self.along[0] + y * self.along[1]) + self.shift.u,
            v: micro(x * self.across[0] + y * self.across[1]) + self.shift.v,
        }
    }

    /// The whole-mm point of the plan nearest a place: the one place where computed positions are snapped.
    pub fn plan_point(&self, place: Place) -> Pt {
        let [x, y] = self.offset(place);
        Pt::new(self.base.x + whole(x), self.base.y + whole(y))
    }

    /// A place on the plan, mm, not snapped: for looking at what lies there.
    #[allow(clippy::cast_precision_loss)]
    pub fn plan_place(&self, place: Place) -> [f64; 2] {
        let [x, y] = self.offset(place);
        [self.base.x as f64 + x, self.base.y as f64 + y]
    }

    /// Unit vectors on the plan along u and along v.
    pub fn axes(&self) -> ([f64; 2], [f64; 2]) {
        (self.along, self.across)
    }

    /// Direction of u on the plan, thousandths of a degree anticlockwise from +x, 0 to 179999.
    #[allow(clippy::cast_possible_truncation)]
    pub fn direction_mdeg(&self) -> i32 {
        let degrees = libm::atan2(self.along[1], self.along[0]) * 180.0 / core::f64::consts::PI;
        (libm::round(degrees * 1000.0) as i32).rem_euclid(180_000)
    }

    /// Whether u, v run anticlockwise as x, y do.
    pub fn is_right_handed(&self) -> bool {
        self.along[0] * self.across[1] - self.along[1] * self.across[0] > 0.0
    }

    /// The frame as the layout file gives it.
    pub fn to_layout(self) -> layout::Frame {
        let [x, y] = self.offset(Place::default());
        layout::Frame {
            origin_um: [self.base.x * UM + micro(x), self.base.y * UM + micro(y)],
            along: self.along,
            across: self.across,
        }
    }

    #[allow(clippy::cast_precision_loss)]
    fn offset(&self, place: Place) -> [f64; 2] {
        let u = (place.u - self.shift.u) as f64 / UM as f64;
        let v = (place.v - self.shift.v) as f64 / UM as f64;
        [u * self.along[0] + v * self.across[0], u * self.along[1] + v * self.across[1]]
    }
}

#[allow(clippy::cast_possible_truncation)]
fn micro(mm: f64) -> i64 {
    (mm * 1000.0).round() as i64
}

#[allow(clippy::cast_possible_truncation)]
fn whole(mm: f64) -> i64 {
    (mm + 0.5).floor() as i64
}
