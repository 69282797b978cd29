//! Every word on the screen that does not come from the editor, the engine or the plan.
//!
//! In: numbers and names. Out: sentences and labels in plain English, in the trade's terms. Sizes are written as the
//! sheets write them. What is said about practice without a source says so.

use baylap_core::layout::{Choice, Roll, Totals, Way};
use baylap_core::plan::{Edge, FreeKind, RollKind, UpstandKind};
use baylap_core::splits::Proposal;
use baylap_core::{Layout, Severity};
use baylap_editor::{Stage, measure};

/// Name of the program.
pub(crate) const BAYLAP: &str = "baylap";
/// Skip link.
pub(crate) const SKIP: &str = "Go to the drawing";

/// Name of the drawing for screen readers.
pub(crate) const BOARD: &str = "Roof plan. Arrow keys move the cross, Enter places a point, digits type a length, Escape gives up. \
     All of it can also be done in the tables beside it.";
/// Heading of the tools.
pub(crate) const TOOLS: &str = "Tools";
/// Heading of the inputs.
pub(crate) const INPUTS: &str = "Inputs";
/// Name of the list of stages.
pub(crate) const STAGES: &str = "Stages of the job";
/// Name of the ledger.
pub(crate) const LEDGER: &str = "Ledger: what the layout comes to";
/// Closes a dialog or panel.
pub(crate) const CLOSE: &str = "Close";
/// The days one after the other.
pub(crate) const DAY_BY_DAY: &str = "Day by day";
/// Undo.
pub(crate) const UNDO: &str = "Undo";
/// Redo.
pub(crate) const REDO: &str = "Redo";
/// Opens the box that finds anything.
pub(crate) const FIND: &str = "Find";
/// Inside the box that finds anything.
pub(crate) const FIND_HINT: &str = "A command, a bay, a piece or a finding";
/// No match.
pub(crate) const FIND_NOTHING: &str = "Nothing has that name. Try a number, or part of a word.";
/// Menu of the job.
pub(crate) const FILE_MENU: &str = "Job";
/// Colour scheme.
pub(crate) const SCHEME: &str = "Colours";
/// Name of a job that has none.
pub(crate) const UNNAMED: &str = "Job without a name";

/// While the worker makes a file.
pub(crate) const MAKING: &str = "Making the file.";
/// No engine, so no file.
pub(crate) const NO_ENGINE_FOR_FILE: &str =
    "The planner is not running, so this file cannot be made now: save the plan file, then reload the page.";
/// The browser refused the download.
pub(crate) const NO_DOWNLOAD: &str =
    "The browser refused the download: allow downloads for this page and try again.";
/// The worker died and was started again.
pub(crate) const ENGINE_RESTARTED: &str = "The planner stopped on this plan and was started again; the layout shown is the last good one. Undo the last change, or save the plan file and report it.";
/// The worker does not start.
pub(crate) const ENGINE_MISSING: &str = "The planner does not start in this browser. Drawing, saving and opening still work; try reloading the page.";
/// The worker is of another build.
pub(crate) const ENGINE_OTHER: &str = "The page and its planner are of two different builds. Your job is kept: reload the page to get both alike.";
/// Reload button.
pub(crate) const RELOAD: &str = "Reload the page";
/// Start again button.
pub(crate) const START_AGAIN: &str = "Start it again";

/// The program itself failed.
pub(crate) const BROKEN: &str = "The page has stopped working on something it did not expect. Your job as it last was is kept in this browser and can be saved as a file now.";
/// Saves the last good plan after a failure.
pub(crate) const SAVE_LAST: &str = "Save the plan file";

/// Store: pending.
pub(crate) const SAVING: &str = "Saving in this browser";
/// Store: written.
pub(crate) const SAVED: &str = "Saved in this browser";
/// Store: nothing yet.
pub(crate) const FRESH: &str = "Nothing to save yet";
/// Store: refused.
pub(crate) const UNSAVED: &str = "Not saved: use Save plan file";
/// Store: another tab.
pub(crate) const ELSEWHERE: &str = "Open in another tab: not saved here";
/// Store refuses.
pub(crate) const STORE_REFUSED: &str = "This browser refuses to keep the job (private window, or its storage is full). Nothing was deleted; save the plan file to keep your work.";
/// Another tab wrote a newer version.
pub(crate) const OTHER_TAB: &str = "This job was changed in another tab, so nothing more is saved from here. Close one of the two, or go on here instead.";
/// Takes over from another tab.
pub(crate) const TAKE_OVER: &str = "Go on here";
/// The page is whole on the device.
pub(crate) const OPENS: &str = "Opens without a signal on this device.";
/// It is not, or nobody knows yet.
pub(crate) const OPENS_NOT: &str = "Not kept on this device yet: to open it again takes a signal.";
/// A newer build is on the device.
pub(crate) const NEWER: &str =
    "A newer build of this page is here. It comes when you open the page the next time.";
