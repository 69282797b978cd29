//! The surface of decks, its ponds, classes, contours and sections.
//!
//! In: closed-form surfaces, published grids, random decks. Out: passes and failures. Files of the reference data are read
//! in place; a test that finds none says so and is skipped.

use crate::places::top;
use baylap_core::falls::locate::Places;
use baylap_core::falls::mesh::{Beyond, Drain, Mesh};
use baylap_core::falls::ponds::{PondExact, ponds};
use baylap_core::falls::section::section;
use baylap_core::falls::surface::surfaces;
use baylap_core::falls::{Found, find, flood};
use baylap_core::falls::{classes, contours, rules};
use baylap_core::finding::Finding;
use baylap_core::geom::{Pt, Region, ring};
use baylap_core::model::{DeckModel, Model};
use baylap_core::plan::{
    Corner, Deck, Drainage, Edge, FallPlane, FallRule, FreeKind, LevelLine, LevelPoint, Outlet, Plan,
    SpotLevel,
};
use baylap_core::{Severity, model};
use proptest::prelude::*;
use serde_json::Value;
use std::collections::BTreeMap;

fn reference(name: &str) -> Option<Value> {
    let path = top().join("../shared/data/levels").join(name);
    let Ok(text) = std::fs::read_to_string(&path) else {
        println!("skipped: no reference data {name}");
        return None;
    };
    Some(serde_json::from_str(&text).unwrap())
}

/// A mesh from points and triangles; its rim is walls, its outlets are open drains at the surface.
fn mesh_of(points: &[[f64; 3]], triangles: &[[usize; 3]], outlets: &[usize]) -> Mesh {
    let mut mesh = Mesh {
        deck: 1,
        at: points.iter().map(|p| [p[0], p[1]]).collect(),
        z: points.iter().map(|p| p[2]).collect(),
        facets: triangles.to_vec(),
        ..Mesh::default()
    };
    for f in 0..mesh.facets.len() {
        if mesh.doubled_area(f) < 0.0 {
            mesh.facets[f].swap(1, 2);
        }
    }
    let mut owner = BTreeMap::new();
    for (n, t) in mesh.facets.iter().enumerate() {
        for k in 0..3 {
            owner.insert((t[k], t[(k + 1) % 3]), n);
        }
    }
    let beyond = |t: &[usize; 3], k: usize| {
        owner.get(&(t[(k + 1) % 3], t[k])).map_or(Beyond::Wall, |&other| Beyond::Facet(other))
    };
    mesh.beyond = mesh.facets.iter().map(|t| [beyond(t, 0), beyond(t, 1), beyond(t, 2)]).collect();
    mesh.drains = (1..)
        .zip(outlets)
        .map(|(id, &point)| Drain { id, point, level: mesh.z[point], overflow: false })
        .collect();
    mesh
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
}

fn indices(value: &Value) -> Vec<usize> {
    value.as_array().unwrap().iter().map(|v| usize::try_from(v.as_u64().unwrap()).unwrap()).collect()
}

fn near(found: f64, expect: f64, tolerance: f64) -> bool {
    (found - expect).abs() <= tolerance * expect.abs().max(1.0)
}

/// Closed forms written beside each case of the reference data (`note`), e.g. V = A d / 3 for a cone.
#[test]
fn closed_form_surfaces_hold_to_nine_places() {
    let Some(cases) = reference("tin_closed_form.json") else { return };
    let cases = cases.as_array().unwrap();
    assert!(cases.len() >= 7);
    for case in cases {
        // Metres there, mm here.
        let points: Vec<[f64; 3]> = case["points"]
            .as_array()
            .unwrap()
            .iter()
            .map(|p| [0, 1, 2].map(|k| p[k].as_f64().unwrap() * 1000.0))
            .collect();
        let triangles: Vec<[usize; 3]> =
            case["triangles"].as_array().unwrap().iter().map(|t| indices(t).try_into().unwrap()).collect();
        let mesh = mesh_of(&points, &triangles, &indices(&case["outlets"]));
        let found = ponds(&mesh, &flood::flood(&mesh));
        let (name, expect) = (&case["name"], &case["expected"]);
        let sum = |of: fn(&PondExact) -> f64| found.iter().map(of).sum::<f64>();
        assert_eq!(found.len() as u64, expect["ponds"].as_u64().unwrap(), "{name}");
        for (what, value, scale) in [
            ("volume", sum(|p| p.volume), 1e9),
            ("wet_area", sum(|p| p.area), 1e6),
            ("max_depth", found.first().map_or(0.0, |p| p.depth), 1e3),
        ] {
            let wanted = expect[what].as_f64().unwrap();
            assert!(near(value / scale, wanted, 1e-9), "{name} {what}: {} for {wanted}", value / scale);
        }
    }
}

