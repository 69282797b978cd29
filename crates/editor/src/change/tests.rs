//! Changes on small plans, and that none goes wrong in silence.

use super::*;
use baylap_core::plan::{
    Corner, Deck, Direction, FreeKind, Line, Opening, Outlet, Penetration, Shape, ZoneSetting,
};

fn ring(points: &[[i64; 2]]) -> Vec<Corner> {
    points.iter().map(|&p| Corner { at: p.into(), edge: Edge::default() }).collect()
}

/// An L-shaped deck 1 (10 x 6 m with 4 x 2 m out), a joint 2 and an outlet 3.
fn plan() -> Plan {
    let l = [[0, 0], [10_000, 0], [10_000, 4000], [6000, 4000], [6000, 6000], [0, 6000]];
    Plan {
        decks: vec![Deck { id: 1, name: String::new(), ring: ring(&l) }],
        joints: vec![Line {
            id: 2,
            name: String::new(),
            points: vec![Pt::new(3000, 0), Pt::new(3000, 6000)],
        }],
        outlets: vec![Outlet {
            id: 3,
            at: Pt::new(1000, 1000),
            bowl: 150,
            clear_zone: 500,
            ..Outlet::default()
        }],
        ..Plan::default()
    }
}

#[track_caller]
fn points_after(change: Change, id: Id) -> Vec<[i64; 2]> {
    let next = apply(&plan(), &change).expect("the change is good");
    thing::find(&next, id).expect("it is there").points().into_iter().map(Into::into).collect()
}

#[track_caller]
fn refused(change: Change) -> String {
    let problem = apply(&plan(), &change).expect_err("the change is bad");
    assert!(problem.ends_with('.') && !problem.contains('\n'), "one sentence: {problem}");
    problem
}

#[test]
fn a_side_moves_at_right_angles_to_itself() {
    let l = points_after(Change::MoveEdge { id: 1, edge: 1, by: -500 }, 1);
    assert_eq!(l, [[0, 0], [10_500, 0], [10_500, 4000], [6000, 4000], [6000, 6000], [0, 6000]]);
}

#[test]
fn a_slanting_neighbour_stretches_along_its_own_line() {
    let mut p = plan();
    p.decks[0].ring = ring(&[[0, 0], [6000, 0], [4000, 2000], [0, 2000]]);
    let next = apply(&p, &Change::MoveEdge { id: 1, edge: 2, by: -1000 }).expect("good");
    assert_eq!(next.decks[0].ring[2].at, Pt::new(3000, 3000));
    assert_eq!(next.decks[0].ring[3].at, Pt::new(0, 3000));
}

#[test]
fn a_typed_length_keeps_the_ring_square_and_one_end_fixed() {
    let set = |fixed| Change::SetEdgeLength { id: 1, edge: 0, length: 12_000, fixed };
    let start = points_after(set(FixedEnd::Start), 1);
    assert_eq!(start, [[0, 0], [12_000, 0], [12_000, 4000], [6000, 4000], [6000, 6000], [0, 6000]]);
    let end = points_after(set(FixedEnd::End), 1);
    assert_eq!(end, [[-2000, 0], [10_000, 0], [10_000, 4000], [6000, 4000], [6000, 6000], [-2000, 6000]]);
}

#[test]
fn a_typed_length_of_a_line_carries_what_is_beyond() {
    let line =
        points_after(Change::SetEdgeLength { id: 2, edge: 0, length: 5000, fixed: FixedEnd::Start }, 2);
    assert_eq!(line, [[3000, 0], [3000, 5000]]);
}

#[test]
fn a_slanting_side_gets_its_length_to_the_millimetre() {
    let mut p = plan();
    p.decks[0].ring = ring(&[[0, 0], [3000, 4000], [-500, 3000]]);
    let change = Change::SetEdgeLength { id: 1, edge: 0, length: 10_000, fixed: FixedEnd::Start };
    assert_eq!(apply(&p, &change).expect("good").decks[0].ring[1].at, Pt::new(6000, 8000));
}

