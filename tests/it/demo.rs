//! Every demo plan laid, told as short text and compared with what was accepted before; and what the program says of
//! the plans with something wrong in them.
//!
//! A change is accepted with `INSTA_UPDATE=always`; read the difference first.

use crate::places::{bad_files, demos, plan_of};
use baylap_core::plan::file;
use baylap_core::{Layout, Severity, lay};
use std::fmt::Write;

#[test]
fn demo_plans_are_laid_as_before() {
    for (name, text) in demos() {
        let layout = lay(&plan_of(&name, &text));
        insta::assert_snapshot!(name.trim_end_matches(".json"), told(&layout));
    }
}

#[test]
fn demo_plans_have_nothing_wrong_with_them() {
    for (name, text) in demos() {
        let layout = lay(&plan_of(&name, &text));
        let errors: Vec<_> = layout.findings.iter().filter(|f| f.severity == Severity::Error).collect();
        assert!(errors.is_empty(), "{name}: {errors:#?}");
        assert!(layout.totals.pieces > 0 && layout.totals.rolls >= layout.totals.rolls_least, "{name}");
    }
}

/// Net deck areas by hand from the drawings (outline less openings and penetrations), mm2.
#[test]
fn deck_areas_are_those_of_the_drawings() {
    let areas: Vec<i64> =
        demos().iter().map(|(name, text)| lay(&plan_of(name, text)).totals.deck_area).collect();
    // 12 x 8 m.
    assert_eq!(areas[0], 96_000_000);
    // 20 x 12 and 10 x 6 m, less roof lights of 2 x 1.5 x 1.5 and 1.2 x 2.4 m, less pipes.
    let net = 300_000_000 - 2 * 2_250_000 - 2_880_000;
    assert!((net - 45_000..=net).contains(&areas[1]), "{}", areas[1]);
    // 84 x 60 less 20 x 12, courtyard 28 x 20, plant 12 x 12, stair 6 x 4, 8 roof lights of 1.5 x 1.5 m, less pipes.
    let net = 4_054_000_000;
    assert!((net - 120_000..=net).contains(&areas[4]), "{}", areas[4]);
}

/// Lengths of upstands by hand from the drawings; a door's threshold parts a straight wall in three.
#[test]
fn upstand_lengths_are_those_of_the_drawings() {
    let lengths = |file: &str| -> Vec<(String, i64, i64)> {
        let (name, text) = demos().into_iter().find(|(name, _)| name == file).unwrap();
        let details = lay(&plan_of(&name, &text)).details;
        details.upstands.iter().map(|u| (format!("{:?}", u.kind), u.height, u.length)).collect()
    };
    let expect = |list: &[(&str, i64, i64)]| -> Vec<(String, i64, i64)> {
        list.iter().map(|&(kind, height, length)| (kind.to_owned(), height, length)).collect()
    };
    // 20 + 12 + 10 + 18; 10 + 3 + 1.8; two of 4 x 1.5 and one of 2 x (1.2 + 2.4); a door of 1.2 m.
    assert_eq!(
        lengths("02-l-shape.json"),
        expect(&[
            ("Parapet", 150, 60_000),
            ("Wall", 600, 14_800),
            ("Kerb", 200, 19_200),
            ("Threshold", 150, 1200)
        ])
    );
    // 84 + 48 + 20 + 64 + 60 less nothing; courtyard 2 x (28 + 20); stair 2 x (6 + 4) less its door; 8 x 4 x 1.5; plant 4 x 12.
    assert_eq!(
        lengths("05-courtyard.json"),
        expect(&[
            ("Parapet", 150, 84_000 + 48_000 + 20_000 + 64_000 + 60_000),
            ("Parapet", 300, 96_000),
            ("Wall", 1200, 12_000),
            ("Wall", 2500, 18_800),
            ("Kerb", 200, 48_000),
            ("Plinth", 300, 48_000),
            ("Threshold", 150, 1200),
        ])
    );
}

#[test]
fn plans_with_something_wrong_are_told_so() {
    let mut out = String::new();
    for (name, text) in bad_files() {
        let Ok(plan) = file::read_any(text.as_bytes()) else { continue };
        let _ = writeln!(out, "{name}");
        let layout = lay(&plan);
        for finding in &layout.findings {
            let place = finding.at.map(|p| format!(" at ({}, {})", p.x, p.y)).unwrap_or_default();
            let _ = writeln!(
                out,
                "  {:?} {}{place}: {} {}",
                finding.severity, finding.code, finding.text, finding.mend
            );
        }
    }
    insta::assert_snapshot!("bad", out);
}

