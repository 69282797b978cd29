//! Changes of level: the surface parted along them, and what water does at the step.
//!
//! In: decks with a change of level drawn across. Out: levels, catchments, ponds, sections and findings. Figures are worked
//! out by hand from the shapes; where levels are drawn by lot, the same roof drawn as two decks is the measure.

use baylap_core::falls::{Found, find};
use baylap_core::finding::Finding;
use baylap_core::geom::Pt;
use baylap_core::layout::falls::{OutletWork, Sink};
use baylap_core::model;
use baylap_core::plan::{
    Corner, Deck, Edge, FallPlane, FreeKind, Outlet, Plan, SpotLevel, UpstandKind, ZoneLine, ZoneLineKind,
};
use proptest::prelude::*;

/// A tall parapet: nothing runs over it.
fn wall() -> Edge {
    Edge::Upstand { height: 5000, kind: UpstandKind::Parapet }
}

fn free() -> Edge {
    Edge::Free { kind: FreeKind::Drip }
}

fn rectangle(id: u32, [x0, x1]: [i64; 2], edges: [Edge; 4]) -> Deck {
    let places = [(x0, 0), (x1, 0), (x1, 6000), (x0, 6000)];
    let ring =
        places.into_iter().zip(edges).map(|((x, y), edge)| Corner { at: Pt::new(x, y), edge }).collect();
    Deck { id, name: String::new(), ring }
}

/// 10 by 6 m, a change of level across it at x = 5 m; edges from the lower one anticlockwise.
fn stepped(edges: [Edge; 4]) -> Plan {
    let mut plan = Plan { decks: vec![rectangle(1, [0, 10_000], edges)], ..Plan::default() };
    plan.zone_lines = vec![change(&[(5000, 0), (5000, 6000)])];
    plan
}

fn change(points: &[(i64, i64)]) -> ZoneLine {
    let points = points.iter().map(|&(x, y)| Pt::new(x, y)).collect();
    ZoneLine { id: 90, points, kind: ZoneLineKind::LevelChange, ..ZoneLine::default() }
}

/// A plane over the left or the right half: its level at x = 5 m, and the direction that water runs, 1 in 50.
fn half(id: u32, x: [i64; 2], level: i64, direction_mdeg: i32) -> FallPlane {
    let area = [(x[0], 0), (x[1], 0), (x[1], 6000), (x[0], 6000)];
    let area = area.iter().map(|&(x, y)| Pt::new(x, y)).collect();
    FallPlane { id, at: Pt::new(5000, 0), level, direction_mdeg, one_in: 50, area }
}

const LEFT: [i64; 2] = [0, 5000];
const RIGHT: [i64; 2] = [5000, 10_000];
const TO_LEFT: i32 = 180_000;
const TO_RIGHT: i32 = 0;

fn spots(plan: &mut Plan, levels: &[(i64, i64, i64)]) {
    let first = 500 + u32::try_from(plan.levels.spots.len()).unwrap();
    let spot = |(id, &(x, y, level))| SpotLevel { id, at: Pt::new(x, y), level };
    plan.levels.spots.extend((first..).zip(levels).map(spot));
}

fn outlet(plan: &mut Plan, id: u32, x: i64, y: i64) {
    plan.outlets.push(Outlet { id, at: Pt::new(x, y), ..Outlet::default() });
}

fn found(plan: &Plan) -> (Found, Vec<Finding>) {
    let model = model::check(plan, &mut Vec::new());
    let mut findings = Vec::new();
    let found = find(plan, &model, &mut findings).expect("the deck has levels enough");
    (found, findings)
}

fn work(found: &Found, id: u32) -> &OutletWork {
    found.falls.outlets.iter().find(|o| o.id == id).expect("the outlet")
}

#[track_caller]
fn assert_near(found: f64, expect: f64) {
    assert!((found - expect).abs() <= 1e-6 * expect.abs().max(1.0), "{found}, expected {expect}");
}

#[track_caller]
fn assert_level(found: &Found, x: f64, expect: f64) {
    assert_near(found.ground.level_at([x, 2600.0]).expect("a level"), expect);
}