fn square(side: i64, edge: &Edge) -> Deck {
    let corner = |x, y| Corner { at: Pt::new(x, y), edge: edge.clone() };
    Deck {
        id: 1,
        name: String::new(),
        ring: vec![corner(0, 0), corner(side, 0), corner(side, side), corner(0, side)],
    }
}

fn found(plan: &Plan) -> (Option<Found>, Vec<Finding>) {
    let model = model::check(plan, &mut Vec::new());
    let mut findings = Vec::new();
    (find(plan, &model, &mut findings), findings)
}

fn spots(levels: &[(i64, i64, i64)]) -> Vec<SpotLevel> {
    (1000..).zip(levels).map(|(id, &(x, y, level))| SpotLevel { id, at: Pt::new(x, y), level }).collect()
}

/// A grid of levels as a mesh; `rising` cuts each square from its lower left to its upper right corner (rows going up).
/// The rim is open.
fn grid_mesh(rows: &[Vec<f64>], rising: bool) -> Mesh {
    let (height, width) = (rows.len(), rows[0].len());
    let mut points = Vec::new();
    let (mut triangles, mut rim) = (Vec::new(), Vec::new());
    for (r, row) in rows.iter().enumerate() {
        for (c, &z) in row.iter().enumerate() {
            #[allow(clippy::cast_precision_loss)]
            points.push([c as f64, r as f64, z]);
            if r == 0 || c == 0 || r + 1 == height || c + 1 == width {
                rim.push(r * width + c);
            }
            if r + 1 < height && c + 1 < width {
                let (a, b) = (r * width + c, r * width + c + 1);
                let (d, e) = (a + width, b + width);
                triangles.extend(if rising { [[a, b, e], [a, e, d]] } else { [[a, b, d], [b, e, d]] });
            }
        }
    }
    mesh_of(&points, &triangles, &rim)
}

fn rows(value: &Value) -> Vec<Vec<f64>> {
    value.as_array().unwrap().iter().map(numbers).collect()
}

/// Ponds and filled levels worked out by another program for both ways of cutting the squares.
fn agrees_with_oracle(name: &str, levels: &[Vec<f64>], oracle: &Value) -> [Vec<f64>; 2] {
    // The strokes are as the rows are written, the first at the top.
    [("\\", true), ("/", false)].map(|(key, rising)| {
        let mesh = grid_mesh(levels, rising);
        let flood = flood::flood(&mesh);
        let (ponds, expect) = (ponds(&mesh, &flood), &oracle[key]);
        for (n, (&water, level)) in flood.water.iter().zip(numbers(&expect["fill"])).enumerate() {
            assert!(near(water, level, 1e-9), "{name} {key} point {n}: {water} for {level}");
        }
        let listed = expect["ponds"].as_array().unwrap();
        assert_eq!(ponds.len(), listed.len(), "{name} {key}");
        for (pond, told) in ponds.iter().zip(listed) {
            let told = |what: &str| told[what].as_f64().unwrap();
            for (what, value) in [
                ("level", pond.level),
                ("depth", pond.depth),
                ("volume", pond.volume),
                ("wet_area", pond.area),
            ] {
                // The file is rounded to six places.
                assert!(near(value, told(what), 1e-6), "{name} {key} {what}: {value} for {}", told(what));
            }
        }
        flood.water
    })
}

/// Sources: small grids of landscape models with known lakes, and their faceted surfaces worked out apart from this code.
#[test]
fn sink_grids_fill_to_their_lakes() {
    let Some(file) = reference("sink_grids.json") else { return };
    let cases = file["cases"].as_array().unwrap();
    assert!(!cases.is_empty());
    for case in cases {
        let (name, levels) = (case["name"].as_str().unwrap(), rows(&case["z"]));
        let filled = agrees_with_oracle(name, &levels, &case["tin_oracle"]);
        let lake = &case["expected"];
        let level = lake["lake_level"].as_f64().unwrap();
        for node in indices(&lake["lake_nodes"]) {
            assert!(filled.iter().all(|f| near(f[node], level, 1e-9)), "{name} node {node}");
        }
    }
}

/// Source: the worked example of a fill algorithm with 8 and with 4 neighbours; facets have 6, so lie between.
#[test]
fn the_filled_grid_lies_between_the_neighbour_rules() {
    let Some(file) = reference("filled_grid.json") else { return };
    let levels = rows(&file["z"]);
    let filled = agrees_with_oracle("filled grid", &levels, &file["tin_oracle"]);
    let flat = |key: &str| rows(&file[key]).concat();
    let (eight, four) = (flat("filled_8conn"), flat("filled_4conn"));
    for fill in &filled {
        for (n, water) in fill.iter().enumerate() {
            assert!(*water >= eight[n] - 1e-9 && *water <= four[n] + 1e-9, "point {n}: {water}");
        }
    }
}

