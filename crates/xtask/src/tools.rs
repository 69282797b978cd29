//! The programs that turn the page's crate into a page: Trunk, wasm-bindgen and wasm-opt.
//!
//! In: the lock file and the machine. Out: a directory that holds exactly these programs at the
//! right versions, to be put first on PATH. What must hold: a right version that is already here
//! is used; nobody's own programs are replaced, as each install goes to its own directory of the
//! cache; every program that could not be installed is named at once, each with its command.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::debian;
use crate::places::{cargo_bin, on_path, root, target_dir, tool_cache};
use crate::step::{Outcome, answer_of, line_of, run, step};

/// Trunk 0.22 wants a newer compiler than this workspace does.
pub(crate) const TRUNK: &str = "0.21.14";
/// The npm release of wasm-opt.
pub(crate) const BINARYEN: &str = "132";
/// Older ones (Debian's 108) do not know what today's rustc emits.
const OLDEST_BINARYEN: u32 = 120;

/// A directory with links to the three programs.
pub(crate) fn ensure() -> Outcome<PathBuf> {
    let found = [
        ("trunk", ensure_trunk()),
        ("wasm-bindgen", locked_wasm_bindgen().and_then(|version| ensure_wasm_bindgen(&version))),
        ("wasm-opt", ensure_wasm_opt()),
    ];
    let missing: Vec<String> =
        found.iter().filter_map(|(name, tool)| Some(format!("  {name}: {}", tool.as_ref().err()?))).collect();
    if !missing.is_empty() {
        return Err(format!(
            "these could not be installed; each line tells what would:\n{}",
            missing.join("\n")
        ));
    }
    // Links in a directory of their own: a directory of PATH may hold the right Trunk beside the
    // wrong wasm-bindgen, and Trunk takes what PATH gives.
    let bin = target_dir().join("tools");
    fs::create_dir_all(&bin).map_err(|e| format!("{}: {e}", bin.display()))?;
    for (name, tool) in found {
        link(&tool?, &bin.join(name))?;
    }
    Ok(bin)
}

fn link(program: &Path, name: &Path) -> Outcome<()> {
    if fs::read_link(name).is_ok_and(|already| already == program) {
        return Ok(());
    }
    fs::remove_file(name).ok();
    std::os::unix::fs::symlink(program, name).map_err(|e| format!("{}: {e}", name.display()))
}

fn ensure_trunk() -> Outcome<PathBuf> {
    let wanted = format!("trunk {TRUNK}");
    let spec = Crate { name: "trunk", program: "trunk", version: TRUNK, locked: true };
    find("trunk", &spec.dir().join("bin"), |said| said == wanted)
        .map_or_else(|| step(&format!("compile {wanted}"), "3 to 6 min", || spec.install()), Ok)
}

fn ensure_wasm_bindgen(version: &str) -> Outcome<PathBuf> {
    let wanted = format!("wasm-bindgen {version}");
    // Its own lock file names a version that the registry no longer has, hence not `--locked`.
    let spec = Crate { name: "wasm-bindgen-cli", program: "wasm-bindgen", version, locked: false };
    find("wasm-bindgen", &spec.dir().join("bin"), |said| said == wanted)
        .map_or_else(|| step(&format!("compile {wanted}"), "1 to 2 min", || spec.install()), Ok)
}

fn ensure_wasm_opt() -> Outcome<PathBuf> {
    let home = tool_cache().join(format!("binaryen-{BINARYEN}"));
    let bin = home.join("node_modules/.bin");
    if let Some(program) = find("wasm-opt", &bin, |said| binaryen_version(said) >= OLDEST_BINARYEN) {
        return Ok(program);
    }
    if on_path("npm").is_empty() {
        step("install npm, which brings wasm-opt", "1 min", || debian::install(&["npm"]))?;
    }
    let mut npm = Command::new("npm");
    npm.args(["install", "--no-audit", "--no-fund", "--ignore-scripts", "--prefix"]).arg(&home);
    npm.arg(format!("binaryen@{BINARYEN}"));
    step("install wasm-opt", "10 s", || run(&mut npm)).map_err(|_| line_of(&npm))?;
    Ok(bin.join("wasm-opt"))
}

