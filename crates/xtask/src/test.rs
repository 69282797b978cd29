//! Runs every test there is and closes with one line of counts.
//!
//! In: the sources. Out: what the test runners say, then `N passed, N failed`, their sum. What
//! must hold: the counts are read from the runners' closing lines and from nothing else; a part
//! that failed, or ran nothing, fails the whole, but the parts after it still run. It holds no
//! test of the product.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::counts::{Counts, Runner, closing_counts};
use crate::places::{on_path, root, target_dir};
use crate::step::{Outcome, answer_of, run as run_command, run_and_read, step};
use crate::{debian, python, serve, site, size};

const BROWSERS: [&str; 2] = ["/usr/bin/chromium", "/usr/bin/chromium-browser"];

/// One part of the tests.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    /// The workspace's own tests and its documentation's examples.
    Rust,
    /// Programs in another language that check what `baylap` wrote.
    Judges,
    /// The page in a real browser.
    Browser,
    /// The page's bytes against their limits; no runner, so no counts.
    Size,
}

impl Part {
    pub(crate) const ALL: [Self; 4] = [Self::Rust, Self::Judges, Self::Browser, Self::Size];

    pub(crate) fn named(name: &str) -> Outcome<Self> {
        let found = Self::ALL.into_iter().find(|part| part.name() == name);
        found.ok_or_else(|| format!("--only takes rust, judges, browser or size, not `{name}`"))
    }

    fn name(self) -> &'static str {
        match self {
            Self::Rust => "rust",
            Self::Judges => "judges",
            Self::Browser => "browser",
            Self::Size => "size",
        }
    }

    /// Runs it and adds to `counts` even where it fails.
    fn run(self, counts: &mut Counts) -> Outcome<()> {
        match self {
            Self::Rust => rust(counts),
            Self::Judges => judges(counts),
            Self::Browser => browser(counts),
            Self::Size => size::check(),
        }
    }
}

/// Runs the parts and closes with the sum of their counts.
pub(crate) fn run(parts: &[Part]) -> Outcome<()> {
    let mut sum = Counts::default();
    let mut report = Vec::new();
    let mut good = true;
    for part in parts {
        println!("\n=== {} ===", part.name());
        let mut counts = Counts::default();
        let outcome = part.run(&mut counts);
        good &= outcome.is_ok();
        report.push(report_line(*part, counts, outcome));
        sum.add(counts);
    }
    println!("\n{}\n\n{} passed, {} failed", report.join("\n"), sum.passed, sum.failed);
    if !good {
        // An error's message would come after the counts, which are to be the last line.
        std::process::exit(1);
    }
    Ok(())
}

fn report_line(part: Part, counts: Counts, outcome: Outcome<()>) -> String {
    let Counts { passed, failed, skipped } = counts;
    let numbers = match part {
        Part::Size => String::new(),
        _ => format!("{passed} passed, {failed} failed, {skipped} skipped"),
    };
    match outcome {
        Ok(()) => format!("{:<8} good   {numbers}", part.name()),
        Err(problem) => format!("{:<8} FAILED {numbers} ({problem})", part.name()),
    }
}

fn rust(counts: &mut Counts) -> Outcome<()> {
    let mut cargo = Command::new("cargo");
    cargo.current_dir(root());
    let tests = if answer_of(Command::new("cargo").args(["nextest", "--version"])).is_some() {
        cargo.args(["nextest", "run", "--locked", "--no-fail-fast"]);
        run_tests(Runner::Nextest, &mut cargo, counts)
    } else {
        cargo.args(["test", "--locked", "--no-fail-fast", "--lib", "--bins", "--tests"]);
        run_tests(Runner::Cargo, &mut cargo, counts)
    };
    let ran = if counts.any_ran() { Ok(()) } else { Err("no test ran".to_owned()) };
    // nextest leaves the examples in the documentation out.
    let mut examples = Command::new("cargo");
    examples.args(["test", "--locked", "--no-fail-fast", "--doc"]).current_dir(root());
    let examples = run_tests(Runner::Cargo, &mut examples, counts);
    tests.and(examples).and(ran)
}

fn judges(counts: &mut Counts) -> Outcome<()> {
    let Some(dir) = python_tests("judge") else { return Ok(()) };
    let program = release_baylap()?;
    let mut pytest = pytest(&dir)?;
    pytest.env("BAYLAP_BIN", program);
    run_tests(Runner::Pytest, &mut pytest, counts)
}

