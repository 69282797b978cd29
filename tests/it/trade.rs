//! Values of the trade as table tests: course counts, membrane mass, primer, readings of worked examples.
//!
//! In: cases with their source beside them. Out: whether the engine gives the same figure. Sources: the derived tables of
//! the project's trade facts (arithmetic re-done there by script, tag [D]) and the published figures they rest on, named
//! at each test; none of the standards themselves is quoted.

use baylap_core::geom::Pt;
use baylap_core::plan::{Corner, Deck, Direction, Edge, FreeKind, Plan, ZoneSetting};
use baylap_core::{Layout, lay};

/// A rectangle with free edges, so that the field is the whole deck.
fn rectangle(w: i64, h: i64) -> Plan {
    let corner = |x, y| Corner { at: Pt::new(x, y), edge: Edge::Free { kind: FreeKind::Drip } };
    let ring = vec![corner(0, 0), corner(w, 0), corner(w, h), corner(0, h)];
    Plan { decks: vec![Deck { id: 1, name: String::new(), ring }], ..Plan::default() }
}

#[track_caller]
fn check_courses(breadth: i64, width: i64, lap: i64, count: usize) {
    // Longer than broad, so that the courses run along x.
    let mut plan = rectangle(30_000, breadth);
    let held = ZoneSetting { id: 2, direction: Direction::LongestWall, ..ZoneSetting::default() };
    plan.zones = vec![held];
    plan.products.rolls[0].width = width;
    plan.products.side_lap = lap;
    assert_eq!(lay(&plan).zones[0].courses.len(), count, "{breadth} mm, roll {width}, lap {lap}");
}

#[test]
fn course_counts() {
    // n = ceil((B - s)/(W - s)): derived values of the trade facts, section 3. 4.700/1.000/0.075 is exactly 5.
    for (breadth, width, lap, count) in [
        (12_000, 1000, 75, 13),
        (12_000, 1100, 75, 12),
        (5_025, 1000, 75, 6),
        (4_700, 1000, 75, 5),
        (10_000, 1000, 50, 11),
    ] {
        check_courses(breadth, width, lap, count);
    }
}

/// 100 m2 of deck with coats in hundredths of a mm and a density in kg per m3.
fn hundred(coats: &[i64], density: i64) -> Layout {
    let mut plan = rectangle(12_500, 8_000);
    plan.products.coats = coats.to_vec();
    plan.products.density = density;
    lay(&plan)
}

#[test]
fn membrane_mass() {
    // kg per m2 = mm x kg/l: derived values of the trade facts, section 3. Two coats of 3 mm is the pattern NHBC
    // Standards 2011, 7.1-M2 describes; 2 + 3 mm that of the Canadian Roofing Reference Manual, 6.2.
    for (coats, density, kg) in [
        (&[300, 300][..], 1100, 660),
        (&[300, 300], 1200, 720),
        (&[300, 300], 1250, 750),
        (&[250, 300], 1200, 660),
        (&[200, 300], 1200, 600),
    ] {
        assert_eq!(hundred(coats, density).totals.membrane_kg, kg, "{coats:?} at {density}");
    }
}

#[test]
fn primer() {
    // 100 m2: 25.0 l at 4 m2/l, 16.7 l (17 whole) at 6. Coverage 4 to 6 m2/l: CRCA manual, 6.1.
    for (coverage, litres) in [(400, 25), (600, 17)] {
        let mut plan = rectangle(12_500, 8_000);
        plan.products.primer_coverage = coverage;
        assert_eq!(lay(&plan).totals.primer_litres, litres);
    }
}

#[test]
fn voids_up_to_one_square_metre_are_not_deducted() {
    // 0.99 and 1.00 m2 stay, 1.01 m2 goes in full: NRM2 and SMM7 as remembered in the trade facts, section 7.
    for (side, deducted) in [(990, 0), (1000, 0), (1010, 1_010_000)] {
        let mut plan = rectangle(12_500, 8_000);
        let corner = |x, y| Corner { at: Pt::new(x, y), edge: Edge::default() };
        let ring = vec![
            corner(5000, 3000),
            corner(6000, 3000),
            corner(6000, 3000 + side),
            corner(5000, 3000 + side),
        ];
        plan.openings.push(baylap_core::plan::Opening { id: 2, name: String::new(), ring });
        assert_eq!(lay(&plan).totals.measured_area, 100_000_000 - deducted, "{side}");
    }
}
