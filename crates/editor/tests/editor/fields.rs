//! Typing sizes in the panels.

use crate::hands::{Hands, roof};
use baylap_core::plan::{Edge, FreeKind, Shape, UpstandKind};
use baylap_editor::{FieldKind, Message, Panel, Selection, Tool};

#[test]
fn a_side_gets_a_typed_length_and_the_chosen_end_stays() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Edge { id: 1, edge: 0 })));
    let groups = h.session.fields();
    assert_eq!(h.field(&groups, "thing/1/edge/0/length").0, "10.000 m");
    h.typed("thing/1/edge/0/length", "12,5");
    assert_eq!(h.deck(0), [[0, 0], [12_500, 0], [12_500, 6000], [0, 6000]]);
    h.typed("fixed_end", "end");
    h.typed("thing/1/edge/0/length", "10");
    h.typed("thing/1/edge/0/length", "10 m");
    assert_eq!(h.deck(0), [[2500, 0], [12_500, 0], [12_500, 6000], [2500, 6000]]);
}

#[test]
fn a_wrong_text_stays_with_its_problem_and_the_plan_holds() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Edge { id: 1, edge: 0 })));
    let fx = h.typed("thing/1/edge/0/length", "1.234,5");
    assert!(fx.problem.is_some());
    let groups = h.session.fields();
    let (text, problem) = h.field(&groups, "thing/1/edge/0/length");
    assert_eq!(text, "1.234,5");
    assert!(problem.is_some_and(|p| p.contains("two ways")));
    assert_eq!(**h.session.plan(), roof());
    h.typed("thing/1/edge/0/length", "9 m");
    let groups = h.session.fields();
    assert_eq!(h.field(&groups, "thing/1/edge/0/length"), ("9.000 m".to_owned(), None));
}

#[test]
fn what_stands_along_a_side() {
    let mut h = Hands::on(roof());
    h.send(Message::Select(Some(Selection::Edge { id: 1, edge: 2 })));
    h.typed("thing/1/edge/2/height", "0,3");
    h.typed("thing/1/edge/2/kind", "wall");
    assert_eq!(
        h.session.plan().decks[0].ring[2].edge,
        Edge::Upstand { height: 300, kind: UpstandKind::Wall }
    );
    h.typed("thing/1/edge/2/kind", "gutter");
    assert_eq!(h.session.plan().decks[0].ring[2].edge, Edge::Free { kind: FreeKind::Gutter });
    assert!(h.typed("thing/1/edge/2/height", "100").problem.is_some(), "a free edge has no height");
    assert!(h.typed("thing/1/edge/2/kind", "hedge").problem.is_some());
    h.send(Message::Command(baylap_editor::CommandId::SameEdges));
    assert!(h.session.plan().decks[0].ring.iter().all(|c| matches!(c.edge, Edge::Free { .. })));
}

#[test]
fn typing_on_in_one_field_is_one_step() {
    let mut h = Hands::on(roof());
    for text in ["1", "12", "120"] {
        h.typed("products.side_lap", text);
    }
    assert_eq!(h.session.history().undo_len(), 1);
    h.send(Message::FieldLeft);
    h.typed("products.side_lap", "100");
    assert_eq!(h.session.history().undo_len(), 2);
    h.undo();
    assert_eq!(h.session.plan().products.side_lap, 120);
    h.undo();
    assert_eq!(**h.session.plan(), roof());
}

