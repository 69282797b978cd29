//! The commands: one table for keys, menus, buttons and the box that finds anything.
//!
//! In: a session. Out: for each command its name, its key and whether it can be used now. The table is the only place
//! where a key is bound; what a command does is in [`crate::Session::handle`].

use crate::better;
use crate::message::{Ask, KeyEvent};
use crate::selection::Selection;
use crate::session::Session;
use crate::stage::Stage;
use crate::thing;
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
    /// One more kind of roll in stock.
    AddRoll,
    /// The last kind of roll goes out of stock.
    RemoveRoll,
    /// Have every bay edge that lies badly run where it would lie well.
    MoveEdges,
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
    /// Its keys, e.g. `["Ctrl+z"]`; "Ctrl" stands for Command on a Mac as well, "Plus" for the sign and "Space" for
    /// the bar. Empty when it has none.
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
    TABLE
}

/// The line of a command.
pub fn info(id: CommandId) -> Option<&'static CommandInfo> {
    TABLE.iter().find(|c| c.id == id)
}

/// The command that a key press is bound to.
pub fn bound(event: &KeyEvent) -> Option<&'static CommandInfo> {
    TABLE.iter().find(|c| c.keys.iter().any(|key| means(key, event)))
}

/// Whether a key of the table and a key press are the same. Signs that need Shift on some keyboards and not on others
/// are told by the sign alone.
fn means(key: &str, event: &KeyEvent) -> bool {
    let mut base = key;
    let (mut ctrl, mut shift, mut alt) = (false, false, false);
    while let Some((modifier, rest)) = base.split_once('+') {
        match modifier {
            "Ctrl" => ctrl = true,
            "Shift" => shift = true,
            "Alt" => alt = true,
            _ => return false,
        }
        base = rest;
    }
    let base = match base {
        "Plus" => "+",
        "Space" => " ",
        other => other,
    };
    let m = event.modifiers;
    let sign = base.len() == 1 && !base.bytes().all(|b| b.is_ascii_alphabetic());
    let pressed = event.key.to_lowercase() == base.to_lowercase();
    pressed && m.command() == ctrl && m.alt == alt && (m.shift == shift || (sign && base != " "))
}

const fn row(
    id: CommandId,
    slug: &'static str,
    name: &'static str,
    group: &'static str,
    keys: &'static [&'static str],
    enabled: fn(&Session) -> bool,
) -> CommandInfo {
    CommandInfo { id, slug, name, group, keys, enabled }
}

