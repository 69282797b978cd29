//! The pages of the protection sheet: every piece, roll and near lap stands in them, and its plan shows its laps.

use baylap_core::geom::Pt;
use baylap_core::layout::protection::{SheetEdge, SheetLapKind};
use baylap_core::{Layout, Plan, lay};
use baylap_sheets::page::{Page, Words};
use baylap_sheets::protection_sheets::{course_grid, four_deep, near_grid, roll_grid};
use baylap_sheets::reference::References;
use baylap_sheets::scene::Role;
use baylap_sheets::{Paper, SceneOptions, SheetOptions, deck_scene, setting_out_pages};

fn laid(narrow: bool) -> (Plan, Layout) {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-data/02-l-shape.json");
    let bytes = std::fs::read(path).expect("the demo plan");
    let mut plan = baylap_core::plan::file::read(&bytes).expect("a plan");
    if narrow {
        (plan.products.sheet_width, plan.products.sheet_off_laps) = (400, 400);
    }
    let layout = lay(&plan);
    (plan, layout)
}

#[test]
fn every_piece_and_every_near_lap_is_listed() {
    for narrow in [false, true] {
        let (plan, layout) = laid(narrow);
        let sheet = layout.protection.as_ref().expect("a sheet");
        let references = References::new(&plan, &layout);
        let cells = |rows: Vec<Vec<String>>| rows.concat().join(" ");
        let courses = cells(course_grid(sheet, &references).rows);
        let rolls = cells(roll_grid(sheet).rows);
        for piece in &sheet.pieces {
            let name = format!("P{} ", piece.number);
            assert!(courses.contains(&name) && rolls.contains(&name), "{name}");
        }
        let near = sheet.laps.iter().filter(|lap| lap.off.is_some()).count();
        assert_eq!(near_grid(&layout, sheet).rows.len(), near);
        assert_eq!(near > 0, narrow, "only a narrow roll cannot keep its laps off");
    }
}

/// What the demo jobs have too little of, put into the layout by hand: it stands on the sheet whatever it came from.
#[test]
fn patches_near_edges_and_deep_places_are_listed() {
    let (plan, mut layout) = laid(false);
    let mut sheet = layout.protection.take().expect("a sheet");
    let bay = sheet.bays.iter().position(|b| b.courses.len() > 1).expect("a bay of several courses");
    let courses = u32::try_from(sheet.bays[bay].courses.len()).expect("a handful of courses");
    let piece = sheet.bays[bay].pieces[0] as usize - 1;
    sheet.pieces[piece].course = courses + 1;
    let (number, from, across) =
        (sheet.pieces[piece].number, sheet.pieces[piece].from, sheet.pieces[piece].across);
    let kind = SheetLapKind::Side;
    sheet.near_edges = vec![SheetEdge {
        piece: number,
        kind,
        along: [from, from + 1500],
        across: [across[1], across[1]],
        off: 20,
    }];
    sheet.deep = vec![Pt::new(1234, 5678)];
    let rows = course_grid(&sheet, &References::new(&plan, &layout)).rows;
    let patches: Vec<_> = rows.iter().filter(|row| row[2] == "patch").collect();
    assert_eq!(patches.len(), 1);
    assert!(patches[0][5].starts_with(&format!("P{number} ")), "{patches:?}");
    assert_eq!(patches[0][4], (across[1] - across[0]).to_string());
    let near = near_grid(&layout, &sheet).rows;
    let edge = near.iter().find(|row| row[1] == "side edge").expect("the edge");
    assert_eq!(
        (edge[2].as_str(), edge[3].as_str(), edge[4].as_str()),
        (format!("P{number}").as_str(), "20", "1.500")
    );
    assert!(four_deep(&sheet).contains("1234, 5678"));
}

#[test]
fn the_sheet_has_a_plan_and_a_list_and_its_laps_are_drawn_when_asked_for() {
    let (plan, layout) = laid(true);
    let pages = setting_out_pages(&plan, &layout, &SheetOptions { paper: Paper::A4 });
    for title in ["Protection sheet, plan", "Protection sheet"] {
        assert!(pages.iter().any(|p| p.title == title), "{title}");
    }
    let words: Vec<&Words> = pages.iter().flat_map(Page::words).collect();
    assert!(words.iter().any(|w| w.text == "Lap of the sheet"));
    let drawn = |sheet| {
        let scene = deck_scene(&plan, &layout, SceneOptions { sheet, ..SceneOptions::default() });
        let has = |role| scene.marks.iter().any(|m| m.role == role);
        (has(Role::SheetLap), has(Role::SheetNear))
    };
    assert_eq!(drawn(true), (true, true));
    assert_eq!(drawn(false), (false, false));
}