fn browser(counts: &mut Counts) -> Outcome<()> {
    let Some(dir) = python_tests("browser") else { return Ok(()) };
    let page = site::ensure_built()?;
    let chromium = ensure_chromium()?;
    let mut pytest = pytest(&dir)?;
    pytest.env("BAYLAP_DIST", &page);
    pytest.env("BAYLAP_URL", serve::serve_aside(page)?).env("BAYLAP_CHROMIUM", chromium);
    run_tests(Runner::Pytest, &mut pytest, counts)
}

fn run_tests(runner: Runner, command: &mut Command, counts: &mut Counts) -> Outcome<()> {
    let (succeeded, lines) = run_and_read(command)?;
    let found = closing_counts(runner, &lines);
    counts.add(found);
    // No examples in the documentation is no fault; a pytest run without a test is.
    if runner == Runner::Pytest && !found.any_ran() {
        return Err("no test ran".to_owned());
    }
    if succeeded && found.failed == 0 { Ok(()) } else { Err("the test runner says so above".to_owned()) }
}

/// `tests/<name>` if it holds a test.
fn python_tests(name: &str) -> Option<PathBuf> {
    let dir = Path::new("tests").join(name);
    let entries = fs::read_dir(root().join(&dir)).ok().into_iter().flatten().flatten();
    let mut names = entries.map(|entry| entry.file_name().to_string_lossy().into_owned());
    if names.any(|file| file.starts_with("test_") && file.ends_with(".py")) {
        return Some(dir);
    }
    println!("    skipped: there is no test in {}", dir.display());
    None
}

fn pytest(dir: &Path) -> Outcome<Command> {
    let mut pytest = Command::new(python::ensure()?);
    // Its cache would lie about in the sources, and its plug-ins may come from the machine.
    pytest.args(["-m", "pytest", "-p", "no:cacheprovider", "--color=no"]).arg(dir);
    pytest.current_dir(root()).env("PYTHONDONTWRITEBYTECODE", "1").env_remove("PYTEST_ADDOPTS");
    Ok(pytest)
}

/// The command-line program as users get it: the judges run it on hundreds of outlines.
fn release_baylap() -> Outcome<PathBuf> {
    let mut cargo = Command::new("cargo");
    cargo.args(["build", "--release", "--locked", "--package", "baylap"]).current_dir(root());
    step("build baylap for release", "1 min the first time", || run_command(&mut cargo))?;
    Ok(target_dir().join("release/baylap"))
}

/// A Chromium, installed if there is none.
pub(crate) fn ensure_chromium() -> Outcome<PathBuf> {
    let find = || {
        let named = BROWSERS.into_iter().map(PathBuf::from).chain(on_path("chromium"));
        named.into_iter().find(|file| file.is_file())
    };
    if find().is_none() {
        step("install Chromium for the browser tests", "30 s", || debian::install(&["chromium"]))
            .map_err(|e| format!("there is no Chromium; this would install it, {e}"))?;
    }
    find().ok_or_else(|| "Chromium was installed but is not in /usr/bin".to_owned())
}

/// Has the schema test write what it otherwise compares.
pub(crate) fn write_schemas() -> Outcome<()> {
    let mut cargo = Command::new("cargo");
    cargo.args(["test", "--package", "baylap-tests", "schema"]).env("UPDATE_SCHEMA", "1");
    run_command(cargo.current_dir(root()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_found_by_name() {
        assert_eq!(Part::named("browser"), Ok(Part::Browser));
        assert!(Part::named("brwser").is_err());
    }

    #[test]
    fn a_runner_that_fails_or_runs_nothing_is_a_failure() {
        let mut counts = Counts::default();
        let shell = |script: &str| {
            let mut sh = Command::new("sh");
            sh.args(["-c", script]);
            sh
        };
        let mut says_failed = shell("echo '== 1 failed, 2 passed in 0.1s =='");
        assert!(run_tests(Runner::Pytest, &mut says_failed, &mut counts).is_err());
        assert_eq!((counts.passed, counts.failed), (2, 1));
        assert!(run_tests(Runner::Pytest, &mut shell("true"), &mut counts).is_err());
        assert!(run_tests(Runner::Cargo, &mut shell("exit 1"), &mut counts).is_err());
        let mut good = shell("echo 'test result: ok. 3 passed; 0 failed'");
        assert!(run_tests(Runner::Cargo, &mut good, &mut counts).is_ok());
    }
}
