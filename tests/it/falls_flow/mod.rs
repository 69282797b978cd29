//! Where water goes: catchments and paths against closed forms and against an independent drop that rolls down.
//!
//! In: surfaces made by hand or by lot. Out: whether each part drains where it should. The areas of the plain cases are
//! worked out in the comment at each; the drop stands in `descent.rs`.

mod arithmetic;
mod descent;
mod meshes;

use baylap_core::falls::catchments::{Catchments, Slice, catchments};
use baylap_core::falls::flood::flood;
use baylap_core::falls::flow::{Flow, path};
use baylap_core::falls::mesh::{Beyond, Drain, Mesh};
use baylap_core::geom::overlay::Canvas;
use baylap_core::geom::{Pt, ring};
use baylap_core::layout::falls::Sink;
use descent::Drop;
use meshes::{Grid, Lot, drain, mesh, random};
use std::collections::BTreeSet;

fn found(mesh: &Mesh) -> Catchments {
    catchments(mesh, &flood(mesh))
}

fn area_of(mesh: &Mesh, sink: Sink) -> f64 {
    found(mesh).areas().get(&sink).copied().unwrap_or(0.0)
}

fn wall(_: [f64; 2], _: [f64; 2]) -> Beyond {
    Beyond::Wall
}

#[track_caller]
fn near(value: f64, expected: f64) {
    assert!((value - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{value} for {expected}");
}

// The ban on clocks is for stages; this only prints.
#[allow(clippy::disallowed_types)]
type Clock = std::time::Instant;

/// A place on a slice: half way across it, half way down the facet there.
fn inside(mesh: &Mesh, slice: &Slice) -> [f64; 2] {
    let c = mesh.facets[slice.facet].map(|p| mesh.at[p]);
    let slope = mesh.slope(slice.facet);
    let steep = (slope[0] * slope[0] + slope[1] * slope[1]).sqrt();
    if steep == 0.0 {
        return [(c[0][0] + c[1][0] + c[2][0]) / 3.0, (c[0][1] + c[1][1] + c[2][1]) / 3.0];
    }
    let down = [-slope[0] / steep, -slope[1] / steep];
    let side = |p: [f64; 2]| down[0] * (p[1] - c[0][1]) - down[1] * (p[0] - c[0][0]);
    let middle = f64::midpoint(slice.from, slice.to);
    let mut ends = Vec::new();
    for k in 0..3 {
        let (a, b) = (c[k], c[(k + 1) % 3]);
        let share = (middle - side(a)) / (side(b) - side(a));
        if (0.0..=1.0).contains(&share) {
            ends.push([a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])]);
        }
    }
    let last = ends[ends.len() - 1];
    [f64::midpoint(ends[0][0], last[0]), f64::midpoint(ends[0][1], last[1])]
}

#[test]
fn a_plane_over_two_free_edges_parts_at_the_corner() {
    // 10 x 6 m falling along (-1, -2): what lies left of y = 2x, a triangle of 3 x 6 / 2 = 9 m2, leaves over x = 0.
    for seed in 0..20 {
        let grid = Grid { nx: 7, ny: 5, width: 10_000.0, height: 6_000.0, moved: 0.24 };
        let side = |a: [f64; 2], b: [f64; 2]| match (a[0] + b[0], a[1] + b[1]) {
            (0.0, _) => Beyond::Open(1),
            (_, 0.0) => Beyond::Open(2),
            _ => Beyond::Wall,
        };
        let plane = grid.surface(&mut Lot(seed), |p| 0.01 * p[0] + 0.02 * p[1], side);
        near(area_of(&plane, Sink::Edge(1)), 9e6);
        near(area_of(&plane, Sink::Edge(2)), 51e6);
    }
}

