//! Cut lists against published packing problems.
//!
//! In: the reference data under `../shared/data/cutting`, read in place and skipped when it is not there: OR-Library
//! Falkenauer class u120 (MIT), small proven instances (MIT), and textbook cutting problems, the source of each in its
//! file. Out: first-fit decreasing gives the published number of rolls for that method, and the bound never passes the
//! proven optimum. Three cases stand here in full, so that the test means something without the data.

use baylap_core::cuts::first_fit::first_fit_decreasing;
use serde_json::Value;
use std::path::PathBuf;

/// Pieces of `(length, count)`.
fn pieces(items: &[(i64, usize)]) -> Vec<i64> {
    items.iter().flat_map(|&(length, count)| std::iter::repeat_n(length, count)).collect()
}

#[track_caller]
fn check(name: &str, stock: i64, lengths: &[i64], ffd: Option<usize>, optimum: usize) {
    let list = first_fit_decreasing(lengths, stock, 0);
    if let Some(ffd) = ffd {
        assert_eq!(list.rolls.len(), ffd, "{name}: first-fit decreasing");
    }
    assert!(list.least <= optimum, "{name}: the bound {} passes the optimum {optimum}", list.least);
    assert!(list.rolls.len() >= optimum, "{name}: fewer rolls than the proven optimum");
    let mut cut: Vec<usize> = list.rolls.iter().flatten().copied().collect();
    cut.sort_unstable();
    assert_eq!(cut, (0..lengths.len()).collect::<Vec<_>>(), "{name}: every piece once");
    for roll in &list.rolls {
        assert!(roll.iter().map(|&i| lengths[i]).sum::<i64>() <= stock, "{name}: a roll overfull");
    }
}

#[test]
fn textbook_cases() {
    // Chvatal, Linear Programming (1983), ch. 13: published 453 rolls; first-fit decreasing needs 485.
    check("Chvatal", 100, &pieces(&[(45, 97), (36, 610), (31, 395), (14, 211)]), Some(485), 453);
    // AMPL book, ch. 15: published 47.
    check("AMPL", 110, &pieces(&[(20, 48), (45, 35), (50, 24), (55, 10), (75, 8)]), Some(47), 47);
    // Winston, Operations Research, "Woodco" 17 ft boards: optimum 19 proved by its LP bound of 18.33.
    check("Winston", 17, &pieces(&[(3, 25), (5, 20), (9, 15)]), Some(19), 19);
}

fn data(file: &str) -> Option<Vec<Value>> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../shared/data/cutting").join(file);
    let text = std::fs::read_to_string(path).ok();
    if text.is_none() {
        println!("skipped: the reference data {file} is not here");
    }
    serde_json::from_str(&text?).ok()
}

fn numbers(list: &Value) -> Vec<i64> {
    list.as_array().into_iter().flatten().filter_map(Value::as_i64).collect()
}

fn usize_at(value: &Value, pointer: &str) -> Option<usize> {
    value.pointer(pointer).and_then(Value::as_u64).and_then(|n| usize::try_from(n).ok())
}

#[test]
fn worked_examples() {
    for case in data("worked_examples.json").unwrap_or_default() {
        let items = case["items"].as_array().unwrap();
        let items: Vec<(i64, usize)> = items
            .iter()
            .map(|i| (i[0].as_i64().unwrap(), usize::try_from(i[1].as_u64().unwrap()).unwrap()))
            .collect();
        let optimum = usize_at(&case, "/computed/proven_optimum").unwrap();
        let name = case["id"].as_str().unwrap();
        check(
            name,
            case["stock"].as_i64().unwrap(),
            &pieces(&items),
            usize_at(&case, "/computed/ffd"),
            optimum,
        );
    }
}

#[test]
fn packing_instances() {
    for file in ["packing_small.json", "packing_u120.json"] {
        let mut seen = 0;
        for case in data(file).unwrap_or_default() {
            let optimum = usize_at(&case, "/optimum").or(usize_at(&case, "/optimum_computed")).unwrap();
            let name = case["name"].as_str().unwrap();
            check(
                name,
                case["capacity"].as_i64().unwrap(),
                &numbers(&case["items"]),
                usize_at(&case, "/ffd_bins"),
                optimum,
            );
            seen += 1;
        }
        println!("{file}: {seen} instances");
    }
}
