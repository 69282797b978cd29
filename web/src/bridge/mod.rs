//! The bridge between the page and the engine's worker.
//!
//! In: plans with a revision. Out: layouts and files with the revision they were made from. The page never waits for
//! the engine: [`client`] holds at most one plan in flight and keeps only the newest to come; [`serve`] is the worker's
//! side, [`desk`] what it has in hand; [`protocol`] is what both speak. Nothing here knows of the screen.

pub mod client;
pub mod desk;
pub mod protocol;
pub mod serve;
