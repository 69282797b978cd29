//! The stock to cut from, as it is given on the command line.
//!
//! In: `LENGTH[xCOUNT]`, several with commas. Out: lengths with how many there are of each, or one sentence. It knows
//! nothing of pieces.

use super::measure::{Unit, length};
use baylap_core::plan::Mm;

/// One length in stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Lengths {
    /// Length, mm.
    pub(crate) length: Mm,
    /// How many there are; `None` for as many as needed.
    pub(crate) count: Option<u32>,
}

/// One `LENGTH[xCOUNT]`.
pub(crate) fn one(text: &str) -> Result<Lengths, String> {
    let (stock, count) = match text.split_once(['x', 'X']) {
        Some((stock, count)) => (stock, Some(counted(count)?)),
        None => (text, None),
    };
    Ok(Lengths { length: length(stock, Unit::Millimetre)?, count })
}

fn counted(text: &str) -> Result<u32, String> {
    let wrong = || format!("\"{text}\" is no count: write 50000x12 for twelve of 50,000 mm");
    text.trim().parse().ok().filter(|&n| n > 0).ok_or_else(wrong)
}

#[cfg(test)]
mod tests {
    //! Stock as people write it.
    use super::*;

    #[test]
    fn stock_has_a_length_and_may_have_a_count() {
        assert_eq!(one("50000"), Ok(Lengths { length: 50_000, count: None }));
        assert_eq!(one("50000x12"), Ok(Lengths { length: 50_000, count: Some(12) }));
        assert_eq!(one("20 m x 3"), Ok(Lengths { length: 20_000, count: Some(3) }));
        for bad in ["", "x3", "50000x", "50000x0", "50000x-1", "50000x1x1", "fifty"] {
            assert!(one(bad).is_err(), "{bad}");
        }
    }
}
