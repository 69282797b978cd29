//! Drawing by mouse and by typing.

use crate::hands::{Hands, SHIFT, roof};
use baylap_core::Plan;
use baylap_core::geom::Pt;
use baylap_core::plan::{Direction, Edge, Shape, UpstandKind};
use baylap_editor::{MarkKind, Message, Px, Selection, SnapKind, Tool};

#[test]
fn a_rectangle_by_four_clicks_and_the_first_corner() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    for p in [[1010, 990], [9020, 1020], [8990, 7030], [1030, 7010]] {
        h.click(p);
    }
    let closed = h.click([1000, 1000]);
    assert_eq!(h.deck(0), [[1000, 1000], [9000, 1000], [9000, 7000], [1000, 7000]]);
    assert_eq!(closed.announce.as_deref(), Some("Deck outline closed: 4 corners, 48.00 m²."));
    assert_eq!(h.session.selection(), Some(Selection::Thing(1)));
    assert_eq!(h.session.tool(), Tool::Select);
}

#[test]
fn a_double_click_closes_too() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    h.click([1000, 1000]);
    h.click([9000, 1000]);
    h.double_click([9000, 7000]);
    assert_eq!(h.deck(0), [[1000, 1000], [9000, 1000], [9000, 7000]]);
}

#[test]
fn a_double_click_off_the_grid_sets_one_corner() {
    let mut h = Hands::on(Plan::default());
    let snap = baylap_editor::SnapSettings { grid: false, ..h.session.snap() };
    h.send(Message::SetSnap(snap));
    h.key("d");
    h.click([1000, 1000]);
    h.click([9000, 1000]);
    h.click([9000, 7000]);
    h.double_click([1060, 7060]);
    assert_eq!(h.deck(0), [[1000, 1000], [9000, 1000], [9000, 7000], [1000, 7000]]);
}

#[test]
fn typed_lengths_are_exact_however_the_pointer_wobbles() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    h.click([1000, 1000]);
    for (towards, length) in [([5000, 1050], "8,37"), ([9370, 3000], "4.015 m"), ([4000, 5015], "8370")] {
        h.move_to(towards);
        h.type_text(length);
        h.key("Enter");
    }
    h.key("Enter");
    assert_eq!(h.deck(0), [[1000, 1000], [9370, 1000], [9370, 5015], [1000, 5015]]);
}

#[test]
fn a_side_typed_past_the_edge_of_the_view_brings_the_view_along() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    let near = h.click([1000, 1000]);
    assert!(!near.view, "a corner in sight leaves the view alone");
    h.move_to([5000, 1000]);
    h.type_text("60 m");
    let far = h.key("Enter");
    assert!(far.view);
    let camera = *h.session.camera();
    for corner in [Pt::new(1000, 1000), Pt::new(61_000, 1000)] {
        assert!(camera.sees(corner, 0.0), "{corner:?} is out of sight");
    }
}

#[test]
fn tab_swaps_length_and_direction() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    h.click([1000, 1000]);
    h.type_text("2000");
    h.key("Tab");
    h.type_text("45");
    h.key("Enter");
    h.key("Tab");
    h.type_text("180");
    h.key("Tab");
    h.type_text("1,5 m");
    h.key("Enter");
    h.key("Enter");
    assert_eq!(h.deck(0), [[1000, 1000], [2414, 2414], [914, 2414]]);
}

#[test]
fn a_wrong_length_stays_and_says_so() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    h.click([1000, 1000]);
    h.move_to([5000, 1000]);
    h.type_text("1.2.3");
    let refused = h.key("Enter");
    assert!(refused.problem.is_some_and(|p| p.contains("two ways")));
    let entry = h.session.overlay().entry.expect("the entry is open");
    assert_eq!(entry.fields[0].text, "1.2.3");
    assert!(entry.problem.is_some());
    h.key("Backspace");
    h.key("Backspace");
    h.key("Enter");
    assert_eq!(h.session.overlay().entry.expect("open").fields[0].text, "");
    assert_eq!(
        h.session.overlay().marks.iter().filter(|m| m.kind == MarkKind::Drawn).count(),
        1,
        "two corners set"
    );
}

