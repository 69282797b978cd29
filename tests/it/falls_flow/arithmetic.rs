//! Drainage arithmetic against worked values.
//!
//! In: the worked values D1 to D20 of the project's trade facts, section 2.3, and the outlet and runoff file of the shared
//! data where it is present. Out: whether the engine gives the same. How sure each value is stands beside it: "R" read,
//! "R2" read second-hand, "M" from memory, "D" worked out for the project from the formula named.

use crate::places::top;
use baylap_core::falls::hydraulics as h;
use baylap_core::plan::Mouth;
use serde_json::Value;

fn round(diameter: i64) -> Mouth {
    Mouth::Round { diameter }
}

fn other(weir: i64, area: i64) -> Mouth {
    Mouth::Other { weir, area }
}

/// A worked value: its name, how sure it is, the value, what it should be, and by how much it may be off.
struct Row(&'static str, &'static str, f64, f64, f64);

fn judge(rows: &[Row]) {
    for Row(name, source, value, expected, off) in rows {
        assert!((value - expected).abs() <= *off, "{name} ({source}): {value} for {expected}");
    }
}

#[test]
fn areas_and_runoff() {
    let rain = 0.021;
    judge(&[
        Row(
            "D1 wind area 10 x 6, 3 high",
            "R2, textbook example of EN 12056-3",
            h::wind_driven_area(10.0, 6.0, 3.0),
            75.0,
            1e-12,
        ),
        Row("D2 D1 at 0.021", "D", h::runoff(rain, 75.0, 1.0), 1.575, 1e-12),
        Row("D3 240 m2 at 0.021", "D", h::runoff(rain, 240.0, 1.0), 5.04, 1e-12),
        Row(
            "D3 240 m2 at 75 mm/h",
            "D, exact",
            h::runoff(h::rain_from_mm_per_hour(75.0), 240.0, 1.0),
            5.0,
            1e-12,
        ),
        Row(
            "D4 with half a wall 20 x 3",
            "R2 half a wall; area D",
            h::level_area(20.0, 12.0) + h::wall_area(&[[60.0, 0.0]], 0.5),
            270.0,
            1e-12,
        ),
        Row("D4 flow", "D", h::runoff(rain, 270.0, 1.0), 5.67, 1e-12),
        Row(
            "D12 design",
            "R2, German example",
            h::runoff(h::rain_from_per_hectare(300.0), 2500.0, 1.0),
            75.0,
            1e-9,
        ),
        Row(
            "D12 emergency",
            "R2, German example",
            h::emergency_runoff(600.0, 300.0, 1.0, 2500.0),
            75.0,
            1e-9,
        ),
        Row("D13 weir for 75 l/s at 40 mm", "head R2, length D", h::weir_length(75.0, 40.0), 7115.0, 0.5),
        Row(
            "D15 DN 80, 86 m2 at 300 l/(s ha)",
            "R2, DIN 1986-100 table",
            h::runoff(h::rain_from_per_hectare(300.0), 86.0, 1.0),
            2.6,
            0.05,
        ),
        Row(
            "D15 DN 100, 156 m2",
            "R2, DIN 1986-100 table",
            h::runoff(h::rain_from_per_hectare(300.0), 156.0, 1.0),
            4.7,
            0.05,
        ),
        Row(
            "D15 DN 150, 459 m2",
            "R2, DIN 1986-100 table",
            h::runoff(h::rain_from_per_hectare(300.0), 459.0, 1.0),
            13.8,
            0.05,
        ),
        Row(
            "D16 37 m2 at 0.021",
            "area R2, Approved Document H3 table 2; flow D",
            h::runoff(rain, 37.0, 1.0),
            0.777,
            1e-12,
        ),
        Row("rain square to the slope", "R2, EN 12056-3 4.3", h::sloping_area(10.0, 6.5), 65.0, 1e-12),
    ]);
}

#[test]
fn rain_in_its_units() {
    // Derived in the trade facts, 2.1; the last two as reported of German practice.
    judge(&[
        Row("75 mm/h", "D", h::rain_from_mm_per_hour(75.0), 0.020_833, 5e-7),
        Row("76 mm/h", "D", h::rain_from_mm_per_hour(76.0), 0.021_111, 5e-7),
        Row("79 mm/h", "D", h::rain_from_mm_per_hour(79.0), 0.021_944, 5e-7),
        Row("100 mm/h", "D", h::rain_from_mm_per_hour(100.0), 0.027_778, 5e-7),
        Row("150 mm/h", "D", h::rain_from_mm_per_hour(150.0), 0.041_667, 5e-7),
        Row("0.021 l/(s m2)", "D", h::mm_per_hour(0.021), 75.6, 1e-9),
        Row("300 l/(s ha)", "R2", h::mm_per_hour(h::rain_from_per_hectare(300.0)), 108.0, 1e-9),
        Row("108 mm/h", "R2", h::per_hectare(h::rain_from_mm_per_hour(108.0)), 300.0, 1e-9),
    ]);
}

