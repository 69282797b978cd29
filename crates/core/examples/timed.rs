//! Times the engine on one plan file, natively.
//!
//! In: a plan file and a number of runs. Out: one line of JSON, the median, the least and all times of
//! [`baylap_core::lay`] in microseconds; with a third word, the layout goes to that file. What must hold: only `lay` is
//! timed, not the reading. It judges no time: what is fast enough is said by whoever calls it.
//!
//! `cargo run --release --package baylap-core --example timed -- demo-data/02-l-shape.json 21`

// An example is a small program at a terminal: printing is its output.
#![allow(clippy::print_stdout, clippy::print_stderr)]

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
    // The first run finds cold caches: it gives the layout and is not counted.
    let layout = baylap_core::lay(&plan);
    if let Some(out) = out.first() {
        std::fs::write(out, serde_json::to_vec(&layout)?)?;
    }
    let mut micros: Vec<f64> = (0..runs.max(1))
        .map(|_| {
            let start = Clock::now();
            black_box(baylap_core::lay(black_box(&plan)));
            start.elapsed().as_secs_f64() * 1e6
        })
        .collect();
    micros.sort_by(f64::total_cmp);
    let said = serde_json::json!({
        "median_us": micros[micros.len() / 2],
        "least_us": micros[0],
        "all_us": micros,
        "pieces": layout.totals.pieces,
        "bays": layout.totals.bays,
        "findings": layout.findings.len(),
    });
    Ok(said.to_string())
}