static TABLE: &[CommandInfo] = &[
    row(CommandId::Tool(Tool::Select), "tool-select", "Select and move", "Draw", &["s"], always),
    row(CommandId::Tool(Tool::Pan), "tool-pan", "Move the view", "Draw", &["v"], always),
    row(CommandId::Tool(Tool::Deck), "tool-deck", "Deck outline", "Draw", &["d"], always),
    row(CommandId::Tool(Tool::OpeningBox), "tool-opening-box", "Rectangular opening", "Draw", &["o"], always),
    row(
        CommandId::Tool(Tool::OpeningRing),
        "tool-opening-ring",
        "Opening, corner by corner",
        "Draw",
        &["Shift+o"],
        always,
    ),
    row(CommandId::Tool(Tool::Penetration), "tool-penetration", "Penetration", "Draw", &["p"], always),
    row(CommandId::Tool(Tool::Outlet), "tool-outlet", "Outlet", "Draw", &["u"], always),
    row(CommandId::Tool(Tool::Joint), "tool-joint", "Movement joint", "Draw", &["j"], always),
    row(CommandId::Tool(Tool::ZoneLine), "tool-zone-line", "Zone line", "Draw", &["z"], always),
    row(
        CommandId::Tool(Tool::LevelChange),
        "tool-level-change",
        "Change of level",
        "Draw",
        &["Shift+z"],
        always,
    ),
    row(CommandId::Tool(Tool::Direction), "tool-direction", "Laying direction", "Draw", &["r"], always),
    row(CommandId::Tool(Tool::Way), "tool-way", "Way off", "Draw", &["w"], always),
    row(CommandId::Tool(Tool::Melter), "tool-melter", "Melter", "Draw", &["k"], always),
    row(CommandId::Tool(Tool::Datum), "tool-datum", "Datum", "Draw", &["b"], always),
    row(CommandId::Tool(Tool::Spot), "tool-spot", "Spot level", "Draw", &["l"], always),
    row(CommandId::Tool(Tool::LowLine), "tool-low-line", "Low line", "Draw", &["Shift+l"], always),
    row(CommandId::Tool(Tool::Ridge), "tool-ridge", "Ridge", "Draw", &["Shift+r"], always),
    row(CommandId::Tool(Tool::Plane), "tool-plane", "Plane of fall", "Draw", &["Shift+p"], always),
    row(CommandId::Tool(Tool::BayEdge), "tool-bay-edge", "Bay edge", "Draw", &["Shift+b"], always),
    row(CommandId::Tool(Tool::Water), "tool-water", "Way of the water", "Draw", &["Shift+w"], always),
    row(CommandId::Tool(Tool::Section), "tool-section", "Long section", "Draw", &["Shift+s"], always),
    row(CommandId::Finish, "finish", "End what is being drawn", "Draw", &["Ctrl+Enter"], drawing),
    row(
        CommandId::PlaceAtCross,
        "place-at-cross",
        "Place a point at the cross",
        "Draw",
        &["Space"],
        drawing_tool,
    ),
    row(CommandId::CrossMode, "cross-mode", "Fixed cross for placing", "Draw", &["x"], always),
    row(
        CommandId::CrossToMiddle,
        "cross-to-middle",
        "Cross to the middle of the view",
        "Draw",
        &["Shift+x"],
        drawing_tool,
    ),
    row(CommandId::Cancel, "cancel", "Give up, deselect", "Edit", &["Escape"], always),
    row(CommandId::Undo, "undo", "Undo", "Edit", &["Ctrl+z"], can_undo),
    row(CommandId::Redo, "redo", "Redo", "Edit", &["Ctrl+Shift+z", "Ctrl+y"], can_redo),
    row(CommandId::Delete, "delete", "Delete what is selected", "Edit", &["Delete", "Backspace"], can_delete),
    row(
        CommandId::InsertCorner,
        "insert-corner",
        "Put a corner in this side",
        "Edit",
        &["Insert", "i"],
        on_edge,
    ),
    row(CommandId::SameEdges, "same-edges", "All sides like this one", "Edit", &["Shift+e"], on_ring_edge),
    row(CommandId::RemoveDatum, "remove-datum", "Remove the datum", "Edit", &[], has_datum),
    row(
        CommandId::MoveEdges,
        "move-edges",
        "Move bay edges out of the water",
        "Edit",
        &["Shift+m"],
        has_bad_edges,
    ),
    row(CommandId::AddRoll, "add-roll", "Add a kind of roll", "Edit", &[], always),
    row(CommandId::RemoveRoll, "remove-roll", "Remove the last kind of roll", "Edit", &[], has_kinds),
    row(CommandId::SelectNext, "select-next", "Select the next thing", "Go", &["n"], has_things),
    row(
        CommandId::SelectPrevious,
        "select-previous",
        "Select the thing before",
        "Go",
        &["Shift+n"],
        has_things,
    ),
    row(CommandId::PartNext, "part-next", "Next corner or side", "Go", &["e"], has_parts),
    row(CommandId::PartPrevious, "part-previous", "Corner or side before", "Go", &["q"], has_parts),
    row(CommandId::SelectWhole, "select-whole", "Select the whole of it", "Go", &["a"], on_part),
    row(CommandId::Stage(Stage::Deck), "stage-deck", "Stage Deck", "Go", &["Alt+1"], always),
    row(CommandId::Stage(Stage::Falls), "stage-falls", "Stage Falls", "Go", &["Alt+2"], always),
    row(CommandId::Stage(Stage::Rolls), "stage-rolls", "Stage Rolls", "Go", &["Alt+3"], always),
    row(CommandId::Stage(Stage::Days), "stage-days", "Stage Days", "Go", &["Alt+4"], always),
    row(CommandId::Stage(Stage::Sheets), "stage-sheets", "Stage Sheets", "Go", &["Alt+5"], always),
    row(CommandId::ZoomIn, "zoom-in", "Zoom in", "View", &["Plus", "="], always),
    row(CommandId::ZoomOut, "zoom-out", "Zoom out", "View", &["-"], always),
    row(CommandId::ZoomFit, "zoom-fit", "Show the whole plan", "View", &["f", "Home"], always),
    row(
        CommandId::ZoomSelection,
        "zoom-selection",
        "Show what is selected",
        "View",
        &["Shift+f"],
        has_selection,
    ),
    row(CommandId::Snap, "snap", "Snapping on or off", "View", &["t"], always),
    row(CommandId::SnapGrid, "snap-grid", "Grid snapping on or off", "View", &["g"], always),
    row(
        CommandId::SnapAngles,
        "snap-angles",
        "Right angles and 45 degrees on or off",
        "View",
        &["Shift+g"],
        always,
    ),
    row(CommandId::NewPlan, "new-plan", "New plan", "File", &[], has_anything),
    row(CommandId::Ask(Ask::Begin), "begin", "Ways to begin, demo plans", "File", &[], always),
    row(CommandId::Ask(Ask::Open), "open", "Open a plan file", "File", &["Ctrl+o"], always),
    row(CommandId::Ask(Ask::Levels), "levels", "Levels from a list", "File", &["Alt+l"], always),
    row(CommandId::Ask(Ask::Save), "save", "Save the plan file", "File", &["Ctrl+s"], always),
    row(CommandId::Ask(Ask::SavePdf), "save-pdf", "Save the sheets as PDF", "File", &["Ctrl+e"], always),
    row(CommandId::Ask(Ask::SaveDays), "save-days", "Save the day sheets as PDF", "File", &[], always),
    row(
        CommandId::Ask(Ask::SaveDrainage),
        "save-drainage",
        "Save the drainage sheet as PDF",
        "File",
        &[],
        knows_falls,
    ),
    row(CommandId::Ask(Ask::SaveCuts), "save-cuts", "Save the cut list as CSV", "File", &[], always),
    row(
        CommandId::Ask(Ask::SaveRecords),
        "save-records",
        "Save the site records as CSV",
        "File",
        &[],
        always,
    ),
    row(
        CommandId::Ask(Ask::MergeRecords),
        "merge-records",
        "Merge site records from a file",
        "File",
        &[],
        always,
    ),
    row(CommandId::Ask(Ask::SaveLayout), "save-layout", "Save the layout file", "File", &[], always),
    row(CommandId::Ask(Ask::Print), "print", "Print", "File", &["Ctrl+p"], always),
    row(
        CommandId::Ask(Ask::Find),
        "find",
        "Find a command, bay, piece or finding",
        "Go",
        &["Ctrl+k", "/"],
        always,
    ),
    row(CommandId::Ask(Ask::Table), "table", "To the table of bays and pieces", "Go", &["Alt+t"], always),
    row(CommandId::Ask(Ask::Findings), "findings", "To the findings", "Go", &["Alt+f"], always),
    row(CommandId::Ask(Ask::Today), "today", "Today: work and records", "Go", &["Alt+r"], always),
    row(CommandId::Ask(Ask::Scheme), "scheme", "Next colour scheme", "View", &[], always),
    row(CommandId::Ask(Ask::Keys), "keys", "Show the keys", "View", &["?"], always),
];

