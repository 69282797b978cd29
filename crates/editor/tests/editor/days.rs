//! The programme as somebody at the screen uses it: bays tied to a day, the job shown at a moment, a day selected.

use crate::hands::{Hands, roof};
use baylap_core::geom::Pt;
use baylap_core::layout::days::{Day, GangOut, Turn};
use baylap_core::layout::{Bay, Days};
use baylap_core::plan::{NamedGang, Tie};
use baylap_core::{Layout, Plan};
use baylap_editor::{BayState, Message, Modifiers, Moment, Phase, PointerKind, Px, Selection, Stage, TieTo};
use std::sync::Arc;

/// Four bays side by side, numbered in the order given from the left; two on each day.
fn laid(order: [u32; 4], dated: bool) -> Arc<Layout> {
    let bay = |(n, number): (i64, u32)| {
        let x = n * 2_500;
        let ring = [[x, 0], [x + 2_500, 0], [x + 2_500, 6_000], [x, 6_000]];
        Bay {
            number,
            zone: 1,
            area: vec![vec![ring.into_iter().map(Pt::from).collect()]],
            label: Pt::new(x + 1_250, 3_000),
            ..Bay::default()
        }
    };
    let mut bays: Vec<Bay> = (0..).zip(order).map(bay).collect();
    bays.sort_by_key(|b| b.number);
    let turn = |bay, gang, from| Turn { bay, gang, from, to: from + 100 };
    let day = |number: u32, turns: Vec<Turn>| Day {
        number,
        date: dated.then(|| format!("2026-12-0{number}").parse().expect("a date")),
        turns,
        ..Day::default()
    };
    let days =
        vec![day(1, vec![turn(1, 1, 60), turn(2, 2, 60)]), day(2, vec![turn(3, 1, 60), turn(4, 1, 160)])];
    let gangs = vec![GangOut { id: 21, ..GangOut::default() }, GangOut { id: 22, ..GangOut::default() }];
    Arc::new(Layout { bays, days: Some(Days { days, gangs, ..Days::default() }), ..Layout::default() })
}

fn plan() -> Plan {
    let mut plan = roof();
    let gang = |id| NamedGang { id, people: 4, ..NamedGang::default() };
    plan.programme.gangs = vec![gang(21), gang(22)];
    plan
}

/// Somebody at the screen with that layout on it.
fn hands(dated: bool) -> Hands {
    let mut h = Hands::on(plan());
    h.send(Message::LayoutArrived { revision: 0, layout: laid([1, 2, 3, 4], dated) });
    h
}

fn ties(h: &Hands) -> Vec<Tie> {
    h.session.plan().programme.ties.clone()
}

/// The layout of the plan as it is now, its bays numbered in another order.
fn arrive(h: &mut Hands, order: [u32; 4]) {
    let revision = h.session.revision();
    h.send(Message::LayoutArrived { revision, layout: laid(order, false) });
}

#[test]
fn a_bay_is_tied_to_a_day_and_let_go() {
    let mut h = hands(false);
    let fx = h.send(Message::Tie { bay: 4, to: TieTo::Day { day: 1, gang: None } });
    assert_eq!(fx.announce.as_deref(), Some("Bay 4 is tied to day 1. The order is looked for again."));
    let [tie] = ties(&h).try_into().expect("one tie");
    assert_eq!((tie.at, tie.day, tie.date, tie.gang), (Pt::new(8_750, 3_000), Some(1), None, None));
    assert_eq!(tie.id, 23, "an id that nothing else has");
    h.send(Message::Tie { bay: 4, to: TieTo::Day { day: 2, gang: Some(2) } });
    let [again] = ties(&h).try_into().expect("the same tie, not a second");
    assert_eq!((again.id, again.day, again.gang), (23, Some(2), Some(22)));
    h.send(Message::Tie { bay: 4, to: TieTo::AnyDay });
    assert_eq!(ties(&h)[0].gang, Some(22), "the gang stays");
    h.send(Message::Tie { bay: 4, to: TieTo::Nothing });
    assert!(ties(&h).is_empty());
    while h.session.history().undo_len() > 0 {
        h.undo();
    }
    assert_eq!(**h.session.plan(), plan(), "every step is undone");
}

