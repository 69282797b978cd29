//! baylap's engine: from a plan of a flat roof to its bays, rolls, cuts and quantities.
//!
//! One way, no way back:
//! plan -> model -> zones -> field -> courses -> bays -> pieces -> cuts -> quantities -> strips -> order -> findings.
//! Every stage is a pure function of the stages before it: no clock, no files, no randomness, no globals. Results are
//! whole millimetres and the same byte for byte natively and in WebAssembly. What is wrong with a plan comes back as
//! [`finding::Finding`]s; nothing a person can draw or type makes the engine panic.

pub mod bays;
pub mod calendar;
pub mod cells;
pub mod compare;
pub mod courses;
pub mod coverings;
pub mod cuts;
pub mod days;
pub mod dew;
pub mod draft;
pub mod endlaps;
pub mod falls;
pub mod finding;
pub mod footing;
pub mod geom;
pub mod lay;
pub mod layout;
pub mod materials;
pub mod melting;
pub mod model;
pub mod numbering;
pub mod order;
pub mod pieces;
pub mod plan;
pub mod products;
pub mod protection;
pub mod quantities;
pub mod rates;
pub mod records;
pub mod remarks;
pub mod rolling;
pub mod run_on;
pub mod seams;
pub mod search;
pub mod sequence;
pub mod splits;
pub mod starts;
pub mod strips;
pub mod sums;
pub mod ways;
pub mod work;
pub mod zones;

pub use finding::{About, Finding, Severity};
pub use lay::{lay, lay_quick};
pub use layout::Layout;
pub use plan::Plan;
pub use search::Search;
