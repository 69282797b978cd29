//! Everything without a pointer.

use crate::hands::{ALT, CTRL, Hands, SHIFT, roof};
use baylap_core::Plan;
use baylap_core::geom::Pt;
use baylap_editor::command::commands;
use baylap_editor::{Ask, CommandId, Message, Selection, Stage, Tool};

/// The closed L of a tape survey, in metres: E 24.000, N 9.000, W 10.000, N 6.000, W 14.000, S 15.000 (invented sizes).
#[test]
fn an_l_shaped_roof_by_keys_alone() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    h.key("ArrowRight");
    h.key(" ");
    for (way, length) in
        [("ArrowRight", "24"), ("ArrowUp", "9"), ("ArrowLeft", "10"), ("ArrowUp", "6"), ("ArrowLeft", "14")]
    {
        h.key(way);
        h.type_text(length);
        h.type_text(" m");
        h.key("Enter");
    }
    h.key("Enter");
    let ring = h.deck(0);
    let [x, y] = ring[0];
    let moved: Vec<[i64; 2]> = ring.iter().map(|p| [p[0] - x, p[1] - y]).collect();
    assert_eq!(moved, [[0, 0], [24_000, 0], [24_000, 9000], [14_000, 9000], [14_000, 15_000], [0, 15_000]]);
}

#[test]
fn the_last_arrow_after_the_digits_points_the_way() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    h.key("ArrowRight");
    h.key(" ");
    h.type_text("3000");
    for way in ["ArrowUp", "ArrowUp", "ArrowRight"] {
        h.key(way);
    }
    h.key("Enter");
    h.type_text("3000");
    h.key("ArrowUp");
    h.key("Enter");
    h.key("Enter");
    let ring = h.deck(0);
    assert_eq!(ring[1], [ring[0][0] + 3000, ring[0][1]]);
}

#[test]
fn the_cross_beside_the_first_corner_sets_another() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    for way in ["ArrowRight", "ArrowRight", "ArrowUp", "ArrowLeft"] {
        h.key(way);
        h.key(" ");
    }
    h.key("Enter");
    assert_eq!(h.deck(0).len(), 4);
}

#[test]
fn an_arrow_after_the_digits_only_points_the_way() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    h.key("ArrowRight");
    h.key(" ");
    h.type_text("5000");
    h.key("ArrowUp");
    h.key("Enter");
    h.type_text("5000");
    h.key("ArrowLeft");
    h.key("Enter");
    h.key("Enter");
    let ring = h.deck(0);
    assert_eq!(Pt::from(ring[1]).distance_squared(ring[0].into()), 25_000_000);
    assert_eq!((ring[1][0], ring[2][1]), (ring[0][0], ring[1][1]));
}

#[test]
fn steps_of_the_cross_are_100_10_and_1_mm() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    h.key("ArrowRight");
    h.key(" ");
    h.key("ArrowRight");
    h.key_with("ArrowRight", SHIFT);
    h.key_with("ArrowUp", ALT);
    h.key(" ");
    h.key("ArrowUp");
    h.key(" ");
    h.key_with("Enter", CTRL);
    let ring = h.deck(0);
    let [x, y] = ring[0];
    assert_eq!(ring[1], [x + 110, y + 1]);
    assert_eq!(ring[2], [x + 110, y + 101]);
}

#[test]
fn the_cross_on_the_first_corner_closes() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    h.key("ArrowRight");
    for (way, length) in [("ArrowRight", "300"), ("ArrowUp", "300")] {
        if h.session.overlay().entry.is_none() {
            h.key(" ");
        }
        h.key(way);
        h.type_text(length);
        h.key("Enter");
    }
    for way in ["ArrowLeft", "ArrowDown"].iter().flat_map(|w| [w; 3]) {
        h.key(way);
    }
    h.key(" ");
    assert_eq!(h.deck(0).len(), 3);
}

#[test]
fn tab_is_left_to_the_browser_unless_something_is_being_drawn() {
    let mut h = Hands::on(roof());
    assert!(!h.key("Tab").taken);
    h.key("d");
    assert!(!h.key("Tab").taken);
    h.click([1000, 1000]);
    assert!(h.key("Tab").taken);
}

#[test]
fn things_and_their_parts_are_reached_and_moved_by_keys() {
    let mut h = Hands::on(roof());
    h.key("n");
    h.key("n");
    assert_eq!(h.session.selection(), Some(Selection::Thing(2)));
    h.key("e");
    h.key("e");
    assert_eq!(h.session.selection(), Some(Selection::Edge { id: 2, edge: 0 }));
    h.key("ArrowDown");
    h.key_with("ArrowDown", SHIFT);
    h.key("ArrowRight");
    let ring: Vec<[i64; 2]> = h.session.plan().openings[0].ring.iter().map(|c| c.at.into()).collect();
    assert_eq!(
        ring,
        [[6000, 2890], [8000, 2890], [8000, 4500], [6000, 4500]],
        "an edge moves square to itself"
    );
    h.undo();
    assert_eq!(**h.session.plan(), roof(), "presses in a row are one step");
    h.key("a");
    h.key("Delete");
    assert!(h.session.plan().openings.is_empty());
}

#[test]
fn a_corner_is_put_in_and_taken_out_by_keys() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Edge { id: 1, edge: 1 })));
    h.key("i");
    assert_eq!(h.session.selection(), Some(Selection::Corner { id: 1, corner: 2 }));
    assert_eq!(h.deck(0)[2], [10_000, 3000]);
    h.key("Delete");
    assert_eq!(**h.session.plan(), roof());
}

#[test]
fn keys_for_the_shell_are_asked_of_it() {
    let mut h = Hands::on(roof());
    assert_eq!(h.key_with("s", CTRL).ask, Some(Ask::Save));
    assert_eq!(h.key_with("k", CTRL).ask, Some(Ask::Find));
    assert_eq!(h.key_with("?", SHIFT).ask, Some(Ask::Keys));
    h.key_with("3", ALT);
    assert_eq!(h.session.stage(), Stage::Rolls);
    assert!(!h.key("F5").taken);
}

#[test]
fn every_command_does_something_or_says_why_not() {
    for command in commands() {
        let mut h = Hands::on(roof());
        let fx = h.send(Message::Command(command.id));
        assert_eq!(command.enabled(&Hands::on(roof()).session), fx.problem.is_none(), "{}", command.slug);
        let noticed =
            fx.problem.is_some() || fx.ask.is_some() || fx.overlay || fx.view || fx.tool || fx.selection;
        assert!(noticed, "{} leaves no trace", command.slug);
    }
}

#[test]
fn a_tool_key_types_when_a_size_is_open() {
    let mut h = Hands::on(roof());
    h.key("d");
    h.click([1000, 1000]);
    h.move_to([3000, 1000]);
    h.type_text("2 m");
    assert_eq!(h.session.tool(), Tool::Deck);
    assert_eq!(h.session.overlay().entry.and_then(|e| e.echo).as_deref(), Some("2.000 m"));
    assert!(h.session.can(CommandId::Undo));
}

#[test]
fn a_sign_zooms_where_no_level_is_typed() {
    let mut h = Hands::on(roof());
    h.tool(Tool::Penetration);
    let scale = h.session.camera().scale;
    assert!(h.key("-").view);
    assert!(h.session.camera().scale < scale);
    h.tool(Tool::Spot);
    h.type_text("-45");
    assert_eq!(h.session.overlay().entry.and_then(|e| e.echo).as_deref(), Some("-0.045 m"));
}