fn knows_falls(session: &Session) -> bool {
    session.layout().falls.is_some()
}

fn always(_: &Session) -> bool {
    true
}

fn drawing(s: &Session) -> bool {
    !s.draft.points().is_empty()
}

fn drawing_tool(s: &Session) -> bool {
    s.tool().draws()
}

fn can_undo(s: &Session) -> bool {
    s.history().can_undo() || s.is_drawing() || s.is_dragging()
}

fn can_redo(s: &Session) -> bool {
    s.history().can_redo() || s.draft.can_set_again()
}

fn can_delete(s: &Session) -> bool {
    matches!(s.selection(), Some(Selection::Thing(_) | Selection::Corner { .. } | Selection::Datum))
}

fn on_edge(s: &Session) -> bool {
    matches!(s.selection(), Some(Selection::Edge { .. }))
}

fn on_ring_edge(s: &Session) -> bool {
    let ring = |id| thing::find(s.plan(), id).is_some_and(|t| t.ring().is_some());
    matches!(s.selection(), Some(Selection::Edge { id, .. }) if ring(id))
}

fn has_datum(s: &Session) -> bool {
    s.plan().datum.is_some()
}

fn has_kinds(s: &Session) -> bool {
    s.plan().products.rolls.len() > 1
}

fn has_bad_edges(s: &Session) -> bool {
    s.layout_is_current() && !better::movable(s.layout()).is_empty()
}

