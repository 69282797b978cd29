//! Falls: the surface of the decks, where water runs, where it stands and how much each outlet has to take.
//!
//! In: a plan with levels, and its checked geometry. Out: the falls of the layout, and the ground that later stages ask
//! about levels, slopes and ponds. It lays nothing and judges no bay edge.

pub mod flood;
pub mod ground;
pub mod mesh;

use crate::finding::Finding;
use crate::layout::Falls;
use crate::model::Model;
use crate::plan::Plan;
use ground::Ground;

/// The falls of a plan: for the layout, and as the ground of later stages. `None` without levels.
pub fn find(_plan: &Plan, _model: &Model, _findings: &mut Vec<Finding>) -> Option<(Falls, Ground)> {
    None
}
