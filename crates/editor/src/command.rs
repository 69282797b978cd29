//! The commands: one table for keys, menus, buttons and the box that finds anything.
//!
//! In: a session. Out: for each command its name, its key and whether it can be used now. The table is the only place
//! where a key is bound; what a command does is in [`crate::Session::handle`].

use crate::message::Ask;
use crate::session::Session;
use crate::stage::Stage;
use crate::tool::Tool;

/// A command.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CommandId {
    /// Take up a tool.
    Tool(Tool),
    /// Go to a stage.
    Stage(Stage),
    /// Undo the last step; while drawing, take back the last corner.
    Undo,
    /// Do the undone step again.
    Redo,
    /// Delete what is selected.
    Delete,
    /// Put a corner in the middle of the selected edge.
    InsertCorner,
    /// Turn the selected deck's or opening's every edge to the kind of the selected edge.
    SameEdges,
    /// End what is being drawn: close the ring, end the line.
    Finish,
    /// Give up what is being drawn or dragged; then deselect.
    Cancel,
    /// Place a point where the cursor cross is.
    PlaceAtCross,
    /// Show or hide the fixed cross for placing on a touch screen.
    CrossMode,
    /// Move the cross to the middle of the view.
    CrossToMiddle,
    /// Select the next thing.
    SelectNext,
    /// Select the thing before.
    SelectPrevious,
    /// Select the next corner or edge of the thing selected.
    PartNext,
    /// Select the corner or edge before.
    PartPrevious,
    /// Select what the part belongs to.
    SelectWhole,
    /// Zoom in.
    ZoomIn,
    /// Zoom out.
    ZoomOut,
    /// Show the whole plan.
    ZoomFit,
    /// Show what is selected.
    ZoomSelection,
    /// Snapping on or off.
    Snap,
    /// Grid snapping on or off.
    SnapGrid,
    /// Right angles and 45 degrees on or off.
    SnapAngles,
    /// Remove the datum.
    RemoveDatum,
    /// Begin an empty plan; undo brings the old one back.
    NewPlan,
    /// Something only the shell can do.
    Ask(Ask),
}

/// One line of the table.
#[derive(Clone, Copy, Debug)]
pub struct CommandInfo {
    /// The command.
    pub id: CommandId,
    /// Stable name for test hooks and help: lower case with hyphens.
    pub slug: &'static str,
    /// Its name on screen.
    pub name: &'static str,
    /// Heading it stands under in menus: "Draw", "Edit", "View", "File", "Go".
    pub group: &'static str,
    /// Its keys, e.g. `["Ctrl+Z"]`; "Ctrl" stands for Command on a Mac as well. Empty when it has none.
    pub keys: &'static [&'static str],
    enabled: fn(&Session) -> bool,
}

impl CommandInfo {
    /// Whether it can be used now.
    pub fn enabled(&self, session: &Session) -> bool {
        (self.enabled)(session)
    }
}

/// The table of commands.
pub fn commands() -> &'static [CommandInfo] {
    &[]
}

/// The line of a command.
pub fn info(id: CommandId) -> Option<&'static CommandInfo> {
    commands().iter().find(|c| c.id == id)
}
