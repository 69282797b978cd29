//! Times the engine on one plan file, natively.
//!
//! In: a plan file and a number of runs. Out: one line of JSON, the median, the least and all times of
//! [`baylap_core::lay_quick`] in microseconds, the time of one whole search, and the median of a search's first answer with
//! a hint; with a third word, the layout goes to that file. What must hold: only laying is
//! timed, not the reading. It judges no time: what is fast enough is said by whoever calls it.
//!
//! `cargo run --release --package baylap-core --example timed -- demo-data/02-l-shape.json 21`

// An example is a small program at a terminal: printing is its output.
#![allow(clippy::print_stdout, clippy::print_stderr)]

use baylap_core::Search;
use baylap_core::plan::file;
use std::error::Error;
use std::hint::black_box;
use std::process::ExitCode;

#[expect(clippy::disallowed_types, reason = "a native tool whose whole work is to read the clock")]
type Clock = std::time::Instant;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match time(&words) {
        Ok(line) => {
            println!("{line}");
            ExitCode::SUCCESS
        }
        Err(problem) => {
            eprintln!("timed: {problem}");
            ExitCode::FAILURE
        }
    }
}

fn time(words: &[String]) -> Result<String, Box<dyn Error>> {
    let [plan, runs, out @ ..] = words else { return Err("wants PLAN RUNS [LAYOUT]".into()) };
    let plan = file::read(&std::fs::read(plan)?)?;
    let runs: usize = runs.parse()?;
    let start = Clock::now();
    let layout = baylap_core::lay(&plan);
    let searched = start.elapsed().as_secs_f64() * 1e6;
    if let Some(out) = out.first() {
        std::fs::write(out, serde_json::to_vec(&layout)?)?;
    }
    let mut micros: Vec<f64> = (0..runs.max(1))
        .map(|_| {
            let start = Clock::now();
            black_box(baylap_core::lay_quick(black_box(&plan)));
            start.elapsed().as_secs_f64() * 1e6
        })
        .collect();
    micros.sort_by(f64::total_cmp);
    // What a dragged corner waits for: the first layout of a search that is told how the roof lay before.
    let mut first: Vec<f64> = (0..runs.max(1))
        .map(|_| {
            let plan = plan.clone();
            let start = Clock::now();
            black_box(Search::new(black_box(plan), Some(&layout)));
            start.elapsed().as_secs_f64() * 1e6
        })
        .collect();
    first.sort_by(f64::total_cmp);
    let said = serde_json::json!({
        "median_us": micros[micros.len() / 2],
        "least_us": micros[0],
        "searched_us": searched,
        "first_median_us": first[first.len() / 2],
        "all_us": micros,
        "pieces": layout.totals.pieces,
        "bays": layout.totals.bays,
        "findings": layout.findings.len(),
    });
    Ok(said.to_string())
}
