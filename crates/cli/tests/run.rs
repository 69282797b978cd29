//! The real program, run as a person or a script runs it.
//!
//! In: command lines, files, standard input. Out: exit codes, what is written where. The JSON Schema of the layout and
//! the demo data are the outside measure.

// A test stops at what it did not expect.
#![allow(clippy::unwrap_used)]

mod program;

use program::{baylap as baylap_fed, code, stderr, stdout};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

const CANOPY: &str = "01-canopy.json";
const COURTYARD: &str = "05-courtyard.json";

#[test]
fn one_plan_is_laid_into_the_folder_given() {
    let out = folder("one");
    let ran = baylap(&["lay", &demo(CANOPY), "--out", &out]);
    assert_eq!(code(&ran), 0, "{}", stderr(&ran));
    let line = stdout(&ran);
    assert_eq!(line.lines().count(), 1, "{line}");
    assert!(
        line.contains("01-canopy.json: ") && line.contains(" bays, ") && line.contains(" rolls ("),
        "{line}"
    );
    assert!(line.contains("waste "), "{line}");
    assert_fits_schema(&layout(&out));
    let pdf = fs::read(Path::new(&out).join("setting-out.pdf")).unwrap();
    assert!(pdf.starts_with(b"%PDF-"), "a PDF opens so: ISO 32000-1, 7.5.2");
    assert!(fs::read(Path::new(&out).join("days.pdf")).unwrap().starts_with(b"%PDF"));
    let cuts = fs::read_to_string(Path::new(&out).join("cut-list.csv")).unwrap();
    assert!(cuts.lines().count() > 1, "{cuts}");
}