/// It was asked for while other tabs are open.
pub(crate) const NEWER_ELSEWHERE: &str =
    "The page is open in another tab too. Close that one, then take the newer build.";
/// Takes it.
pub(crate) const TAKE_NEWER: &str = "Take it now";

/// The record cannot be read.
pub(crate) const KEPT_UNREADABLE: &str = "The job kept in this browser cannot be read by this version. An invented job was opened; nothing was deleted.";

/// Title of the ways to begin.
pub(crate) const BEGIN: &str = "Begin a job";
/// Under that title.
pub(crate) const BEGIN_LEAD: &str = "Four ways in. Whatever is open now comes back with Undo.";
/// Way in: draw.
pub(crate) const BEGIN_DRAW: &str = "Draw it";
/// What that means.
pub(crate) const BEGIN_DRAW_LEAD: &str = "Click the corners, or type each length as you go.";
/// Way in: file.
pub(crate) const BEGIN_FILE: &str = "Open a file";
/// What that means.
pub(crate) const BEGIN_FILE_LEAD: &str = "A plan saved from here, or an outline as GeoJSON in metres.";
/// Way in: survey.
pub(crate) const BEGIN_SURVEY: &str = "Type a tape survey";
/// What that means.
pub(crate) const BEGIN_SURVEY_LEAD: &str =
    "Side by side: length and turn. It says by how much they fail to close.";
/// Way in: demo.
pub(crate) const BEGIN_DEMO: &str = "Open an invented job";
/// What that means.
pub(crate) const BEGIN_DEMO_LEAD: &str = "Made up from nothing, to see what comes out.";
/// Where a file can be dropped.
pub(crate) const DROP: &str = "Drop the plan file to open it";

/// Board: nothing drawn.
pub(crate) const EMPTY_BOARD: &str = "No deck yet. Draw its outline, or begin another way.";
/// Board: nothing laid.
pub(crate) const LAYING: &str = "Laying";

/// Heading: what is selected.
pub(crate) const SELECTED: &str = "Selected";
/// Nothing is selected.
pub(crate) const NOTHING_SELECTED: &str =
    "Click anything on the drawing, or a line in a table, to see and change its sizes.";
/// Note for sizes that are practice only.
pub(crate) const PRACTICE: &str =
    "Usual values are common practice with no published source. The maker's data sheet rules.";
/// Note of the falls.
pub(crate) const FALLS_LEAD: &str = "Where water runs and stands, from the levels given. Load levels, draw ridges and low lines, or set planes of fall; then see what each bay edge does to the water.";
/// Note of the days.
pub(crate) const DAYS_LEAD: &str = "Bays are numbered in the order they are poured. Days, day joints and laps that face the water are weighed at your prices; nobody walks over what is laid the same day.";
/// Note of the rolls.
pub(crate) const ROLLS_LEAD: &str = "Direction and first course of each zone, and what the rolls are like.";
/// Note of the deck.
pub(crate) const DECK_LEAD: &str =
    "The outline is the inside face of the upstands, or the drip where there is none.";
/// Note of the sheets.
pub(crate) const SHEETS_LEAD: &str = "The same drawing to scale, with running offsets, piece table and cut list. It is legible in black and white at A4.";
/// Caution on the sheets.
pub(crate) const CAUTION: &str = "A plan, not an instruction. Hot work, gas, fumes and heights have their own rules: the maker's data sheets, local codes and licensed practice come first. Check every size on the roof before cutting.";

