//! What the shell tells the editor, and what the editor tells the shell back.
//!
//! In: pointer, key and panel events as the shell gets them, without a clock of its own. Out: [`Effects`], which say
//! what has to be drawn, saved or said again. Plain data; it does nothing itself.

use crate::change::Change;
use crate::command::CommandId;
use crate::fields::FieldId;
use crate::playing::Moment;
use crate::selection::Selection;
use crate::snap::SnapSettings;
use crate::stage::Stage;
use crate::tie::TieTo;
use crate::tool::Tool;
use baylap_core::geom::Pt;
use baylap_core::plan::{Mm, Record};
use baylap_core::{Layout, Plan};
use std::sync::Arc;

/// A place on the drawing surface: CSS pixels from its upper left corner, y down.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Px {
    /// Pixels to the right.
    pub x: f64,
    /// Pixels down.
    pub y: f64,
}

impl Px {
    /// The place (`x`, `y`) in pixels.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// Distance to another place, pixels.
    pub fn distance(self, other: Px) -> f64 {
        libm::hypot(self.x - other.x, self.y - other.y)
    }
}

/// Keys held down during an event.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Modifiers {
    /// Shift.
    pub shift: bool,
    /// Control.
    pub ctrl: bool,
    /// Alt or Option.
    pub alt: bool,
    /// Command or the system key.
    pub meta: bool,
}

impl Modifiers {
    /// Whether the platform's command key is down: control, or Command on a Mac.
    pub const fn command(self) -> bool {
        self.ctrl || self.meta
    }
}

/// What points.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PointerKind {
    /// A mouse or trackpad.
    #[default]
    Mouse,
    /// A finger.
    Touch,
    /// A pen.
    Pen,
}

/// What a pointer did.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Phase {
    /// It went down.
    Down,
    /// It moved, down or not.
    #[default]
    Move,
    /// It went up.
    Up,
    /// The system took it away, or capture was lost: whatever it was doing is undone.
    Cancel,
    /// It left the surface while up.
    Leave,
}

/// Which button went down (for [`Phase::Down`]).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Button {
    /// Left button, finger or pen tip.
    #[default]
    Main,
    /// Middle button: pans with any tool.
    Middle,
    /// Right button or pen barrel: ends or cancels what is being drawn.
    Other,
}

/// One pointer event.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PointerEvent {
    /// What it did.
    pub phase: Phase,
    /// Which pointer, as the browser numbers them; two touch pointers down make a pinch.
    pub id: i32,
    /// What points.
    pub kind: PointerKind,
    /// Where, on the surface.
    pub at: Px,
    /// Which button, when one went down.
    pub button: Button,
    /// Keys held.
    pub modifiers: Modifiers,
    /// The event's own time stamp, milliseconds: only differences are used, to tell a double click.
    pub time_ms: f64,
}

/// One key press.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KeyEvent {
    /// The key as the browser names it: `a`, `Enter`, `ArrowLeft`, `Tab`, `Escape`, `Backspace`, `Delete`, ` `.
    pub key: String,
    /// Keys held.
    pub modifiers: Modifiers,
}

/// Everything the editor can be told.
#[derive(Clone, Debug, PartialEq)]
#[allow(
    clippy::large_enum_variant,
    reason = "one message lives at a time, a box would only burden the shell"
)]
pub enum Message {
    /// A pointer event on the drawing surface.
    Pointer(PointerEvent),
    /// A wheel step over the surface.
    Wheel {
        /// Where the pointer is.
        at: Px,
        /// Scroll in x, pixels.
        dx: f64,
        /// Scroll in y, pixels.
        dy: f64,
        /// Keys held; control means a trackpad pinch.
        modifiers: Modifiers,
    },
    /// A key pressed while the surface has focus. [`Effects::taken`] says whether the editor used it.
    Key(KeyEvent),
    /// A command from a menu, a button or the command box.
    Command(CommandId),
    /// Text typed in a field of a panel, on each change or on leaving it, as the shell likes: what is typed in one field
    /// on end is one undo step, see [`Message::FieldLeft`].
    Typed {
        /// Which field.
        field: FieldId,
        /// What it holds now.
        text: String,
    },
    /// The focus left a field, or Enter was pressed in it: what is typed there next is an undo step of its own.
    FieldLeft,
    /// The whole text of the length entry of the tool in use, from a real input on a phone; `Key` "Enter" commits.
    Entry(String),
    /// Select something (`None`: nothing), from a table or a list.
    Select(Option<Selection>),
    /// Select something and move the view so that it is seen, e.g. the place of a finding.
    Show(Selection),
    /// Move the view so that a place is seen.
    ShowPlace(Pt),
    /// Move the view so that a box between two corners is seen.
    ShowBox([Pt; 2]),
    /// Light something up, from a table or a list that is pointed at (`None`: nothing).
    Hover(Option<Selection>),
    /// Show lines over the plan that are not in it, e.g. where a zone might be split; none takes them away.
    Preview(Vec<Vec<Pt>>),
    /// Hold what the engine would choose, or let it choose again. One undo step.
    Hold(Hold),
    /// Show the job as it stands at a moment of its programme; none shows the plan as it is.
    ShowMoment(Option<Moment>),
    /// Tie a bay of the layout to a day or a gang, or untie it. One undo step.
    Tie {
        /// Number of the bay.
        bay: u32,
        /// What to.
        to: TieTo,
    },
    /// Take up a tool.
    SetTool(Tool),
    /// Go to a stage.
    SetStage(Stage),
    /// Change the plan, from a panel or a finding's mend. One undo step.
    Edit(Change),
    /// Change the plan as part of a slider's or a spinner's run: one undo step with the same label's last change.
    EditRun(Change),
    /// Set the snapping.
    SetSnap(SnapSettings),
    /// A plan was opened; undo brings the one before back.
    Loaded(Plan),
    /// Enter a site record, under a key that no other record has. No undo step: records only grow.
    Record(Record),
    /// Take in the records of another device from its plan; the drawing stays. No undo step.
    MergeRecords(Plan),
    /// A layout came from the worker. Dropped when it is older than the one held; of the same plan, the later one is
    /// the better one and takes its place.
    LayoutArrived {
        /// Revision of the plan it was laid from.
        revision: u64,
        /// The layout.
        layout: Arc<Layout>,
    },
    /// The surface has this size now, pixels.
    Resize {
        /// Width.
        width: f64,
        /// Height.
        height: f64,
    },
    /// Wipe the last problem; it was read.
    Dismiss,
}

