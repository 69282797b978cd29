//! Integer geometry: points, rings and regions in whole millimetres, and the working frames of a laying direction.
//!
//! Guarantees of each type: [`Pt`] is exact; a [`Region`] is one outer ring anticlockwise followed by its holes
//! clockwise, none repeating its first corner.

pub mod contact;
pub mod frame;
pub mod net;
pub mod offset;
pub mod overlay;
mod point;
pub mod ring;
pub mod sets;
pub mod spans;

pub use point::Pt;

/// A closed ring of corners; the last joins the first and is not repeated.
pub type Points = Vec<Pt>;

/// A connected area: the outer ring anticlockwise, then its holes clockwise. Written as a list of rings.
pub type Region = Vec<Points>;