/// The drainage sheet and its lists are written where falls are known, say what the layout says, and are left out elsewhere.
#[test]
fn drainage_is_written_where_falls_are_known() {
    let out = folder("drainage");
    let ran = baylap(&["lay", &demo(COURTYARD), "--out", &out]);
    assert_eq!(code(&ran), 0, "{}", stderr(&ran));
    let read = |name: &str| fs::read(Path::new(&out).join(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
    let pdf = read("drainage.pdf");
    // ISO 32000-1, 7.5.2 and 7.5.5: how a PDF opens and ends.
    assert!(pdf.starts_with(b"%PDF-") && pdf.trim_ascii_end().ends_with(b"%%EOF"));
    let svg = String::from_utf8(read("drainage.svg")).unwrap();
    assert!(svg.contains("<svg") && svg.trim_end().ends_with("</svg>"));
    let layout = layout(&out);
    let count = |list: &Value| list.as_array().unwrap().len();
    let falls = &layout["falls"];
    let parts: usize = layout["seams"].as_array().unwrap().iter().map(|s| count(&s["parts"])).sum();
    assert!(count(&falls["outlets"]) > 1 && parts > 100, "the courtyard has falls");
    for (name, head, lines) in [
        ("ponds.csv", "job,pond,deck,depth_mm,", count(&falls["ponds"])),
        ("outlets.csv", "job,outlet_id,name,", count(&falls["outlets"])),
        ("seams.csv", "job,what,one,other,on_top,verdict,", parts),
    ] {
        let text = String::from_utf8(read(name)).unwrap();
        assert!(text.starts_with(head), "{name}: {}", text.lines().next().unwrap_or_default());
        assert_eq!(text.lines().count(), 1 + lines, "{name}");
    }
    // The catchment of each outlet, mm2, as in the layout.
    let outlets = String::from_utf8(read("outlets.csv")).unwrap();
    for (line, work) in outlets.lines().skip(1).zip(falls["outlets"].as_array().unwrap()) {
        assert!(line.contains(&format!(",{},", work["size"])), "{line}: {}", work["size"]);
    }
    let seams = String::from_utf8(read("seams.csv")).unwrap();
    assert!(seams.lines().skip(1).all(|l| ["bay edge", "side lap", "end lap"].iter().any(|k| l.contains(k))));
    let bare = folder("no-drainage");
    let ran = baylap(&["lay", &demo("04-terrace-two-decks.json"), "--out", &bare]);
    assert_eq!(code(&ran), 0, "{}", stderr(&ran));
    assert!(Path::new(&bare).join("setting-out.pdf").exists());
    for name in ["drainage.pdf", "drainage.svg", "ponds.csv", "outlets.csv", "seams.csv"] {
        assert!(!Path::new(&bare).join(name).exists(), "{name} and no levels");
    }
}

#[test]
fn several_plans_are_told_in_the_order_given() {
    let out = folder("several");
    let names = [COURTYARD, "02-l-shape.json", CANOPY, "02-l-shape.json"];
    let paths: Vec<String> = names.iter().map(|n| demo(n)).collect();
    let mut arguments = vec!["lay", "--no-sheets", "--out", &out];
    arguments.extend(paths.iter().map(String::as_str));
    let ran = baylap(&arguments);
    assert_eq!(code(&ran), 0, "{}", stderr(&ran));
    let told: Vec<String> = stdout(&ran).lines().map(str::to_owned).collect();
    assert_eq!(told.len(), 4);
    for (line, name) in told.iter().zip(names) {
        assert!(line.contains(name), "{line} should be of {name}");
    }
    for stem in ["05-courtyard", "02-l-shape", "01-canopy", "02-l-shape-2"] {
        assert_fits_schema(&layout(&format!("{out}/{stem}")));
        assert!(!Path::new(&format!("{out}/{stem}/setting-out.pdf")).exists());
    }
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    let (one, two) = (folder("same-one"), folder("same-two"));
    for out in [&one, &two] {
        assert_eq!(code(&baylap(&["lay", &demo("03-angled.json"), "--paper", "a4", "--out", out])), 0);
    }
    for name in ["layout.json", "setting-out.pdf", "cut-list.csv"] {
        assert_eq!(
            fs::read(format!("{one}/{name}")).unwrap(),
            fs::read(format!("{two}/{name}")).unwrap(),
            "{name}"
        );
    }
}

#[test]
fn a_plan_comes_on_standard_input() {
    let out = folder("stdin");
    let text = fs::read(demo(CANOPY)).unwrap();
    let ran = baylap_fed(&["lay", "-", "--no-sheets", "--out", &out], &text);
    assert_eq!(code(&ran), 0, "{}", stderr(&ran));
    assert!(stdout(&ran).starts_with("standard input: "), "{}", stdout(&ran));
    assert_fits_schema(&layout(&out));
    let twice = baylap_fed(&["check", "-", "-"], &text);
    assert_eq!(
        (code(&twice), stderr(&twice).as_str()),
        (2, "baylap: standard input can be read once: give - only once.\n")
    );
}

#[test]
fn a_bare_outline_is_laid_in_the_direction_asked_for() {
    // A right-angled L in metres with a courtyard, whose walls run along x and y.
    let outline = br#"{"type": "Polygon", "coordinates": [
        [[0, 0], [20, 0], [20, 12], [10, 12], [10, 18], [0, 18], [0, 0]],
        [[4, 4], [6, 4], [6, 6], [4, 6], [4, 4]]]}"#;
    for (degrees, expect) in [("0", 0), ("90", 90_000), ("37.5", 37_500), ("-30", 150_000)] {
        let out = folder(&format!("outline{degrees}"));
        let ran = baylap_fed(&["lay", "-", "--direction", degrees, "--out", &out, "--no-sheets"], outline);
        assert_eq!(code(&ran), 0, "{}{}", stdout(&ran), stderr(&ran));
        let layout = layout(&out);
        assert_fits_schema(&layout);
        let zones = layout["zones"].as_array().unwrap();
        assert!(!zones.is_empty());
        assert!(zones.iter().all(|z| z["direction_mdeg"] == expect), "{degrees}: {zones:?}");
        // 20 x 12 + 10 x 6 less 2 x 2, in mm2.
        assert_eq!(layout["totals"]["deck_area"], 296_000_000_i64);
    }
}

#[test]
fn every_zone_turns_when_a_direction_is_asked_for() {
    let out = folder("turned");
    let ran = baylap(&["lay", &demo(COURTYARD), "--direction", "90", "--no-sheets", "--out", &out]);
    assert_ne!(code(&ran), 2, "{}", stderr(&ran));
    let layout = layout(&out);
    let zones = layout["zones"].as_array().unwrap();
    assert!(zones.len() >= 3, "two joints part the deck in three");
    assert!(zones.iter().all(|z| z["direction_mdeg"] == 90_000));
}

#[test]
fn check_tells_findings_and_writes_nothing() {
    let ran = baylap(&["check", &bad("self-crossing.json"), &demo(CANOPY)]);
    assert_eq!(code(&ran), 1, "{}", stderr(&ran));
    let text = stdout(&ran);
    assert!(text.contains("self-crossing.json: 1 error") && text.contains("  error ["), "{text}");
    assert_eq!(code(&baylap(&["check", &demo(CANOPY)])), 0);
}