/// A dish 10 m square: rim at 200 mm, middle at 0.
fn dish(edge: &Edge) -> Plan {
    let mut plan = Plan::default();
    plan.decks.push(square(10_000, edge));
    plan.levels.spots =
        spots(&[(0, 0, 200), (10_000, 0, 200), (10_000, 10_000, 200), (0, 10_000, 200), (5_000, 5_000, 0)]);
    plan
}

fn free() -> Edge {
    Edge::Free { kind: FreeKind::Drip }
}

fn outlet(x: i64, y: i64) -> Outlet {
    Outlet { id: 50, at: Pt::new(x, y), ..Outlet::default() }
}

fn codes(findings: &[Finding]) -> Vec<&str> {
    findings.iter().map(|f| f.code.as_str()).collect()
}

/// Volume of a pyramid, V = A h / 3, by arithmetic.
#[test]
fn a_dish_with_its_outlet_blocked_holds_a_pyramid() {
    let mut plan = dish(&free());
    plan.outlets.push(outlet(5_000, 5_000));
    let (open, findings) = found(&plan);
    assert!(open.unwrap().falls.ponds.is_empty(), "{findings:#?}");
    plan.outlets[0].intake.blocked = true;
    let (blocked, findings) = found(&plan);
    let falls = blocked.unwrap().falls;
    assert_eq!(falls.ponds.len(), 1, "{findings:#?}");
    let pond = &falls.ponds[0];
    assert_eq!((pond.depth_um, pond.level_um, pond.size), (200_000, 200_000, 100_000_000));
    // 6666.667 litres.
    assert_eq!((pond.volume, pond.mass), (6_666_666_667, 666_667));
    assert_eq!(
        pond.area,
        [[[(0, 0), (10_000, 0), (10_000, 10_000), (0, 10_000)].map(|(x, y)| Pt::new(x, y)).to_vec()]]
    );
    assert_eq!(pond.deepest, Pt::new(5_000, 5_000));
    assert!(codes(&findings).contains(&"pond"));
    // Half of it falls away from the corner it spills over.
    assert!(falls.class_areas[0] > 0, "{:?}", falls.class_areas);
}

#[test]
fn an_outlet_stands_proud_and_water_stands_to_its_rim() {
    let mut plan = dish(&free());
    plan.outlets.push(outlet(5_000, 5_000));
    plan.outlets[0].intake.level = Some(20);
    let (proud, findings) = found(&plan);
    let falls = proud.unwrap().falls;
    // A tenth of the depth: a thousandth of the pyramid's volume.
    let pond = &falls.ponds[0];
    assert_eq!((pond.depth_um, pond.size, pond.volume), (20_000, 1_000_000, 6_666_667));
    assert_eq!(pond.spill, Some(Pt::new(5_000, 5_000)));
    let told = findings.iter().find(|f| f.code == "pond").unwrap();
    assert!(told.mend.contains("Lower outlet 50 by 20 mm"), "{}", told.mend);
}

/// Trade facts F1 and F2: a dead level deck is a fall below the least, and holds no pond.
#[test]
fn a_dead_level_deck_falls_too_little_and_holds_no_pond() {
    let mut plan = Plan::default();
    plan.decks.push(square(10_000, &Edge::default()));
    plan.levels.planes = vec![FallPlane { id: 9, at: Pt::new(1, 1), level: 70, ..FallPlane::default() }];
    plan.outlets.push(outlet(5_000, 5_000));
    let (level, findings) = found(&plan);
    let falls = level.unwrap().falls;
    assert!(falls.ponds.is_empty());
    assert_eq!(falls.class_areas, [0, 100_000_000, 0, 0, 0]);
    assert_eq!(codes(&findings), ["fall-below-least"]);
    assert!(
        findings[0].text.contains("100.00 m2 of deck 1, 100.0 %, fall less than 1:80"),
        "{}",
        findings[0].text
    );
    assert_eq!(falls.input.planes, 1);
}

#[test]
fn a_deck_without_a_way_out_says_so_and_has_no_ponds() {
    let (shut, findings) = found(&dish(&Edge::default()));
    assert!(shut.unwrap().falls.ponds.is_empty());
    let told: Vec<&Finding> = findings.iter().filter(|f| f.code == "no-way-out").collect();
    assert_eq!(told.len(), 1, "{findings:#?}");
    assert_eq!(told[0].at, Some(Pt::new(5_000, 5_000)));
}

