//! Cells of a CSV file, as spreadsheets of any country write it (RFC 4180, and with semicolons or tabs).
//!
//! In: text. Out: lines of cells with their line numbers, blank lines left out; or one sentence. It knows no columns.

/// A line with something in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Line {
    /// Its number in the text, from 1; of a cell that runs over several lines, the first.
    pub(crate) number: usize,
    /// Its cells.
    pub(crate) cells: Vec<String>,
}

/// The lines of a text.
pub(crate) fn lines(text: &str) -> Result<Vec<Line>, String> {
    let mark = mark_of(text);
    let mut lines = Vec::new();
    let mut reading = Reading::default();
    for c in text.chars().filter(|&c| c != '\r').chain(['\n']) {
        reading.take(c, mark, &mut lines);
    }
    if let Some(opened) = reading.opened {
        return Err(format!("Line {opened}: a quotation mark is not closed: close it or take it out."));
    }
    Ok(lines)
}

/// What parts the cells: the tab, else the semicolon, else the comma; nothing where the first line is a word alone, so
/// that a column with decimal commas is one column.
fn mark_of(text: &str) -> Option<char> {
    if let Some(mark) = ['\t', ';'].into_iter().find(|&mark| text.contains(mark)) {
        return Some(mark);
    }
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let heads_one_column =
        !first.contains(',') && first.trim_start().starts_with(|c: char| c.is_alphabetic());
    (!heads_one_column).then_some(',')
}

#[derive(Debug)]
struct Reading {
    number: usize,
    start: usize,
    cells: Vec<String>,
    cell: String,
    opened: Option<usize>,
    was_quoted: bool,
}

impl Default for Reading {
    fn default() -> Self {
        Self { number: 1, start: 1, cells: Vec::new(), cell: String::new(), opened: None, was_quoted: false }
    }
}

impl Reading {
    fn take(&mut self, c: char, mark: Option<char>, lines: &mut Vec<Line>) {
        match c {
            '"' if self.opened.is_some() => (self.opened, self.was_quoted) = (None, true),
            '"' if self.was_quoted => {
                // Two in a row within quotes stand for one.
                self.cell.push('"');
                self.opened = Some(self.number);
            }
            '"' if self.cell.trim().is_empty() => {
                self.cell.clear();
                self.opened = Some(self.number);
            }
            '\n' => {
                if self.opened.is_some() {
                    self.cell.push(c);
                } else {
                    self.end_line(lines);
                }
                self.number += 1;
            }
            c if Some(c) == mark && self.opened.is_none() => self.end_cell(),
            c => self.cell.push(c),
        }
    }

    fn end_cell(&mut self) {
        self.cells.push(std::mem::take(&mut self.cell).trim().to_owned());
        self.was_quoted = false;
    }

    fn end_line(&mut self, lines: &mut Vec<Line>) {
        self.end_cell();
        let cells = std::mem::take(&mut self.cells);
        if cells.iter().any(|cell| !cell.is_empty()) {
            lines.push(Line { number: self.start, cells });
        }
        self.start = self.number + 1;
    }
}
