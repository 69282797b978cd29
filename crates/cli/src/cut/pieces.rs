//! The pieces wanted: a list in CSV or JSON.
//!
//! In: the bytes of a list. Out: rows of pieces in the order given, or one sentence with the row it is about. CSV: length,
//! count, name, width, or any order under a header; the comma, the semicolon and the tab part the cells, and where it is
//! not the comma, a comma is a decimal mark. JSON: an array of lengths, or of objects with those names. It checks nothing
//! against the stock.

use super::measure::{LONGEST, Unit, length};
use super::sheet::{self, Line};
use baylap_core::plan::Mm;
use serde_json::Value;

/// Most pieces that are taken.
pub(crate) const MOST_PIECES: u64 = 100_000;

/// Pieces that are alike.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Row {
    /// Where it stands in the list: its line in CSV, its place in JSON, from 1.
    pub(crate) number: usize,
    /// Length, mm.
    pub(crate) length: Mm,
    /// How many.
    pub(crate) count: u32,
    /// Name, may be empty.
    pub(crate) name: String,
    /// Width, mm; absent where it is the stock's.
    pub(crate) width: Option<Mm>,
}

/// The rows of a list.
pub(crate) fn read(bytes: &[u8], unit: Unit) -> Result<Vec<Row>, String> {
    let text = std::str::from_utf8(bytes)
        .map_err(|_| "The list is not text in UTF-8: save it as CSV in UTF-8, or as JSON.".to_owned())?;
    let text = text.trim_start_matches('\u{feff}');
    let rows = match text.trim_start().bytes().next() {
        Some(b'[' | b'{') => of_json(text, unit)?,
        _ => of_sheet(text, unit)?,
    };
    if rows.is_empty() {
        return Err("The list holds no piece: write one length in a line.".to_owned());
    }
    if rows.iter().map(|r| u64::from(r.count)).sum::<u64>() > MOST_PIECES {
        return Err(format!("The list holds more than {MOST_PIECES} pieces: cut it in parts."));
    }
    Ok(rows)
}

fn of_sheet(text: &str, unit: Unit) -> Result<Vec<Row>, String> {
    let mut lines = sheet::lines(text)?;
    let header = lines.first().and_then(|line| Columns::of_header(&line.cells, unit));
    let columns = match header {
        Some(columns) => {
            lines.remove(0);
            columns?
        }
        None => Columns::usual(unit),
    };
    lines.iter().map(|line| columns.row(line)).collect()
}

/// Which cell holds what.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Columns {
    length: usize,
    count: Option<usize>,
    name: Option<usize>,
    width: Option<usize>,
    all: usize,
    unit: Unit,
    width_unit: Unit,
}

impl Columns {
    fn usual(unit: Unit) -> Self {
        let (count, name, width) = (Some(1), Some(2), Some(3));
        Self { length: 0, count, name, width, all: 4, unit, width_unit: unit }
    }

    /// The columns that a first line names; `None` when it is no header.
    fn of_header(cells: &[String], unit: Unit) -> Option<Result<Self, String>> {
        let words: Vec<Vec<String>> = cells.iter().map(|cell| words(cell)).collect();
        let find = |names: &[&str]| {
            words.iter().position(|w| w.first().is_some_and(|first| names.contains(&first.as_str())))
        };
        let (count, name) = (find(&["count", "quantity", "qty"]), find(&["name", "mark", "label"]));
        let (length, width) = (find(&["length"]), find(&["width"]));
        if length.is_none() && count.is_none() && name.is_none() && width.is_none() {
            return None;
        }
        let Some(length) = length else {
            return Some(Err("The header names no column \"length\": name it so.".to_owned()));
        };
        let unit_of = |at: usize| match words[at].last().map(String::as_str) {
            Some("m" | "metres" | "meters") => Unit::Metre,
            Some("mm") => Unit::Millimetre,
            _ => unit,
        };
        let (length_unit, width_unit) = (unit_of(length), width.map_or(unit, unit_of));
        Some(Ok(Self { length, count, name, width, all: cells.len(), unit: length_unit, width_unit }))
    }

    fn row(&self, line: &Line) -> Result<Row, String> {
        let told = |what: String| format!("Line {}: {what}.", line.number);
        if line.cells.iter().skip(self.all).any(|cell| !cell.is_empty()) {
            let most = self.all;
            let mend = "where the comma is the decimal mark, part the cells with semicolons";
            return Err(told(format!("it has more than {most} cells; {mend}")));
        }
        let cell = |at: Option<usize>| {
            at.and_then(|at| line.cells.get(at)).map(|cell| cell.trim()).filter(|cell| !cell.is_empty())
        };
        let Some(long) = cell(Some(self.length)) else { return Err(told("it has no length".to_owned())) };
        Ok(Row {
            number: line.number,
            length: length(long, self.unit).map_err(told)?,
            count: cell(self.count).map_or(Ok(1), count).map_err(told)?,
            name: cell(self.name).unwrap_or_default().to_owned(),
            width: cell(self.width).map(|w| length(w, self.width_unit)).transpose().map_err(told)?,
        })
    }
}

/// The words of a heading, small: `Length [mm]` and `length_mm` are both `length`, `mm`.
fn words(cell: &str) -> Vec<String> {
    cell.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(str::to_owned)
        .collect()
}

fn count(text: &str) -> Result<u32, String> {
    let wrong = || format!("\"{text}\" is no count: write a whole number from 1 to {MOST_PIECES}");
    text.parse().ok().filter(|&n| n > 0 && u64::from(n) <= MOST_PIECES).ok_or_else(wrong)
}

