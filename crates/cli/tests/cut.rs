//! `baylap cut` as a shop runs it: a list of pieces, stock, and no roof.
//!
//! In: command lines and lists. Out: exit codes, tables, JSON. The measures are arithmetic done here on the JSON: every piece
//! is cut once, nothing overlaps, and a length adds up; and a textbook example with its published answer.

// A test stops at what it did not expect.
#![allow(clippy::unwrap_used)]

mod program;

use program::{baylap, code, stderr, stdout};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Output;

#[test]
fn a_list_on_standard_input_is_cut() {
    let ran = cut(&["--stock", "6000", "-"], "2000,3\n1500;4".replace(';', ",").as_bytes());
    assert_eq!(code(&ran), 0, "{}", stderr(&ran));
    let table = stdout(&ran);
    // 3 x 2000 and 4 x 1500 fill two lengths of 6000: no list can do with fewer.
    assert!(table.contains("7 pieces from 2 lengths, 12000 mm (the least, proved)"), "{table}");
    assert!(table.contains("3 x 2000") && table.contains("4 x 1500"), "{table}");
}

#[test]
fn a_textbook_example_comes_out_as_published() {
    // V. Chvatal, Linear Programming (1983), ch. 13: raws of 100, finals 97 x 45, 610 x 36, 395 x 31, 211 x 14; the linear
    // program's bound is 452.25, so that 453 raws are the least; the book cuts 453.
    let list = cut_json(&["--stock", "100", "--offcut", "1", "-"], "45,97\n36,610\n31,395\n14,211");
    assert_sound(&list, 0, 1);
    assert_eq!(list["totals"]["pieces"], 97 + 610 + 395 + 211);
    let lengths = list["totals"]["lengths"].as_u64().unwrap();
    let least = list["totals"]["lengths_least"].as_u64().unwrap();
    assert!((453..=485).contains(&lengths) && least <= 453, "{lengths} lengths, at least {least}");
    assert_eq!(list["totals"]["proved"], lengths == least);
}

#[test]
fn lengths_cuts_kerf_and_rest_add_up() {
    let text = "length;count;name\n1,25 m;7;rail\n800 mm;5;\n333;11;post";
    let list = cut_json(&["--stock", "3000", "--kerf", "4", "--offcut", "200", "-"], text);
    assert_sound(&list, 4, 200);
    assert_eq!(
        named(&list),
        BTreeMap::from([("rail".to_owned(), 7), ("post".to_owned(), 11), (String::new(), 5)])
    );
}

#[test]
fn json_goes_to_standard_output_and_to_a_file() {
    let file = folder("json") + "-list.json";
    let pieces = folder("json") + "-pieces.json";
    fs::write(&pieces, "[1200, {\"length\": 700, \"count\": 2, \"name\": \"A\"}]").unwrap();
    let ran = cut(&["--stock", "2000", "--json", "--out", &file, &pieces], b"");
    assert_eq!(code(&ran), 0, "{}", stderr(&ran));
    assert_eq!(stdout(&ran), fs::read_to_string(&file).unwrap());
    assert_eq!(serde_json::from_str::<Value>(&stdout(&ran)).unwrap()["format"], "baylap-cut-list");
    // Without --json the table is printed and the file written all the same.
    let told = cut(&["--stock", "2000", "--out", &file, &pieces], b"");
    assert!(stdout(&told).starts_with("lengths") && stdout(&told).contains("700 (A)"), "{}", stdout(&told));
    assert_eq!(stdout(&ran), fs::read_to_string(&file).unwrap());
}

#[test]
fn what_no_stock_holds_is_told_and_the_rest_is_cut() {
    let ran = cut(&["--stock", "2000", "-"], b"1000\n2500,1,beam");
    assert_eq!(code(&ran), 1, "{}", stderr(&ran));
    let table = stdout(&ran);
    assert!(table.contains("not cut: 2500 (beam) (row 2): no stock holds it"), "{table}");
    assert!(table.contains("1 piece from 1 length, "), "{table}");
}

