//! Snapping: from where the pointer is to the point that is meant.
//!
//! In: a place on the plan, what is drawn already and the settings. Out: one point with the word for why it is there.
//! A corner wins over an edge, an edge over an angle, an angle over alignment, alignment over the grid; a snapped point
//! is identical to its target to the millimetre.

use baylap_core::plan::Mm;
use serde::{Deserialize, Serialize};

/// Why a point is where it is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SnapKind {
    /// On a corner that is there already.
    Corner,
    /// On the first corner: closes the ring.
    Close,
    /// On an edge.
    Edge,
    /// At a right angle to the side before.
    RightAngle,
    /// Straight on from the side before.
    StraightOn,
    /// At 45 degrees to the side before.
    Half,
    /// Along the x or y direction of the plan, or along the datum.
    Axis,
    /// In line with a corner.
    InLine,
    /// On the grid.
    Grid,
    /// Typed.
    Typed,
    /// Where the pointer is.
    #[default]
    Free,
}

impl SnapKind {
    /// The word for the screen; empty for [`SnapKind::Free`].
    pub const fn word(self) -> &'static str {
        match self {
            SnapKind::Corner => "corner",
            SnapKind::Close => "close the ring",
            SnapKind::Edge => "edge",
            SnapKind::RightAngle => "right angle",
            SnapKind::StraightOn => "straight on",
            SnapKind::Half => "45 degrees",
            SnapKind::Axis => "along the axis",
            SnapKind::InLine => "in line",
            SnapKind::Grid => "grid",
            SnapKind::Typed => "typed",
            SnapKind::Free => "",
        }
    }
}

/// What is snapped to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SnapSettings {
    /// All of it, on or off.
    pub on: bool,
    /// Corners.
    pub corners: bool,
    /// Edges.
    pub edges: bool,
    /// Right angle, 45 degrees and straight on.
    pub angles: bool,
    /// In line with corners.
    pub in_line: bool,
    /// Grid.
    pub grid: bool,
    /// Step of the grid and of the arrow keys, mm.
    pub step: Mm,
}

impl Default for SnapSettings {
    /// Everything on; 100 mm is a step that a tape shows.
    fn default() -> Self {
        Self { on: true, corners: true, edges: true, angles: true, in_line: true, grid: true, step: 100 }
    }
}