/// Export heading.
pub(crate) const EXPORT: &str = "Save and print";
/// PDF.
pub(crate) const SAVE_PDF: &str = "Setting-out sheets, PDF";
/// CSV.
pub(crate) const SAVE_CSV: &str = "Cut list, CSV";
/// Saves the drainage sheet.
pub(crate) const SAVE_DAYS: &str = "Day sheets, PDF";
/// Button.
pub(crate) const SAVE_DRAINAGE: &str = "Drainage sheet, PDF";
/// Heading of the files for the designer.
pub(crate) const FOR_DESIGNER: &str = "Falls and drainage, for the designer";
/// Under that heading, as long as nothing is known of falls.
pub(crate) const NO_FALLS_TO_SAVE: &str =
    "Once the deck has levels: ponds, outlets, edges and laps as lists, and the drainage plan as a picture.";
/// Saves the plan of the drainage sheet.
pub(crate) const SAVE_DRAINAGE_PLAN: &str = "Drainage plan, SVG";
/// Saves the ponds.
pub(crate) const SAVE_PONDS: &str = "Ponds, CSV";
/// Saves the outlets.
pub(crate) const SAVE_OUTLETS: &str = "Outlets, CSV";
/// Saves edges and laps.
pub(crate) const SAVE_SEAMS: &str = "Edges and laps, CSV";
/// A place or a line without levels.
pub(crate) const NO_LEVELS_HERE: &str =
    "The deck has no levels there: give levels, or a plane of fall, or pick a place on a deck that has them.";
/// The way of the water.
pub(crate) const WATER_WAY: &str = "Way of the water";
/// A long section.
pub(crate) const LONG_SECTION: &str = "Long section";
/// Takes a look away.
pub(crate) const CLEAR_LOOKS: &str = "Clear";
/// Plan file.
pub(crate) const SAVE_PLAN: &str = "Plan file";
/// Plan file, in the menu.
pub(crate) const SAVE_PLAN_AS: &str = "Save the plan file";
/// Keys.
pub(crate) const KEYS: &str = "Keys";
/// Under that heading.
pub(crate) const KEYS_LEAD: &str = "Plain keys work while the drawing has the focus; keys with Ctrl work everywhere. On a Mac, Ctrl is Command.";
/// Print.
pub(crate) const PRINT: &str = "Print this page";
/// Paper.
pub(crate) const PAPER: &str = "Paper";
/// Open file.
pub(crate) const OPEN: &str = "Open a file";
/// Earlier versions.
pub(crate) const EARLIER: &str = "Earlier versions";
/// Under that heading.
pub(crate) const EARLIER_LEAD: &str = "Kept in this browser, newest first. Opening one can be undone.";
/// None yet.
pub(crate) const EARLIER_NONE: &str = "None yet: one is set aside every two minutes of work.";
/// Sides of a ring and what stands on each.
pub(crate) const SIDES: &str = "What stands on each side";
/// Things on the plan.
pub(crate) const THINGS: &str = "On the plan";
/// No things.
pub(crate) const NO_THINGS: &str = "Nothing is drawn yet.";
/// Levels.
pub(crate) const LEVELS: &str = "Levels";
/// No levels.
pub(crate) const NO_LEVELS: &str = "No levels in this plan. Load a list, or place spot levels, low lines, ridges and planes of fall with the tools.";

/// Survey: heading.
pub(crate) const SURVEY: &str = "Type a tape survey";
/// Survey: what to do.
pub(crate) const SURVEY_LEAD: &str = "Go round the deck. Each line is one side: its length, then the turn at its end. Turns are left or right by 90 degrees, or any angle.";
/// Survey: length.
pub(crate) const LENGTH: &str = "Length";
/// Survey: turn.
pub(crate) const TURN: &str = "Turn at its end";
/// Survey: left.
pub(crate) const LEFT: &str = "Left 90°";
/// Survey: right.
pub(crate) const RIGHT: &str = "Right 90°";
/// Survey: other.
pub(crate) const OTHER_TURN: &str = "Other";
/// Survey: degrees.
pub(crate) const DEGREES_LEFT: &str = "Degrees to the left";
/// Survey: add.
pub(crate) const ADD_SIDE: &str = "Add side";
/// Survey: take back.
pub(crate) const TAKE_BACK: &str = "Take back the last side";
/// Survey: make.
pub(crate) const MAKE_DECK: &str = "Make the deck";