/// A plane at 1:40 along +x from a level of 500 mm, over an L-shaped deck with an opening.
fn sloping() -> Plan {
    let mut plan = Plan::default();
    let corner = |(x, y): (i64, i64)| Corner { at: Pt::new(x, y), edge: free() };
    let ring = [(0, 0), (20_000, 0), (20_000, 8_000), (9_000, 8_000), (9_000, 16_000), (0, 16_000)];
    plan.decks.push(Deck { id: 1, name: String::new(), ring: ring.map(corner).to_vec() });
    let hole = [(3_000, 3_000), (5_000, 3_000), (5_000, 6_000), (3_000, 6_000)]
        .map(|(x, y)| Corner { at: Pt::new(x, y), edge: Edge::default() });
    plan.openings.push(baylap_core::plan::Opening { id: 2, name: String::new(), ring: hole.to_vec() });
    plan.levels.planes = vec![FallPlane {
        id: 9,
        at: Pt::new(0, 0),
        level: 500,
        direction_mdeg: 0,
        one_in: 40,
        area: Vec::new(),
    }];
    plan
}

/// Arithmetic: 1:40 from 500 mm is level 500 - x/40 everywhere; trade facts "fall conversions", 1:40 = 2.5 %.
#[test]
fn a_plane_is_that_plane_everywhere() {
    let (plane, findings) = found(&sloping());
    let found = plane.unwrap();
    assert!(findings.is_empty(), "{findings:#?}");
    for p in &found.falls.points {
        assert_eq!(p[2], 500_000 - p[0] / 40);
    }
    for facet in &found.falls.facets {
        assert_eq!((facet.fall_ppm, facet.direction_mdeg), (25_000, 0));
    }
    // 20 x 8 + 9 x 8 - 2 x 3 m2.
    assert_eq!(found.falls.class_areas, [0, 0, 0, 0, 226_000_000]);
    assert!(found.falls.low_lines.is_empty() && found.falls.ridges.is_empty());
    // Levels 0 to 500 at 50 mm (20 lines would be 25): contours across the fall at whole 2 m.
    let contours: Vec<i64> = found.falls.contours.iter().map(|c| c.level).collect();
    assert_eq!(contours, [50, 100, 150, 200, 250, 300, 350, 400, 450, 500]);
    for contour in &found.falls.contours {
        let x = (500 - contour.level) * 40;
        assert!(contour.lines.iter().flatten().all(|p| p.x == x), "{contour:?}");
        let length: i64 =
            contour.lines.iter().flat_map(|l| l.windows(2)).map(|w| (w[1].y - w[0].y).abs()).sum();
        let depth = if x < 9_000 { 16_000 } else { 8_000 } - if x == 4_000 { 3_000 } else { 0 };
        assert_eq!(length, depth, "at {x}");
    }
    let walls = found.meshes[0].beyond.iter().flatten().filter(|b| **b == Beyond::Wall).count();
    let open = found.meshes[0].beyond.iter().flatten().filter(|b| **b == Beyond::Open(1)).count();
    assert_eq!((walls, open), (4, 6));
}

/// Arithmetic: chainage and level along a line over the same plane, with a gap at the opening.
#[test]
fn a_section_shows_the_level_along_its_line_and_stops_at_openings() {
    let (plane, _) = found(&sloping());
    let places: Vec<Places> = plane.unwrap().meshes.into_iter().map(Places::of).collect();
    let runs = section(&places, &[Pt::new(-1_000, 4_000), Pt::new(8_000, 4_000), Pt::new(8_000, 0)]);
    assert_eq!(runs.len(), 2, "{runs:?}");
    assert_eq!((runs[0].first(), runs[0].last()), (Some(&[1_000, 500_000]), Some(&[4_000, 425_000])));
    assert_eq!((runs[1].first(), runs[1].last()), (Some(&[6_000, 375_000]), Some(&[13_000, 300_000])));
    for p in runs.concat() {
        assert_eq!(p[1], 500_000 - (p[0].min(9_000) - 1_000) * 25);
    }
    assert!(section(&places, &[Pt::new(0, -10), Pt::new(5_000, -10)]).is_empty());
}

#[test]
fn a_low_line_and_ridges_are_found_where_they_are_drawn() {
    let mut plan = Plan::default();
    plan.decks.push(square(10_000, &free()));
    plan.levels.spots = spots(&[(0, 0, 100), (0, 10_000, 100), (10_000, 0, 100), (10_000, 10_000, 100)]);
    let point = |x, y, level| LevelPoint { at: Pt::new(x, y), level };
    plan.levels.lines = vec![LevelLine {
        id: 7,
        points: vec![point(5_000, -500, Some(0)), point(5_000, 5_000, None), point(5_000, 10_500, Some(0))],
        ..LevelLine::default()
    }];
    let (valley, findings) = found(&plan);
    let falls = valley.unwrap().falls;
    let length = |lines: &[[Pt; 2]]| lines.iter().map(|[a, b]| a.distance(*b)).sum::<f64>();
    assert!((length(&falls.low_lines) - 10_000.0).abs() < 1.0, "{:?}", falls.low_lines);
    assert!(falls.low_lines.iter().flatten().all(|p| p.x == 5_000));
    assert!(falls.ridges.is_empty());
    // Its ends are off the deck: only their levels count. 100 mm in 5 m is 1:50: between the least and the design.
    assert_eq!((falls.input.spots, falls.input.line_points), (4, 0), "{findings:#?}");
    assert_eq!(falls.class_areas, [0, 0, 0, 100_000_000, 0]);
}

