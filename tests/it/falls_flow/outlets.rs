//! Outlets of whole plans: catchments, walls, flow against capacity, and what happens when one is blocked.
//!
//! In: small roofs with levels. Out: the figures of the layout's falls. Every figure is worked out by hand beside it from
//! the shape of the roof; flows and capacities by the formulas that `arithmetic.rs` holds to published values.

use super::meshes::Lot;
use baylap_core::falls::{Found, find};
use baylap_core::finding::{Finding, Severity};
use baylap_core::geom::Pt;
use baylap_core::geom::ring::doubled_area_of;
use baylap_core::layout::falls::{OutletWork, Sink};
use baylap_core::model;
use baylap_core::plan::{
    Corner, Deck, Edge, FreeKind, Intake, Mouth, Opening, Outlet, OutletKind, Plan, SpotLevel, UpstandKind,
};

fn upstand(kind: UpstandKind) -> Edge {
    Edge::Upstand { height: 150, kind }
}

fn parapet() -> Edge {
    upstand(UpstandKind::Parapet)
}

fn free() -> Edge {
    Edge::Free { kind: FreeKind::Drip }
}

/// A rectangle whose edges, from the lower one anticlockwise, are these.
fn rectangle(w: i64, h: i64, edges: [Edge; 4]) -> Plan {
    let places = [(0, 0), (w, 0), (w, h), (0, h)];
    let ring =
        places.into_iter().zip(edges).map(|((x, y), edge)| Corner { at: Pt::new(x, y), edge }).collect();
    Plan { decks: vec![Deck { id: 1, name: String::new(), ring }], ..Plan::default() }
}

fn spots(plan: &mut Plan, levels: &[(i64, i64, i64)]) {
    for (id, &(x, y, level)) in (500..).zip(levels) {
        plan.levels.spots.push(SpotLevel { id, at: Pt::new(x, y), level });
    }
}

fn outlet(id: u32, x: i64, y: i64, kind: OutletKind) -> Outlet {
    Outlet { id, at: Pt::new(x, y), bowl: 100, kind, clear_zone: 300, ..Outlet::default() }
}

fn found(plan: &Plan) -> (Found, Vec<Finding>) {
    let mut findings = Vec::new();
    let model = model::check(plan, &mut findings);
    let found = find(plan, &model, &mut findings).unwrap();
    (found, findings)
}

fn work(found: &Found, id: u32) -> &OutletWork {
    found.falls.outlets.iter().find(|o| o.id == id).unwrap()
}

#[track_caller]
fn told<'a>(findings: &'a [Finding], code: &str) -> &'a Finding {
    let all: Vec<&str> = findings.iter().map(|f| f.code.as_str()).collect();
    findings.iter().find(|f| f.code == code).unwrap_or_else(|| panic!("{code} among {all:?}"))
}

fn silent(findings: &[Finding], code: &str) -> bool {
    findings.iter().all(|f| f.code != code)
}

/// 10 x 6 m falling 1:80 to the wall along y = 0, with chutes through it at 1 and 5 m: water parts at 3 m.
fn gutter(edges: [Edge; 4]) -> Plan {
    let mut plan = rectangle(10_000, 6_000, edges);
    spots(&mut plan, &[(0, 0, 0), (10_000, 0, 0), (10_000, 6_000, 75), (0, 6_000, 75)]);
    plan.outlets = vec![outlet(2, 1_000, 0, OutletKind::Chute), outlet(3, 5_000, 0, OutletKind::Chute)];
    plan
}

/// 4 x 4 m falling 100 mm from its edges to an outlet in the middle: it holds 16 m2 x 0.1 m / 3 below its rim.
fn bowl(edge: Edge) -> Plan {
    let mut plan = rectangle(4_000, 4_000, [edge.clone(), edge.clone(), edge.clone(), edge]);
    spots(
        &mut plan,
        &[(0, 0, 100), (4_000, 0, 100), (4_000, 4_000, 100), (0, 4_000, 100), (2_000, 2_000, 0)],
    );
    plan.outlets = vec![outlet(2, 2_000, 2_000, OutletKind::Gravity)];
    plan
}

