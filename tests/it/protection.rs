//! The laws of the protection sheet, on the random plans of the laws: cover, laps, open edges, distance, stock, sums.
//!
//! In: random plans with random rolls of sheet. Out: a failure that names the law and shrinks to a small plan. Cover is held
//! up to the snapping of the deck's edge: nothing bare is broader than 1.5 mm on the whole. The judge in `tests/judge`
//! checks the same laws, and more, with another library; this is the quick look that shrinks.

use crate::laws::plans;
use baylap_core::geom::overlay::Canvas;
use baylap_core::geom::ring::{doubled_area_of, perimeter};
use baylap_core::geom::{Pt, Region};
use baylap_core::layout::protection::{Protection, SheetLapKind};
use baylap_core::layout::{Course, Layout};
use baylap_core::plan::Plan;
use baylap_core::{lay, lay_quick};
use proptest::prelude::*;

fn canvas() -> Canvas {
    Canvas::new(Pt::new(-100_000, -100_000), Pt::new(100_000, 100_000))
}

/// What of one area is not in another, but for what snapping leaves.
#[allow(clippy::cast_precision_loss)]
fn outside(one: &[Region], two: &[Region]) -> Vec<Region> {
    let canvas = canvas();
    let mut rest = canvas.difference_with(&canvas.rings(one), Vec::new(), two);
    rest.retain(|r| {
        let round: f64 = r.iter().map(|ring| perimeter(ring)).sum();
        doubled_area_of(std::slice::from_ref(r)) as f64 > 1.5 * round
    });
    rest
}

#[track_caller]
fn check_cover(layout: &Layout, sheet: &Protection) {
    let deck: Vec<Region> = layout.zones.iter().flat_map(|z| z.area.iter().cloned()).collect();
    let laid: Vec<Region> = sheet.pieces.iter().flat_map(|p| p.as_laid.iter().cloned()).collect();
    // Nothing is left bare unsaid.
    let bare = outside(&deck, &laid);
    assert_eq!(outside(&bare, &sheet.bare), Vec::<Region>::new(), "deck left bare");
    let said = layout.findings.iter().any(|f| f.code == "sheet-leaves-bare");
    assert_eq!(said, !sheet.bare.is_empty());
    assert_eq!(outside(&laid, &deck), Vec::<Region>::new(), "sheet beyond the deck");
}

/// No sheet lies on a bay laid after it.
#[track_caller]
fn check_open(layout: &Layout, sheet: &Protection) {
    for piece in &sheet.pieces {
        for bay in layout.bays.iter().filter(|b| b.number > piece.bay) {
            let free = outside(&piece.as_laid, &bay.area);
            let covered = doubled_area_of(&piece.as_laid) - doubled_area_of(&free);
            // Edges of the two that run along each other are snapped each by itself.
            let round: f64 = piece.as_laid.iter().flatten().map(|ring| perimeter(ring)).sum();
            #[allow(clippy::cast_precision_loss)]
            let little = covered as f64 <= 3.0 * round;
            assert!(little, "piece {} of bay {} lies on bay {}", piece.number, piece.bay, bay.number);
        }
    }
}

#[track_caller]
fn check_stock(plan: &Plan, sheet: &Protection) {
    let products = &plan.products;
    for piece in &sheet.pieces {
        let width = piece.across[1] - piece.across[0];
        assert!(0 < piece.length && piece.length <= products.sheet_length, "piece {}", piece.number);
        assert!(0 < width && width <= products.sheet_width, "piece {}", piece.number);
        assert_eq!(piece.length, piece.to - piece.from);
        let roll = &sheet.rolls[piece.roll as usize - 1];
        assert!(roll.pieces.contains(&piece.number));
        assert!(piece.roll_from + piece.length + roll.rest <= products.sheet_length, "roll {}", roll.number);
    }
    let cut: i64 = sheet.pieces.iter().map(|p| p.length * (p.across[1] - p.across[0])).sum();
    assert_eq!((sheet.totals.cut_area, sheet.bays.iter().map(|b| b.cut_area).sum::<i64>()), (cut, cut));
    assert!(sheet.totals.rolls >= sheet.totals.rolls_least);
}

