//! Any plan a person can draw gives sheets: no panic, nothing illegible, nothing off the page.

use crate::sheet::legible;
use baylap_core::geom::Pt;
use baylap_core::plan::{
    Corner, Datum, Deck, Edge, FreeKind, Melter, Opening, Outlet, OutletKind, Penetration, Place, Plan, Shape,
};
use baylap_sheets::{Paper, SceneOptions, SheetOptions, deck_scene, scene_svg, setting_out_pages};
use proptest::prelude::*;

fn point(reach: i64) -> impl Strategy<Value = Pt> {
    (-reach..reach, -reach..reach).prop_map(|(x, y)| Pt::new(x, y))
}

/// A ring of any corners: crossed, flat, empty or plain.
fn ring(reach: i64) -> impl Strategy<Value = Vec<Corner>> {
    let edge = prop_oneof![
        Just(Edge::default()),
        Just(Edge::Free { kind: FreeKind::Drip }),
        Just(Edge::Upstand { height: 0, kind: Default::default() })
    ];
    prop::collection::vec((point(reach), edge), 0..9)
        .prop_map(|corners| corners.into_iter().map(|(at, edge)| Corner { at, edge }).collect())
}

fn name() -> impl Strategy<Value = String> {
    prop_oneof![
        Just(String::new()),
        Just("=1+1".to_owned()),
        Just("Żółć 屋根 \u{202e}abc\u{0}\n<b>&".to_owned()),
        Just("a very long name ".repeat(40)),
        Just("W".repeat(900)),
    ]
}

fn plan() -> impl Strategy<Value = Plan> {
    // From a roof of a few metres to one that no sheet can detail.
    let reach = prop_oneof![Just(8_000_i64), Just(40_000), Just(9_000_000)];
    reach.prop_flat_map(|reach| {
        let things = (point(reach), point(reach), point(reach), 0_i64..2000, prop::option::of(point(reach)));
        (ring(reach), ring(reach / 4), name(), things).prop_map(move |(deck, hole, name, things)| {
            let (a, b, c, size, datum) = things;
            let mut plan = Plan::default();
            plan.job.name.clone_from(&name);
            plan.job.notes.clone_from(&name);
            plan.products.rolls[0].name.clone_from(&name);
            // Far fewer and longer pieces on the very large roof, or the engine would cut it for minutes.
            if reach > 100_000 {
                plan.products.rolls[0].width = 900_000;
                plan.products.rolls[0].length = 1_000_000;
                plan.products.longest_piece = 1_000_000;
                plan.gang.bay_area = None;
            }
            plan.decks.push(Deck { id: 1, name: name.clone(), ring: deck });
            plan.openings.push(Opening { id: 2, name: name.clone(), ring: hole });
            let shape = Shape::Circle { centre: a, diameter: size };
            plan.penetrations.push(Penetration {
                id: 3,
                name: name.clone(),
                shape,
                pocket: None,
                collar: None,
            });
            let kind = OutletKind::Chute;
            plan.outlets.push(Outlet {
                id: 4,
                name: name.clone(),
                at: b,
                bowl: size,
                kind,
                clear_zone: size,
                ..Outlet::default()
            });
            plan.ways.push(Place { id: 5, name: name.clone(), at: c });
            plan.melters.push(Melter { id: 6, name: name.clone(), at: b, litres: None });
            plan.datum = datum.map(|zero| Datum { zero, along: a, note: name });
            plan
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn every_plan_gives_legible_sheets(plan in plan(), a3 in any::<bool>()) {
        let layout = baylap_core::lay_quick(&plan);
        let paper = if a3 { Paper::A3 } else { Paper::A4 };
        let pages = setting_out_pages(&plan, &layout, &SheetOptions { paper });
        prop_assert!(pages.len() >= 8);
        for page in &pages {
            legible(page, "a random plan");
        }
        let svg = scene_svg(&deck_scene(&plan, &layout, SceneOptions::default()), 100, 10);
        prop_assert!(svg.ends_with("</svg>\n") && !svg.contains("NaN") && !svg.contains('\0'));
    }
}