#[test]
fn where_days_have_dates_the_tie_is_to_the_date() {
    let mut h = hands(true);
    h.send(Message::Tie { bay: 1, to: TieTo::Day { day: 2, gang: None } });
    let tie = &ties(&h)[0];
    assert_eq!((tie.day, tie.date.map(|d| d.to_string())), (None, Some("2026-12-02".to_owned())));
    assert_eq!(baylap_editor::tie::words(h.session.plan(), tie), "Tied to Wed 2026-12-02");
}

#[test]
fn a_tie_to_what_is_not_there_is_refused_in_one_sentence() {
    let mut h = hands(false);
    for (bay, day, about) in [(9, 1, "no bay 9"), (1, 7, "no day 7")] {
        let fx = h.send(Message::Tie { bay, to: TieTo::Day { day, gang: None } });
        assert!(fx.problem.is_some_and(|p| p.contains(about)), "{about}");
    }
    assert!(ties(&h).is_empty());
}

#[test]
fn a_bay_that_stays_selected_is_the_same_place_of_the_roof() {
    let mut h = hands(false);
    h.send(Message::Select(Some(Selection::Bay(4))));
    h.send(Message::Tie { bay: 4, to: TieTo::Day { day: 1, gang: None } });
    arrive(&mut h, [2, 3, 4, 1]);
    assert_eq!(h.session.selection(), Some(Selection::Bay(1)), "the bay on the right is the first one now");
    arrive(&mut h, [1, 2, 3, 4]);
    assert_eq!(h.session.selection(), Some(Selection::Bay(4)));
}

#[test]
fn the_job_is_shown_at_a_moment() {
    use BayState::{Before, Done, Now, ToCome};
    let mut h = hands(false);
    let before = h.session.revision();
    assert_eq!(h.session.played(), None);
    let fx = h.send(Message::ShowMoment(Some(Moment { day: 2, turn: Some(2) })));
    assert_eq!(h.session.stage(), Stage::Days, "the stage that shows it");
    assert!(fx.overlay && fx.announce.is_some_and(|a| a.contains("Day 2 of 2: bay 4 begun 2:40 h")));
    assert_eq!(h.session.played(), Some(vec![(1, Before), (2, Before), (3, Done), (4, Now)]));
    h.send(Message::SetStage(Stage::Rolls));
    assert_eq!(h.session.played(), None, "another stage is not about it");
    h.send(Message::SetStage(Stage::Days));
    h.send(Message::ShowMoment(Some(Moment { day: 1, turn: None })));
    assert_eq!(h.session.played(), Some(vec![(1, Now), (2, Now), (3, ToCome), (4, ToCome)]));
    h.send(Message::ShowMoment(Some(Moment { day: 9, turn: None })));
    assert_eq!(h.session.moment(), Some(Moment { day: 2, turn: None }), "no day beyond the last");
    h.send(Message::ShowMoment(None));
    assert_eq!((h.session.played(), h.session.revision()), (None, before));
    assert_eq!(h.session.history().undo_len(), 0, "looking is no step of the work");
    h.send(Message::ShowMoment(Some(Moment { day: 1, turn: None })));
    h.send(Message::Loaded(Plan::default()));
    assert_eq!(h.session.moment(), None);
}

#[test]
fn a_day_is_selected_with_its_bays() {
    let mut h = hands(false);
    h.send(Message::Show(Selection::Day(2)));
    assert_eq!(h.session.regions_of(Selection::Day(2)).len(), 2);
    assert_eq!(h.session.title_of(Selection::Day(2)), "Day 2");
    h.send(Message::Hover(Some(Selection::Day(1))));
    let marks = h.session.overlay().marks.len();
    assert!(marks >= 4, "both days are outlined: {marks}");
    h.send(Message::Select(Some(Selection::Day(3))));
    assert_eq!(h.session.selection(), None);
    // While the order is looked for again there are no days; the one selected comes back with them.
    h.send(Message::Select(Some(Selection::Day(2))));
    let mut looking = Layout::clone(&laid([1, 2, 3, 4], false));
    looking.days = None;
    h.send(Message::LayoutArrived { revision: 0, layout: Arc::new(looking) });
    assert_eq!(h.session.selection(), Some(Selection::Day(2)));
}