/// Each plan that opens and has something wrong gives the finding it is there for.
#[test]
fn each_bad_plan_gives_the_finding_it_is_there_for() {
    let expect = [
        ("bay-longer-than-day.json", "bay-longer-than-day"),
        ("blocked-deep.json", "blocked-deep"),
        ("blocked-no-way-out.json", "blocked-no-way-out"),
        ("blocked-over-capacity.json", "blocked-over-capacity"),
        ("blocked-over-upstand.json", "blocked-over-upstand"),
        ("foot-too-small.json", "foot-too-small"),
        ("gang-without-melter.json", "gang-without-melter"),
        ("insulation-floats.json", "insulation-floats"),
        ("joint-in-mid-air.json", "line-stops-short"),
        ("layer-covers-nothing.json", "layer-covers-nothing"),
        ("level-off-deck.json", "level-off-deck"),
        ("level-stands-out.json", "level-stands-out"),
        ("levels-too-few.json", "levels-too-few"),
        ("lines-disagree.json", "lines-disagree"),
        ("melter-short.json", "melter-short"),
        ("narrow-roll.json", "roll-narrower-than-two-laps"),
        ("no-deck.json", "no-deck"),
        ("no-overflow.json", "no-overflow"),
        ("no-roll.json", "no-roll"),
        ("no-way-out.json", "no-way-out"),
        ("no-working-day.json", "no-working-day"),
        ("one-drainage-point.json", "one-drainage-point"),
        ("opening-in-mid-air.json", "outside-deck"),
        ("outlet-catches-little.json", "outlet-catches-little"),
        ("outlet-on-upstand.json", "outlet-on-upstand"),
        ("outlet-over-capacity.json", "outlet-over-capacity"),
        ("outlet-siphonic.json", "outlet-siphonic"),
        ("overflow-high.json", "overflow-high"),
        ("overflow-low.json", "overflow-low"),
        ("overflow-only-way-out.json", "overflow-only-way-out"),
        ("overlapping-decks.json", "decks-overlap"),
        ("planes-disagree.json", "planes-disagree"),
        ("self-crossing.json", "crosses-itself"),
        ("sheet-covers-nothing.json", "sheet-covers-nothing"),
        ("sheet-four-deep.json", "sheet-four-deep"),
        ("sheet-laps-near.json", "sheet-laps-near"),
        ("spots-disagree.json", "spots-disagree"),
        ("start-not-worked.json", "start-not-worked"),
        ("tie-astray.json", "tie-astray"),
        ("tie-before-start.json", "tie-before-start"),
        ("tie-cuts-off.json", "cut-off"),
        ("tie-day.json", "tie-day"),
        ("tie-faces-water.json", "tie-faces-water"),
        ("tie-not-worked.json", "tie-not-worked"),
        ("tie-shuts-in.json", "shut-in"),
        ("tie-turn.json", "tie-turn"),
        ("tie-without-gang.json", "tie-without-gang"),
        ("tie-without-start.json", "tie-without-start"),
        ("two-corners.json", "no-area"),
        ("zero-area.json", "no-area"),
    ];
    let opened: Vec<(String, Layout)> = bad_files()
        .into_iter()
        .filter_map(|(name, text)| Some((name, lay(&file::read_any(text.as_bytes()).ok()?))))
        .collect();
    let names: Vec<&str> = opened.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, expect.map(|(name, _)| name));
    for ((name, layout), (_, code)) in opened.iter().zip(expect) {
        let found: Vec<&str> = layout.findings.iter().map(|f| f.code.as_str()).collect();
        assert!(found.contains(&code), "{name}: {found:?}");
    }
}

/// A layout as short text.
fn told(layout: &Layout) -> String {
    let mut out = String::new();
    totals(layout, &mut out);
    bays(layout, &mut out);
    rolls(layout, &mut out);
    let _ = writeln!(out, "findings: {}", layout.findings.len());
    for finding in &layout.findings {
        let _ = writeln!(out, "  {:?} {}: {}", finding.severity, finding.code, finding.text);
    }
    out
}

fn totals(layout: &Layout, out: &mut String) {
    let t = &layout.totals;
    let _ = writeln!(
        out,
        "deck {} m2, measured {} m2, field {} m2",
        m2(t.deck_area),
        m2(t.measured_area),
        m2(t.field_area)
    );
    let _ = writeln!(
        out,
        "pieces {}, cut length {} mm, end laps {}, side laps {} mm",
        t.pieces, t.cut_length, t.end_laps, t.side_lap_length
    );
    let _ = writeln!(out, "rolls {}, at least {}, proved {}", t.rolls, t.rolls_least, t.proved);
    let w = &t.waste;
    let _ = writeln!(
        out,
        "waste: laps {} m2, trim {} m2, scrap {} m2, offcuts {} m2",
        m2(w.laps),
        m2(w.trim),
        m2(w.scrap),
        m2(w.offcuts)
    );
    let _ = writeln!(
        out,
        "membrane {} kg, blocks {}, primer {} l, sheet rolls {}",
        t.membrane_kg, t.blocks, t.primer_litres, t.sheet_rolls
    );
    let d = &layout.details;
    for u in &d.upstands {
        let _ = writeln!(out, "upstand {:?} {} mm high: {} mm", u.kind, u.height, u.length);
    }
    let _ = writeln!(
        out,
        "free edges {} mm, joints {} mm, penetrations {}, pockets {}, outlets {}",
        d.free_edges, d.joints, d.penetrations, d.pockets, d.outlets
    );
    for zone in &layout.zones {
        let _ = writeln!(
            out,
            "zone {} of deck {}: {} mdeg, {} courses",
            zone.number,
            zone.deck,
            zone.direction_mdeg,
            zone.courses.len()
        );
    }
}

fn bays(layout: &Layout, out: &mut String) {
    for bay in &layout.bays {
        let [first, last] = bay.courses;
        let _ = writeln!(
            out,
            "bay {}: zone {}, courses {first} to {last}, {} m2, {} mm long, pieces {:?}",
            bay.number,
            bay.zone,
            m2(bay.size),
            bay.length,
            bay.pieces
        );
    }
}

fn rolls(layout: &Layout, out: &mut String) {
    for roll in &layout.rolls {
        let rest = if roll.kept { "kept" } else { "scrap" };
        let _ = writeln!(out, "roll {}: pieces {:?}, rest {} mm {rest}", roll.number, roll.pieces, roll.rest);
    }
}

/// Square metres to the hundredth, cut off.
fn m2(mm2: i64) -> String {
    format!("{}.{:02}", mm2 / 1_000_000, mm2 % 1_000_000 / 10_000)
}
