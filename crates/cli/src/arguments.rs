//! The command line: what may be asked, and the words of its help.
//!
//! In: the program's arguments. Out: [`Arguments`], or clap's message. It opens no file.

use crate::cut::CutArguments;
use clap::{Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Reads the program's arguments.
pub(crate) fn parse() -> Result<Arguments, clap::Error> {
    Arguments::try_parse()
}

/// Sets out hot-applied waterproofing on flat roofs: bays, rolls, cuts and a setting-out sheet.
///
/// A plan is a file saved by the baylap page, or a bare outline: a GeoJSON Polygon or MultiPolygon in metres, in a
/// projected system. Write - to read one plan from standard input.
///
/// Exit codes: 0 all is well; 1 a finding is an error; 2 a file could not be read or written; 3 a fault in baylap.
#[derive(Debug, Parser)]
#[command(name = "baylap", version, verbatim_doc_comment)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Lays plans; writes the layout, the setting-out sheet, the day sheets and the cut list of each.
    ///
    /// One line of result for each plan, in the order given: bays, pieces, rolls and the least there could be, waste,
    /// findings. With several plans each gets a folder of its own in the folder given.
    Lay(LayArguments),
    /// Lays plans and prints what is wrong with them; writes nothing.
    Check {
        /// Plan files or GeoJSON outlines; - is standard input.
        #[arg(required = true, value_name = "PLAN")]
        plans: Vec<PathBuf>,
    },
    /// Cuts a list of pieces from stock lengths, with no roof and no plan.
    ///
    /// Prints what to cut from each length, what is left of it, and whether the list is proved the least. Pieces that the
    /// stock cannot give are told, and make the exit code 1.
    Cut(CutArguments),
    /// Puts bays in order over days and gangs, with no roof and no plan; prints the answer as JSON.
    ///
    /// A task is {"sites": [...], "day": [minutes of each gang], "prices": {...}}; a site has minutes and haul (mm walked
    /// with full buckets) for each gang, beside (site, length, bad, above, in mm), exit, and tie (day, gang, turn, from 0).
    /// Prices are those of a plan's programme. A list of tasks gives a list of answers.
    #[command(verbatim_doc_comment)]
    Order {
        /// JSON file with a task or a list of tasks; - is standard input.
        #[arg(value_name = "TASK")]
        task: PathBuf,
    },
}

/// What `lay` may be told.
#[derive(Debug, clap::Args)]
pub(crate) struct LayArguments {
    /// Plan files or GeoJSON outlines; - is standard input.
    #[arg(required = true, value_name = "PLAN")]
    pub(crate) plans: Vec<PathBuf>,
    /// Folder for the results; it is made when it is not there.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// Lays every zone in this direction: degrees anticlockwise from the plan's x axis.
    #[arg(long, value_name = "DEG", allow_negative_numbers = true, value_parser = degrees)]
    pub(crate) direction: Option<i32>,
    /// Paper of the setting-out sheet.
    #[arg(long, value_enum, default_value_t = Paper::A3)]
    pub(crate) paper: Paper,
    /// Writes layout.json alone, no sheet and no cut list.
    #[arg(long)]
    pub(crate) no_sheets: bool,
}

/// Sizes of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Paper {
    /// 210 x 297 mm.
    A4,
    /// 297 x 420 mm.
    A3,
}

/// Degrees as thousandths, -360 to 360.
fn degrees(text: &str) -> Result<i32, String> {
    let hint = || "write degrees from -360 to 360, as 37.5".to_owned();
    let degrees: f64 = text.parse().map_err(|_| hint())?;
    if !(-360.0..=360.0).contains(&degrees) {
        return Err(hint());
    }
    #[allow(clippy::cast_possible_truncation)] // within +-360,000
    Ok((degrees * 1000.0).round() as i32)
}

#[cfg(test)]
mod tests {
    //! The command line holds together, and degrees come through exactly.
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_holds_together() {
        Arguments::command().debug_assert();
    }

    #[test]
    fn degrees_are_taken_to_the_thousandth() {
        assert_eq!(degrees("37.5"), Ok(37_500));
        assert_eq!(degrees("-0.0014"), Ok(-1));
        assert_eq!(degrees("360"), Ok(360_000));
        for bad in ["361", "NaN", "inf", "", "12deg", "1e300"] {
            assert!(degrees(bad).is_err(), "{bad}");
        }
    }
}