#[test]
fn catchments_of_a_level_gutter_to_the_square_millimetre() {
    let (found, _) = found(&gutter([parapet(), parapet(), parapet(), parapet()]));
    assert_eq!((work(&found, 2).size, work(&found, 3).size), (18_000_000, 42_000_000));
    assert_eq!((found.falls.over_edges, found.falls.trapped), (0, 0));
    for (id, size) in [(2, 18_000_000), (3, 42_000_000)] {
        assert_eq!(doubled_area_of(&work(&found, id).catchment), 2 * size, "outline of {id}");
    }
    // Blocked, the level gutter takes its water to the other chute with no depth.
    let blocked = work(&found, 2).blocked.as_ref().unwrap();
    assert_eq!((blocked.depth_um, blocked.goes_to), (0, Sink::Outlet(3)));
}

#[test]
fn flow_against_capacity() {
    let mut plan = gutter([parapet(), parapet(), parapet(), parapet()]);
    plan.drainage.rain = Some(750);
    for o in &mut plan.outlets {
        o.intake.mouth = Some(Mouth::Round { diameter: 100 });
    }
    // 75 mm/h is 1/48 l/(s m2): 18/48 and 42/48 l/s. 2.761 l/s is D5 of the trade facts.
    let (calm, findings) = found(&plan);
    assert_eq!((work(&calm, 2).flow, work(&calm, 3).flow), (Some(375), Some(875)));
    assert_eq!(work(&calm, 2).capacity, Some(2761));
    // (0.375 x 7500 / 100)^(2/3) = 9.248 mm.
    assert_eq!(work(&calm, 2).head_um, Some(9_248));
    assert!(silent(&findings, "outlet-over-capacity"));
    plan.drainage.rain = Some(7_500);
    plan.drainage.runoff = 800;
    let (storm, findings) = found(&plan);
    assert_eq!(work(&storm, 3).flow, Some(7_000));
    let over: Vec<&Finding> = findings.iter().filter(|f| f.code == "outlet-over-capacity").collect();
    assert!(over[0].text.contains("3.00 l/s and takes 2.76 l/s"), "{}", over[0].text);
    assert!(over[1].text.contains("7.00 l/s and takes 2.76 l/s"), "{}", over[1].text);
    // Without an opening, or with a siphonic one, nothing is claimed.
    plan.outlets[0].intake.mouth = None;
    plan.outlets[1].kind = OutletKind::Siphonic;
    let (bare, findings) = found(&plan);
    assert!(bare.falls.outlets.iter().all(|o| o.capacity.is_none() && o.head_um.is_none()));
    assert_eq!(told(&findings, "outlet-siphonic").severity, Severity::Note);
    plan.drainage.rain = None;
    assert!(found(&plan).0.falls.outlets.iter().all(|o| o.flow.is_none()));
}

#[test]
fn walls_add_a_share_by_where_their_water_goes() {
    let wall = || upstand(UpstandKind::Wall);
    let mut plan = gutter([parapet(), parapet(), wall(), parapet()]);
    assert_eq!(work(&found(&plan).0, 2).wall_area, 0, "no height, no wall");
    plan.drainage.wall_height = 3_000;
    // Half of 3 x 3 m and of 7 x 3 m.
    let (one, _) = found(&plan);
    assert_eq!((work(&one, 2).wall_area, work(&one, 3).wall_area), (4_500_000, 10_500_000));
    // With a wall of 6 x 3 m along x = 0 an angle: half of the diagonal of 9 and 18 m2, 20.124612 m2.
    let mut angle = gutter([parapet(), parapet(), wall(), wall()]);
    angle.drainage.wall_height = 3_000;
    let (two, _) = found(&angle);
    assert_eq!((work(&two, 2).wall_area, work(&two, 3).wall_area), (10_062_306, 10_500_000));
    // The walls count for the flow: 18 and 10.062306 m2 at 1/48 l/(s m2).
    angle.drainage.rain = Some(750);
    assert_eq!(work(&found(&angle).0, 2).flow, Some(585));
}

