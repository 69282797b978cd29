//! A run: every plan read, laid and written, several at a time, results told in the order they were given.
//!
//! In: the arguments. Out: files, lines, and the outcome. One plan that cannot be read does not stop the others.

use crate::arguments::{Arguments, Command, LayArguments};
use crate::outputs;
use crate::progress::Progress;
use crate::source::Source;
use crate::{Outcome, complain, cut, order, report, say, turn};
use baylap_core::{Layout, Plan, Severity};
use rayon::prelude::*;
use std::path::{Path, PathBuf};

/// Does what the arguments ask.
pub(crate) fn run(arguments: &Arguments) -> Outcome {
    match &arguments.command {
        Command::Lay(lay) => {
            let sources = sources(&lay.plans);
            let folders = outputs::folders(&lay.out, &sources);
            let jobs: Vec<(&Source, &PathBuf)> = sources.iter().zip(&folders).collect();
            each(&jobs, &lay.plans, |(source, folder)| lay_one(source, folder, lay))
        }
        Command::Check { plans } => each(&sources(plans), plans, check_one),
        Command::Cut(list) => cut::run(list),
        Command::Order { task } => order::run(task),
    }
}

/// What one plan came to.
struct Told {
    /// For standard output.
    text: String,
    outcome: Outcome,
}

fn sources(plans: &[PathBuf]) -> Vec<Source> {
    plans.iter().map(|path| Source::new(path)).collect()
}

/// Does one thing for every plan, in parallel, and tells the results in order.
fn each<T: Sync>(jobs: &[T], plans: &[PathBuf], one: impl Fn(&T) -> Result<Told, String> + Sync) -> Outcome {
    if plans.iter().filter(|p| p.as_os_str() == "-").count() > 1 {
        complain("standard input can be read once: give - only once.");
        return Outcome::Unreadable;
    }
    let progress = Progress::start(jobs.len());
    let results: Vec<Result<Told, String>> = jobs
        .par_iter()
        .map(|job| {
            let told = one(job);
            progress.one_done();
            told
        })
        .collect();
    drop(progress);
    let mut worst = Outcome::Good;
    for result in results {
        match result {
            Ok(told) => {
                say(&told.text);
                worst = worst.max(told.outcome);
            }
            Err(sentence) => {
                complain(&sentence);
                worst = Outcome::Unreadable;
            }
        }
    }
    worst
}

fn lay_one(source: &Source, folder: &Path, asked: &LayArguments) -> Result<Told, String> {
    let named = |sentence: String| format!("{}: {sentence}", source.name());
    let mut plan = source.read().map_err(named)?;
    if let Some(mdeg) = asked.direction {
        plan = turn::turned(plan, mdeg);
    }
    let layout = baylap_core::lay(&plan);
    let paper = (!asked.no_sheets).then_some(asked.paper);
    outputs::write(folder, &plan, &layout, paper).map_err(named)?;
    Ok(Told { text: report::line(&source.name(), &layout), outcome: outcome(&layout) })
}

fn check_one(source: &Source) -> Result<Told, String> {
    let plan: Plan = source.read().map_err(|sentence| format!("{}: {sentence}", source.name()))?;
    let layout = baylap_core::lay(&plan);
    let head = format!("{}: {}\n", source.name(), report::severities(&layout.findings));
    Ok(Told { text: head + &report::findings(&layout), outcome: outcome(&layout) })
}

fn outcome(layout: &Layout) -> Outcome {
    let wrong = layout.findings.iter().any(|f| f.severity == Severity::Error);
    if wrong { Outcome::Findings } else { Outcome::Good }
}
