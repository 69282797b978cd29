//! Two plans' records as one.
//!
//! In: the plan of the desk and a plan from elsewhere. Out: the desk's plan with the records of both, and what is to be said
//! of it. Records are joined by their keys. Where one key has two contents, the lesser content (in the order of the types,
//! which is the same everywhere) keeps the key and the other one goes under a key made from the old one and its content: so
//! the records that come out do not depend on which plan was merged into which, nor in which order, nor how often.

use crate::plan::{Plan, Record, records::KEY};
use std::collections::{BTreeMap, BTreeSet};

/// What comes of a merge.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Merged {
    /// The plan of the desk with the records of both.
    pub plan: Plan,
    /// Records that the desk did not have.
    pub added: usize,
    /// Records that stand under another key now: the old key and the new one.
    pub moved: Vec<(String, String)>,
    /// One sentence where the jobs have different names or numbers.
    pub other_job: Option<String>,
    /// One sentence where the drawings or settings differ.
    pub differs: Option<String>,
}

impl Merged {
    /// What is to be said of it, in sentences.
    pub fn told(&self) -> String {
        let mut told = match self.added {
            0 => "The file holds no record that was not here already.".to_owned(),
            1 => "One record was added.".to_owned(),
            n => format!("{n} records were added."),
        };
        for (old, new) in &self.moved {
            told += &format!(
                " Two different records had the key {old}: both were kept, one of them as {new}; look at both."
            );
        }
        for more in [&self.other_job, &self.differs].into_iter().flatten() {
            told.push(' ');
            told += more;
        }
        told
    }
}

/// Merges the records of a plan from elsewhere into the plan of the desk, whose drawing and settings stay.
pub fn merge(desk: &Plan, other: &Plan) -> Merged {
    let mut of_key: BTreeMap<String, BTreeSet<Record>> = BTreeMap::new();
    for record in desk.records.iter().chain(&other.records) {
        of_key.entry(record.key.clone()).or_default().insert(record.clone());
    }
    let (settled, moved) = settle(of_key);
    let added = settled.len().saturating_sub(desk.records.len());
    let mut plan = Plan { records: Vec::new(), ..desk.clone() };
    plan.records = in_order_of_entry(&desk.records, &other.records, settled);
    Merged { plan, added, moved, other_job: other_job(desk, other), differs: differs(desk, other) }
}

/// One record a key: where there are several, the least keeps it and the others go under keys of their own.
fn settle(
    mut of_key: BTreeMap<String, BTreeSet<Record>>,
) -> (BTreeMap<String, Record>, Vec<(String, String)>) {
    let (mut settled, mut moved) = (BTreeMap::new(), Vec::new());
    // A new key is longer than the old one and so comes after it; what stands there already takes part in its turn.
    while let Some((key, mut contents)) = of_key.pop_first() {
        let Some(least) = contents.pop_first() else { continue };
        for mut record in contents {
            let new = key_of(&key, &record);
            record.key.clone_from(&new);
            // A merge before may have put it there.
            if of_key.entry(new.clone()).or_default().insert(record) {
                moved.push((key.clone(), new));
            }
        }
        settled.insert(key, least);
    }
    (settled, moved)
}

/// The key that a record goes under whose own is taken: the old one, and 64 bits of its content (FNV-1a). It comes after
/// the old one in order, so that it is not settled yet.
fn key_of(old: &str, record: &Record) -> String {
    let nameless = Record { key: String::new(), ..record.clone() };
    // Plain data with text keys cannot fail to serialise.
    let text = serde_json::to_string(&nameless).unwrap_or_default();
    let base: String = old.chars().take(KEY).collect();
    let keys = (0_u64..1000).map(|salt| format!("{base}.{:016x}", fnv(&text, salt)));
    keys.into_iter().find(|key| key.as_str() > old).unwrap_or_else(|| format!("{old}.0"))
}

