//! Where things lie: the repository, the build directory, the page, the cache of tools.
//!
//! In: the environment that cargo gives. Out: paths. What must hold: nothing here creates a file,
//! and the cache is outside the repository, so that a clean build does not compile tools again.

use std::env;
use std::path::{Path, PathBuf};

/// The top of the repository.
pub(crate) fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.ancestors().nth(2).unwrap_or(here).to_owned()
}

/// Cargo's build directory.
pub(crate) fn target_dir() -> PathBuf {
    match env::var_os("CARGO_TARGET_DIR") {
        Some(dir) => root().join(dir),
        None => root().join("target"),
    }
}

/// The build directory of the page: its own, so that a web build and a native one never wait for
/// each other's lock.
pub(crate) fn web_target_dir() -> PathBuf {
    target_dir().join("web")
}

/// The built page.
pub(crate) fn dist() -> PathBuf {
    root().join("dist")
}

/// Where compiled tools are kept for every copy of the repository, by name and version.
pub(crate) fn tool_cache() -> PathBuf {
    let base = env::var_os("XDG_CACHE_HOME").map(PathBuf::from).filter(|p| p.is_absolute());
    let base = base.or_else(|| env::var_os("HOME").map(|home| PathBuf::from(home).join(".cache")));
    base.unwrap_or_else(target_dir).join("baylap")
}

/// Where `cargo install` puts programs by itself.
pub(crate) fn cargo_bin() -> Option<PathBuf> {
    let home = env::var_os("CARGO_HOME").map(PathBuf::from);
    let home = home.or_else(|| env::var_os("HOME").map(|home| PathBuf::from(home).join(".cargo")));
    home.map(|home| home.join("bin"))
}

/// Every file of that name that a shell would find, in its order.
pub(crate) fn on_path(name: &str) -> Vec<PathBuf> {
    let path = env::var_os("PATH").unwrap_or_default();
    env::split_paths(&path).map(|dir| dir.join(name)).filter(|file| file.is_file()).collect()
}
