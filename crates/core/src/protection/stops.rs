//! Where the courses of sheet of one bay end before bays after it.
//!
//! In: the edges across the courses that a bay shares with later bays, and its strips. Out: for each strip the rectangles it
//! stays out of. Each strip ends square, so that nothing is cut on the membrane but at walls; ends of neighbouring strips are
//! the stagger apart, so that no four sheets come to lie on one another. It knows nothing of the deck.

use super::Rules;
use super::board::{Shape, rectangle};
use crate::plan::Mm;

/// An edge across the courses towards a later bay.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stop {
    /// Chainage.
    pub u: Mm,
    /// Offsets it reaches from and to.
    pub v: [Mm; 2],
    /// Whether the later bay lies beyond it.
    pub beyond: bool,
    /// Index of the later bay.
    pub high: usize,
}

/// What a bay leaves open at one of its ends for a later bay, in the frame of its zone.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kept {
    /// Index of the bay that leaves it.
    pub low: usize,
    /// Index of the bay that it is left to.
    pub high: usize,
    /// Chainages it reaches from and to.
    pub u: [Mm; 2],
    /// Offsets of the edge between the two.
    pub v: [Mm; 2],
}

/// Ends of sheet already laid that a strip lies beside, on one side of their bays.
pub(super) type Taken<'a> = &'a dyn Fn([Mm; 2], bool) -> Vec<Mm>;

/// For each strip what it stays out of; with that, what is left to whom. `own` are the offsets that the bay itself reaches from and to.
pub(super) fn squared(
    mut stops: Vec<Stop>,
    strips: &[[Mm; 2]],
    own: [Mm; 2],
    (rules, taken, kept): (&Rules, Taken, &mut Vec<Kept>),
) -> Vec<Vec<Shape>> {
    let mut found = vec![Vec::new(); strips.len()];
    stops.sort_by_key(|s| (s.beyond, s.u, s.v));
    let near = 2 * rules.stagger + 200;
    for group in stops.chunk_by(|a, b| a.beyond == b.beyond && b.u - a.u <= near) {
        let reach = reach(group, own, rules);
        let beyond = group[0].beyond;
        let mut before: Option<Mm> = None;
        for (strip, shapes) in strips.iter().zip(&mut found) {
            let beside = |s: &&Stop| s.v[1].min(strip[1]) - s.v[0].max(strip[0]) > 1;
            let at: Vec<Mm> = group.iter().filter(beside).map(|s| s.u).collect();
            let (Some(first), Some(last)) = (at.iter().min(), at.iter().max()) else {
                before = None;
                continue;
            };
            let open = [first - rules.open, last + rules.end_lap + rules.open];
            let mut others = taken(*strip, beyond);
            others.extend(before);
            let open = if beyond {
                [apart(open[0], &others, -rules.stagger), open[1]]
            } else {
                [open[0], apart(open[1], &others, rules.stagger)]
            };
            before = Some(if beyond { open[0] } else { open[1] });
            let own = group.iter().filter(beside);
            // Who leaves it is for the caller to say.
            kept.extend(own.map(|s| Kept { low: 0, high: s.high, u: open, v: s.v }));
            // What would be left of the strip beside its square end is nothing to lay.
            let low = if reach[0] - strip[0] < rules.least_strip { strip[0] } else { reach[0] };
            let high = if strip[1] - reach[1] < rules.least_strip { strip[1] } else { reach[1] };
            shapes.push(rectangle(open, [low, high]));
        }
    }
    found
}

/// The offsets over which strips end square: past the edges as far as the bay goes, if that is not far.
fn reach(group: &[Stop], own: [Mm; 2], rules: &Rules) -> [Mm; 2] {
    let lo = group.iter().map(|s| s.v[0]).min().unwrap_or(own[0]);
    let hi = group.iter().map(|s| s.v[1]).max().unwrap_or(own[1]);
    let half = rules.width / 2;
    [
        if lo - own[0] <= half { own[0].min(lo) - rules.width } else { lo - rules.open },
        if own[1] - hi <= half { own[1].max(hi) + rules.width } else { hi + rules.open + rules.side_lap },
    ]
}

/// Times the stagger that an end may be drawn back.
const MOST_BACK: Mm = 3;

/// An end drawn back until it is the stagger, with its sign, off all others; as it was where that goes too far.
fn apart(end: Mm, others: &[Mm], stagger: Mm) -> Mm {
    let mut at = end;
    while let Some(other) = others.iter().find(|other| (at - **other).abs() < stagger.abs()) {
        at = other + stagger;
        if (at - end).abs() > MOST_BACK * stagger.abs() {
            return end;
        }
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ends(stops: &[(usize, Mm)], beyond: bool) -> Vec<[f64; 2]> {
        let rules = Rules {
            width: 1000,
            length: 20_000,
            side: 75,
            end: 75,
            off: 150,
            open: 150,
            stagger: 300,
            least_strip: 300,
            least_piece: 1000,
            side_lap: 75,
            end_lap: 75,
        };
        let rows = [[0, 925], [925, 1850], [1850, 2775]];
        let stops = stops.iter().map(|&(row, u)| Stop { u, v: rows[row], beyond, high: 1 }).collect();
        let strips = [[-225, 775], [700, 1700], [1625, 2625]];
        let none = |_, _| Vec::new();
        let found = squared(stops, &strips, [0, 2775], (&rules, &none, &mut Vec::new()));
        found.iter().map(|shapes| [shapes[0][0][0], shapes[0][1][0]]).collect()
    }

    #[test]
    fn strips_end_square_and_apart() {
        // Cuts that step by 300: the strip over rows 0 and 1 ends before the nearer one.
        let stepped = [(0, 10_000), (1, 10_300), (2, 10_000)];
        assert_eq!(ends(&stepped, true), [[9_850.0, 10_225.0], [9_550.0, 10_525.0], [9_850.0, 10_525.0]]);
        let level = [(0, 10_000), (1, 10_000), (2, 10_000)];
        assert_eq!(ends(&level, true), [[9_850.0, 10_225.0], [9_550.0, 10_225.0], [9_850.0, 10_225.0]]);
        assert_eq!(ends(&level, false), [[9_850.0, 10_225.0], [9_850.0, 10_525.0], [9_850.0, 10_225.0]]);
    }
}