/// The number in "wasm-opt version 132 (version_132)", or 0.
fn binaryen_version(said: &str) -> u32 {
    said.split_whitespace().nth(2).and_then(|number| number.parse().ok()).unwrap_or(0)
}

/// The version in the lock file: the generated glue works with that one only.
fn locked_wasm_bindgen() -> Outcome<String> {
    let lock = fs::read_to_string(root().join("Cargo.lock")).map_err(|e| format!("Cargo.lock: {e}"))?;
    version_in_lock(&lock, "wasm-bindgen")
        .ok_or_else(|| "wasm-bindgen is not in Cargo.lock: cargo generate-lockfile".to_owned())
}

fn version_in_lock(lock: &str, name: &str) -> Option<String> {
    let wanted = format!("name = \"{name}\"");
    let mut lines = lock.lines().skip_while(|line| *line != wanted).skip(1);
    let version = lines.next()?.strip_prefix("version = \"")?.strip_suffix('"')?;
    Some(version.to_owned())
}

/// The first program of that name whose `--version` line is right.
fn find(name: &str, cache: &Path, is_right: impl Fn(&str) -> bool) -> Option<PathBuf> {
    let mut places = vec![cache.join(name)];
    places.extend(on_path(name));
    places.extend(cargo_bin().map(|dir| dir.join(name)));
    places.into_iter().filter(|file| file.is_file()).find(|file| {
        let said = answer_of(Command::new(file).arg("--version"));
        said.is_some_and(|text| is_right(text.trim()))
    })
}

/// A program that comes as a crate.
struct Crate<'a> {
    name: &'a str,
    program: &'a str,
    version: &'a str,
    locked: bool,
}

impl Crate<'_> {
    fn dir(&self) -> PathBuf {
        tool_cache().join(format!("{}-{}", self.name, self.version))
    }

    fn install(&self) -> Outcome<PathBuf> {
        // A ready-made program, where this machine can fetch one, saves the minutes.
        if on_path("cargo-binstall").is_empty() || run(&mut self.fetching()).is_err() {
            let mut compiling = self.compiling();
            run(&mut compiling).map_err(|_| line_of(&compiling))?;
        }
        Ok(self.dir().join("bin").join(self.program))
    }

    fn fetching(&self) -> Command {
        let mut cargo = Command::new("cargo");
        cargo.args(["binstall", "--no-confirm", "--disable-strategies", "compile", "--root"]);
        cargo.arg(self.dir()).arg(format!("{}@{}", self.name, self.version));
        cargo
    }

    fn compiling(&self) -> Command {
        let mut cargo = Command::new("cargo");
        // Unoptimised: these programs run for a second and take three times as long to optimise.
        cargo.args(["install", self.name, "--version", self.version, "--debug", "--root"]).arg(self.dir());
        if self.locked {
            cargo.arg("--locked");
        }
        cargo.env("CARGO_PROFILE_DEV_DEBUG", "0");
        // One build directory for both programs: half of what they stand on is the same.
        cargo.env("CARGO_TARGET_DIR", target_dir().join("tools-build"));
        cargo
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lock_file_gives_the_version_of_the_very_crate() {
        let lock = "[[package]]\nname = \"wasm-bindgen-futures\"\nversion = \"0.4.9\"\n\n[[package]]\nname = \"wasm-bindgen\"\nversion = \"0.2.130\"\n";
        assert_eq!(version_in_lock(lock, "wasm-bindgen").as_deref(), Some("0.2.130"));
        assert_eq!(version_in_lock(lock, "wasm"), None);
    }

    #[test]
    fn binaryen_says_its_version_in_the_third_word() {
        assert_eq!(binaryen_version("wasm-opt version 132 (version_132)"), 132);
        assert_eq!(binaryen_version("wasm-opt: not found"), 0);
    }
}
