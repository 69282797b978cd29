//! The limits of the covering layers.
//!
//! In: the layers of a plan. Out: nothing, or the first number that is out of its range. A lap wider than its roll passes
//! here: that layer comes back without a figure.

use super::{Checked, LENGTH, NARROWEST_ROLL, SHORTEST, each, many, optional, range, short};
use crate::plan::{Covering, Layer, Mm};

/// Layers of a covering.
pub const LAYERS: usize = 20;

/// Thickest board, mm.
const THICKEST: Mm = 1_000;
/// Widest joint between slabs, mm.
const WIDEST_JOINT: Mm = 1_000;
/// Heaviest stones, kg per m2.
const HEAVIEST: i64 = 10_000;

/// Checks the layers.
pub(super) fn check(coverings: &[Covering]) -> Checked {
    many("covering layers", coverings.len(), LAYERS)?;
    each(coverings, "plan.coverings", |path, covering| {
        short(&format!("{path}.name"), &covering.name)?;
        check_layer(&format!("{path}.layer"), &covering.layer)
    })
}

fn check_layer(path: &str, layer: &Layer) -> Checked {
    match *layer {
        Layer::Drainage { width, length, lap } => check_roll(&format!("{path}.drainage"), width, length, lap),
        Layer::Separating { width, length, lap } => {
            check_roll(&format!("{path}.separating"), width, length, lap)
        }
        Layer::Insulation { thickness, width, length, density } => {
            let path = format!("{path}.insulation");
            range(&format!("{path}.thickness"), thickness, 1, THICKEST)?;
            range(&format!("{path}.width"), width, NARROWEST_ROLL, LENGTH)?;
            range(&format!("{path}.length"), length, NARROWEST_ROLL, LENGTH)?;
            range(&format!("{path}.density"), density, 1, LENGTH)
        }
        Layer::Stones { margin, mass } => {
            optional(&format!("{path}.stones.margin"), margin, 0, LENGTH)?;
            optional(&format!("{path}.stones.mass"), mass, 0, HEAVIEST)
        }
        Layer::Paving { width, length, joint } => {
            let path = format!("{path}.paving");
            range(&format!("{path}.width"), width, NARROWEST_ROLL, LENGTH)?;
            range(&format!("{path}.length"), length, NARROWEST_ROLL, LENGTH)?;
            range(&format!("{path}.joint"), joint, 0, WIDEST_JOINT)
        }
    }
}

fn check_roll(path: &str, width: Mm, length: Mm, lap: Mm) -> Checked {
    range(&format!("{path}.width"), width, NARROWEST_ROLL, LENGTH)?;
    range(&format!("{path}.length"), length, SHORTEST, LENGTH)?;
    range(&format!("{path}.lap"), lap, 0, LENGTH)
}