/// Every point of a layout but its level, every area, volume and class.
fn shape(found: &Found) -> (Vec<[i64; 2]>, [i64; 5], Vec<(i64, i64, Pt)>) {
    let falls = &found.falls;
    let ponds = falls.ponds.iter().map(|p| (p.size / 100, p.depth_um / 10, p.deepest)).collect();
    (falls.points.iter().map(|p| [p[0], p[1]]).collect(), falls.class_areas, ponds)
}

/// A deck of bumps and hollows with free edges and an outlet.
fn bumpy(scale: i64, add: i64) -> Plan {
    let mut plan = Plan::default();
    plan.decks.push(square(20_000, &free()));
    let mut levels = Vec::new();
    for n in 0..60_i64 {
        let (x, y) = (n * 7_919 % 19_000 + 500, n * n * 1_301 % 19_000 + 500);
        levels.push((x, y, add + scale * (n * n * 37 % 41 + x / 1_000)));
    }
    plan.levels.spots = spots(&levels);
    plan.outlets.push(outlet(600, 9_000));
    plan
}

#[test]
fn a_constant_added_to_all_levels_only_shifts_them() {
    let (low, high) = (found(&bumpy(1, 0)).0.unwrap(), found(&bumpy(1, 20_000)).0.unwrap());
    assert!(!low.falls.ponds.is_empty());
    assert_eq!(shape(&low), shape(&high));
    for (p, q) in low.falls.points.iter().zip(&high.falls.points) {
        assert!((q[2] - p[2] - 20_000_000).abs() <= 1);
    }
    for (p, q) in low.falls.ponds.iter().zip(&high.falls.ponds) {
        assert!(
            (q.level_um - p.level_um - 20_000_000).abs() <= 1
                && (q.volume - p.volume).abs() <= 1 + p.volume / 1_000_000_000
        );
    }
}

#[test]
fn scaled_levels_scale_depths_and_volumes() {
    let (plan, tenfold) = (bumpy(1, 0), bumpy(10, 0));
    let (one, ten) = (found(&plan).0.unwrap(), found(&tenfold).0.unwrap());
    let all = |found: &Found| ponds(&found.meshes[0], &found.floods[0]);
    let (shallow, deep) = (all(&one), all(&ten));
    assert!(shallow.len() > 1);
    assert_eq!(shallow.len(), deep.len());
    for (p, q) in shallow.iter().zip(&deep) {
        assert!(
            near(q.depth, 10.0 * p.depth, 1e-9)
                && near(q.volume, 10.0 * p.volume, 1e-9)
                && near(q.area, p.area, 1e-9)
        );
        assert_eq!((p.deepest, p.spill), (q.deepest, q.spill));
    }
}

fn line(id: u32, points: &[(i64, i64, Option<i64>)]) -> LevelLine {
    let points = points.iter().map(|&(x, y, level)| LevelPoint { at: Pt::new(x, y), level }).collect();
    LevelLine { id, points, ..LevelLine::default() }
}

