//! Falls: the surface of the decks, where water runs, where it stands and how much each outlet has to take.
//!
//! In: a plan with levels, and its checked geometry. Out: a [`Falls`] of the layout, and a [`Ground`] that later stages ask
//! about levels, slopes and ponds. It lays nothing and judges no bay edge: [`crate::seams`] does.

pub mod blocked;
pub mod catchments;
pub mod feet;
pub mod flood;
pub mod flow;
pub mod hydraulics;
pub mod mesh;
mod outlet_findings;
pub mod outlets;
