//! Words of the dialog that reads levels from a list.
//!
//! In: numbers. Out: labels and sentences for the screen and the ear. What is wrong with a list the editor says.

/// Levels: heading and button.
pub(crate) const LEVELS_FROM_LIST: &str = "Levels from a list";
/// Levels: what to do.
pub(crate) const LEVELS_LEAD: &str = "Paste rows from a spreadsheet, or open the file a survey instrument writes: point, easting, northing, level and code, in any order. What was understood is shown below and can be changed; nothing reaches the plan before you take it.";
/// Levels: the box.
pub(crate) const LEVELS_TEXT: &str = "The list, one row for each level";
/// Levels: in the empty box.
pub(crate) const LEVELS_EXAMPLE: &str =
    "point,easting,northing,level,code\n1,0.500,0.500,0.125,DECK\n2,4.500,0.500,0.090,DECK";
/// Levels: a file.
pub(crate) const LEVELS_FILE: &str = "Open a list";
/// Levels: empties the box.
pub(crate) const LEVELS_EMPTY: &str = "Empty the box";
/// Levels: separator.
pub(crate) const PARTED_BY: &str = "Columns parted by";
/// Levels: headings.
pub(crate) const HEADING_ROWS: &str = "Rows of headings";
/// Levels: decimal mark.
pub(crate) const DECIMAL_MARK: &str = "Decimal mark";
/// Levels: decimal mark.
pub(crate) const POINT_MARK: &str = "Point: 1.250";
/// Levels: decimal mark.
pub(crate) const COMMA_MARK: &str = "Comma: 1,250";
/// Levels: unit.
pub(crate) const PLACES_IN: &str = "Eastings, northings in";
/// Levels: unit.
pub(crate) const LEVELS_IN: &str = "Levels in";
/// Levels: axes.
pub(crate) const AXES: &str = "Order of the axes";
/// Levels: axes.
pub(crate) const EAST_FIRST: &str = "East, north";
/// Levels: axes.
pub(crate) const NORTH_FIRST: &str = "North, east";
/// Levels: place.
pub(crate) const ON_PLAN: &str = "How it lies on the plan";
/// Levels: place.
pub(crate) const ORIGIN_EAST: &str = "Taken off eastings";
/// Levels: place.
pub(crate) const ORIGIN_NORTH: &str = "Taken off northings";
/// Levels: place.
pub(crate) const FIRST_RIGHT: &str = "First point, right";
/// Levels: place.
pub(crate) const FIRST_UP: &str = "First point, up";
/// Levels: columns.
pub(crate) const COLUMNS: &str = "What each column holds";
/// Levels: columns.
pub(crate) const COLUMNS_LEAD: &str = "What each column holds: guessed, change it here.";
/// Levels: number of a row.
pub(crate) const ROW: &str = "Row";
/// Levels: picture.
pub(crate) const PICTURE: &str = "Levels as they would lie on the decks";
/// Levels: picture.
pub(crate) const PICTURE_LEAD: &str = "Levels on the decks, in metres. A square marks what to look at.";
/// Levels: problems.
pub(crate) const PROBLEMS: &str = "What is wrong in the list";
/// Levels: a row that is left out.
pub(crate) const LEFT_OUT: &str = "Left out";
/// Levels: a row to look at.
pub(crate) const LOOK: &str = "Look";
/// Levels: odd ones.
pub(crate) const LEAVE_ODD_OUT: &str = "Leave out levels far from those around them";

/// Number of a column.
pub(crate) fn column(n: usize) -> String {
    format!("Column {n} holds")
}

/// Rows that are not shown.
pub(crate) fn more_rows(n: usize) -> String {
    if n == 1 { "and 1 more row".to_owned() } else { format!("and {n} more rows") }
}

/// Heading of the problems of a list.
pub(crate) fn problems(n: usize) -> String {
    if n == 1 { "1 row to look at".to_owned() } else { format!("{n} rows to look at") }
}

/// Problems that are not listed.
pub(crate) fn more_problems(n: usize) -> String {
    format!("and {n} more: mend these first.")
}

/// Whether the levels there are go.
pub(crate) fn replace_levels(n: usize) -> String {
    let those = if n == 1 {
        "the 1 spot level there is".to_owned()
    } else {
        format!("the {n} spot levels there are")
    };
    format!("In place of {those}")
}

/// The button that takes a list.
pub(crate) fn take_levels(n: usize, replace: bool) -> String {
    let verb = if replace { "Replace with" } else { "Add" };
    match n {
        0 => "Add levels".to_owned(),
        1 => format!("{verb} 1 level"),
        n => format!("{verb} {n} levels"),
    }
}

/// A list was taken.
pub(crate) fn levels_taken(n: usize) -> String {
    let count = if n == 1 { "1 level".to_owned() } else { format!("{n} levels") };
    format!("{count} put into the plan. Undo takes them back.")
}
