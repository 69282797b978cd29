//! baylap's editor: a plan being drawn, typed and changed, without any screen.
//!
//! ```text
//! pointer, keys, typing --> Message --> Session::handle --> Effects --> shell: worker, autosave, screen reader
//!                                          |
//!                                          +--> overlay(), fields(), settings(), commands(): plain data to show
//! ```
//!
//! The shell turns events into [`Message`]s and draws what it reads; every decision about the plan is taken here, so
//! everything can be tested without a browser. Tools are machines of states that can be cancelled anywhere. Every
//! change goes through [`change::apply`] and the [`history`]; nothing a person can do panics or is lost. The editor
//! never lays a roof: layouts come from outside with the revision they belong to, and stale ones are dropped.

pub mod better;
pub mod camera;
pub mod change;
pub mod command;
pub mod day;
pub mod fields;
pub mod gangs;
pub mod history;
pub mod hit;
pub mod levels;
pub mod measure;
pub mod message;
pub mod overlay;
pub mod playing;
pub mod rolls;
pub mod saved;
pub mod scale;
pub mod selection;
pub mod session;
pub mod snap;
pub mod stage;
pub mod strip;
pub mod survey;
pub mod thing;
pub mod tie;
pub mod today;
pub mod tool;

pub use camera::Camera;
pub use change::{Change, FixedEnd, Shift};
pub use command::{CommandId, CommandInfo, commands};
pub use fields::{Choice, Field, FieldGroup, FieldId, FieldKind, Panel};
pub use message::{
    Ask, Button, Effects, Hold, KeyEvent, Look, Message, Modifiers, Phase, PointerEvent, PointerKind, Px,
};
pub use overlay::{EntryField, EntryView, Handle, HandleKind, Label, Mark, MarkKind, Overlay, SnapMark};
pub use playing::{BayState, Moment, Pace};
pub use saved::Saved;
pub use selection::Selection;
pub use session::Session;
pub use snap::{SnapKind, SnapSettings};
pub use stage::Stage;
pub use thing::Thing;
pub use tie::TieTo;
pub use tool::Tool;
