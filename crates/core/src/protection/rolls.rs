//! Rolls of sheet: the pieces cut from them, and the sums.
//!
//! In: the pieces of the sheet in the order they are laid, the roll. Out: their places on the rolls, the rolls, the sums.
//! The cutting is that of the reinforcement: good at once, improved for a fixed number of steps.

use super::Rules;
use crate::cuts::{self, Item, Problem, Stock, Terms};
use crate::layout::protection::{Protection, SheetLapKind, SheetRoll, SheetTotals};
use crate::numbering::count;
use crate::plan::{Mm, Products};

/// Steps that improving the cut list may take.
const STEPS: u64 = 200;

/// Cuts the pieces from rolls and adds up.
pub(super) fn cut(products: &Products, rules: &Rules, sheet: &mut Protection) {
    let item = |p: &crate::layout::protection::SheetPiece| {
        let width = p.across[1] - p.across[0];
        Item { length: p.length, width, slit: width < rules.width, bay: p.bay }
    };
    let problem = Problem {
        items: sheet.pieces.iter().map(item).collect(),
        stocks: vec![Stock { length: rules.length, width: rules.width, count: None, price: 1 }],
        terms: Terms { kerf: 0, least_offcut: products.least_offcut, open_most: None },
    };
    let list = cuts::solve(problem, STEPS);
    for (roll, number) in list.rolls.iter().zip(1..) {
        let mut pieces = Vec::new();
        for (from, &(i, across)) in roll.cuts.iter().flat_map(|c| c.items.iter().map(|item| (c.from, item))) {
            let piece = &mut sheet.pieces[i];
            (piece.roll, piece.roll_from, piece.roll_across) = (number, from, across);
            pieces.push(piece.number);
        }
        let kept = roll.rest > 0 && roll.rest >= products.least_offcut;
        sheet.rolls.push(SheetRoll { number, pieces, rest: roll.rest, kept });
    }
    sheet.totals = totals(sheet, count(list.least_rolls));
}

fn totals(sheet: &Protection, rolls_least: u32) -> SheetTotals {
    let laps = |kind| -> Mm { sheet.laps.iter().filter(|l| l.kind == kind).map(|l| l.length).sum() };
    SheetTotals {
        pieces: count(sheet.pieces.len()),
        cut_area: sheet.bays.iter().map(|b| b.cut_area).sum(),
        laid_area: sheet.pieces.iter().map(|p| p.area).sum(),
        cut_length: sheet.pieces.iter().map(|p| p.length).sum(),
        side_laps: laps(SheetLapKind::Side),
        end_laps: laps(SheetLapKind::End),
        line_laps: laps(SheetLapKind::ZoneLine),
        near: sheet.laps.iter().map(|l| l.near).sum(),
        rolls: count(sheet.rolls.len()),
        rolls_least,
    }
}
