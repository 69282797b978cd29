//! A number that changes when any of a set of files changes.
//!
//! In: paths of files and directories. Out: 16 hexadecimal digits over their names and contents.
//! What must hold: the same files give the same digits on every machine and at every run, so
//! names are sorted and file times are left out. It protects from staleness, not from malice.

use std::fs;
use std::path::{Path, PathBuf};

use crate::step::Outcome;

/// The fingerprint of the files below `top` named by `parts`, without the file named by `except`;
/// a missing part counts as empty.
pub(crate) fn of(top: &Path, parts: &[&str], except: Option<&str>) -> Outcome<String> {
    let mut files = Vec::new();
    for part in parts {
        collect(&top.join(part), &mut files)?;
    }
    files.retain(|file| except.is_none_or(|name| *file != top.join(name)));
    files.sort();
    let mut sum = Fnv::new();
    for file in files {
        let name = file.strip_prefix(top).unwrap_or(&file).to_string_lossy().into_owned();
        let bytes = fs::read(&file).map_err(|e| format!("{}: {e}", file.display()))?;
        sum.field(name.as_bytes());
        sum.field(&bytes);
    }
    Ok(sum.digits())
}

/// The fingerprint of some words, in their order.
pub(crate) fn of_words(words: &[&str]) -> String {
    let mut sum = Fnv::new();
    words.iter().for_each(|word| sum.field(word.as_bytes()));
    sum.digits()
}

fn collect(path: &Path, files: &mut Vec<PathBuf>) -> Outcome<()> {
    if path.is_file() {
        files.push(path.to_owned());
    } else if path.is_dir() {
        for entry in fs::read_dir(path).map_err(|e| format!("{}: {e}", path.display()))?.flatten() {
            collect(&entry.path(), files)?;
        }
    }
    Ok(())
}

/// The 64-bit FNV-1a sum: written out because the standard hashers may change between compilers.
struct Fnv(u64);

impl Fnv {
    fn new() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }

    /// Adds bytes and their number, so that "ab" + "c" differs from "a" + "bc".
    fn field(&mut self, bytes: &[u8]) {
        self.add(&(bytes.len() as u64).to_le_bytes());
        self.add(bytes);
    }

    fn add(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }

    fn digits(&self) -> String {
        format!("{:016x}", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_told_apart_by_their_bounds() {
        assert_ne!(of_words(&["ab", "c"]), of_words(&["a", "bc"]));
        assert_eq!(of_words(&["ab", "c"]), of_words(&["ab", "c"]));
    }

    #[test]
    fn a_changed_file_changes_the_sum_and_a_missing_one_is_no_error() {
        let dir = std::env::temp_dir().join(format!("fingerprint-{}", std::process::id()));
        fs::create_dir_all(&dir).expect("a directory");
        fs::write(dir.join("a"), "1").expect("a file");
        let before = of(&dir, &["a", "b", "none"], Some("b")).expect("readable");
        fs::write(dir.join("b"), "not looked at").expect("a file");
        assert_eq!(of(&dir, &["a", "b"], Some("b")).as_ref(), Ok(&before));
        fs::write(dir.join("a"), "2").expect("a file");
        let after = of(&dir, &["a", "b", "none"], Some("b")).expect("readable");
        fs::remove_dir_all(&dir).ok();
        assert_ne!(before, after);
    }
}
