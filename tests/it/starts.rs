//! The exact cut length of every start, against the courses themselves laid at that start.
//!
//! In: random plans. Out: a failure where the sum for a start is not, to the mm, what laying the courses there gives; or
//! where any start of any direction beats the one that the engine calls the least. Both sides are the engine's own; the
//! judge's brute force in `tests/judge` shares no code with it.

use crate::laws::plans;
use baylap_core::courses::{First, lay_out};
use baylap_core::plan::Plan;
use baylap_core::ways::{Look, look};
use baylap_core::zones::ZoneModel;
use baylap_core::{model, zones};
use proptest::prelude::*;

fn zones_of(plan: &Plan) -> Vec<ZoneModel> {
    let mut findings = Vec::new();
    let model = model::check(plan, &mut findings);
    zones::part(plan, &model, &mut findings)
}

/// Cut length of the courses laid at a start.
fn laid(zone: &ZoneModel, look: &Look, first: i64) -> i64 {
    let courses = lay_out(&zone.field, &look.way(First::Outside(first))).unwrap();
    courses.runs.iter().flatten().map(|r| r.to - r.from).sum()
}

/// Every `step`th start from `from` on.
#[track_caller]
fn check(plan: &Plan, from: usize, step: usize) {
    for zone in zones_of(plan) {
        let Some(look) = look(&zone, zone.directions[0], plan.products.rolls[0].width, &plan.products) else {
            continue;
        };
        for (first, start) in look.starts.iter().enumerate().skip(from).step_by(step) {
            let first = i64::try_from(first).unwrap();
            assert_eq!(start.cut_length, laid(&zone, &look, first), "first course {first} mm outside");
        }
    }
}

fn cases(usual: u32) -> ProptestConfig {
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(usual);
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(cases(100))]

    #[test]
    fn sums_are_those_of_the_courses(plan in plans(), from in 0_usize..53) {
        check(&plan, from, 53);
    }
}