#[test]
fn outlets_and_pipes() {
    // Formulas as restated of EN 12056-3 table 7, from memory with high confidence; values derived.
    let source = "D, formula M, EN 12056-3 table 7";
    judge(&[
        Row("D5 100 at 35", source, h::capacity(round(100), false, 35.0), 2.761, 5e-4),
        Row("D5 behind a strainer", source, h::capacity(round(100), true, 35.0), 1.380, 5e-4),
        Row("D6 150 at 35", source, h::capacity(round(150), false, 35.0), 4.141, 5e-4),
        Row("D7 100 at 50, weir", source, h::capacity(round(100), false, 50.0), 4.714, 5e-4),
        Row("D7 100 at 50, orifice", source, h::capacity(round(100), false, 50.0 + 1e-9), 4.714, 5e-4),
        Row("D8 100 at 60", source, h::capacity(round(100), false, 60.0), 5.164, 5e-4),
        Row("D9 100 x 100 at 35", source, h::capacity(other(400, 10_000), false, 35.0), 3.451, 5e-4),
        Row("D9 100 x 100 at 50, weir", source, h::capacity(other(400, 10_000), false, 50.0), 5.893, 5e-4),
        Row(
            "D9 100 x 100 at 50, orifice",
            source,
            h::capacity(other(400, 10_000), false, 50.0 + 1e-9),
            5.893,
            5e-4,
        ),
        Row("D9 100 x 100 at 60", source, h::capacity(other(400, 10_000), false, 60.0), 6.455, 5e-4),
    ]);
    let source = "D, formula M, EN 12056-3 table 8";
    for (filled, flows) in [(0.33, [4.97, 10.71, 31.59]), (0.20, [2.16, 4.65, 13.71])] {
        for (diameter, flow) in [75.0, 100.0, 150.0].into_iter().zip(flows) {
            judge(&[Row("D10, D11 pipe", source, h::pipe_capacity(diameter, filled), flow, 5e-3)]);
        }
    }
}

#[test]
fn depth_for_a_flow_turns_capacity_round() {
    // By definition: over both forms, with and without a strainer, from a film of water to deep.
    for mouth in [round(75), round(100), round(160), other(400, 10_000), other(300, 45_000)] {
        for strained in [false, true] {
            for depth in [0.5, 5.0, 20.0, 35.0, 49.9, 50.0, 50.1, 80.0, 150.0, 400.0] {
                let back = h::head_for(mouth, strained, h::capacity(mouth, strained, depth));
                assert!((back - depth).abs() < 1e-9 * depth, "{mouth:?} at {depth}: {back}");
            }
        }
    }
    assert!(h::head_for(round(100), false, 0.0).abs() < 1e-300);
    assert!(h::head_for(round(0), false, 1.0).is_infinite());
    assert!(
        h::capacity(other(0, 10_000), false, 35.0) > 0.0
            && h::capacity(round(-5), false, 35.0).abs() < 1e-300
    );
}

#[test]
fn us_units() {
    // The leader table as printed in the older plumbing codes and in NSPC 2006, table 13.6.1: trade facts, 2.2.
    judge(&[
        Row("constant", "D, 231 in3 to the gallon", h::us_runoff(1.0, 1.0), 0.010_389_6, 5e-8),
        Row("D14 135,000 ft2 at 4 in/h", "R2", h::us_runoff_as_printed(4.0, 135_000.0), 5616.0, 1e-6),
        Row("D14 leaders of 4 in", "R2, older plumbing codes", (5616.0_f64 / 192.0).ceil(), 30.0, 0.0),
        Row("D14 leaders of 6 in", "R2, older plumbing codes", (5616.0_f64 / 566.0).ceil(), 10.0, 0.0),
        Row("D17 2 in and 2 in", "D of IBC 1611.1, R", h::rain_load_psf(2.0, 2.0), 20.8, 1e-12),
        // 1 psf is 0.0478803 kPa (exact units of force and length): 20.8 psf are 0.996 kPa, 4 in are 101.6 mm.
        Row(
            "rain load in kPa",
            "M, checked by units",
            h::rain_load_kpa(50.8, 50.8),
            20.8 * 0.047_880_3,
            1e-3,
        ),
    ]);
    for (inches, flow) in [(2.0, 23.0), (3.0, 67.0), (4.0, 144.0), (5.0, 261.0), (6.0, 424.0), (8.0, 913.0)] {
        let source = "R, NSPC 2006 table 13.6.1, 7/24 full; formula M";
        judge(&[Row("leader", source, h::leader_capacity(inches, 7.0 / 24.0), flow, 0.02 * flow)]);
    }
}

#[test]
fn us_rows_of_the_highway_manual() {
    // D18 to D20: HEC-22 rows recomputed in the trade facts (R2); formulas of the test itself, as the engine has no need of
    // them but shares their form: runoff in cfs is C i A with a factor of 1.008, left out as the manual does.
    judge(&[
        Row("D18", "R2", h::runoff(5.0, 0.40, 0.73), 1.46, 5e-3),
        Row("D19", "R2", 3.0 * 6.0 * 0.5 * 0.5_f64.sqrt(), 6.36, 5e-3),
        Row("D20", "R2", 0.67 * 2.5 * (2.0 * 32.2 * 1.0_f64).sqrt(), 13.44, 5e-3),
    ]);
}