fn has_things(s: &Session) -> bool {
    has_datum(s) || !thing::all(s.plan()).is_empty()
}

fn has_parts(s: &Session) -> bool {
    let thing = s.selection().and_then(Selection::id).and_then(|id| thing::find(s.plan(), id));
    thing.is_some_and(|t| t.edge_count() > 0)
}

fn on_part(s: &Session) -> bool {
    matches!(s.selection(), Some(Selection::Edge { .. } | Selection::Corner { .. }))
}

fn has_selection(s: &Session) -> bool {
    s.selection().is_some()
}

fn has_anything(s: &Session) -> bool {
    **s.plan() != baylap_core::Plan::default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::message::Modifiers;
    use std::collections::BTreeSet;

    #[test]
    fn every_key_and_every_slug_is_there_once() {
        let keys: Vec<&str> = TABLE.iter().flat_map(|c| c.keys.iter().copied()).collect();
        assert_eq!(keys.iter().collect::<BTreeSet<_>>().len(), keys.len());
        let slugs: BTreeSet<&str> = TABLE.iter().map(|c| c.slug).collect();
        let ids: BTreeSet<CommandId> = TABLE.iter().map(|c| c.id).collect();
        assert_eq!((slugs.len(), ids.len()), (TABLE.len(), TABLE.len()));
    }

    #[test]
    fn every_tool_and_stage_is_in_the_table_and_has_a_key() {
        let tools = Tool::ALL.map(CommandId::Tool);
        let stages = Stage::ALL.map(CommandId::Stage);
        for id in tools.iter().chain(&stages) {
            assert!(info(*id).is_some_and(|c| !c.keys.is_empty()), "{id:?}");
        }
        for tool in Tool::ALL {
            assert_eq!(info(CommandId::Tool(tool)).map(|c| c.name), Some(tool.name()));
        }
    }

    #[track_caller]
    fn check(key: &str, modifiers: Modifiers, expect: Option<CommandId>) {
        assert_eq!(bound(&KeyEvent { key: key.to_owned(), modifiers }).map(|c| c.id), expect);
    }

    #[test]
    fn keys_find_their_commands() {
        let none = Modifiers::default();
        let shift = Modifiers { shift: true, ..none };
        let meta = Modifiers { meta: true, ..none };
        check("d", none, Some(CommandId::Tool(Tool::Deck)));
        check("O", shift, Some(CommandId::Tool(Tool::OpeningRing)));
        check("z", Modifiers { ctrl: true, ..none }, Some(CommandId::Undo));
        check("z", meta, Some(CommandId::Undo));
        check("Z", Modifiers { ctrl: true, ..shift }, Some(CommandId::Redo));
        check("+", shift, Some(CommandId::ZoomIn));
        check("?", shift, Some(CommandId::Ask(Ask::Keys)));
        check(" ", none, Some(CommandId::PlaceAtCross));
        check("F13", none, None);
    }
}
