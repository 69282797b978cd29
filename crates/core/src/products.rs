//! Products: whether anything can be laid with what the plan says of rolls and laps.
//!
//! In: the plan's products and gang. Out: the rules for pieces by width of roll, none when no course could be laid; and a
//! finding for every setting that cannot be right. It knows nothing of the drawing. No published figure is behind any limit here:
//! each finding follows from the settings alone.

use crate::finding::{About, Finding};
use crate::plan::{Mm, Plan, Products};

/// Checks products and gang: the rules for every width of roll that something can be laid with; none when nothing can.
pub fn check(plan: &Plan, findings: &mut Vec<Finding>) -> Vec<Rules> {
    let products = &plan.products;
    if products.rolls.is_empty() {
        let mend = "Add the roll that is to be laid.";
        findings.push(fault(
            "no-roll",
            "products.rolls",
            "No reinforcement roll is given, so nothing can be laid.",
            mend,
        ));
        return Vec::new();
    }
    warn_of_laps(plan, findings);
    let mut usable: Vec<Rules> = Vec::new();
    for (n, roll) in products.rolls.iter().enumerate() {
        if roll.width <= products.side_lap.max(0) || roll.length <= 0 {
            let text = format!(
                "A roll {} mm wide cannot be laid with a side lap of {} mm.",
                roll.width, products.side_lap
            );
            let setting = format!("products.rolls[{n}].width");
            findings.push(fault("roll-too-narrow", &setting, text, "Take a wider roll or a smaller lap."));
            continue;
        }
        if usable.iter().any(|r| r.width == roll.width) {
            continue;
        }
        match Rules::of(products, roll.width) {
            Some(rules) => usable.push(rules),
            None => findings.push(too_short(products, roll.width)),
        }
    }
    usable
}

fn too_short(products: &Products, width: Mm) -> Finding {
    let text = format!(
        "Pieces of at most {} mm are too short for end laps of {} mm.",
        products.longest_piece.min(longest_roll(products, width)),
        products.end_lap
    );
    let mend = "Allow longer pieces or smaller end laps.";
    fault("piece-too-short", "products.longest_piece", text, mend)
}

/// Length of the longest roll of a width, mm; 0 when there is none.
fn longest_roll(products: &Products, width: Mm) -> Mm {
    products.rolls.iter().filter(|r| r.width == width).map(|r| r.length).max().unwrap_or(0)
}

/// Rules for pieces from rolls of one width, mm.
#[derive(Clone, Copy, Debug)]
pub struct Rules {
    /// Width of the rolls.
    pub width: Mm,
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
    /// The rules of the products for a width; `None` when no run could be split by them.
    pub fn of(products: &Products, width: Mm) -> Option<Self> {
        let longest = products.longest_piece.min(longest_roll(products, width));
        let end_lap = products.end_lap.max(0);
        let least = products.least_piece.clamp(0, (longest - end_lap).max(0) / 2);
        (longest > 2 * end_lap && longest > 0).then_some(Self {
            width,
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
