//! baylap sheets.
