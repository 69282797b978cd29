//! Falls by hand: planes, lines with levels, spot levels, settings, outlets' mouths, bay edges, ponds, levels from a list.

use crate::hands::{ALT, Hands, SHIFT, roof};
use baylap_core::Layout;
use baylap_core::geom::Pt;
use baylap_core::layout::falls::{Better, Falls, LevelInput, Pond, RuleUsed, Seam, SeamPart};
use baylap_core::layout::{SeamKind, Sink, Verdict};
use baylap_core::plan::{BayEdge, FallRule, LevelLineKind, Mouth};
use baylap_editor::levels::{Choices, Reading, Table};
use baylap_editor::{Ask, Change, CommandId, Message, Panel, Selection, Stage, Tool};
use std::sync::Arc;

fn plane(h: &Hands) -> baylap_core::plan::FallPlane {
    h.session.plan().levels.planes.last().cloned().expect("a plane was drawn")
}

#[test]
fn a_plane_for_the_whole_deck_by_a_level_a_place_and_a_way() {
    let mut h = Hands::on(roof());
    h.key_with("P", SHIFT);
    h.type_text("0,15");
    h.click([1000, 1000]);
    h.key("Enter");
    assert!(h.session.overlay().hint.contains("way water runs"));
    h.click([1000, 5000]);
    let p = plane(&h);
    assert_eq!((p.at, p.level, p.direction_mdeg, p.one_in), (Pt::new(1000, 1000), 150, 90_000, 40));
    assert!(p.area.is_empty());
    assert_eq!(h.session.tool(), Tool::Plane, "the next can follow");
    // The level stays for the next; direction and fall are typed this time.
    h.double_click([5000, 1000]);
    h.type_text("22,5");
    h.key("Tab");
    h.type_text("80");
    h.key("Enter");
    let p = plane(&h);
    assert_eq!((p.at, p.level, p.direction_mdeg, p.one_in), (Pt::new(5000, 1000), 150, 22_500, 80));
    h.undo();
    h.undo();
    assert_eq!(**h.session.plan(), roof());
}

#[test]
fn a_plane_for_a_part_of_the_deck() {
    let mut h = Hands::on(roof());
    h.tool(Tool::Plane);
    for p in [[0, 0], [5000, 0], [5000, 6000], [0, 6000]] {
        h.click(p);
    }
    h.click([0, 0]);
    assert!(h.session.plan().levels.planes.is_empty(), "the way is still to come");
    h.type_text("200");
    h.click([5000, 2000]);
    h.move_to([1000, 2000]);
    h.type_text("180");
    h.key("Enter");
    let p = plane(&h);
    assert_eq!((p.at, p.level, p.direction_mdeg), (Pt::new(5000, 2000), 200, 180_000));
    assert_eq!(p.area, [[0, 0], [5000, 0], [5000, 6000], [0, 6000]].map(Pt::from));
    h.send(Message::Select(Some(Selection::Thing(p.id))));
    h.typed(&format!("thing/{}/one_in", p.id), "60");
    assert_eq!(plane(&h).one_in, 60);
}

#[test]
fn every_step_of_a_plane_can_be_taken_back() {
    let mut h = Hands::on(roof());
    h.tool(Tool::Plane);
    for p in [[0, 0], [5000, 0], [5000, 6000]] {
        h.click(p);
    }
    h.key("Enter");
    h.click([2000, 1000]);
    let hint = |h: &Hands| h.session.overlay().hint;
    assert!(hint(&h).contains("way water runs"));
    h.undo();
    assert!(hint(&h).contains("where the level is known"));
    h.undo();
    assert!(hint(&h).contains("first corner or press Enter"), "the ring is open again: {}", hint(&h));
    h.undo();
    assert!(hint(&h).contains("next corner"));
    h.key("Enter");
    assert!(h.session.problem().is_some_and(|p| p.contains("three corners")));
    h.key("Escape");
    assert!(!h.session.is_drawing());
    // A whole deck taken back is a first point again.
    h.click([2000, 1000]);
    h.key("Enter");
    h.undo();
    assert!(!h.session.is_drawing());
    assert_eq!(**h.session.plan(), roof());
}

#[test]
fn points_of_a_ridge_have_the_levels_typed_for_them() {
    let mut h = Hands::on(roof());
    h.key_with("R", SHIFT);
    h.type_text("0,2");
    h.click([1000, 3000]);
    h.click([3000, 3000]);
    h.type_text("180");
    h.click([5000, 3000]);
    // By size alone: level, length, direction.
    h.type_text("-15");
    h.key("Tab");
    h.type_text("2 m");
    h.key("Tab");
    h.type_text("0");
    h.key("Enter");
    h.key("Enter");
    let line = h.session.plan().levels.lines.last().cloned().expect("a ridge was drawn");
    assert_eq!(line.kind, LevelLineKind::Ridge);
    let got: Vec<_> = line.points.iter().map(|p| (p.at.x, p.level)).collect();
    assert_eq!(got, [(1000, Some(200)), (3000, None), (5000, Some(180)), (7000, Some(-15))]);
}

