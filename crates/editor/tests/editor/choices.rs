//! What the engine would choose: held, given back, looked at; kinds of roll and prices.

use crate::hands::{Hands, roof};
use baylap_core::Layout;
use baylap_core::geom::Pt;
use baylap_core::layout::{Frame, Piece, Roll, Strip, Zone};
use baylap_core::plan::{Direction, Laying, Prices, Slitting, StartSide};
use baylap_editor::{CommandId, Hold, MarkKind, Message, Panel, Selection};
use std::sync::Arc;

/// One zone over the whole roof, its courses counted from `across`.
fn laid(direction_mdeg: i32, across: [f64; 2]) -> Arc<Layout> {
    let square = |x0: i64, x1: i64| {
        vec![vec![vec![Pt::new(x0, 0), Pt::new(x1, 0), Pt::new(x1, 6000), Pt::new(x0, 6000)]]]
    };
    let frame = Frame { along: [1.0, 0.0], across, ..Frame::default() };
    Arc::new(Layout {
        zones: vec![Zone {
            number: 1,
            deck: 1,
            direction_mdeg,
            frame,
            area: square(0, 10_000),
            ..Zone::default()
        }],
        pieces: vec![Piece { number: 1, zone: 1, roll: 1, as_laid: square(0, 4000), ..Piece::default() }],
        rolls: vec![Roll { number: 1, pieces: vec![1], strips: vec![1], ..Roll::default() }],
        strips: vec![Strip { number: 1, at: Pt::new(0, 3000), roll: 1, ..Strip::default() }],
        ..Layout::default()
    })
}

fn on_laid(across: [f64; 2]) -> Hands {
    let mut h = Hands::on(roof());
    h.send(Message::LayoutArrived { revision: 0, layout: laid(0, across) });
    h
}

#[test]
fn a_direction_is_held_and_given_back_each_in_one_step() {
    let mut h = on_laid([0.0, 1.0]);
    let said = h.send(Message::Hold(Hold::Direction { zone: 1, mdeg: 90_000 })).announce;
    assert_eq!(said.as_deref(), Some("Zone 1 is held at 90°."));
    let zone = &h.session.plan().zones[0];
    assert_eq!((zone.direction, zone.first), (Direction::Angle { mdeg: 90_000 }, None));
    assert_eq!(h.session.held(1), (true, false));
    let line = h.session.direction_line(1, 90_000).expect("the zone is there");
    assert_eq!(line, [Pt::new(5000, 300), Pt::new(5000, 5700)], "up through its middle");
    h.send(Message::Hold(Hold::Nothing { zone: 1 }));
    assert_eq!(h.session.held(1), (false, false));
    assert!(h.session.plan().zones.is_empty(), "a setting that sets nothing goes");
    h.undo();
    assert_eq!(h.session.plan().zones[0].direction, Direction::Angle { mdeg: 90_000 });
    h.undo();
    assert_eq!(**h.session.plan(), roof());
}

#[test]
fn a_start_is_held_on_the_side_it_is_counted_from() {
    for (across, side) in [([0.0, 1.0], StartSide::Right), ([0.0, -1.0], StartSide::Left)] {
        let mut h = on_laid(across);
        h.send(Message::Hold(Hold::Start { zone: 1, first: 420 }));
        let zone = &h.session.plan().zones[0];
        assert_eq!((zone.direction, zone.start, zone.first), (Direction::Angle { mdeg: 0 }, side, Some(420)));
    }
}

#[test]
fn a_start_held_keeps_a_direction_that_was_given() {
    let mut h = on_laid([0.0, 1.0]);
    h.send(Message::Hold(Hold::Direction { zone: 1, mdeg: 180_000 }));
    h.send(Message::LayoutArrived { revision: 1, layout: laid(0, [0.0, 1.0]) });
    h.send(Message::Hold(Hold::Start { zone: 1, first: 30 }));
    let zone = &h.session.plan().zones[0];
    assert_eq!(zone.direction, Direction::Angle { mdeg: 180_000 });
    assert_eq!(zone.start, StartSide::Left, "seen the other way along, the same side is the left one");
}

