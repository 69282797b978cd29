//! A list as it is read: levels on the plan, and what is wrong by row.
//!
//! In: a table, how it is read, and the plan it is for. Out: the levels taken, the problems in the order of the rows,
//! and the change that puts the levels into the plan. A row is taken or has a problem that says why not; a row taken
//! may have one that asks to look again.

use super::columns::{Column, imperial};
use super::number::Number;
use super::table::{Row, Table, measures};
use super::{Choices, check};
use crate::change::Change;
use crate::measure;
use baylap_core::Plan;
use baylap_core::geom::{Pt, ring};
use baylap_core::plan::{Mm, SpotLevel, file};

/// A level that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// Line of the text that it stands in, from 1.
    pub row: usize,
    /// Name of the point; may be empty.
    pub name: String,
    /// Where on the plan.
    pub at: Pt,
    /// Level, mm.
    pub level: Mm,
    /// Whether something about it asks to be looked at.
    pub doubtful: bool,
}

/// What is wrong with a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Line of the text, from 1; none when it is about the whole list.
    pub row: Option<usize>,
    /// One sentence: what is wrong, where, what to do.
    pub sentence: String,
    /// Whether the row is left out for it.
    pub left_out: bool,
}

/// A list as read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Reading {
    /// The levels, in the order of the rows.
    pub taken: Vec<Taken>,
    /// The problems, in the order of the rows; those about the whole list first.
    pub problems: Vec<Problem>,
    /// Why nothing at all can be read, one sentence.
    pub refusal: Option<String>,
    /// Levels and places that were rounded to whole millimetres.
    pub rounded: usize,
    /// Places of the list before they are moved on to the plan, whole mm.
    pub(super) places: Vec<Pt>,
}

impl Reading {
    /// Reads a table.
    pub fn of(table: &Table, choices: &Choices, plan: &Plan) -> Self {
        let mut reading = Self { refusal: refusal(table, choices), ..Self::default() };
        if reading.refusal.is_some() {
            return reading;
        }
        for row in table.rows.iter().skip(choices.headings) {
            match reading.read(row, choices) {
                Ok(taken) => reading.taken.push(taken),
                Err(sentence) => reading.leave_out(row.number, sentence),
            }
        }
        reading.put(choices, plan);
        reading.once();
        reading.look(choices, plan);
        reading.problems.sort_by_key(|p| p.row);
        reading
    }

    /// The change that puts the levels into the plan; in place of those there are, when `replace`.
    pub fn change(&self, replace: bool) -> Change {
        let spot = |t: &Taken| SpotLevel { id: 0, at: t.at, level: t.level };
        Change::Spots { spots: self.taken.iter().map(spot).collect(), replace }
    }

    /// Where the box round the list begins, before it is moved on to the plan.
    pub fn corner(&self) -> Option<Pt> {
        ring::bounds(&self.places).map(|(lo, _)| lo)
    }

    /// How many rows are left out.
    pub fn left_out(&self) -> usize {
        self.problems.iter().filter(|p| p.left_out && p.row.is_some()).count()
    }

    /// The least and the greatest level.
    pub fn range(&self) -> Option<[Mm; 2]> {
        let levels = || self.taken.iter().map(|t| t.level);
        Some([levels().min()?, levels().max()?])
    }

    fn leave_out(&mut self, row: usize, sentence: String) {
        self.problems.push(Problem { row: Some(row), sentence, left_out: true });
    }

    fn ask(&mut self, row: usize, sentence: String) {
        self.problems.push(Problem { row: Some(row), sentence, left_out: false });
    }

    fn read(&mut self, row: &Row, choices: &Choices) -> Result<Taken, String> {
        let size = |wanted: Column| -> Result<(Mm, bool), String> {
            let word = wanted.name().to_lowercase();
            let cell = choices.at(wanted).map_or("", |n| row.cell(n));
            if cell.is_empty() {
                return Err(format!("Row {} has no {word}: fill it in, or leave the row out.", row.number));
            }
            let unit = if wanted == Column::Level { choices.levels } else { choices.places };
            let number = Number::read(cell, choices.decimal);
            number
                .map(|n| n.mm(unit))
                .map_err(|wrong| format!("Row {}: the {word} \"{}\" {wrong}.", row.number, short(cell)))
        };
        let (x, y, level) = (size(Column::Easting)?, size(Column::Northing)?, size(Column::Level)?);
        if level.0.abs() > file::COORDINATE {
            return Err(format!("Row {}: the level is more than 10 km: choose its unit.", row.number));
        }
        self.rounded += usize::from(!(x.1 && y.1 && level.1));
        let name = choices.at(Column::Point).map_or("", |n| row.cell(n)).to_owned();
        Ok(Taken { row: row.number, name, at: Pt::new(x.0, y.0), level: level.0, doubtful: false })
    }