#[test]
fn settings_have_the_paths_of_the_plan_file() {
    let mut h = Hands::on(roof());
    h.typed("products.rolls[0].width", "1,05 m");
    h.typed("products.rolls[0].on_hand", "40");
    h.typed("products.coats[1]", "2,5");
    h.typed("products.narrow_course", "grow_laps");
    h.typed("gang.bay_area", "45,5");
    h.typed("gang.bay_length", "15 m");
    h.typed("gang.day_minutes", "480");
    h.typed("job.name", "Invented hall");
    h.typed("job.north_mdeg", "90");
    let p = h.session.plan();
    assert_eq!((p.products.rolls[0].width, p.products.rolls[0].on_hand), (1050, Some(40)));
    assert_eq!(p.products.coats, [300, 250]);
    assert_eq!(
        (p.gang.bay_area, p.gang.bay_length, p.gang.day_minutes),
        (Some(4550), Some(15_000), Some(480))
    );
    assert_eq!((p.job.name.as_str(), p.job.north_mdeg), ("Invented hall", Some(90_000)));
    h.typed("gang.bay_area", "");
    assert_eq!(h.session.plan().gang.bay_area, None);
    assert!(h.typed("gang.courses_per_bay", "").problem.is_some_and(|t| t.contains("empty")));
    assert!(h.typed("gang.courses_per_bay", "0").problem.is_some_and(|t| t.contains("out of range")));
    assert!(h.typed("products.rolls[0].width", "0").problem.is_some());
    assert!(h.typed("products.rolls[7].width", "1000").problem.is_some());
    assert!(h.typed("no.such.field", "1").problem.is_some());
}

#[test]
fn places_diameters_levels_and_names() {
    let mut h = Hands::on(roof());
    h.tool(Tool::Penetration);
    h.click([4000, 1000]);
    let id = h.session.plan().penetrations[0].id;
    h.typed(&format!("thing/{id}/diameter"), "5 in");
    h.typed(&format!("thing/{id}/pocket"), "2");
    h.typed(&format!("thing/{id}/corner/0/x"), "4,5");
    h.typed(&format!("thing/{id}/name"), "vent");
    let p = &h.session.plan().penetrations[0];
    let Shape::Circle { centre, diameter } = p.shape else { panic!("it is round") };
    assert_eq!((centre.x, diameter, p.pocket, p.name.as_str()), (4500, 127, Some(2), "vent"));
    h.tool(Tool::Spot);
    h.move_to([2000, 2000]);
    h.type_text("-0,045");
    h.click([2000, 2000]);
    let spot = h.session.plan().levels.spots[0].clone();
    assert_eq!(spot.level, -45);
    h.typed(&format!("thing/{}/level", spot.id), "0");
    assert_eq!(h.session.plan().levels.spots[0].level, 0);
}

/// What every field shows can be typed back without changing the plan.
#[test]
fn every_field_reads_what_it_shows() {
    let mut h = Hands::on(roof());
    for tool in [Tool::Penetration, Tool::Way, Tool::Melter, Tool::Spot] {
        h.tool(tool);
        h.click([4000, 1000]);
    }
    for tool in [Tool::Joint, Tool::ZoneLine, Tool::LowLine, Tool::Datum, Tool::Direction] {
        h.tool(tool);
        h.click([3000, 500]);
        h.click([3000, 5000]);
        h.key("Enter");
    }
    let plan = h.session.plan().clone();
    let mut groups = Vec::new();
    for panel in [Panel::Job, Panel::Products, Panel::Gang, Panel::Datum, Panel::Programme] {
        groups.extend(h.session.settings(panel));
    }
    for thing in baylap_editor::thing::all(&plan) {
        h.send(Message::Select(Some(Selection::Thing(thing.id()))));
        groups.extend(h.session.fields());
        if thing.edge_count() > 0 {
            h.send(Message::Select(Some(Selection::Edge { id: thing.id(), edge: 0 })));
            groups.extend(h.session.fields());
        }
    }
    let fields: Vec<_> = groups.into_iter().flat_map(|g| g.fields).collect();
    assert!(fields.len() > 80, "{}", fields.len());
    for field in fields {
        if let FieldKind::Choice(choices) = &field.kind {
            assert!(choices.iter().any(|c| c.value == field.text), "{field:?}");
        }
        let fx = h.typed(&field.id.0, &field.text);
        assert_eq!(fx.problem, None, "{field:?}");
        assert_eq!(*h.session.plan(), plan, "{} changes the plan", field.id);
    }
}
