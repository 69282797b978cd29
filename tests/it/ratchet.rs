//! What the demo plans take, recorded: rolls, cut length, cost, lost area, steps of the search.
//!
//! In: the demo plans, each as it stands, run on, mixed, and with any piece slit. Out: a failure where a figure is worse
//! than the one in `ratchet.txt`, and where it is better a failure that says to tighten it: run with `TIGHTEN=1`. Steps
//! count work, never time, so they are the same on every machine.

use crate::places::{demos, plan_of, top};
use baylap_core::plan::{Laying, Plan, Slitting};
use baylap_core::{Layout, Search};
use std::fmt::Write;

/// The figures that may not grow, by name.
fn figures(layout: &Layout, steps: u64) -> [(&'static str, i64); 5] {
    let t = &layout.totals;
    [
        ("rolls", i64::from(t.rolls)),
        ("cut_length_mm", t.cut_length),
        ("cost", t.cost),
        ("lost_mm2", t.waste.trim + t.waste.scrap),
        ("steps", i64::try_from(steps).unwrap()),
    ]
}

fn searched(plan: Plan) -> (Layout, u64) {
    let mut search = Search::new(plan, None);
    while !search.is_done() {
        search.advance(u64::MAX);
    }
    let steps = search.steps();
    (search.into_layout(), steps)
}

fn variants(plan: &Plan) -> Vec<(&'static str, Plan)> {
    let with = |change: fn(&mut Plan)| {
        let mut plan = plan.clone();
        change(&mut plan);
        plan
    };
    vec![
        ("as drawn", plan.clone()),
        ("run on", with(|p| p.products.laying = Laying::RunOn)),
        ("mixed", with(|p| p.products.laying = Laying::Mixed)),
        ("slit", with(|p| p.products.slitting = Slitting::AnyPiece)),
    ]
}

#[test]
fn nothing_takes_more_than_recorded() {
    let path = top().join("tests/it/ratchet.txt");
    let mut now = String::new();
    for (name, text) in demos() {
        let plan = plan_of(&name, &text);
        for (variant, plan) in variants(&plan) {
            let (layout, steps) = searched(plan);
            for (figure, value) in figures(&layout, steps) {
                let _ = writeln!(now, "{name} / {variant} / {figure}: {value}");
            }
        }
    }
    if std::env::var_os("TIGHTEN").is_some() {
        std::fs::write(&path, &now).unwrap();
        return;
    }
    let recorded = std::fs::read_to_string(&path).unwrap();
    let split = |line: &str| line.rsplit_once(": ").map(|(k, v)| (k.to_owned(), v.parse::<i64>().unwrap()));
    let recorded: std::collections::BTreeMap<String, i64> = recorded.lines().filter_map(split).collect();
    let told: Vec<String> = now
        .lines()
        .filter_map(split)
        .filter_map(|(key, value)| match recorded.get(&key) {
            None => Some(format!("{key} is {value} and not recorded")),
            Some(&known) if value > known => {
                Some(format!("{key} is {value}, worse than the {known} recorded"))
            }
            Some(&known) if value < known => {
                Some(format!("{key} is {value}, better than the {known} recorded: tighten"))
            }
            Some(_) => None,
        })
        .collect();
    assert!(told.is_empty(), "run with TIGHTEN=1 where better:\n{}", told.join("\n"));
}
