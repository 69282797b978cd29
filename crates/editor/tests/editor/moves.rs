//! Selecting and dragging with the mouse.

use crate::hands::{Hands, roof};
use baylap_core::geom::Pt;
use baylap_core::plan::{Corner, Opening};
use baylap_editor::{Message, Modifiers, Phase, PointerKind, Px, Selection, Tool};

#[test]
fn clicks_select_the_finest_thing() {
    let mut h = Hands::on(roof());
    for (at, what) in [
        ([2050, 1500], Some(Selection::Thing(3))),
        ([7000, 3700], Some(Selection::Thing(2))),
        ([7000, 3000], Some(Selection::Edge { id: 2, edge: 0 })),
        ([5000, 0], Some(Selection::Edge { id: 1, edge: 0 })),
        ([4000, 4000], Some(Selection::Thing(1))),
        ([10_800, 6500], None),
    ] {
        h.send(Message::Select(None));
        h.click(at);
        assert_eq!(h.session.selection(), what, "at {at:?}");
    }
}

#[test]
fn of_an_opening_within_an_opening_the_inner_one_is_found() {
    let mut plan = roof();
    let inner =
        [[6500, 3300], [7500, 3300], [7500, 4200]].map(|p| Corner { at: p.into(), ..Corner::default() });
    plan.openings.push(Opening { id: 9, ring: inner.to_vec(), ..Opening::default() });
    plan.openings.reverse();
    let mut h = Hands::on(plan);
    h.click([7250, 3600]);
    assert_eq!(h.session.selection(), Some(Selection::Thing(9)));
}

#[test]
fn a_second_click_on_a_line_selects_its_stretch() {
    let mut h = Hands::on(roof());
    h.tool(Tool::Joint);
    h.click([4000, 0]);
    h.click([4000, 3000]);
    h.click([5000, 6000]);
    h.key("Enter");
    h.key("Escape");
    h.key("Escape");
    h.click([4000, 2000]);
    let id = h.session.plan().joints[0].id;
    assert_eq!(h.session.selection(), Some(Selection::Thing(id)));
    h.click([4000, 2000]);
    assert_eq!(h.session.selection(), Some(Selection::Edge { id, edge: 0 }));
}

#[test]
fn only_the_select_tool_shows_handles() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Thing(1))));
    assert_eq!(h.session.overlay().handles.len(), 9, "four corners, four sides, the whole");
    h.tool(Tool::Joint);
    assert!(h.session.overlay().handles.is_empty());
}

#[test]
fn a_dragged_corner_is_one_step() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Thing(1))));
    let before = h.session.revision();
    let up = h.drag([10_000, 6000], [9000, 6010]);
    assert_eq!(h.deck(0)[2], [9000, 6000]);
    assert!(h.session.revision() > before + 3, "the plan follows while dragging");
    assert!(up.save);
    assert_eq!(h.session.history().undo_len(), 1);
    h.undo();
    assert_eq!(**h.session.plan(), roof());
    h.redo();
    assert_eq!(h.deck(0)[2], [9000, 6000]);
}

#[test]
fn a_corner_can_be_moved_by_less_than_the_reach() {
    let mut plan = roof();
    plan.decks[0].ring[2].at = Pt::new(9300, 6700);
    let mut h = Hands::on(plan);
    h.send(Message::Select(Some(Selection::Thing(1))));
    h.drag([9300, 6700], [9300, 6600]);
    assert_eq!(h.deck(0)[2], [9300, 6600]);
}

#[test]
fn a_dragged_side_stays_square() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Thing(1))));
    h.drag([10_000, 3000], [11_020, 3300]);
    assert_eq!(h.deck(0), [[0, 0], [11_000, 0], [11_000, 6000], [0, 6000]]);
}

#[test]
fn an_opening_moves_whole_by_its_middle() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Thing(2))));
    h.drag([7000, 3750], [5000, 2750]);
    let ring: Vec<[i64; 2]> = h.session.plan().openings[0].ring.iter().map(|c| c.at.into()).collect();
    assert_eq!(ring, [[4000, 2000], [6000, 2000], [6000, 3500], [4000, 3500]]);
}

#[test]
fn a_selected_deck_moves_with_what_stands_on_it_and_does_not_snap_to_itself() {
    let mut plan = roof();
    plan.outlets[0].at = Pt::new(437, 263);
    let mut h = Hands::on(plan);
    h.send(Message::Select(Some(Selection::Thing(1))));
    h.drag([5000, 3000], [5410, 3260]);
    assert_eq!(h.deck(0)[0], [400, 300], "to the grid, not to where its outlet was");
    assert_eq!(h.session.plan().outlets[0].at, Pt::new(837, 563));
    h.undo();
    assert_eq!(h.session.plan().outlets[0].at, Pt::new(437, 263));
}

#[test]
fn an_unselected_deck_is_not_dragged_by_its_middle() {
    let mut h = Hands::on(roof());
    let x = h.session.camera().x;
    h.drag([4000, 2500], [5000, 2500]);
    assert_eq!(**h.session.plan(), roof());
    assert!(h.session.camera().x < x, "the view moved");
}

#[test]
fn escape_puts_a_drag_back_and_the_pointer_is_let_go() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Thing(1))));
    h.drag_held([10_000, 6000], [12_000, 8000]);
    h.key("Escape");
    assert_eq!(**h.session.plan(), roof());
    h.move_to([13_000, 9000]);
    let at = h.px([13_000, 9000]);
    h.pointer(Phase::Up, 1, PointerKind::Mouse, at, Modifiers::default());
    assert_eq!(**h.session.plan(), roof());
}

#[test]
fn a_change_from_a_panel_in_the_middle_of_a_drag_ends_it() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Thing(1))));
    h.drag_held([10_000, 6000], [9000, 6000]);
    h.typed("gang.people", "7");
    h.move_to([8000, 6000]);
    let at = h.px([8000, 6000]);
    h.pointer(Phase::Up, 1, PointerKind::Mouse, at, Modifiers::default());
    assert_eq!((h.deck(0)[2], h.session.plan().gang.people), ([9000, 6000], 7));
    h.undo();
    assert_eq!((h.deck(0)[2], h.session.plan().gang.people), ([9000, 6000], 4));
    h.undo();
    assert_eq!(**h.session.plan(), roof());
}

#[test]
fn a_save_in_the_middle_of_a_drag_keeps_the_plan_before_it() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Thing(1))));
    h.drag_held([10_000, 6000], [12_000, 8000]);
    assert_eq!(h.session.to_saved().plan, roof());
}

#[test]
fn a_double_click_on_the_handle_of_a_side_puts_a_corner_in() {
    let mut h = Hands::on(roof());
    h.click([4000, 4000]);
    h.double_click([10_000, 3000]);
    assert_eq!(h.deck(0)[2], [10_000, 3000]);
    assert_eq!(h.session.selection(), Some(Selection::Corner { id: 1, corner: 2 }));
}

#[test]
fn the_wheel_zooms_about_the_pointer() {
    let mut h = Hands::on(roof());
    let at = h.px([10_000, 6000]);
    let before = h.session.camera().scale;
    h.send(Message::Wheel { at, dx: 0.0, dy: -300.0, modifiers: Modifiers::default() });
    assert!(h.session.camera().scale > before * 1.5);
    assert!(h.px([10_000, 6000]).distance(at) < 0.01);
    for dy in [f64::NAN, f64::INFINITY, -1.0e300] {
        h.send(Message::Wheel { at: Px::new(dy, 0.0), dx: dy, dy, modifiers: Modifiers::default() });
    }
}
