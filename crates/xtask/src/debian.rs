//! Installs Debian packages.
//!
//! In: package names. Out: they are installed, or an error that holds the exact command. What must
//! hold: package lists are refreshed only if an install fails without, and at most once. It does
//! not ask whether a package is needed: callers look for the program first.

use std::process::Command;
use std::sync::OnceLock;

use crate::places::on_path;
use crate::step::{Outcome, answer_of, run};

static REFRESHED: OnceLock<()> = OnceLock::new();

/// Installs the packages, or says which command would.
pub(crate) fn install(packages: &[&str]) -> Outcome<()> {
    let by_hand =
        format!("apt-get update && apt-get install -y --no-install-recommends {}", packages.join(" "));
    if on_path("apt-get").is_empty() {
        return Err(format!("there is no apt-get here; on Debian, as root: {by_hand}"));
    }
    if run(&mut apt_install(packages)).is_ok() {
        return Ok(());
    }
    // Lists may be empty (a fresh image) or older than the mirror: refresh them, once.
    if REFRESHED.set(()).is_ok() {
        run(as_root("apt-get").arg("update")).map_err(|_| format!("as root: {by_hand}"))?;
    }
    run(&mut apt_install(packages)).map_err(|_| format!("as root: {by_hand}"))
}

fn apt_install(packages: &[&str]) -> Command {
    let mut command = as_root("apt-get");
    command.args(["install", "-y", "-q", "--no-install-recommends"]).args(packages);
    command
}

/// A command that runs as root: by itself if we are, else through sudo.
pub(crate) fn as_root(program: &str) -> Command {
    let we_are_root = answer_of(Command::new("id").arg("-u")).is_some_and(|id| id.trim() == "0");
    if we_are_root {
        let mut command = Command::new(program);
        command.env("DEBIAN_FRONTEND", "noninteractive");
        return command;
    }
    let mut command = Command::new("sudo");
    command.args(["DEBIAN_FRONTEND=noninteractive", program]);
    command
}
