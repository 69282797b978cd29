//! baylap on the command line: lays plans and writes layouts, sheets and cut lists without a browser; cuts lists of pieces.
//!
//! In: plan files or bare outlines, by name or on standard input. Out: files in a folder, one line of result each on
//! standard output, progress and refusals on standard error, and an exit code: 0 when all is well, 1 when a finding is
//! an error, 2 when something could not be read or written, 3 when the program itself is at fault. It computes nothing
//! itself: it calls the engine and the sheets.

mod arguments;
mod cut;
mod fault;
mod order;
mod outputs;
mod progress;
mod report;
mod run;
mod source;
mod turn;

use std::io::Write;
use std::process::ExitCode;

/// How a run went; the worst of several plans counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Outcome {
    /// All is well.
    Good,
    /// Laid, and a finding is an error.
    Findings,
    /// Something could not be read or written.
    Unreadable,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        ExitCode::from(match outcome {
            Outcome::Good => 0,
            Outcome::Findings => 1,
            Outcome::Unreadable => 2,
        })
    }
}

fn main() -> ExitCode {
    fault::install();
    match arguments::parse() {
        Ok(arguments) => run::run(&arguments).into(),
        // Help and version come this way too; a bad command is as unreadable as a bad file.
        Err(message) => {
            let _ = message.print();
            if message.use_stderr() { Outcome::Unreadable.into() } else { Outcome::Good.into() }
        }
    }
}

/// Writes text to standard output; a reader that has gone away is no fault.
fn say(text: &str) {
    let _ = std::io::stdout().lock().write_all(text.as_bytes());
}

/// Writes a line to standard error.
fn complain(text: &str) {
    let _ = writeln!(std::io::stderr().lock(), "baylap: {text}");
}
