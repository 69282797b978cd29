//! `baylap cut`: a cutting list by itself, for a shop that has pieces and stock and no roof.
//!
//! In: a list of pieces, the stock, the kerf. Out: a table of what to cut from what, and JSON for the next program. It
//! solves nothing itself: it calls the engine's cuts. What the stock cannot give is told, and the rest is cut.

mod list;
mod measure;
mod pieces;
mod sheet;
mod stock;
mod table;

use crate::source::{self, Source};
use crate::{Outcome, complain, say};
use baylap_core::cuts::{self, CutList, Item, Problem, Stock, Terms};
use baylap_core::plan::Mm;
use measure::Unit;
use pieces::Row;
use std::fs;
use std::path::PathBuf;
use stock::Lengths;

/// Largest list that is read, bytes.
const LIST_BYTES: usize = 16 * 1024 * 1024;

/// Steps of the solver unless told otherwise.
const STEPS: u64 = 2_000_000;

/// What `cut` may be told.
#[derive(Debug, clap::Args)]
pub(crate) struct CutArguments {
    /// The pieces: CSV (length, count, name, width; a header may name them) or JSON (a list of lengths, or of objects
    /// with those names), in mm or with a unit, as 12.5 m; - is standard input.
    #[arg(value_name = "PIECES")]
    list: PathBuf,
    /// The stock: lengths in mm or with a unit, each with how many there are; as many as needed where no count is given.
    #[arg(long, required = true, value_name = "LENGTH[xCOUNT]", value_delimiter = ',', value_parser = stock::one)]
    stock: Vec<Lengths>,
    /// Lost per cut, mm.
    #[arg(long, value_name = "MM", default_value = "0", value_parser = kerf)]
    kerf: Mm,
    /// Width of the stock; pieces that are narrower are slit from it side by side.
    #[arg(long, value_name = "MM", value_parser = width)]
    width: Option<Mm>,
    /// Shortest rest worth keeping, mm.
    #[arg(long, value_name = "MM", default_value = "1000", value_parser = kerf)]
    offcut: Mm,
    /// Reads numbers of the list without a unit as metres.
    #[arg(long)]
    metres: bool,
    /// Steps of work before the best list so far is taken; the same number gives the same list everywhere.
    #[arg(long, value_name = "N", default_value_t = STEPS)]
    steps: u64,
    /// Prints JSON in place of the table.
    #[arg(long)]
    json: bool,
    /// Writes the JSON to a file as well.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// A cutting job: what is asked, and the engine's problem made of it.
#[derive(Clone, Debug)]
struct Job {
    rows: Vec<Row>,
    /// The row of each item of the problem.
    row_of: Vec<usize>,
    /// Whether the stock has a width that counts.
    has_width: bool,
    problem: Problem,
}

/// Cuts a list and tells of it.
pub(crate) fn run(asked: &CutArguments) -> Outcome {
    match cut(asked) {
        Ok(outcome) => outcome,
        Err(sentence) => {
            complain(&sentence);
            Outcome::Unreadable
        }
    }
}

fn cut(asked: &CutArguments) -> Result<Outcome, String> {
    let source = Source::new(&asked.list);
    let named = |sentence: String| format!("{}: {sentence}", source.name());
    let bytes = source.bytes(LIST_BYTES).map_err(|e| named(source::unreadable(&e)))?;
    if bytes.len() > LIST_BYTES {
        return Err(named("The list is larger than 16 MB: cut it in parts.".to_owned()));
    }
    let unit = if asked.metres { Unit::Metre } else { Unit::Millimetre };
    let job = Job::new(pieces::read(&bytes, unit).map_err(named)?, asked).map_err(named)?;
    let found = cuts::solve(job.problem.clone(), asked.steps);
    let text = list::text(&job, &found);
    if let Some(file) = &asked.out {
        fs::write(file, &text)
            .map_err(|e| format!("{} could not be written ({e}): choose another place.", file.display()))?;
    }
    say(&if asked.json { text } else { table::text(&job, &found) });
    Ok(outcome(&found))
}

fn outcome(found: &CutList) -> Outcome {
    if found.uncut.is_empty() { Outcome::Good } else { Outcome::Findings }
}

impl Job {
    fn new(rows: Vec<Row>, asked: &CutArguments) -> Result<Self, String> {
        if let (Some(row), None) = (rows.iter().find(|row| row.width.is_some()), asked.width) {
            let number = row.number;
            return Err(format!("Piece {number} has a width: say how wide the stock is, as --width 1000."));
        }
        // Without widths all is one wide.
        let width = asked.width.unwrap_or(1);
        let (mut items, mut row_of) = (Vec::new(), Vec::new());
        for (at, row) in rows.iter().enumerate() {
            let own = row.width.unwrap_or(width);
            for _ in 0..row.count {
                items.push(Item { length: row.length, width: own, slit: own != width, bay: 0 });
                row_of.push(at);
            }
        }
        // Least material is what counts: a length costs as much as it is long.
        let stock_of = |s: &Lengths| Stock { length: s.length, width, count: s.count, price: s.length };
        let stocks = asked.stock.iter().map(stock_of).collect();
        let terms = Terms { kerf: asked.kerf, least_offcut: asked.offcut, open_most: None };
        Ok(Self { rows, row_of, has_width: asked.width.is_some(), problem: Problem { items, stocks, terms } })
    }

    /// The row that an item comes from.
    fn row(&self, item: usize) -> &Row {
        &self.rows[self.row_of[item]]
    }
}

/// A loss or a least length: 0 or more.
fn kerf(text: &str) -> Result<Mm, String> {
    if text.trim() == "0" { Ok(0) } else { measure::length(text, Unit::Millimetre) }
}

/// A width: 1 mm to 100 m.
fn width(text: &str) -> Result<Mm, String> {
    let width = measure::length(text, Unit::Millimetre)?;
    if width > 100_000 { Err(format!("{text} is wider than 100 m: check the unit")) } else { Ok(width) }
}
