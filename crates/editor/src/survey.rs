//! A tape survey: sides as they were measured, one after the other, round a deck.
//!
//! In: the length of each side and the turn at its end. Out: the corners, and by how much the last side misses the
//! first corner. It adjusts nothing: a survey that does not close says so and is closed by one straight side, so that
//! nobody believes a bent right angle.

use baylap_core::geom::Pt;
use baylap_core::plan::{Corner, Mm, Ring};

/// A gap up to this is taken as closed, mm: half the smallest mark of a tape that is read to the nearest 10 mm.
pub const CLOSED: Mm = 5;

/// One side of a survey.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Side {
    /// Its length, mm.
    pub length: Mm,
    /// The turn at its end, thousandths of a degree, to the left; to the right when negative.
    pub turn_mdeg: i32,
}

/// What a survey comes to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Survey {
    /// The corners, the first at the start; the last side's end is not among them.
    pub corners: Vec<Pt>,
    /// Where the last side ends.
    pub end: Pt,
    /// How far the end misses the first corner, mm: to the right and up.
    pub gap: [Mm; 2],
}

impl Survey {
    /// Follows the sides from (0, 0), the first to the right.
    pub fn of(sides: &[Side]) -> Self {
        let (mut x, mut y) = (0.0_f64, 0.0_f64);
        let mut heading: i64 = 0;
        let mut corners = Vec::with_capacity(sides.len());
        for side in sides {
            corners.push(whole(x, y));
            let (along_x, along_y) = unit(heading);
            #[allow(clippy::cast_precision_loss)]
            let length = side.length as f64;
            x += length * along_x;
            y += length * along_y;
            heading += i64::from(side.turn_mdeg);
        }
        let end = whole(x, y);
        Self { corners, end, gap: [end.x, end.y] }
    }

    /// The distance by which it fails to close, mm.
    pub fn misclosure(&self) -> Mm {
        rounded(self.end.distance(Pt::default()))
    }

    /// Whether it closes within what a tape can tell.
    pub fn closes(&self) -> bool {
        !self.corners.is_empty() && self.misclosure() <= CLOSED
    }

    /// The corners as a ring with the usual edges. When the last side ends elsewhere than it began, its end is one more
    /// corner and the ring is closed from there.
    ///
    /// # Errors
    /// One sentence when there are too few sides.
    pub fn ring(&self) -> Result<Ring, String> {
        let mut points = self.corners.clone();
        if !self.closes() {
            points.push(self.end);
        }
        if points.len() < 3 {
            return Err("A deck needs three sides or more: add the sides that are missing.".to_owned());
        }
        Ok(points.into_iter().map(|at| Corner { at, ..Corner::default() }).collect())
    }
}

/// Unit vector of a heading in thousandths of a degree; exact at the right angles.
fn unit(heading_mdeg: i64) -> (f64, f64) {
    match heading_mdeg.rem_euclid(360_000) {
        0 => (1.0, 0.0),
        90_000 => (0.0, 1.0),
        180_000 => (-1.0, 0.0),
        270_000 => (0.0, -1.0),
        other => {
            #[allow(clippy::cast_precision_loss)]
            let turn = other as f64 * core::f64::consts::PI / 180_000.0;
            (libm::cos(turn), libm::sin(turn))
        }
    }
}

fn whole(x: f64, y: f64) -> Pt {
    Pt::new(rounded(x), rounded(y))
}

#[allow(clippy::cast_possible_truncation)]
fn rounded(v: f64) -> Mm {
    libm::round(v) as Mm
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sides(list: &[(Mm, i32)]) -> Vec<Side> {
        list.iter().map(|&(length, degrees)| Side { length, turn_mdeg: degrees * 1000 }).collect()
    }

    /// The L-shape T11 of the reference notes (users.md, section 5): E 24.000 N 9.015 W 10.000 N 6.000 W 14.010
    /// S 15.000; closure worked out there by hand: E -0.010, N +0.015, 0.018 in all.
    #[test]
    fn a_survey_that_does_not_close_says_by_how_much() {
        let survey = Survey::of(&sides(&[
            (24_000, 90),
            (9_015, 90),
            (10_000, -90),
            (6_000, 90),
            (14_010, 90),
            (15_000, 90),
        ]));
        assert_eq!(survey.gap, [-10, 15]);
        assert_eq!(survey.misclosure(), 18);
        assert!(!survey.closes());
        assert_eq!(survey.ring().unwrap().len(), 7, "the gap is closed by a side of its own");
    }

    #[test]
    fn right_angles_are_exact() {
        let survey = Survey::of(&sides(&[(20_000, -90), (10_000, -90), (20_000, -90), (10_000, -90)]));
        assert!(survey.closes());
        assert_eq!(
            survey.corners,
            [Pt::new(0, 0), Pt::new(20_000, 0), Pt::new(20_000, -10_000), Pt::new(0, -10_000)]
        );
    }

    /// An equilateral triangle closes whatever its height is rounded to.
    #[test]
    fn other_angles_close_to_the_millimetre() {
        let survey = Survey::of(&sides(&[(7_000, 120), (7_000, 120), (7_000, 120)]));
        assert!(survey.closes());
        assert_eq!(survey.corners[2], Pt::new(3_500, 6_062), "7000 * sqrt(3) / 2 = 6062.2");
    }

    #[test]
    fn two_sides_are_no_deck() {
        assert!(Survey::of(&sides(&[(7_000, 180), (7_000, 90)])).ring().is_err());
        assert!(Survey::of(&[]).ring().is_err());
    }
}