#[test]
fn a_level_gutter_parts_half_way_between_its_outlets() {
    // A plane 10 x 6 m falling to a wall along y = 0, outlets at x = 1 and 5 m: water parts at 3 m, so 18 and 42 m2.
    for seed in 0..20 {
        let grid = Grid { nx: 10, ny: 4, width: 10_000.0, height: 6_000.0, moved: 0.0 };
        let mut plane = grid.surface(&mut Lot(seed), |p| p[1] / 80.0, wall);
        plane.drains = vec![drain(&plane, 1, [1_000.0, 0.0]), drain(&plane, 2, [5_000.0, 0.0])];
        near(area_of(&plane, Sink::Outlet(1)), 18e6);
        near(area_of(&plane, Sink::Outlet(2)), 42e6);
    }
}

/// A square of 4 x 4 m with its middle raised or sunk; points: corners from the lower left, middles of sides, middle.
fn square(level: f64) -> Mesh {
    let at = [(0, 0), (4, 0), (4, 4), (0, 4), (2, 0), (4, 2), (2, 4), (0, 2), (2, 2)];
    let at: Vec<[f64; 2]> = at.iter().map(|&(x, y)| [f64::from(x) * 1000.0, f64::from(y) * 1000.0]).collect();
    let ring = [0, 4, 1, 5, 2, 6, 3, 7];
    let facets = (0..8).map(|n| [ring[n], ring[(n + 1) % 8], 8]).collect();
    let mut z = vec![0.0; 9];
    z[8] = level;
    mesh(at, z, facets, wall)
}

#[test]
fn a_four_way_fall_splits_evenly() {
    // By symmetry: 4 m2 of 16 for each of four outlets, at the corners or at the middles of the sides.
    for points in [[0, 1, 2, 3], [4, 5, 6, 7]] {
        let mut roof = square(50.0);
        for (id, point) in (1..).zip(points) {
            roof.drains.push(Drain { id, point, level: 0.0, overflow: false });
        }
        for id in 1..=4 {
            near(area_of(&roof, Sink::Outlet(id)), 4e6);
        }
    }
    let mut sunk = square(-50.0);
    sunk.drains.push(Drain { id: 9, point: 8, level: -50.0, overflow: false });
    near(area_of(&sunk, Sink::Outlet(9)), 16e6);
}

#[test]
fn level_deck_drains_to_the_outlet_nearest_along_the_mesh() {
    // Dead level, 10 x 4 m in 1 m cells, outlets at both ends: each takes its half to within a cell.
    let grid = Grid { nx: 10, ny: 4, width: 10_000.0, height: 4_000.0, moved: 0.0 };
    let mut level = grid.surface(&mut Lot(3), |_| 100.0, wall);
    level.drains = vec![drain(&level, 1, [0.0, 2_000.0]), drain(&level, 2, [10_000.0, 2_000.0])];
    let areas = found(&level).areas();
    near(areas.values().sum(), 40e6);
    assert!((areas[&Sink::Outlet(1)] - 20e6).abs() <= 4e6, "{areas:?}");
    assert!((areas[&Sink::Outlet(2)] - 20e6).abs() <= 4e6, "{areas:?}");
}

#[test]
fn water_nobody_lets_out_is_trapped_and_an_overflow_waits_for_water() {
    // A bowl without a way out; with an overflow 20 mm up its middle all goes there once it stands.
    let mut bowl = square(-50.0);
    near(area_of(&bowl, Sink::Nowhere), 16e6);
    bowl.drains.push(Drain { id: 5, point: 8, level: -30.0, overflow: true });
    near(area_of(&bowl, Sink::Outlet(5)), 16e6);
    // An overflow flush with the deck on the way to an outlet takes nothing: water runs past it.
    let grid = Grid { nx: 4, ny: 4, width: 4_000.0, height: 4_000.0, moved: 0.0 };
    let mut plane = grid.surface(&mut Lot(1), |p| p[1] / 50.0 + (p[0] - 2000.0).abs() / 50.0, wall);
    plane.drains = vec![drain(&plane, 1, [2_000.0, 0.0]), drain(&plane, 2, [2_000.0, 2_000.0])];
    plane.drains[1].overflow = true;
    near(area_of(&plane, Sink::Outlet(1)), 16e6);
    plane.drains[1].overflow = false;
    // An outlet there takes what reaches the valley above it: falls of 45 degrees to it, so 4 x 2 m / 2.
    near(area_of(&plane, Sink::Outlet(2)), 4e6);
}

