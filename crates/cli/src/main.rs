//! baylap on the command line.
fn main() {}