#[test]
fn what_cannot_be_read_is_told_and_the_rest_is_laid() {
    let out = folder("partly");
    let ran = baylap(&[
        "lay",
        &bad("truncated.json"),
        &demo(CANOPY),
        "no-such-file.json",
        "--no-sheets",
        "--out",
        &out,
    ]);
    assert_eq!(code(&ran), 2);
    assert_eq!(stdout(&ran).lines().count(), 1);
    let told = stderr(&ran);
    assert_eq!(told.lines().count(), 2, "{told}");
    assert!(told.contains("truncated.json: The file stops in the middle, at line 4"), "{told}");
    assert!(told.contains("no-such-file.json: It could not be read ("), "{told}");
    assert_fits_schema(&layout(&format!("{out}/01-canopy")));
}

#[test]
fn no_file_makes_it_panic() {
    let mut paths: Vec<PathBuf> =
        fs::read_dir(top().join("demo-data/bad")).unwrap().map(|e| e.unwrap().path()).collect();
    paths.push(top().join("crates")); // a folder
    for path in paths {
        for command in [vec!["check"], vec!["lay", "--out"]] {
            let out = folder("bad");
            let path = path.to_str().unwrap();
            let arguments: Vec<&str> =
                if command[0] == "lay" { vec!["lay", "--out", &out, path] } else { vec!["check", path] };
            let ran = baylap(&arguments);
            assert!(matches!(code(&ran), 0..=2), "{path}: {} {}", code(&ran), stderr(&ran));
            assert!(!stderr(&ran).contains("fault in baylap"), "{path}: {}", stderr(&ran));
        }
    }
    for garbage in [
        &b""[..],
        b"\0\xff\xfe",
        b"{",
        b"null",
        b"\"",
        b"[[[[[[",
        b"{\"format\":\"baylap-plan\",\"version\":1,\"plan\":7}",
    ] {
        let ran = baylap_fed(&["check", "-"], garbage);
        assert_eq!(code(&ran), 2, "{garbage:?}");
        assert_eq!(stderr(&ran).lines().count(), 1, "{garbage:?}: {}", stderr(&ran));
    }
}

#[test]
fn a_folder_that_cannot_be_written_is_told() {
    let file = folder("file") + ".txt";
    fs::write(&file, "in the way").unwrap();
    let ran = baylap(&["lay", &demo(CANOPY), "--out", &file]);
    assert_eq!(code(&ran), 2);
    assert!(stderr(&ran).contains("could not be written ("), "{}", stderr(&ran));
}

#[test]
fn help_and_version_are_no_fault_and_a_wrong_command_is() {
    let version = baylap(&["--version"]);
    assert_eq!((code(&version), stdout(&version)), (0, format!("baylap {}\n", env!("CARGO_PKG_VERSION"))));
    let help = baylap(&["--help"]);
    assert_eq!(code(&help), 0);
    for word in ["lay", "check", "Exit codes", "GeoJSON"] {
        assert!(stdout(&help).contains(word), "{word}");
    }
    assert_eq!(code(&baylap(&[])), 2);
    assert_eq!(code(&baylap(&["lay", &demo(CANOPY)])), 2, "--out is wanted");
    assert_eq!(code(&baylap(&["lay", &demo(CANOPY), "--out", "x", "--direction", "north"])), 2);
}

fn baylap(arguments: &[&str]) -> Output {
    baylap_fed(arguments, b"")
}

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).ancestors().nth(2).unwrap().to_owned()
}

fn demo(name: &str) -> String {
    top().join("demo-data").join(name).display().to_string()
}

fn bad(name: &str) -> String {
    demo(&format!("bad/{name}"))
}

/// An empty folder of this test's own.
fn folder(name: &str) -> String {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&path);
    path.display().to_string()
}

fn layout(folder: &str) -> Value {
    serde_json::from_str(&fs::read_to_string(Path::new(folder).join("layout.json")).unwrap()).unwrap()
}

#[track_caller]
fn assert_fits_schema(layout: &Value) {
    let schema = fs::read_to_string(top().join("demo-data/schema/layout.schema.json")).unwrap();
    let validator = jsonschema::validator_for(&serde_json::from_str(&schema).unwrap()).unwrap();
    let faults: Vec<String> = validator.iter_errors(layout).map(|e| e.to_string()).collect();
    assert!(faults.is_empty(), "{faults:#?}");
}