#[test]
fn the_band_tells_length_and_angle_and_names_the_snap() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    h.click([1000, 1000]);
    h.click([7000, 1000]);
    h.move_to([7020, 4010]);
    let over = h.session.overlay();
    let live: Vec<_> = over.labels.iter().filter(|l| l.live).map(|l| l.text.as_str()).collect();
    assert_eq!(live, ["3.000 m  90°"]);
    assert_eq!(over.snap.map(|s| s.kind), Some(SnapKind::RightAngle));
    assert_eq!(SnapKind::RightAngle.word(), "right angle");
    let entry = over.entry.expect("a length can be typed");
    assert_eq!((entry.fields[0].label, entry.fields[0].live.as_str()), ("Length", "3.000 m"));
    assert_eq!((entry.fields[1].label, entry.fields[1].live.as_str()), ("Direction", "90°"));
}

#[test]
fn shift_holds_a_far_pointer_to_the_right_angle() {
    let mut h = Hands::on(Plan::default());
    h.key("d");
    h.click([1000, 1000]);
    h.click([7000, 1000]);
    let at = h.px([7900, 4000]);
    h.pointer(baylap_editor::Phase::Move, 1, baylap_editor::PointerKind::Mouse, at, SHIFT);
    let snap = h.session.overlay().snap.expect("a point is meant");
    assert_eq!((snap.kind, snap.at), (SnapKind::RightAngle, h.px([7000, 4000])));
}

#[test]
fn backspace_and_undo_take_back_a_point_while_drawing() {
    let mut h = Hands::on(roof());
    h.tool(Tool::Joint);
    h.click([5000, 0]);
    h.click([5000, 2000]);
    h.click([5500, 2500]);
    h.key("Backspace");
    h.undo();
    h.redo();
    h.key("Enter");
    let points: Vec<[i64; 2]> = h.session.plan().joints[0].points.iter().map(|p| (*p).into()).collect();
    assert_eq!(points, [[5000, 0], [5000, 2000]]);
    assert_eq!(h.session.history().undo_len(), 1, "the points were no steps of their own");
}

#[test]
fn a_point_taken_back_is_gone_once_another_is_set() {
    let mut h = Hands::on(roof());
    h.tool(Tool::Joint);
    h.click([5000, 0]);
    h.click([5000, 2000]);
    h.undo();
    h.click([4000, 2000]);
    assert!(!h.session.can(baylap_editor::CommandId::Redo));
    h.redo();
    h.key("Enter");
    assert_eq!(h.session.plan().joints[0].points, [Pt::new(5000, 0), Pt::new(4000, 2000)]);
}

#[test]
fn a_typed_opening_lies_on_the_side_of_the_pointer() {
    let mut h = Hands::on(roof());
    h.tool(Tool::OpeningBox);
    h.click([4000, 4000]);
    h.move_to([3500, 3500]);
    h.type_text("1200");
    h.key("Tab");
    h.type_text("800");
    h.key("Enter");
    let ring: Vec<[i64; 2]> = h.session.plan().openings[1].ring.iter().map(|c| c.at.into()).collect();
    assert_eq!(ring, [[2800, 3200], [4000, 3200], [4000, 4000], [2800, 4000]]);
}

#[test]
fn a_rectangular_opening_by_drag_and_by_typing() {
    let mut h = Hands::on(roof());
    h.tool(Tool::OpeningBox);
    h.drag([1000, 3000], [2500, 4200]);
    h.click([3000, 3000]);
    h.move_to([3500, 3500]);
    h.type_text("1,25");
    h.key("Tab");
    h.type_text("900");
    h.key("Enter");
    let ring = |n: usize| -> Vec<[i64; 2]> {
        h.session.plan().openings[n].ring.iter().map(|c| c.at.into()).collect()
    };
    assert_eq!(ring(1), [[1000, 3000], [2500, 3000], [2500, 4200], [1000, 4200]]);
    assert_eq!(ring(2), [[3000, 3000], [4250, 3000], [4250, 3900], [3000, 3900]]);
    let kerb = Edge::Upstand { height: 150, kind: UpstandKind::Kerb };
    assert!(h.session.plan().openings[2].ring.iter().all(|c| c.edge == kerb));
}

#[test]
fn a_typed_diameter_holds_for_the_pipes_after_it() {
    let mut h = Hands::on(roof());
    h.tool(Tool::Penetration);
    h.move_to([4000, 1000]);
    h.type_text("160");
    h.click([4000, 1000]);
    h.click([4500, 1000]);
    let shapes: Vec<&Shape> = h.session.plan().penetrations.iter().map(|p| &p.shape).collect();
    assert_eq!(shapes[0], &Shape::Circle { centre: Pt::new(4000, 1000), diameter: 160 });
    assert_eq!(shapes[1], &Shape::Circle { centre: Pt::new(4500, 1000), diameter: 160 });
}