fn bad_plan(name: &str) -> baylap_core::Plan {
    let path = format!("{}/../../demo-data/bad/{name}", env!("CARGO_MANIFEST_DIR"));
    baylap_core::plan::file::read_any(&std::fs::read(path).expect("the file")).expect("a plan")
}

#[test]
fn every_block_that_is_marked_has_its_sentence_beside_the_strip() {
    for name in ["tie-cuts-off.json", "tie-shuts-in.json", "tie-day.json", "tie-turn.json"] {
        let plan = bad_plan(name);
        let layout = baylap_core::lay(&plan);
        let strip = baylap_editor::strip::strip(&plan, &layout).expect("days");
        let said: std::collections::BTreeSet<u32> = baylap_editor::tie::findings(&layout)
            .filter_map(|f| if let baylap_core::About::Bay(n) = f.about { Some(n) } else { None })
            .collect();
        let blocks = strip.columns.iter().filter_map(|c| match c {
            baylap_editor::strip::Column::Day(day) => Some(&day.blocks),
            _ => None,
        });
        let marked: Vec<u32> = blocks.flatten().filter(|b| b.wrong).map(|b| b.bay).collect();
        assert!(
            !marked.is_empty() && marked.iter().all(|bay| said.contains(bay)),
            "{name}: {marked:?} of {said:?}"
        );
    }
}

/// The middle of a bay of [`laid`] by its place from the left.
fn middle_of(n: i64) -> [i64; 2] {
    [n * 2_500 + 1_250, 3_000]
}

#[test]
fn a_selected_bay_is_carried_to_the_day_of_another() {
    let mut h = hands(false);
    h.send(Message::SetStage(Stage::Days));
    h.send(Message::Select(Some(Selection::Bay(4))));
    h.drag_held(middle_of(3), middle_of(1));
    let over = h.session.overlay();
    assert_eq!(over.cursor, "grabbing");
    assert!(over.labels.iter().any(|l| l.text == "Bay 4: day 1, gang 2"), "{:?}", over.labels);
    assert!(ties(&h).is_empty(), "nothing before it is let go");
    let at = h.px(middle_of(1));
    let fx = h.pointer(Phase::Up, 1, PointerKind::Mouse, at, Modifiers::default());
    assert!(fx.announce.is_some_and(|said| said.starts_with("Bay 4 is tied to day 1, gang 2.")));
    let [tie] = ties(&h).try_into().expect("one tie");
    assert_eq!((tie.at, tie.day, tie.gang), (Pt::from(middle_of(3)), Some(1), Some(22)));
    h.undo();
    assert_eq!(**h.session.plan(), plan(), "one step");
}

#[test]
fn over_a_bay_of_its_day_and_gang_it_takes_the_turn() {
    let mut h = hands(false);
    h.send(Message::SetStage(Stage::Days));
    h.send(Message::Select(Some(Selection::Bay(4))));
    let fx = h.drag(middle_of(3), middle_of(2));
    assert!(fx.announce.is_some_and(|said| said.starts_with("Bay 4 is tied to turn 3.")));
    let [tie] = ties(&h).try_into().expect("one tie");
    assert_eq!((tie.turn, tie.day, tie.gang), (Some(3), None, None));
}