#[test]
fn a_level_taken_back_with_its_point_comes_back_with_it() {
    let mut h = Hands::on(roof());
    h.tool(Tool::LowLine);
    h.click([1000, 3000]);
    h.type_text("50");
    h.click([3000, 3000]);
    h.undo();
    h.redo();
    h.key("Enter");
    let line = &h.session.plan().levels.lines[0];
    assert_eq!(line.points.iter().map(|p| p.level).collect::<Vec<_>>(), [None, Some(50)]);
}

#[test]
fn spot_levels_one_after_the_other() {
    let mut h = Hands::on(roof());
    h.key("l");
    for (level, at) in [("0,125", [1000, 1000]), ("118", [3000, 1000])] {
        h.type_text(level);
        h.click(at);
    }
    h.click([5000, 1000]);
    let levels: Vec<i64> = h.session.plan().levels.spots.iter().map(|s| s.level).collect();
    assert_eq!(levels, [125, 118, 118]);
    assert!(h.key("Tab").taken || h.session.overlay().entry.is_some(), "the level can still be typed");
}

#[test]
fn how_falls_are_judged() {
    let mut h = Hands::on(roof());
    let shown = |h: &Hands, id: &str| {
        let groups = h.session.settings(Panel::Drainage);
        groups.iter().flat_map(|g| &g.fields).any(|f| f.id.0 == id)
    };
    assert!(!shown(&h, "drainage.least_one_in"), "a rule brings its own values");
    h.typed("drainage.rule", "project");
    h.typed("drainage.least_one_in", "100");
    h.typed("drainage.rain", "75,5");
    h.typed("drainage.runoff", "0.8");
    h.typed("drainage.wall_height", "3 m");
    h.typed("drainage.wall_share", "0,25");
    h.typed("drainage.across_fall_first", "fewest_rolls");
    h.typed("drainage.least_pond", "5");
    let d = &h.session.plan().drainage;
    assert_eq!((d.rule, d.least_one_in, d.rain, d.runoff), (FallRule::Project, 100, Some(755), 800));
    assert_eq!((d.wall_height, d.wall_share, d.across_fall_first, d.least_pond), (3000, 250, false, 5));
    assert!(h.typed("drainage.runoff", "1.2").problem.is_some(), "more than all the rain");
    h.typed("drainage.rain", "");
    assert_eq!(h.session.plan().drainage.rain, None);
}

#[test]
fn what_an_outlet_takes() {
    let mut h = Hands::on(roof());
    let intake = |h: &Hands| h.session.plan().outlets[0].intake.clone();
    h.typed("thing/3/intake/level", "-0,010");
    h.typed("thing/3/intake/sill", "40");
    h.typed("thing/3/intake/head", "45");
    assert!(h.typed("thing/3/intake/diameter", "150").problem.is_some(), "no mouth is known yet");
    h.typed("thing/3/intake/mouth", "round");
    h.typed("thing/3/intake/diameter", "150");
    h.typed("thing/3/intake/mouth", "round");
    h.typed("thing/3/intake/strainer", "strainer");
    h.typed("thing/3/intake/blocked", "blocked");
    let i = intake(&h);
    assert_eq!((i.level, i.sill, i.head), (Some(-10), 40, 45));
    assert_eq!(i.mouth, Some(Mouth::Round { diameter: 150 }), "the same kind keeps its size");
    assert!(i.strainer && i.blocked);
    h.typed("thing/3/intake/mouth", "other");
    h.typed("thing/3/intake/weir", "600");
    h.typed("thing/3/intake/area", "22500");
    assert_eq!(intake(&h).mouth, Some(Mouth::Other { weir: 600, area: 22_500 }));
    h.typed("thing/3/intake/mouth", "unknown");
    h.typed("thing/3/intake/level", "");
    assert_eq!((intake(&h).mouth, intake(&h).level), (None, None));
}

#[test]
fn a_bay_edge_is_placed_moved_turned_and_deleted() {
    let mut h = Hands::on(roof());
    h.key_with("B", SHIFT);
    h.click([3000, 2000]);
    let id = h.session.plan().bay_edges[0].id;
    h.key("Escape");
    h.drag([3000, 2000], [4000, 2500]);
    h.typed(&format!("thing/{id}/along"), "along");
    assert_eq!(h.session.plan().bay_edges, [BayEdge { id, at: Pt::new(4000, 2500), along: true }]);
    h.click([4000, 2500]);
    h.key("Delete");
    assert_eq!(**h.session.plan(), roof());
}

