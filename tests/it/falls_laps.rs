//! Laps against the water, as they are laid: cases that went wrong once, and what is said of laps that face the water.
//!
//! In: small decks with levels, the demo job with the most falls. Out: seams and findings of the layout. The measure is the
//! rule itself: the higher piece lies on top (method: "Falls").

use crate::places::{demos, plan_of};
use baylap_core::finding::{About, Finding};
use baylap_core::geom::Pt;
use baylap_core::lay;
use baylap_core::layout::Layout;
use baylap_core::layout::falls::{SeamKind, Verdict};
use baylap_core::plan::{
    Corner, Deck, Edge, FallRule, FreeKind, Mouth, Outlet, Plan, RollKind, SpotLevel, UpstandKind,
};

/// Length of laps that face the water, mm, and how many do.
fn facing(layout: &Layout, zone: Option<u32>) -> (f64, usize) {
    let laps = layout.seams.iter().filter(|s| s.kind != SeamKind::BayEdge);
    let own = laps.filter(|s| zone.is_none_or(|z| layout.pieces[s.top as usize - 1].zone == z));
    let lengths: Vec<f64> = own
        .map(|s| {
            s.parts.iter().filter(|p| p.verdict == Some(Verdict::FacesWater)).map(|p| p.a.distance(p.b)).sum()
        })
        .filter(|length| *length > 0.0)
        .collect();
    (lengths.iter().sum(), lengths.len())
}

/// Random surface 29 of seed 3 of the judge: an L whose short arm leaves 20 mm of the lap of the first two courses, so that
/// the middle of the lap lies off the deck there, where the levels say which of them is the higher.
#[test]
fn a_lap_that_the_edge_of_the_deck_cuts_to_20_mm_is_laid_from_the_low_side() {
    let parapet = Edge::Upstand { height: 150, kind: UpstandKind::Parapet };
    let mut plan = Plan::default();
    let ring = [(0, 0), (3562, 0), (3562, 890), (1477, 890), (1477, 2142), (0, 2142)];
    let mut ring: Vec<Corner> =
        ring.iter().map(|&(x, y)| Corner { at: Pt::new(x, y), edge: parapet.clone() }).collect();
    ring[2].edge = Edge::Free { kind: FreeKind::Drip };
    plan.decks.push(Deck { id: 1, name: String::new(), ring });
    for (id, x, y, level, blocked) in [(2, 251, 1558, Some(-46), true), (3, 2590, 634, None, false)] {
        let mut outlet = Outlet { id, at: Pt::new(x, y), bowl: 100, clear_zone: 300, ..Outlet::default() };
        outlet.intake.level = level;
        outlet.intake.blocked = blocked;
        outlet.intake.mouth = Some(Mouth::Round { diameter: 100 });
        plan.outlets.push(outlet);
    }
    let spots = [
        (0, 0, 4),
        (3562, 890, 34),
        (1477, 2142, -31),
        (251, 1558, -36),
        (2590, 634, 27),
        (1025, 908, -7),
        (2347, 455, 30),
        (3169, 405, 43),
        (569, 1008, -15),
        (446, 336, -2),
        (1179, 1646, -21),
        (646, 1851, -35),
        (346, 702, -12),
        (757, 1377, -25),
        (1624, 288, 19),
        (810, 543, -1),
        (1858, 417, 23),
    ];
    let spot = |(id, (x, y, level))| SpotLevel { id, at: Pt::new(x, y), level };
    plan.levels.spots = (1000..).zip(spots).map(spot).collect();
    plan.drainage.rule = FallRule::Project;
    plan.products.rolls =
        vec![RollKind { name: String::new(), width: 1000, length: 20_000, on_hand: None, price: None }];
    plan.gang.bay_area = Some(800);
    let layout = lay(&plan);
    let laps = layout.seams.iter().filter(|s| s.kind == SeamKind::SideLap).count();
    assert_eq!((laps, facing(&layout, None)), (2, (0.0, 0)), "{:#?}", layout.seams);
}

/// Laps that face the water are told once for each zone, with their number, their length and the bay with most of it.
#[test]
fn laps_that_face_the_water_are_told_zone_by_zone() {
    let (name, text) = demos().into_iter().find(|(name, _)| name.starts_with("05")).unwrap();
    let layout = lay(&plan_of(&name, &text));
    let told: Vec<&Finding> = layout.findings.iter().filter(|f| f.code == "laps-face-water").collect();
    assert!(told.len() > 1 && facing(&layout, None).1 > 10, "{told:#?}");
    let with_some: Vec<u32> =
        layout.zones.iter().map(|z| z.number).filter(|&z| facing(&layout, Some(z)).1 > 0).collect();
    let about: Vec<&About> = told.iter().map(|f| &f.about).collect();
    assert_eq!(
        about,
        with_some.iter().map(|&z| About::Zone(z)).collect::<Vec<_>>().iter().collect::<Vec<_>>()
    );
    for (finding, &zone) in told.iter().zip(&with_some) {
        let (length, count) = facing(&layout, Some(zone));
        let start = format!(
            "In zone {zone}, {count} laps face the water for {:.1} m: most of it in bay ",
            length / 1000.0
        );
        assert!(finding.text.starts_with(&start), "{} should start {start}", finding.text);
        let at = finding.at.unwrap();
        let on = |s: &baylap_core::layout::falls::Seam| {
            s.parts.iter().any(|p| p.verdict == Some(Verdict::FacesWater) && (p.a == at || p.b == at))
        };
        assert!(layout.seams.iter().any(on), "{at:?} is on a lap that faces the water");
    }
}
