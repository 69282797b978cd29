//! Undo, redo, saving.

use crate::hands::{Hands, roof};
use baylap_core::Plan;
use baylap_core::plan::Place;
use baylap_core::plan::{Gang, Job};
use baylap_editor::{Change, CommandId, Message, Saved, Selection, Session, Stage, Thing, Tool};

#[test]
fn clear_load_and_settings_are_undone_too() {
    let mut h = Hands::on(roof());
    h.send(Message::Command(CommandId::NewPlan));
    assert_eq!(**h.session.plan(), Plan::default());
    let other = Plan { job: Job { name: "Invented hall".to_owned(), ..Job::default() }, ..roof() };
    h.send(Message::Loaded(other.clone()));
    h.send(Message::Edit(Change::Gang(Gang { people: 9, ..Gang::default() })));
    h.undo();
    assert_eq!(**h.session.plan(), other);
    h.undo();
    assert_eq!(**h.session.plan(), Plan::default());
    h.undo();
    assert_eq!(**h.session.plan(), roof());
    (0..3).for_each(|_| drop(h.redo()));
    assert_eq!(h.session.plan().gang.people, 9);
}

#[test]
fn a_bad_plan_is_refused_and_the_old_one_kept() {
    let mut h = Hands::on(roof());
    let mut bad = roof();
    bad.outlets[0].id = 1;
    assert!(h.send(Message::Loaded(bad)).problem.is_some());
    assert_eq!(**h.session.plan(), roof());
    assert!(h.session.problem().is_some());
    h.send(Message::Dismiss);
    assert!(h.session.problem().is_none());
}

#[test]
fn ids_are_never_used_again() {
    let mut h = Hands::on(roof());
    h.tool(Tool::Outlet);
    h.click([4000, 1000]);
    h.key("Delete");
    h.click([4000, 1000]);
    h.undo();
    h.click([5000, 1000]);
    let ids: Vec<u32> = h.session.plan().outlets.iter().map(|o| o.id).collect();
    assert_eq!(ids, [3, 6]);
}

#[test]
fn undo_works_after_a_reload() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Thing(1))));
    h.drag([10_000, 3000], [11_000, 3000]);
    h.typed("gang.people", "7");
    h.undo();
    h.send(Message::SetStage(Stage::Days));
    let text = serde_json::to_string(&h.session.to_saved()).expect("it serialises");
    let saved: Saved = serde_json::from_str(&text).expect("it reads back");
    let mut again = Hands { session: Session::from_saved(saved).expect("it is sound"), time_ms: 0.0 };
    assert_eq!(again.session.plan(), h.session.plan());
    assert_eq!(again.session.stage(), Stage::Days);
    assert_eq!(again.session.camera(), h.session.camera());
    again.redo();
    assert_eq!(again.session.plan().gang.people, 7);
    again.undo();
    again.undo();
    assert_eq!(**again.session.plan(), roof());
}

#[test]
fn at_most_fifty_steps_are_saved_and_the_newest_ones() {
    let mut h = Hands::on(roof());
    for n in 1..=60 {
        h.send(Message::Edit(Change::Gang(Gang { people: n, ..Gang::default() })));
    }
    let saved = h.session.to_saved();
    assert_eq!(saved.undo.len(), 50);
    assert_eq!(saved.undo.last().map(|p| p.gang.people), Some(59));
}

#[test]
fn damaged_work_is_refused_with_a_sentence() {
    let saved = Hands::on(roof()).session.to_saved();
    let newer = Saved { version: 2, ..saved.clone() };
    assert!(Session::from_saved(newer).expect_err("newer").ends_with('.'));
    let mut damaged = saved;
    damaged.undo.push({
        let mut bad = roof();
        bad.decks[0].id = 3;
        bad
    });
    assert!(Session::from_saved(damaged).expect_err("damaged").contains("damaged"));
}

#[test]
fn a_refused_change_is_no_step() {
    let mut h = Hands::on(roof());
    let fx = h.send(Message::Edit(Change::Delete(99)));
    assert!(fx.problem.is_some() && fx.plan.is_none());
    assert!(!h.session.history().can_undo());
}

#[test]
fn a_run_of_edits_is_one_step() {
    let mut h = Hands::on(roof());
    for n in 5..9 {
        h.send(Message::EditRun(Change::Gang(Gang { people: n, ..Gang::default() })));
    }
    assert_eq!(h.session.history().undo_len(), 1);
    h.send(Message::FieldLeft);
    h.send(Message::EditRun(Change::Gang(Gang::default())));
    assert_eq!(h.session.history().undo_len(), 2);
}

#[test]
fn several_new_things_at_once_have_ids_of_their_own() {
    let mut h = Hands::on(roof());
    let way = || Change::Put(Thing::Way(Place::default()));
    assert_eq!(h.send(Message::Edit(Change::All(vec![way(), way()]))).problem, None);
    let ids: Vec<u32> = h.session.plan().ways.iter().map(|w| w.id).collect();
    assert_eq!(ids, [4, 5]);
    h.undo();
    assert_eq!(**h.session.plan(), roof(), "together they are one step");
}

#[test]
fn a_wrong_text_does_not_follow_into_another_plan() {
    let mut h = Hands::on(roof());
    h.typed("gang.people", "many");
    let settings = |h: &Hands| h.session.settings(baylap_editor::Panel::Gang);
    assert!(h.field(&settings(&h), "gang.people").1.is_some());
    h.send(Message::Loaded(Plan::default()));
    assert_eq!(h.field(&settings(&h), "gang.people"), ("4".to_owned(), None));
}
