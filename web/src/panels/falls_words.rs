//! Words of the falls: classes, ponds, outlets, verdicts, in plain sentences.
//!
//! In: the layout's figures, thousandths of a mm, mm2, mm3. Out: text for the screen and the ear. It weighs nothing.

use crate::text;
use baylap_core::layout::falls::{FallClass, Falls, LevelInput, OutletWork, Pond, Sink, Verdict};
use baylap_core::plan::Plan;
use baylap_editor::better::{self, Movable};
use baylap_editor::measure;
use baylap_editor::thing;

/// Falls: no surface.
pub(crate) const NO_FALLS: &str = "No surface yet: it takes three levels on a deck, or a plane of fall. What is missing is said among the findings.";
/// Falls: heading of a column.
pub(crate) const FALL: &str = "Fall";
/// Falls: heading.
pub(crate) const OUTLETS: &str = "Outlets";
/// Falls: no outlets.
pub(crate) const NO_OUTLETS: &str = "No outlet is drawn.";
/// Falls: an overflow.
pub(crate) const OVERFLOW: &str = "overflow";
/// Falls: over the classes, with the name of the rule.
pub(crate) const JUDGED_BY: &str = "Judged by ";
/// Falls: an overflow to which no water comes while the others work.
pub(crate) const OVERFLOW_WORKS: &str = " It works only when water rises to it.";
/// Falls: an outlet beside the surface.
pub(crate) const NO_LEVEL_THERE: &str = "The deck has no level there.";
/// Falls: heading.
pub(crate) const VERDICTS: &str = "Bay edges and laps against the falls";
/// Falls: over that table.
pub(crate) const VERDICTS_LEAD: &str =
    "Lengths, m, by what they do to the water. A triangle marks bad places.";
/// Falls: heading of a column.
pub(crate) const VERDICT: &str = "How they lie";
/// Falls: heading of a column.
pub(crate) const BAY_EDGES: &str = "Bay edges";
/// Falls: heading of a column.
pub(crate) const SIDE_LAPS: &str = "Side laps";
/// Falls: not judged.
pub(crate) const NO_VERDICTS: &str = "No edge lies on a deck with levels.";
/// Falls: bay edges.
pub(crate) const BAD_EDGES_LEAD: &str =
    "Each can be held in the nearest good place; the bays are then shared out anew around it.";
/// Falls: bay edges.
pub(crate) const MOVE_ALL: &str = "Move all of them";
/// Falls: a bay edge.
pub(crate) const MOVE_THERE: &str = "Move it there";
/// Falls: a bay edge was moved.
pub(crate) const EDGE_MOVED: &str = "Bay edge held there. Undo takes it back.";

/// The classes, worst first, as [`Falls::class_areas`] has them.
pub(super) const CLASSES: [FallClass; 5] =
    [FallClass::BackFall, FallClass::Flat, FallClass::BelowLeast, FallClass::BelowDesign, FallClass::Good];

/// Name of a class for tests.
pub(super) const fn class_slug(class: FallClass) -> &'static str {
    match class {
        FallClass::BackFall => "back_fall",
        FallClass::Flat => "flat",
        FallClass::BelowLeast => "below_least",
        FallClass::BelowDesign => "below_design",
        FallClass::Good => "good",
    }
}

/// What a class is, with the falls it lies between.
pub(super) fn class(class: FallClass, falls: &Falls) -> String {
    let rule = &falls.rule;
    let (least, design, flat) = (one_in(rule.least_ppm), one_in(rule.design_ppm), one_in(rule.flat_ppm));
    match class {
        FallClass::BackFall => "Back-fall".to_owned(),
        FallClass::Flat => format!("Level: less than {flat}"),
        FallClass::BelowLeast => format!("Below the least, {least}"),
        FallClass::BelowDesign => format!("From the least to the design fall, {design}"),
        FallClass::Good => "The design fall or more".to_owned(),
    }
}

