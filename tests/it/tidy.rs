//! The rules of the sources that no compiler checks: which way the stages depend, what each file opens with, what may
//! not stand in any file.
//!
//! In: the sources as text. Out: a list of breaches, each with its file and line. Every rule is also tried on a planted
//! breach, so that a rule that has stopped seeing anything fails.

use crate::places::top;
use std::fs;
use std::path::{Path, PathBuf};

/// What every stage may use: plain data and geometry. Later ones may use earlier ones.
const GROUND: &[&str] = &["geom", "plan", "finding", "layout"];

/// The stages of the engine, in the order of the flow: each may use the ground and what stands before it.
const STAGES: &[&str] = &[
    "products",
    "model",
    "falls",
    "zones",
    "footing",
    "starts",
    "courses",
    "ways",
    "bays",
    "endlaps",
    "pieces",
    "cells",
    "draft",
    "cuts",
    "run_on",
    "quantities",
    "strips",
    "order",
    "numbering",
    "seams",
    "rates",
    "calendar",
    "dew",
    "work",
    "sequence",
    "melting",
    "days",
    "rolling",
    "protection",
    "materials",
    "coverings",
    "sums",
    "remarks",
    "records",
    "search",
    "lay",
    "splits",
    "compare",
];

/// Edges against the order of the ground, each with its reason.
const ALLOWED: &[(&str, &str, &str)] =
    &[("geom", "layout", "a working frame writes itself as the frame of the layout")];

/// What each crate may depend on of the others.
const CRATES: &[(&str, &[&str])] = &[
    ("crates/core", &[]),
    ("crates/sheets", &["baylap-core"]),
    ("crates/editor", &["baylap-core", "baylap-sheets"]),
    ("crates/cli", &["baylap-core", "baylap-sheets"]),
    ("crates/xtask", &[]),
    ("web", &["baylap-core", "baylap-sheets", "baylap-editor"]),
];

/// Crates without files, clock, environment or browser.
const PURE: &[&str] = &["crates/core/src", "crates/sheets/src", "crates/editor/src"];

/// Longest source file, lines.
const LONGEST: usize = 900;

#[test]
fn stages_use_only_what_comes_before_them() {
    let src = top().join("crates/core/src");
    let files = texts(&src, &["rs"]);
    assert!(files.len() > 10, "the sources of the engine were found");
    let breaches: Vec<String> = files.iter().flat_map(|(path, text)| upward_edges(path, text)).collect();
    assert!(breaches.is_empty(), "{breaches:#?}");
}

#[test]
fn a_planted_upward_edge_is_caught() {
    let breaches = |path: &str, text: &str| upward_edges(Path::new(path), text);
    for planted in [
        "use crate::bays::Rows;",
        "use crate::{\n    geom::Pt,\n    cuts::{self, CutList},\n};",
        "fn f() -> crate::lay::Laid { todo }",
        "use super::order;",
        "pub use crate::lay;",
    ] {
        assert_eq!(breaches("courses.rs", planted).len(), 1, "{planted}");
    }
    assert_eq!(
        breaches("model/outline.rs", "use super::super::zones::part;"),
        ["model/outline.rs:1: model uses zones, which comes after it"]
    );
    assert_eq!(
        breaches("geom/ring.rs", "//! x\n\nuse crate::Plan;"),
        ["geom/ring.rs:3: geom uses plan, which comes after it"]
    );
    assert_eq!(breaches("plan/mod.rs", "use crate::model::Model;").len(), 1);
    assert_eq!(
        breaches("utils.rs", ""),
        ["utils.rs:1: utils has no place in the order of the stages: give it one in this test"]
    );
    for fine in [
        "use crate::geom::Pt;\nuse crate::{Finding, plan::Plan, zones::{ZoneModel, lay}};",
        "// crate::bays is for later\nuse super::zones;",
        "fn f() {}\n#[cfg(test)]\nmod tests {\n    use crate::lay;\n}",
    ] {
        assert_eq!(breaches("courses.rs", fine), Vec::<String>::new(), "{fine}");
    }
    assert_eq!(breaches("lib.rs", "pub use lay::lay;\nuse crate::order;"), Vec::<String>::new());
}

