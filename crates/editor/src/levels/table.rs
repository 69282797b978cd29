//! From text to a table: rows of cells.
//!
//! In: what was pasted or read from a file, and the mark between cells when somebody chose one. Out: rows with the
//! number of the line each began in, so that a problem can be said by its row. It must hold that no text is a failure:
//! whatever cannot be split is one cell. It knows nothing of what a column means.

use super::number::is_imperial;

/// What stands between the cells of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Separator {
    /// A tab: what spreadsheets put on the clipboard.
    Tab,
    /// A semicolon.
    Semicolon,
    /// A comma.
    Comma,
    /// One space or more.
    Spaces,
}

impl Separator {
    /// All of them; of two that part a list equally well the earlier is taken.
    pub const ALL: [Separator; 4] =
        [Separator::Tab, Separator::Semicolon, Separator::Comma, Separator::Spaces];

    /// Its name on screen.
    pub const fn name(self) -> &'static str {
        match self {
            Separator::Tab => "Tabs",
            Separator::Semicolon => "Semicolons",
            Separator::Comma => "Commas",
            Separator::Spaces => "Spaces",
        }
    }

    const fn mark(self) -> char {
        match self {
            Separator::Tab => '\t',
            Separator::Semicolon => ';',
            Separator::Comma => ',',
            Separator::Spaces => ' ',
        }
    }
}

/// A row with something in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// The line of the text that it begins in, from 1.
    pub number: usize,
    /// Its cells, without the blanks about them.
    pub cells: Vec<String>,
}

impl Row {
    /// What a column holds; empty beyond the end.
    pub fn cell(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", String::as_str)
    }
}

/// Rows of cells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// What parted the cells.
    pub separator: Separator,
    /// The rows, without empty ones.
    pub rows: Vec<Row>,
    /// The most cells in a row.
    pub width: usize,
}

impl Table {
    /// Splits a text; the separator is the one that gives the most numbers, unless one was chosen.
    pub fn of(text: &str, chosen: Option<Separator>) -> Self {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let separator = chosen.unwrap_or_else(|| best(text));
        let rows = split(text, separator, usize::MAX);
        let width = rows.iter().map(|r| r.cells.len()).max().unwrap_or(0);
        Self { separator, rows, width }
    }
}

/// Rows looked at to find the separator.
const LOOKED_AT: usize = 60;

fn best(text: &str) -> Separator {
    let worth = |s: Separator| {
        let rows = split(text, s, LOOKED_AT);
        rows.iter().flat_map(|r| &r.cells).filter(|c| measures(c)).count()
    };
    let mut found = (0, Separator::Tab);
    for separator in Separator::ALL {
        let worth = worth(separator);
        if worth > found.0 {
            found = (worth, separator);
        }
    }
    if found.0 == 0 && !text.contains('\t') { Separator::Comma } else { found.1 }
}

/// Whether a cell looks like a number, metric or in feet and inches, with either decimal mark.
pub(super) fn measures(cell: &str) -> bool {
    cell.starts_with(|c: char| c.is_ascii_digit() || "+-−.,".contains(c))
        && cell.contains(|c: char| c.is_ascii_digit())
        && cell.matches([',', '.']).count() <= 2
        && (is_imperial(cell)
            || (grouped(cell)
                && cell.chars().all(|c| c.is_ascii_digit() || " +-−.,m\u{a0}\u{202f}".contains(c))))
}

/// Whether blanks part groups of three digits, or digits from a unit, and nothing else.
fn grouped(cell: &str) -> bool {
    let mut parts = cell.split([' ', '\u{a0}', '\u{202f}']).skip(1);
    parts.all(|p| matches!(p, "m" | "mm") || p.chars().take_while(char::is_ascii_digit).count() == 3)
}

/// The cells of the first so many rows that hold anything.
fn split(text: &str, separator: Separator, most: usize) -> Vec<Row> {
    let mut rows = Vec::new();
    let mut reader = Reader { chars: text.chars().peekable(), line: 1, separator };
    while rows.len() < most {
        let number = reader.line;
        let Some(cells) = reader.row() else { break };
        if cells.iter().any(|c| !c.is_empty()) {
            rows.push(Row { number, cells });
        }
    }
    rows
}

struct Reader<'a> {
    chars: std::iter::Peekable<std::str::Chars<'a>>,
    line: usize,
    separator: Separator,
}

