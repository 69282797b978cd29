//! The cut list as a table to be read at the saw.
//!
//! In: a job and its cut list. Out: text: a line for each way to cut a length, with how many are cut so; then what could not
//! be cut, and one line of sums. It decides nothing.

use super::Job;
use super::list::kept;
use baylap_core::cuts::{Cut, CutList, RollCuts};
use baylap_core::plan::Mm;
use std::fmt::Write;

/// The table and its sums.
pub(crate) fn text(job: &Job, found: &CutList) -> String {
    let mut out = String::new();
    let ways = ways(job, found);
    if !ways.is_empty() {
        let mut rows = vec![["lengths", "of mm", "rest mm", "cuts"].map(str::to_owned)];
        rows.extend(ways.into_iter().map(|way| {
            let rest = if way.kept { format!("{}, keep", way.rest) } else { way.rest.to_string() };
            [way.numbers.to_string(), way.length.to_string(), rest, way.cuts]
        }));
        out += &lined_up(&rows);
    }
    for item in &found.uncut {
        let row = job.row(*item);
        // Writing to a text cannot fail.
        let _ = writeln!(out, "not cut: {} (row {}): {}", named(job, *item), row.number, why(job, *item));
    }
    out + &sums(job, found)
}

/// Lengths that are cut in the same way, one after the other.
struct Way {
    numbers: Numbers,
    length: Mm,
    rest: Mm,
    kept: bool,
    cuts: String,
}

/// The first and the last of the lengths cut in one way.
struct Numbers(usize, usize);

impl std::fmt::Display for Numbers {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.0 == self.1 { write!(f, "{}", self.0) } else { write!(f, "{}-{}", self.0, self.1) }
    }
}

fn ways(job: &Job, found: &CutList) -> Vec<Way> {
    let mut ways: Vec<Way> = Vec::new();
    for (roll, number) in found.rolls.iter().zip(1..) {
        let length = job.problem.stocks[roll.stock].length;
        let cuts = cuts(job, roll);
        match ways.last_mut().filter(|way| way.length == length && way.cuts == cuts) {
            Some(way) => way.numbers.1 = number,
            None => ways.push(Way {
                numbers: Numbers(number, number),
                length,
                rest: roll.rest,
                kept: roll.rest > 0 && kept(job, roll) > 0,
                cuts,
            }),
        }
    }
    ways
}

/// The cuts of one length; those that follow one another and are alike are counted.
fn cuts(job: &Job, roll: &RollCuts) -> String {
    let mut told: Vec<(usize, String)> = Vec::new();
    for cut in &roll.cuts {
        let text = cut_text(job, cut);
        match told.last_mut().filter(|(_, before)| *before == text) {
            Some((count, _)) => *count += 1,
            None => told.push((1, text)),
        }
    }
    let told: Vec<String> =
        told.into_iter().map(|(n, text)| if n == 1 { text } else { format!("{n} x {text}") }).collect();
    told.join(" | ")
}

fn cut_text(job: &Job, cut: &Cut) -> String {
    let pieces: Vec<String> = cut.items.iter().map(|&(item, _)| named(job, item)).collect();
    pieces.join(" + ")
}

fn named(job: &Job, item: usize) -> String {
    let row = job.row(item);
    let wide =
        if row.width.is_some() { format!(" x {}", job.problem.items[item].width) } else { String::new() };
    let name = if row.name.is_empty() { String::new() } else { format!(" ({})", row.name) };
    format!("{}{wide}{name}", row.length)
}

fn why(job: &Job, item: usize) -> &'static str {
    let item = &job.problem.items[item];
    let fits = |s: &baylap_core::cuts::Stock| s.length >= item.length && s.width >= item.width;
    if job.problem.stocks.iter().any(fits) {
        "the stock ran out; add stock"
    } else {
        "no stock holds it; cut it in two or add longer or wider stock"
    }
}

fn sums(job: &Job, found: &CutList) -> String {
    let stocks = &job.problem.stocks;
    let opened: Mm = found.rolls.iter().map(|roll| stocks[roll.stock].length).sum();
    let kept: Mm = found.rolls.iter().map(|roll| kept(job, roll)).sum();
    let least = if found.proved {
        "the least, proved".to_owned()
    } else {
        format!("at least {} and {} mm", found.least_rolls, found.least_price)
    };
    format!(
        "{} from {}, {opened} mm ({least}); {kept} mm kept, {} % wasted\n",
        counted(job.problem.items.len() - found.uncut.len(), "piece"),
        counted(found.rolls.len(), "length"),
        wasted(job, found, kept),
    )
}

fn counted(count: usize, word: &str) -> String {
    if count == 1 { format!("1 {word}") } else { format!("{count} {word}s") }
}

/// Percent of the opened stock's area that is neither piece nor kept, to a tenth, rounded half up.
fn wasted(job: &Job, found: &CutList, kept: Mm) -> String {
    let stocks = &job.problem.stocks;
    let width = i128::from(stocks.first().map_or(1, |s| s.width));
    let opened: i128 = found.rolls.iter().map(|roll| i128::from(stocks[roll.stock].length) * width).sum();
    let area =
        |item: usize| i128::from(job.problem.items[item].length) * i128::from(job.problem.items[item].width);
    let pieces: i128 = found
        .rolls
        .iter()
        .flat_map(|roll| &roll.cuts)
        .flat_map(|cut| &cut.items)
        .map(|&(item, _)| area(item))
        .sum();
    let lost = opened - pieces - i128::from(kept) * width;
    let tenths = if opened > 0 { (lost * 2000 + opened) / (2 * opened) } else { 0 };
    format!("{}.{}", tenths / 10, tenths % 10)
}

/// Columns of the same width, the last as it comes.
fn lined_up(rows: &[[String; 4]]) -> String {
    let wide = |at: usize| rows.iter().map(|row| row[at].chars().count()).max().unwrap_or(0);
    let [a, b, c] = [0, 1, 2].map(wide);
    rows.iter()
        .map(|[numbers, length, rest, cuts]| format!("{numbers:>a$}  {length:>b$}  {rest:>c$}  {cuts}\n"))
        .collect()
}
