//! Counts the instructions that laying the demo plans takes, and holds them to what is recorded.
//!
//! In: the demo plans, `tests/bench/instructions.txt`, valgrind. Out: a table; an error where a plan takes over 3 % more than
//! recorded, and a word where it takes over 3 % less. Counts depend on the compiler: with another one than that of the
//! record they are shown and judged by nobody. Time plays no part, so a busy machine changes nothing.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use crate::bench::example;
use crate::places::root;
use crate::step::{Outcome, answer_of, step};

/// How much more or less counts, hundredths.
const ROOM: u64 = 3;

/// Counts, and compares with the record; with `update`, writes it.
pub(crate) fn run(update: bool) -> Outcome<()> {
    let timed = example("timed")?;
    let compiler = answer_of(Command::new("rustc").arg("--version")).unwrap_or_default().trim().to_owned();
    let counts = step("count instructions of five plans", "2 min", || counts(&timed))?;
    let path = root().join("tests/bench/instructions.txt");
    if update {
        let lines: String = counts.iter().map(|(name, count)| format!("{name} {count}\n")).collect();
        return fs::write(&path, format!("{compiler}\n{lines}"))
            .map_err(|e| format!("{}: {e}", path.display()));
    }
    let text = fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
    let (known_compiler, known) = record_of(&text);
    let mut over = Vec::new();
    for (name, count) in &counts {
        let (word, good) = verdict(*count, known.get(name).copied());
        println!("{name}: {count} instructions, {word}");
        if !good {
            over.push(name.as_str());
        }
    }
    if known_compiler != compiler {
        println!("the record is of `{known_compiler}`, this is `{compiler}`: nothing is judged");
        return Ok(());
    }
    if over.is_empty() {
        Ok(())
    } else {
        Err(format!("more instructions than recorded: {}", over.join(", ")))
    }
}

fn counts(timed: &PathBuf) -> Outcome<BTreeMap<String, u64>> {
    let folder = root().join("demo-data");
    let entries = fs::read_dir(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let mut plans: Vec<PathBuf> = entries.flatten().map(|e| e.path()).collect();
    plans.retain(|p| p.file_name().is_some_and(|n| n.to_string_lossy().starts_with('0')));
    plans.sort();
    plans.iter().map(|plan| Ok((name_of(plan), count(timed, plan)?))).collect()
}

fn name_of(plan: &std::path::Path) -> String {
    plan.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}

fn count(timed: &PathBuf, plan: &PathBuf) -> Outcome<u64> {
    let mut valgrind = Command::new("valgrind");
    valgrind.args(["--tool=callgrind", "--callgrind-out-file=/dev/null"]).arg(timed).arg(plan).arg("1");
    let output = valgrind.stdin(Stdio::null()).output();
    let output = output.map_err(|e| format!("valgrind: {e}: install it with `apt-get install valgrind`"))?;
    let said = String::from_utf8_lossy(&output.stderr);
    collected(&said).ok_or_else(|| format!("valgrind gave no count for {}", plan.display()))
}

/// The count in what valgrind said.
fn collected(said: &str) -> Option<u64> {
    let (_, after) = said.split_once("Collected :")?;
    after.split_whitespace().next()?.parse().ok()
}

fn record_of(text: &str) -> (&str, BTreeMap<String, u64>) {
    let (compiler, rest) = text.split_once('\n').unwrap_or((text, ""));
    let line = |line: &str| {
        let (name, count) = line.split_once(' ')?;
        Some((name.to_owned(), count.parse().ok()?))
    };
    (compiler, rest.lines().filter_map(line).collect())
}

fn verdict(count: u64, known: Option<u64>) -> (String, bool) {
    let Some(known) = known else { return ("not recorded".to_owned(), false) };
    if count * 100 > known * (100 + ROOM) {
        (format!("more than the {known} recorded"), false)
    } else if count * 100 < known * (100 - ROOM) {
        (format!("fewer than the {known} recorded: tighten with --update"), true)
    } else {
        (format!("{known} recorded"), true)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_fails_fewer_says_tighten() {
        assert!(verdict(103, Some(100)).1);
        assert!(!verdict(104, Some(100)).1);
        assert!(verdict(90, Some(100)).0.contains("tighten"));
        assert!(!verdict(1, None).1);
    }

    #[test]
    fn counts_and_records_are_read() {
        assert_eq!(collected("==1== Collected : 25076624\n"), Some(25_076_624));
        assert_eq!(collected("nothing"), None);
        let (compiler, counts) = record_of("rustc 1\n01-a 12\n");
        assert_eq!((compiler, counts.get("01-a")), ("rustc 1", Some(&12)));
    }
}
