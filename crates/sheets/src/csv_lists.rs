//! The lists as CSV files for spreadsheets.
//!
//! In: plan and layout. Out: comma-separated text with one line of heads, figures in whole mm, no byte order mark. A
//! cell of text that a spreadsheet would take for a formula gets an apostrophe before it.

use crate::reference::References;
use crate::table::{Cut, cut_rows, piece_rows};
use baylap_core::Plan;
use baylap_core::layout::{Layout, Roll};
use baylap_core::plan::Mm;

/// The cut list: one line a cut, roll by roll from the free end and across, with a last line a roll for its rest. Columns
/// that came later stand at the end.
pub fn cut_list_csv(layout: &Layout) -> String {
    let mut sheet = Sheet::new(&[
        "job",
        "roll",
        "roll_width_mm",
        "roll_length_mm",
        "cut",
        "piece",
        "bay",
        "course",
        "from_mm",
        "to_mm",
        "length_mm",
        "width_mm",
        "across_mm",
        "strip",
        "run_on_from_roll",
        "roll_kind",
    ]);
    let rows = cut_rows(layout);
    let kind = |roll: &Roll| (Mm::from(roll.kind) + 1).to_string();
    for roll in &layout.rolls {
        let figures = |v: &[Mm]| v.iter().map(ToString::to_string).collect::<Vec<String>>();
        let head = || {
            let mut cells = vec![guarded(&layout.job)];
            cells.extend(figures(&[Mm::from(roll.number), roll.width, roll.length]));
            cells
        };
        for row in rows.iter().filter(|r| r.roll == roll.number) {
            let mut cells = head();
            let blank = String::new;
            let (what, of, last) = match row.cut {
                Cut::Piece { piece, bay, course, run_on } => {
                    let of = [piece, bay, course].map(|n| n.to_string());
                    ("piece", of, [blank(), run_on.map_or_else(blank, |n| n.to_string())])
                }
                Cut::Strip { strip } => ("strip", [blank(), blank(), blank()], [strip.to_string(), blank()]),
            };
            cells.push(what.to_owned());
            cells.extend(of);
            cells.extend(figures(&[row.from, row.to, row.length, row.width, row.across]));
            cells.extend(last);
            cells.push(kind(roll));
            sheet.line(cells);
        }
        let mut cells = head();
        cells.push(if roll.kept { "offcut" } else { "scrap" }.to_owned());
        cells.extend([String::new(), String::new(), String::new()]);
        cells.extend(figures(&[roll.length - roll.rest, roll.length, roll.rest, roll.width, 0]));
        cells.extend([String::new(), String::new(), kind(roll)]);
        sheet.line(cells);
    }
    sheet.finish()
}

/// The piece table: one line a piece. Chainages and offsets run from what the sheet says they run from.
pub fn piece_table_csv(plan: &Plan, layout: &Layout) -> String {
    let mut sheet = Sheet::new(&[
        "job",
        "piece",
        "zone",
        "bay",
        "course",
        "offset_mm",
        "start_mm",
        "stop_mm",
        "cut_length_mm",
        "width_mm",
        "roll",
        "from_on_roll_mm",
        "end_lap_start_mm",
        "end_lap_stop_mm",
        "side_lap_before_mm",
        "side_lap_after_mm",
        "across_on_roll_mm",
        "run_on_from_roll",
    ]);
    for row in piece_rows(layout, &References::new(plan, layout)) {
        let mut cells = vec![guarded(&layout.job)];
        let figures = [
            Mm::from(row.piece),
            Mm::from(row.zone),
            Mm::from(row.bay),
            Mm::from(row.course),
            row.offset,
            row.start,
            row.stop,
            row.length,
            row.width,
            Mm::from(row.roll),
            row.roll_from,
            row.end_laps[0],
            row.end_laps[1],
            row.side_laps[0],
            row.side_laps[1],
        ];
        cells.extend(figures.iter().map(ToString::to_string));
        cells.push(row.roll_across.unwrap_or(0).to_string());
        cells.push(row.run_on.map_or_else(String::new, |n| n.to_string()));
        sheet.line(cells);
    }
    sheet.finish()
}

/// Text that no spreadsheet takes for a formula.
pub(crate) fn guarded(text: &str) -> String {
    let risky = text.trim_start().starts_with(['=', '+', '-', '@']) || text.starts_with(['\t', '\r', '\n']);
    if risky { format!("'{text}") } else { text.to_owned() }
}

/// A file being written line by line.
pub(crate) struct Sheet {
    writer: csv::Writer<Vec<u8>>,
}

impl Sheet {
    /// A file with its heads.
    pub(crate) fn new(heads: &[&str]) -> Self {
        let mut sheet = Self { writer: csv::Writer::from_writer(Vec::new()) };
        sheet.line(heads.iter().map(|h| (*h).to_owned()).collect());
        sheet
    }

    /// One line more.
    pub(crate) fn line(&mut self, cells: Vec<String>) {
        // Lines have one length and writing to memory cannot fail.
        let _ = self.writer.write_record(cells);
    }

    /// The text.
    pub(crate) fn finish(self) -> String {
        self.writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_look_like_formulas_are_guarded() {
        // OWASP, CSV injection: cells that begin with = + - @, tab or carriage return.
        for risky in ["=1+1", "+1", "-1", "@sum", "\t=1", " =1"] {
            assert!(guarded(risky).starts_with('\''), "{risky}");
        }
        assert_eq!(guarded("Roof 4"), "Roof 4");
    }
}