/// Laps are as broad as asked or said to be narrow; side laps within a bay keep off those below, or are listed.
#[track_caller]
fn check_laps(plan: &Plan, layout: &Layout, sheet: &Protection) {
    let products = &plan.products;
    let end = products.sheet_end_lap.unwrap_or(products.sheet_lap);
    for lap in &sheet.laps {
        let (breadth, least) = match lap.kind {
            SheetLapKind::Side => (lap.across[1] - lap.across[0], products.sheet_lap),
            SheetLapKind::End => (lap.along[1] - lap.along[0], end),
            SheetLapKind::ZoneLine => continue,
        };
        assert_eq!(breadth < least, lap.narrow, "{lap:?}");
        assert!(lap.off.is_none_or(|off| off < products.sheet_off_laps && lap.near > 0), "{lap:?}");
    }
    for bay in &sheet.bays {
        let zone = &layout.zones[bay.zone as usize - 1];
        let below = |w: &[Course]| [w[1].from, w[0].to];
        for pair in bay.courses.windows(2) {
            let lap = below(pair);
            assert!(lap[1] - lap[0] >= products.sheet_lap, "bay {}", bay.bay);
            let near = zone
                .courses
                .windows(2)
                .map(below)
                .any(|band| (band[0] - lap[1]).max(lap[0] - band[1]) < products.sheet_off_laps);
            let of = |n: u32| &sheet.pieces[n as usize - 1];
            let listed = |lap: &&baylap_core::layout::protection::SheetLap| {
                let [low, top] = lap.pieces.map(of);
                low.bay == bay.bay
                    && top.bay == bay.bay
                    && low.across[0] == pair[0].from
                    && top.across[0] == pair[1].from
            };
            // A lap over no lap of fleece, at the edge of the deck say, is not near one.
            let all_said = sheet
                .laps
                .iter()
                .filter(listed)
                .all(|l| l.off.is_some() || !fleece_laps_near(plan, layout, l));
            assert!(!near || all_said, "bay {}: {pair:?}", bay.bay);
        }
    }
}

/// Whether two pieces of neighbouring courses lap beside a lap of the sheet, nearer than asked, for a metre or more.
fn fleece_laps_near(plan: &Plan, layout: &Layout, lap: &baylap_core::layout::protection::SheetLap) -> bool {
    let sheet = layout.protection.as_ref().expect("a sheet");
    let zone = sheet.pieces[lap.pieces[1] as usize - 1].zone;
    let own: Vec<_> = layout.pieces.iter().filter(|p| p.zone == zone).collect();
    own.iter().any(|p| {
        own.iter().filter(|q| q.course == p.course + 1).any(|q| {
            let band = [q.across[0], p.across[1]];
            let gap = (band[0] - lap.across[1]).max(lap.across[0] - band[1]);
            let (from, to) = (p.from.max(q.from).max(lap.along[0]), p.to.min(q.to).min(lap.along[1]));
            // Openings may part the lap: only what runs on for long is sure to be there.
            band[0] < band[1]
                && gap < plan.products.sheet_off_laps
                && to - from >= 1000
                && lap.length + 100 >= lap.along[1] - lap.along[0]
        })
    })
}

#[track_caller]
fn check_all(plan: &Plan) {
    let layout = lay(plan);
    let Some(sheet) = &layout.protection else {
        assert!(layout.zones.iter().any(|z| z.courses.is_empty()) || layout.bays.is_empty(), "no sheet");
        return;
    };
    check_cover(&layout, sheet);
    check_open(&layout, sheet);
    check_stock(plan, sheet);
    check_laps(plan, &layout, sheet);
    let totals = &layout.totals;
    assert_eq!(
        (totals.sheet_area, totals.sheet_rolls),
        (sheet.totals.cut_area, i64::from(sheet.totals.rolls))
    );
    if let Some(days) = &layout.days {
        let each: i64 = days.days.iter().map(|d| d.materials.sheet_area).sum();
        assert_eq!((each, days.materials.sheet_area), (sheet.totals.cut_area, sheet.totals.cut_area));
    }
}

prop_compose! {
    fn sheeted()(
        plan in plans(),
        (width, length) in (500_i64..2_000, 5_000_i64..30_000),
        (lap, end) in (40_i64..120, proptest::option::of(40_i64..200)),
        off in 0_i64..300,
    ) -> Plan {
        let mut plan = plan;
        plan.products.sheet_width = width;
        plan.products.sheet_length = length;
        plan.products.sheet_lap = lap;
        plan.products.sheet_end_lap = end;
        plan.products.sheet_off_laps = off;
        plan
    }
}

fn cases(usual: u32) -> ProptestConfig {
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(usual);
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(cases(80))]

    #[test]
    fn random_sheets_keep_the_laws(plan in sheeted()) {
        check_all(&plan);
    }
}

/// A canopy of one zone: bays of three courses, each of three courses of sheet beside its own, no lap near another.
#[test]
fn a_plain_roof_takes_as_many_courses_of_sheet_as_of_fleece() {
    let text = std::fs::read(crate::places::top().join("demo-data/01-canopy.json")).expect("the demo plan");
    let plan = baylap_core::plan::file::read(&text).expect("a plan");
    check_all(&plan);
    let layout = lay(&plan);
    let sheet = layout.protection.as_ref().expect("a sheet");
    assert!(sheet.laps.iter().all(|lap| lap.off.is_none()), "{:?}", sheet.laps);
    assert!(lay_quick(&plan).protection.is_none(), "while a corner is dragged there is none");
}
