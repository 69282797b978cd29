//! What lies over the drawing while somebody works: handles, rubber band, marks.
//!
//! In: a session. Out: plain data in pixels of the surface, for the shell to draw as it is. No colours, no widths.

use crate::message::Px;
use crate::session::Session;
use crate::snap::SnapKind;

/// Kinds of handle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HandleKind {
    /// A corner or point that can be dragged.
    Corner,
    /// The middle of an edge: drag to move the edge, double click to put a corner there.
    Edge,
    /// The middle of a thing that is moved whole.
    Whole,
}

/// A handle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Handle {
    /// Where.
    pub at: Px,
    /// What it does.
    pub kind: HandleKind,
    /// Whether it is the one selected.
    pub selected: bool,
}

/// What an outline of the overlay stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarkKind {
    /// What is selected.
    Selected,
    /// What the pointer is over.
    Hovered,
    /// What is being drawn: sides already set.
    Drawn,
    /// The side that follows the pointer.
    Band,
    /// A line that explains a snap.
    Guide,
}

/// A line or an outline.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// What it stands for.
    pub kind: MarkKind,
    /// Its points.
    pub points: Vec<Px>,
    /// Whether the last joins the first.
    pub closed: bool,
}

/// A size or word beside the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Its middle.
    pub at: Px,
    /// What it says.
    pub text: String,
    /// Whether it belongs to the side that follows the pointer.
    pub live: bool,
}

/// Where the point will be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SnapMark {
    /// Where.
    pub at: Px,
    /// Why there; [`SnapKind::word`] is for the screen.
    pub kind: SnapKind,
}

/// A field of the length entry while drawing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EntryField {
    /// What it is: "Length", "Direction", "Width", "Depth", "Diameter", "Level".
    pub label: &'static str,
    /// What was typed; empty when nothing was.
    pub text: String,
    /// What holds as long as nothing is typed: the live value.
    pub live: String,
    /// Whether typing goes here.
    pub active: bool,
}

/// The length entry.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EntryView {
    /// Its fields; Tab goes from one to the next.
    pub fields: Vec<EntryField>,
    /// What was understood, e.g. "3.200 m".
    pub echo: Option<String>,
    /// One sentence: what was not understood.
    pub problem: Option<String>,
}

/// The whole overlay.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Overlay {
    /// Outlines and lines, bottom first.
    pub marks: Vec<Mark>,
    /// Handles, above them.
    pub handles: Vec<Handle>,
    /// Sizes.
    pub labels: Vec<Label>,
    /// Where the point will be.
    pub snap: Option<SnapMark>,
    /// The cursor cross of keyboard and cross placing.
    pub cross: Option<Px>,
    /// What can be typed now.
    pub entry: Option<EntryView>,
    /// One line: what to do next with this tool.
    pub hint: String,
    /// The cursor that fits, as CSS names it.
    pub cursor: &'static str,
}

/// The overlay of a session as it is now.
pub fn overlay(session: &Session) -> Overlay {
    let _ = session;
    Overlay { cursor: "default", ..Overlay::default() }
}