/// Each thing that can be wrong with levels, and the code it is told by.
#[test]
fn bad_levels_are_told_and_never_stop_the_rest() {
    let base = || {
        let mut plan = dish(&free());
        plan.outlets.push(outlet(5_000, 5_000));
        plan
    };
    let mut cases: Vec<(&str, Plan)> = Vec::new();
    let mut add = |code, change: &dyn Fn(&mut Plan)| {
        let mut plan = base();
        change(&mut plan);
        cases.push((code, plan));
    };
    let spot = |id, x, y, level| SpotLevel { id, at: Pt::new(x, y), level };
    add("level-off-deck", &|p| p.levels.spots.push(spot(1, 10_051, 5_000, 0)));
    add("spots-disagree", &|p| p.levels.spots.push(spot(1, 5_000, 5_000, 30)));
    add("lines-disagree", &|p| {
        p.levels.lines.push(line(1, &[(1_000, 1_000, Some(90)), (4_000, 4_000, Some(90))]));
        p.levels.lines.push(line(2, &[(4_000, 1_000, Some(50)), (1_000, 4_000, Some(50))]));
    });
    add("levels-disagree", &|p| {
        p.levels.lines.push(line(1, &[(5_000, 5_000, Some(60)), (5_000, 9_000, Some(80))]))
    });
    add("line-without-level", &|p| {
        p.levels.lines.push(line(1, &[(1_000, 1_000, None), (5_000, 9_000, None)]))
    });
    add("no-length", &|p| p.levels.lines.push(line(1, &[(1_000, 1_000, Some(4))])));
    add("no-length", &|p| p.levels.lines.push(line(1, &[])));
    add("level-off-deck", &|p| p.levels.lines.push(line(1, &[(-9_000, 0, Some(4)), (-9_000, 900, Some(4))])));
    add("level-stands-out", &|p| p.levels.spots.push(spot(1, 5_000, 2_500, 1_100)));
    add("levels-too-few", &|p| p.levels.spots.truncate(2));
    add("levels-in-line", &|p| {
        p.levels.spots = vec![spot(1, 0, 0, 0), spot(2, 5_000, 5_000, 9), spot(3, 10_000, 10_000, 90)];
    });
    add("levels-extended", &|p| p.levels.spots.retain(|s| s.at != Pt::new(0, 0)));
    let plane = |id, x, level, area: &[(i64, i64)]| FallPlane {
        id,
        at: Pt::new(x, 100),
        level,
        direction_mdeg: 0,
        one_in: 50,
        area: area.iter().map(|&(x, y)| Pt::new(x, y)).collect(),
    };
    add("planes-overlap", &|p| p.levels.planes = vec![plane(1, 100, 10, &[]), plane(2, 900, 10, &[])]);
    add("planes-disagree", &|p| {
        p.levels.spots.clear();
        p.levels.planes = vec![
            plane(1, 0, 100, &[(0, 0), (5_000, 0), (5_000, 10_000), (0, 10_000)]),
            plane(2, 5_000, 100, &[(5_000, 0), (10_000, 0), (10_000, 10_000), (5_000, 10_000)]),
        ];
    });
    add("no-area", &|p| p.levels.planes = vec![plane(1, 100, 10, &[(0, 0), (9, 9), (90, 90)])]);
    add("level-off-deck", &|p| p.levels.planes = vec![plane(1, -9_000, 10, &[])]);
    add("level-off-deck", &|p| {
        p.levels.planes = vec![plane(1, 0, 10, &[(-10, -9_000), (900, -9_000), (500, -5_000)])];
    });
    add("level-change-not-in-falls", &|p| {
        p.zone_lines = vec![baylap_core::plan::ZoneLine {
            id: 1,
            points: vec![Pt::new(2_000, 0), Pt::new(2_000, 10_000)],
            kind: baylap_core::plan::ZoneLineKind::LevelChange,
            ..baylap_core::plan::ZoneLine::default()
        }];
    });
    for (code, plan) in &cases {
        let (kept, findings) = found(plan);
        let told: Vec<&Finding> = findings.iter().filter(|f| f.code == *code).collect();
        assert!(!told.is_empty(), "{code}: {findings:#?}");
        for finding in &told {
            assert!(finding.text.ends_with('.') && finding.mend.ends_with('.'), "{finding:?}");
            assert!(finding.at.is_some() || *code == "no-length", "{finding:?}");
        }
        let bare = ["levels-too-few", "levels-in-line"].contains(code);
        assert_eq!(kept.is_none(), bare, "{code}");
        if let Some(found) = kept {
            sound(&found, plan);
        }
    }
    let (_, clean) = found(&base());
    assert!(
        clean.iter().all(|f| f.severity != Severity::Error && !cases.iter().any(|c| c.0 == f.code)),
        "{clean:#?}"
    );
}

fn deck_of(model: &Model, id: u32) -> &DeckModel {
    model.decks.iter().find(|d| d.id == id).unwrap()
}

/// What holds of every surface: facets cover their deck once, each with an area; neighbours know one another; classes add
/// up to the decks.
#[track_caller]
fn sound(found: &Found, plan: &Plan) {
    let model = model::check(plan, &mut Vec::new());
    let mut total = 0;
    for mesh in &found.meshes {
        let deck = deck_of(&model, mesh.deck);
        let doubled = ring::doubled_area_of(&deck.area);
        total += doubled;
        let mut sum = 0.0;
        for f in 0..mesh.facets.len() {
            let area = mesh.doubled_area(f);
            assert!(area > 0.0, "facet {f} has no area");
            sum += area;
            for k in 0..3 {
                if let Beyond::Facet(other) = mesh.beyond[f][k] {
                    let back = mesh.beyond[other].iter().filter(|b| **b == Beyond::Facet(f)).count();
                    assert!(back > 0 && other != f);
                }
            }
        }
        #[allow(clippy::cast_precision_loss)]
        let wanted = doubled as f64;
        assert!((sum - wanted).abs() <= 1.0 + wanted * 1e-9, "facets cover {sum} of {wanted}");
        assert!(mesh.z.iter().all(|z| z.is_finite()));
    }
    let half = i64::try_from(total / 2).unwrap();
    assert_eq!(found.falls.class_areas.iter().sum::<i64>(), half);
    for pond in &found.falls.ponds {
        let outline = ring::doubled_area_of(&pond.area);
        #[allow(clippy::cast_precision_loss)]
        let (outline, size) = (outline as f64 / 2.0, pond.size as f64);
        // Corners are moved by up to 0.71 mm, and a pond narrower than that has no outline in whole mm.
        let length = |area: &[Region]| area.iter().flatten().map(|r| ring::perimeter(r)).sum::<f64>();
        let round = length(&pond.area).max(length(&deck_of(&model, pond.deck).area));
        assert!(
            (outline - size).abs() <= 4.0 + 0.71 * round,
            "the outline of a pond holds {outline}, and it is {size}"
        );
        assert!(pond.depth_um > 0 && pond.volume >= 0);
    }
}

