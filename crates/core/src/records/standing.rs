//! Which records stand.
//!
//! In: records in any order. Out: each with its state, in order of time. A record that another one names as replaced no
//! longer stands, however the one that replaced it fares later. Where a merge met two records of one key, a correction of
//! that key is unclear: both go on standing, so that nothing is hidden by mistake.

use crate::plan::records::{KEY_MARK, parts_of};
use crate::plan::{Entry, Record};
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

/// State of a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// It stands.
    InForce,
    /// Another one has taken its place.
    Replaced,
    /// It was withdrawn.
    Withdrawn,
    /// It is itself a withdrawal, and says nothing of the roof.
    Withdrawal,
}

impl State {
    /// Its word.
    pub const fn name(self) -> &'static str {
        match self {
            State::InForce => "in force",
            State::Replaced => "replaced",
            State::Withdrawn => "withdrawn",
            State::Withdrawal => "withdrawal",
        }
    }
}

/// The records with their states.
#[derive(Clone, Debug, Default)]
pub struct Standing<'a> {
    /// Every record with its state, first to last in time.
    pub all: Vec<(&'a Record, State)>,
    /// Records named as replaced that are not here, each with the record that names it.
    pub unknown: Vec<(&'a str, &'a Record)>,
    /// Keys that a merge found on two records or more of different content.
    pub twins: BTreeSet<&'a str>,
    /// Records that replace one another in a circle, so that none of them stands.
    pub circle: Vec<&'a Record>,
    /// Records that more than one other record in force replaces, with those.
    pub rivals: BTreeMap<&'a str, Vec<&'a Record>>,
}

impl<'a> Standing<'a> {
    /// The records in force, first to last in time.
    pub fn in_force(&self) -> impl Iterator<Item = &'a Record> + '_ {
        self.all.iter().filter(|(_, state)| *state == State::InForce).map(|(record, _)| *record)
    }

    /// State of a record, by its key.
    pub fn of(&self, key: &str) -> Option<State> {
        self.all.iter().find(|(record, _)| record.key == key).map(|(_, state)| *state)
    }
}

/// Finds out which records stand.
pub fn standing(records: &[Record]) -> Standing<'_> {
    let by_key: BTreeMap<&str, &Record> = records.iter().map(|r| (r.key.as_str(), r)).collect();
    let twins: BTreeSet<&str> = records.iter().filter_map(|r| base_of(&r.key)).collect();
    let mut ordered: Vec<&Record> = records.iter().collect();
    ordered.sort_by(|a, b| in_time(a, b));
    let mut out = Standing { twins, ..Standing::default() };
    let mut replaced: BTreeMap<&str, Vec<&Record>> = BTreeMap::new();
    for record in &ordered {
        let Some(old) = record.replaces.as_deref() else { continue };
        if !by_key.contains_key(old) {
            out.unknown.push((old, record));
        } else if !out.twins.contains(old) {
            replaced.entry(old).or_default().push(record);
        }
    }
    let state = |record: &Record| match (&record.what, replaced.get(record.key.as_str())) {
        (Entry::Withdrawn { .. }, _) => State::Withdrawal,
        (_, None) => State::InForce,
        (_, Some(by)) if by.iter().all(|r| matches!(r.what, Entry::Withdrawn { .. })) => State::Withdrawn,
        (_, Some(_)) => State::Replaced,
    };
    out.all = ordered.iter().map(|&r| (r, state(r))).collect();
    out.circle = circle(&ordered, &replaced);
    let in_force: BTreeSet<&str> = out.in_force().map(|r| r.key.as_str()).collect();
    for (key, mut by) in replaced {
        by.retain(|r| in_force.contains(r.key.as_str()));
        if by.len() > 1 {
            out.rivals.insert(key, by);
        }
    }
    out
}

/// Records that no chain of replacements leads out of.
fn circle<'a>(records: &[&'a Record], replaced: &BTreeMap<&str, Vec<&'a Record>>) -> Vec<&'a Record> {
    // From those that nothing replaces, back along what they replace: whatever is met has an end in time.
    let mut met: BTreeSet<&str> = BTreeSet::new();
    let by_key: BTreeMap<&str, &Record> = records.iter().map(|r| (r.key.as_str(), *r)).collect();
    for last in records.iter().filter(|r| !replaced.contains_key(r.key.as_str())) {
        let mut at = Some(*last);
        while let Some(record) = at.filter(|r| met.insert(r.key.as_str())) {
            at = record.replaces.as_deref().and_then(|key| by_key.get(key).copied());
        }
    }
    records.iter().filter(|r| !met.contains(r.key.as_str())).copied().collect()
}

/// Order of time: by day, time of day, mark and counter. Records without a date come last; one without a time of day
/// comes before the others of its day.
fn in_time(a: &Record, b: &Record) -> Ordering {
    let rank = |r: &Record| (r.date.is_none(), r.date, minutes(&r.time));
    rank(a).cmp(&rank(b)).then_with(|| parts_of(&a.key).cmp(&parts_of(&b.key))).then_with(|| a.cmp(b))
}