/// A fall of so many millionths as 1 in so many.
pub(super) fn one_in(ppm: i64) -> String {
    match ppm {
        ..=0 => "level".to_owned(),
        ppm => format!("1:{}", (1_000_000 + ppm / 2) / ppm),
    }
}

/// Thousandths of a mm as whole mm.
fn mm(um: i64) -> i64 {
    (um + 500 * um.signum()) / 1000
}

/// A depth in mm with one place.
pub(super) fn depth(um: i64) -> String {
    format!("{} mm", measure::decimal((um + 50 * um.signum()) / 100, 1))
}

/// Litres of so many mm3.
fn litres(mm3: i64) -> String {
    format!("{} l", measure::decimal((mm3 + 50_000) / 100_000, 1))
}

/// Kilograms of so many hundredths.
fn kilograms(hundredths: i64) -> String {
    format!("{} kg", (hundredths + 50) / 100)
}

/// Litres per second of so many thousandths, with two places.
pub(super) fn flow(thousandths: i64) -> String {
    let hundredths = (thousandths + 5) / 10;
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}

/// What a pond is.
pub(super) fn pond(pond: &Pond) -> String {
    format!(
        "{}, {} deep, {}, {}",
        text::area(pond.size),
        depth(pond.depth_um),
        litres(pond.volume),
        kilograms(pond.mass)
    )
}

/// What would drain a pond.
pub(super) fn drained(pond: &Pond, plan: &Plan) -> String {
    let lowered = pond.spill.map(|_| {
        let to = sink(pond.drains_to, plan);
        format!(", or the deck lowered by {} where it spills {to}", depth(pond.depth_um))
    });
    let nowhere = if pond.spill.is_none() { " It has no way out as it is." } else { "" };
    format!("An outlet at its deepest place would drain it{}.{nowhere}", lowered.unwrap_or_default())
}

/// Where water goes, as the end of a sentence.
pub(super) fn sink(sink: Sink, plan: &Plan) -> String {
    match sink {
        Sink::Outlet(id) => format!("to {}", name(plan, id)),
        Sink::Edge(id) => format!("over the edge of {}", name(plan, id)),
        Sink::Nowhere => "nowhere".to_owned(),
    }
}

/// What a thing of the plan is called.
pub(super) fn name(plan: &Plan, id: u32) -> String {
    thing::find(plan, id).map_or_else(|| format!("thing {id}"), |t| t.title())
}

/// What happens when an outlet is blocked.
pub(super) fn blocked(outlet: &OutletWork, plan: &Plan) -> Option<String> {
    let b = outlet.blocked.as_ref()?;
    if b.depth_um == 0 && b.goes_to != Sink::Nowhere {
        return Some(format!("Blocked: no water stands over it, it runs on {}.", sink(b.goes_to, plan)));
    }
    let then = match b.goes_to {
        Sink::Nowhere => "it has no other way out".to_owned(),
        other => format!("then {}", sink(other, plan)),
    };
    Some(format!(
        "Blocked: {} over it, {}, {}; {then}.",
        depth(b.depth_um),
        text::area(b.size),
        litres(b.volume)
    ))
}

/// What an outlet has to take and takes.
pub(super) fn takes(outlet: &OutletWork) -> String {
    match (outlet.flow, outlet.capacity) {
        (Some(flow_), Some(capacity)) if flow_ > capacity => {
            format!("{} l/s arrive, it takes {}: too little", flow(flow_), flow(capacity))
        }
        (Some(flow_), Some(capacity)) => {
            format!("{} l/s arrive, it takes {}", flow(flow_), flow(capacity))
        }
        (Some(flow_), None) => format!("{} l/s; its mouth is not known", flow(flow_)),
        (None, Some(capacity)) => format!("takes {} l/s; the rain is not set", flow(capacity)),
        (None, None) => "rain and mouth are not set".to_owned(),
    }
}

