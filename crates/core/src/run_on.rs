//! Run-on laying: where a roll ends inside a run, the next roll laps on to it.
//!
//! In: drafts with the end laps that bays and piece lengths ask for, their pieces in laying order, the rolls. Out: further
//! end laps, so that each roll is laid to its end, where the rules allow one: the stagger from those of both neighbouring
//! courses, clear of outlets and corners, no piece shorter than the least. What a roll has left where none is allowed
//! stays over. It moves no end lap that is there and touches no bay.

use crate::cuts::{Problem, Stock};
use crate::draft::{Draft, DraftPiece};
use crate::endlaps::{self, Ends};
use crate::plan::Mm;
use crate::products::Rules;

/// A draft with its rules and the end laps it is to have.
#[derive(Clone, Debug)]
pub struct Laid<'a> {
    /// The draft.
    pub draft: &'a Draft,
    /// Its rules.
    pub rules: Rules,
    /// Its end laps, to be added to.
    pub ends: Ends,
}

/// A piece of one of several drafts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Which draft.
    pub draft: usize,
    /// The piece.
    pub piece: DraftPiece,
}

/// An end lap that was added: draft, course, run, chainage.
pub type Added = (usize, usize, usize, Mm);

/// Lays pieces in order from one roll after the other. `terms` are those of `problem`; its items are not looked at.
pub fn lay(laid: &mut [Laid], order: &[Place], problem: &Problem) -> Vec<Added> {
    let mut shelves: Vec<Shelf> = Vec::new();
    let mut added = Vec::new();
    for place in order {
        let width = laid[place.draft].rules.width;
        if place.piece.width < width {
            continue;
        }
        let shelf = match shelves.iter().position(|s| s.width == width) {
            Some(n) => &mut shelves[n],
            None => {
                shelves.push(Shelf::new(width, problem));
                shelves.last_mut().unwrap_or_else(|| unreachable!("one was just put there"))
            }
        };
        lay_piece(&mut laid[place.draft], place, shelf, &mut added);
    }
    added
}

fn lay_piece(laid: &mut Laid, place: &Place, shelf: &mut Shelf, added: &mut Vec<Added>) {
    let DraftPiece { course, run, mut from, to, .. } = place.piece;
    loop {
        if to - from <= shelf.rest {
            shelf.take(to - from);
            return;
        }
        let lap = laid.rules.end_lap;
        match end_within(laid, course, run, from, to, shelf.rest) {
            Some(start) => {
                let starts = &mut laid.ends.starts[course][run];
                let at = starts.partition_point(|x| *x < start);
                starts.insert(at, start);
                added.push((place.draft, course, run, start));
                debug_assert!(start + lap - from <= shelf.rest);
                from = start;
            }
            None if shelf.is_whole() => return,
            None => {}
        }
        if !shelf.open() {
            return;
        }
    }
}

/// Where the next piece may start so that the one from `from` takes most of `rest`.
fn end_within(laid: &Laid, course: usize, run: usize, from: Mm, to: Mm, rest: Mm) -> Option<Mm> {
    let Rules { end_lap, least, .. } = laid.rules;
    let shortest = least.max(end_lap + 1);
    let (lo, hi) = (from + shortest - end_lap, (from + rest - end_lap).min(to - shortest));
    if lo > hi {
        return None;
    }
    let Draft { courses, rows, outlets, .. } = laid.draft;
    let beside: Vec<Mm> = [course.checked_sub(1), Some(course + 1)]
        .into_iter()
        .flatten()
        .filter_map(|k| laid.ends.starts.get(k))
        .flatten()
        .flatten()
        .copied()
        .collect();
    let data = courses.runs.get(course)?.get(run)?;
    endlaps::bans(course, data, courses, rows, &laid.rules, &beside, outlets).nearest(hi, lo, hi, false)
}

/// The rolls of one width, one of them open.
struct Shelf {
    width: Mm,
    kerf: Mm,
    /// What the open roll has left, and its length, mm.
    rest: Mm,
    length: Mm,
    /// Kinds with how many are left, best first.
    kinds: Vec<(Stock, Option<u32>)>,
}

impl Shelf {
    fn new(width: Mm, problem: &Problem) -> Self {
        let mut kinds: Vec<(Stock, Option<u32>)> =
            problem.stocks.iter().filter(|s| s.width == width).map(|s| (*s, s.count)).collect();
        // Cheapest by the metre first, longest first among equals: the fewest end laps.
        kinds.sort_by(|(a, _), (b, _)| {
            let (one, two) =
                (i128::from(a.price) * i128::from(b.length), i128::from(b.price) * i128::from(a.length));
            one.cmp(&two).then(b.length.cmp(&a.length))
        });
        Self { width, kerf: problem.terms.kerf, rest: 0, length: 0, kinds }
    }

    fn take(&mut self, length: Mm) {
        self.rest = (self.rest - length - self.kerf).max(0);
    }

    fn is_whole(&self) -> bool {
        self.length > 0 && self.rest == self.length
    }

    /// Opens the next roll; whether there was one.
    fn open(&mut self) -> bool {
        let Some((stock, left)) = self.kinds.iter_mut().find(|(_, left)| left.is_none_or(|n| n > 0)) else {
            return false;
        };
        *left = left.map(|n| n - 1);
        (self.rest, self.length) = (stock.length, stock.length);
        true
    }
}
