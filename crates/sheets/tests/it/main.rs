//! Tests of the sheets as a whole, against a layout built by hand.

mod any_plan;
mod canopy;
mod cuts;
mod days;
mod drainage;
mod drained;
mod drawing;
mod protection;
mod records;
mod sheet;
