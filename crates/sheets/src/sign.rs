//! The shapes of the signs, drawn once for the screen, the PDF and the SVG file.
//!
//! In: a sign. Out: closed or open lines in tenths of a mm on paper about its middle, x right, y up. Signs are line
//! work only, tell themselves apart by shape, and are about 5 mm across.

use crate::clip::direction;
use crate::label::Taken;
use crate::scene::{Sign, Symbol};
use baylap_core::Severity;
use core::fmt::Write;

/// What a sign takes at a place; `half` is 3 mm on paper, or what that is on the screen. An arrow takes a turned strip, so
/// that its fall can stand close beside it.
pub fn room(symbol: &Symbol, at: [f64; 2], half: f64) -> Taken {
    match symbol.sign {
        Sign::Fall => Taken { at, along: direction(symbol.turn_mdeg), half: [half * 1.8, half * 0.35] },
        _ => Taken::level(at, [half, half]),
    }
}

/// The sign of a finding.
pub const fn finding_sign(severity: Severity) -> Sign {
    match severity {
        Severity::Error => Sign::Error,
        Severity::Warning => Sign::Warning,
        Severity::Note => Sign::Note,
    }
}

/// One line of a sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stroke {
    /// Its corners, tenths of a mm on paper.
    pub points: &'static [[i32; 2]],
    /// Whether the last corner joins the first.
    pub closed: bool,
    /// Whether its inside is filled.
    pub fill: bool,
}

const fn open(points: &'static [[i32; 2]]) -> Stroke {
    Stroke { points, closed: false, fill: false }
}

const fn closed(points: &'static [[i32; 2]]) -> Stroke {
    Stroke { points, closed: true, fill: false }
}

const fn filled(points: &'static [[i32; 2]]) -> Stroke {
    Stroke { points, closed: true, fill: true }
}

/// A ring of 16 corners, radius 20.
const ROUND: &[[i32; 2]] = &[
    [20, 0],
    [18, 8],
    [14, 14],
    [8, 18],
    [0, 20],
    [-8, 18],
    [-14, 14],
    [-18, 8],
    [-20, 0],
    [-18, -8],
    [-14, -14],
    [-8, -18],
    [0, -20],
    [8, -18],
    [14, -14],
    [18, -8],
];

impl Sign {
    /// The lines of the sign.
    pub const fn strokes(self) -> &'static [Stroke] {
        match self {
            Sign::Zero => ZERO,
            Sign::Way => WAY,
            Sign::Melter => MELTER,
            Sign::Gravity => GRAVITY,
            Sign::Overflow => OVERFLOW,
            Sign::Chute => CHUTE,
            Sign::Siphonic => SIPHONIC,
            Sign::Spot => SPOT,
            Sign::Fall => FALL,
            Sign::Reading => READING,
            Sign::Bond => BOND,
            Sign::Error => ERROR,
            Sign::Warning => WARNING,
            Sign::Note => NOTE,
        }
    }

    /// SVG path data of the lines that are stroked, tenths of a mm about the middle, y down.
    pub fn outline(self) -> String {
        self.data(false)
    }

    /// SVG path data of the parts that are filled, tenths of a mm about the middle, y down.
    pub fn filling(self) -> String {
        self.data(true)
    }

    fn data(self, fill: bool) -> String {
        let mut data = String::new();
        for stroke in self.strokes().iter().filter(|s| s.fill == fill) {
            for (i, [x, y]) in stroke.points.iter().enumerate() {
                // Writing to a string cannot fail.
                let _ = write!(data, "{}{x} {}", if i == 0 { 'M' } else { 'L' }, -y);
            }
            if stroke.closed {
                data.push('z');
            }
        }
        data
    }
}

const ZERO: &[Stroke] = &[
    closed(ROUND),
    filled(&[[0, 0], [20, 0], [18, 8], [14, 14], [8, 18], [0, 20]]),
    filled(&[[0, 0], [-20, 0], [-18, -8], [-14, -14], [-8, -18], [0, -20]]),
    open(&[[-30, 0], [30, 0]]),
    open(&[[0, -30], [0, 30]]),
];

const WAY: &[Stroke] = &[
    open(&[[-26, -18], [-26, 18]]),
    open(&[[26, -18], [26, 18]]),
    open(&[[0, -24], [0, 10]]),
    filled(&[[-10, 8], [0, 26], [10, 8]]),
];

const MELTER: &[Stroke] = &[
    closed(&[[-22, 20], [22, 20], [22, -4], [-22, -4]]),
    open(&[[-22, 10], [22, 10]]),
    open(&[[-14, -24], [-8, -16], [-14, -12], [-8, -4]]),
    open(&[[8, -24], [14, -16], [8, -12], [14, -4]]),
];

const GRAVITY: &[Stroke] = &[open(&[[-24, 0], [24, 0]]), open(&[[0, -24], [0, 24]])];

const OVERFLOW: &[Stroke] = &[
    open(&[[-24, 0], [24, 0]]),
    open(&[[0, -24], [0, 24]]),
    open(&[[-24, 24], [-12, 30], [0, 24], [12, 30], [24, 24]]),
];

const CHUTE: &[Stroke] = &[
    closed(&[[-24, -12], [24, -12], [24, 12], [-24, 12]]),
    open(&[[-16, 0], [10, 0]]),
    filled(&[[8, -7], [18, 0], [8, 7]]),
];

const SIPHONIC: &[Stroke] = &[
    open(&[[-24, 0], [24, 0]]),
    open(&[[0, -24], [0, 24]]),
    closed(&[[-28, -28], [28, -28], [28, 28], [-28, 28]]),
];

const SPOT: &[Stroke] = &[open(&[[-12, -12], [12, 12]]), open(&[[-12, 12], [12, -12]])];

const FALL: &[Stroke] = &[open(&[[-50, 0], [34, 0]]), filled(&[[34, -9], [54, 0], [34, 9]])];

const READING: &[Stroke] = &[closed(&[[0, 0], [14, 24], [-14, 24]]), filled(&[[0, 0], [6, 10], [-6, 10]])];

const BOND: &[Stroke] =
    &[closed(&[[-20, -20], [20, -20], [20, 4], [4, 20], [-20, 20]]), filled(&[[4, 20], [20, 4], [4, 4]])];

const ERROR: &[Stroke] = &[
    closed(&[[0, 26], [26, 0], [0, -26], [-26, 0]]),
    open(&[[0, 14], [0, -4]]),
    filled(&[[-2, -14], [2, -14], [2, -10], [-2, -10]]),
];

const WARNING: &[Stroke] = &[
    closed(&[[0, 26], [26, -20], [-26, -20]]),
    open(&[[0, 12], [0, -6]]),
    filled(&[[-2, -15], [2, -15], [2, -11], [-2, -11]]),
];

const NOTE: &[Stroke] =
    &[closed(ROUND), open(&[[0, 4], [0, -12]]), filled(&[[-2, 9], [2, 9], [2, 13], [-2, 13]])];
