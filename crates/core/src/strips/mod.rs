//! Strips: the upstands' reinforcement cut from the field's rolls.
//!
//! In: the checked decks and a layout whose field is cut. Out: strips, their places on the rolls, the rolls opened for
//! them beyond those of the field, and a finding for each upstand that no roll holds. Everything the field leaves over is
//! offered first: rests of rolls of any length, and what lies beside slit pieces. What the field has cut stays as it is.
//! Strips run along the roll, their girth across it. A run of upstand takes its length and one end lap, with which its
//! strip is dressed round the corner (common practice, no source); every further strip takes one more end lap.

pub mod fill;
pub mod runs;

use crate::finding::{About, Finding};
use crate::layout::{Layout, Piece, Roll, Strip};
use crate::model::Model;
use crate::plan::{Mm, Plan, Products};
use fill::{Answer, Kind, Need, Offer, Problem, Terms};
use runs::Run;
use std::collections::{BTreeMap, BTreeSet};

/// Cuts the strips, when the plan asks for it.
pub fn cut(plan: &Plan, model: &Model, layout: &mut Layout, findings: &mut Vec<Finding>) {
    let products = &plan.products;
    let Some(terms) = terms(products).filter(|_| products.upstand_strips) else { return };
    let runs = runs::runs(model, products);
    if let Some(finding) = too_many(&runs, &terms) {
        findings.push(finding);
        return;
    }
    let offers = offers(layout, terms.kerf);
    let need = |run: &Run| Need { length: run.length + terms.lap, girth: run.girth };
    let kind =
        |k: &crate::plan::RollKind| Kind { length: k.length, width: k.width, price: products.price(k) };
    let problem = Problem {
        needs: runs.iter().map(need).collect(),
        offers: offers.iter().map(|o| o.offer).collect(),
        kinds: products.rolls.iter().map(kind).collect(),
        terms,
    };
    let answer = fill::solve(&problem);
    write(&runs, &offers, &problem, &answer, layout);
    findings.extend(too_wide(&runs, &answer, products));
}

/// The rules for strips; `None` when none can be cut by them.
fn terms(products: &Products) -> Option<Terms> {
    let longest = products.rolls.iter().map(|k| k.length).max()?.min(products.longest_piece);
    let lap = products.end_lap.max(0);
    let least = products.least_piece.clamp(lap + 1, ((longest - lap) / 2).max(lap + 1));
    (longest > 2 * lap + 1).then_some(Terms {
        lap,
        least,
        longest,
        kerf: products.kerf.max(0),
        least_offcut: products.least_offcut.max(1),
    })
}

/// More strips than any roof needs.
const MOST_STRIPS: Mm = 50_000;

fn too_many(runs: &[Run], terms: &Terms) -> Option<Finding> {
    let strips: Mm = runs.iter().map(|r| r.length / (terms.longest - terms.lap) + 1).sum();
    (strips > MOST_STRIPS).then(|| {
        let text = format!("The upstands would take some {strips} strips.");
        let mend = "Check the units of the drawing and the longest piece.";
        Finding::error("too-many-strips", About::Job, text, mend)
    })
}

/// One finding for each kind and height of upstand that no roll holds.
fn too_wide(runs: &[Run], answer: &Answer, products: &Products) -> Vec<Finding> {
    let mut told: BTreeSet<(u8, Mm)> = BTreeSet::new();
    let widest = products.rolls.iter().map(|k| k.width).max().unwrap_or(0);
    let left = runs.iter().zip(&answer.left).filter(|(_, left)| **left > 0).map(|(run, _)| run);
    left.filter(|run| told.insert((run.kind as u8, run.height)))
        .map(|run| {
            let (text, mend) = if run.girth > widest {
                (
                    format!(
                        "An upstand {} mm high needs strips {} mm wide with its foot, and the widest roll is {widest} mm.",
                        run.height, run.girth
                    ),
                    "Take a wider roll, or make up its reinforcement from more than one width by hand.",
                )
            } else {
                (
                    format!(
                        "No roll {} mm wide is long enough for the strips of an upstand {} mm high.",
                        run.girth, run.height
                    ),
                    "Take a longer roll, or allow shorter pieces.",
                )
            };
            let finding = Finding::warning("upstand-without-strip", About::Job, text, mend);
            finding.at(run.at(run.length / 2))
        })
        .collect()
}

/// What a roll of the field has left.
struct Left {
    /// Index of the roll.
    roll: usize,
    from: Mm,
    across: Mm,
    offer: Offer,
}

