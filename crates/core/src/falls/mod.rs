//! Falls: the surface of the decks, where water runs, where it stands and how much each outlet has to take.
//!
//! In: a plan with levels, and its checked geometry. Out: the falls of the layout, and the ground that later stages ask
//! about levels, slopes and ponds. It lays nothing and judges no bay edge.

pub mod flood;
pub mod ground;
pub mod mesh;

use crate::finding::Finding;
use crate::geom::Pt;
use crate::layout::Falls;
use crate::layout::falls::{Section, Trace};
use crate::model::Model;
use crate::plan::Plan;
use flood::Flood;
use ground::Ground;
use mesh::Mesh;

/// What is known of the falls of a plan.
#[derive(Clone, Debug)]
pub struct Found {
    /// As the layout tells it; lengths of seams are filled in once bays are laid.
    pub falls: Falls,
    /// What later stages ask about lines over the decks.
    pub ground: Ground,
    /// The surface of each deck that has levels, with its water.
    pub waters: Vec<(Mesh, Flood)>,
}

/// The falls of a plan. `None` without levels.
pub fn find(_plan: &Plan, _model: &Model, _findings: &mut Vec<Finding>) -> Option<Found> {
    None
}

impl Found {
    /// The way that water takes from a place; `None` from a place without levels.
    pub fn trace(&self, _from: Pt) -> Option<Trace> {
        None
    }

    /// The levels along a line; `None` where it crosses no deck with levels.
    pub fn section(&self, _line: &[Pt]) -> Option<Section> {
        None
    }
}