/// Two decks that fall 1:50 to the left, the right one 500 mm above the other: all water leaves over the left edge.
#[test]
fn water_drops_from_the_higher_side_and_runs_on() {
    let mut plan = stepped([wall(), wall(), wall(), free()]);
    plan.levels.planes = vec![half(80, LEFT, 100, TO_LEFT), half(81, RIGHT, 600, TO_LEFT)];
    let (found, findings) = found(&plan);
    assert!(findings.is_empty(), "{findings:#?}");
    for (x, level) in [(1.0, 0.02), (4999.0, 99.98), (5001.0, 600.02), (9999.0, 699.98)] {
        assert_level(&found, x, level);
    }
    assert!(found.falls.ponds.is_empty());
    assert_eq!((found.falls.over_edges, found.falls.trapped), (60_000_000, 0));
    // Nothing steeper than the planes: no facet spans the step.
    assert!(found.falls.facets.iter().all(|f| f.fall_ppm == 20_000), "{:?}", found.falls.facets);
    let trace = found.trace(Pt::new(8000, 2000)).unwrap();
    assert_eq!((trace.points.last(), trace.drains_to), (Some(&Pt::new(0, 2000)), Sink::Edge(1)));
    let section = found.section(&[Pt::new(0, 2600), Pt::new(10_000, 2600)]).unwrap();
    assert_eq!(section.parts.len(), 1);
    let part = &section.parts[0];
    let rise = part.windows(2).find(|w| w[1][0] == w[0][0]).expect("the section goes straight up");
    assert_eq!(rise, [[5000, 100_000], [5000, 600_000]]);
    assert_eq!((part[0], *part.last().unwrap()), ([0, 0], [10_000, 700_000]));
}

/// The lower side falls to the foot of the step: its water, and what drops on to it, runs along the foot to two outlets,
/// parting half way between them.
#[test]
fn the_foot_of_a_step_is_a_wall_that_water_runs_along() {
    let mut plan = stepped([wall(), wall(), wall(), wall()]);
    plan.levels.planes = vec![half(80, LEFT, 0, TO_RIGHT), half(81, RIGHT, 500, TO_LEFT)];
    outlet(&mut plan, 2, 5000, 1000);
    outlet(&mut plan, 3, 5000, 4000);
    let (found, _) = found(&plan);
    assert!(found.falls.ponds.is_empty(), "{:?}", found.falls.ponds);
    // Half way between 1 m and 4 m is 2.5 m: of 6 m, 2.5 go to one and 3.5 to the other.
    assert_eq!(work(&found, 2).size, 25_000_000);
    assert_eq!(work(&found, 3).size, 35_000_000);
    assert_eq!(found.falls.low_lines, [] as [[Pt; 2]; 0], "a step is no low line");
    assert_eq!(found.falls.trapped + found.falls.over_edges, 0);
}

/// Two dishes 100 mm deep, their rims 500 mm apart, an outlet in the middle of each.
fn two_dishes() -> Plan {
    let mut plan = stepped([wall(), wall(), wall(), wall()]);
    // Both levels at both ends of the line: each belongs to one side.
    for (x0, low) in [(0, 0), (5000, 500)] {
        let rim = [(x0, 0), (x0 + 5000, 0), (x0 + 5000, 6000), (x0, 6000)];
        spots(&mut plan, &rim.map(|(x, y)| (x, y, low + 100)));
        spots(&mut plan, &[(x0 + 2500, 3000, low)]);
    }
    outlet(&mut plan, 2, 2500, 3000);
    outlet(&mut plan, 3, 7500, 3000);
    plan
}

#[test]
fn levels_on_the_line_itself_go_to_the_side_they_fit() {
    let (found, findings) = found(&two_dishes());
    let codes: Vec<&str> = findings.iter().map(|f| f.code.as_str()).collect();
    assert!(!codes.contains(&"spots-disagree") && !codes.contains(&"level-stands-out"), "{codes:?}");
    assert!(
        !codes.contains(&"level-change-not-in-falls") && !codes.contains(&"levels-extended"),
        "{codes:?}"
    );
    assert_eq!((work(&found, 2).size, work(&found, 3).size), (30_000_000, 30_000_000));
    assert_eq!(work(&found, 3).level_um, Some(500_000));
    assert_eq!(found.falls.input.spots, 10);
}

/// With its outlet blocked the higher dish fills to its rim, a pyramid of V = A h / 3, and spills over the step.
#[test]
fn a_blocked_outlet_above_sends_its_water_down_the_step() {
    let (found, _) = found(&two_dishes());
    let blocked = work(&found, 3).blocked.as_ref().unwrap();
    assert_eq!((blocked.depth_um, blocked.size, blocked.goes_to), (100_000, 30_000_000, Sink::Outlet(2)));
    assert_eq!(blocked.volume, 30_000_000 * 100 / 3);
}

