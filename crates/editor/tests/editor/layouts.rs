//! Layouts that come from the worker: stale ones are dropped, what is selected in them is found.

use crate::hands::{Hands, roof};
use baylap_core::Layout;
use baylap_core::geom::Pt;
use baylap_core::layout::{Bay, Piece, Zone};
use baylap_core::plan::{Direction, Gang};
use baylap_core::{About, Plan};
use baylap_editor::{Change, Message, Selection, Stage};
use std::sync::Arc;

fn rect(x0: i64, x1: i64) -> Vec<Vec<Vec<Pt>>> {
    vec![vec![vec![Pt::new(x0, 0), Pt::new(x1, 0), Pt::new(x1, 6000), Pt::new(x0, 6000)]]]
}

fn layout(bays: u32) -> Arc<Layout> {
    let width = 10_000 / i64::from(bays);
    let bay = |n: u32| {
        let x = width * i64::from(n - 1);
        let area = rect(x, x + width);
        Bay {
            number: n,
            zone: 1,
            area,
            label: Pt::new(x + width / 2, 3000),
            pieces: vec![n],
            ..Bay::default()
        }
    };
    let piece = |n: u32| {
        let x = width * i64::from(n - 1);
        Piece { number: n, zone: 1, bay: n, roll: 1, as_laid: rect(x, x + width), ..Piece::default() }
    };
    let zone = Zone { number: 1, deck: 1, direction_mdeg: 90_000, area: rect(0, 10_000), ..Zone::default() };
    Arc::new(Layout {
        zones: vec![zone],
        bays: (1..=bays).map(bay).collect(),
        pieces: (1..=bays).map(piece).collect(),
        ..Layout::default()
    })
}

#[test]
fn stale_layouts_are_dropped() {
    let mut h = Hands::on(roof());
    for people in 5..8 {
        h.send(Message::Edit(Change::Gang(Gang { people, ..Gang::default() })));
    }
    let mut arrive =
        |revision, bays| h.send(Message::LayoutArrived { revision, layout: layout(bays) }).layout;
    assert!(arrive(1, 2), "an older one is better than none");
    assert!(arrive(2, 3));
    assert!(!arrive(1, 4), "older than the one held");
    assert!(!arrive(2, 3), "the same again");
    assert!(arrive(2, 4), "a better one of the same plan");
    assert!(!arrive(9, 4), "of a plan that never was");
    assert!(arrive(3, 5));
    assert_eq!(h.session.layout().bays.len(), 5);
    assert!(h.session.layout_is_current());
    h.undo();
    assert!(!h.session.layout_is_current());
}

#[test]
fn a_layout_of_the_plan_before_loading_is_dropped() {
    let mut h = Hands::on(roof());
    let revision = h.session.revision();
    h.send(Message::Loaded(Plan::default()));
    assert!(!h.send(Message::LayoutArrived { revision, layout: layout(2) }).layout);
    assert!(h.session.layout().bays.is_empty());
}

#[test]
fn bays_and_pieces_are_found_where_the_stage_is_about_them() {
    let mut h = Hands::on(roof());
    h.send(Message::LayoutArrived { revision: 0, layout: layout(2) });
    for (stage, what) in [
        (Stage::Deck, Selection::Thing(1)),
        (Stage::Rolls, Selection::Piece(2)),
        (Stage::Days, Selection::Bay(2)),
    ] {
        h.send(Message::SetStage(stage));
        h.click([9000, 5000]);
        assert_eq!(h.session.selection(), Some(what), "{stage:?}");
    }
    let lost = h.send(Message::Select(Some(Selection::Bay(3))));
    assert_eq!(h.session.selection(), None, "what does not exist is not selected");
    assert!(lost.selection);
}

#[test]
fn a_bay_that_is_gone_is_no_longer_selected() {
    let mut h = Hands::on(roof());
    h.send(Message::LayoutArrived { revision: 0, layout: layout(2) });
    h.send(Message::Select(Some(Selection::Bay(2))));
    h.send(Message::Edit(Change::Gang(Gang { people: 5, ..Gang::default() })));
    assert_eq!(h.session.selection(), Some(Selection::Bay(2)));
    h.send(Message::LayoutArrived { revision: 1, layout: layout(1) });
    assert_eq!(h.session.selection(), Some(Selection::Bay(1)), "the bay that lies there now");
    h.send(Message::Edit(Change::Gang(Gang { people: 6, ..Gang::default() })));
    h.send(Message::LayoutArrived { revision: 2, layout: Arc::new(Layout::default()) });
    assert_eq!(h.session.selection(), None, "no bay lies there");
}

