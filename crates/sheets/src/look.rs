//! How bays are told apart: by number, hatch and tint, in that order of trust.
//!
//! In: the bays with their neighbours. Out: a hatch and a tint for each, unlike those of the neighbours as far as
//! there are enough. Print uses the hatch only; nothing may depend on the tint.

use baylap_core::layout::Bay;
use std::collections::BTreeMap;

/// A colour in OKLCH, for a light ground. A painter for a dark ground keeps hue and chroma and changes lightness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Oklch {
    /// Lightness, 0 to 1.
    pub lightness: f64,
    /// Chroma.
    pub chroma: f64,
    /// Hue, degrees.
    pub hue: f64,
}

/// One set of hatch lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hatch {
    /// Turn from the laying direction, thousandths of a degree.
    pub turn_mdeg: i32,
    /// Distance between lines on paper, tenths of a mm.
    pub gap: i64,
}

/// Hatch and tint of one bay.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Look {
    /// Which hatch, from 0.
    pub hatch: u8,
    /// Which tint, from 0.
    pub tint: u8,
}

/// How many tints there are.
pub const TINTS: u8 = 7;

/// How many hatches there are.
pub const HATCHES: u8 = 6;

/// Tint number `index` (counted round when past the last): even lightness and low chroma, hues a large step apart.
pub fn bay_tint(index: u32) -> Oklch {
    // Three steps of a seventh of the circle: numbers in order get hues far apart.
    Oklch { lightness: 0.93, chroma: 0.035, hue: f64::from((index % u32::from(TINTS)) * 3 % 7) * 51.0 + 20.0 }
}

/// Hatch number `index` (counted round when past the last). No hatch runs along the courses.
pub fn bay_hatch(index: u32) -> &'static [Hatch] {
    const FINE: i64 = 50;
    const WIDE: i64 = 100;
    const fn lines(turn_mdeg: i32, gap: i64) -> Hatch {
        Hatch { turn_mdeg, gap }
    }
    const ALL: [&[Hatch]; HATCHES as usize] = [
        &[lines(45_000, FINE)],
        &[lines(135_000, FINE)],
        &[lines(45_000, WIDE), lines(135_000, WIDE)],
        &[lines(90_000, FINE)],
        &[lines(45_000, WIDE)],
        &[lines(135_000, WIDE)],
    ];
    ALL[(index % u32::from(HATCHES)) as usize]
}

/// Hatch and tint of each bay, by its number: the next in turn that no earlier neighbour has.
pub fn looks(bays: &[Bay]) -> BTreeMap<u32, Look> {
    let mut chosen: BTreeMap<u32, Look> = BTreeMap::new();
    for (index, bay) in bays.iter().enumerate() {
        let beside: Vec<Look> = bay.beside.iter().filter_map(|n| chosen.get(n).copied()).collect();
        let hatches: Vec<u8> = beside.iter().map(|l| l.hatch).collect();
        let tints: Vec<u8> = beside.iter().map(|l| l.tint).collect();
        let look = Look { hatch: next(index, HATCHES, &hatches), tint: next(index, TINTS, &tints) };
        chosen.insert(bay.number, look);
    }
    chosen
}

fn next(index: usize, count: u8, taken: &[u8]) -> u8 {
    let first = u8::try_from(index % usize::from(count)).unwrap_or(0);
    (0..count).map(|step| (first + step) % count).find(|n| !taken.contains(n)).unwrap_or(first)
}