/// Minutes after midnight of a time such as `7:40`, `07.40` or `7 h 40`; midnight where it reads as no time.
fn minutes(time: &str) -> u32 {
    let mut numbers = time.split(|c: char| !c.is_ascii_digit()).filter(|part| !part.is_empty());
    let mut next = || numbers.next().and_then(|part| part.parse::<u32>().ok());
    match (next(), next()) {
        (Some(hour), Some(minute)) if hour < 24 && minute < 60 => hour * 60 + minute,
        (Some(hour), None) if hour < 24 => hour * 60,
        _ => 0,
    }
}

/// The key that a merge made a longer one from, where it did.
fn base_of(key: &str) -> Option<&str> {
    let at = key.len().checked_sub(KEY_MARK)?;
    let (base, mark) = (key.get(..at)?, key.get(at..)?);
    let hex = mark.strip_prefix('.')?.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b));
    (hex && !base.is_empty()).then_some(base)
}

#[cfg(test)]
mod tests {
    //! States by hand, and that the order in the file means nothing.
    use super::*;
    use crate::plan::Date;
    use crate::plan::file::record_strategies::records;
    use proptest::prelude::*;

    fn record(key: &str, replaces: Option<&str>, what: Entry) -> Record {
        let date = Date::new(2026, 11, 30);
        let (time, by) = (String::new(), String::new());
        Record { key: key.to_owned(), replaces: replaces.map(str::to_owned), date, time, by, at: None, what }
    }

    fn note(key: &str, replaces: Option<&str>) -> Record {
        record(key, replaces, Entry::Note { text: key.to_owned() })
    }

    fn withdrawal(key: &str, of: &str) -> Record {
        record(key, Some(of), Entry::Withdrawn { why: String::new() })
    }

    fn states(list: &[Record]) -> Vec<(&str, State)> {
        standing(list).all.iter().map(|(r, state)| (r.key.as_str(), *state)).collect()
    }

    #[test]
    fn corrections_and_withdrawals() {
        use State::*;
        let list = [note("a-1", None), note("a-2", Some("a-1")), note("a-3", None), withdrawal("a-4", "a-3")];
        assert_eq!(
            states(&list),
            [("a-1", Replaced), ("a-2", InForce), ("a-3", Withdrawn), ("a-4", Withdrawal)]
        );
        // A correction that is withdrawn does not bring back what it corrected: what is right has to be said.
        let list = [note("a-1", None), note("a-2", Some("a-1")), withdrawal("a-3", "a-2")];
        assert_eq!(states(&list), [("a-1", Replaced), ("a-2", Withdrawn), ("a-3", Withdrawal)]);
    }

    #[test]
    fn corrections_that_do_not_hold_together() {
        let list = [note("a-1", Some("z-9")), note("b-1", Some("a-1")), note("c-1", Some("a-1"))];
        let found = standing(&list);
        assert_eq!(found.unknown, [("z-9", &list[0])]);
        assert_eq!(found.rivals.get("a-1"), Some(&vec![&list[1], &list[2]]));
        let list = [note("a-1", Some("a-2")), note("a-2", Some("a-1")), note("a-3", None)];
        assert_eq!(standing(&list).circle, [&list[0], &list[1]]);
        assert_eq!(standing(&list).in_force().collect::<Vec<_>>(), [&list[2]]);
    }

    /// After a merge of two records of one key nobody can tell which of them a correction meant: both stand.
    #[test]
    fn a_correction_of_twins_hides_neither() {
        let twin = "a-1.0123456789abcdef";
        let list = [note("a-1", None), note(twin, None), note("a-2", Some("a-1"))];
        let found = standing(&list);
        assert_eq!(found.in_force().count(), 3);
        assert_eq!(found.twins.iter().copied().collect::<Vec<_>>(), ["a-1"]);
    }

    #[test]
    fn order_of_time() {
        let at = |key: &str, day: Option<u8>, time: &str| Record {
            date: day.and_then(|d| Date::new(2026, 11, d)),
            time: time.to_owned(),
            ..note(key, None)
        };
        let list = [
            at("b-1", Some(2), "16.05"),
            at("a-10", Some(2), "7:40"),
            at("a-9", Some(2), "7:40"),
            at("a-1", None, "6:00"),
            at("a-2", Some(1), "23:59"),
            at("a-3", Some(2), "7 h 39"),
        ];
        let keys: Vec<&str> = states(&list).into_iter().map(|(key, _)| key).collect();
        assert_eq!(keys, ["a-2", "a-3", "a-9", "a-10", "b-1", "a-1"]);
    }

    proptest! {
        #[test]
        fn order_in_the_file_means_nothing(list in records(14), turn in 0..14_usize) {
            let mut other = list.clone();
            other.reverse();
            if !other.is_empty() {
                let by = turn % other.len();
                other.rotate_left(by);
            }
            let (one, two) = (standing(&list), standing(&other));
            prop_assert_eq!(one.all, two.all);
            prop_assert_eq!(one.circle, two.circle);
            prop_assert_eq!(one.twins, two.twins);
        }

        /// Nobody's record vanishes: each has a state, and a state other than in force has its reason.
        #[test]
        fn each_has_a_state_with_its_reason(list in records(14)) {
            let found = standing(&list);
            prop_assert_eq!(found.all.len(), list.len());
            for (record, state) in &found.all {
                let named = list.iter().any(|r| r.replaces.as_deref() == Some(&record.key));
                let withdrawal = matches!(record.what, Entry::Withdrawn { .. });
                prop_assert_eq!(*state == State::InForce, !named && !withdrawal);
            }
        }
    }
}
