//! Sheet courses across a bay: where each lies so that its laps keep off the side laps of the reinforcement.
//!
//! In: the offsets between which a bay is to be covered, the bands where side laps of the reinforcement lie, the roll and
//! what is asked of its laps; all whole mm across the courses. Out: strips in order that cover from one offset to the
//! other. Neighbours overlap by the lap or more, none is wider than the roll. Laps keep the distance from every band where
//! that can be; where a roll is too narrow for it, they lie as far off as they can. It knows nothing of the deck.

use crate::plan::Mm;

/// What strips are asked for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Across<'a> {
    /// First and last offset to be covered.
    pub reach: [Mm; 2],
    /// Bands of the reinforcement's side laps, in order.
    pub bands: &'a [[Mm; 2]],
    /// Width of the roll.
    pub width: Mm,
    /// Least lap.
    pub lap: Mm,
    /// Distance of laps from bands.
    pub off: Mm,
    /// Least width of a strip worth laying.
    pub least: Mm,
}

/// The strips, in order.
pub(super) fn choose(ask: &Across) -> Vec<[Mm; 2]> {
    let [from, to] = ask.reach;
    let mut strips = Vec::new();
    let mut at = from;
    while to - at > ask.width {
        let top = ask.top(at);
        strips.push([at, top]);
        at = top - ask.lap;
    }
    strips.push([at, to.max(at + 1)]);
    widen(ask, &mut strips);
    strips
}

/// Distance between two bands; 0 or less where they meet.
pub(super) fn gap(one: [Mm; 2], two: [Mm; 2]) -> Mm {
    (two[0] - one[1]).max(one[0] - two[1])
}

impl Across<'_> {
    /// How far a lap lies off the nearest band.
    fn room(&self, lap: [Mm; 2]) -> Mm {
        self.bands.iter().map(|band| gap(lap, *band)).min().unwrap_or(Mm::MAX)
    }

    /// The further edge of a strip that starts at `at` and is not the last: as far as the roll reaches with its lap off the
    /// bands, as long as half a roll is used; else where its lap lies furthest off.
    fn top(&self, at: Mm) -> Mm {
        let (far, near) = (at + self.width, at + (self.width / 2).max(self.lap + 1));
        let mut top = far;
        while let Some(band) = self.in_the_way(top) {
            top = band[0] - self.off;
        }
        if top >= near {
            return top;
        }
        let between = self.bands.windows(2).map(|w| (w[0][1] + w[1][0] + self.lap) / 2);
        let choices = between.chain([far, near]).filter(|t| (near..=far).contains(t));
        choices.max_by_key(|&t| (self.room([t - self.lap, t]), t)).unwrap_or(far)
    }

    /// A band that a lap which ends at `top` lies too near to.
    fn in_the_way(&self, top: Mm) -> Option<[Mm; 2]> {
        let lap = [top - self.lap, top];
        self.bands.iter().rev().find(|band| gap(lap, **band) < self.off).copied()
    }
}

/// Gives a strip narrower than the least more of the roll by letting its lap grow towards the strip before. Laps stay off
/// the bands and off one another.
fn widen(ask: &Across, strips: &mut [[Mm; 2]]) {
    for i in (1..strips.len()).rev() {
        let [from, to] = strips[i];
        let lap = [from, strips[i - 1][1]];
        let wanted = (to - from).max(ask.least.min(ask.width));
        let below = ask.bands.iter().filter(|band| band[0] < lap[1]).map(|band| band[1] + ask.off).max();
        let above_first = if i > 1 { strips[i - 2][1] } else { strips[0][0] + 1 };
        let floor = below.unwrap_or(Mm::MIN).max(above_first);
        strips[i][0] = (to - wanted).max(floor).min(from);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BANDS: &[[Mm; 2]] = &[[925, 1000], [1850, 1925], [2775, 2850], [3700, 3775]];

    fn ask(reach: [Mm; 2]) -> Across<'static> {
        Across { reach, bands: BANDS, width: 1000, lap: 75, off: 150, least: 300 }
    }

    #[test]
    fn a_bay_of_three_courses_takes_three_strips() {
        // Over the bay before and short of the bay after, both by 150 and the lap: as long as the bay is wide.
        assert_eq!(choose(&ask([700, 3550])), [[700, 1700], [1625, 2625], [2550, 3550]]);
        // The other way round: short of a later bay below, over an earlier one above.
        let down = choose(&ask([1150, 4000]));
        assert_eq!(down, [[1150, 2150], [2075, 3075], [3000, 4000]]);
        for w in down.windows(2) {
            assert_eq!(ask([0, 0]).room([w[1][0], w[0][1]]), 150);
        }
    }

    #[test]
    fn from_a_wall_the_first_strip_is_cut_narrower() {
        // From 950 the lap would lie on a band: the strip ends 150 before it.
        assert_eq!(choose(&ask([-50, 2625])), [[-50, 775], [700, 1700], [1625, 2625]]);
    }

    #[test]
    fn a_sliver_takes_lap_instead() {
        let strips = choose(&ask([700, 1720]));
        assert_eq!(strips, [[700, 1700], [1420, 1720]]);
    }

    #[test]
    fn a_roll_too_narrow_lies_as_far_off_as_it_can() {
        let narrow = Across { width: 420, ..ask([0, 3000]) };
        let strips = choose(&narrow);
        assert!(strips.iter().all(|s| s[1] - s[0] <= 420));
        assert!(strips.windows(2).all(|w| w[0][1] - w[1][0] >= 75));
        assert_eq!((strips[0][0], strips[strips.len() - 1][1]), (0, 3000));
    }

    #[test]
    fn whatever_is_asked_is_covered() {
        for width in [200, 333, 1000, 1500] {
            for off in [0, 75, 150, 400, 900] {
                for top in (1..4000).step_by(97) {
                    let ask = Across { width, off, ..ask([0, top]) };
                    let strips = choose(&ask);
                    assert_eq!((strips[0][0], strips[strips.len() - 1][1]), (0, top));
                    assert!(strips.iter().all(|s| s[1] > s[0] && s[1] - s[0] <= width), "{ask:?} {strips:?}");
                    assert!(strips.windows(2).all(|w| w[0][1] - w[1][0] >= 75 && w[1][0] > w[0][0]));
                }
            }
        }
    }
}
