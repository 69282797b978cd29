//! A Rust compiler that can build for WebAssembly, whatever this machine can reach.
//!
//! In: the machine as it is. Out: the environment under which cargo and Trunk build for the
//! browser. What must hold: the ordinary way (rustup's own target) is tried first; a compiler
//! counts only after it really compiled a crate that uses `std`; nothing is pinned in a
//! `rust-toolchain.toml`, as rustup would try to fetch it at every call. It builds no page.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::debian;
use crate::places::target_dir;
use crate::step::{Outcome, answer_of, run, step};

/// The target's name, as rustc spells it.
pub(crate) const WASM: &str = "wasm32-unknown-unknown";
/// Debian's compiler for its browsers: newer than Debian's ordinary one, with matching sources.
const DEBIAN_RUSTC: &str = "/usr/bin/rustc";
const DEBIAN_STD: &str = "/usr/lib/rustlib/wasm32-unknown-unknown/lib";
const DEBIAN_SOURCE: &str = "/usr/lib/rustlib/src/rust/library/std/Cargo.toml";
const DEBIAN_LINKER: &str = "/usr/bin/wasm-ld-19";
/// Set to `rustup` or `debian` to have that one and no other (to try the second way on a machine
/// where the first works).
const CHOICE: &str = "BAYLAP_WEB_TOOLCHAIN";

/// Which compiler builds the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum WebToolchain {
    /// The one that also builds everything else.
    Rustup,
    /// Debian's `rustc-web` with a standard library compiled here.
    Debian,
}

impl WebToolchain {
    /// Makes `command` (cargo, trunk) build with this compiler.
    pub(crate) fn dress(self, command: &mut Command) {
        // `cargo run` points this at the first toolchain's libraries; the other must not see them.
        command.env_remove("LD_LIBRARY_PATH");
        if self == Self::Debian {
            command.env("RUSTC", DEBIAN_RUSTC);
            command.env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER", DEBIAN_LINKER);
        }
    }

    fn rustc(self) -> Command {
        let mut command = Command::new(if self == Self::Debian { DEBIAN_RUSTC } else { "rustc" });
        command.env_remove("LD_LIBRARY_PATH");
        command
    }
}

/// Finds such a compiler, or installs one.
pub(crate) fn ensure() -> Outcome<WebToolchain> {
    let choice = std::env::var(CHOICE).unwrap_or_default();
    let may_use = |name: &str| choice.is_empty() || choice == name;
    if may_use("rustup") && (works(WebToolchain::Rustup) || add_to_rustup()) {
        return Ok(WebToolchain::Rustup);
    }
    if may_use("debian") {
        if !works(WebToolchain::Debian) {
            install_debian()?;
        }
        return Ok(WebToolchain::Debian);
    }
    Err(format!("no compiler for {WASM}; this would install it: rustup target add {WASM}"))
}

/// Whether it compiles a crate with `std` for the browser: a present library may be another
/// compiler's, so only trying tells.
fn works(toolchain: WebToolchain) -> bool {
    let dir = target_dir().join("web-probe");
    let source = dir.join("probe.rs");
    let written = fs::create_dir_all(&dir).is_ok()
        && fs::write(&source, "pub fn probe() -> Vec<u8> { Vec::new() }\n").is_ok();
    let mut rustc = toolchain.rustc();
    rustc.args(["--target", WASM, "--crate-type", "lib", "--emit", "metadata", "--out-dir"]);
    written
        && (toolchain == WebToolchain::Rustup || Path::new(DEBIAN_LINKER).exists())
        && answer_of(rustc.arg(&dir).arg(&source)).is_some()
}

fn add_to_rustup() -> bool {
    let add = || {
        // Where the toolchain host is not reachable this fails at once; where it only seems to be,
        // three minutes are enough to know.
        run(Command::new("timeout").args(["180", "rustup", "target", "add", WASM]).env("RUST_BACKTRACE", "0"))
    };
    let added = step(&format!("add the {WASM} target with rustup"), "10 s", add);
    if added.is_err() {
        println!("    rustup could not fetch it; trying Debian's compiler instead");
    }
    added.is_ok() && works(WebToolchain::Rustup)
}

fn install_debian() -> Outcome<()> {
    let needed = [DEBIAN_RUSTC, DEBIAN_SOURCE, DEBIAN_LINKER];
    if needed.iter().any(|file| !Path::new(file).exists()) {
        step("install Debian's Rust compiler and linker for the browser", "1 min", || {
            debian::install(&["rustc-web", "rust-web-src", "lld-19"])
        })
        .map_err(|e| format!("no compiler for the browser. Either of these would install it:\n  rustup target add {WASM}\n  {e}"))?;
    }
    step("compile the standard library for WebAssembly", "40 s", || install_std(&compile_std()?))?;
    if works(WebToolchain::Debian) {
        Ok(())
    } else {
        Err(format!(
            "{DEBIAN_RUSTC} still cannot compile for {WASM}; this would do instead: rustup target add {WASM}"
        ))
    }
}

/// Compiles the standard library as a dependency of an empty crate and gives back its files.
fn compile_std() -> Outcome<Vec<PathBuf>> {
    let dir = target_dir().join("web-std");
    let manifest = "[package]\nname = \"empty\"\nversion = \"0.0.0\"\nedition = \"2024\"\n[workspace]\n";
    fs::create_dir_all(dir.join("src")).map_err(|e| format!("{}: {e}", dir.display()))?;
    fs::write(dir.join("Cargo.toml"), manifest).map_err(|e| e.to_string())?;
    fs::write(dir.join("src/lib.rs"), "#![no_std]\n").map_err(|e| e.to_string())?;
    let mut cargo = Command::new("cargo");
    cargo.args(["build", "--release", "-Zbuild-std=std,panic_abort", "--target", WASM]);
    cargo.arg("-Zbuild-std-features=optimize_for_size").current_dir(&dir);
    WebToolchain::Debian.dress(&mut cargo);
    // The stable compiler takes `-Z` only under this variable; bitcode is what a later link-time
    // optimisation reads, and cargo leaves it out by default.
    cargo.env("RUSTC_BOOTSTRAP", "1").env("RUSTFLAGS", "-C embed-bitcode=yes");
    cargo.env("CARGO_TARGET_DIR", dir.join("target"));
    run(&mut cargo)?;
    libraries(&dir.join("target").join(WASM).join("release/deps"))
}

fn libraries(dir: &Path) -> Outcome<Vec<PathBuf>> {
    let entries = fs::read_dir(dir).map_err(|e| format!("{}: {e}", dir.display()))?;
    let is_std = |path: &PathBuf| {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        name.ends_with(".rlib") && !name.starts_with("libempty-")
    };
    Ok(entries.flatten().map(|entry| entry.path()).filter(is_std).collect())
}

fn install_std(libraries: &[PathBuf]) -> Outcome<()> {
    run(debian::as_root("mkdir").args(["-p", DEBIAN_STD]))?;
    // Two copies of `core` side by side are refused by rustc: an older compiler's go first.
    run(debian::as_root("find").args([DEBIAN_STD, "-name", "*.rlib", "-delete"]))?;
    run(debian::as_root("cp").args(libraries).arg(DEBIAN_STD))
}