impl Reader<'_> {
    /// The next row; `None` at the end.
    fn row(&mut self) -> Option<Vec<String>> {
        self.chars.peek()?;
        let mut cells = vec![String::new()];
        while let Some(c) = self.chars.next() {
            match c {
                '\r' | '\n' => {
                    self.end_of_line(c);
                    break;
                }
                '"' if cells.last().is_some_and(|cell| cell.trim().is_empty()) => self.quoted(&mut cells),
                c if self.parts(c) => {
                    // Of spaces, many are one, and those before the first cell are none.
                    if self.separator != Separator::Spaces || cells.last().is_some_and(|c| !c.is_empty()) {
                        cells.push(String::new());
                    }
                }
                c => cells.last_mut()?.push(c),
            }
        }
        cells.iter_mut().for_each(|c| *c = c.trim().to_owned());
        while self.separator == Separator::Spaces && cells.last().is_some_and(String::is_empty) {
            cells.pop();
        }
        Some(cells)
    }

    fn parts(&self, c: char) -> bool {
        c == self.separator.mark() || (self.separator == Separator::Spaces && c == '\t')
    }

    fn end_of_line(&mut self, c: char) {
        if c == '\r' && self.chars.peek() == Some(&'\n') {
            self.chars.next();
        }
        self.line += 1;
    }

    /// A quoted cell: two quotes are one, line ends belong to it. A quote that is never closed is a quote and no more.
    fn quoted(&mut self, cells: &mut [String]) {
        let Some(cell) = cells.last_mut() else { return };
        let mut ahead = self.chars.clone();
        let mut inside = String::new();
        while let Some(c) = ahead.next() {
            match c {
                '"' if ahead.peek() == Some(&'"') => {
                    ahead.next();
                    inside.push('"');
                }
                '"' => {
                    self.line += inside.matches('\n').count();
                    *cell = inside.replace(['\r', '\n'], " ");
                    self.chars = ahead;
                    return;
                }
                c => inside.push(c),
            }
        }
        cell.push('"');
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, separator: Separator, rows: &[&[&str]]) {
        let table = Table::of(text, None);
        assert_eq!(table.separator, separator, "{text:?}");
        let cells: Vec<Vec<&str>> =
            table.rows.iter().map(|r| r.cells.iter().map(String::as_str).collect()).collect();
        assert_eq!(cells, rows, "{text:?}");
    }

    #[test]
    fn the_mark_between_cells_is_found() {
        check("1,10.5,20.25,1.2,DECK", Separator::Comma, &[&["1", "10.5", "20.25", "1.2", "DECK"]]);
        check("1, 10.5, 20.25, 1.2", Separator::Comma, &[&["1", "10.5", "20.25", "1.2"]]);
        check("1;10,5;20,25;1,2", Separator::Semicolon, &[&["1", "10,5", "20,25", "1,2"]]);
        check("1\t10,5\t20,25\t1,2", Separator::Tab, &[&["1", "10,5", "20,25", "1,2"]]);
        check("  1   10.5 20.25   1.2 ", Separator::Spaces, &[&["1", "10.5", "20.25", "1.2"]]);
        check("1 10,5 20,25 1,2", Separator::Spaces, &[&["1", "10,5", "20,25", "1,2"]]);
        check("12'-6\" 3' 1\"", Separator::Spaces, &[&["12'-6\"", "3'", "1\""]]);
    }

    #[test]
    fn marks_of_files_are_not_in_the_cells() {
        check(
            "\u{feff}E,N,Z\r\n1,2,3\r\n\r\n4,5,6\r",
            Separator::Comma,
            &[&["E", "N", "Z"], &["1", "2", "3"], &["4", "5", "6"]],
        );
        let table = Table::of("a,b\r\n\r\n1,2", None);
        assert_eq!(table.rows.iter().map(|r| r.number).collect::<Vec<_>>(), [1, 3]);
    }

    /// Quoting as RFC 4180, section 2, items 5 to 7 (from memory).
    #[test]
    fn quoted_cells() {
        check(
            "1,\"10,5\",20,1,\"DECK, \"\"low\"\"\"",
            Separator::Comma,
            &[&["1", "10,5", "20", "1", "DECK, \"low\""]],
        );
        let table = Table::of("1,2,3,\"two\nlines\"\n4,5,6,x", None);
        assert_eq!(table.rows[0].cells[3], "two lines");
        assert_eq!(table.rows[1].number, 3);
        check(
            "1,2,3,\"open\n4,5,6,x",
            Separator::Comma,
            &[&["1", "2", "3", "\"open"], &["4", "5", "6", "x"]],
        );
    }

    #[test]
    fn a_chosen_mark_holds() {
        let table = Table::of("1,5;2,5;3,5", Some(Separator::Comma));
        assert_eq!((table.separator, table.width), (Separator::Comma, 4));
        assert_eq!(Table::of("", None).rows, []);
        assert_eq!(Table::of("hello", None).width, 1);
    }
}
