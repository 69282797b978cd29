//! What is kept of a session when the tab goes away.
//!
//! In: a session. Out: plain data that serialises to JSON, and back again: plan, the last steps of undo and redo,
//! camera, stage, snapping. The layout is not kept: it is laid again.

use crate::camera::Camera;
use crate::snap::SnapSettings;
use crate::stage::Stage;
use baylap_core::Plan;
use baylap_core::plan::Id;
use serde::{Deserialize, Serialize};

/// Version of [`Saved`]; another is refused by [`crate::Session::from_saved`].
pub const SAVED_VERSION: u32 = 1;
/// Undo steps kept: enough to go back on what was done before a reload, small enough to write each second.
pub const SAVED_STEPS: usize = 50;

/// What the undo and redo steps kept may weigh together, in corners: about 10 MB of JSON.
pub(crate) const SAVED_WEIGHT: usize = 60_000;

/// A session at rest.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Saved {
    /// [`SAVED_VERSION`].
    pub version: u32,
    /// The plan.
    pub plan: Plan,
    /// Plans before it, oldest first, at most [`SAVED_STEPS`].
    pub undo: Vec<Plan>,
    /// Plans undone, the next one last, at most [`SAVED_STEPS`].
    pub redo: Vec<Plan>,
    /// For undo and for redo, counted from the last: the steps that go over to another job, records and all.
    #[serde(default)]
    pub other_jobs: [Vec<usize>; 2],
    /// Camera.
    pub camera: Camera,
    /// Stage.
    pub stage: Stage,
    /// Snapping.
    pub snap: SnapSettings,
    /// Greatest id ever given.
    pub last_id: Id,
}
