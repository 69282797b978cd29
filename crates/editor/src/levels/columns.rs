//! What the columns of a list mean.
//!
//! In: a table. Out: which rows are headings, what each column holds, the decimal mark and the units, as far as they
//! can be told: a guess that is shown and that the user decides over. It reads no levels.

use super::number::{DecimalMark, Number, Unit, is_imperial};
use super::table::{Row, Table, measures};

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Column {
    /// Number or name of the point.
    Point,
    /// Distance to the east, or to the right.
    Easting,
    /// Distance to the north, or up.
    Northing,
    /// Level.
    Level,
    /// Code or description.
    Code,
    /// Nothing that is wanted.
    Ignored,
}

impl Column {
    /// All of them, in the order of the choices.
    pub const ALL: [Column; 6] =
        [Column::Point, Column::Easting, Column::Northing, Column::Level, Column::Code, Column::Ignored];

    /// Its name on screen.
    pub const fn name(self) -> &'static str {
        match self {
            Column::Point => "Point",
            Column::Easting => "Easting",
            Column::Northing => "Northing",
            Column::Level => "Level",
            Column::Code => "Code",
            Column::Ignored => "Leave out",
        }
    }

    /// Words of headings that mean it, in small letters.
    const fn words(self) -> &'static [&'static str] {
        match self {
            Column::Point => {
                &["point", "pt", "no", "nr", "number", "name", "id", "#", "station", "pointno", "pointid"]
            }
            Column::Easting => &["e", "east", "easting", "eastings", "x"],
            Column::Northing => &["n", "north", "northing", "northings", "y"],
            Column::Level => &[
                "level",
                "levels",
                "lvl",
                "z",
                "h",
                "height",
                "ht",
                "rl",
                "elevation",
                "elev",
                "el",
                "reduced",
            ],
            Column::Code => {
                &["code", "description", "desc", "feature", "remark", "remarks", "note", "notes", "comment"]
            }
            Column::Ignored => &[],
        }
    }

    /// Whether it holds sizes.
    pub(super) const fn is_size(self) -> bool {
        matches!(self, Column::Easting | Column::Northing | Column::Level)
    }
}

/// What was told about a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Meaning {
    /// Rows at the start that are headings.
    pub(super) headings: usize,
    /// What each column holds.
    pub(super) columns: Vec<Column>,
    /// Decimal mark.
    pub(super) decimal: DecimalMark,
    /// Unit that the headings give eastings and northings.
    pub(super) places: Option<Unit>,
    /// Unit that the headings give levels.
    pub(super) levels: Option<Unit>,
}

/// Tells what a table means.
pub(super) fn meaning(table: &Table) -> Meaning {
    let headings = headings(table);
    let body = &table.rows[headings..];
    let decimal = decimal(body);
    let words = table.rows[..headings].iter().max_by_key(|r| known(r));
    let columns = columns(table.width, words, body, decimal);
    let unit = |wanted: &[Column]| {
        let named =
            columns.iter().zip(words.map_or(&[][..], |w| &w.cells)).filter(|(c, _)| wanted.contains(c));
        named.filter_map(|(_, word)| unit_of(word)).next()
    };
    let (places, levels) = (unit(&[Column::Easting, Column::Northing]), unit(&[Column::Level]));
    Meaning { headings, columns, decimal, places, levels }
}

/// Rows before the first that holds two numbers.
fn headings(table: &Table) -> usize {
    let numbers = |row: &Row| row.cells.iter().filter(|c| measures(c)).count();
    let first = table.rows.iter().position(|row| numbers(row) >= 2);
    // Without any row of numbers, the words of a heading alone are one.
    first.unwrap_or_else(|| table.rows.iter().take_while(|r| known(r) > 0).count())
}

/// How many cells of a row are words of headings.
fn known(row: &Row) -> usize {
    row.cells.iter().filter(|cell| meaning_of(cell).is_some()).count()
}

/// What a heading means.
fn meaning_of(heading: &str) -> Option<Column> {
    let tokens = tokens(heading);
    let of = |column: &Column| tokens.iter().any(|t| column.words().contains(&t.as_str()));
    // A level is told first, so that "reduced level no" is none; a code before a point, so that "point code" is one.
    [Column::Level, Column::Code, Column::Point, Column::Easting, Column::Northing].into_iter().find(of)
}