#[test]
fn a_blocked_outlet_in_a_bowl_fills_it() {
    // Over free edges: 100 mm deep, 16 m2, 16 x 0.1 / 3 m3.
    let (open, findings) = found(&bowl(free()));
    let blocked = work(&open, 2).blocked.as_ref().unwrap();
    assert_eq!((blocked.depth_um, blocked.size, blocked.goes_to), (100_000, 16_000_000, Sink::Edge(1)));
    assert_eq!(blocked.volume, 533_333_333);
    assert_eq!(work(&open, 2).size, 16_000_000);
    assert!(silent(&findings, "one-drainage-point") && silent(&findings, "blocked-over-upstand"));
    told(&findings, "blocked-deep");
    // Between upstands of 150 mm: 250 mm deep, and 16 x 0.15 m3 more.
    let (closed, findings) = found(&bowl(parapet()));
    let blocked = work(&closed, 2).blocked.as_ref().unwrap();
    assert_eq!((blocked.depth_um, blocked.size, blocked.goes_to), (250_000, 16_000_000, Sink::Nowhere));
    assert_eq!(blocked.volume, 2_933_333_333);
    assert_eq!(told(&findings, "one-drainage-point").severity, Severity::Warning);
    assert!(told(&findings, "blocked-over-upstand").text.contains("250 mm deep"));
}

#[test]
fn an_overflow_lets_the_water_of_a_blocked_outlet_out() {
    let mut plan = bowl(parapet());
    let mut overflow = outlet(3, 2_000, 0, OutletKind::Overflow);
    overflow.intake.sill = 30;
    plan.outlets.push(overflow);
    let (good, findings) = found(&plan);
    // 130 mm over the middle, 16 x 0.1 / 3 + 16 x 0.03 m3. The overflow takes nothing while the outlet works.
    let blocked = work(&good, 2).blocked.as_ref().unwrap();
    assert_eq!((blocked.depth_um, blocked.goes_to), (130_000, Sink::Outlet(3)));
    assert_eq!(blocked.volume, 1_013_333_333);
    assert_eq!((work(&good, 2).size, work(&good, 3).size), (16_000_000, 0));
    assert!(work(&good, 3).overflow && work(&good, 3).blocked.is_none());
    for code in [
        "one-drainage-point",
        "no-overflow",
        "overflow-low",
        "overflow-high",
        "blocked-over-upstand",
        "outlet-catches-little",
    ] {
        assert!(silent(&findings, code), "{code}");
    }
    // Its sill flush with the deck, above the top of the upstand, alone; and too small for the water of the outlet.
    plan.outlets[1].intake.sill = 0;
    told(&found(&plan).1, "overflow-low");
    plan.outlets[1].intake.sill = 160;
    told(&found(&plan).1, "overflow-high");
    plan.outlets[1].intake =
        Intake { sill: 30, mouth: Some(Mouth::Other { weir: 50, area: 5_000 }), ..Intake::default() };
    plan.drainage.rain = Some(15_000);
    // 16 m2 at 1500 mm/h: 6.67 l/s; a weir of 50 mm at 35 mm takes 0.43 l/s.
    assert!(told(&found(&plan).1, "blocked-over-capacity").text.contains("6.67 l/s and takes 0.43 l/s"));
    plan.outlets.remove(0);
    told(&found(&plan).1, "overflow-only-way-out");
}

#[test]
fn an_overflow_below_the_water_over_its_outlet() {
    // The outlet stands at the deck's 0 mm with water up to 35 mm over it; an overflow beside it at 20 mm would always run.
    let mut plan = bowl(parapet());
    plan.levels.spots.clear();
    spots(&mut plan, &[(0, 0, 5), (4_000, 0, 5), (4_000, 4_000, 5), (0, 4_000, 5), (2_000, 2_000, 0)]);
    let mut overflow = outlet(3, 2_000, 0, OutletKind::Overflow);
    overflow.intake.sill = 15;
    plan.outlets.push(overflow);
    assert!(told(&found(&plan).1, "overflow-low").text.contains("water up to 35 mm"));
    plan.outlets[1].intake.sill = 40;
    assert!(silent(&found(&plan).1, "overflow-low"));
}

#[test]
fn an_outlet_on_high_ground_says_by_how_much() {
    let mut plan = gutter([parapet(), parapet(), parapet(), parapet()]);
    plan.outlets.push(outlet(4, 8_000, 6_000, OutletKind::Chute));
    let text = told(&found(&plan).1, "outlet-catches-little").text.clone();
    assert!(text.contains("75 mm higher") && text.contains("to outlet 3"), "{text}");
    let mut rim = bowl(free());
    rim.outlets[0].intake.sill = 110;
    let text = told(&found(&rim).1, "outlet-catches-little").text.clone();
    assert!(text.contains("110 mm above the deck"), "{text}");
}

