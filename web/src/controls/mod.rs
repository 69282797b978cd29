//! Small controls that every panel uses.
//!
//! In: values and names. Out: plain, accessible pieces of page. They know nothing of the plan.

pub(crate) mod dialog;
pub(crate) mod field;
pub(crate) mod scheme;
pub(crate) mod sign;
