//! Reads how many tests passed and failed from the closing lines of test runners.
//!
//! In: the lines a runner printed. Out: the sum of its closing lines. What must hold: only closing
//! lines count, never a line that a test printed, and anything that is neither a pass nor a skip
//! (an error, a time-out) is a failure. It does not decide whether a run was good.

/// How many tests ended how.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Counts {
    pub(crate) passed: u64,
    pub(crate) failed: u64,
    pub(crate) skipped: u64,
}

impl Counts {
    pub(crate) fn add(&mut self, other: Self) {
        self.passed += other.passed;
        self.failed += other.failed;
        self.skipped += other.skipped;
    }

    /// Whether any test ran at all.
    pub(crate) fn any_ran(self) -> bool {
        self.passed + self.failed > 0
    }
}

/// Who printed the lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Runner {
    /// `cargo test`: one line a crate, "test result: ok. 3 passed; 0 failed; ...".
    Cargo,
    /// `cargo nextest`: "Summary [   0.1s] 3 tests run: 3 passed, 0 skipped".
    Nextest,
    /// pytest: "===== 3 passed, 1 skipped in 0.10s =====".
    Pytest,
}

/// The sum of the closing lines among `lines`.
pub(crate) fn closing_counts(runner: Runner, lines: &[String]) -> Counts {
    let mut sum = Counts::default();
    for line in lines.iter().map(|line| plain(line)) {
        if let Some(tail) = closing_tail(runner, line.trim()) {
            sum.add(counts_in(tail));
        }
    }
    sum
}

/// The part of a closing line that holds the counts.
fn closing_tail(runner: Runner, line: &str) -> Option<&str> {
    match runner {
        Runner::Cargo => line.strip_prefix("test result:"),
        Runner::Nextest => line.strip_prefix("Summary [")?.split_once("run:").map(|(_, tail)| tail),
        Runner::Pytest => {
            let inner = line.strip_prefix("==")?.strip_suffix("==")?.trim_matches('=').trim();
            inner.rsplit_once(" in ").map(|(counts, _)| counts)
        }
    }
}

/// Adds up every "number word" of the text: "12 passed, 1 failed".
fn counts_in(text: &str) -> Counts {
    let words: Vec<&str> = text.split([' ', ',', ';', '(', ')', '.']).filter(|w| !w.is_empty()).collect();
    let mut sum = Counts::default();
    for pair in words.windows(2) {
        let (Ok(number), what) = (pair[0].parse::<u64>(), pair[1]) else { continue };
        match what {
            "passed" | "xfailed" => sum.passed += number,
            "failed" | "error" | "errors" | "timed" | "exec" | "xpassed" => sum.failed += number,
            "skipped" | "ignored" => sum.skipped += number,
            _ => {}
        }
    }
    sum
}

/// The line without terminal colours.
fn plain(line: &str) -> String {
    let mut pieces = line.split("\u{1b}[");
    let mut text = pieces.next().unwrap_or("").to_owned();
    for piece in pieces {
        text += piece.split_once('m').map_or(piece, |(_, rest)| rest);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn counts(runner: Runner, line: &str) -> (u64, u64, u64) {
        let c = closing_counts(runner, &[line.to_owned()]);
        (c.passed, c.failed, c.skipped)
    }

    #[test]
    fn each_runner_s_closing_line_is_read() {
        let cargo = "test result: FAILED. 4 passed; 1 failed; 2 ignored; 0 measured; 0 filtered out; finished in 0.00s";
        assert_eq!(counts(Runner::Cargo, cargo), (4, 1, 2));
        let nextest =
            "     Summary [   0.413s] 14 tests run: 12 passed (1 slow), 1 failed, 1 timed out, 3 skipped";
        assert_eq!(counts(Runner::Nextest, nextest), (12, 2, 3));
        let pytest = "=========== 1 failed, 7 passed, 2 skipped, 1 warning, 1 error in 3.21s ============";
        assert_eq!(counts(Runner::Pytest, pytest), (7, 2, 2));
        let none = "========= no tests ran in 0.01s =========";
        assert_eq!(counts(Runner::Pytest, none), (0, 0, 0));
    }

    #[test]
    fn colours_do_not_hide_a_count() {
        let line = "\u{1b}[32m===== \u{1b}[32m\u{1b}[1m3 passed\u{1b}[0m\u{1b}[32m in 0.10s\u{1b}[0m\u{1b}[32m =====\u{1b}[0m";
        assert_eq!(counts(Runner::Pytest, line), (3, 0, 0));
    }

    #[test]
    fn what_a_test_prints_does_not_count() {
        assert_eq!(counts(Runner::Nextest, "12 passed, 1 failed"), (0, 0, 0));
        assert_eq!(counts(Runner::Pytest, "==== 3 passed"), (0, 0, 0));
    }
}
