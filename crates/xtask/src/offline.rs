//! Tells the page's service worker which files it is to keep on the device.
//!
//! In: the built page and the name of the build. Out: `offline.js` in it, with that name and the sum of every other file.
//! What must hold: a file that is not in the list is not there without a signal, so the list leaves none out; the same
//! page gives the same list. It decides nothing about when files are fetched: `web/offline.js` does.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::step::{Outcome, answer_of};

/// The program that keeps the page, in the built page.
const PROGRAM: &str = "offline.js";
/// The lines of it that the build fills in.
const EMPTY: [&str; 2] = ["const BUILD = \"\";\n", "const FILES = {};\n"];

/// Writes the name of the build and the list of its files into the program that keeps them.
pub(crate) fn list_files(dist: &Path, build: &str) -> Outcome<()> {
    let program = dist.join(PROGRAM);
    let text = fs::read_to_string(&program).map_err(|e| format!("{}: {e}", program.display()))?;
    let mut files = Vec::new();
    collect(dist, &mut files)?;
    files.retain(|file| *file != program);
    files.sort();
    let named = files.iter().map(|file| {
        let name = file.strip_prefix(dist).unwrap_or(file).to_string_lossy().into_owned();
        Ok((name, sum_of(file)?))
    });
    let text = filled(&text, build, &named.collect::<Outcome<Vec<_>>>()?)?;
    fs::write(&program, text).map_err(|e| format!("{}: {e}", program.display()))
}

fn filled(text: &str, build: &str, files: &[(String, String)]) -> Outcome<String> {
    if EMPTY.iter().any(|line| text.matches(line).count() != 1) {
        return Err(format!("{PROGRAM} has no place for the list of files"));
    }
    let lines: String = files.iter().map(|(name, sum)| format!("  {name:?}: \"{sum}\",\n")).collect();
    let text = text.replace(EMPTY[0], &format!("const BUILD = {build:?};\n"));
    Ok(text.replace(EMPTY[1], &format!("const FILES = {{\n{lines}}};\n")))
}

/// SHA-256, as that is what browsers reckon.
fn sum_of(file: &Path) -> Outcome<String> {
    let said = answer_of(Command::new("sha256sum").arg("--").arg(file));
    let sum = said.as_deref().and_then(|text| text.split_whitespace().next()).map(str::to_owned);
    sum.filter(|sum| sum.len() == 64).ok_or_else(|| format!("sha256sum does not read {}", file.display()))
}

fn collect(dir: &Path, files: &mut Vec<PathBuf>) -> Outcome<()> {
    for entry in fs::read_dir(dir).map_err(|e| format!("{}: {e}", dir.display()))?.flatten() {
        let path = entry.path();
        if path.is_dir() {
            collect(&path, files)?;
        } else {
            files.push(path);
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_but_the_program_itself_is_listed_with_its_sum() {
        let dir = std::env::temp_dir().join(format!("offline-{}", std::process::id()));
        fs::create_dir_all(dir.join("sub")).expect("a directory");
        fs::write(dir.join("index.html"), "").expect("a file");
        fs::write(dir.join("sub/a b.json"), "abc").expect("a file");
        fs::write(dir.join(PROGRAM), format!("before\n{}{}after\n", EMPTY[0], EMPTY[1])).expect("a file");
        list_files(&dir, "0123").expect("a list");
        let text = fs::read_to_string(dir.join(PROGRAM)).expect("the program");
        let again = list_files(&dir, "0123");
        fs::remove_dir_all(&dir).ok();
        // The sums of nothing and of "abc" are published (FIPS 180-2, appendix B.1).
        let wanted = "before\nconst BUILD = \"0123\";\nconst FILES = {\n  \
             \"index.html\": \"e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855\",\n  \
             \"sub/a b.json\": \"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad\",\n};\nafter\n";
        assert_eq!(text, wanted);
        assert!(again.is_err(), "a program without the place is refused");
    }

    #[test]
    fn the_program_has_the_place_once() {
        let program = crate::places::root().join("web").join(PROGRAM);
        let text = fs::read_to_string(program).expect("the program");
        assert!(filled(&text, "0", &[]).is_ok());
    }
}
