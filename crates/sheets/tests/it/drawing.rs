//! The drawing: what is on it, where, and that hatches stay inside.

use crate::canopy;
use baylap_core::geom::{Points, Pt, ring};
use baylap_core::{About, Layout, Plan};
use baylap_sheets::clip;
use baylap_sheets::scene::{Role, Shape};
use baylap_sheets::{SceneOptions, deck_scene};
use proptest::prelude::*;

#[test]
fn an_empty_plan_gives_an_empty_drawing() {
    let scene = deck_scene(&Plan::default(), &Layout::default(), SceneOptions::default());
    assert!(scene.marks.is_empty() && scene.texts.is_empty() && scene.symbols.is_empty());
    assert!(scene.paths().is_empty() && scene.bounds().is_none());
}

#[test]
fn one_path_for_each_role() {
    let scene = deck_scene(&canopy::plan(), &canopy::layout(), SceneOptions::default());
    let paths = scene.paths();
    let mut roles: Vec<(Role, u8)> = paths.iter().map(|p| (p.role, p.tint)).collect();
    roles.dedup();
    assert_eq!(roles.len(), paths.len());
    for role in [Role::BayHatch, Role::Piece, Role::SideLap, Role::EndLap, Role::FreeEdge, Role::Void] {
        assert!(roles.iter().any(|(r, _)| *r == role), "{role:?}");
    }
    assert!(paths.iter().all(|p| p.data.starts_with('M') && !p.data.contains('.')), "whole mm only");
}

#[test]
fn a_click_finds_what_lies_there() {
    let scene = deck_scene(&canopy::plan(), &canopy::layout(), SceneOptions::default());
    let hits = scene.hits(Pt::new(2000, 500), 20);
    assert!(hits.contains(&About::Piece(1)) && hits.contains(&About::Bay(1)), "{hits:?}");
    assert_eq!(scene.hits(Pt::new(0, 4000), 50).first(), Some(&About::Edge { id: 1, edge: 3 }));
    assert!(scene.hits(Pt::new(-50_000, 0), 100).is_empty());
}

#[test]
fn side_laps_lie_where_both_courses_are() {
    let scene = deck_scene(&canopy::plan(), &canopy::layout(), SceneOptions::default());
    for mark in scene.marks.iter().filter(|m| m.role == Role::SideLap) {
        let Shape::Strokes(strokes) = &mark.shape else { panic!("a hatch is strokes") };
        for p in strokes.iter().flatten() {
            // Overlap of course k and k + 1 in the frame: 925 k to 925 k + 75, the frame's zero being at 50.
            let in_pitch = (p.y - 50).rem_euclid(925);
            assert!((-1..=76).contains(&in_pitch) || in_pitch >= 924, "{p:?}");
        }
    }
}

/// A ring that does not cross itself: a corner on each of several rays from its middle, so it is star-shaped.
fn star() -> impl Strategy<Value = Points> {
    (3_usize..24, prop::collection::vec(500_i64..20_000, 24), -5000_i64..5000).prop_map(
        |(count, radii, shift)| {
            (0..count)
                .map(|i| {
                    let turn =
                        360_000 * i32::try_from(i).expect("small") / i32::try_from(count).expect("small");
                    let [x, y] = clip::direction(turn);
                    #[allow(clippy::cast_precision_loss)]
                    let r = radii[i] as f64;
                    Pt::new(clip::whole(x * r) + shift, clip::whole(y * r) - shift)
                })
                .collect()
        },
    )
}

proptest! {
    #[test]
    fn hatches_stay_inside(outline in star(), turn in -180_000_i32..180_000, gap in 100_i64..3000) {
        let rings = [outline];
        for [a, b] in clip::hatch(&rings, turn, gap) {
            for t in 1_i64..8 {
                let p = Pt::new(a.x + (b.x - a.x) * t / 8, a.y + (b.y - a.y) * t / 8);
                let edge = ring::edges(&rings[0]).map(|(a, b)| distance(a, b, p)).fold(f64::MAX, f64::min);
                let inside = ring::locate(p, [rings[0].as_slice()]) != ring::Side::Outside;
                // Ends are rounded to whole mm: a place on the line may be out by less than 2 mm.
                prop_assert!(inside || edge < 2.0, "{p:?} is {edge} outside");
            }
        }
    }

    #[test]
    fn hatch_lines_measure_the_area(outline in star(), turn in 0_i32..180_000) {
        // Cavalieri: the sum of the lengths of lines a gap apart, times the gap, tends to the area.
        let rings = [outline];
        let gap = 50_i64;
        #[allow(clippy::cast_precision_loss)]
        let measured = clip::hatch(&rings, turn, gap).iter().map(|[a, b]| a.distance(*b)).sum::<f64>() * gap as f64;
        #[allow(clippy::cast_precision_loss)]
        let area = ring::doubled_area(&rings[0]).unsigned_abs() as f64 / 2.0;
        let round = ring::perimeter(&rings[0]) * 50.0 * 1.5;
        prop_assert!((measured - area).abs() < round, "{measured} against {area}");
    }
}

#[allow(clippy::cast_precision_loss)]
fn distance(a: Pt, b: Pt, p: Pt) -> f64 {
    let Some(line) = clip::Ray::through(a, b) else { return a.distance(p) };
    let along = line.reach(p);
    if along <= 0.0 {
        a.distance(p)
    } else if along >= a.distance(b) {
        b.distance(p)
    } else {
        line.off(p).abs()
    }
}
