//! End laps of the sheet: where a run longer than a roll is made of several pieces.
//!
//! In: the ends of a run, the roll, the end laps of the reinforcement below and of the sheet course before; all whole mm
//! along the courses. Out: pieces in order that cover the run, each no longer than the roll and overlapping the next by the
//! end lap. A roll is rolled out as far as it goes; it is cut shorter where that keeps an end lap off those of the
//! reinforcement and off those of the course before. It knows nothing of the deck.

use super::strips::gap;
use crate::plan::Mm;

/// What a run is cut by.
#[derive(Clone, Copy, Debug)]
pub(super) struct Along<'a> {
    /// Longest piece.
    pub longest: Mm,
    /// End lap.
    pub lap: Mm,
    /// Least piece.
    pub least: Mm,
    /// Distance from the end laps of the reinforcement.
    pub off: Mm,
    /// Distance from the starts of pieces beside it.
    pub stagger: Mm,
    /// End laps of the reinforcement below.
    pub bands: &'a [[Mm; 2]],
    /// Starts of end laps of the course before.
    pub beside: &'a [Mm],
}

/// How finely places are tried, mm.
const STEP: Mm = 25;

/// How much of a roll may be cut off to find a better place, mm.
const SPARE: Mm = 3000;

/// The pieces of a run.
pub(super) fn split([from, to]: [Mm; 2], ask: &Along) -> Vec<[Mm; 2]> {
    let mut pieces = Vec::new();
    let mut at = from;
    while to - at > ask.longest {
        let start = ask.start(at, to);
        pieces.push([at, start + ask.lap]);
        at = start;
    }
    pieces.push([at, to]);
    pieces
}

impl Along<'_> {
    /// Where the piece after the one that starts at `at` starts.
    fn start(&self, at: Mm, to: Mm) -> Mm {
        let far = at + self.longest - self.lap;
        let latest = far.min(to - self.least.max(self.lap + 1)).max(at + 1);
        let earliest = (latest - SPARE).max(at + self.least.max(self.longest / 4)).min(latest);
        let steps = (latest - earliest) / STEP;
        (0..=steps).map(|i| latest - i * STEP).min_by_key(|&start| self.short(start)).unwrap_or(latest)
    }

    /// By how much a place misses what is asked, mm; 0 for a good one.
    fn short(&self, start: Mm) -> Mm {
        let lap = [start, start + self.lap];
        let near = self.bands.iter().map(|band| (self.off - gap(lap, *band)).max(0)).max();
        let beside = self.beside.iter().map(|other| (self.stagger - (start - other).abs()).max(0)).max();
        near.unwrap_or(0) + beside.unwrap_or(0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ask<'a>(bands: &'a [[Mm; 2]], beside: &'a [Mm]) -> Along<'a> {
        Along { longest: 20_000, lap: 75, least: 1000, off: 150, stagger: 300, bands, beside }
    }

    #[test]
    fn a_roll_goes_as_far_as_it_can() {
        assert_eq!(split([0, 20_000], &ask(&[], &[])), [[0, 20_000]]);
        assert_eq!(split([0, 30_000], &ask(&[], &[])), [[0, 20_000], [19_925, 30_000]]);
        // The last piece is no shorter than the least.
        assert_eq!(split([0, 20_100], &ask(&[], &[])), [[0, 19_175], [19_100, 20_100]]);
    }

    #[test]
    fn end_laps_keep_off_those_below_and_beside() {
        let bands = [[19_900, 19_975]];
        let first = split([0, 30_000], &ask(&bands, &[]));
        assert_eq!(first, [[0, 19_750], [19_675, 30_000]]);
        let second = split([0, 30_000], &ask(&bands, &[19_675]));
        assert_eq!(second[1][0], 19_375);
    }

    #[test]
    fn whatever_the_run_it_is_covered() {
        for length in (1..90_000).step_by(777) {
            let ask = Along { longest: 1_200, lap: 200, ..ask(&[[500, 800]], &[1_000]) };
            let pieces = split([0, length], &ask);
            assert_eq!((pieces[0][0], pieces[pieces.len() - 1][1]), (0, length));
            assert!(pieces.iter().all(|p| p[1] - p[0] <= 1_200 && p[1] > p[0]));
            assert!(pieces.windows(2).all(|w| w[0][1] - w[1][0] >= 200 && w[1][0] > w[0][0]));
        }
    }
}
