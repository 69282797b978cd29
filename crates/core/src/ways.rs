//! Ways: the directions, roll widths and starts that a zone may be laid in, with what each takes in cut length.
//!
//! In: a zone and the products. Out: for one direction and width a [`Look`]: the exact cut length of every start, and the
//! starts worth laying out in full, best first. Rolls are not counted here: the start with the least cut length need not
//! open the fewest.

use crate::courses::{self, First, Sides, Way};
use crate::geom::frame::Frame;
use crate::plan::{Mm, NarrowCourse, Products, StartSide};
use crate::starts::{self, Spacing, Start};
use crate::zones::ZoneModel;

/// Starts laid out in full for one direction.
const MOST_STARTS: usize = 6;

/// Starts closer than this are as good as one, mm.
const APART: Mm = 40;

/// One direction and roll width of a zone, looked at.
#[derive(Clone, Debug)]
pub struct Look {
    /// The frame, zero at the least u and v of the field.
    pub frame: Frame,
    /// How courses lie over the breadth.
    pub spacing: Spacing,
    /// What every start gives, by how far the first course starts outside the field; empty when it was not asked for.
    pub starts: Vec<Start>,
    /// Starts worth laying out, best first.
    pub firsts: Vec<First>,
}

impl Look {
    /// The way with one of the starts.
    pub fn way(&self, first: First) -> Way {
        Way { frame: self.frame, spacing: self.spacing, first }
    }

    /// The least cut length over all starts, and the start that gives it, mm.
    pub fn least(&self) -> Option<(Mm, Mm)> {
        let of = |(first, start): (Mm, &Start)| (start.cut_length, first);
        (0..).zip(&self.starts).map(of).min()
    }

    /// Cut length against start, `[first, cut length]`: every start between which it does not run straight.
    pub fn profile(&self) -> Vec<[Mm; 2]> {
        let all: Vec<[Mm; 2]> = (0..).zip(&self.starts).map(|(first, s)| [first, s.cut_length]).collect();
        let turns = |w: &[[Mm; 2]]| w[1][1] - w[0][1] != w[2][1] - w[1][1];
        let inner = all.windows(3).filter(|w| turns(w)).map(|w| w[1]);
        all.first()
            .copied()
            .into_iter()
            .chain(inner)
            .chain(all.last().copied().filter(|_| all.len() > 1))
            .collect()
    }
}

/// The widths of roll that a zone can be laid in, widest kinds as they stand in the products, each once.
pub fn widths(products: &Products) -> Vec<Mm> {
    let mut widths: Vec<Mm> = Vec::new();
    for roll in &products.rolls {
        if roll.width > products.side_lap.max(0) && roll.length > 0 && !widths.contains(&roll.width) {
            widths.push(roll.width);
        }
    }
    widths
}

/// The plain look: hard against the side that is asked for, or by the rule for a narrow course. No other start is looked at.
pub fn plain(zone: &ZoneModel, direction: [f64; 2], width: Mm, products: &Products) -> Option<Look> {
    let sides = courses::canonical(&zone.area, &zone.field, direction);
    let (frame, _, breadth) = courses::zeroed(asked_side(zone, &sides), &zone.field)?;
    let spacing = spacing(breadth, width, products);
    (spacing.courses(0) <= courses::MOST_COURSES).then_some(())?;
    let first = match zone.first {
        Some(first) => First::Outside(first.min(spacing.pitch() - 1)),
        None => courses::plain(&spacing, products.narrow_course),
    };
    Some(Look { frame, spacing, starts: Vec::new(), firsts: vec![first] })
}

/// A direction and a width with every start looked at; the start held, when one is.
pub fn look(zone: &ZoneModel, direction: [f64; 2], width: Mm, products: &Products) -> Option<Look> {
    let mut look = plain(zone, direction, width, products)?;
    let (_, net, _) = courses::zeroed(look.frame, &zone.field)?;
    look.starts = starts::all(&net, &look.spacing);
    if zone.start == StartSide::Best && zone.first.is_none() {
        let plain = look.firsts[0];
        let hard = First::Outside(look.spacing.last_hard());
        look.firsts = match products.narrow_course {
            NarrowCourse::MoveFirst => promising(&look),
            NarrowCourse::GrowLaps if plain == First::GrownLaps => vec![plain],
            NarrowCourse::GrowLaps | NarrowCourse::Leave => vec![plain, hard],
        };
        if !look.firsts.contains(&plain) {
            look.firsts.push(plain);
        }
    }
    Some(look)
}

/// Courses over a breadth with a roll of a width.
fn spacing(breadth: Mm, width: Mm, products: &Products) -> Spacing {
    Spacing { breadth, width, lap: products.side_lap.max(0), least: products.least_strip }
}

fn asked_side(zone: &ZoneModel, sides: &Sides) -> Frame {
    match zone.start {
        StartSide::Best if zone.first.is_none() => sides.first,
        StartSide::Best | StartSide::Right => sides.right,
        StartSide::Left => sides.right.flip_across(),
    }
}

/// The sound starts with the least cut length, some way apart; of equal ones that with fewer slivers, fewer laps, hard
/// against a wall. Both starts that are hard against a wall are among them when they are sound.
fn promising(look: &Look) -> Vec<First> {
    let spacing = &look.spacing;
    let hard = [0, spacing.last_hard()];
    let mut order: Vec<(Mm, Start)> =
        (0..).zip(look.starts.iter().copied()).filter(|(first, _)| spacing.is_sound(*first)).collect();
    order.sort_by_key(|(first, s)| (s.cut_length, s.slivers, s.laps, !hard.contains(first), *first));
    let mut taken: Vec<Mm> = Vec::new();
    for (first, _) in &order {
        if taken.len() < MOST_STARTS && taken.iter().all(|t| (t - first).abs() >= APART) {
            taken.push(*first);
        }
    }
    for first in hard {
        if spacing.is_sound(first) && !taken.contains(&first) {
            taken.push(first);
        }
    }
    taken.into_iter().map(First::Outside).collect()
}