#[test]
fn a_pond_spills_to_the_lower_side() {
    // Two bowls side by side, the left without an outlet: it spills over the saddle into the right one.
    let grid = Grid { nx: 8, ny: 4, width: 8_000.0, height: 4_000.0, moved: 0.0 };
    let level = |p: [f64; 2]| (p[0].min(4_000.0) - 2_000.0).abs() / 50.0 - (p[0] - 4_000.0).max(0.0) / 40.0;
    let mut roof = grid.surface(&mut Lot(5), level, wall);
    roof.drains = vec![drain(&roof, 1, [8_000.0, 2_000.0])];
    near(area_of(&roof, Sink::Outlet(1)), 32e6);
    let way = path(&roof, &flood(&roof), [1_500.0, 1_800.0]);
    assert_eq!(way.sink, Sink::Outlet(1));
    assert_eq!(way.ponds.len(), 1);
    assert_eq!(way.points.last(), Some(&[8_000.0, 2_000.0]));
}

#[test]
fn catchments_cover_the_surface_and_agree_with_paths() {
    for seed in 0..300 {
        let roof = random(seed);
        let water = flood(&roof);
        let parts = catchments(&roof, &water);
        near(parts.areas().values().sum(), 480_000.0);
        assert!(parts.slices.iter().all(|s| s.area >= 0.0), "seed {seed}");
        let flow = Flow::new(&roof, &water);
        for slice in parts.slices.iter().filter(|s| s.area > 1e-3) {
            let way = flow.path(inside(&roof, slice));
            assert_eq!(way.sink, slice.sink, "seed {seed}, facet {}", slice.facet);
        }
        for (facet, corners) in roof.facets.iter().enumerate() {
            let middle = [0, 1].map(|n| corners.iter().map(|&p| roof.at[p][n]).sum::<f64>() / 3.0);
            assert_eq!(flow.path(middle).sink, parts.middles[facet], "seed {seed}, facet {facet}");
        }
    }
}

#[test]
fn catchments_agree_with_a_drop_that_rolls_in_small_steps() {
    let (mut tried, mut apart) = (0, 0);
    for seed in 0..40 {
        let roof = random(seed);
        let water = flood(&roof);
        let parts = catchments(&roof, &water);
        let drop = Drop { mesh: &roof, width: 800.0, height: 600.0 };
        let flow = Flow::new(&roof, &water);
        let mut lot = Lot(seed + 1000);
        for _ in 0..10 {
            let place = [lot.share() * 800.0, lot.share() * 600.0];
            let Some(sink) = drop.sink(place) else { continue };
            tried += 1;
            if flow.path(place).sink != sink {
                apart += 1;
                let beside = sinks_beside(&roof, &parts, place);
                assert!(beside.contains(&sink), "seed {seed}, {place:?}: {sink:?}, engine {beside:?}");
            }
        }
    }
    println!("{tried} drops, {apart} beside a boundary went to its other side");
    assert!(tried > 300 && apart * 50 < tried, "{apart} of {tried} apart");
}

/// Sinks of the facet that holds a place, and of all that share a corner with it.
fn sinks_beside(roof: &Mesh, parts: &Catchments, place: [f64; 2]) -> BTreeSet<Sink> {
    let turn =
        |a: [f64; 2], b: [f64; 2]| (b[0] - a[0]) * (place[1] - a[1]) - (b[1] - a[1]) * (place[0] - a[0]);
    let own = roof
        .facets
        .iter()
        .position(|f| (0..3).all(|k| turn(roof.at[f[k]], roof.at[f[(k + 1) % 3]]) >= -1e-6))
        .unwrap();
    let shares = |f: usize| roof.facets[f].iter().any(|p| roof.facets[own].contains(p));
    parts.slices.iter().filter(|s| shares(s.facet)).map(|s| s.sink).collect()
}

