//! The panels round the board.
//!
//! In: the session and the layout. Out: inputs and tables, linked with the drawing both ways through the one selection.
//! They compute nothing about the roof.

pub(crate) mod bar;
pub(crate) mod begin;
pub(crate) mod chart;
pub(crate) mod choices;
pub(crate) mod compare;
mod compare_words;
mod day;
mod day_by_day;
mod days;
pub(crate) mod drawer;
pub(crate) mod earlier;
pub(crate) mod falls;
pub(crate) mod falls_words;
pub(crate) mod find;
mod gangs;
pub(crate) mod inputs;
pub(crate) mod keys;
pub(crate) mod ledger;
pub(crate) mod levels;
pub(crate) mod levels_choices;
pub(crate) mod levels_picture;
pub(crate) mod levels_words;
pub(crate) mod looks;
pub(crate) mod menu;
pub(crate) mod merge;
pub(crate) mod notices;
pub(crate) mod paper;
pub(crate) mod play;
pub(crate) mod rolls;
mod strip;
pub(crate) mod survey;
pub(crate) mod tables;
pub(crate) mod today;
mod today_bay;
mod today_list;
mod today_tests;
mod today_words;
pub(crate) mod tools;