/// The lower dish fills until it stands as high as the deck above: 500 mm over its rim.
#[test]
fn a_blocked_outlet_below_fills_up_to_the_deck_above() {
    let (found, _) = found(&two_dishes());
    let blocked = work(&found, 2).blocked.as_ref().unwrap();
    assert_eq!((blocked.depth_um, blocked.goes_to), (600_000, Sink::Outlet(3)));
    assert_eq!(blocked.volume, 30_000_000 * 500 + 30_000_000 * 100 / 3);
    assert_eq!(blocked.size, 30_000_000);
}

#[test]
fn a_pond_may_stand_over_the_step() {
    let mut plan = two_dishes();
    plan.outlets.clear();
    // An overflow at the upper rim, 200 mm up: both dishes are one pond at 800 mm.
    outlet(&mut plan, 4, 10_000, 3000);
    plan.outlets[0].intake.sill = 200;
    let (found, findings) = found(&plan);
    assert_eq!(found.falls.ponds.len(), 1, "{:?}", found.falls.ponds);
    let pond = &found.falls.ponds[0];
    assert_eq!((pond.level_um, pond.depth_um, pond.size), (800_000, 800_000, 60_000_000));
    // Below: 700 mm over the rim and a pyramid; above: 200 and a pyramid.
    assert_eq!(pond.volume, 30_000_000 * 900 + 2 * 30_000_000 * 100 / 3);
    assert_eq!((pond.deepest, pond.drains_to), (Pt::new(2500, 3000), Sink::Outlet(4)));
    let told = findings.iter().find(|f| f.code == "pond").unwrap();
    assert!(told.text.ends_with("; what spills runs to outlet 4."), "{}", told.text);
}

/// The right side is level at 50 mm, the left one rises along the line from 0 to 100 mm: which is the higher changes half
/// way, where the two are one place.
#[test]
fn a_step_that_turns_over_has_a_place_where_both_sides_meet() {
    let mut plan = stepped([free(), wall(), wall(), wall()]);
    let left = FallPlane { direction_mdeg: -90_000, one_in: 60, ..half(80, LEFT, 0, 0) };
    let right = FallPlane { one_in: 0, ..half(81, RIGHT, 50, 0) };
    plan.levels.planes = vec![left, right];
    let (found, _) = found(&plan);
    let mesh = &found.meshes[0];
    let at_middle: Vec<usize> = (0..mesh.at.len())
        .filter(|&p| (mesh.at[p][0] - 5000.0).abs() + (mesh.at[p][1] - 3000.0).abs() < 1e-9)
        .collect();
    assert_eq!(at_middle.len(), 1, "{:?}", mesh.at);
    assert_near(mesh.z[at_middle[0]], 50.0);
    let steps: Vec<(f64, f64)> =
        mesh.steps.iter().map(|&[low, high]| (mesh.at[low][1], mesh.z[high] - mesh.z[low])).collect();
    assert_eq!(steps.len(), 2);
    for (y, height) in steps {
        assert_near(height, 50.0);
        assert!(y == 0.0 || (y - 6000.0).abs() < 1e-9);
    }
    assert_eq!((found.falls.over_edges, found.falls.trapped), (60_000_000, 0));
}

#[test]
fn a_change_that_cannot_part_the_surface_is_told_and_changes_nothing() {
    let told = |plan: &Plan| -> Vec<String> {
        let findings = found(plan).1;
        let own = findings.into_iter().filter(|f| f.code == "level-change-not-in-falls");
        own.map(|f| f.text).collect()
    };
    let mut plan = two_dishes();
    assert_eq!(told(&plan), [] as [String; 0]);
    // It stops in the middle of the deck.
    plan.zone_lines = vec![change(&[(5000, 0), (5000, 2000)])];
    let stub = told(&plan);
    assert!(stub.len() == 1 && stub[0].contains("does not part the deck"), "{stub:?}");
    // One side has two levels.
    plan.zone_lines = vec![change(&[(9900, 0), (9900, 6000)])];
    let few = told(&plan);
    assert!(few.len() == 1 && few[0].contains("fewer than 3 levels"), "{few:?}");
    let (kept, _) = found(&plan);
    plan.zone_lines.clear();
    assert_eq!(found(&plan).0.meshes[0].steps, [] as [[usize; 2]; 0]);
    assert!(kept.meshes[0].steps.is_empty());
}