#[test]
fn crates_depend_one_way() {
    for (folder, may) in CRATES {
        let manifest = fs::read_to_string(top().join(folder).join("Cargo.toml")).unwrap();
        let found = own_dependencies(&manifest);
        assert!(
            found.iter().all(|d| may.contains(&d.as_str())),
            "{folder} depends on {found:?}, and may on {may:?}"
        );
    }
    let planted = "[package]\nname = \"baylap-core\"\n[dependencies]\nserde = \"1\"\nbaylap-sheets.workspace = true\n[dev-dependencies]\nbaylap-editor = {}\n";
    assert_eq!(own_dependencies(planted), ["baylap-sheets"]);
}

#[test]
fn pure_crates_touch_no_machine() {
    let mut breaches = Vec::new();
    for folder in PURE {
        for (path, text) in texts(&top().join(folder), &["rs"]) {
            breaches.extend(impurities(&path, &text));
        }
    }
    assert!(breaches.is_empty(), "{breaches:#?}");
    let planted = "//! x\nuse std::fs::File;\nfn f() { web_sys::window(); }\n#[cfg(test)]\nmod tests {\n use std::env;\n}";
    assert_eq!(impurities(Path::new("a.rs"), planted).len(), 2);
}

#[test]
fn sources_are_tidy() {
    let files = texts(&top(), &["rs"]);
    assert!(files.len() > 40, "the sources were found");
    let breaches: Vec<String> = files.iter().flat_map(|(path, text)| untidy(path, text)).collect();
    assert!(breaches.is_empty(), "{breaches:#?}");
    let planted = concat!("fn f() { to", "do!() }\n");
    assert_eq!(untidy(Path::new("a.rs"), planted).len(), 2);
    assert_eq!(untidy(Path::new("a.rs"), &"//! x\n".repeat(LONGEST + 1)).len(), 1);
}

#[test]
fn no_file_names_a_place_of_this_machine() {
    let kinds = ["rs", "toml", "md", "json", "html", "css", "js", "py", "txt", "sh", "lock", "yml", "snap"];
    let files = texts(&top(), &kinds);
    let breaches: Vec<String> = files.iter().flat_map(|(path, text)| machine_paths(path, text)).collect();
    assert!(breaches.is_empty(), "{breaches:#?}");
    assert_eq!(machine_paths(Path::new("a.md"), concat!("fine\nsee /ho", "me/me/x\n")).len(), 1);
}

/// Uses of a stage that comes after the file's own.
fn upward_edges(path: &Path, text: &str) -> Vec<String> {
    let parts: Vec<String> =
        path.with_extension("").iter().map(|p| p.to_string_lossy().into_owned()).collect();
    let own = parts[0].as_str();
    if own == "lib" {
        return Vec::new();
    }
    let Some(own_rank) = rank(own) else {
        let what = format!("{own} has no place in the order of the stages: give it one in this test");
        return vec![format!("{}:1: {what}", path.display())];
    };
    let depth = if parts.last().is_some_and(|p| p == "mod") { parts.len() - 1 } else { parts.len() };
    let code = code_of(text);
    let mut breaches = Vec::new();
    for (offset, name) in uses(&code, depth) {
        let used = module_of(&name);
        let allowed = ALLOWED.iter().any(|&(from, to, _)| from == own && to == used);
        if used != own && !allowed && rank(used).is_none_or(|r| r > own_rank) {
            let line = code[..offset].matches('\n').count() + 1;
            breaches.push(format!("{}:{line}: {own} uses {used}, which comes after it", path.display()));
        }
    }
    breaches
}

fn rank(module: &str) -> Option<usize> {
    GROUND.iter().chain(STAGES).position(|&m| m == module)
}

/// The module that a name at the root of the crate belongs to.
fn module_of(name: &str) -> &str {
    match name {
        "About" | "Finding" | "Severity" => "finding",
        "Layout" => "layout",
        "Plan" => "plan",
        _ => name,
    }
}

/// The names used at the root of the crate, by `crate::` or by as many `super::` as the file is deep.
fn uses(code: &str, depth: usize) -> Vec<(usize, String)> {
    let climb = "super::".repeat(depth);
    let mut out = Vec::new();
    for start in [String::from("crate::"), climb] {
        for (at, _) in code.match_indices(&start) {
            let before = code[..at].chars().next_back();
            if before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == ':') {
                continue;
            }
            let rest = &code[at + start.len()..];
            match rest.strip_prefix('{') {
                Some(group) => out.extend(names_in_group(group).into_iter().map(|n| (at, n))),
                None => out.push((at, first_name(rest))),
            }
        }
    }
    out.retain(|(_, name)| !name.is_empty());
    out
}