#[test]
fn a_zone_that_is_gone_is_refused_in_one_sentence() {
    let mut h = on_laid([0.0, 1.0]);
    let fx = h.send(Message::Hold(Hold::Direction { zone: 7, mdeg: 0 }));
    assert!(fx.problem.is_some_and(|p| p.contains("no zone 7")));
    assert_eq!(**h.session.plan(), roof());
}

#[test]
fn a_list_lights_what_it_names_and_shows_what_is_proposed() {
    let mut h = on_laid([0.0, 1.0]);
    let marks = |h: &Hands, kind| h.session.overlay().marks.iter().filter(|m| m.kind == kind).count();
    assert!(h.send(Message::Hover(Some(Selection::Piece(1)))).overlay);
    assert_eq!(marks(&h, MarkKind::Hovered), 1);
    h.send(Message::Hover(Some(Selection::Roll(1))));
    assert_eq!(marks(&h, MarkKind::Hovered), 2, "its piece and its strip");
    h.send(Message::Hover(Some(Selection::Strip(9))));
    assert_eq!(h.session.hovered(), None);
    h.send(Message::Select(Some(Selection::Strip(1))));
    assert_eq!(marks(&h, MarkKind::Selected), 1);
    h.send(Message::Preview(vec![vec![Pt::new(0, 0), Pt::new(5000, 0)]]));
    assert_eq!(marks(&h, MarkKind::Proposed), 1);
    assert_eq!(**h.session.plan(), roof(), "looking changes nothing");
    h.send(Message::Preview(Vec::new()));
    assert_eq!(marks(&h, MarkKind::Proposed), 0);
}

#[test]
fn kinds_of_roll_come_and_go_by_commands() {
    let mut h = Hands::on(roof());
    assert!(!h.session.can(CommandId::RemoveRoll), "one kind must stay");
    h.send(Message::Command(CommandId::AddRoll));
    h.typed("products.rolls[1].width", "500");
    h.typed("products.rolls[1].price", "61,50");
    let kind = h.session.plan().products.rolls[1].clone();
    assert_eq!((kind.width, kind.length, kind.price), (500, 50_000, Some(6150)));
    h.typed("products.rolls[1].price", "");
    assert_eq!(h.session.plan().products.rolls[1].price, None);
    h.send(Message::Command(CommandId::RemoveRoll));
    assert_eq!(h.session.plan().products.rolls.len(), 1);
    h.undo();
    assert_eq!(h.session.plan().products.rolls.len(), 2);
}

#[test]
fn laying_slitting_strips_prices_and_start_are_set_in_their_fields() {
    let mut h = on_laid([0.0, 1.0]);
    let title = |h: &Hands| {
        let groups = h.session.settings(Panel::Products);
        groups.into_iter().map(|g| g.title).find(|t| t.starts_with("Prices"))
    };
    assert!(title(&h).is_some_and(|t| t.contains("example")));
    h.typed("products.laying", "run_on");
    h.typed("products.slitting", "any_piece");
    h.typed("products.upstand_strips", "from_rolls");
    h.typed("products.prices.roll", "89,90");
    let p = h.session.plan().products.clone();
    assert_eq!((p.laying, p.slitting, p.upstand_strips), (Laying::RunOn, Slitting::AnyPiece, true));
    assert_eq!(p.prices, Prices { roll: 8990, ..Prices::default() });
    assert_eq!(title(&h).as_deref(), Some("Prices"), "no example any more");
    assert!(h.typed("products.prices.cut", "-1").problem.is_some());
    h.typed("gang.hold_open_rolls", "always");
    assert!(h.session.plan().gang.hold_open_rolls);
    h.typed("zone/1/first", "300");
    assert_eq!(h.session.plan().zones[0].first, Some(300));
    h.typed("zone/1/first", "");
    assert_eq!(h.session.plan().zones[0].first, None);
}