fn tokens(heading: &str) -> Vec<String> {
    let small = heading.to_lowercase();
    let parted = small.split(|c: char| !c.is_alphanumeric() && c != '#' && c != '\'');
    parted.filter(|t| !t.is_empty()).map(str::to_owned).collect()
}

fn unit_of(heading: &str) -> Option<Unit> {
    tokens(heading).iter().skip(1).find_map(|t| match t.as_str() {
        "m" | "metre" | "metres" | "meter" | "meters" => Some(Unit::Metres),
        "mm" | "millimetre" | "millimetres" | "millimeters" => Some(Unit::Millimetres),
        _ => None,
    })
}

/// Whether a heading names feet or inches.
pub(super) fn names_imperial(heading: &str) -> bool {
    let imperial = ["ft", "feet", "foot", "in", "inch", "inches", "usft", "'"];
    tokens(heading).iter().skip(1).any(|t| imperial.contains(&t.as_str()))
}

/// The mark that stands once in more cells.
fn decimal(body: &[Row]) -> DecimalMark {
    let once = |mark: char, other: char| {
        let all = body.iter().flat_map(|r| &r.cells).filter(|c| measures(c) && !c.contains(other));
        all.filter(|c| c.matches(mark).count() == 1).count()
    };
    if once(',', '.') > once('.', ',') { DecimalMark::Comma } else { DecimalMark::Point }
}

fn columns(width: usize, words: Option<&Row>, body: &[Row], mark: DecimalMark) -> Vec<Column> {
    let mut columns = vec![None; width];
    if let Some(words) = words.filter(|w| known(w) > 0) {
        for (n, heading) in words.cells.iter().enumerate().take(width) {
            columns[n] = meaning_of(heading).filter(|c| !columns.contains(&Some(*c)));
        }
    }
    let most = |n: usize, is: &dyn Fn(&str) -> bool| {
        let filled = || body.iter().map(move |r| r.cell(n)).filter(|c| !c.is_empty());
        let count = filled().count();
        count > 0 && 2 * filled().filter(|c| is(c)).count() > count
    };
    let free: Vec<usize> = (0..width).filter(|n| columns[*n].is_none()).collect();
    let numbers: Vec<usize> = free.iter().copied().filter(|n| most(*n, &measures)).collect();
    let mut missing: Vec<Column> = [Column::Easting, Column::Northing, Column::Level]
        .into_iter()
        .filter(|c| !columns.contains(&Some(*c)))
        .collect();
    // The first of more numbers than are needed is the point's, when it is whole and no heading says otherwise.
    let whole = |cell: &str| Number::read(cell, mark).is_ok_and(Number::is_whole);
    let point = !columns.contains(&Some(Column::Point))
        && numbers.len() > missing.len()
        && numbers.first().is_some_and(|n| most(*n, &whole));
    for n in &numbers {
        if point && numbers.first() == Some(n) {
            columns[*n] = Some(Column::Point);
        } else if !missing.is_empty() {
            columns[*n] = Some(missing.remove(0));
        }
    }
    words_beside(&mut columns, &free, &numbers);
    columns.into_iter().map(|c| c.unwrap_or(Column::Ignored)).collect()
}

/// Columns of words: before the first size the point, after it the code.
fn words_beside(columns: &mut [Option<Column>], free: &[usize], numbers: &[usize]) {
    let first = columns.iter().position(|c| c.is_some_and(Column::is_size)).unwrap_or(columns.len());
    for n in free.iter().copied().filter(|n| !numbers.contains(n)) {
        let meant = if n < first { Column::Point } else { Column::Code };
        if !columns.contains(&Some(meant)) {
            columns[n] = Some(meant);
        }
    }
}