#[test]
fn of_a_triangle_only_the_moving_corner_moves() {
    let mut p = plan();
    p.decks[0].ring = ring(&[[0, 0], [3000, 0], [3000, 4000]]);
    let change = Change::SetEdgeLength { id: 1, edge: 0, length: 6000, fixed: FixedEnd::Start };
    let corners: Vec<Pt> = apply(&p, &change).expect("good").decks[0].ring.iter().map(|c| c.at).collect();
    assert_eq!(corners, [Pt::new(0, 0), Pt::new(6000, 0), Pt::new(3000, 4000)]);
}

#[test]
fn the_length_that_a_side_has_already_moves_nothing() {
    let mut p = plan();
    p.decks[0].ring = ring(&[[0, 0], [3001, 4007], [-500, 3000]]);
    let shown = 5006; // 5006.21
    let change = Change::SetEdgeLength { id: 1, edge: 0, length: shown, fixed: FixedEnd::Start };
    assert_eq!(apply(&p, &change), Ok(p));
}

#[test]
fn corners_go_in_and_out() {
    let gutter = Edge::Free { kind: FreeKind::Gutter };
    let p = apply(&plan(), &Change::SetEdge { id: 1, edge: 5, kind: gutter.clone() }).expect("good");
    let p = apply(&p, &Change::InsertCorner { id: 1, edge: 5, at: Pt::new(0, 3000) }).expect("good");
    assert_eq!(p.decks[0].ring.len(), 7);
    assert_eq!(p.decks[0].ring[6], Corner { at: Pt::new(0, 3000), edge: gutter });
    let back = apply(&p, &Change::DeleteCorner { id: 1, corner: 6 }).expect("good");
    assert_eq!(back.decks[0].ring.len(), 6);
    assert!(refused(Change::InsertCorner { id: 1, edge: 0, at: Pt::new(0, 0) }).contains("already"));
}

#[test]
fn a_ring_keeps_three_corners_and_a_line_two_points() {
    let mut p = plan();
    p.decks[0].ring = ring(&[[0, 0], [3000, 0], [0, 3000]]);
    let problem = apply(&p, &Change::DeleteCorner { id: 1, corner: 0 }).expect_err("three are needed");
    assert!(problem.contains("three corners"), "{problem}");
    assert!(refused(Change::DeleteCorner { id: 2, corner: 1 }).contains("two points"));
    assert!(refused(Change::DeleteCorner { id: 3, corner: 0 }).contains("two points"));
}

#[test]
fn a_deck_takes_along_what_stands_on_it() {
    let mut p = plan();
    let away = Pt::new(50_000, 0);
    let along = Direction::Along { from: Pt::new(1, 1), to: Pt::new(5, 1) };
    p.zones.push(ZoneSetting { id: 4, at: Pt::new(500, 500), direction: along, ..ZoneSetting::default() });
    p.outlets.push(Outlet { id: 5, at: away, bowl: 150, clear_zone: 500, ..Outlet::default() });
    p.datum = Some(Datum { zero: Pt::new(0, 0), along: Pt::new(1000, 0), note: String::new() });
    let by = Shift { dx: 100, dy: 10 };
    let next = apply(&p, &Change::Move { id: 1, by, with_contents: true }).expect("good");
    assert_eq!(next.decks[0].ring[0].at, Pt::new(100, 10));
    assert_eq!(next.outlets[0].at, Pt::new(1100, 1010));
    assert_eq!(next.outlets[1].at, away, "what stands elsewhere stays");
    assert_eq!(next.zones[0].direction, Direction::Along { from: Pt::new(101, 11), to: Pt::new(105, 11) });
    assert_eq!(next.datum.as_ref().expect("kept").zero, Pt::new(100, 10));
    let alone = apply(&p, &Change::Move { id: 1, by, with_contents: false }).expect("good");
    assert_eq!(alone.outlets[0].at, Pt::new(1000, 1000));
}