fn first_name(text: &str) -> String {
    text.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
}

/// First names of the entries of a group such as `a::b, c::{d, e}}`.
fn names_in_group(group: &str) -> Vec<String> {
    let (mut depth, mut start, mut names) = (0_u32, 0, Vec::new());
    for (at, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            ',' if depth == 0 => {
                names.push(first_name(&group[start..at]));
                start = at + 1;
            }
            '}' if depth == 0 => {
                names.push(first_name(&group[start..at]));
                return names;
            }
            '}' => depth -= 1,
            _ => {}
        }
    }
    names
}

/// The text with comments blanked out, up to the tests at its end; lines and offsets stay.
fn code_of(text: &str) -> String {
    let mut out = String::new();
    let mut lines = text.lines().peekable();
    while let Some(line) = lines.next() {
        let tests_follow = lines.peek().is_some_and(|next| next.starts_with("mod ") && next.ends_with('{'));
        if line == "#[cfg(test)]" && tests_follow {
            break;
        }
        out.push_str(line.find("//").map_or(line, |at| &line[..at]));
        out.push('\n');
    }
    out
}

/// The project's own crates among the dependencies of a manifest, those for tests aside.
fn own_dependencies(manifest: &str) -> Vec<String> {
    let mut here = false;
    let mut out = Vec::new();
    for line in manifest.lines() {
        if line.starts_with('[') {
            here = line.ends_with("dependencies]") && !line.contains("dev-") && !line.contains("build-");
        } else if here && line.starts_with("baylap-") {
            out.push(line.chars().take_while(|c| c.is_alphanumeric() || *c == '-').collect());
        }
    }
    out
}

/// Files, clock, environment, threads and browser where none should be.
fn impurities(path: &Path, text: &str) -> Vec<String> {
    let banned =
        ["std::fs", "std::env", "std::time", "std::process", "std::thread", "std::net", "web_sys", "js_sys"];
    breaches_by_line(path, &code_of(text), |line| banned.into_iter().find(|b| line.contains(b)))
}

/// Breaches of the form of one source file.
fn untidy(path: &Path, text: &str) -> Vec<String> {
    let unfinished = [concat!("to", "do!("), concat!("unimpl", "emented!("), concat!("db", "g!(")];
    let mut breaches = breaches_by_line(path, text, |line| unfinished.into_iter().find(|b| line.contains(b)));
    if !text.starts_with("//!") {
        breaches.push(format!("{}:1: opens without a //! paragraph", path.display()));
    }
    let lines = text.lines().count();
    if lines > LONGEST {
        breaches.push(format!("{}:{LONGEST}: {lines} lines, and {LONGEST} is the longest", path.display()));
    }
    breaches
}

fn machine_paths(path: &Path, text: &str) -> Vec<String> {
    let banned = [
        concat!("/wo", "rk/"),
        concat!("/ho", "me/"),
        concat!("/ro", "ot/"),
        concat!("/Us", "ers/"),
        concat!("C:", "\\"),
    ];
    breaches_by_line(path, text, |line| banned.into_iter().find(|b| line.contains(b)))
}

fn breaches_by_line(path: &Path, text: &str, find: impl Fn(&str) -> Option<&str>) -> Vec<String> {
    let breach = |(i, line)| find(line).map(|what| format!("{}:{}: holds {what}", path.display(), i + 1));
    text.lines().enumerate().filter_map(breach).collect()
}

/// Every file of some kinds under a folder, by its path from there, built things aside.
fn texts(folder: &Path, kinds: &[&str]) -> Vec<(PathBuf, String)> {
    let mut out = Vec::new();
    gather(folder, folder, kinds, &mut out);
    out.sort();
    out
}

fn gather(from: &Path, folder: &Path, kinds: &[&str], out: &mut Vec<(PathBuf, String)>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            let built = ["target", "dist", "node_modules", "__pycache__"].contains(&name.as_str());
            if !built && !name.starts_with('.') {
                gather(from, &path, kinds, out);
            }
        } else if path.extension().is_some_and(|e| kinds.contains(&e.to_string_lossy().as_ref())) {
            // A file that another program is just writing or removing is not ours to judge.
            if let Ok(text) = fs::read_to_string(&path) {
                out.push((path.strip_prefix(from).unwrap().to_owned(), text));
            }
        }
    }
}
