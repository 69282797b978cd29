//! A tie that breaks a law names that law: each kind of law is broken by ties, and the sentence read.
//!
//! In: the files of `demo-data/bad` that break a law by ties, and plans made from them. Out: a failure where a sentence does
//! not say which law, which bays and which day. Which bays are in the way is found here by walking over the bays of the
//! layout, without the engine's own search for an order.

use baylap_core::layout::Layout;
use baylap_core::layout::days::{Day, Turn};
use baylap_core::plan::{Tie, file};
use baylap_core::{About, Finding, Plan, lay};
use std::collections::BTreeSet;

fn bad(name: &str) -> Plan {
    let path = format!("{}/../demo-data/bad/{name}", env!("CARGO_MANIFEST_DIR"));
    file::read_any(&std::fs::read(path).unwrap()).unwrap()
}

#[track_caller]
fn told(layout: &Layout, code: &str) -> (u32, Finding) {
    let finding = layout.findings.iter().find(|f| f.code == code);
    let finding = finding.unwrap_or_else(|| panic!("{code} is not among {:?}", layout.findings)).clone();
    let About::Bay(bay) = finding.about else { panic!("{code} is about a bay") };
    (bay, finding)
}

fn turn_of(layout: &Layout, bay: u32) -> (&Day, &Turn) {
    let days = &layout.days.as_ref().unwrap().days;
    days.iter().find_map(|d| Some((d, d.turns.iter().find(|t| t.bay == bay)?))).unwrap()
}

/// Bays to which people come from one without stepping on some others.
fn free_from(layout: &Layout, bay: u32, wet: &BTreeSet<u32>) -> BTreeSet<u32> {
    let (mut seen, mut stack) = (BTreeSet::from([bay]), vec![bay]);
    while let Some(at) = stack.pop() {
        for next in &layout.bays[at as usize - 1].beside {
            if !wet.contains(next) && seen.insert(*next) {
                stack.push(*next);
            }
        }
    }
    seen
}

/// The bay at the only way off.
fn exit(plan: &Plan, layout: &Layout) -> u32 {
    let at = plan.ways[0].at;
    let far = |n: usize| {
        layout.bays[n].area.iter().flatten().flatten().map(|p| p.distance(at)).fold(f64::MAX, f64::min)
    };
    let nearest = (0..layout.bays.len()).min_by(|&a, &b| far(a).total_cmp(&far(b))).unwrap();
    layout.bays[nearest].number
}

/// The one bay in the way of a bay that has in truth no way off but over some others.
#[track_caller]
fn crossed(plan: &Plan, layout: &Layout, bay: u32, wet: &BTreeSet<u32>) -> u32 {
    assert!(!free_from(layout, bay, wet).contains(&exit(plan, layout)), "bay {bay} has a way off");
    let beside = layout.bays[bay as usize - 1].beside.iter().copied();
    let crossed: Vec<u32> = beside.filter(|n| wet.contains(n)).collect();
    let [crossed] = crossed[..] else { panic!("one bay is in the way: {crossed:?}") };
    crossed
}

fn tie(layout: &Layout, bay: u32, id: u32) -> Tie {
    Tie { id, at: layout.bays[bay as usize - 1].label, ..Tie::default() }
}

#[test]
fn a_bay_cut_off_is_told_with_law_9_and_what_is_crossed() {
    let plan = bad("tie-cuts-off.json");
    let layout = lay(&plan);
    let (bay, finding) = told(&layout, "cut-off");
    let (day, turn) = turn_of(&layout, bay);
    let wet: BTreeSet<u32> = day.turns.iter().filter(|t| t.from < turn.from).map(|t| t.bay).collect();
    let crossed = crossed(&plan, &layout, bay, &wet);
    let begin =
        format!("Law 9, reach: on day {} bay {bay} would only be reached across bay {crossed},", day.number);
    assert!(finding.text.starts_with(&begin), "{}", finding.text);
}

