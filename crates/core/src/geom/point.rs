//! A point of the plan in whole millimetres, and exact products of vectors.
//!
//! In: integer coordinates. Out: exact integers (products in `i128`, so no plan within the limits can overflow).
//! It knows nothing of rings or frames.

use serde::{Deserialize, Serialize};

/// A place on the plan: x to the right, y up, whole millimetres. Written to files as `[x, y]`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[serde(from = "[i64; 2]", into = "[i64; 2]")]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema), schemars(with = "[i64; 2]"))]
pub struct Pt {
    /// Millimetres to the right of the plan's origin.
    pub x: i64,
    /// Millimetres up from the plan's origin.
    pub y: i64,
}

impl Pt {
    /// The point (`x`, `y`), millimetres.
    pub const fn new(x: i64, y: i64) -> Self {
        Self { x, y }
    }

    /// Twice the signed area of the triangle `self`, `b`, `c`: positive when the turn is to the left.
    pub fn turn(self, b: Pt, c: Pt) -> i128 {
        let (abx, aby) = (i128::from(b.x - self.x), i128::from(b.y - self.y));
        let (acx, acy) = (i128::from(c.x - self.x), i128::from(c.y - self.y));
        abx * acy - aby * acx
    }

    /// Scalar product of the vectors from `self` to `b` and from `self` to `c`.
    pub fn dot(self, b: Pt, c: Pt) -> i128 {
        i128::from(b.x - self.x) * i128::from(c.x - self.x)
            + i128::from(b.y - self.y) * i128::from(c.y - self.y)
    }

    /// Square of the distance to `b`, square millimetres.
    pub fn distance_squared(self, b: Pt) -> i128 {
        self.dot(b, b)
    }

    /// Distance to `b`, millimetres.
    #[allow(clippy::cast_precision_loss)]
    pub fn distance(self, b: Pt) -> f64 {
        (self.distance_squared(b) as f64).sqrt()
    }
}

impl From<[i64; 2]> for Pt {
    fn from([x, y]: [i64; 2]) -> Self {
        Self { x, y }
    }
}

impl From<Pt> for [i64; 2] {
    fn from(p: Pt) -> Self {
        [p.x, p.y]
    }
}