fn of_json(text: &str, unit: Unit) -> Result<Vec<Row>, String> {
    let value: Value = serde_json::from_str(text)
        .map_err(|e| format!("Line {}: this is no sound JSON ({e}): check it there.", e.line()))?;
    let Value::Array(list) = value else {
        return Err(
            "The JSON is no list: write [12000, 8000] or [{\"length\": 12000, \"count\": 3}].".to_owned()
        );
    };
    list.iter()
        .zip(1..)
        .map(|(value, number)| {
            json_row(value, number, unit).map_err(|what| format!("Piece {number}: {what}."))
        })
        .collect()
}

fn json_row(value: &Value, number: usize, unit: Unit) -> Result<Row, String> {
    let mut row = Row { number, length: 0, count: 1, name: String::new(), width: None };
    let Value::Object(fields) = value else {
        row.length = json_length(value, unit)?;
        return Ok(row);
    };
    for (key, value) in fields {
        match key.as_str() {
            "length" => row.length = json_length(value, unit)?,
            "width" if value.is_null() => {}
            "width" => row.width = Some(json_length(value, unit)?),
            "count" => row.count = count(&value.to_string())?,
            "name" => row.name = value.as_str().ok_or("its name is no text: put it in quotes")?.to_owned(),
            _ => return Err(format!("\"{key}\" is not known: there are length, count, name and width")),
        }
    }
    if row.length == 0 { Err("it has no length".to_owned()) } else { Ok(row) }
}

fn json_length(value: &Value, unit: Unit) -> Result<Mm, String> {
    match value {
        // The number as it is written, so that nothing is rounded on the way.
        Value::Number(number) => length(&number.to_string(), unit),
        Value::String(text) => length(text, unit),
        _ => Err(format!("a length is a number of mm from 1 to {LONGEST}, not {}", kind(value))),
    }
}

fn kind(value: &Value) -> &'static str {
    match value {
        Value::Null => "null",
        Value::Bool(_) => "true or false",
        Value::Array(_) => "a list",
        _ => "an object",
    }
}

#[cfg(test)]
mod tests {
    //! Lists as people have them.
    use super::*;

    #[track_caller]
    fn rows(text: &str) -> Vec<(Mm, u32, String, Option<Mm>)> {
        let rows = read(text.as_bytes(), Unit::Millimetre).unwrap();
        rows.into_iter().map(|r| (r.length, r.count, r.name, r.width)).collect()
    }

    #[track_caller]
    fn one(text: &str, length: Mm, count: u32, name: &str, width: Option<Mm>) {
        assert_eq!(rows(text), [(length, count, name.to_owned(), width)], "{text}");
    }

    #[test]
    fn cells_may_be_parted_in_three_ways() {
        for text in
            ["1250,3,rail,400", "1250;3;rail;400\r\n", "1250\t3\trail\t400\n\n", "\u{feff}1250, 3, rail, 400"]
        {
            one(text, 1250, 3, "rail", Some(400));
        }
        one("1250", 1250, 1, "", None);
        one("1250,,\"rail, long\"", 1250, 1, "rail, long", None);
        one("1250,2,\"a \"\"b\"\"\"", 1250, 2, "a \"b\"", None);
    }

    #[test]
    fn a_header_may_name_the_columns_and_their_unit() {
        one("name;Length (m);qty\nA;12,5;2", 12_500, 2, "A", None);
        one("Length_mm\n1250", 1250, 1, "", None);
        one("length m,count\n\"12,5\",2", 12_500, 2, "", None);
        one("mark,width [mm],length [m]\nA,300,2.5", 2500, 1, "A", Some(300));
    }

    #[test]
    fn a_comma_is_a_decimal_mark_where_it_parts_nothing() {
        one("12,5 m;2", 12_500, 2, "", None);
        // One column by its header: the comma can part nothing.
        one("length (m)\n12,5", 12_500, 1, "", None);
        assert_eq!(rows("12,5")[0], (12, 5, String::new(), None));
    }

    #[test]
    fn json_is_a_list_of_lengths_or_of_objects() {
        assert_eq!(
            rows("[1250, \"2.5 m\", {\"length\": 7.0, \"count\": 2, \"name\": \"A\", \"width\": 5}]").len(),
            3
        );
        one("[{\"length\": 1250, \"width\": null}]", 1250, 1, "", None);
    }

    #[test]
    fn what_is_wrong_is_told_with_its_place() {
        for (text, says) in [
            ("", "holds no piece"),
            ("length,count\n", "holds no piece"),
            ("[]", "holds no piece"),
            ("1250\nfoo", "Line 2: \"foo\" is no length"),
            ("foo,bar", "Line 1: \"foo\" is no length"),
            ("count,name\n1,A", "names no column \"length\""),
            ("1250,0", "Line 1: \"0\" is no count"),
            ("1250,1.5", "Line 1: \"1.5\" is no count"),
            ("1250\n\n12.5,3", "Line 3: 12.5 is not whole millimetres"),
            ("length,count\n12,5,3", "Line 2: it has more than 2 cells"),
            (",3", "Line 1: it has no length"),
            ("1,99999\n1,99999", "more than 100000 pieces"),
            ("\"1250", "Line 1: a quotation mark is not closed"),
            ("{\"length\": 5}", "is no list"),
            ("[5, true]", "Piece 2: a length is a number"),
            ("[{\"count\": 5}]", "Piece 1: it has no length"),
            ("[{\"length\": 5, \"size\": 5}]", "Piece 1: \"size\" is not known"),
            ("[{\"length\": 5, \"count\": \"x\"}]", "is no count"),
            ("[1250,", "Line 1: this is no sound JSON"),
        ] {
            let said = read(text.as_bytes(), Unit::Millimetre).unwrap_err();
            assert!(said.contains(says), "{text:?}: {said}");
        }
        assert!(read(b"\xff\xfe1", Unit::Millimetre).unwrap_err().contains("UTF-8"));
    }
}
