//! baylap's sheets: drawings and files from a plan and its layout.
//!
//! In: a [`baylap_core::Plan`] and the [`baylap_core::Layout`] the engine made of it. Out: a display list that the
//! screen paints, a setting-out sheet as PDF, drawings as SVG, lists as CSV. Pure functions: no files, no clock, the
//! same bytes on every machine. It lays nothing itself and knows nothing of the screen.

pub mod clip;
pub mod draw;
pub mod look;
pub mod place;
pub mod scene;
pub mod sign;

pub use draw::{SceneOptions, deck_scene};
pub use look::{bay_hatch, bay_tint};
pub use scene::{Role, Scene};