/// Ledger words.
pub(crate) const ROLLS: &str = "Rolls";
/// Ledger.
pub(crate) const WASTE: &str = "Waste";
/// Ledger.
pub(crate) const SIDE_LAP: &str = "Side lap";
/// Ledger.
pub(crate) const END_LAPS: &str = "End laps";
/// Ledger.
pub(crate) const BAYS: &str = "Bays";
/// Ledger.
pub(crate) const PIECES: &str = "Pieces";
/// Ledger.
pub(crate) const FINDINGS: &str = "Findings";
/// Ledger.
pub(crate) const DECK_AREA: &str = "Deck";
/// Ledger: no findings.
pub(crate) const NO_FINDINGS: &str = "Nothing to say about this plan.";
/// Nothing laid.
pub(crate) const NOTHING_LAID: &str = "Nothing is laid yet.";
/// Ledger: proved.
pub(crate) const PROVED: &str = "proved least";
/// Ledger: the search is over and nothing proves that there is no better.
pub(crate) const BEST_FOUND: &str = "best found";
/// Ledger: the search goes on.
pub(crate) const STILL: &str = "still looking";
/// Waste: what the percentage is.
pub(crate) const WASTE_LEAD: &str = "Waste is what is opened and neither covers the field nor lies in a lap: trim, scrap and offcuts, those returned included. The limit is the waste of the fewest rolls that the least cut length fills, or the area alone where rolls may be slit or run on.";

/// How the rolls are shown.
pub(crate) const ROLLS_AS: &str = "Rolls shown as";
/// As bars.
pub(crate) const DRAWN: &str = "Drawn";
/// As a table.
pub(crate) const AS_TABLE: &str = "Table";
/// Name of the bars for screen readers.
pub(crate) const ROLLS_NAME: &str =
    "Rolls with their cuts. Arrow keys go from cut to cut and from roll to roll.";
/// Key to the bars.
pub(crate) const KEY_PIECE: &str = "piece";
/// Key to the bars.
pub(crate) const KEY_STRIP: &str = "upstand strip";
/// Key to the bars.
pub(crate) const KEY_OFFCUT: &str = "offcut";
/// Key to the bars.
pub(crate) const KEY_SCRAP: &str = "scrap";

/// Tab of directions, starts and splits.
pub(crate) const CHOICES: &str = "Direction and start";
/// A roof of one zone.
pub(crate) const WHOLE_ROOF: &str = "The whole roof";
/// Name of a chart.
pub(crate) const BY_DIRECTION: &str = "cut length by laying direction";
/// Name of a chart.
pub(crate) const BY_START: &str = "cut length by start of the first course";
/// Along a chart.
pub(crate) const X_DIRECTION: &str = "Laying direction; over the points: rolls as first cut";
/// Along a chart.
pub(crate) const X_START: &str = "First course starts outside the field, mm";
/// Up a chart. The axis does not start at nothing.
pub(crate) const Y_CUT: &str = "Cut length, m (least and most)";
/// How a chart is used by keys.
pub(crate) const CHART_KEYS: &str =
    "Arrow keys go from point to point, Enter holds one. The same is in the table below.";
/// Holds the point gone over.
pub(crate) const HOLD_THIS: &str = "Hold this";
/// Holds a line of a table.
pub(crate) const HOLD: &str = "Hold";
/// The line of a table that is taken.
pub(crate) const TAKEN: &str = "taken";
/// Gives direction and start back.
pub(crate) const LET_CHOOSE: &str = "Let the program choose";
/// Opens a table.
pub(crate) const WAYS_TABLE: &str = "Directions as a table";
/// Opens a table.
pub(crate) const STARTS_TABLE: &str = "Starts as a table";
/// Over that table.
pub(crate) const LEAST_STARTS: &str = "The starts with the least cut length";
/// Heading of the splits.
pub(crate) const SPLITS: &str = "Splits into zones that would save";
/// None.
pub(crate) const NO_SPLITS: &str =
    "None found: laid as it is, the roof needs no more than any split looked at.";
