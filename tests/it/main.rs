//! Tests that look across crates, in one binary.
//!
//! In: the sources, the demo data, the crates. Out: passes and failures. Each module says what it holds true.

// A test stops at what it did not expect, and says on standard output what it skips.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod cutting;
mod demo;
mod falls_flow;
mod falls_laps;
mod falls_steps;
mod falls_surface;
mod files;
mod laws;
mod places;
mod protection;
mod ratchet;
mod records;
mod schema;
mod search;
mod splits;
mod starts;
mod strips;
mod tidy;
mod ties;
mod trade;
