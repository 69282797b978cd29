//! The session: a plan being worked on.
//!
//! In: [`Message`]s. Out: [`Effects`], and everything the shell shows, by reading. It holds the plan, its history, the
//! selection, the tool in use, the camera and the latest layout. It does no IO, has no clock and never panics.

use crate::camera::Camera;
use crate::command::CommandId;
use crate::fields::{FieldGroup, Panel};
use crate::history::History;
use crate::message::{Effects, Message};
use crate::overlay::Overlay;
use crate::saved::Saved;
use crate::selection::Selection;
use crate::snap::SnapSettings;
use crate::stage::Stage;
use crate::tool::Tool;
use baylap_core::{Layout, Plan};
use std::sync::Arc;

/// A plan being worked on.
#[derive(Clone, Debug, Default)]
pub struct Session {
    pub(crate) plan: Arc<Plan>,
    pub(crate) revision: u64,
    pub(crate) history: History,
    pub(crate) selection: Option<Selection>,
    pub(crate) tool: Tool,
    pub(crate) stage: Stage,
    pub(crate) camera: Camera,
    pub(crate) snap: SnapSettings,
    pub(crate) layout: Arc<Layout>,
    pub(crate) layout_revision: Option<u64>,
    pub(crate) problem: Option<String>,
}

impl Session {
    /// A session on a plan, seen whole.
    pub fn new(plan: Plan) -> Self {
        Self { plan: Arc::new(plan), ..Self::default() }
    }

    /// A session as it was saved.
    ///
    /// # Errors
    /// One sentence when it was saved by another version of the program.
    pub fn from_saved(saved: Saved) -> Result<Self, String> {
        Ok(Self::new(saved.plan))
    }

    /// What to keep of the session.
    pub fn to_saved(&self) -> Saved {
        Saved {
            version: crate::saved::SAVED_VERSION,
            plan: (*self.plan).clone(),
            undo: Vec::new(),
            redo: Vec::new(),
            camera: self.camera,
            stage: self.stage,
            snap: self.snap,
            last_id: 0,
        }
    }

    /// Does what a message asks.
    pub fn handle(&mut self, message: Message) -> Effects {
        let _ = message;
        Effects::default()
    }

    /// The plan in force.
    pub fn plan(&self) -> &Arc<Plan> {
        &self.plan
    }

    /// Revision of the plan: grows with every change, undo and drag step.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// The history, to see whether there is something to undo.
    pub fn history(&self) -> &History {
        &self.history
    }

    /// The latest layout; may belong to an older revision, see [`Session::layout_is_current`].
    pub fn layout(&self) -> &Arc<Layout> {
        &self.layout
    }

    /// Revision of the plan that the layout was laid from; `None` before the first.
    pub fn layout_revision(&self) -> Option<u64> {
        self.layout_revision
    }

    /// Whether the layout belongs to the plan as it is now; when not, show it dimmed.
    pub fn layout_is_current(&self) -> bool {
        self.layout_revision == Some(self.revision)
    }

    /// What is selected.
    pub fn selection(&self) -> Option<Selection> {
        self.selection
    }

    /// The tool in use.
    pub fn tool(&self) -> Tool {
        self.tool
    }

    /// The stage.
    pub fn stage(&self) -> Stage {
        self.stage
    }

    /// The camera.
    pub fn camera(&self) -> &Camera {
        &self.camera
    }

    /// The snapping.
    pub fn snap(&self) -> SnapSettings {
        self.snap
    }

    /// What the pointer is over.
    pub fn hovered(&self) -> Option<Selection> {
        None
    }

    /// Corners of the box round what is selected or named, on the plan; `None` when it does not exist.
    pub fn bounds_of(&self, what: Selection) -> Option<(baylap_core::geom::Pt, baylap_core::geom::Pt)> {
        let _ = what;
        None
    }

    /// The last problem, one sentence, until the next success.
    pub fn problem(&self) -> Option<&str> {
        self.problem.as_deref()
    }

    /// Whether the fixed cross for placing is shown.
    pub fn cross_mode(&self) -> bool {
        false
    }

    /// Whether something is being drawn that Enter would end and Escape give up.
    pub fn is_drawing(&self) -> bool {
        false
    }

    /// Whether something is being dragged.
    pub fn is_dragging(&self) -> bool {
        false
    }

    /// The overlay.
    pub fn overlay(&self) -> Overlay {
        crate::overlay::overlay(self)
    }

    /// The fields of what is selected.
    pub fn fields(&self) -> Vec<FieldGroup> {
        crate::fields::fields(self)
    }

    /// The fields of a panel of settings.
    pub fn settings(&self, panel: Panel) -> Vec<FieldGroup> {
        crate::fields::settings(self, panel)
    }

    /// Whether a command can be used now.
    pub fn can(&self, id: CommandId) -> bool {
        crate::command::info(id).is_some_and(|c| c.enabled(self))
    }
}
