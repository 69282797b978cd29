//! Fingers and pens. Thresholds: two fingers never set a point, a slide under 8 px is a tap, a hand that rests beside
//! the pen sets nothing (requirements U11 to U13 of the users' study).

use crate::hands::{Hands, roof};
use baylap_core::Plan;
use baylap_editor::{CommandId, Message, Modifiers, Phase, PointerKind, Px, Selection, Tool};

impl Hands {
    #[track_caller]
    fn finger(&mut self, phase: Phase, id: i32, at: Px) {
        self.pointer(phase, id, PointerKind::Touch, at, Modifiers::default());
    }

    #[track_caller]
    fn tap(&mut self, at: Px, slide: f64) {
        self.finger(Phase::Down, 1, at);
        self.finger(Phase::Move, 1, Px::new(at.x + slide, at.y));
        self.finger(Phase::Up, 1, Px::new(at.x + slide, at.y));
    }
}

fn points(h: &Hands) -> usize {
    h.session.overlay().handles.len()
}

#[test]
fn two_fingers_zoom_and_never_set_a_point() {
    let mut h = Hands::on(Plan::default());
    h.tool(Tool::Deck);
    h.tap(Px::new(300.0, 300.0), 0.0);
    assert_eq!(points(&h), 1);
    for round in 0..100 {
        let spread = f64::from(round % 7) * 10.0 + 20.0;
        let before = h.session.camera().scale;
        h.finger(Phase::Down, 1, Px::new(400.0, 300.0));
        if round % 2 == 0 {
            h.finger(Phase::Move, 1, Px::new(403.0, 302.0));
        }
        h.finger(Phase::Down, 2, Px::new(500.0, 300.0));
        h.finger(Phase::Move, 2, Px::new(500.0 + spread, 300.0));
        h.finger(Phase::Move, 1, Px::new(400.0 - spread, 300.0));
        assert!(h.session.camera().scale > before);
        h.finger(Phase::Up, if round % 3 == 0 { 1 } else { 2 }, Px::new(500.0 + spread, 300.0));
        h.finger(Phase::Move, if round % 3 == 0 { 2 } else { 1 }, Px::new(600.0, 400.0));
        h.finger(Phase::Up, if round % 3 == 0 { 2 } else { 1 }, Px::new(600.0, 400.0));
        h.send(Message::Command(CommandId::ZoomFit));
        assert_eq!(points(&h), 1, "round {round}");
    }
    assert!(h.session.plan().decks.is_empty());
}

#[test]
fn a_finger_put_down_again_while_the_other_rests_sets_nothing() {
    let mut h = Hands::on(Plan::default());
    h.tool(Tool::Deck);
    h.finger(Phase::Down, 1, Px::new(400.0, 300.0));
    h.finger(Phase::Down, 2, Px::new(500.0, 300.0));
    h.finger(Phase::Up, 2, Px::new(500.0, 300.0));
    h.finger(Phase::Down, 3, Px::new(600.0, 300.0));
    h.finger(Phase::Up, 3, Px::new(600.0, 300.0));
    h.finger(Phase::Up, 1, Px::new(400.0, 300.0));
    assert_eq!(points(&h), 0);
    h.tap(Px::new(400.0, 300.0), 0.0);
    assert_eq!(points(&h), 1, "all fingers up: ready again");
}

#[test]
fn what_is_under_the_fingers_stays_under_them() {
    let mut h = Hands::on(roof());
    let (a, b) = (Px::new(300.0, 300.0), Px::new(500.0, 300.0));
    let (pa, pb) = (h.session.camera().to_plan_f(a), h.session.camera().to_plan_f(b));
    h.finger(Phase::Down, 1, a);
    h.finger(Phase::Down, 2, b);
    let (a, b) = (Px::new(250.0, 350.0), Px::new(550.0, 350.0));
    h.finger(Phase::Move, 1, a);
    h.finger(Phase::Move, 2, b);
    for ((x, y), at) in [(pa, a), (pb, b)] {
        let now = h.session.camera().to_px_f(x, y);
        assert!(now.distance(at) < 60.0, "{now:?} is near {at:?}");
    }
    assert!(
        (h.session.camera().to_px_f(pa.0, pa.1).x - h.session.camera().to_px_f(pb.0, pb.1).x).abs() > 280.0
    );
}

