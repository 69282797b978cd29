//! Which snapper wins, and that its point is its target.

use super::*;
use baylap_core::Plan;
use baylap_core::plan::{Corner, Deck};

fn targets() -> Targets {
    let ring = [[0, 0], [10_003, 0], [10_003, 6007], [0, 6007]];
    let ring = ring.iter().map(|&p| Corner { at: p.into(), ..Corner::default() }).collect();
    Targets::of(
        &Plan { decks: vec![Deck { id: 1, name: String::new(), ring }], ..Plan::default() },
        Except::Nothing,
    )
}

#[track_caller]
fn check(at: [f64; 2], drawn: &[[i64; 2]], expect: (SnapKind, [i64; 2])) {
    let drawn: Vec<Pt> = drawn.iter().map(|&p| p.into()).collect();
    let targets = targets();
    let q = Query {
        at,
        reach: 60.0,
        settings: SnapSettings::default(),
        targets: &targets,
        drawn: &drawn,
        closes: true,
        base: [1, 0],
        lock: false,
    };
    let found = snap(&q);
    assert_eq!((found.kind, [found.at.x, found.at.y]), expect);
}

#[test]
fn a_corner_wins_over_its_edges() {
    check([10_030.0, 5980.0], &[], (SnapKind::Corner, [10_003, 6007]));
}

#[test]
fn an_edge_wins_over_the_grid_and_is_met_exactly() {
    check([10_040.0, 3020.0], &[], (SnapKind::Edge, [10_003, 3000]));
}

#[test]
fn a_right_angle_is_to_the_side_before() {
    // The side before runs 3:4, so a right angle to it runs -4:3.
    check([3000.0 - 410.0, 4000.0 + 290.0], &[[0, 0], [3000, 4000]], (SnapKind::RightAngle, [2600, 4300]));
    check([2010.0, 2760.0], &[[500, 2000], [2000, 2000]], (SnapKind::RightAngle, [2000, 2800]));
}

#[test]
fn a_right_angle_ends_square_to_a_corner() {
    check([2010.0, 5970.0], &[[500, 2000], [2000, 2000]], (SnapKind::Edge, [2000, 6007]));
    check([3480.0, 1290.0], &[[500, 500], [2000, 500], [3500, 500]], (SnapKind::RightAngle, [3500, 1300]));
}

#[test]
fn forty_five_degrees_and_straight_on() {
    check([2810.0, 2790.0], &[[500, 2000], [2000, 2000]], (SnapKind::Half, [2778, 2778]));
    check([2810.0, 2020.0], &[[500, 2000], [2000, 2000]], (SnapKind::StraightOn, [2800, 2000]));
}

#[test]
fn a_held_direction_ends_where_it_crosses_an_edge() {
    check([6020.0, 5990.0], &[[500, 2000], [2000, 2000]], (SnapKind::Edge, [6007, 6007]));
}

#[test]
fn back_along_the_side_before_is_no_direction() {
    check([1520.0, 2010.0], &[[500, 2000], [2000, 2000]], (SnapKind::InLine, [1500, 2000]));
}

#[test]
fn the_first_side_follows_the_base_line() {
    check([4020.0, 2030.0], &[[2000, 2000]], (SnapKind::Axis, [4000, 2000]));
}

#[test]
fn in_line_with_a_corner_that_is_off_the_grid() {
    check([10_020.0, 8140.0], &[], (SnapKind::InLine, [10_003, 8100]));
}

#[test]
fn the_first_corner_closes_only_with_three() {
    check([2030.0, 2030.0], &[[2000, 2000], [4000, 2000]], (SnapKind::Corner, [2000, 2000]));
    check([2030.0, 2030.0], &[[2000, 2000], [4000, 2000], [4000, 4000]], (SnapKind::Close, [2000, 2000]));
}

#[test]
fn everything_else_is_on_the_grid() {
    check([4440.0, 3370.0], &[], (SnapKind::Grid, [4400, 3400]));
}

#[test]
fn what_moves_is_no_target() {
    let ring = [[0, 0], [10, 0], [10, 10], [0, 10]];
    let ring = ring.iter().map(|&p| Corner { at: p.into(), ..Corner::default() }).collect();
    let plan = Plan { decks: vec![Deck { id: 1, name: String::new(), ring }], ..Plan::default() };
    let t = Targets::of(&plan, Except::Corner(1, 0));
    assert_eq!((t.corners.len(), t.edges.len()), (3, 2));
    let t = Targets::of(&plan, Except::Edge(1, 3));
    assert_eq!((t.corners.len(), t.edges.len()), (2, 1));
    assert!(Targets::of(&plan, Except::Whole(1)).corners.is_empty());
}
