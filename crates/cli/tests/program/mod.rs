//! The program as the tests of the command line run it.
//!
//! In: arguments, and what comes on standard input. Out: what it wrote and how it ended.

use std::io::Write;
use std::process::{Command, Output, Stdio};

/// Runs the program to its end.
pub(crate) fn baylap(arguments: &[&str], input: &[u8]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_baylap"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that stops early closes its end: no fault of the test.
    let _ = child.stdin.take().unwrap().write_all(input);
    child.wait_with_output().unwrap()
}

/// How it ended.
pub(crate) fn code(ran: &Output) -> i32 {
    ran.status.code().unwrap_or(-1)
}

/// What it wrote on standard output.
pub(crate) fn stdout(ran: &Output) -> String {
    String::from_utf8_lossy(&ran.stdout).into_owned()
}

/// What it wrote on standard error.
pub(crate) fn stderr(ran: &Output) -> String {
    String::from_utf8_lossy(&ran.stderr).into_owned()
}
