//! The search: what it may not depend on, and what more freedom may not cost.
//!
//! In: random plans. Out: a failure where the size of the slices or a hint changes the last layout, where a first answer
//! is not a layout of the same roof, or where laying mixed or slitting opens more or costs more than doing without.

use crate::laws::plans;
use baylap_core::plan::{Laying, Plan, Slitting};
use baylap_core::{Layout, Search, lay, lay_quick};
use proptest::prelude::*;

fn in_slices(plan: &Plan, hint: Option<&Layout>, slice: u64) -> Layout {
    let mut search = Search::new(plan.clone(), hint);
    while !search.is_done() {
        search.advance(slice);
    }
    search.into_layout()
}

fn cases(usual: u32) -> ProptestConfig {
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(usual);
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

fn laid_as(plan: &Plan, laying: Laying, slitting: Slitting) -> Layout {
    let mut plan = plan.clone();
    plan.products.laying = laying;
    plan.products.slitting = slitting;
    lay(&plan)
}

proptest! {
    #![proptest_config(cases(24))]

    #[test]
    fn slices_and_hints_change_nothing(plan in plans(), other in plans(), slice in 1_u64..3_000) {
        let whole = lay(&plan);
        prop_assert_eq!(&in_slices(&plan, None, slice), &whole);
        prop_assert_eq!(&in_slices(&plan, Some(&lay_quick(&other)), u64::MAX), &whole);
        prop_assert_eq!(&in_slices(&plan, Some(&whole), slice), &whole);
        prop_assert_eq!(lay_quick(&plan).totals.deck_area, whole.totals.deck_area);
    }

    #[test]
    fn more_freedom_costs_no_more(plan in plans()) {
        let (none, any) = (Slitting::None, Slitting::AnyPiece);
        let [cut, on, mixed, slit] = [
            laid_as(&plan, Laying::Cut, none),
            laid_as(&plan, Laying::RunOn, none),
            laid_as(&plan, Laying::Mixed, none),
            laid_as(&plan, Laying::Cut, any),
        ];
        // With rolls that have to be ordered, those on hand go first whatever they cost: money alone says nothing there.
        let short = [&cut, &on, &mixed, &slit].iter().any(|l| l.findings.iter().any(|f| f.code == "rolls-short"));
        if !short {
            prop_assert!(mixed.totals.cost <= cut.totals.cost.min(on.totals.cost));
            let price = |l: &Layout| -> i64 {
                l.rolls.iter().map(|r| plan.products.price(&plan.products.rolls[r.kind as usize])).sum()
            };
            prop_assert!(price(&slit) <= price(&cut));
        }
    }
}