fn fnv(text: &str, salt: u64) -> u64 {
    let start = 0xcbf2_9ce4_8422_2325_u64.wrapping_add(salt);
    text.bytes().fold(start, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
}

/// The records in the order they stood in, those of the desk first; what goes under a new key comes last.
fn in_order_of_entry(
    desk: &[Record],
    other: &[Record],
    mut settled: BTreeMap<String, Record>,
) -> Vec<Record> {
    let mut out: Vec<Record> = Vec::with_capacity(settled.len());
    for record in desk.iter().chain(other) {
        out.extend(settled.remove(&record.key));
    }
    out.extend(settled.into_values());
    out
}

/// Whether two plans say that they are of one job: by its name and number, where there is either.
pub fn same_job(one: &Plan, other: &Plan) -> bool {
    let of = |plan: &Plan| (plan.job.name.trim().to_owned(), plan.job.number.trim().to_owned());
    of(one) == of(other) && of(one) != (String::new(), String::new())
}

fn other_job(desk: &Plan, other: &Plan) -> Option<String> {
    let of = |plan: &Plan| (plan.job.name.trim().to_owned(), plan.job.number.trim().to_owned());
    let (here, there) = (of(desk), of(other));
    let name = |(name, number): &(String, String)| match (name.is_empty(), number.is_empty()) {
        (true, true) => "without a name".to_owned(),
        (false, true) => format!("\"{name}\""),
        (true, false) => format!("number {number}"),
        (false, false) => format!("\"{name}\", number {number}"),
    };
    (here != there).then(|| {
        format!(
            "The file is of the job {}, and this one is {}: make sure they are one roof.",
            name(&there),
            name(&here)
        )
    })
}

/// Names the parts in which two plans differ, records and job data aside.
fn differs(desk: &Plan, other: &Plan) -> Option<String> {
    let parts = [
        ("decks", desk.decks == other.decks),
        ("openings", desk.openings == other.openings),
        ("penetrations", desk.penetrations == other.penetrations),
        ("outlets", desk.outlets == other.outlets),
        ("joints", desk.joints == other.joints),
        ("zones", (&desk.zone_lines, &desk.zones) == (&other.zone_lines, &other.zones)),
        ("levels", desk.levels == other.levels),
        ("ways off", desk.ways == other.ways),
        ("melters", desk.melters == other.melters),
        ("datum", desk.datum == other.datum),
        ("products", desk.products == other.products),
        ("gang", desk.gang == other.gang),
        ("drainage", desk.drainage == other.drainage),
        ("bay edges", desk.bay_edges == other.bay_edges),
        ("programme", desk.programme == other.programme),
        ("settings of the records", desk.recording == other.recording),
    ];
    let differing: Vec<&str> = parts.iter().filter(|(_, same)| !same).map(|(name, _)| *name).collect();
    if differing.is_empty() {
        let bare =
            |plan: &Plan| Plan { records: Vec::new(), job: crate::plan::Job::default(), ..plan.clone() };
        return (bare(desk) != bare(other))
            .then(|| "The plan in the file differs from this one, which was kept.".to_owned());
    }
    Some(format!(
        "The plan in the file differs from this one in its {}: this one was kept.",
        super::listed(&differing)
    ))
}

#[cfg(test)]
mod tests {
    //! The laws of a merge on random lists: the same set whichever way round, once or twice, in whatever order, and nothing
    //! lost. Commutative, idempotent and associative joins are what makes copies that grow apart come together again
    //! (Shapiro and others, conflict-free replicated data types, 2011; from memory).
    use super::*;
    use crate::plan::Entry;
    use crate::plan::file::record_strategies::records;
    use crate::plan::file::{check, read, write};
    use proptest::prelude::*;

    fn plan(records: Vec<Record>) -> Plan {
        Plan { records, ..Plan::default() }
    }

    fn set(plan: &Plan) -> BTreeSet<Record> {
        plan.records.iter().cloned().collect()
    }

    /// Contents without their keys, each as often as it stands.
    fn contents(records: &[Record]) -> BTreeSet<(String, Record)> {
        let base = |key: &str| key.split('.').next().unwrap_or_default().to_owned();
        records.iter().map(|r| (base(&r.key), Record { key: String::new(), ..r.clone() })).collect()
    }

    proptest! {
        #[test]
        fn which_way_round_does_not_matter(a in records(12), b in records(12)) {
            let (a, b) = (plan(a), plan(b));
            prop_assert_eq!(set(&merge(&a, &b).plan), set(&merge(&b, &a).plan));
        }

        #[test]
        fn a_second_time_changes_nothing(a in records(12), b in records(12)) {
            let (a, b) = (plan(a), plan(b));
            let once = merge(&a, &b);
            for again in [merge(&once.plan, &b), merge(&once.plan, &a), merge(&once.plan, &once.plan)] {
                prop_assert_eq!(&again.plan, &once.plan);
                prop_assert_eq!(again.added, 0);
                prop_assert!(again.moved.is_empty(), "{:?}", again.moved);
            }
        }

        #[test]
        fn in_whatever_order(a in records(9), b in records(9), c in records(9)) {
            let (a, b, c) = (plan(a), plan(b), plan(c));
            let first = merge(&merge(&a, &b).plan, &c).plan;
            let last = merge(&a, &merge(&b, &c).plan).plan;
            let other = merge(&merge(&c, &a).plan, &b).plan;
            prop_assert_eq!(set(&first), set(&last));
            prop_assert_eq!(set(&first), set(&other));
        }

        #[test]
        fn nothing_is_lost_and_nothing_is_made_up(a in records(12), b in records(12)) {
            let merged = merge(&plan(a.clone()), &plan(b.clone()));
            let mut all = contents(&a);
            all.extend(contents(&b));
            prop_assert_eq!(contents(&merged.plan.records), all);
            prop_assert_eq!(merged.plan.records.len(), a.len() + merged.added);
            let keys: BTreeSet<&str> = merged.plan.records.iter().map(|r| r.key.as_str()).collect();
            prop_assert_eq!(keys.len(), merged.plan.records.len(), "each has a key of its own");
            prop_assert!(check(&merged.plan).is_ok(), "it can be saved: {:?}", check(&merged.plan));
            prop_assert_eq!(read(write(&merged.plan).as_bytes()).unwrap(), merged.plan);
        }
    }

    fn note(key: &str, text: &str) -> Record {
        Record {
            key: key.to_owned(),
            replaces: None,
            date: None,
            time: String::new(),
            by: String::new(),
            at: None,
            what: Entry::Note { text: text.to_owned() },
        }
    }

    /// A phone whose store was copied gives the same keys as the one it was copied from.
    #[test]
    fn two_contents_of_one_key_are_both_kept_and_told() {
        let (a, b) = (plan(vec![note("k-1", "here")]), plan(vec![note("k-1", "there"), note("k-2", "more")]));
        let merged = merge(&a, &b);
        assert_eq!(merged.plan.records.len(), 3);
        assert_eq!(merged.plan.records[0], note("k-1", "here"), "the lesser keeps the key");
        let (old, new) = &merged.moved[0];
        assert_eq!((old.as_str(), &new[..4], new.len()), ("k-1", "k-1.", 3 + 17));
        assert_eq!(
            merged.told(),
            format!(
                "2 records were added. Two different records had the key k-1: both were kept, one of them as {new}; look at both."
            )
        );
    }

    #[test]
    fn the_desk_keeps_its_drawing_and_says_what_differs() {
        let mut desk = plan(Vec::new());
        desk.job.name = "North (invented)".to_owned();
        desk.products.side_lap = 80;
        let mut other = plan(vec![note("k-1", "a")]);
        other.job.name = "South (invented)".to_owned();
        other.gang.people = 9;
        let merged = merge(&desk, &other);
        assert_eq!(Plan { records: Vec::new(), ..merged.plan.clone() }, desk);
        assert_eq!(
            merged.told(),
            "One record was added. The file is of the job \"South (invented)\", and this one is \"North (invented)\": make sure they are one roof. The plan in the file differs from this one in its products and gang: this one was kept."
        );
        assert_eq!(merge(&desk, &desk).told(), "The file holds no record that was not here already.");
    }

    /// Every part of a plan is named when it differs, those to come too.
    #[test]
    fn a_part_that_is_not_listed_is_told_all_the_same() {
        let other = crate::plan::Plan { ways: vec![crate::plan::Place::default()], ..Plan::default() };
        assert_eq!(
            merge(&Plan::default(), &other).differs.as_deref(),
            Some("The plan in the file differs from this one in its ways off: this one was kept.")
        );
    }
}
