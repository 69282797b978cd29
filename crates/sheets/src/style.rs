//! Paper, heights of text and widths of lines.
//!
//! In: the paper chosen. Out: sizes in mm. On A3 everything that is not to scale is larger by the step from A4 to A3,
//! so that an A3 sheet copied down to A4 is still legible. Ink is pure black.

use crate::scene::{Height, Width};

/// Paper of a sheet, always landscape.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 297 x 210 mm.
    A4,
    /// 420 x 297 mm.
    #[default]
    A3,
}

impl Paper {
    /// Width and height, mm.
    pub const fn size(self) -> [f64; 2] {
        match self {
            Paper::A4 => [297.0, 210.0],
            Paper::A3 => [420.0, 297.0],
        }
    }

    /// Name of the paper.
    pub const fn name(self) -> &'static str {
        match self {
            Paper::A4 => "A4",
            Paper::A3 => "A3",
        }
    }

    /// How much larger things that are not to scale are than at A4.
    pub const fn step(self) -> f64 {
        match self {
            Paper::A4 => 1.0,
            Paper::A3 => 1.4,
        }
    }

    /// The same in per cent.
    pub const fn step_per_cent(self) -> i64 {
        match self {
            Paper::A4 => 100,
            Paper::A3 => 140,
        }
    }

    /// Height of capitals and figures, mm: never below 2.5.
    #[allow(clippy::cast_precision_loss)]
    pub const fn height(self, height: Height) -> f64 {
        height.tenths() as f64 / 10.0 * self.step()
    }

    /// Width of a line, mm: never below 0.18.
    #[allow(clippy::cast_precision_loss)]
    pub const fn width(self, width: Width) -> f64 {
        width.hundredths() as f64 / 100.0 * self.step()
    }

    /// Distance between base lines of small text, mm.
    pub const fn pitch(self) -> f64 {
        4.6 * self.step()
    }
}

/// Margin on the left for filing, mm.
pub const FILING: f64 = 20.0;

/// Margin on the other sides, mm.
pub const MARGIN: f64 = 10.0;

/// Scales for a plan, largest drawing first. Those after 1:500 serve only as overview: a plan may be 20 km across.
pub const SCALES: [i64; 12] = [50, 100, 200, 250, 500, 1000, 2000, 5000, 10_000, 20_000, 50_000, 200_000];
