//! Products: whether anything can be laid with what the plan says of rolls and laps.
//!
//! In: the plan's products and gang. Out: the rules for pieces, or nothing when no course could be laid; and a finding for
//! every setting that cannot be right. It knows nothing of the drawing. No published figure is behind any limit here:
//! each finding follows from the settings alone.

use crate::finding::{About, Finding};
use crate::plan::{Mm, Plan, Products};

/// Checks products and gang; `None` when nothing can be laid with them.
pub fn check(plan: &Plan, findings: &mut Vec<Finding>) -> Option<Rules> {
    let products = &plan.products;
    let Some(roll) = products.rolls.first() else {
        let mend = "Add the roll that is to be laid.";
        findings.push(fault(
            "no-roll",
            "products.rolls",
            "No reinforcement roll is given, so nothing can be laid.",
            mend,
        ));
        return None;
    };
    warn_of_laps(plan, findings);
    let rules = Rules::of(products);
    if roll.width <= products.side_lap.max(0) || roll.length <= 0 {
        let text = format!(
            "A roll {} mm wide cannot be laid with a side lap of {} mm.",
            roll.width, products.side_lap
        );
        findings.push(fault(
            "roll-too-narrow",
            "products.rolls[0].width",
            text,
            "Take a wider roll or a smaller lap.",
        ));
        return None;
    }
    if rules.is_none() {
        let text = format!(
            "Pieces of at most {} mm are too short for end laps of {} mm.",
            products.longest_piece.min(roll.length),
            products.end_lap
        );
        findings.push(fault(
            "piece-too-short",
            "products.longest_piece",
            text,
            "Allow longer pieces or smaller end laps.",
        ));
    }
    rules
}

/// Rules for pieces, mm.
#[derive(Clone, Copy, Debug)]
pub struct Rules {
    /// Least end lap.
    pub end_lap: Mm,
    /// Least distance between end laps of neighbouring courses.
    pub stagger: Mm,
    /// Least piece.
    pub least: Mm,
    /// Longest piece: what the gang can lay, and no more than a roll.
    pub longest: Mm,
}

impl Rules {
    /// The rules of the products; `None` when no run could be split by them.
    pub fn of(products: &Products) -> Option<Self> {
        let roll = products.rolls.first()?;
        let longest = products.longest_piece.min(roll.length);
        let end_lap = products.end_lap.max(0);
        let least = products.least_piece.clamp(0, (longest - end_lap).max(0) / 2);
        (longest > 2 * end_lap && longest > 0).then_some(Self {
            end_lap,
            stagger: products.stagger.max(0),
            least,
            longest,
        })
    }
}

fn warn_of_laps(plan: &Plan, findings: &mut Vec<Finding>) {
    let products = &plan.products;
    let roll = &products.rolls[0];
    if roll.width < 2 * products.side_lap {
        let text = format!(
            "The roll is {} mm wide, less than twice the side lap of {} mm, so three layers meet in every lap.",
            roll.width, products.side_lap
        );
        findings.push(fault(
            "roll-narrower-than-two-laps",
            "products.rolls[0].width",
            text,
            "Take a wider roll.",
        ));
    }
    if products.foot - products.clear < products.side_lap {
        let text = format!(
            "The upstand reinforcement reaches {} mm on to the deck and the field stops {} mm clear, which leaves a lap of {} mm where {} mm is asked for.",
            products.foot,
            products.clear,
            products.foot - products.clear,
            products.side_lap
        );
        findings.push(fault(
            "foot-too-small",
            "products.foot",
            text,
            "Make the foot wider or the clear strip narrower.",
        ));
    }
    if products.stagger < products.end_lap {
        let text = format!(
            "The stagger of {} mm is less than the end lap of {} mm, so four layers may meet at a point.",
            products.stagger, products.end_lap
        );
        let mend = "Make the stagger at least the end lap.";
        findings.push(Finding::warning(
            "stagger-too-small",
            About::Setting("products.stagger".into()),
            text,
            mend,
        ));
    }
    if products.longest_piece > roll.length {
        let text = format!(
            "The longest piece, {} mm, is longer than a roll; a roll length is used.",
            products.longest_piece
        );
        let mend = "Set the longest piece to what the gang can lay from one roll.";
        findings.push(Finding::note(
            "longest-piece-over-roll",
            About::Setting("products.longest_piece".into()),
            text,
            mend,
        ));
    }
}

fn fault(code: &str, setting: &str, text: impl Into<String>, mend: &str) -> Finding {
    Finding::error(code, About::Setting(setting.into()), text, mend)
}
