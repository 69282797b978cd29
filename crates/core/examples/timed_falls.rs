//! Times falls and water alone on one plan file, natively: what laying takes is not in it.
//!
//! In: a plan file with levels and a number of runs. Out: one line of JSON with the medians, in microseconds, of
//! [`baylap_core::falls::find`] (surface, classes, ponds, catchments, outlets) and of [`baylap_core::seams::find`] with its
//! lengths (verdicts on every bay edge and lap of the first layout, and better places), all their sums, and how much there
//! is of each. What must hold: neither reading nor laying is timed. It judges no time.
//!
//! `cargo run --release --package baylap-core --example timed_falls -- demo-data/05-courtyard.json 21`

// An example is a small program at a terminal: printing is its output.
#![allow(clippy::print_stdout, clippy::print_stderr)]

use baylap_core::plan::file;
use baylap_core::{falls, lay_quick, model, seams};
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
            eprintln!("timed_falls: {problem}");
            ExitCode::FAILURE
        }
    }
}

fn time(words: &[String]) -> Result<String, Box<dyn Error>> {
    let [plan, runs] = words else { return Err("wants PLAN RUNS".into()) };
    let plan = file::read(&std::fs::read(plan)?)?;
    let layout = lay_quick(&plan);
    let checked = model::check(&plan, &mut Vec::new());
    let find = || falls::find(&plan, &checked, &mut Vec::new());
    let found = find().ok_or("the plan has no levels")?;
    let (mut surface, mut verdicts, mut sums) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..runs.parse::<usize>()?.max(1) {
        let start = Clock::now();
        black_box(find());
        surface.push(start.elapsed().as_secs_f64() * 1e6);
        let start = Clock::now();
        black_box(seams::lengths(&seams::find(black_box(&layout), &found.ground)));
        verdicts.push(start.elapsed().as_secs_f64() * 1e6);
        sums.extend(surface.last().zip(verdicts.last()).map(|(a, b)| a + b));
    }
    let said = serde_json::json!({
        "surface_us": median(&mut surface),
        "verdicts_us": median(&mut verdicts),
        "all_us": sums,
        "facets": found.falls.facets.len(),
        "ponds": found.falls.ponds.len(),
        "low_lines": found.falls.low_lines.len(),
        "seams": layout.seams.len(),
    });
    Ok(said.to_string())
}

fn median(micros: &mut [f64]) -> f64 {
    micros.sort_by(f64::total_cmp);
    micros[micros.len() / 2]
}
