//! The limits of the site records: keys, figures, texts, and how many there may be.
//!
//! In: a plan. Out: nothing, or the first record that is out of its limits, with its path. A record may name another one as
//! replaced that is not there: it may stand in the file of another device.

use super::super::FileError;
use super::super::error::short as start_of;
use super::{CORNERS, Checked, LENGTH, NUMBER, SMALLEST_BAY, each, many, optional, point, range, short};
use crate::plan::{Entry, Plan, Record, Recording, Tested, records};
use std::collections::BTreeMap;

/// Records of a job.
pub const RECORDS: usize = 20_000;
/// Coldest and hottest temperature, tenths of a degree, either side of zero.
const TENTHS: i64 = 1000;

/// Checks the records and how they are judged.
pub(super) fn check(plan: &Plan) -> Checked {
    check_recording(&plan.recording)?;
    check_records(&plan.records)
}

fn check_recording(recording: &Recording) -> Checked {
    range("plan.recording.reading_area", recording.reading_area, SMALLEST_BAY, NUMBER)?;
    optional("plan.recording.sheet", recording.sheet, 0, LENGTH)?;
    range("plan.recording.allowance", recording.allowance, 0, LENGTH)?;
    range("plan.recording.reading_clear", recording.reading_clear, 0, LENGTH)
}

fn check_records(list: &[Record]) -> Checked {
    many("records", list.len(), RECORDS)?;
    let corners = list.iter().map(|r| match &r.what {
        Entry::Leak { over: Tested::Area { corners }, .. } => corners.len(),
        _ => 0,
    });
    many("corners of tested areas", corners.sum(), CORNERS)?;
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (i, record) in list.iter().enumerate() {
        if let Some(first) = seen.insert(&record.key, i) {
            let what = format!(
                "the key {} stands a second time, plan.records[{first}] having it already",
                record.key
            );
            return Err(FileError::field(
                format!("plan.records[{i}].key"),
                what,
                "give each record a key of its own",
            ));
        }
        check_record(&format!("plan.records[{i}]"), record)?;
    }
    Ok(())
}

fn check_record(path: &str, record: &Record) -> Checked {
    key(&format!("{path}.key"), &record.key)?;
    if let Some(replaced) = &record.replaces {
        key(&format!("{path}.replaces"), replaced)?;
        if *replaced == record.key {
            let what = "the record replaces itself";
            return Err(FileError::field(
                format!("{path}.replaces"),
                what,
                "name another record, or leave it out",
            ));
        }
    }
    short(&format!("{path}.time"), &record.time)?;
    short(&format!("{path}.by"), &record.by)?;
    record.at.map_or(Ok(()), |at| point(&format!("{path}.at"), &at))?;
    check_entry(&format!("{path}.what"), &record.what)
}

fn check_entry(path: &str, entry: &Entry) -> Checked {
    match entry {
        Entry::Bond { note, .. } => short(&format!("{path}.bond.note"), note),
        Entry::Thickness { hundredths, note, .. } => {
            range(&format!("{path}.thickness.hundredths"), *hundredths, 0, LENGTH)?;
            short(&format!("{path}.thickness.note"), note)
        }
        Entry::Leak { over, note, .. } => {
            if let Tested::Area { corners } = over {
                each(corners, &format!("{path}.leak.over.area.corners"), point)?;
            }
            short(&format!("{path}.leak.note"), note)
        }
        Entry::Weather { air, humidity, deck, note } => {
            range(&format!("{path}.weather.air"), *air, -TENTHS, TENTHS)?;
            range(&format!("{path}.weather.humidity"), *humidity, 0, 100)?;
            optional(&format!("{path}.weather.deck"), *deck, -TENTHS, TENTHS)?;
            short(&format!("{path}.weather.note"), note)
        }
        Entry::Done { .. } => Ok(()),
        Entry::SignOff { note } => short(&format!("{path}.sign_off.note"), note),
        Entry::Note { text } => short(&format!("{path}.note.text"), text),
        Entry::Withdrawn { why } => short(&format!("{path}.withdrawn.why"), why),
    }
}

fn key(path: &str, text: &str) -> Checked {
    if records::is_key(text) {
        return Ok(());
    }
    let most = records::KEY + records::KEY_MARK;
    let what = format!("{} cannot be the key of a record", start_of(&format!("{text:?}")));
    Err(FileError::field(path, what, format!("write 1 to {most} letters, digits, hyphens and full stops")))
}
