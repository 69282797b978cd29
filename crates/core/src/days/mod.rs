//! Days: from the bays of a layout to the order they are poured in, and from that order to the days.
//!
//! In: a layout with its bays, the work of each, the ground. Out: a task for [`crate::sequence`]; then, with its answer,
//! the days. Bays are numbered in the order they are begun, so that numbers, laps and rolls follow the days. It knows
//! nothing of how an order is looked for.

mod ahead;
mod remarks;
mod sites;
mod way_off;
mod write;

pub use remarks::remark;
pub use sites::task;
pub use way_off::{WayOff, way_off};
pub use write::write;