#[test]
fn what_the_pointer_is_over_goes_with_its_layout() {
    let mut h = Hands::on(roof());
    h.send(Message::SetStage(Stage::Days));
    h.send(Message::LayoutArrived { revision: 0, layout: layout(2) });
    h.move_to([9000, 5000]);
    assert_eq!(h.session.hovered(), Some(Selection::Bay(2)));
    h.send(Message::Edit(Change::Gang(Gang { people: 5, ..Gang::default() })));
    h.send(Message::LayoutArrived { revision: 1, layout: layout(1) });
    assert_eq!(h.session.hovered(), None);
}

#[test]
fn a_direction_drawn_again_in_a_zone_replaces_the_first() {
    let mut h = Hands::on(roof());
    h.send(Message::LayoutArrived { revision: 0, layout: layout(2) });
    for to in [[9000, 1000], [1000, 5000]] {
        h.tool(baylap_editor::Tool::Direction);
        h.click([1000, 1000]);
        h.click(to);
    }
    let zones = &h.session.plan().zones;
    assert_eq!(zones.len(), 1);
    assert_eq!(zones[0].direction, Direction::Along { from: Pt::new(1000, 1000), to: Pt::new(1000, 5000) });
}

#[test]
fn the_direction_of_a_zone_is_set_from_its_bay() {
    let mut h = Hands::on(roof());
    h.send(Message::LayoutArrived { revision: 0, layout: layout(2) });
    h.send(Message::Select(Some(Selection::Bay(2))));
    let groups = h.session.fields();
    assert_eq!(h.field(&groups, "zone/1/angle").0, "90°");
    h.typed("zone/1/angle", "30");
    h.typed("zone/1/start", "left");
    assert_eq!(h.session.plan().zones.len(), 1, "the same settings are changed");
    assert_eq!(h.session.plan().zones[0].direction, Direction::Angle { mdeg: 30_000 });
    h.typed("zone/1/direction", "longest_wall");
    assert_eq!(h.session.plan().zones[0].direction, Direction::LongestWall);
}

#[test]
fn the_place_of_a_finding_is_shown() {
    let mut h = Hands::on(roof());
    h.send(Message::LayoutArrived { revision: 0, layout: layout(10) });
    let at = h.px([9000, 5000]);
    for _ in 0..6 {
        let (dx, modifiers) = (0.0, baylap_editor::Modifiers::default());
        h.send(Message::Wheel { at, dx, dy: -500.0, modifiers });
    }
    let corner = Pt::new(0, 0);
    assert!(!h.session.camera().sees(corner, 0.0));
    h.send(Message::ShowPlace(corner));
    assert!(h.session.camera().sees(corner, 10.0));
    let about = Selection::of(&About::Bay(9)).expect("a bay can be selected");
    h.send(Message::Show(about));
    assert_eq!(h.session.selection(), Some(Selection::Bay(9)));
    assert!(h.session.camera().sees(Pt::new(8500, 3000), 10.0));
    assert_eq!(Selection::of(&About::Setting("gang.people".to_owned())), None);
}

/// With the engine itself: what is drawn is laid, what is laid is found and turned.
#[test]
fn a_drawn_roof_is_laid_and_its_direction_turned() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    for p in [[0, 0], [12_000, 0], [12_000, 8000], [0, 8000]] {
        h.click(p);
    }
    h.key("Enter");
    let arrive = |h: &mut Hands| {
        let (revision, layout) = (h.session.revision(), Arc::new(baylap_core::lay(h.session.plan())));
        assert!(h.send(Message::LayoutArrived { revision, layout }).layout);
    };
    arrive(&mut h);
    h.send(Message::SetStage(Stage::Rolls));
    h.click([6000, 4300]);
    assert!(matches!(h.session.selection(), Some(Selection::Piece(_))), "{:?}", h.session.selection());
    let groups = h.session.fields();
    assert_eq!(h.field(&groups, "zone/1/angle").0, "0°", "along the longest wall");
    h.typed("zone/1/angle", "90");
    arrive(&mut h);
    assert_eq!(h.session.layout().zones[0].direction_mdeg, 90_000);
    h.undo();
    arrive(&mut h);
    assert_eq!(h.session.layout().zones[0].direction_mdeg, 0);
}
