//! Site records: entering, correcting, merging, and that nothing a person does takes one out again.

use crate::hands::{Hands, roof};
use baylap_core::Plan;
use baylap_core::geom::Pt;
use baylap_core::plan::{Date, Entry, Gang, Job, Record, WorkStep};
use baylap_editor::{Change, CommandId, Message, Saved, Session};
use std::sync::Arc;

fn record(key: &str) -> Record {
    Record {
        key: key.to_owned(),
        replaces: None,
        date: Date::new(2026, 11, 30),
        time: "7:40".to_owned(),
        by: "A".to_owned(),
        at: Some(Pt::new(1000, 1000)),
        what: Entry::Done { step: WorkStep::Primed },
    }
}

fn keys(session: &Session) -> Vec<&str> {
    session.plan().records.iter().map(|r| r.key.as_str()).collect()
}

#[test]
fn a_record_is_no_step_and_no_new_layout() {
    let mut h = Hands::on(roof());
    let layout = Arc::new(baylap_core::lay_quick(h.session.plan()));
    h.send(Message::LayoutArrived { revision: h.session.revision(), layout });
    let fx = h.send(Message::Record(record("a-1")));
    assert!(fx.records && fx.save && fx.plan.is_none() && !fx.layout);
    let bay = baylap_core::records::bay_at(h.session.layout(), Pt::new(1000, 1000)).expect("a bay");
    assert_eq!(fx.announce, Some(format!("Bay {bay} is primed.")));
    assert!(h.session.layout_is_current(), "it is laid as before");
    assert!(!h.session.history().can_undo());
    let again = h.send(Message::Record(record("a-1")));
    assert_eq!(again.problem.as_deref(), Some("There is a record a-1 already: enter it again."));
    assert!(h.send(Message::Record(record("a 2"))).problem.is_some(), "no key");
    assert!(h.send(Message::Record(record(&"a".repeat(41)))).problem.is_some(), "a merge needs room");
    assert_eq!(keys(&h.session), ["a-1"]);
}

#[test]
fn undo_and_redo_keep_what_was_recorded() {
    let mut h = Hands::on(roof());
    h.send(Message::Record(record("a-1")));
    h.send(Message::Edit(Change::Gang(Gang { people: 7, ..Gang::default() })));
    h.send(Message::Record(record("a-2")));
    h.undo();
    assert_eq!((h.session.plan().gang.people, keys(&h.session)), (4, vec!["a-1", "a-2"]));
    h.send(Message::Record(record("a-3")));
    h.redo();
    assert_eq!((h.session.plan().gang.people, keys(&h.session)), (7, vec!["a-1", "a-2", "a-3"]));
    h.undo();
    h.undo();
    h.send(Message::Edit(Change::Gang(Gang { people: 5, ..Gang::default() })));
    assert_eq!(keys(&h.session), ["a-1", "a-2", "a-3"]);
}

/// Another job brings its own records, and going back finds those of the old one, before a reload and after.
#[test]
fn each_job_keeps_its_own_records() {
    for reload in [false, true] {
        let mut h = Hands::on(roof());
        h.send(Message::Record(record("a-1")));
        let job = Job { name: "Invented hall".to_owned(), ..Job::default() };
        h.send(Message::Loaded(Plan { job, records: vec![record("b-1")], ..roof() }));
        h.send(Message::Record(record("b-2")));
        h.send(Message::Edit(Change::Gang(Gang { people: 9, ..Gang::default() })));
        h.send(Message::Record(record("b-3")));
        if reload {
            let text = serde_json::to_string(&h.session.to_saved()).expect("it serialises");
            let saved: Saved = serde_json::from_str(&text).expect("it reads");
            h.session = Session::from_saved(saved).expect("it is sound");
        }
        h.undo();
        assert_eq!(keys(&h.session), ["b-1", "b-2", "b-3"]);
        h.undo();
        assert_eq!((h.session.plan().job.name.as_str(), keys(&h.session)), ("", vec!["a-1"]));
        h.redo();
        assert_eq!(keys(&h.session), ["b-1", "b-2", "b-3"], "reload: {reload}");
        h.send(Message::Command(CommandId::NewPlan));
        assert_eq!(keys(&h.session), Vec::<&str>::new());
        h.undo();
        assert_eq!(keys(&h.session), ["b-1", "b-2", "b-3"]);
    }
}

/// An older file of the same job opened over it takes nothing out, and neither does going back.
#[test]
fn an_older_file_of_the_same_job_takes_no_record_out() {
    let job = Job { name: "Invented hall".to_owned(), ..Job::default() };
    let older = Plan { job, records: vec![record("a-1")], ..roof() };
    let mut h = Hands::on(older.clone());
    h.send(Message::Record(record("a-2")));
    h.send(Message::Loaded(Plan { gang: Gang { people: 8, ..Gang::default() }, ..older }));
    assert_eq!((h.session.plan().gang.people, keys(&h.session)), (8, vec!["a-1", "a-2"]));
    h.send(Message::Record(record("a-3")));
    h.undo();
    assert_eq!((h.session.plan().gang.people, keys(&h.session)), (4, vec!["a-1", "a-2", "a-3"]));
}

/// What is kept of an earlier program has no word of other jobs.
#[test]
fn saved_work_without_records_is_read() {
    let mut h = Hands::on(roof());
    h.send(Message::Edit(Change::Gang(Gang { people: 9, ..Gang::default() })));
    let mut kept = serde_json::to_value(h.session.to_saved()).expect("it serialises");
    assert!(kept.as_object_mut().expect("an object").remove("other_jobs").is_some());
    let saved: Saved = serde_json::from_value(kept).expect("it reads");
    h.session = Session::from_saved(saved).expect("it is sound");
    h.undo();
    assert_eq!(**h.session.plan(), roof());
}

#[test]
fn the_records_of_another_device_are_merged() {
    let mut h = Hands::on(roof());
    h.send(Message::Record(record("a-1")));
    let mut other = roof();
    other.gang.people = 11;
    other.records = vec![record("a-1"), record("b-1"), record("b-2")];
    let fx = h.send(Message::MergeRecords(other.clone()));
    assert!(fx.records && fx.save && fx.plan.is_none());
    assert_eq!(
        fx.announce.as_deref(),
        Some(
            "2 records were added. The plan in the file differs from this one in its gang: this one was kept."
        )
    );
    assert_eq!((h.session.plan().gang.people, keys(&h.session)), (4, vec!["a-1", "b-1", "b-2"]));
    let fx = h.send(Message::MergeRecords(other));
    assert!(!fx.records && !fx.save, "a second time changes nothing");
}

#[test]
fn settings_of_the_records_are_typed() {
    let mut h = Hands::on(roof());
    h.typed("recording.sheet", "2");
    h.typed("recording.allowance", "0.2");
    h.typed("recording.reading_area", "25");
    h.typed("recording.reading_clear", "200");
    let set = &h.session.plan().recording;
    assert_eq!((set.sheet, set.allowance, set.reading_area, set.reading_clear), (Some(200), 20, 2500, 200));
    assert!(h.typed("recording.reading_area", "0").problem.is_some());
    h.typed("recording.sheet", "");
    assert_eq!(h.session.plan().recording.sheet, None);
}
