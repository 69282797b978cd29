//! Type-checks or lints the page's crate for WebAssembly, without building the page.
//!
//! In: the sources. Out: the compiler's findings. What must hold: it needs no Trunk and no
//! wasm-bindgen, and shares its build directory with neither the native build nor Trunk's profile.

use std::path::Path;
use std::process::Command;

use crate::debian;
use crate::places::{root, web_target_dir};
use crate::step::{Outcome, run, step};
use crate::target::{self, WASM, WebToolchain};

const DEBIAN_CLIPPY: &str = "/usr/bin/cargo-clippy";

/// `cargo check` of the page's crate.
pub(crate) fn check() -> Outcome<()> {
    let toolchain = target::ensure()?;
    step("type-check the page for WebAssembly", "2 min the first time, then seconds", || {
        run(&mut cargo(toolchain, "check"))
    })
}

/// `cargo clippy` of the page's crate, warnings as errors.
pub(crate) fn clippy() -> Outcome<()> {
    let toolchain = target::ensure()?;
    if toolchain == WebToolchain::Debian {
        ensure_debian_clippy()?;
    }
    step("lint the page for WebAssembly", "2 min the first time, then seconds", || {
        // The crates below are linted as native ones; Debian's clippy may be newer than that one, and
        // two sets of lints on the same code is one too many.
        run(cargo(toolchain, "clippy").args(["--no-deps", "--", "-D", "warnings"]))
    })
}

fn cargo(toolchain: WebToolchain, verb: &str) -> Command {
    // rustup's `cargo clippy` starts its own compiler's clippy, which cannot read the libraries of
    // Debian's compiler: there Debian's own is called in its place.
    let debian_clippy = verb == "clippy" && toolchain == WebToolchain::Debian;
    let mut command = Command::new(if debian_clippy { DEBIAN_CLIPPY } else { "cargo" });
    command.args([verb, "--package", "baylap-web", "--target", WASM, "--locked"]);
    command.current_dir(root()).env("CARGO_TARGET_DIR", web_target_dir());
    toolchain.dress(&mut command);
    command
}

fn ensure_debian_clippy() -> Outcome<()> {
    if Path::new(DEBIAN_CLIPPY).exists() {
        return Ok(());
    }
    step("install Debian's clippy", "20 s", || debian::install(&["rust-web-clippy"]))
        .map_err(|e| format!("clippy for {WASM} is missing; {e}"))
}