/// Not looked for yet.
pub(crate) const SPLITS_LATER: &str = "Looked for when the layout is settled.";
/// Shows a split on the drawing.
pub(crate) const SHOW_LINES: &str = "Show";
/// Takes a split.
pub(crate) const TAKE_SPLIT: &str = "Draw these lines";
/// Puts a split aside.
pub(crate) const DISMISS: &str = "Leave it";
/// A split was taken.
pub(crate) const SPLIT_TAKEN: &str = "Zone lines drawn. Undo takes them back.";
/// Heading of the kinds of roll.
pub(crate) const KINDS: &str = "Kinds of roll in stock";
/// Adds a kind of roll.
pub(crate) const ADD_ROLL: &str = "Add a kind of roll";

/// Things that are not listed.
pub(crate) fn more_things(n: usize) -> String {
    format!("and {n} more: select them on the drawing, or find them by number.")
}

/// Name of a severity.
pub(crate) const fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "Error",
        Severity::Warning => "Warning",
        Severity::Note => "Note",
    }
}

/// So many of a severity.
pub(crate) fn severities(severity: Severity, n: usize) -> String {
    let (one, many) = match severity {
        Severity::Error => ("error", "errors"),
        Severity::Warning => ("warning", "warnings"),
        Severity::Note => ("note", "notes"),
    };
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

/// What a stage is for, in one line.
pub(crate) const fn stage_lead(stage: Stage) -> &'static str {
    match stage {
        Stage::Deck => DECK_LEAD,
        Stage::Falls => FALLS_LEAD,
        Stage::Rolls => ROLLS_LEAD,
        Stage::Days => DAYS_LEAD,
        Stage::Sheets => SHEETS_LEAD,
    }
}

/// An area of so many square millimetres, in m² with one place.
pub(crate) fn area(mm2: i64) -> String {
    let tenths = (mm2 + 50_000 * mm2.signum()) / 100_000;
    format!("{} m²", measure::decimal(tenths, 1).pad_tenth())
}

/// An area in m² with one place and no unit.
pub(crate) fn area_bare(mm2: i64) -> String {
    let tenths = (mm2 + 50_000 * mm2.signum()) / 100_000;
    measure::decimal(tenths, 1).pad_tenth()
}

/// A length in metres with three places and no unit.
pub(crate) fn metres_bare(mm: i64) -> String {
    measure::metres(mm).trim_end_matches(" m").to_owned()
}

/// A length in metres with one place and no unit, for sums.
pub(crate) fn metres_round(mm: i64) -> String {
    measure::decimal((mm + 50) / 100, 1).pad_tenth()
}

/// `part` of `whole` in per cent with one place; 0 when there is no whole.
pub(crate) fn percent(part: i64, whole: i64) -> String {
    if whole <= 0 {
        return "0.0".to_owned();
    }
    let permille = (i128::from(part) * 2000 + i128::from(whole)) / (2 * i128::from(whole));
    measure::decimal(i64::try_from(permille).unwrap_or(0), 1).pad_tenth()
}

trait PadTenth {
    /// With one place after the point even when that is 0, so that columns line up.
    fn pad_tenth(self) -> String;
}

impl PadTenth for String {
    fn pad_tenth(mut self) -> String {
        if !self.contains('.') {
            self.push_str(".0");
        }
        self
    }
}

/// A file too large to be read.
pub(crate) fn too_large(name: &str) -> String {
    format!("{name} is larger than a plan file can be, so it was not opened: choose a plan saved by baylap.")
}

/// A file the browser cannot read.
pub(crate) fn unreadable(name: &str) -> String {
    format!("The browser could not read {name}: choose it again, or copy it to this device first.")
}

/// A demo that is not there.
pub(crate) fn no_demo(name: &str) -> String {
    format!("The invented job {name} did not come: check the connection and try again.")
}

/// A file that holds no plan.
pub(crate) fn not_opened(name: &str, why: &str) -> String {
    format!("{name} was not opened. {why}")
}

/// A file handed to the user.
pub(crate) fn saved_as(name: &str) -> String {
    format!("Saved as {name}.")
}

/// Whether a survey closes.
pub(crate) fn closing(sides: usize, misclosure: i64, gap: [i64; 2]) -> String {
    match (sides, misclosure) {
        (0, _) => "No sides yet.".to_owned(),
        (_, 0) => format!("{sides} sides, closed."),
        (_, 1..=5) => format!("{sides} sides, closed within {misclosure} mm."),
        _ => format!(
            "{sides} sides; the end misses the start by {} ({} along, {} across). If that is not the last side still to come, measure again.",
            measure::metres(misclosure),
            measure::metres(gap[0]),
            measure::metres(gap[1])
        ),
    }
}