fn levels() -> impl Strategy<Value = (Vec<(i64, i64, i64)>, Vec<LevelLine>, Vec<FallPlane>)> {
    let place = || (-20_000_i64..30_000, -20_000_i64..30_000);
    let spots = proptest::collection::vec((-20_000_i64..30_000, -20_000_i64..30_000, 0_i64..300), 0..60);
    let lines = proptest::collection::vec(
        proptest::collection::vec(
            (-20_000_i64..30_000, -20_000_i64..30_000, proptest::option::of(0_i64..300)),
            0..5,
        ),
        0..4,
    );
    let planes = proptest::collection::vec(
        (place(), 0_i64..300, 0_i32..360_000, 0_u32..100, proptest::collection::vec(place(), 0..5)),
        0..3,
    );
    (spots, lines, planes).prop_map(|(spots, lines, planes)| {
        let lines = (2000..).zip(lines).map(|(id, points)| line(id, &points)).collect();
        let planes =
            (3000..).zip(planes).map(|(id, ((x, y), level, direction_mdeg, one_in, area))| FallPlane {
                id,
                at: Pt::new(x, y),
                level,
                direction_mdeg,
                one_in,
                area: area.into_iter().map(|(x, y)| Pt::new(x, y)).collect(),
            });
        (spots, lines, planes.collect())
    })
}

proptest! {
    /// Any outline, any openings, any levels: a surface that covers the deck, or findings, and never a panic.
    #[test]
    fn surfaces_cover_their_decks(mut plan in crate::laws::plans(), given in levels(), outlets in proptest::collection::vec((-20_000_i64..30_000, -20_000_i64..30_000), 0..4)) {
        // What lies at corners, along edges and a few mm off them comes up far more often than by chance.
        let corners: Vec<Pt> = plan.decks[0].ring.iter().map(|c| c.at).collect();
        let mut near: Vec<(i64, i64, i64)> = (0_i64..).zip(&corners).map(|(n, p)| (p.x + n % 7 - 3, p.y - n % 5, 40 * n % 130)).collect();
        near.extend((0_i64..).zip(corners.windows(2)).map(|(n, w)| ((w[0].x + w[1].x) / 2 + n % 9 - 4, (w[0].y + w[1].y) / 2, 30 * n % 110)));
        plan.levels.spots = spots(&[given.0, near].concat());
        plan.levels.lines = given.1;
        plan.levels.lines.push(line(2500, &corners.iter().map(|p| (p.x, p.y, Some(p.x / 300))).collect::<Vec<_>>()));
        plan.levels.planes = given.2;
        plan.outlets = (50..).zip(outlets).map(|(id, (x, y))| Outlet { id, at: Pt::new(x, y), ..Outlet::default() }).collect();
        if let (Some(found), _) = found(&plan) {
            sound(&found, &plan);
        }
    }
}

/// Levels in the middle of a deck that falls at 1:80, each up to 4 mm off: corners 3 m beyond them stay near that fall.
#[test]
fn corners_far_beyond_rough_levels_follow_the_mean_fall() {
    let mut plan = Plan::default();
    plan.decks.push(square(20_000, &free()));
    let mut levels = Vec::new();
    for n in 0..196_i64 {
        let (x, y) = (3_500 + n % 14 * 1_000, 3_500 + n / 14 * 1_000);
        levels.push((x, y, x / 80 + n * n * 37 % 9 - 4));
    }
    plan.levels.spots = spots(&levels);
    let (rough, findings) = found(&plan);
    let mesh = &rough.unwrap().meshes[0];
    for (at, z) in mesh.at.iter().zip(&mesh.z) {
        assert!((z - at[0] / 80.0).abs() < 15.0, "{at:?}: {z}");
    }
    let told: Vec<&str> =
        findings.iter().filter(|f| f.code == "levels-extended").map(|f| f.text.as_str()).collect();
    // The corners are 3.5 m beyond the levels both ways.
    assert_eq!(
        told,
        [
            "On deck 1 the levels of 4 corners or outlets are assumed: they lie up to 4950 mm beyond the levels given."
        ]
    );
}

