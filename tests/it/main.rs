//! Tests that look across crates, in one binary.
//!
//! In: the sources, the demo data, the crates. Out: passes and failures. Each module says what it holds true.

mod cutting;
mod demo;
mod files;
mod laws;
mod places;
mod schema;
mod tidy;
mod trade;
