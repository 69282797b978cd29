//! Site records read against the layout: what stands, what each entry is worth, what is still to be done.
//!
//! In: a plan with its records, and its layout. Out: the records in force in order of time, where thickness is to be read
//! ([`reading_places()`]), one sentence on each entry ([`judge()`]), what is missing ([`outstanding()`]), and two plans' records as
//! one ([`merge()`]). What is missing is told on the records screen and is no finding of the layout: a layout is right or
//! wrong whether anybody has written anything down or not. The order in which records stand in the file means nothing here.

mod bays;
mod judge;
mod merge;
mod outstanding;
mod places;
mod standing;
mod weather;

pub use bays::{BayState, bay_at, bay_state, bay_states};
pub use judge::{Judged, Verdict, judge, nominal};
pub use merge::{Merged, merge, same_job};
pub use outstanding::{Due, Outstanding, outstanding};
pub use places::{ReadingPlace, reading_places, readings_due};
pub use standing::{Standing, State, standing};

/// Hundredths as text with two figures behind the point.
fn hundredths(value: i64) -> String {
    let sign = if value < 0 { "-" } else { "" };
    let size = value.unsigned_abs();
    format!("{sign}{}.{:02}", size / 100, size % 100)
}

/// Words in a row: "a", "a and b", "a, b and c".
fn listed<T: ToString>(words: &[T]) -> String {
    let words: Vec<String> = words.iter().map(ToString::to_string).collect();
    match words.split_last() {
        None => String::new(),
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
    }
}
