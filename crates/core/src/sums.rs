//! Sums: the totals of a layout, and where the area of its rolls goes.
//!
//! In: a layout with its rolls. Out: its totals. Field, laps, trim, scrap and offcuts add up to the rolls opened, to the
//! square millimetre.

use crate::geom::ring::{self, Side, doubled_area_of};
use crate::geom::{Pt, Region};
use crate::layout::{Choice, Layout, Piece, Roll, Totals, Waste};
use crate::model::Model;
use crate::numbering::{LaidZone, count, half};
use crate::plan::{Mm, Plan, Prices, Slitting};
use crate::quantities;

/// What a cost is made of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Figures {
    /// Price of the rolls, hundredths.
    pub rolls: i64,
    /// Length of side laps, mm.
    pub side_laps: Mm,
    /// Cuts across rolls.
    pub cuts: usize,
    /// End laps.
    pub end_laps: usize,
    /// Length slit along rolls, mm.
    pub slit: Mm,
}

impl Figures {
    /// The cost at the user's prices, hundredths, rounded to the nearest.
    pub fn cost(&self, prices: &Prices) -> i64 {
        let metres = |mm: Mm, price: i64| (i128::from(mm) * i128::from(price) + 500) / 1000;
        let each = |n: usize, price: i64| n as i128 * i128::from(price);
        let cost = i128::from(self.rolls)
            + metres(self.side_laps, prices.lap_metre)
            + metres(self.slit, prices.slit_metre)
            + each(self.cuts, prices.cut)
            + each(self.end_laps, prices.end_lap);
        i64::try_from(cost).unwrap_or(i64::MAX)
    }
}

/// Adds up a layout.
pub fn sum_up(plan: &Plan, model: &Model, laid: &[LaidZone], layout: &mut Layout) {
    let mut totals = std::mem::take(&mut layout.totals);
    totals.deck_area = half(model.decks.iter().map(|d| doubled_area_of(&d.area)).sum());
    totals.measured_area = quantities::measured(model);
    totals.field_area = half(doubled_field(model, layout));
    totals.pieces = count(layout.pieces.len());
    totals.bays = count(layout.bays.len());
    totals.cut_length = layout.pieces.iter().map(|p| p.length).sum();
    totals.side_lap_length = laid.iter().map(|l| l.pieces.side_laps).sum();
    totals.end_laps = count(layout.pieces.iter().filter(|p| p.lap_to > 0).count());
    totals.roll_area = field_rolls(layout, &totals).map(|r| r.width * r.length).sum();
    totals.waste = waste(layout, &totals);
    totals.cuts = count(cuts(layout));
    totals.slit_length = slit_length(layout);
    let figures = Figures {
        rolls: field_rolls(layout, &totals)
            .map(|r| plan.products.price(&plan.products.rolls[r.kind as usize]))
            .sum(),
        side_laps: totals.side_lap_length,
        cuts: cuts(layout),
        end_laps: totals.end_laps as usize,
        slit: totals.slit_length,
    };
    totals.cost = figures.cost(&plan.products.prices);
    limits(plan, layout, &mut totals);
    layout.details = quantities::details(plan, model, joints_on_deck(plan, model));
    quantities::complete(&mut totals, &plan.products, &layout.details);
    if let Some(sheet) = &layout.protection {
        (totals.sheet_area, totals.sheet_rolls) = (sheet.totals.cut_area, i64::from(sheet.totals.rolls));
    }
    layout.totals = totals;
}

/// Cuts across rolls: one behind every length, but for one that ends with its roll.
fn cuts(layout: &Layout) -> usize {
    let piece = |n: &u32| &layout.pieces[*n as usize - 1];
    let of_roll = |roll: &Roll| {
        let mut starts: Vec<Mm> = roll.pieces.iter().map(|n| piece(n).roll_from).collect();
        starts.dedup();
        let whole = roll.pieces.iter().map(piece).any(|p| p.roll_from + p.length == roll.length);
        starts.len() - usize::from(whole)
    };
    layout.rolls.iter().map(of_roll).sum()
}

/// Length slit along rolls: beside every slit piece, but for the one that ends with the width of its roll.
fn slit_length(layout: &Layout) -> Mm {
    let slit = |p: &&Piece| {
        let width = p.across[1] - p.across[0];
        p.roll > 0 && p.roll_across + width < layout.rolls[p.roll as usize - 1].width
    };
    layout.pieces.iter().filter(slit).map(|p| p.length).sum()
}