    /// Moves the places on to the plan; what then lies too far is left out.
    fn put(&mut self, choices: &Choices, plan: &Plan) {
        self.places = self.taken.iter().map(|t| t.at).collect();
        let shift = choices.put.shift(&self.places, plan);
        let reach = -file::COORDINATE..=file::COORDINATE;
        let mut far = Vec::new();
        self.taken.retain_mut(|t| {
            t.at = shift.of(t.at);
            let near = reach.contains(&t.at.x) && reach.contains(&t.at.y);
            if !near {
                far.push(t.row);
            }
            near
        });
        for row in far {
            let sentence = format!(
                "Row {row} lies more than 10 km from the plan's origin: choose another way to put the list on the plan."
            );
            self.leave_out(row, sentence);
        }
    }

    /// Takes each place once.
    fn once(&mut self) {
        let again = check::again(&self.taken);
        let mut sentences = Vec::new();
        for (t, before) in self.taken.iter().zip(&again) {
            let Some(before) = before.map(|n| &self.taken[n]) else { continue };
            let off = t.level - before.level;
            let higher = if off > 0 { "higher" } else { "lower" };
            let words = if off == 0 {
                format!("Row {} says the same as row {}: it is taken once.", t.row, before.row)
            } else {
                format!(
                    "Row {} is where row {} is, but {} mm {higher}: the first is taken; leave the wrong one out.",
                    t.row,
                    before.row,
                    off.abs()
                )
            };
            sentences.push((t.row, words, (off != 0).then_some(before.row)));
        }
        let mut n = 0;
        self.taken.retain(|_| {
            n += 1;
            again[n - 1].is_none()
        });
        for (row, words, doubt) in sentences {
            self.leave_out(row, words);
            self.taken.iter_mut().filter(|t| Some(t.row) == doubt).for_each(|t| t.doubtful = true);
        }
    }

    /// Levels that stand out, places off the decks.
    fn look(&mut self, choices: &Choices, plan: &Plan) {
        let odd = check::odd(&self.taken);
        for (n, off) in &odd {
            let (row, way) = (self.taken[*n].row, if *off > 0 { "above" } else { "below" });
            let by = off.abs();
            self.taken[*n].doubtful = true;
            if choices.leave_odd_out {
                self.leave_out(
                    row,
                    format!("Row {row} is {by} mm {way} the levels around it, and left out."),
                );
            } else {
                let words =
                    format!("Row {row} is {by} mm {way} the levels around it: look whether it is right.");
                self.ask(row, words);
            }
        }
        if choices.leave_odd_out {
            let mut n = 0;
            self.taken.retain(|_| {
                n += 1;
                !odd.iter().any(|(m, _)| m + 1 == n)
            });
        }
        let off = check::off_decks(&self.taken, plan);
        if !off.is_empty() && off.len() == self.taken.len() {
            let sentence =
                "No row lies on a deck: choose another way to put the list on the plan, or swap the axes."
                    .to_owned();
            self.problems.push(Problem { row: None, sentence, left_out: false });
            return;
        }
        for n in off {
            let row = self.taken[n].row;
            self.taken[n].doubtful = true;
            self.ask(row, format!("Row {row} lies on no deck: look whether it is in its place."));
        }
    }
}

/// Why a table cannot be read at all.
fn refusal(table: &Table, choices: &Choices) -> Option<String> {
    if let Some((row, words)) = imperial(table, choices.headings, &choices.columns) {
        return Some(format!(
            "Row {row} is in feet or inches (\"{}\"): turn the whole list into metres or millimetres and paste it again.",
            short(words)
        ));
    }
    let numbers = |row: &Row| row.cells.iter().filter(|c| measures(c)).count() >= 2;
    if !table.rows.iter().skip(choices.headings).any(numbers) {
        return Some("There is no row of numbers yet: paste one line for each level.".to_owned());
    }
    let lacks: Vec<&str> = [Column::Easting, Column::Northing, Column::Level]
        .into_iter()
        .filter(|c| choices.at(*c).is_none())
        .map(Column::name)
        .collect();
    (!lacks.is_empty()).then(|| {
        format!(
            "No column is {} yet: say over the table which one it is, or choose what parts the columns.",
            lacks.join(", ").to_lowercase()
        )
    })
}

/// The start of a cell, for a sentence.
fn short(cell: &str) -> String {
    const MOST: usize = 24;
    if cell.chars().count() <= MOST {
        return cell.to_owned();
    }
    let start: String = cell.chars().take(MOST).collect();
    format!("{start}...")
}

/// What was read, in a sentence for the screen and the ear.
impl std::fmt::Display for Reading {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if let Some(refusal) = &self.refusal {
            return f.write_str(refusal);
        }
        let count =
            |n: usize, one: &str, many: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {many}") };
        write!(f, "{}", count(self.taken.len(), "level", "levels"))?;
        if let Some([lo, hi]) = self.range() {
            write!(f, " from {} to {}", measure::metres(lo), measure::metres(hi))?;
        }
        match self.left_out() {
            0 => {}
            n => write!(f, "; {} left out", count(n, "row", "rows"))?,
        }
        match self.rounded {
            0 => {}
            n => write!(f, "; {} rounded to whole millimetres", count(n, "row", "rows"))?,
        }
        f.write_str(".")
    }
}
