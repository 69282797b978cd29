//! Times the putting in order of the bays of one plan file, natively: what laying takes is not in it.
//!
//! In: a plan file and a number of runs. Out: one line of JSON with the median, the least and all times of
//! [`baylap_core::sequence::order`] in microseconds, the time of one whole search of the plan, the bays, gangs and days, and
//! what is broken. What must hold: neither reading nor laying is in the times of the order. It judges no time.
//!
//! `cargo run --release --package baylap-core --example timed_order -- demo-data/05-courtyard.json 21`

// An example is a small program at a terminal: printing is its output.
#![allow(clippy::print_stdout, clippy::print_stderr)]

use baylap_core::plan::file;
use baylap_core::{days, falls, lay_quick, model, sequence, work};
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
            eprintln!("timed_order: {problem}");
            ExitCode::FAILURE
        }
    }
}

fn time(words: &[String]) -> Result<String, Box<dyn Error>> {
    let [plan, runs] = words else { return Err("wants PLAN RUNS".into()) };
    let plan = file::read(&std::fs::read(plan)?)?;
    let layout = lay_quick(&plan);
    let checked = model::check(&plan, &mut Vec::new());
    let (works, gangs) = (work::of_bays(&plan, &checked, &layout.bays), work::gangs(&plan));
    let found = falls::find(&plan, &checked, &mut Vec::new());
    let task = days::task(&plan, &checked, &layout, (&works, &gangs), found.as_ref().map(|f| &f.ground));
    let mut micros = Vec::new();
    for _ in 0..runs.parse::<usize>()?.max(1) {
        let start = Clock::now();
        black_box(sequence::order(black_box(&task)));
        micros.push(start.elapsed().as_secs_f64() * 1e6);
    }
    let start = Clock::now();
    black_box(baylap_core::lay(&plan));
    let searched = start.elapsed().as_secs_f64() * 1e6;
    let score = sequence::order(&task).score;
    micros.sort_by(f64::total_cmp);
    let said = serde_json::json!({
        "median_us": micros[micros.len() / 2],
        "least_us": micros[0],
        "all_us": micros,
        "searched_us": searched,
        "bays": layout.bays.len(),
        "gangs": gangs.len(),
        "days": score.days,
        "broken": score.broken,
    });
    Ok(said.to_string())
}