/// What no layout, and no straight courses of this roof, can go below.
fn limits(plan: &Plan, layout: &Layout, totals: &mut Totals) {
    let usable = || plan.products.rolls.iter().filter(|r| r.width > plan.products.side_lap);
    let largest = usable().map(|r| r.width * r.length).max().unwrap_or(0);
    if largest <= 0 || layout.rolls.is_empty() {
        return;
    }
    let rolls = |area: i64| u32::try_from((area + largest - 1) / largest).unwrap_or(u32::MAX);
    totals.rolls_by_area = rolls(totals.field_area);
    // With slit pieces a length of roll can serve more than its own run.
    let by_length = |choice: &Choice| choice.ways.iter().map(|w| w.cut_length * w.width).min().unwrap_or(0);
    let area: i64 = layout.choices.iter().map(by_length).sum();
    let whole = plan.products.slitting == Slitting::None;
    totals.rolls_by_length = if whole { rolls(area).max(totals.rolls_by_area) } else { totals.rolls_by_area };
}

/// Twice the area of the fields, what neighbouring zones share across a drawn line counted once.
fn doubled_field(model: &Model, layout: &Layout) -> i128 {
    let fields: Vec<Region> = layout.zones.iter().flat_map(|z| z.field.iter().cloned()).collect();
    let shared = model.lines.iter().any(|line| line.lapped);
    if shared { doubled_area_of(&model.canvas.union(&fields)) } else { doubled_area_of(&fields) }
}

/// The rolls opened for the field; those opened for strips alone stand after them.
fn field_rolls<'a>(layout: &'a Layout, totals: &Totals) -> impl Iterator<Item = &'a Roll> {
    layout.rolls.iter().take(totals.rolls as usize)
}

fn waste(layout: &Layout, totals: &Totals) -> Waste {
    let as_laid: i64 = layout.pieces.iter().map(|p| p.area).sum();
    let as_cut: i64 = layout.pieces.iter().map(|p| p.length * (p.across[1] - p.across[0])).sum();
    let offcuts: i64 = field_rolls(layout, totals).filter(|r| r.kept).map(|r| r.rest * r.width).sum();
    Waste {
        laps: as_laid - totals.field_area,
        trim: as_cut - as_laid,
        scrap: totals.roll_area - as_cut - offcuts - totals.strips_from_offcuts,
        offcuts,
    }
}

/// Length of movement joints on the deck, to the mm.
#[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
fn joints_on_deck(plan: &Plan, model: &Model) -> Mm {
    let length: f64 = model
        .decks
        .iter()
        .flat_map(|deck| plan.joints.iter().map(move |joint| (deck, joint)))
        .flat_map(|(deck, joint)| joint.points.windows(2).map(move |w| inside_length(w[0], w[1], &deck.area)))
        .sum();
    length.round() as Mm
}

/// Length of a segment inside regions, mm.
#[allow(clippy::cast_precision_loss)]
fn inside_length(a: Pt, b: Pt, area: &[Region]) -> f64 {
    let mut cuts: Vec<f64> = vec![0.0, 1.0];
    for (c, d) in area.iter().flatten().flat_map(|r| ring::edges(r)) {
        let (from, to) = (c.turn(d, a), c.turn(d, b));
        if (from < 0) != (to < 0) {
            cuts.push(from as f64 / (from - to) as f64);
        }
    }
    cuts.retain(|t| (0.0..=1.0).contains(t));
    cuts.sort_by(f64::total_cmp);
    let at = |t: f64| {
        let along = |p: i64, q: i64| {
            #[allow(clippy::cast_possible_truncation)]
            let moved = ((q - p) as f64 * t).round() as i64;
            p + moved
        };
        Pt::new(along(a.x, b.x), along(a.y, b.y))
    };
    let inside =
        |s: f64, e: f64| area.iter().any(|r| ring::locate_in(at(f64::midpoint(s, e)), r) == Side::Inside);
    cuts.windows(2).filter(|w| w[1] > w[0] && inside(w[0], w[1])).map(|w| (w[1] - w[0]) * a.distance(b)).sum()
}