#[test]
fn a_tap_may_slide_under_8_px_and_a_longer_one_pans() {
    let mut h = Hands::on(Plan::default());
    h.tool(Tool::Deck);
    h.tap(Px::new(300.0, 300.0), 7.5);
    assert_eq!(points(&h), 1);
    let x = h.session.camera().x;
    h.tap(Px::new(500.0, 300.0), 30.0);
    assert_eq!(points(&h), 1);
    assert!(h.session.camera().x < x);
}

#[test]
fn a_finger_drags_only_what_is_selected() {
    let mut h = Hands::on(roof());
    let (from, to) = (h.px([2000, 1500]), h.px([3000, 1500]));
    let slide = |h: &mut Hands| {
        h.finger(Phase::Down, 1, from);
        h.finger(Phase::Move, 1, Px::new(from.x + 10.0, from.y));
        h.finger(Phase::Move, 1, to);
        h.finger(Phase::Up, 1, to);
    };
    slide(&mut h);
    assert_eq!(**h.session.plan(), roof(), "it panned");
    h.send(Message::Command(CommandId::ZoomFit));
    h.tap(from, 0.0);
    assert_eq!(h.session.selection(), Some(Selection::Thing(3)));
    slide(&mut h);
    assert_eq!(h.session.plan().outlets[0].at.x, 3000);
}

#[test]
fn a_second_finger_puts_a_drag_back() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Thing(3))));
    let from = h.px([2000, 1500]);
    h.finger(Phase::Down, 1, from);
    h.finger(Phase::Move, 1, Px::new(from.x + 80.0, from.y));
    assert!(h.session.is_dragging());
    h.finger(Phase::Down, 2, Px::new(700.0, 500.0));
    assert_eq!(**h.session.plan(), roof());
    assert!(!h.session.history().can_undo());
}

#[test]
fn the_heel_of_the_hand_beside_a_pen_sets_nothing() {
    let mut h = Hands::on(Plan::default());
    h.tool(Tool::Deck);
    let at = Px::new(300.0, 300.0);
    h.pointer(Phase::Down, 9, PointerKind::Pen, at, Modifiers::default());
    h.finger(Phase::Down, 1, Px::new(340.0, 400.0));
    h.pointer(Phase::Up, 9, PointerKind::Pen, at, Modifiers::default());
    h.finger(Phase::Up, 1, Px::new(340.0, 400.0));
    assert_eq!(points(&h), 1);
}

#[test]
fn a_roof_by_panning_under_the_fixed_cross() {
    let mut h = Hands::on(Plan::default());
    h.tool(Tool::Deck);
    h.send(Message::Command(CommandId::CrossMode));
    for way in [(0.0, 0.0), (-200.0, 0.0), (0.0, 200.0)] {
        h.finger(Phase::Down, 1, Px::new(500.0, 400.0));
        h.finger(Phase::Move, 1, Px::new(500.0 + way.0 / 2.0, 400.0 + way.1 / 2.0));
        h.finger(Phase::Move, 1, Px::new(500.0 + way.0, 400.0 + way.1));
        h.finger(Phase::Up, 1, Px::new(500.0 + way.0, 400.0 + way.1));
        h.tap(Px::new(200.0, 150.0), 0.0);
        h.send(Message::Command(CommandId::PlaceAtCross));
    }
    h.send(Message::Command(CommandId::Finish));
    let ring = h.deck(0);
    assert_eq!(ring.len(), 3, "a tap set nothing, the button did: {ring:?}");
    assert_eq!((ring[0][1], ring[1][0]), (ring[1][1], ring[2][0]), "held to right angles");
}

#[test]
fn a_lost_pointer_leaves_nothing_half_done() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Thing(1))));
    h.drag_held([10_000, 6000], [12_000, 8000]);
    assert_ne!(**h.session.plan(), roof());
    let at = h.px([12_000, 8000]);
    h.pointer(Phase::Cancel, 1, PointerKind::Mouse, at, Modifiers::default());
    assert_eq!(**h.session.plan(), roof());
    assert!(!h.session.history().can_undo());
}