/// The sums, on one printed line.
pub(crate) fn printed_sums(t: &baylap_core::layout::Totals) -> String {
    format!(
        "{} bays, {} pieces, {} rolls ({}; limit {}), waste {} % (limit {} %): {}; side lap {} m, end laps {}",
        t.bays,
        t.pieces,
        t.rolls,
        if t.proved { PROVED.to_owned() } else { format!("at least {} for these pieces", t.rolls_least) },
        limits(t),
        percent(wasted(t), t.roll_area),
        limit(t),
        split_of_waste(t),
        metres_round(t.side_lap_length),
        t.end_laps
    )
}

/// The scale of the browser's print.
pub(crate) fn printed_scale(scale: i64) -> String {
    format!(
        "Drawn for 1:{scale} on A4 without page scaling. Browsers often shrink a page: measure nothing off this print; the PDF is the sheet to scale."
    )
}

/// What stands along a side.
pub(crate) fn edge(edge: &Edge) -> String {
    match edge {
        Edge::Upstand { height, kind } => {
            let kind = match kind {
                UpstandKind::Parapet => "parapet",
                UpstandKind::Wall => "wall",
                UpstandKind::Kerb => "kerb",
                UpstandKind::Plinth => "plinth",
                UpstandKind::Threshold => "threshold",
            };
            format!("{kind}, {height} mm")
        }
        Edge::Free { kind: FreeKind::Drip } => "drip".to_owned(),
        Edge::Free { kind: FreeKind::Verge } => "verge".to_owned(),
        Edge::Free { kind: FreeKind::Gutter } => "gutter".to_owned(),
    }
}

/// What a layout comes to, for the ear.
pub(crate) fn laid(layout: &Layout, over: bool) -> String {
    let t = &layout.totals;
    let count = |severity| layout.findings.iter().filter(|f| f.severity == severity).count();
    let (errors, warnings) = (count(Severity::Error), count(Severity::Warning));
    format!(
        "Laid: {} bays, {} pieces, {} rolls, {}, {}, {}.",
        t.bays,
        t.pieces,
        t.rolls,
        found(t, over),
        severities(Severity::Error, errors),
        severities(Severity::Warning, warnings)
    )
}

/// Words under the scale bar.
pub(crate) fn bar(mm: i64) -> String {
    if mm >= 1000 { format!("{} m", mm / 1000) } else { format!("{mm} mm") }
}

/// How good the layout is known to be.
pub(crate) fn found(t: &Totals, over: bool) -> &'static str {
    match (over, t.proved) {
        _ if t.rolls == 0 => "",
        (false, _) => STILL,
        (true, true) => PROVED,
        (true, false) => BEST_FOUND,
    }
}

/// The limits that no layout of the roof goes below.
pub(crate) fn limits(t: &Totals) -> String {
    format!("{} by cut length, {} by area", t.rolls_by_length, t.rolls_by_area)
}

/// What is opened and neither covers the field nor lies in a lap, mm2.
pub(crate) const fn wasted(t: &Totals) -> i64 {
    t.waste.trim + t.waste.scrap + t.waste.offcuts
}

/// The waste, in per cent, of the fewest rolls that any layout can open: those of the least cut length, or where this
/// layout opens fewer than those (slit, or of other rolls) those of the area alone; never fewer than hold the field with
/// its laps and strips.
pub(crate) fn limit(t: &Totals) -> String {
    let (rolls, area) = (i128::from(t.rolls), i128::from(t.roll_area));
    if rolls <= 0 || area <= 0 {
        return percent(0, 0);
    }
    let straight = t.rolls_by_length > 0 && t.rolls_by_length <= t.rolls;
    let limit = i128::from(if straight { t.rolls_by_length } else { t.rolls_by_area });
    let used = i128::from(t.roll_area - wasted(t));
    let holding = (used * rolls + area - 1) / area;
    let fewest = area * limit.max(holding) / rolls;
    let whole = |v: i128| i64::try_from(v).unwrap_or(i64::MAX);
    percent(whole((fewest - used).max(0)), whole(fewest))
}

