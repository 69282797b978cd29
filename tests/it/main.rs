//! Tests that look across crates, in one binary.
