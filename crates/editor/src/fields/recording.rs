//! Fields of the site records: how many readings are due and what they are held against.
//!
//! In: a plan. Out: what can be set. The nominal itself is the sum of the coats, which stand with the products.

use super::Group;
use super::spec::{Digits, number, optional_number, small};
use crate::change::Change;
use baylap_core::Plan;
use baylap_core::plan::Recording;

/// The fields of the site records.
pub(super) fn groups(plan: &Plan) -> Vec<Group> {
    let r = &plan.recording;
    let with = |set: fn(&mut Recording, i64)| {
        let old = r.clone();
        move |v| {
            let mut new = old.clone();
            set(&mut new, v);
            Change::Recording(new)
        }
    };
    let area = Digits { places: 2, least: 100, most: 1_000_000 };
    let old = r.clone();
    let sheet = optional_number(
        "recording.sheet",
        "Thickness of the sheet",
        r.sheet,
        Digits::hundredths(10_000),
        move |v| Change::Recording(Recording { sheet: v, ..old.clone() }),
    );
    let allowance = Digits { places: 2, least: 0, most: 10_000 };
    vec![(
        "Thickness readings".to_owned(),
        vec![
            number(
                "recording.reading_area",
                "One for every",
                r.reading_area,
                area,
                with(|r, v| r.reading_area = v),
            )
            .unit("m²")
            .usual("10 m² in UFGS 07141, at least one a bay"),
            sheet.unit("mm").usual("for readings with the sheet; from its data sheet"),
            number(
                "recording.allowance",
                "May fall short by",
                r.allowance,
                allowance,
                with(|r, v| r.allowance = v),
            )
            .unit("mm")
            .usual("no published figure: 0 unless agreed"),
            small(
                "recording.reading_clear",
                "Clear of laps and edges",
                r.reading_clear,
                0,
                with(|r, v| r.reading_clear = v),
            )
            .usual("300 mm is common practice, no source"),
        ],
    )]
}