/// The parts of the waste in per cent of the rolls opened, laps before them.
pub(crate) fn split_of_waste(t: &Totals) -> String {
    let part = |area| percent(area, t.roll_area);
    let w = &t.waste;
    format!(
        "laps {} · trim {} · scrap {} · offcuts {}",
        part(w.laps),
        part(w.trim),
        part(w.scrap),
        part(w.offcuts)
    )
}

/// Over the bars of the rolls.
pub(crate) fn rolls_head(layout: &Layout) -> String {
    let t = &layout.totals;
    let bound = if t.proved {
        format!("{PROVED} for these pieces")
    } else {
        format!("at least {} for these pieces", t.rolls_least)
    };
    let strips = match t.strip_rolls {
        0 => String::new(),
        n => format!(" {n} of them for upstand strips only."),
    };
    format!(
        "{} rolls opened, {bound}; limit {}. {} cuts, at most {} rolls part-used at once.{strips}",
        t.rolls,
        limits(t),
        t.cuts,
        t.open_rolls
    )
}

/// A kind of roll in stock.
pub(crate) fn kind_in_stock(kind: &RollKind) -> String {
    let name = if kind.name.is_empty() { String::new() } else { format!("{}, ", kind.name) };
    let on_hand = kind.on_hand.map_or_else(String::new, |n| format!(", {n} on hand"));
    format!("{name}{} mm by {} m{on_hand}", kind.width, metres_bare(kind.length))
}

/// A kind of roll, with how many of it are opened.
pub(crate) fn roll_kind(roll: &Roll, count: usize) -> String {
    format!("Kind {}: {} mm by {} m, {count} opened", roll.kind + 1, roll.width, metres_bare(roll.length))
}

/// Name of a roll for screen readers.
pub(crate) fn roll_name(roll: &Roll, cuts: usize) -> String {
    let rest = match (roll.rest, roll.kept) {
        (0, _) => "nothing left".to_owned(),
        (rest, true) => format!("offcut of {} m", metres_bare(rest)),
        (rest, false) => format!("scrap of {} m", metres_bare(rest)),
    };
    let pieces = if cuts == 1 { "1 piece".to_owned() } else { format!("{cuts} pieces") };
    format!("Roll {}, {} m, {pieces}, {rest}", roll.number, metres_bare(roll.length))
}

/// Name of a cut: a piece or a strip, its length and, when it is slit, its width.
pub(crate) fn cut_name(kind: &str, number: u32, length: i64, slit: Option<i64>) -> String {
    let what = if kind == "piece" { "Piece" } else { "Upstand strip" };
    let slit = slit.map_or_else(String::new, |width| format!(", slit to {width} mm"));
    format!("{what} {number}, {} m{slit}", metres_bare(length))
}

/// A cut in a line of the table.
pub(crate) fn cut_words(kind: &str, number: u32, length: i64, slit: Option<i64>) -> String {
    let kind = if kind.is_empty() { String::new() } else { format!("{kind} ") };
    let slit = slit.map_or_else(String::new, |width| format!(" (slit {width} mm)"));
    format!("{kind}{number}: {}{slit}", metres_bare(length))
}

/// An amount of the user's money.
pub(crate) fn money(hundredths: i64) -> String {
    let (whole, part) = (hundredths / 100, (hundredths % 100).abs());
    format!("{whole}.{part:02}")
}

/// A direction that was tried.
pub(crate) fn way(way: &Way, with_width: bool) -> String {
    let width = if with_width { format!(", roll {} mm", way.width) } else { String::new() };
    let rolls = way.rolls.map_or_else(String::new, |n| format!(", {n} rolls as first cut"));
    format!(
        "{}{width}: {} m to cut{rolls}",
        measure::degrees(i64::from(way.direction_mdeg)),
        metres_round(way.cut_length)
    )
}

/// A start that was tried.
pub(crate) fn start(first: i64, cut: i64) -> String {
    format!("{first} mm outside: {} m to cut", metres_round(cut))
}