#[test]
fn levels_shifted_or_scaled_drain_alike() {
    for seed in 0..100 {
        let roof = random(seed);
        let plain = found(&roof).areas();
        for (scale, shift) in [(1.0, 12_345.0), (1.0, -70_000.0), (3.0, 0.0), (0.5, 900.0)] {
            let mut other = roof.clone();
            other.z.iter_mut().for_each(|z| *z = *z * scale + shift);
            other.drains.iter_mut().for_each(|d| d.level = d.level * scale + shift);
            let areas = found(&other).areas();
            assert_eq!(areas.keys().collect::<Vec<_>>(), plain.keys().collect::<Vec<_>>(), "seed {seed}");
            for (sink, area) in &plain {
                assert!(
                    (areas[sink] - area).abs() < 1e-3,
                    "seed {seed}, {sink:?}: {} for {area}",
                    areas[sink]
                );
            }
        }
    }
}

#[test]
fn rough_levels_never_hang() {
    // Levels in steps of 10 mm: plenty of level edges, level facets and ties.
    for seed in 0..200 {
        let mut roof = random(seed);
        roof.z.iter_mut().for_each(|z| *z = (*z / 40.0).round() * 10.0);
        for n in 0..roof.drains.len() {
            roof.drains[n].level = roof.z[roof.drains[n].point];
        }
        let water = flood(&roof);
        let parts = catchments(&roof, &water);
        near(parts.areas().values().sum(), 480_000.0);
        let flow = Flow::new(&roof, &water);
        for slice in parts.slices.iter().filter(|s| s.area > 1e-3) {
            assert_eq!(
                flow.path(inside(&roof, slice)).sink,
                slice.sink,
                "seed {seed}, facet {}",
                slice.facet
            );
        }
    }
}

#[test]
fn outlines_cover_what_the_areas_say() {
    for seed in 0..60 {
        let mut roof = random(seed);
        roof.at.iter_mut().for_each(|p| *p = [p[0] * 20.0, p[1] * 20.0]);
        let parts = found(&roof);
        let canvas = Canvas::new(Pt::new(0, 0), Pt::new(16_000, 12_000));
        let outlines = parts.outlines(&roof, &canvas);
        for (sink, area) in parts.areas() {
            let regions = outlines.get(&sink).map_or(&[][..], Vec::as_slice);
            let drawn = ring::doubled_area_of(regions) as f64 / 2.0;
            let round: f64 = regions.iter().flatten().map(|r| ring::perimeter(r)).sum();
            // Snapping moves a corner by less than a mm, and a sliver dropped is under 1.5 mm wide.
            assert!(
                (drawn - area).abs() <= 1.5 * round + 50_000.0,
                "seed {seed}, {sink:?}: {drawn} for {area}"
            );
        }
    }
}

#[test]
#[ignore = "prints times; run in release"]
fn speed() {
    for n in [500, 1000, 2000, 4000, 8000, 16_000_usize] {
        let side = (n as f64 / 2.0).sqrt() as usize;
        let grid = Grid { nx: side, ny: side, width: 100_000.0, height: 100_000.0, moved: 0.24 };
        let mut noise = Lot(8);
        let mut roof = grid.surface(
            &mut Lot(2),
            |p| p[1] / 80.0 + (p[0] - 50_000.0).abs() / 80.0 + 10.0 * noise.share(),
            wall,
        );
        roof.drains = (0..6).map(|k| drain(&roof, k, [50_000.0, f64::from(k) * 18_000.0])).collect();
        let start = Clock::now();
        let water = flood(&roof);
        let flooded = start.elapsed();
        let parts = catchments(&roof, &water);
        let parted = start.elapsed();
        let canvas = Canvas::new(Pt::new(0, 0), Pt::new(100_000, 100_000));
        let outlines = parts.outlines(&roof, &canvas);
        let drawn = start.elapsed();
        println!(
            "{} facets: flood {flooded:?}, catchments {:?}, outlines {:?}; {} slices, {} outlines",
            roof.facets.len(),
            parted - flooded,
            drawn - parted,
            parts.slices.len(),
            outlines.len()
        );
    }
}
