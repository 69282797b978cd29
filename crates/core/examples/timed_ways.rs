//! Times a comparison of ways of laying one plan, natively.
//!
//! In: a plan file. Out: one line of JSON: how many ways beside the one that stands; milliseconds until all of them are laid
//! and held against each other, and until the comparison is over; how many of them were searched to their end, and how many
//! no other beats. It judges no time.
//!
//! `cargo run --release --package baylap-core --example timed_ways -- demo-data/05-courtyard.json`

// An example is a small program at a terminal: printing is its output.
#![allow(clippy::print_stdout, clippy::print_stderr)]

use baylap_core::compare::{Aspects, Comparer, MOST_WAYS};
use baylap_core::plan::{StartSide, file};
use std::error::Error;
use std::process::ExitCode;

#[expect(clippy::disallowed_types, reason = "a native tool whose whole work is to read the clock")]
type Clock = std::time::Instant;

/// Steps between two looks at the clock: those of the page's worker.
const SLICE: u64 = 48;

fn main() -> ExitCode {
    match std::env::args().nth(1).ok_or_else(|| "wants PLAN".into()).and_then(|plan| time(&plan)) {
        Ok(line) => {
            println!("{line}");
            ExitCode::SUCCESS
        }
        Err(problem) => {
            eprintln!("timed_ways: {problem}");
            ExitCode::FAILURE
        }
    }
}

fn time(plan: &str) -> Result<String, Box<dyn Error>> {
    let plan = file::read(&std::fs::read(plan)?)?;
    let mut aspects = Aspects::possible(&plan, &baylap_core::lay(&plan));
    // As many as may be compared at once: directions, cut or run on, sides, sizes of bay, gangs.
    aspects.directions.truncate(2);
    aspects.layings.truncate(2);
    aspects.rolls.clear();
    aspects.melters.clear();
    aspects.gangs.truncate(2);
    aspects.courses_per_bay.retain(|n| *n >= plan.gang.courses_per_bay);
    aspects.starts = vec![StartSide::Right, StartSide::Left];
    let ways = aspects.ways();
    let start = Clock::now();
    let mut comparer = Comparer::new(&plan, &ways);
    let mut all_laid = None;
    // With the word `shortly` behind the plan it ends when all are laid: what a profiler is to look at.
    let shortly = std::env::args().nth(2).is_some_and(|word| word == "shortly");
    while !(comparer.is_done() || shortly && all_laid.is_some()) {
        comparer.advance(SLICE);
        let progress = comparer.progress();
        if all_laid.is_none() && progress.laid == progress.ways {
            all_laid = Some(start.elapsed().as_secs_f64() * 1e3);
        }
    }
    let whole = start.elapsed().as_secs_f64() * 1e3;
    let unbeaten = comparer.found().iter().filter(|o| o.standing.beaten_by.is_none()).count();
    Ok(format!(
        "{{\"ways\": {}, \"at_most\": {MOST_WAYS}, \"all_laid_ms\": {:.1}, \"over_ms\": {whole:.1}, \"searched_to_the_end\": {}, \"unbeaten\": {unbeaten}}}",
        ways.len(),
        all_laid.unwrap_or(whole),
        comparer.progress().whole,
    ))
}