/// What is held of a zone of the layout, by its number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hold {
    /// Its laying direction; its start is the engine's to find.
    Direction {
        /// Which zone.
        zone: u32,
        /// Thousandths of a degree anticlockwise from +x.
        mdeg: i32,
    },
    /// Its start, and with it the direction it is laid in.
    Start {
        /// Which zone.
        zone: u32,
        /// How far the first course starts outside the field, mm.
        first: Mm,
    },
    /// Neither.
    Nothing {
        /// Which zone.
        zone: u32,
    },
}

impl Hold {
    /// Number of the zone.
    pub const fn zone(self) -> u32 {
        match self {
            Hold::Direction { zone, .. } | Hold::Start { zone, .. } | Hold::Nothing { zone } => zone,
        }
    }
}

/// What only the shell can do; asked for by a command.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ask {
    /// Open a plan file.
    Open,
    /// Save the plan file.
    Save,
    /// Show the demo plans and other ways to begin.
    Begin,
    /// Save the sheets as PDF.
    SavePdf,
    /// Save the day sheets as PDF.
    SaveDays,
    /// Save the drainage sheet as PDF.
    SaveDrainage,
    /// Save the cut list as CSV.
    SaveCuts,
    /// Save the layout file.
    SaveLayout,
    /// Save the site records as CSV.
    SaveRecords,
    /// Merge the site records of another file.
    MergeRecords,
    /// Show today's work with its records.
    Today,
    /// Read spot levels from a list.
    Levels,
    /// Print.
    Print,
    /// Open the box that finds any command, bay, piece or finding.
    Find,
    /// Go to the next colour scheme.
    Scheme,
    /// Show the keys.
    Keys,
    /// Move the focus to the table of bays and pieces.
    Table,
    /// Move the focus to the findings.
    Findings,
}

/// Something to look at, which the engine has to tell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Look {
    /// The way that water takes from a place.
    Water(Pt),
    /// The levels along a line.
    Section(Vec<Pt>),
}

/// What came of a message. Flags say what the shell has to read again from the session.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Effects {
    /// The plan changed; this is its new revision: send it to the worker, draw the plan again.
    pub plan: Option<u64>,
    /// A step was finished: save the session now. Set more seldom than `plan` while something is dragged.
    pub save: bool,
    /// Site records came; the drawing and the revision of the plan are as they were.
    pub records: bool,
    /// The overlay changed.
    pub overlay: bool,
    /// The camera changed.
    pub view: bool,
    /// The selection changed.
    pub selection: bool,
    /// The tool, the stage, the snapping or what the commands allow changed.
    pub tool: bool,
    /// The text or a problem of a field changed.
    pub fields: bool,
    /// A new layout is held.
    pub layout: bool,
    /// The key was used: the browser must not act on it as well.
    pub taken: bool,
    /// Something for the live region of screen readers.
    pub announce: Option<String>,
    /// One sentence: what was wrong and what to do. Also at [`crate::Session::problem`] until the next success.
    pub problem: Option<String>,
    /// Something only the shell can do.
    pub ask: Option<Ask>,
    /// Something the engine has to tell.
    pub look: Option<Look>,
}

impl Effects {
    /// Joins what came of a second message to this one.
    pub fn merge(&mut self, later: Effects) {
        self.plan = later.plan.or(self.plan);
        self.save |= later.save;
        self.records |= later.records;
        self.overlay |= later.overlay;
        self.view |= later.view;
        self.selection |= later.selection;
        self.tool |= later.tool;
        self.fields |= later.fields;
        self.layout |= later.layout;
        self.taken |= later.taken;
        self.announce = later.announce.or(self.announce.take());
        self.problem = later.problem.or(self.problem.take());
        self.ask = later.ask.or(self.ask);
        self.look = later.look.or(self.look.take());
    }
}