/// A raised island: the change of level runs round it.
#[test]
fn an_island_drains_down_all_its_sides() {
    let mut plan = stepped([wall(), wall(), wall(), wall()]);
    plan.zone_lines = vec![change(&[(3000, 2000), (7000, 2000), (7000, 4000), (3000, 4000), (3000, 2000)])];
    spots(&mut plan, &[(0, 0, 0), (10_000, 0, 0), (10_000, 6000, 0), (0, 6000, 0)]);
    let inside = [(3500, 2500), (6500, 2500), (6500, 3500), (3500, 3500)];
    spots(&mut plan, &inside.map(|(x, y)| (x, y, 400)));
    outlet(&mut plan, 2, 1000, 1000);
    let (found, findings) = found(&plan);
    assert!(findings.iter().all(|f| f.code != "level-change-not-in-falls"), "{findings:#?}");
    assert_level(&found, 5000.0, 400.0);
    assert_level(&found, 2000.0, 0.0);
    assert_eq!(found.meshes[0].steps.len(), 4);
    assert_eq!((work(&found, 2).size, found.falls.trapped), (60_000_000, 0));
}

/// Places with their levels, mm.
type Spots = Vec<(i64, i64, i64)>;

fn levels() -> impl Strategy<Value = (Spots, Spots)> {
    let own = || proptest::collection::vec((300_i64..4700, 300_i64..5700, 0_i64..120), 4..9);
    (own(), own())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// A deck parted by a step of a metre has the ponds of the same roof drawn as two decks with a gap between them, of which
    /// the upper ends in a free edge along it, and hands at least as much water down.
    #[test]
    fn a_stepped_deck_is_two_decks_of_which_one_drips_on_the_other((low, high) in levels()) {
        let right = |x0: i64| -> Vec<(i64, i64, i64)> {
            high.iter().map(|&(x, y, z)| (x + x0, y, z + 1200)).chain(corners([x0, x0 + 5000, x0 + 5300, x0], 1300)).collect()
        };
        let mut one = stepped([wall(), wall(), wall(), wall()]);
        let decks = vec![
            rectangle(1, LEFT, [wall(), wall(), wall(), wall()]),
            rectangle(7, [5100, 10_100], [wall(), wall(), wall(), free()]),
        ];
        let mut two = Plan { decks, ..Plan::default() };
        // Not quite rectangles: four corners on one circle may be joined either way.
        one.decks[0].ring[2].at.x = 10_300;
        two.decks[1].ring[2].at.x = 10_400;
        one.decks[0].ring[3].at.x = -300;
        two.decks[0].ring[3].at.x = -300;
        for (plan, x0) in [(&mut one, 5000), (&mut two, 5100)] {
            spots(plan, &[low.clone(), corners([0, 5000, 5000, -300], 60).to_vec(), right(x0)].concat());
            outlet(plan, 2, low[0].0, low[0].1);
            outlet(plan, 3, high[0].0 + x0, high[0].1);
        }
        let ((one, said), (two, _)) = (found(&one), found(&two));
        prop_assert!(said.iter().all(|f| f.code != "level-change-not-in-falls"), "{:#?}", said);
        let (upper, over) = (work(&two, 3).size, two.falls.over_edges);
        prop_assert!((upper + over - 30_900_000).abs() <= 1);
        // Nothing is steeper than a step: water that comes to an end of it drops, which at the corner of a free edge may turn
        // back down the deck.
        prop_assert!(work(&one, 3).size <= upper + 1, "{} {}", work(&one, 3).size, upper);
        prop_assert_eq!(work(&one, 2).size + work(&one, 3).size, 61_800_000);
        prop_assert_eq!((one.falls.trapped, one.falls.over_edges), (0, 0));
        prop_assert_eq!(one.meshes[0].steps.len(), 2);
        // Ponds are the same ones.
        let sizes = |found: &Found| -> Vec<(i64, i64, i64)> {
            found.falls.ponds.iter().map(|p| (p.depth_um, p.size, p.volume)).collect()
        };
        // The two surfaces are added up in another order, so the last mm3 may round the other way.
        let (one, two) = (sizes(&one), sizes(&two));
        prop_assert_eq!(one.len(), two.len());
        for (a, b) in one.iter().zip(&two) {
            prop_assert_eq!((a.0, a.1), (b.0, b.1));
            prop_assert!((a.2 - b.2).abs() <= 1, "{:?} {:?}", a, b);
        }
    }
}

/// Levels at the corners of a half, from the lower left anticlockwise, not quite level.
fn corners(x: [i64; 4], z: i64) -> [(i64, i64, i64); 4] {
    [(x[0], 0, z), (x[1], 0, z + 7), (x[2], 6000, z), (x[3], 6000, z + 13)]
}
