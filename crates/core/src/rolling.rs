//! Rolling: the cutting problem of a layout, and a cut list written back into it.
//!
//! In: a layout with pieces in laying order, and a cut list for them. Out: rolls with their pieces, pieces with their
//! place on a roll, the sums about rolls, and a finding when the stock does not reach. It cuts nothing itself.

use crate::cuts::{CutList, Item, Problem, Stock, Terms};
use crate::finding::{About, Finding};
use crate::layout::{Layout, Piece, Roll};
use crate::numbering::count;
use crate::plan::{Mm, Plan, Products, RollKind};

/// Writes a cut list for the pieces of a layout into it. Rolls are numbered as the list has them.
pub fn roll_out(plan: &Plan, list: &CutList, layout: &mut Layout) {
    let products = &plan.products;
    let kinds = kinds(products);
    for (cut, number) in list.rolls.iter().zip(1..) {
        let (k, kind) = (kinds[cut.stock].0, &products.rolls[kinds[cut.stock].0]);
        let mut pieces = Vec::new();
        for (from, &(i, across)) in cut.cuts.iter().flat_map(|c| c.items.iter().map(|item| (c.from, item))) {
            let piece = &mut layout.pieces[i];
            (piece.roll, piece.roll_from, piece.roll_across) = (number, from, across);
            pieces.push(piece.number);
        }
        let used: Mm = cut.cuts.iter().map(|c| c.length).sum();
        layout.rolls.push(Roll {
            number,
            kind: count(k),
            width: kind.width,
            length: kind.length,
            pieces,
            strips: Vec::new(),
            kerf: kind.length - used - cut.rest,
            rest: cut.rest,
            kept: cut.rest > 0 && cut.rest >= products.least_offcut,
        });
    }
    layout.totals.rolls = count(layout.rolls.len());
    layout.totals.rolls_least = count(list.least_rolls);
    layout.totals.proved = list.proved;
    layout.totals.open_rolls = list.open;
}

/// The cutting problem of a layout.
pub fn problem(plan: &Plan, layout: &Layout) -> Problem {
    let item = |p: &Piece| {
        let course = layout.zones[p.zone as usize - 1].courses[p.course as usize - 1];
        let width = p.across[1] - p.across[0];
        Item { length: p.length, width, slit: width < course.to - course.from, bay: p.bay }
    };
    Problem { items: layout.pieces.iter().map(item).collect(), stocks: stocks(plan), terms: terms(plan) }
}

/// What the number of one kind that is not on hand costs more, so that other kinds on hand are used up first.
const TO_ORDER: i64 = 10;

/// Kinds of roll as stocks: each entry of the products, and once more where it may have to be ordered.
fn kinds(products: &Products) -> Vec<(usize, bool)> {
    let each = |(k, kind): (usize, &RollKind)| {
        let limited = kind.on_hand.is_some();
        [(k, false)].into_iter().chain(limited.then_some((k, true)))
    };
    products.rolls.iter().enumerate().flat_map(each).collect()
}

/// The rolls to cut from.
pub fn stocks(plan: &Plan) -> Vec<Stock> {
    let products = &plan.products;
    let stock = |(k, to_order): (usize, bool)| {
        let kind = &products.rolls[k];
        let price = products.price(kind);
        Stock {
            length: kind.length,
            width: kind.width,
            count: kind.on_hand.filter(|_| !to_order),
            price: if to_order { price.saturating_mul(TO_ORDER) } else { price },
        }
    };
    kinds(products).into_iter().map(stock).collect()
}

/// The rules of cutting.
pub fn terms(plan: &Plan) -> Terms {
    Terms {
        kerf: plan.products.kerf.max(0),
        least_offcut: plan.products.least_offcut,
        open_most: Some(plan.gang.open_rolls).filter(|&n| n > 0 && plan.gang.hold_open_rolls),
    }
}

/// What a cut list costs or spares over the limit of rolls part-used at once: what it took to keep it, or what keeping it
/// would have taken.
pub fn open_rolls(plan: &Plan, list: &CutList, kept: Option<&CutList>, findings: &mut Vec<Finding>) {
    let most = plan.gang.open_rolls;
    let about = About::Setting("gang.open_rolls".into());
    let (text, mend) = match kept {
        _ if most == 0 => return,
        Some(kept) if list.open > most && kept.uncut.is_empty() => (
            format!(
                "{} rolls are part-used at once. Keeping to {most} was found to take {} rolls instead of {}.",
                list.open,
                kept.rolls.len(),
                list.rolls.len()
            ),
            "Cut ahead and mark the pieces, run rolls on, or hold the limit.",
        ),
        None if plan.gang.hold_open_rolls && list.price > list.price_unlimited => (
            format!("Keeping to {most} part-used rolls costs more rolls than cutting without the limit."),
            "Allow more part-used rolls, cut ahead, or run rolls on.",
        ),
        // Whatever was found of keeping to it, that it is passed is said.
        _ if list.open > most => (
            format!("{} rolls are part-used at once, {most} are wanted at most.", list.open),
            "Cut ahead and mark the pieces, run rolls on, or hold the limit.",
        ),
        _ => return,
    };
    findings.push(Finding::note("open-rolls", about, text, mend));
}

/// More rolls of a kind needed than are on hand.
pub fn rolls_short(plan: &Plan, layout: &Layout, findings: &mut Vec<Finding>) {
    for (k, kind) in plan.products.rolls.iter().enumerate() {
        let needed = count(layout.rolls.iter().filter(|r| r.kind == count(k)).count());
        let Some(on_hand) = kind.on_hand.filter(|&n| n < needed) else { continue };
        let text = format!("{needed} rolls are needed and {on_hand} are on hand.");
        let mend = "Order the rest before mobilising.";
        let about = About::Setting(format!("products.rolls[{k}].on_hand"));
        findings.push(Finding::warning("rolls-short", about, text, mend));
    }
}