#[test]
fn a_bay_shut_in_is_told_with_law_9_and_what_is_crossed() {
    let plan = bad("tie-shuts-in.json");
    let layout = lay(&plan);
    let (bay, finding) = told(&layout, "shut-in");
    let (day, turn) = turn_of(&layout, bay);
    let begun = |t: &&Turn| t.from < turn.to && t.bay != bay;
    let wet: BTreeSet<u32> = day.turns.iter().filter(begun).map(|t| t.bay).collect();
    let crossed = crossed(&plan, &layout, bay, &wet);
    let begin =
        format!("Law 9, leave: on day {} people would leave bay {bay} across bay {crossed},", day.number);
    assert!(finding.text.starts_with(&begin), "{}", finding.text);
}

#[test]
fn a_lap_turned_to_the_water_is_told_with_law_8_and_both_bays() {
    let plan = bad("tie-faces-water.json");
    let layout = lay(&plan);
    let (tied, finding) = told(&layout, "tie-faces-water");
    // The deck rises with y: of the two bays named the one laid first is the higher.
    let height = |n: u32| layout.bays[n as usize - 1].label.y;
    let pairs: Vec<[u32; 2]> = (1..=layout.totals.bays)
        .flat_map(|a| (a + 1..=layout.totals.bays).map(move |b| [a, b]))
        .filter(|&[a, b]| layout.bays[a as usize - 1].beside.contains(&b) && height(a) > height(b))
        .collect();
    let [[first, later]] = pairs[..] else { panic!("one pair is laid from above: {pairs:?}") };
    let begin =
        format!("Law 8, shedding: bay {first} is laid before bay {later}, which lies lower, so the lap");
    assert!(finding.text.starts_with(&begin), "{}", finding.text);
    assert!(finding.text.ends_with(&format!("bay {tied} is tied.")), "{}", finding.text);
    let mut free = plan;
    free.programme.ties.clear();
    let without = lay(&free);
    assert!(
        without.findings.iter().all(|f| f.code != "tie-faces-water"),
        "without the tie nothing is told of one"
    );
    assert_eq!(without.days.unwrap().score.facing, 0, "and no lap faces the water");
}

#[test]
fn a_day_that_cannot_be_kept_is_told_with_both_days() {
    let plan = bad("tie-day.json");
    let layout = lay(&plan);
    let (bay, finding) = told(&layout, "tie-day");
    let place = layout.bays[bay as usize - 1].label;
    let own = plan.programme.ties.iter().find(|t| layout.bay_at(t.at) == layout.bay_at(place)).unwrap();
    let (day, _) = turn_of(&layout, bay);
    assert_ne!(own.day, Some(day.number));
    let begin =
        format!("Bay {bay} is tied to day {} and would be laid on day {}:", own.day.unwrap(), day.number);
    assert!(finding.text.starts_with(&begin), "{}", finding.text);
}

#[test]
fn a_turn_that_cannot_be_kept_is_told_with_both_turns() {
    let plan = bad("tie-turn.json");
    let layout = lay(&plan);
    let (bay, finding) = told(&layout, "tie-turn");
    let begin = format!("Bay {bay} is tied to turn 1 and would be laid as number {bay}:");
    assert!(bay != 1 && finding.text.starts_with(&begin), "{}", finding.text);
}

#[test]
fn a_day_tied_too_full_says_so() {
    let mut plan = bad("tie-cuts-off.json");
    plan.programme.ties.clear();
    plan.ways.clear();
    let before = lay(&plan);
    let longest = before
        .days
        .as_ref()
        .unwrap()
        .days
        .iter()
        .flat_map(|d| &d.turns)
        .map(|t| t.to - t.from)
        .max()
        .unwrap();
    plan.gang.day_minutes = Some(longest + 1);
    plan.programme.ties =
        (1..=before.totals.bays).map(|n| Tie { day: Some(1), ..tie(&before, n, 900 + n) }).collect();
    let layout = lay(&plan);
    let said = layout.findings.iter().filter(|f| ["tie-day", "day-too-full"].contains(&f.code.as_str()));
    let said: Vec<&Finding> = said.collect();
    assert!(!said.is_empty());
    for finding in said {
        assert!(finding.text.contains("hours of") && finding.text.contains("day"), "{}", finding.text);
    }
}