/// The first cell of a size in feet and inches, or the first heading that names them: its row's number and the words.
pub(super) fn imperial<'a>(
    table: &'a Table,
    headings: usize,
    columns: &[Column],
) -> Option<(usize, &'a str)> {
    let (top, body) = table.rows.split_at(headings.min(table.rows.len()));
    let sizes =
        |row: &'a Row| columns.iter().enumerate().filter(|(_, c)| c.is_size()).map(|(n, _)| row.cell(n));
    let named = top
        .iter()
        .filter(|r| known(r) > 1)
        .find_map(|row| sizes(row).find(|cell| names_imperial(cell)).map(|cell| (row.number, cell)));
    named.or_else(|| {
        body.iter().find_map(|row| sizes(row).find(|c| is_imperial(c)).map(|cell| (row.number, cell)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use Column::{Code, Easting, Ignored, Level, Northing, Point};

    #[track_caller]
    fn check(text: &str, headings: usize, columns: &[Column]) -> Meaning {
        let meaning = meaning(&Table::of(text, None));
        assert_eq!((meaning.headings, meaning.columns.as_slice()), (headings, columns), "{text:?}");
        meaning
    }

    #[test]
    fn headings_say_what_columns_are_in_any_order() {
        check(
            "Point,Easting,Northing,Level,Code\n1,2.5,3.5,4.5,D",
            1,
            &[Point, Easting, Northing, Level, Code],
        );
        check("N;E;RL;Description\n2,5;3,5;4,5;D", 1, &[Northing, Easting, Level, Code]);
        check("Z\tY\tX\tName\n2.5\t3.5\t4.5\tD1", 1, &[Level, Northing, Easting, Point]);
        check("no. x y height\n1 2.5 3.5 4.5", 1, &[Point, Easting, Northing, Level]);
        check("Pt ID,East (m),North (m),Elev. [mm]\n7,2.5,3.5,45", 1, &[Point, Easting, Northing, Level]);
        check("#,code,E,N,reduced level\n7,A,2.5,3.5,45", 1, &[Point, Code, Easting, Northing, Level]);
    }

    #[test]
    fn units_of_headings_hold() {
        let m =
            check("Pt ID,East (m),North (m),Elev. [mm]\n7,2.5,3.5,45", 1, &[Point, Easting, Northing, Level]);
        assert_eq!((m.places, m.levels), (Some(Unit::Metres), Some(Unit::Millimetres)));
        let m = check("m,n,z\n2.5,3.5,45", 1, &[Easting, Northing, Level]);
        assert_eq!((m.places, m.levels), (None, None));
    }

    #[test]
    fn without_headings_the_numbers_say_it() {
        check("1,10.5,20.5,1.5", 0, &[Point, Easting, Northing, Level]);
        check("1,10.5,20.5,1.5,DECK", 0, &[Point, Easting, Northing, Level, Code]);
        check("P1,10.5,20.5,1.5", 0, &[Point, Easting, Northing, Level]);
        check("10.5 20.5 1.5", 0, &[Easting, Northing, Level]);
        check("10.5 20.5 1.5 DECK", 0, &[Easting, Northing, Level, Code]);
        check("10.5 20.5 1.5 7", 0, &[Easting, Northing, Level, Ignored]);
        check("10.5 20.5", 0, &[Easting, Northing]);
        check("1,12500,20500,1500\n2,12600,20500,1500", 0, &[Point, Easting, Northing, Level]);
    }

    #[test]
    fn lines_of_words_before_the_numbers_are_headings() {
        let m = check("Roof 4;;;\nNo;E;N;Z\n1;10,5;20,5;1,5", 2, &[Point, Easting, Northing, Level]);
        assert_eq!(m.decimal, DecimalMark::Comma);
        check("surveyed on a fine day\n1,10.5,20.5,1.5", 1, &[Point, Easting, Northing, Level]);
        check("E,N,Z", 1, &[Easting, Northing, Level]);
        check("", 0, &[]);
    }

    #[test]
    fn feet_and_inches_are_found_where_sizes_stand() {
        let found = |text: &str| {
            let table = Table::of(text, None);
            let m = meaning(&table);
            imperial(&table, m.headings, &m.columns).map(|(row, words)| (row, words.to_owned()))
        };
        assert_eq!(found("1,12'-6\",3'-1\",0'-1\""), Some((1, "12'-6\"".to_owned())));
        assert_eq!(found("E,N,Z\n1.5,2.5,3.5\n1.5,2.5,3' 4 1/2\""), Some((3, "3' 4 1/2\"".to_owned())));
        assert_eq!(found("E (ft),N (ft),Z (ft)\n1.5,2.5,3.5"), Some((1, "E (ft)".to_owned())));
        assert_eq!(found("12' 3' 1'"), Some((1, "12'".to_owned())));
        assert_eq!(found("1,2.5,3.5,4.5,4\""), None, "a code may say what it likes");
        assert_eq!(found("n,e,z,point in shade\n2.5,3.5,4.5,a"), None);
    }
}