#[test]
fn bad_input_gets_one_sentence_and_exit_code_2() {
    for (arguments, input, says) in [
        (&["--stock", "2000", "-"][..], "12\nfoo", "standard input: Line 2: \"foo\" is no length"),
        (&["--stock", "2000", "-"], "", "holds no piece"),
        (&["--stock", "2000", "-"], "12.5", "Line 1: 12.5 is not whole millimetres"),
        (&["--stock", "2000", "-"], "100,1,A,50", "say how wide the stock is, as --width 1000"),
        (&["--stock", "2000", "-"], "[1,", "no sound JSON"),
        (&["--stock", "2000", "no-such-list.csv"], "", "no-such-list.csv: It could not be read ("),
        (&["--stock", "2000", "--out", "/no/such/folder/x", "-"], "12", "could not be written ("),
    ] {
        let ran = cut(arguments, input.as_bytes());
        assert_eq!(code(&ran), 2, "{input:?}: {}", stderr(&ran));
        assert_eq!(stderr(&ran).lines().count(), 1, "{input:?}: {}", stderr(&ran));
        assert!(stderr(&ran).contains(says), "{input:?}: {}", stderr(&ran));
    }
    for arguments in [
        &["-"][..],
        &["--stock", "2000"],
        &["--stock", "2000x0", "-"],
        &["--stock", "x", "-"],
        &["--stock", "2000", "--kerf", "-1", "-"],
    ] {
        assert_eq!(code(&cut(arguments, b"12")), 2, "{arguments:?}");
    }
    assert_eq!(code(&cut(&["--stock", "2000", "-"], &[0xff, 0xfe, 0, 1])), 2);
}

#[test]
fn the_same_steps_give_the_same_bytes() {
    let text: String = (0..60).map(|i| format!("{}\n", 300 + i * 7919 % 1500)).collect();
    let arguments = ["--stock", "4000", "--kerf", "3", "--json", "-"];
    assert_eq!(stdout(&cut(&arguments, text.as_bytes())), stdout(&cut(&arguments, text.as_bytes())));
}

/// Every length adds up, cuts follow one another, and what is kept is long enough.
#[track_caller]
fn assert_sound(list: &Value, kerf: i64, least_offcut: i64) {
    let mm = |value: &Value| value.as_i64().unwrap();
    for (length, number) in list["lengths"].as_array().unwrap().iter().zip(1_i64..) {
        assert_eq!(length["number"], number);
        let cuts = length["cuts"].as_array().unwrap();
        let mut end = 0;
        let mut cut_length = 0;
        for cut in cuts {
            assert!(mm(&cut["from"]) >= end, "{length}");
            end = mm(&cut["from"]) + mm(&cut["length"]) + kerf;
            cut_length += mm(&cut["length"]);
            let longest = cut["pieces"].as_array().unwrap().iter().map(|p| mm(&p["length"])).max().unwrap();
            assert_eq!(mm(&cut["length"]), longest, "{length}");
        }
        assert!(end - kerf <= mm(&length["length"]), "{length}");
        assert_eq!(cut_length + mm(&length["kerf"]) + mm(&length["rest"]), mm(&length["length"]), "{length}");
        assert!((0..=kerf * i64::try_from(cuts.len()).unwrap()).contains(&mm(&length["kerf"])), "{length}");
        assert_eq!(length["kept"], mm(&length["rest"]) >= least_offcut.max(1), "{length}");
    }
}

/// How many pieces of each name are cut.
fn named(list: &Value) -> BTreeMap<String, usize> {
    let mut count = BTreeMap::new();
    for length in list["lengths"].as_array().unwrap() {
        for cut in length["cuts"].as_array().unwrap() {
            for piece in cut["pieces"].as_array().unwrap() {
                *count.entry(piece["name"].as_str().unwrap_or_default().to_owned()).or_insert(0) += 1;
            }
        }
    }
    count
}

#[track_caller]
fn cut_json(arguments: &[&str], input: &str) -> Value {
    let ran = cut(&[&["--json"], arguments].concat(), input.as_bytes());
    assert_eq!(code(&ran), 0, "{}", stderr(&ran));
    serde_json::from_str(&stdout(&ran)).unwrap()
}

fn cut(arguments: &[&str], input: &[u8]) -> Output {
    baylap(&[&["cut"], arguments].concat(), input)
}

fn folder(name: &str) -> String {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("cut-{name}")).display().to_string()
}
