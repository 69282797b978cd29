//! Arbitrary records for property tests: anything that a plan file may hold.
//!
//! In: nothing. Out: proptest strategies. Keys come from a few marks and low counters, so that two lists often hold the
//! same key, now with the same content and now with another; within one list no key stands twice.

use super::limits::COORDINATE;
use crate::geom::Pt;
use crate::plan::{Date, Entry, Record, Recording, Tested, WorkStep};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;
use std::collections::BTreeMap;

/// Lists of records, each key once.
pub(crate) fn records(most: usize) -> impl Strategy<Value = Vec<Record>> {
    vec(record(), 0..=most).prop_map(|list| {
        let mut order: Vec<String> = Vec::new();
        let mut by_key: BTreeMap<String, Record> = BTreeMap::new();
        for record in list {
            if by_key.insert(record.key.clone(), record.clone()).is_none() {
                order.push(record.key);
            }
        }
        order.iter().filter_map(|key| by_key.remove(key)).collect()
    })
}

/// Settings of the records.
pub(crate) fn recording() -> impl Strategy<Value = Recording> {
    (100..9_000_i64, option::of(0..900_i64), 0..200_i64, 0..900_i64).prop_map(
        |(reading_area, sheet, allowance, reading_clear)| Recording {
            reading_area,
            sheet,
            allowance,
            reading_clear,
        },
    )
}

fn key() -> impl Strategy<Value = String> {
    ("[ab]", 0..6_u8).prop_map(|(mark, n)| format!("{mark}-{n}"))
}

fn record() -> impl Strategy<Value = Record> {
    let when = (option::of(0..3_u32), select(vec!["", "7:40", "16.05", "after lunch"]));
    // Few contents, so that the same record often stands in two lists.
    (key(), option::of(key()), when, option::of(point()), entry()).prop_map(
        |(key, replaces, (day, time), at, what)| Record {
            replaces: replaces.filter(|r| *r != key),
            key,
            date: day.and_then(|d| Date::new(2026, 11, 30).map(|first| first.plus(d))),
            time: time.to_owned(),
            by: "A".to_owned(),
            at,
            what,
        },
    )
}

fn point() -> impl Strategy<Value = Pt> {
    prop_oneof![
        3 => Just(Pt::new(0, 0)),
        1 => (-COORDINATE..=COORDINATE, -COORDINATE..=COORDINATE).prop_map(|(x, y)| Pt::new(x, y)),
    ]
}

fn note() -> impl Strategy<Value = String> {
    prop_oneof![4 => Just(String::new()), 1 => "\\PC{0,8}", 1 => Just("a \"b\"\n".to_owned())]
}

fn entry() -> impl Strategy<Value = Entry> {
    let over = prop_oneof![
        Just(Tested::Bay),
        Just(Tested::Roof),
        vec(point(), 0..4).prop_map(|corners| Tested::Area { corners }),
    ];
    prop_oneof![
        (any::<bool>(), note()).prop_map(|(passed, note)| Entry::Bond { passed, note }),
        (0..1500_i64, any::<bool>(), note()).prop_map(|(hundredths, with_sheet, note)| Entry::Thickness {
            hundredths,
            with_sheet,
            note
        }),
        (over, any::<bool>(), note()).prop_map(|(over, passed, note)| Entry::Leak { over, passed, note }),
        (-300..500_i64, 0..=100_i64, option::of(-300..500_i64), note())
            .prop_map(|(air, humidity, deck, note)| Entry::Weather { air, humidity, deck, note }),
        select(WorkStep::ALL.to_vec()).prop_map(|step| Entry::Done { step }),
        note().prop_map(|note| Entry::SignOff { note }),
        note().prop_map(|text| Entry::Note { text }),
        note().prop_map(|why| Entry::Withdrawn { why }),
    ]
}
