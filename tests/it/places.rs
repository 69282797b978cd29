//! Where the tests find the project's files, and the demo plans by name.
//!
//! In: nothing. Out: paths and texts. A file that should be there and is not fails the test that wants it.

use baylap_core::plan::{Plan, file};
use std::fs;
use std::path::{Path, PathBuf};

/// The top of the project.
pub(crate) fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_owned()
}

/// The demo plans, in order: file name and text.
pub(crate) fn demos() -> Vec<(String, String)> {
    texts(&top().join("demo-data"))
        .into_iter()
        .filter(|(name, _)| name.starts_with(char::is_numeric))
        .collect()
}

/// The files of `demo-data/bad`: file name and text.
pub(crate) fn bad_files() -> Vec<(String, String)> {
    texts(&top().join("demo-data/bad"))
}

/// The plan in a text that is known to be sound.
#[track_caller]
pub(crate) fn plan_of(name: &str, text: &str) -> Plan {
    file::read(text.as_bytes()).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// Compares a file with what it should be; with `setting` in the environment, writes it instead.
#[track_caller]
pub(crate) fn same_or_rewrite(path: &Path, expect: &str, setting: &str) {
    let found = fs::read_to_string(path).unwrap_or_default();
    if found != expect && std::env::var_os(setting).is_some() {
        return fs::write(path, expect).unwrap();
    }
    assert!(found == expect, "{} is out of date: run the tests with {setting}=1", path.display());
}

fn texts(folder: &Path) -> Vec<(String, String)> {
    let mut paths: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    paths.retain(|p| p.is_file());
    paths.sort();
    paths
        .iter()
        .map(|p| (p.file_name().unwrap().to_string_lossy().into_owned(), fs::read_to_string(p).unwrap()))
        .collect()
}