#[test]
fn walls_that_form_an_angle() {
    // Geometry: two walls of 60 and 80 m2 at a right angle present their diagonal, 100 m2; facing walls the larger; a
    // square court of four walls of 10 m2 two of them on the skew, 10 x 2^0.5; a half counts (R2, Taylor & Francis).
    judge(&[
        Row("one wall", "R2", h::wall_area(&[[0.0, 60.0]], 0.5), 30.0, 1e-12),
        Row("one wall in parts", "R2", h::wall_area(&[[0.0, 20.0], [0.0, 40.0]], 0.5), 30.0, 1e-12),
        Row("an angle", "R2", h::wall_area(&[[60.0, 0.0], [0.0, 80.0]], 0.5), 50.0, 1e-12),
        Row("facing walls", "D", h::wall_area(&[[60.0, 0.0], [-80.0, 0.0]], 0.5), 40.0, 1e-12),
        Row(
            "a court",
            "D",
            h::greatest_elevation(&[[10.0, 0.0], [0.0, 10.0], [-10.0, 0.0], [0.0, -10.0]]),
            200.0_f64.sqrt(),
            1e-12,
        ),
        Row("none", "D", h::wall_area(&[], 0.5), 0.0, 0.0),
    ]);
}

#[test]
fn walls_by_trying_every_direction() {
    // The greatest sum of projections over 100,000 directions, for walls drawn by lot.
    let mut lot = super::meshes::Lot(4);
    for _ in 0..20 {
        let faces: Vec<[f64; 2]> =
            (0..1 + lot.below(7)).map(|_| [lot.share() - 0.5, lot.share() - 0.5]).collect();
        let mut best: f64 = 0.0;
        for n in 0..20_000 {
            // Directions round a square, made unit vectors: no sines needed.
            let t = f64::from(n % 5_000) / 2_500.0 - 1.0;
            let way = match n / 5_000 {
                0 => [1.0, t],
                1 => [-t, 1.0],
                2 => [-1.0, -t],
                _ => [t, -1.0],
            };
            let long = (way[0] * way[0] + way[1] * way[1]).sqrt();
            let sum: f64 = faces.iter().map(|f| ((f[0] * way[0] + f[1] * way[1]) / long).max(0.0)).sum();
            best = best.max(sum);
        }
        let exact = h::greatest_elevation(&faces);
        assert!(exact >= best - 1e-12 && exact <= best * (1.0 + 1e-5), "{faces:?}: {exact}, tried {best}");
    }
}

#[test]
fn the_shared_outlet_file() {
    let path = top().join("../shared/data/levels/outlet_and_runoff.json");
    let Ok(text) = std::fs::read_to_string(path) else {
        println!("skipped: the shared data is not here");
        return;
    };
    // Formulas as widely restated of EN 12056-3, the standard itself not read; numbers computed for the file.
    let file: Value = serde_json::from_str(&text).unwrap();
    let number = |v: &Value, key: &str| v[key].as_f64().unwrap();
    let mut count = 0;
    for case in file["outlet_cases"].as_array().unwrap() {
        let head = number(case, "h_mm");
        // An overflow weir is open above: no area would ever throttle it.
        let mouth = match case["type"].as_str().unwrap() {
            "circular outlet, flat sole" => round(case["D_mm"].as_i64().unwrap()),
            "rectangular overflow weir" => other(case["L_mm"].as_i64().unwrap(), i64::from(i32::MAX)),
            kind => panic!("a kind of case this test does not know: {kind}"),
        };
        judge(&[Row("outlet", "file", h::capacity(mouth, false, head), number(case, "Q_lps"), 5.1e-5)]);
        if let Some(flow) = case["Q_with_grating_k0_5"].as_f64() {
            judge(&[Row("outlet behind a grating", "file", h::capacity(mouth, true, head), flow, 5.1e-5)]);
        }
        count += 1;
    }
    for case in file["runoff_cases"].as_array().unwrap() {
        let flow = h::runoff(number(case, "intensity_lps_m2"), number(case, "area_m2"), number(case, "C"));
        judge(&[Row("runoff", "file", flow, number(case, "Q_lps"), 5.1e-5)]);
        count += 1;
    }
    for row in file["approved_document_H_table2"]["rows"].as_array().unwrap() {
        let (area, flow) = (row[1].as_f64().unwrap(), row[2].as_f64().unwrap());
        judge(&[Row(
            "gutter",
            "Approved Document H3 table 2, one row read, others M",
            h::runoff(0.021, area, 1.0),
            flow,
            5.1e-3,
        )]);
        count += 1;
    }
    assert!(count >= 40, "{count} cases");
}