#[test]
fn a_bay_that_is_given_up_or_goes_nowhere_stays_as_it_was() {
    let mut h = hands(false);
    h.send(Message::SetStage(Stage::Days));
    h.send(Message::Select(Some(Selection::Bay(4))));
    let view = *h.session.camera();
    for to in [[9_500, 4_000], [20_000, 3_000]] {
        let fx = h.drag(middle_of(3), to);
        assert_eq!(fx.announce.as_deref(), Some("Bay 4 stays as it was."), "to {to:?}");
    }
    h.drag_held(middle_of(3), middle_of(0));
    h.key("Escape");
    let at = h.px(middle_of(0));
    h.pointer(Phase::Up, 1, PointerKind::Mouse, at, Modifiers::default());
    // A second finger moves the view and lets the bay go.
    h.drag_held(middle_of(3), middle_of(0));
    h.pointer(Phase::Down, 2, PointerKind::Touch, Px::new(10.0, 10.0), Modifiers::default());
    assert!(!h.session.is_dragging());
    h.pointer(Phase::Cancel, 2, PointerKind::Touch, Px::new(10.0, 10.0), Modifiers::default());
    h.pointer(Phase::Up, 1, PointerKind::Mouse, at, Modifiers::default());
    assert!(ties(&h).is_empty());
    assert_eq!((*h.session.camera(), h.session.history().undo_len()), (view, 0));
}

#[test]
fn only_a_selected_bay_is_carried_and_only_among_the_days() {
    let mut h = hands(false);
    h.send(Message::SetStage(Stage::Days));
    let view = *h.session.camera();
    h.drag(middle_of(3), middle_of(1));
    assert_ne!(*h.session.camera(), view, "a bay that is not selected moves the view");
    h.send(Message::SetStage(Stage::Rolls));
    h.send(Message::Select(Some(Selection::Bay(4))));
    h.drag(middle_of(1), middle_of(3));
    assert!(ties(&h).is_empty());
    // By finger as by mouse, once it is selected.
    h.send(Message::SetStage(Stage::Days));
    let (from, to) = (h.px(middle_of(3)), h.px(middle_of(0)));
    h.pointer(Phase::Down, 5, PointerKind::Touch, from, Modifiers::default());
    h.pointer(Phase::Move, 5, PointerKind::Touch, to, Modifiers::default());
    let words = h.session.overlay().labels.iter().map(|l| l.text.clone()).collect::<Vec<_>>();
    assert!(words.contains(&"Bay 4: day 1, gang 1".to_owned()), "{words:?}");
    h.pointer(Phase::Up, 5, PointerKind::Touch, to, Modifiers::default());
    assert_eq!(ties(&h).len(), 1);
}

#[test]
fn people_leave_over_bays_that_nobody_has_begun() {
    use baylap_core::plan::Place;
    let mut plan = plan();
    plan.ways = vec![Place { id: 31, name: String::new(), at: Pt::new(0, 3_000) }];
    let mut layout = Layout::clone(&laid([3, 4, 2, 1], false));
    let beside = |number: u32| match number {
        3 => vec![4],
        4 => vec![3, 2],
        2 => vec![4, 1],
        _ => vec![2],
    };
    layout.bays.iter_mut().for_each(|bay| bay.beside = beside(bay.number));
    let said = |layout: &Layout, turn: Option<u32>| -> Vec<String> {
        let ways = baylap_editor::playing::ways_off(&plan, layout, Moment { day: 1, turn });
        ways.iter().map(baylap_editor::playing::way_words).collect()
    };
    // Both bays are begun at once: the outer one is shut in and is left to the findings.
    assert_eq!(said(&layout, Some(2)), ["Way off bay 2: over bays 4, 3"]);
    // When the inner one is begun as the outer one is done, both have a way.
    let days = layout.days.as_mut().expect("days");
    days.days[0].turns[1].from = 160;
    days.days[0].turns[1].to = 260;
    assert_eq!(said(&layout, Some(1)), ["Way off bay 1: over bays 2, 4, 3"]);
    assert_eq!(said(&layout, Some(2)), ["Way off bay 2: over bays 4, 3"]);
    let fx_layout = Arc::new(layout);
    let mut h = Hands::on(plan.clone());
    h.send(Message::LayoutArrived { revision: 0, layout: fx_layout });
    assert!(h.session.ways_off().is_empty(), "no moment is shown");
    h.send(Message::ShowMoment(Some(Moment { day: 1, turn: Some(1) })));
    assert_eq!(h.session.ways_off().len(), 1);
}
