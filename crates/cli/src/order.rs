//! `baylap order`: bays put in order over days and gangs, with no roof and no plan.
//!
//! In: a task, or a list of tasks, as JSON. Out: the answer to each as JSON: every bay with its day, gang and time, and what
//! the order comes to. It is for comparing orders with other programs and for jobs whose bays are known from elsewhere.

use crate::source::{Source, unreadable};
use crate::{Outcome, complain, say};
use baylap_core::sequence::{self, Task};
use std::path::Path;

/// Largest file that is read, bytes.
const BYTES: usize = 16 * 1024 * 1024;

/// Puts the tasks of a file in order and prints the answers.
pub(crate) fn run(path: &Path) -> Outcome {
    let source = Source::new(path);
    match answers(&source) {
        Ok(text) => {
            say(&text);
            Outcome::Good
        }
        Err(sentence) => {
            complain(&format!("{}: {sentence}", source.name()));
            Outcome::Unreadable
        }
    }
}

fn answers(source: &Source) -> Result<String, String> {
    let bytes = source.bytes(BYTES).map_err(|e| unreadable(&e))?;
    let wrong = |e: serde_json::Error| {
        format!(
            "this is no task of bays to be put in order ({e}): give sites, day and prices as the help says."
        )
    };
    let told = |e: serde_json::Error| format!("the answer could not be written: {e}.");
    let one = |task: &Task| sequence::check(task).map(|()| sequence::order(task));
    let asked: serde_json::Value = serde_json::from_slice(&bytes).map_err(wrong)?;
    let text = if asked.is_array() {
        let tasks: Vec<Task> = serde_json::from_value(asked).map_err(wrong)?;
        serde_json::to_string(&tasks.iter().map(one).collect::<Result<Vec<_>, String>>()?)
    } else {
        serde_json::to_string(&one(&serde_json::from_value(asked).map_err(wrong)?)?)
    };
    Ok(text.map_err(told)? + "\n")
}