/// A pond of 2 x 2 m, and a bay edge through it with a better place.
fn wet() -> Arc<Layout> {
    let ring = [[2000, 2000], [4000, 2000], [4000, 4000], [2000, 4000]].map(Pt::from).to_vec();
    let pond = Pond {
        number: 1,
        deck: 1,
        area: vec![vec![ring]],
        size: 4_000_000,
        level_um: 10_000,
        depth_um: 8000,
        deepest: Pt::new(3000, 3000),
        volume: 10_000_000,
        mass: 1000,
        spill: None,
        drains_to: Sink::Nowhere,
    };
    let rule = RuleUsed {
        rule: FallRule::Bs6229,
        name: String::new(),
        source: String::new(),
        least_ppm: 12_500,
        design_ppm: 25_000,
        flat_ppm: 2000,
    };
    let falls = Falls { ponds: vec![pond], ..Falls::bare(rule, LevelInput::default()) };
    let better = Better { at: Pt::new(5000, 3000), distance: 2000, direction_mdeg: 0, along: false };
    let (a, b) = (Pt::new(3000, 0), Pt::new(3000, 6000));
    let part = SeamPart { a, b, verdict: Some(Verdict::InPond), better: Some(better) };
    let seam = Seam { kind: SeamKind::BayEdge, between: [1, 2], top: 2, parts: vec![part] };
    Arc::new(Layout { falls: Some(falls), seams: vec![seam], ..Layout::default() })
}

#[test]
fn a_pond_is_found_under_a_click_at_its_stage() {
    let mut h = Hands::on(roof());
    h.send(Message::LayoutArrived { revision: h.session.revision(), layout: wet() });
    h.click([3500, 3500]);
    assert_eq!(h.session.selection(), Some(Selection::Thing(1)), "elsewhere it is the deck");
    h.send(Message::SetStage(Stage::Falls));
    h.click([3500, 3500]);
    assert_eq!(h.session.selection(), Some(Selection::Pond(1)));
    assert_eq!(h.session.bounds_of(Selection::Pond(1)), Some((Pt::new(2000, 2000), Pt::new(4000, 4000))));
    h.send(Message::LayoutArrived { revision: h.session.revision(), layout: Arc::default() });
    assert_eq!(h.session.selection(), None, "a pond that is gone is not selected");
}

#[test]
fn bad_bay_edges_go_to_better_places_in_one_step() {
    let mut h = Hands::on(roof());
    assert!(!h.session.can(CommandId::MoveEdges));
    h.send(Message::LayoutArrived { revision: h.session.revision(), layout: wet() });
    let fx = h.key_with("M", SHIFT);
    assert!(fx.announce.is_some_and(|a| a.starts_with("1 bay edge")));
    let edges: Vec<_> = h.session.plan().bay_edges.iter().map(|e| (e.at, e.along)).collect();
    assert_eq!(edges, [(Pt::new(5000, 3000), false)]);
    assert!(!h.session.can(CommandId::MoveEdges), "the layout shown is of another plan now");
    h.undo();
    assert_eq!(**h.session.plan(), roof());
}

#[test]
fn levels_from_a_list_are_one_step() {
    let mut h = Hands::on(roof());
    assert_eq!(h.key_with("l", ALT).ask, Some(Ask::Levels));
    let text = "1,1.0,1.0,0.100\n2,9.0,1.0,0.110\n3,5.0,2.5,0.050";
    let table = Table::of(text, None);
    let change = |h: &Hands, replace| {
        let choices = Choices::guess(&table, h.session.plan());
        Reading::of(&table, &choices, h.session.plan()).change(replace)
    };
    h.send(Message::Edit(change(&h, false)));
    assert_eq!(h.session.plan().levels.spots.len(), 3);
    h.undo();
    assert_eq!(**h.session.plan(), roof());
    h.redo();
    let first = h.session.plan().levels.spots[0].id;
    h.send(Message::Edit(change(&h, true)));
    let spots = &h.session.plan().levels.spots;
    assert_eq!(spots.len(), 3, "those there were are gone");
    assert!(spots.iter().all(|s| s.id > first + 2), "no id is used again: {spots:?}");
    h.send(Message::Edit(Change::All(vec![change(&h, false), change(&h, false)])));
    assert_eq!(h.session.plan().levels.spots.len(), 9);
}
