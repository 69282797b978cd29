//! Times the engine, natively and in the browser's worker, beside GEOS cutting the same strips.
//!
//! In: the sources. Out: a table of times and ratios from `tests/bench/run.py`. What must hold: all
//! times of a table are of one run on one machine, of release builds; no time fails the chore, so
//! that a busy machine never stops anybody's work. It keeps no record of earlier runs.

use std::path::PathBuf;
use std::process::Command;

use crate::places::{root, target_dir};
use crate::step::{Outcome, run as run_command, step};
use crate::{python, serve, site, test};

/// Builds what is timed and prints the table; without the browser's rows if `native_only`.
pub(crate) fn run(native_only: bool) -> Outcome<()> {
    let (timed, falls) = (example("timed")?, example("timed_falls")?);
    let (order, ways) = (example("timed_order")?, example("timed_ways")?);
    let mut bench = Command::new(python::ensure()?);
    bench.arg("tests/bench/run.py").current_dir(root());
    bench.env("BAYLAP_TIMED", timed).env("BAYLAP_TIMED_FALLS", falls);
    bench.env("BAYLAP_TIMED_ORDER", order).env("BAYLAP_TIMED_WAYS", ways);
    bench.env("PYTHONDONTWRITEBYTECODE", "1").env_remove("BAYLAP_URL");
    if !native_only {
        let page = site::ensure_built()?;
        bench.env("BAYLAP_CHROMIUM", test::ensure_chromium()?);
        bench.env("BAYLAP_URL", serve::serve_aside(page)?);
    }
    step("time the engine and GEOS", "1 min", || run_command(&mut bench))
}

/// Builds an example that times the engine.
pub(crate) fn example(name: &str) -> Outcome<PathBuf> {
    let mut cargo = Command::new("cargo");
    cargo.args(["build", "--release", "--locked", "--package", "baylap-core", "--example", name]);
    step("build the engine for release", "1 min the first time", || run_command(cargo.current_dir(root())))?;
    Ok(target_dir().join("release/examples").join(name))
}
