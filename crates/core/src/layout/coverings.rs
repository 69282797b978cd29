//! What lies on the membrane: areas and counts of each layer.
//!
//! In: nothing; [`crate::coverings`] fills it. Out: plain data. Measured areas are net; ordered figures hold laps and whole
//! units; the two are never mixed.

use crate::plan::Layer;
use serde::{Deserialize, Serialize};

/// One layer of the covering.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CoveringSum {
    /// Name in the plan.
    pub name: String,
    /// The layer as set.
    pub layer: Layer,
    /// Area as measured: net, no laps; over a whole deck voids up to 1 m2 are not deducted. mm2.
    pub measured: i64,
    /// Area it covers, all voids deducted, mm2.
    pub covered: i64,
    /// Area to order: with laps, in whole boards or slabs; 0 for stones. mm2.
    pub ordered: i64,
    /// Rolls, boards or slabs to order, by area: what is cut at edges is not laid out. 0 for stones.
    pub units: i64,
    /// Supports of slabs: one under each corner of the grid.
    pub supports: i64,
    /// Mass of stones, kg.
    pub mass_kg: i64,
    /// What water under a flooded board lifts with, tenths of a kg per m2; 0 for other layers.
    pub uplift: i64,
}
