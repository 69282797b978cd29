//! What stands on the plan of the drainage sheet besides the drawing: findings about falls, the key, the rule set.
//!
//! In: the drawing, plan, layout. Out: texts in the order of what a designer asks first, and the column on the right. The
//! key shows every line, mark and hatch of the plan: nothing on it depends on a colour.

use crate::caution;
use crate::drainage_tables::{about_falls, input_sentences, rule_sentence};
use crate::draw::{SceneOptions, beside};
use crate::key::{key_class, key_line, key_sign};
use crate::page::{At, Page};
use crate::scene::{Role, Scene, Sign, Symbol};
use crate::side::Side;
use crate::sign::finding_sign;
use crate::title::north;
use baylap_core::layout::Layout;
use baylap_core::layout::falls::FallClass;
use baylap_core::plan::Plan;

/// Lines and marks of the key.
const LINES: [(Role, &str); 10] = [
    (Role::PondHatch, "Pond"),
    (Role::Contour, "Equal level"),
    (Role::Catchment, "Border of a catchment"),
    (Role::LowLine, "Low line"),
    (Role::Ridge, "Ridge"),
    (Role::BayEdge, "Bay edge, good place"),
    (Role::FacesWater, "Faces the water"),
    (Role::AlongLow, "Along a low line"),
    (Role::InPond, "In a pond"),
    (Role::AtOutlet, "In a clear zone"),
];

/// Classes that the plan hatches.
const CLASSES: [(FallClass, &str); 3] = [
    (FallClass::BackFall, "Back-fall"),
    (FallClass::Flat, "Flat"),
    (FallClass::BelowLeast, "Below the least fall"),
];

/// Height of a line of the key at A4, mm: as low as its hatches allow, so that what was assumed has room below.
const ROW: f64 = 4.8;

/// Adds the findings about falls, leaves out what a designer does not ask here, and orders the texts.
pub(crate) fn order(scene: &mut Scene, layout: &Layout, options: SceneOptions) {
    for finding in layout.findings.iter().filter(|f| about_falls(f)) {
        if let Some(at) = finding.at {
            let sign = finding_sign(finding.severity);
            let about = Some(finding.about.clone());
            let at = beside(scene, at, options);
            scene.symbols.push(Symbol { role: Role::Finding, about, sign, at, turn_mdeg: 0 });
        }
    }
    scene.texts.retain(|t| t.role != Role::UpstandHeight);
    scene.texts.sort_by_key(|t| match t.role {
        Role::BayNumber => 0,
        Role::FallArrow => 1,
        Role::Pond => 2,
        Role::OutletFlow => 3,
        Role::Level => 4,
        Role::LowLine | Role::Ridge => 6,
        Role::Contour => 7,
        _ => 5,
    });
    scene.settle();
}

/// The column beside the overview.
pub(crate) fn column(page: &mut Page, plan: &Plan, layout: &Layout, details: usize) {
    let paper = page.paper;
    let mut side = Side::new(page, paper);
    north(side.page, side.north_at(), plan.job.north_mdeg);
    side.y -= 21.0 * paper.step();
    side.head("Key");
    for (role, words) in LINES {
        let at = row(&mut side);
        key_line(side.page, role, at, words);
    }
    for (class, words) in CLASSES {
        let at = row(&mut side);
        key_class(side.page, class, at, words);
    }
    let at = row(&mut side);
    key_sign(side.page, Sign::Fall, at, "Fall of a part, 1 in");
    side.y -= 1.5 * paper.step();
    side.words("Thin line with marks: a lap. Levels, depths in mm.");
    if details > 0 {
        side.words("Detail sheets follow.");
    }
    side.rule();
    // The caution first: what has no room below is left out here and stands in the tables.
    for sentence in caution::DRAINAGE_SHORT {
        side.words(sentence);
    }
    if let Some(falls) = &layout.falls {
        side.words(&rule_sentence(&falls.rule));
        for sentence in input_sentences(plan, falls) {
            if !side.words(&sentence) {
                break;
            }
        }
    }
}

/// Place of the next line of the key.
fn row(side: &mut Side<'_>) -> At {
    let frame = side.cut(ROW * side.page.paper.step());
    [frame.lo[0], frame.hi[1]]
}
