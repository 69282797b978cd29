//! The editor as somebody at the screen uses it: every test goes through messages, as the shell does.
//!
//! `hands` gives the verbs (click, drag, type) and sweeps what must always hold after every single message.

mod choices;
mod days;
mod draw;
mod falls;
mod fields;
mod hands;
mod history;
mod keys;
mod layouts;
mod moves;
mod programme;
mod random;
mod records;
mod touch;