/// What the field left over: rests of its rolls, and what lies beside and behind slit pieces.
fn offers(layout: &Layout, kerf: Mm) -> Vec<Left> {
    let mut out = Vec::new();
    let mut slit: BTreeMap<(u32, Mm), Vec<&Piece>> = BTreeMap::new();
    for piece in layout.pieces.iter().filter(|p| p.roll > 0) {
        slit.entry((piece.roll, piece.roll_from)).or_default().push(piece);
    }
    for (index, roll) in layout.rolls.iter().enumerate() {
        let cuts = slit.range((roll.number, Mm::MIN)..=(roll.number, Mm::MAX));
        for (&(_, from), pieces) in cuts {
            out.extend(beside(roll, from, pieces, kerf).into_iter().map(|(at, across, offer)| Left {
                roll: index,
                from: at,
                across,
                offer,
            }));
        }
        if roll.rest > 0 {
            let offer = Offer { length: roll.rest, width: roll.width, rest: true };
            out.push(Left { roll: index, from: roll.length - roll.rest, across: 0, offer });
        }
    }
    out
}

/// What a cut with slit pieces leaves: where along and across the roll, and what.
fn beside(roll: &Roll, from: Mm, pieces: &[&Piece], kerf: Mm) -> Vec<(Mm, Mm, Offer)> {
    let mut pieces: Vec<&Piece> = pieces.to_vec();
    pieces.sort_by_key(|p| p.roll_across);
    let length = pieces.iter().map(|p| p.length).max().unwrap_or(0);
    let mut out = Vec::new();
    let mut free = 0;
    for piece in &pieces {
        let width = piece.across[1] - piece.across[0];
        // Between two pieces both slits cost a kerf.
        out.push((from, free, stretch(length, piece.roll_across - kerf - free)));
        let behind = piece.length + kerf;
        out.push((from + behind, piece.roll_across, stretch(length - behind, width)));
        free = piece.roll_across + width + kerf;
    }
    out.push((from, free, stretch(length, roll.width - free)));
    out.retain(|(_, _, offer)| offer.length > 0 && offer.width > 0);
    out
}

fn stretch(length: Mm, width: Mm) -> Offer {
    Offer { length, width, rest: false }
}

/// Writes the strips and the rolls opened for them, and what the rolls have left now.
fn write(runs: &[Run], offers: &[Left], problem: &Problem, answer: &Answer, layout: &mut Layout) {
    let fields = layout.rolls.len();
    for (&kind, number) in answer.opened.iter().zip(count(fields) + 1..) {
        let Kind { length, width, .. } = problem.kinds[kind];
        layout.rolls.push(Roll { number, kind: count(kind), width, length, rest: length, ..Roll::default() });
    }
    let place = |offer: usize| match offers.get(offer) {
        Some(left) => (left.roll, left.from, left.across),
        None => (fields + offer - offers.len(), 0, 0),
    };
    let mut covered = vec![0; runs.len()];
    for (taken, number) in answer.taken.iter().zip(1..) {
        let (roll, from, across) = place(taken.offer);
        let run = &runs[taken.need];
        let middle = (covered[taken.need] + taken.length / 2).min(run.length);
        covered[taken.need] += taken.length - problem.terms.lap;
        layout.rolls[roll].strips.push(number);
        layout.strips.push(Strip {
            number,
            at: run.at(middle),
            length: taken.length,
            width: run.girth,
            roll: layout.rolls[roll].number,
            roll_from: from + taken.from,
            roll_across: across + taken.across,
            from_offcut: roll < fields,
        });
    }
    for (i, used) in answer.used.iter().enumerate().filter(|(_, used)| **used > 0) {
        if offers.get(i).is_none_or(|left| left.offer.rest) {
            layout.rolls[place(i).0].rest -= used;
        }
    }
    for roll in 0..layout.rolls.len() {
        settle(roll, problem.terms.least_offcut, layout);
    }
    let from_offcuts = layout.strips.iter().filter(|s| s.from_offcut);
    layout.totals.strips_from_offcuts = from_offcuts.map(|s| s.length * s.width).sum();
    layout.totals.strip_rolls = count(answer.opened.len());
}

/// Puts the strips of a roll in order, and reckons anew what cuts cost it and whether its rest is kept.
fn settle(index: usize, least_offcut: Mm, layout: &mut Layout) {
    if layout.rolls[index].strips.is_empty() {
        return;
    }
    let (strips, pieces) = (&layout.strips, &layout.pieces);
    let strip = |n: u32| &strips[n as usize - 1];
    let roll = &mut layout.rolls[index];
    roll.strips.sort_by_key(|&n| (strip(n).roll_from, strip(n).roll_across));
    let of_strips = roll.strips.iter().map(|&n| (strip(n).roll_from, strip(n).length));
    let of_pieces = roll.pieces.iter().map(|&n| &pieces[n as usize - 1]).map(|p| (p.roll_from, p.length));
    let cut = length_of(of_strips.chain(of_pieces).collect());
    roll.kerf = roll.length - roll.rest - cut;
    roll.kept = roll.rest >= least_offcut;
}

/// Length along a roll that stretches `(from, length)` cover together.
fn length_of(mut stretches: Vec<(Mm, Mm)>) -> Mm {
    stretches.sort_unstable();
    let (mut end, mut sum) = (0, 0);
    for (from, length) in stretches {
        let to = from + length;
        sum += (to - end.max(from)).max(0);
        end = end.max(to);
    }
    sum
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
