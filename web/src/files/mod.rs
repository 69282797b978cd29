//! Files and stores of the browser: opening, saving, autosave.
//!
//! In: plans and bytes. Out: files on the user's machine and a copy in the browser's own store. What a plan file says is
//! the core's business; here are only the ways in and out.

pub(crate) mod autosave;
pub(crate) mod database;
pub(crate) mod device;
pub(crate) mod offline;
pub(crate) mod open;
pub(crate) mod save;