/// What the surface was made of, and what was assumed.
pub(super) fn input(input: &LevelInput) -> String {
    let count = |n: u32, one: &str, many: &str| match n {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {many}")),
    };
    let made = [
        count(input.spots, "spot level", "spot levels"),
        count(input.line_points, "point of ridges and low lines", "points of ridges and low lines"),
        count(input.planes, "plane of fall", "planes of fall"),
    ];
    let made = made.into_iter().flatten().collect::<Vec<String>>().join(", ");
    let mut words = format!("Made of {made}.");
    if input.between > 0 {
        words.push_str(&format!(
            " Levels of {} corners are worked out from those around them.",
            input.between
        ));
    }
    if input.beyond > 0 {
        words.push_str(&format!(
            " Levels of {} corners are assumed: they lie beyond the levels given.",
            input.beyond
        ));
    }
    words
}

/// Name of a verdict for tests.
pub(super) const fn verdict_slug(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::WithFall => "with_fall",
        Verdict::Sheds => "sheds",
        Verdict::Level => "level",
        Verdict::Raised => "raised",
        Verdict::FacesWater => "faces_water",
        Verdict::LowLine => "low_line",
        Verdict::InPond => "in_pond",
        Verdict::AtOutlet => "at_outlet",
    }
}

/// What a verdict says.
pub(super) const fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::WithFall => "With the fall",
        Verdict::Sheds => "Across, sheds",
        Verdict::Level => "On level deck",
        Verdict::Raised => "Along a ridge",
        Verdict::FacesWater => "Across, faces the water",
        Verdict::LowLine => "Along a low line",
        Verdict::InPond => "In a pond",
        Verdict::AtOutlet => "At an outlet",
    }
}

/// A bay edge in a bad place, and the way to a better one.
pub(super) fn movable(edge: &Movable) -> String {
    let [a, b] = edge.between;
    format!(
        "Between bays {a} and {b}, {} m: {}. Better {} m {}.",
        text::metres_bare(better::length(&edge.part)),
        verdict(edge.verdict).to_lowercase(),
        text::metres_bare(edge.better.distance),
        towards(edge.better.direction_mdeg)
    )
}

/// A direction on the drawing, to an eighth of a turn.
fn towards(mdeg: i32) -> &'static str {
    const WAYS: [&str; 8] = [
        "to the right",
        "to the upper right",
        "up",
        "to the upper left",
        "to the left",
        "to the lower left",
        "down",
        "to the lower right",
    ];
    let eighth = (i64::from(mdeg) + 22_500).rem_euclid(360_000) / 45_000;
    usize::try_from(eighth).ok().and_then(|n| WAYS.get(n)).copied().unwrap_or("aside")
}

/// What the layout says of a pond that is selected.
pub(super) fn pond_facts(pond: &Pond) -> Vec<(&'static str, String)> {
    vec![
        ("Area", text::area(pond.size)),
        ("Greatest depth", depth(pond.depth_um)),
        ("Volume", litres(pond.volume)),
        ("Mass", kilograms(pond.mass)),
        ("Level of the water", measure::metres(mm(pond.level_um))),
    ]
}

/// How many ponds there are.
pub(crate) fn ponds(n: usize) -> String {
    match n {
        0 => "No pond".to_owned(),
        1 => "1 pond".to_owned(),
        n => format!("{n} ponds"),
    }
}

/// Deck that drains over its edges.
pub(crate) fn over_edges(mm2: i64) -> String {
    format!("{} drain over free edges.", text::area(mm2))
}

/// Deck whose water has no way out.
pub(crate) fn trapped(mm2: i64) -> String {
    format!("The water of {} has no way out.", text::area(mm2))
}

/// Catchment of an outlet.
pub(crate) fn catchment(mm2: i64) -> String {
    format!("{} of deck", text::area(mm2))
}

/// Walls that drain to an outlet.
pub(crate) fn with_walls(mm2: i64) -> String {
    format!(" and {} for walls", text::area(mm2))
}

/// How many bay edges have a better place.
pub(crate) fn bad_edges(n: usize) -> String {
    if n == 1 { "1 bay edge lies badly".to_owned() } else { format!("{n} bay edges lie badly") }
}
