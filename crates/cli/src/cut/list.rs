//! The cut list as JSON.
//!
//! In: a job and its cut list. Out: text of the format `baylap-cut-list`, version 1, all lengths in mm. Every piece asked
//! for is in it once, on a length or among those that could not be cut; cuts, kerf and rest of a length add up to it.

use super::Job;
use baylap_core::cuts::{Cut, CutList, RollCuts};
use baylap_core::plan::Mm;
use serde_json::{Value, json};

/// The text, ending with a line break.
pub(crate) fn text(job: &Job, found: &CutList) -> String {
    let stocks = &job.problem.stocks;
    let lengths: Vec<Value> = found.rolls.iter().zip(1..).map(|(roll, n)| length(job, roll, n)).collect();
    let uncut: Vec<Value> = found.uncut.iter().map(|&item| piece(job, item, None)).collect();
    let made = json!({
        "format": "baylap-cut-list",
        "version": 1,
        "lengths": lengths,
        "uncut": uncut,
        "totals": {
            "pieces": job.problem.items.len() - found.uncut.len(),
            "lengths": found.rolls.len(),
            "lengths_least": found.least_rolls,
            "stock": found.rolls.iter().map(|roll| stocks[roll.stock].length).sum::<Mm>(),
            "stock_least": found.least_price,
            "proved": found.proved,
            "kept": found.rolls.iter().map(|roll| kept(job, roll)).sum::<Mm>(),
        },
    });
    made.to_string() + "\n"
}

/// The rest of a length where it is worth keeping, mm.
pub(crate) fn kept(job: &Job, roll: &RollCuts) -> Mm {
    if roll.rest >= job.problem.terms.least_offcut { roll.rest } else { 0 }
}

fn length(job: &Job, roll: &RollCuts, number: usize) -> Value {
    let length = job.problem.stocks[roll.stock].length;
    let cut: Mm = roll.cuts.iter().map(|cut| cut.length).sum();
    json!({
        "number": number,
        "length": length,
        "cuts": roll.cuts.iter().map(|cut| one_cut(job, cut)).collect::<Vec<Value>>(),
        "kerf": length - cut - roll.rest,
        "rest": roll.rest,
        "kept": roll.rest > 0 && kept(job, roll) > 0,
    })
}

fn one_cut(job: &Job, cut: &Cut) -> Value {
    let pieces: Vec<Value> = cut.items.iter().map(|&(item, across)| piece(job, item, Some(across))).collect();
    json!({ "from": cut.from, "length": cut.length, "pieces": pieces })
}

fn piece(job: &Job, item: usize, across: Option<Mm>) -> Value {
    let row = job.row(item);
    let mut made = json!({ "row": row.number, "length": row.length });
    if !row.name.is_empty() {
        made["name"] = json!(row.name);
    }
    if job.has_width {
        made["width"] = json!(job.problem.items[item].width);
        if let Some(across) = across {
            made["across"] = json!(across);
        }
    }
    made
}
