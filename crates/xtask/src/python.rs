//! A Python environment of the project's own, with exactly the pinned packages.
//!
//! In: `tests/requirements*.txt`, every package pinned with its hashes. Out: a Python interpreter
//! under the build directory that has them. What must hold: the machine's own Python is never
//! changed, nothing without a hash is installed, and an environment that fits is left as it is.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use crate::debian;
use crate::fingerprint;
use crate::places::{on_path, root, target_dir};
use crate::step::{Outcome, answer_of, run, step};

/// Packages wanted for the data they carry, not for their code: what they depend on is left out.
const DATA_LIST: &str = "requirements-data.txt";

/// The interpreter, after making what is missing.
pub(crate) fn ensure() -> Outcome<PathBuf> {
    let home = target_dir().join("venv");
    let python = home.join("bin/python");
    let note = home.join("requirements.fingerprint");
    let wanted = wanted_sum()?;
    if python.exists() && fs::read_to_string(&note).is_ok_and(|have| have == wanted) {
        return Ok(python);
    }
    step("make a Python environment with the pinned packages", "30 s", || {
        make(&home)?;
        lists()?.iter().try_for_each(|list| run(&mut pip_install(&python, list)))
    })?;
    fs::write(&note, wanted).map_err(|e| format!("{}: {e}", note.display()))?;
    Ok(python)
}

fn make(home: &PathBuf) -> Outcome<()> {
    // Always anew: what an older list had installed must not stay behind.
    fs::remove_dir_all(home).ok();
    let venv = || run(Command::new("python3").args(["-m", "venv"]).arg(home));
    if on_path("python3").is_empty() || venv().is_err() {
        // Debian ships Python without the part that makes environments.
        debian::install(&["python3", "python3-venv"])
            .map_err(|e| format!("Python cannot make an environment; this would let it, {e}"))?;
        venv()?;
    }
    Ok(())
}

fn pip_install(python: &PathBuf, list: &str) -> Command {
    let mut pip = Command::new(python);
    pip.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-input"]);
    // The data list leaves out what its packages would need as programs: pip must not call that an error.
    pip.arg("--no-warn-conflicts");
    pip.args(["--require-hashes", "--only-binary=:all:", "-r", list]).current_dir(root());
    if list.ends_with(DATA_LIST) {
        pip.arg("--no-deps");
    }
    pip
}

/// `tests/requirements*.txt`, by name.
fn lists() -> Outcome<Vec<String>> {
    let entries = fs::read_dir(root().join("tests")).map_err(|e| format!("tests: {e}"))?;
    let names = entries.flatten().map(|entry| entry.file_name().to_string_lossy().into_owned());
    let mut lists: Vec<String> = names
        .filter(|name| name.starts_with("requirements") && name.ends_with(".txt"))
        .map(|name| format!("tests/{name}"))
        .collect();
    lists.sort();
    Ok(lists)
}

fn wanted_sum() -> Outcome<String> {
    let lists = lists()?;
    let names: Vec<&str> = lists.iter().map(String::as_str).collect();
    let version = answer_of(Command::new("python3").arg("--version")).unwrap_or_default();
    Ok(fingerprint::of_words(&[&fingerprint::of(&root(), &names, None)?, &version]))
}