#[test]
fn new_things_get_a_number_of_their_own() {
    let opening = Opening { ring: ring(&[[1, 1], [9, 1], [9, 9]]), ..Opening::default() };
    let next = apply(&plan(), &Change::Put(Thing::Opening(opening.clone()))).expect("good");
    assert_eq!(next.openings[0].id, 4);
    assert!(refused(Change::Put(Thing::Opening(Opening { id: 1, ..opening }))).contains("taken"));
}

#[test]
fn a_number_at_the_top_of_the_range_does_not_overflow() {
    let mut p = plan();
    p.outlets[0].id = Id::MAX;
    let next = apply(&p, &Change::Put(Thing::Outlet(Outlet { bowl: 150, ..Outlet::default() })));
    let next = next.expect("a free number is found");
    assert_eq!(next.outlets[1].id, 3);
}

#[test]
fn bad_changes_are_refused_with_a_sentence() {
    refused(Change::Delete(99));
    refused(Change::MoveCorner { id: 1, corner: 6, to: Pt::new(0, 0) });
    refused(Change::MoveEdge { id: 3, edge: 0, by: 5 });
    refused(Change::SetEdge { id: 2, edge: 0, kind: Edge::default() });
    refused(Change::SetEdgeLength { id: 1, edge: 0, length: 0, fixed: FixedEnd::Start });
    refused(Change::Put(Thing::Deck(Deck::default())));
    let far = refused(Change::MoveCorner { id: 1, corner: 0, to: Pt::new(20_000_000, 0) });
    assert!(far.starts_with("Deck 1 would lie more than 10 km"), "{far}");
    refused(Change::MoveCorner { id: 1, corner: 0, to: Pt::new(i64::MAX, i64::MIN) });
    refused(Change::MoveAll(Shift { dx: i64::MAX, dy: 0 }));
    refused(Change::Datum(Some(Datum::default())));
    let shape = Shape::Circle { centre: Pt::new(0, 0), diameter: -5 };
    let bad = Penetration { id: 0, name: String::new(), shape, pocket: None, collar: None };
    refused(Change::Put(Thing::Penetration(bad)));
}

/// Gangs and ties are no things on the plan, and yet their ids are theirs.
#[test]
fn ids_of_the_programme_are_not_given_again() {
    let mut plan = plan();
    plan.programme.gangs.push(baylap_core::plan::NamedGang { id: 8, people: 4, ..Default::default() });
    plan.programme.ties.push(baylap_core::plan::Tie { id: 7, ..Default::default() });
    let greatest = baylap_core::plan::file::ids(&plan).into_iter().map(|(_, id)| id).max();
    assert_eq!(Some(thing::greatest_id(&plan)), greatest);
    let outlet = |id| {
        Change::Put(Thing::Outlet(Outlet { id, at: Pt::new(2000, 2000), bowl: 150, ..Outlet::default() }))
    };
    let next = apply(&plan, &outlet(0)).expect("the change is good");
    assert_eq!(next.outlets.last().map(|o| o.id), Some(9));
    assert!(apply(&plan, &outlet(7)).is_err_and(|said| said.contains("taken")));
    plan.programme.gangs[0].id = Id::MAX;
    let next = apply(&plan, &outlet(0)).expect("the change is good");
    assert_eq!(next.outlets.last().map(|o| o.id), Some(4), "the least free one where none is above");
}

/// Bays are tied by a place in them, so a deck that moves with what stands on it takes its ties along.
#[test]
fn ties_move_with_their_deck() {
    let mut plan = plan();
    let tie = |id, at| baylap_core::plan::Tie { id, at, ..Default::default() };
    plan.programme.ties = vec![tie(7, Pt::new(1000, 1000)), tie(8, Pt::new(50_000, 1000))];
    let places = |with_contents| -> Vec<Pt> {
        let by = Shift { dx: 100, dy: 20 };
        let next = apply(&plan, &Change::Move { id: 1, by, with_contents }).expect("the change is good");
        next.programme.ties.iter().map(|t| t.at).collect()
    };
    assert_eq!(places(true), [Pt::new(1100, 1020), Pt::new(50_000, 1000)]);
    assert_eq!(places(false), [Pt::new(1000, 1000), Pt::new(50_000, 1000)]);
}
