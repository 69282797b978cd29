//! One step of a chore: say what it does and about how long it takes, do it, say how long it took.
//!
//! In: a sentence, a guess and the work. Out: the work's own answer, with lines on the terminal
//! around it. What must hold: a failed command is reported with the full command line, so that a
//! person can repeat it. It decides nothing about what to do next.

use std::io::{BufRead, BufReader, Read};
use std::process::{Command, Stdio};
use std::sync::mpsc::{Sender, channel};

// The ban on clocks is for code that also runs in the browser; this crate never does.
#[expect(clippy::disallowed_types, reason = "a native tool that tells how long its steps took")]
type Clock = std::time::Instant;

/// What a chore gives back; the error is a sentence for the person at the terminal.
pub(crate) type Outcome<T> = Result<T, String>;

/// Does `work` between a line that says what and about how long, and one that says how long it took.
pub(crate) fn step<T>(what: &str, roughly: &str, work: impl FnOnce() -> Outcome<T>) -> Outcome<T> {
    println!("==> {what} (about {roughly})");
    let start = Clock::now();
    let answer = work()?;
    println!("    done in {}", spoken(start.elapsed().as_secs_f64()));
    Ok(answer)
}

/// Runs the command with the terminal as its output and no input; an exit code but 0 is an error.
pub(crate) fn run(command: &mut Command) -> Outcome<()> {
    let status = command
        .stdin(Stdio::null())
        .status()
        .map_err(|e| format!("could not start `{}`: {e}", line_of(command)))?;
    if status.success() { Ok(()) } else { Err(format!("this failed: {}", line_of(command))) }
}

/// Runs the command in silence and gives back its standard output, or nothing if it failed.
pub(crate) fn answer_of(command: &mut Command) -> Option<String> {
    let output = command.stdin(Stdio::null()).stderr(Stdio::null()).output().ok()?;
    output.status.success().then(|| String::from_utf8_lossy(&output.stdout).into_owned())
}

/// Runs the command, shows its lines as they come, and gives back whether it succeeded and the lines.
pub(crate) fn run_and_read(command: &mut Command) -> Outcome<(bool, Vec<String>)> {
    let mut child = command
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|e| format!("could not start `{}`: {e}", line_of(command)))?;
    let (sender, lines) = channel();
    // Test runners close with their counts on either stream, so both are read.
    pass_on(child.stdout.take(), sender.clone());
    pass_on(child.stderr.take(), sender);
    let mut heard = Vec::new();
    for line in lines {
        println!("{line}");
        heard.push(line);
    }
    let status = child.wait().map_err(|e| format!("lost sight of `{}`: {e}", line_of(command)))?;
    Ok((status.success(), heard))
}

fn pass_on(stream: Option<impl Read + Send + 'static>, lines: Sender<String>) {
    let Some(stream) = stream else { return };
    std::thread::spawn(move || {
        let mut reader = BufReader::new(stream);
        let mut bytes = Vec::new();
        while reader.read_until(b'\n', &mut bytes).is_ok_and(|n| n > 0) {
            let line = String::from_utf8_lossy(&bytes).trim_end().to_owned();
            if lines.send(line).is_err() {
                return;
            }
            bytes.clear();
        }
    });
}

/// The command as a person would type it.
pub(crate) fn line_of(command: &Command) -> String {
    let mut line = command.get_program().to_string_lossy().into_owned();
    for word in command.get_args() {
        line.push(' ');
        line.push_str(&word.to_string_lossy());
    }
    line
}

fn spoken(seconds: f64) -> String {
    if seconds < 100.0 { format!("{seconds:.1} s") } else { format!("{:.1} min", seconds / 60.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_streams_of_a_command_are_read() {
        let mut command = Command::new("sh");
        command.args(["-c", "echo out; echo err >&2; exit 3"]);
        let (ok, mut lines) = run_and_read(&mut command).expect("sh starts");
        lines.sort();
        assert!(!ok);
        assert_eq!(lines, ["err", "out"]);
    }

    #[test]
    fn a_failure_names_the_command() {
        let failed = run(Command::new("sh").args(["-c", "exit 1"]));
        assert_eq!(failed, Err("this failed: sh -c exit 1".to_owned()));
    }
}
