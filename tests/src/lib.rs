//! Holds nothing: the tests across crates live in `it/`.
