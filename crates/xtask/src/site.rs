//! Builds the page: from the sources to plain static files in `dist/`.
//!
//! In: the sources, `Trunk.toml`, `web/index.html`. Out: `dist/`, which any web server can host in
//! any folder. What must hold: if neither the sources nor `dist/` changed since the last build,
//! nothing is built, and no tool is even asked for. It serves nothing.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::places::{dist, root, web_target_dir};
use crate::step::{Outcome, run, step};
use crate::target::WebToolchain;
use crate::{fingerprint, offline, target, tools};

/// Everything the page is made from.
const INPUTS: [&str; 9] = [
    "Cargo.toml",
    "Cargo.lock",
    "Trunk.toml",
    ".cargo/config.toml",
    "crates/core",
    "crates/sheets",
    "crates/editor",
    "web",
    "demo-data",
];

/// Lies among them, but a new size limit does not change the page.
const NO_INPUT: &str = "web/size-limits.txt";

/// Makes sure that `dist/` is the page of the present sources, and gives back its path.
pub(crate) fn ensure_built() -> Outcome<PathBuf> {
    let inputs = inputs_sum()?;
    if is_fresh(&inputs) {
        println!("==> the page in dist/ is up to date");
        return Ok(dist());
    }
    let toolchain = target::ensure()?;
    let bin = tools::ensure()?;
    step("fetch the page's crates", "20 s the first time", || run(&mut fetch()))?;
    step("build the page for release", "4 min the first time, then 1", || {
        run(&mut trunk(toolchain, &bin, &inputs)?)
    })?;
    offline::list_files(&dist(), &inputs)?;
    let note = format!("{inputs} {}", dist_sum()?);
    fs::write(note_file(), note).map_err(|e| format!("{}: {e}", note_file().display()))?;
    Ok(dist())
}

fn is_fresh(inputs: &str) -> bool {
    // `dist/` itself is part of the note: `trunk serve` puts an unoptimised page there.
    let (Ok(note), Ok(made)) = (fs::read_to_string(note_file()), dist_sum()) else { return false };
    dist().join("index.html").is_file() && note == format!("{inputs} {made}")
}

fn inputs_sum() -> Outcome<String> {
    let files = fingerprint::of(&root(), &INPUTS, Some(NO_INPUT))?;
    Ok(fingerprint::of_words(&[&files, tools::TRUNK, tools::BINARYEN]))
}

fn dist_sum() -> Outcome<String> {
    fingerprint::of(&root(), &["dist"], None)
}

fn note_file() -> PathBuf {
    web_target_dir().join("dist.fingerprint")
}

/// Trunk works offline (so that it never fetches tools of its own choice): crates come first.
fn fetch() -> Command {
    let mut cargo = Command::new("cargo");
    cargo.args(["fetch", "--locked"]).current_dir(root());
    cargo
}

fn trunk(toolchain: WebToolchain, bin: &Path, build: &str) -> Outcome<Command> {
    let old_path = env::var_os("PATH").unwrap_or_default();
    let path = env::join_paths([bin.to_owned()].into_iter().chain(env::split_paths(&old_path)))
        .map_err(|e| format!("PATH: {e}"))?;
    let mut trunk = Command::new(bin.join("trunk"));
    trunk.args(["build", "--release"]).current_dir(root());
    trunk.env("PATH", path).env("CARGO_TARGET_DIR", web_target_dir());
    // Names the build: the page and its worker compare it, as a worker's file has no hash in its name.
    trunk.env("BAYLAP_BUILD", build);
    // Trunk reads NO_COLOR=1 as a wrong value of its own option and stops.
    trunk.env("TRUNK_SKIP_VERSION_CHECK", "true").env_remove("NO_COLOR");
    toolchain.dress(&mut trunk);
    Ok(trunk)
}
