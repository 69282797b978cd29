//! The surface of decks, its ponds, classes, contours and sections.
//!
//! In: closed-form surfaces, published grids, random decks. Out: passes and failures. Files of the reference data are read
//! in place; a test that finds none says so and is skipped.

use crate::places::top;
use baylap_core::falls::mesh::{Beyond, Drain, Mesh};
use baylap_core::falls::ponds::{PondExact, ponds};
use baylap_core::falls::{Found, find, flood};
use baylap_core::finding::Finding;
use baylap_core::geom::Pt;
use baylap_core::plan::{
    Corner, Deck, Edge, FallPlane, FreeKind, LevelLine, LevelPoint, Outlet, Plan, SpotLevel,
};
use baylap_core::{Severity, model};
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

#[test]
fn first_look() {
    let mut plan = Plan::default();
    plan.decks.push(square(10_000, &Edge::default()));
    plan.levels.spots = spots(&[
        (100, 100, 200),
        (9_900, 100, 200),
        (9_900, 9_900, 200),
        (100, 9_900, 200),
        (5_000, 5_000, 0),
    ]);
    plan.outlets.push(Outlet { id: 50, at: Pt::new(7_000, 5_000), ..Outlet::default() });
    let (found, findings) = found(&plan);
    let found = found.unwrap();

}
