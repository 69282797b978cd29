//! Spot levels from a list: pasted from a spreadsheet, or read from a file as survey instruments write them.
//!
//! ```text
//! text --> Table (rows of cells) --> Choices (guessed, changed by the user) --> Reading (levels, problems) --> Change
//! ```
//!
//! In: text. Out: a spot level for each row that reads, and for every other row one sentence with its number. Column
//! order, headings, decimal mark and units are guessed and shown; the user decides. Sizes are metric: a list in feet
//! and inches is refused whole. The text itself is never touched, and nothing reaches the plan before the change made
//! of a reading is applied, which is one step.

mod check;
mod columns;
mod near;
mod number;
mod place;
mod reading;
mod table;

pub use columns::Column;
pub use number::{DecimalMark, Unit};
pub use place::Put;
pub use reading::{Problem, Reading, Taken};
pub use table::{Row, Separator, Table};

use baylap_core::Plan;
use baylap_core::plan::Mm;
use number::Number;

/// No origin is further than this, mm: once round the Earth.
const FURTHEST: Mm = 40_100_000_000;

/// How a list is read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choices {
    /// Rows at the start that are headings.
    pub headings: usize,
    /// What each column holds.
    pub columns: Vec<Column>,
    /// Decimal mark.
    pub decimal: DecimalMark,
    /// Unit of eastings and northings.
    pub places: Unit,
    /// Unit of levels.
    pub levels: Unit,
    /// How the list comes to lie on the plan.
    pub put: Put,
    /// Whether levels far from those around them are left out.
    pub leave_odd_out: bool,
}

impl Choices {
    /// The best guess for a table and the plan that it is for.
    pub fn guess(table: &Table, plan: &Plan) -> Self {
        let meaning = columns::meaning(table);
        let mut choices = Self {
            headings: meaning.headings,
            columns: meaning.columns,
            decimal: meaning.decimal,
            places: Unit::Metres,
            levels: Unit::Metres,
            put: Put::AsTyped,
            leave_odd_out: false,
        };
        choices.places = meaning.places.unwrap_or_else(|| choices.likely_places(table, plan));
        choices.levels = meaning.levels.unwrap_or_else(|| choices.likely_levels(table));
        choices.put = place::likely(&Reading::of(table, &choices, plan), plan);
        choices
    }

    /// Gives a column a meaning; another that had it has none then, for a list has one of each.
    pub fn set_column(&mut self, at: usize, meaning: Column) {
        if meaning != Column::Ignored {
            self.columns.iter_mut().filter(|c| **c == meaning).for_each(|c| *c = Column::Ignored);
        }
        if let Some(column) = self.columns.get_mut(at) {
            *column = meaning;
        }
    }

    /// Takes eastings for northings and northings for eastings.
    pub fn swap_axes(&mut self) {
        for column in &mut self.columns {
            *column = match *column {
                Column::Easting => Column::Northing,
                Column::Northing => Column::Easting,
                other => other,
            };
        }
    }

    /// Whether eastings stand before northings.
    pub fn easting_first(&self) -> bool {
        self.at(Column::Easting) <= self.at(Column::Northing)
    }

    /// Number of the column that holds something.
    pub fn at(&self, wanted: Column) -> Option<usize> {
        self.columns.iter().position(|c| *c == wanted)
    }

    /// The numbers of a column that read.
    fn numbers(&self, table: &Table, wanted: Column) -> Vec<Number> {
        let Some(column) = self.at(wanted) else { return Vec::new() };
        let body = table.rows.iter().skip(self.headings);
        body.filter_map(|row| Number::read(row.cell(column), self.decimal).ok()).collect()
    }

    /// The unit in which the list is about as large as the decks; without decks, a roof is less than 400 m long.
    fn likely_places(&self, table: &Table, plan: &Plan) -> Unit {
        let size = |c| spread(&self.numbers(table, c));
        let raw = size(Column::Easting).max(size(Column::Northing));
        let Some([width, height]) = place::size_of_decks(plan) else {
            return if raw < 400.0 { Unit::Metres } else { Unit::Millimetres };
        };
        #[allow(clippy::cast_precision_loss)]
        let deck = width.max(height) as f64;
        // Half way, by ratio, between a list in metres and one in millimetres.
        if raw * 31.6 < deck { Unit::Metres } else { Unit::Millimetres }
    }

    /// Levels with anything after the mark are metres, unless they differ by more than any roof.
    fn likely_levels(&self, table: &Table) -> Unit {
        let levels = self.numbers(table, Column::Level);
        let marked = levels.iter().any(|n| !n.is_whole());
        let spread = spread(&levels);
        if (marked && spread < 20.0) || (!marked && spread < 1.0 && self.places == Unit::Metres) {
            Unit::Metres
        } else {
            Unit::Millimetres
        }
    }
}

/// Reads an ordinate of an origin: as far away as a survey's zero may be, in the list's unit unless one is typed.
///
/// # Errors
/// One sentence: what is wrong and what to do.
pub fn parse_origin(text: &str, unit: Unit) -> Result<Mm, String> {
    let read = Number::read(text, DecimalMark::Point).or_else(|_| Number::read(text, DecimalMark::Comma));
    match read.map(|n| n.mm(unit).0) {
        Ok(mm) if mm.abs() <= FURTHEST => Ok(mm),
        Ok(_) => Err(format!("\"{}\" is further than the Earth is round: mend it.", text.trim())),
        Err(_) if text.trim().is_empty() => Err("Nothing is typed: type what is to be taken off.".to_owned()),
        Err(_) => Err(format!("\"{}\" is not a number: type it like 412000.5 or 412000.5 m.", text.trim())),
    }
}

/// The greatest less the least.
fn spread(numbers: &[Number]) -> f64 {
    let values = || numbers.iter().map(|n| n.value());
    let most = values().fold(f64::NEG_INFINITY, f64::max);
    let least = values().fold(f64::INFINITY, f64::min);
    if numbers.is_empty() { 0.0 } else { most - least }
}

#[cfg(test)]
mod tests;
