//! Holds the page's WebAssembly to its size limits.
//!
//! In: the `.wasm` files of `dist/` and `web/size-limits.txt`. Out: their bytes, raw and gzipped,
//! beside the limits. What must hold: a file over its limit, or without one, fails; one far under
//! its limit is pointed out, so that the limit follows it down. It does not build the page.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::places::{dist, root};
use crate::site;
use crate::step::Outcome;

/// A file's name without the hash, and its bytes as they are and gzipped.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Size {
    name: String,
    raw: u64,
    gzip: u64,
}

const HEAD: &str = "\
# The page's WebAssembly: file, most bytes, most bytes gzipped (gzip -9). `cargo xtask size` fails
# above these and asks to tighten them when a file is more than 5 % under.
# `cargo xtask size --update` writes what is now, plus 1 % for the differences between compilers.
";

/// Builds the page if need be and fails if a file is over its limit.
pub(crate) fn check() -> Outcome<()> {
    site::ensure_built()?;
    let limits = limits_of(&fs::read_to_string(limits_file()).unwrap_or_default())?;
    let mut over = Vec::new();
    for size in sizes()? {
        let limit = limits.iter().find(|limit| limit.name == size.name);
        let (verdict, good) = verdict(&size, limit);
        println!("    {:<16} {:>9} bytes {:>9} gzipped   {verdict}", size.name, size.raw, size.gzip);
        if !good {
            over.push(size.name);
        }
    }
    if over.is_empty() {
        return Ok(());
    }
    Err(format!(
        "over the limits of web/size-limits.txt: {} (if meant: cargo xtask size --update)",
        over.join(", ")
    ))
}

/// Writes the present sizes as the limits.
pub(crate) fn update() -> Outcome<()> {
    site::ensure_built()?;
    let mut text = HEAD.to_owned();
    for size in sizes()? {
        text += &format!("{} {} {}\n", size.name, size.raw + size.raw / 100, size.gzip + size.gzip / 100);
    }
    fs::write(limits_file(), text).map_err(|e| format!("{}: {e}", limits_file().display()))
}

fn limits_file() -> PathBuf {
    root().join("web/size-limits.txt")
}

fn verdict(size: &Size, limit: Option<&Size>) -> (String, bool) {
    let Some(limit) = limit else {
        return ("no limit yet".to_owned(), false);
    };
    if size.raw > limit.raw || size.gzip > limit.gzip {
        return (format!("OVER {} / {}", limit.raw, limit.gzip), false);
    }
    if size.gzip * 100 < limit.gzip * 95 {
        return (format!("more than 5 % under {}: tighten the limit", limit.gzip), true);
    }
    (format!("within {} / {}", limit.raw, limit.gzip), true)
}

fn limits_of(text: &str) -> Outcome<Vec<Size>> {
    let lines = text.lines().filter(|line| !line.is_empty() && !line.starts_with('#'));
    let parse = |line: &str| {
        let mut words = line.split_whitespace();
        let name = words.next()?.to_owned();
        let (raw, gzip) = (words.next()?.parse().ok()?, words.next()?.parse().ok()?);
        Some(Size { name, raw, gzip })
    };
    lines
        .map(|line| parse(line).ok_or_else(|| format!("web/size-limits.txt: cannot read `{line}`")))
        .collect()
}

fn sizes() -> Outcome<Vec<Size>> {
    let entries = fs::read_dir(dist()).map_err(|e| format!("dist: {e}"))?;
    let is_wasm = |path: &PathBuf| path.extension().is_some_and(|e| e == "wasm");
    let mut files: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).filter(is_wasm).collect();
    files.sort();
    files.iter().map(|file| size_of(file)).collect()
}

fn size_of(file: &Path) -> Outcome<Size> {
    let raw = fs::metadata(file).map_err(|e| format!("{}: {e}", file.display()))?.len();
    let mut gzip = Command::new("gzip");
    let packed = gzip.args(["-9", "-n", "-c"]).arg(file).stdin(Stdio::null()).output();
    let packed = packed.map_err(|e| format!("gzip: {e}"))?;
    let name = file.file_name().unwrap_or_default().to_string_lossy();
    Ok(Size { name: without_hash(&name), raw, gzip: packed.stdout.len() as u64 })
}

/// "app-0123456789abcdef_bg.wasm" is "app_bg.wasm" at every build.
fn without_hash(name: &str) -> String {
    let Some((stem, rest)) = name.rsplit_once('-') else { return name.to_owned() };
    let digits = rest.chars().take_while(char::is_ascii_hexdigit).count();
    if digits < 8 { name.to_owned() } else { format!("{stem}{}", &rest[digits..]) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn size(raw: u64, gzip: u64) -> Size {
        Size { name: "app_bg.wasm".to_owned(), raw, gzip }
    }

    #[test]
    fn a_hash_is_taken_out_of_a_name_and_nothing_else() {
        assert_eq!(without_hash("app-0123456789abcdef_bg.wasm"), "app_bg.wasm");
        assert_eq!(without_hash("worker_bg.wasm"), "worker_bg.wasm");
        assert_eq!(without_hash("roof-plan_bg.wasm"), "roof-plan_bg.wasm");
    }

    #[test]
    fn one_byte_over_fails_and_far_under_asks_to_tighten() {
        assert!(!verdict(&size(101, 50), Some(&size(100, 50))).1);
        assert!(!verdict(&size(100, 51), Some(&size(100, 50))).1);
        assert!(verdict(&size(100, 50), Some(&size(100, 50))).1);
        assert!(verdict(&size(50, 90), Some(&size(100, 100))).0.contains("tighten"));
        assert!(!verdict(&size(1, 1), None).1);
    }

    #[test]
    fn limits_are_read_and_nonsense_is_named() {
        let read = limits_of("# note\n\napp_bg.wasm 100 50\n");
        assert_eq!(read, Ok(vec![size(100, 50)]));
        assert!(limits_of("app_bg.wasm many 50").is_err());
    }
}