#[test]
fn an_outlet_taken_to_be_blocked_is_no_drain() {
    let mut plan = gutter([parapet(), parapet(), parapet(), parapet()]);
    plan.outlets[0].intake.blocked = true;
    let (one, _) = found(&plan);
    assert_eq!((work(&one, 2).size, work(&one, 3).size), (0, 60_000_000));
    assert_eq!(work(&one, 2).blocked.as_ref().map(|b| b.goes_to), Some(Sink::Outlet(3)));
    let mut full = bowl(free());
    full.outlets[0].intake.blocked = true;
    let (full, _) = found(&full);
    let blocked = work(&full, 2).blocked.as_ref().unwrap();
    assert_eq!((blocked.depth_um, blocked.goes_to), (100_000, Sink::Edge(1)));
    assert_eq!((full.falls.over_edges, full.falls.trapped), (16_000_000, 0));
    assert_eq!(full.falls.ponds[0].drains_to, Sink::Edge(1));
}

#[test]
fn water_with_no_way_out_is_trapped() {
    let mut plan = bowl(parapet());
    plan.outlets.clear();
    let (none, _) = found(&plan);
    assert_eq!((none.falls.over_edges, none.falls.trapped), (0, 16_000_000));
    assert!(none.falls.facets.iter().all(|f| f.drains_to == Sink::Nowhere));
}

#[test]
fn a_traced_way_ends_where_the_catchment_says() {
    let (one, _) = found(&bowl(free()));
    let way = one.trace(Pt::new(500, 700)).unwrap();
    assert_eq!(way.drains_to, Sink::Outlet(2));
    assert_eq!(
        (way.points.first(), way.points.last()),
        (Some(&Pt::new(500, 700)), Some(&Pt::new(2_000, 2_000)))
    );
    assert_eq!(one.trace(Pt::new(-500, 700)), None);
    let mut full = bowl(free());
    full.outlets[0].intake.blocked = true;
    let way = found(&full).0.trace(Pt::new(500, 700)).unwrap();
    assert_eq!((way.drains_to, way.ponds), (Sink::Edge(1), vec![1]));
}

#[test]
#[allow(clippy::cast_possible_truncation)]
fn sizes_add_up_to_the_deck() {
    for seed in 0..60 {
        let mut lot = Lot(seed + 5);
        let edge = |lot: &mut Lot| if lot.share() < 0.2 { free() } else { parapet() };
        let edges = [edge(&mut lot), edge(&mut lot), edge(&mut lot), edge(&mut lot)];
        let mut plan = rectangle(9_137, 6_213, edges);
        let mut place = |w: f64, h: f64| ((lot.share() * w) as i64, (lot.share() * h) as i64);
        let levels: Vec<(i64, i64, i64)> = (0..30)
            .map(|_| {
                let (x, y) = place(9_137.0, 6_213.0);
                (x, y, place(60.0, 0.0).0)
            })
            .collect();
        spots(&mut plan, &levels);
        for id in 2..5 {
            let (x, y) = place(9_000.0, 6_000.0);
            plan.outlets.push(outlet(id, x, y, OutletKind::Gravity));
        }
        let hole = [(3_001, 2_000), (3_901, 2_101), (3_800, 2_999), (2_900, 2_901)];
        let corner = |&(x, y): &(i64, i64)| Corner { at: Pt::new(x, y), edge: parapet() };
        let ring = hole.iter().map(corner).collect();
        plan.openings.push(Opening { id: 9, ring, ..Opening::default() });
        let mut findings = Vec::new();
        let model = model::check(&plan, &mut findings);
        let falls = find(&plan, &model, &mut findings).unwrap().falls;
        let deck = i64::try_from(doubled_area_of(&model.decks[0].area) / 2).unwrap();
        let outlets: i64 = falls.outlets.iter().map(|o| o.size).sum();
        assert_eq!(outlets + falls.over_edges + falls.trapped, deck, "seed {seed}");
        for work in &falls.outlets {
            let drawn = doubled_area_of(&work.catchment) as f64 / 2.0;
            assert!(
                (drawn - work.size as f64).abs() < 0.01 * deck as f64,
                "seed {seed}: {drawn} for {}",
                work.size
            );
        }
    }
}