/// A level that is a metre out is named, and none of its neighbours.
#[test]
fn the_level_that_stands_out_is_named_alone() {
    let mut plan = bumpy(1, 500);
    plan.levels.spots[30].level += 1_000;
    let (_, findings) = found(&plan);
    let told: Vec<&Finding> = findings.iter().filter(|f| f.code == "level-stands-out").collect();
    assert_eq!(told.len(), 1, "{told:#?}");
    assert_eq!(told[0].at, Some(plan.levels.spots[30].at));
}

/// Figures of the rule sets: trade facts F1, F2, F8, F10, F12 and F14, with the fall conversions below them.
#[test]
fn rule_sets_have_the_figures_of_their_sources() {
    let used = |rule| {
        let used = rules::used(&Drainage { rule, least_one_in: 60, design_one_in: 0, ..Drainage::default() });
        (used.least_ppm, used.design_ppm)
    };
    assert_eq!(used(FallRule::Bs6229), (12_500, 25_000));
    assert_eq!(used(FallRule::Bs6229ZeroFall), (0, 12_500));
    assert_eq!(used(FallRule::Din18531), (20_000, 20_000));
    assert_eq!(used(FallRule::As4654), (10_000, 10_000));
    assert_eq!(used(FallRule::Ibc1507), (20_833, 20_833));
    assert_eq!(used(FallRule::MilHdbk1001), (20_833, 41_667));
    assert_eq!(used(FallRule::Project), (16_667, 16_667));
    for rule in rules::PUBLISHED {
        assert!(rule.source.ends_with('.') && rule.source.contains("read"), "{}", rule.name);
    }
}

/// Each fall on its own side of the rule's limits, 1:80 and 1:40 being good enough themselves.
#[test]
fn falls_are_classed_by_the_limits_of_the_rule() {
    let class = |one_in| {
        let mut plan = dish(&free());
        plan.levels.spots.clear();
        let direction_mdeg = 30_000;
        plan.levels.planes = vec![FallPlane {
            id: 9,
            at: Pt::new(0, 0),
            level: 500,
            direction_mdeg,
            one_in,
            area: Vec::new(),
        }];
        found(&plan).0.unwrap().falls.class_areas.iter().position(|&a| a == 100_000_000)
    };
    assert_eq!([0, 501, 499, 81, 80, 41, 40, 10].map(class), [1, 1, 2, 2, 3, 3, 4, 4].map(Some));
}

/// A deck of 100 x 100 m with so many spot levels in a rough grid.
fn surveyed(count: i64) -> Plan {
    let mut plan = Plan::default();
    plan.decks.push(square(100_000, &Edge::default()));
    let side = (1..).find(|s| s * s >= count).unwrap();
    let step = 100_000 / side;
    let mut levels = Vec::new();
    for n in 0..count {
        let (column, row) = (n % side, n / side);
        let (x, y) = (column * step + 40 + n * 7_919 % (step / 2), row * step + 40 + n * 6_101 % (step / 2));
        levels.push((x, y, (x - 50_000).abs() / 80 + n * 37 % 13));
    }
    plan.levels.spots = spots(&levels);
    plan.outlets = (10..14)
        .map(|id| Outlet { id, at: Pt::new(50_000, i64::from(id - 9) * 20_000), ..Outlet::default() })
        .collect();
    plan
}

#[test]
#[ignore = "prints times; run with --release --nocapture"]
#[allow(clippy::disallowed_types)]
fn speed() {
    let timed = |what: &str, count: i64, work: &mut dyn FnMut()| {
        let mut best = f64::INFINITY;
        for _ in 0..5 {
            let start = std::time::Instant::now();
            work();
            best = best.min(start.elapsed().as_secs_f64());
        }
        println!("{count} levels, {what}: {:.2} ms", best * 1e3);
    };
    for count in [500, 2_000, 8_000] {
        let plan = surveyed(count);
        let model = model::check(&plan, &mut Vec::new());
        let meshes = surfaces(&plan, &model, &mut Vec::new()).meshes;
        let found = find(&plan, &model, &mut Vec::new()).unwrap();
        timed("all", count, &mut || drop(find(&plan, &model, &mut Vec::new())));
        timed("surface", count, &mut || drop(surfaces(&plan, &model, &mut Vec::new())));
        timed("flood", count, &mut || drop(flood::flood(&meshes[0])));
        timed("ponds", count, &mut || drop(ponds(&meshes[0], &found.floods[0])));
        timed("classes", count, &mut || {
            drop(classes::classed(&meshes[0], &found.floods[0], &found.ponds[0], &found.falls.rule))
        });
        timed("contours", count, &mut || drop(contours::contours(&meshes)));
        timed("places", count, &mut || drop(Places::of(meshes[0].clone())));
        println!("{} facets, {} ponds", meshes[0].facets.len(), found.ponds[0].len());
    }
}