/// Why a zone is laid as it is.
pub(crate) fn why(choice: &Choice, held: (bool, bool)) -> String {
    let Some(taken) = choice.ways.get(choice.taken as usize) else { return String::new() };
    let angle = |w: &Way| measure::degrees(i64::from(w.direction_mdeg));
    // Ways are compared before their cuts are improved: the ledger says what the one taken opens in the end.
    let rolls = |w: &Way| w.rolls.map_or_else(String::new, |n| format!(", {n} rolls as first cut"));
    let others = || choice.ways.iter().filter(|w| *w != taken);
    let way = match (held.0, others().min_by_key(|w| w.cut_length)) {
        (true, _) => {
            let cut = metres_round(taken.cut_length);
            format!(
                "Laid at {}, as held: {cut} m to cut. Others are looked at when it is not held.",
                angle(taken)
            )
        }
        (false, None) => format!("Laid at {}: {} m to cut.", angle(taken), metres_round(taken.cut_length)),
        (false, Some(next)) => format!(
            "Laid at {}: {} m to cut{}; the best for the job of {} tried. The {} of the others, {}, takes {} m{}.",
            angle(taken),
            metres_round(taken.cut_length),
            rolls(taken),
            choice.ways.len(),
            if next.cut_length < taken.cut_length { "least cut length" } else { "next" },
            angle(next),
            metres_round(next.cut_length),
            rolls(next)
        ),
    };
    let start = if held.1 { "as held" } else { "where it needs least" };
    let hard = choice.starts.iter().find(|[first, _]| *first == 0).filter(|_| choice.first != 0);
    let here = choice.starts.iter().find(|[first, _]| *first == choice.first);
    let more = match (hard, here) {
        (Some(hard), Some(here)) if hard[1] > here[1] => {
            format!("; hard against the wall it would take {} m more", metres_round(hard[1] - here[1]))
        }
        _ => String::new(),
    };
    match choice.first {
        0 => format!("{way} The first course lies hard against the edge of the field."),
        first => format!("{way} The first course starts {first} mm outside the field, {start}{more}."),
    }
}

/// A split that would save.
pub(crate) fn split(proposal: &Proposal) -> String {
    let s = &proposal.saves;
    let rolls = |n: i64| if n == 1 { "1 roll".to_owned() } else { format!("{n} rolls") };
    let all = [
        (s.rolls, rolls(s.rolls.abs())),
        (s.cut_length, format!("{} m to cut", metres_round(s.cut_length.abs()))),
        (s.end_laps, ends(s.end_laps.abs())),
        (s.cost, format!("{} at the prices set", money(s.cost.abs()))),
    ];
    let some = |wanted: i64| {
        let words = all.iter().filter(|(by, _)| by.signum() == wanted).map(|(_, words)| words.clone());
        words.collect::<Vec<String>>()
    };
    let (less, more) = (some(1), some(-1));
    let more = if more.is_empty() { String::new() } else { format!("; takes {} more", list(&more)) };
    let along = if proposal.lines.len() == 1 { "one line" } else { "lines" };
    format!("Split along {along}, {} m of lap: saves {}{more}.", metres_round(proposal.lap_line), list(&less))
}

fn ends(n: i64) -> String {
    if n == 1 { "1 end lap".to_owned() } else { format!("{n} end laps") }
}

/// Words in a row: "a, b and c".
fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// That a split would save, in a few words.
pub(crate) fn offer(proposal: &Proposal) -> String {
    match proposal.saves.rolls {
        1 => "A split would save 1 roll".to_owned(),
        n if n > 1 => format!("A split would save {n} rolls"),
        _ => "A split would save".to_owned(),
    }
}

/// Merging records.
pub(crate) const MERGE: &str = "Merge records from a file";
/// What merging does.
pub(crate) const MERGE_LEAD: &str = "Choose the plan file saved on another device. Its records are added to those here; nothing here is changed or taken out, and the plan drawn here stays. A merge cannot be undone, so what comes of it is told first.";
/// Chooses the file.
pub(crate) const MERGE_FILE: &str = "Choose a plan file";
/// Merges.
pub(crate) const MERGE_NOW: &str = "Add these records";
/// Merges though the job has another name.
pub(crate) const MERGE_ANYWAY: &str = "It is the same roof: add these records";
/// After a merge.
pub(crate) const MERGED: &str = "Merged.";
/// Table of records.
pub(crate) const SAVE_RECORDS: &str = "Save the records as a table (CSV)";
/// The way to today's view.
pub(crate) const TO_TODAY: &str = "Today: work and records";
/// Today's view.
pub(crate) const TODAY: &str = "Today";