#[test]
fn every_other_tool_puts_its_thing_into_the_plan() {
    let mut h = Hands::on(roof());
    for tool in [Tool::Outlet, Tool::Way, Tool::Melter, Tool::Spot] {
        h.tool(tool);
        h.click([1000, 500]);
    }
    for tool in [Tool::ZoneLine, Tool::LevelChange, Tool::LowLine, Tool::Ridge] {
        h.tool(tool);
        h.click([3000, 500]);
        h.click([3000, 5000]);
        h.key("Enter");
    }
    for tool in [Tool::Datum, Tool::Direction] {
        h.tool(tool);
        h.click([0, 0]);
        h.click([10_000, 0]);
    }
    h.tool(Tool::OpeningRing);
    h.click([4000, 4000]);
    h.click([5000, 4000]);
    h.click([5000, 5000]);
    h.key("Enter");
    let p = h.session.plan();
    let levels = (p.levels.spots.len(), p.levels.lines.len());
    assert_eq!((p.outlets.len(), p.ways.len(), p.melters.len(), levels), (2, 1, 1, (1, 2)));
    assert_eq!((p.zone_lines.len(), p.openings.len()), (2, 2));
    assert_eq!(p.zones[0].direction, Direction::Along { from: Pt::new(0, 0), to: Pt::new(10_000, 0) });
    assert_eq!(p.datum.as_ref().map(|d| (d.zero, d.along)), Some((Pt::new(0, 0), Pt::new(10_000, 0))));
}

#[test]
fn what_encloses_nothing_is_refused_and_can_be_drawn_on() {
    let mut h = Hands::on(Plan::default());
    h.tool(Tool::Deck);
    h.click([1000, 1000]);
    h.click([5000, 1000]);
    assert!(h.key("Enter").problem.is_some_and(|p| p.contains("three corners")));
    h.click([9000, 1000]);
    assert!(h.key("Enter").problem.is_some_and(|p| p.contains("nothing")));
    h.click([5000, 5000]);
    h.key("Enter");
    assert_eq!(h.deck(0).len(), 3);
}

#[test]
fn a_snapped_corner_is_the_corner_itself() {
    let mut plan = roof();
    plan.decks[0].ring[2].at = Pt::new(10_003, 6007);
    let mut h = Hands::on(plan);
    h.tool(Tool::Joint);
    let near = h.px([10_003, 6007]);
    h.click_px(Px::new(near.x + 5.0, near.y - 6.0));
    h.click([3000, 500]);
    h.key("Enter");
    assert_eq!(h.session.plan().joints[0].points[0], Pt::new(10_003, 6007));
}

#[test]
fn escape_gives_up_one_thing_at_a_time() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Thing(2))));
    h.tool(Tool::Joint);
    h.click([1000, 500]);
    h.type_text("3");
    h.key("Escape");
    assert!(h.session.is_drawing(), "only the typing went");
    h.key("Escape");
    assert!(!h.session.is_drawing());
    h.key("Escape");
    assert_eq!((h.session.tool(), h.session.selection()), (Tool::Select, Some(Selection::Thing(2))));
    h.key("Escape");
    assert_eq!(h.session.selection(), None);
    assert_eq!(**h.session.plan(), roof());
}

#[test]
fn a_slow_second_click_on_the_last_point_ends_a_line_too() {
    let mut h = Hands::on(roof());
    h.tool(Tool::Joint);
    h.click([1000, 500]);
    h.click([1000, 5000]);
    h.click([1000, 5000]);
    assert_eq!(h.session.plan().joints[0].points.len(), 2);
}

#[test]
fn the_right_button_ends_a_line() {
    let mut h = Hands::on(roof());
    h.tool(Tool::Joint);
    h.click([1000, 500]);
    h.click([1000, 5000]);
    let event = baylap_editor::PointerEvent {
        phase: baylap_editor::Phase::Down,
        id: 1,
        button: baylap_editor::Button::Other,
        at: h.px([1000, 5500]),
        ..Default::default()
    };
    h.send(Message::Pointer(event));
    assert_eq!(h.session.plan().joints[0].points.len(), 2);
}
