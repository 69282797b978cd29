//! What the page and the worker say to each other.
//!
//! In and out: JSON strings sent by `postMessage`; a file travels as its bytes beside the string. Both sides are built
//! together, but a browser may keep an old worker: the worker says [`Tell::Ready`] with its protocol and build first,
//! and the page talks to no worker whose words differ from its own.

use baylap_core::compare::{Alternative, Outcome, Progress, Standing};
use baylap_core::geom::Pt;
use baylap_core::layout::falls::{Section, Trace};
use baylap_core::splits::Proposal;
use baylap_core::{Layout, Plan};
use serde::{Deserialize, Serialize};

/// Version of this protocol; raised with every change of [`Ask`] or [`Tell`].
pub const PROTOCOL: u32 = 6;

/// Build of this program: set when the site is built, the crate's version otherwise.
pub const BUILD: &str = match option_env!("BAYLAP_BUILD") {
    Some(build) => build,
    None => env!("CARGO_PKG_VERSION"),
};

/// Paper of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Paper {
    /// 210 x 297 mm.
    A4,
    /// 297 x 420 mm.
    A3,
}

/// A file the worker can make.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Order {
    /// The setting-out sheet as PDF.
    SettingOut(Paper),
    /// The day sheets as PDF.
    Days(Paper),
    /// The drainage sheet as PDF.
    Drainage(Paper),
    /// The plan of the drainage sheet as a picture, SVG.
    DrainagePlan(Paper),
    /// The ponds as CSV.
    Ponds,
    /// The outlets as CSV.
    Outlets,
    /// Bay edges and laps with their verdicts as CSV.
    Seams,
    /// The cut list as CSV.
    CutList,
    /// The site records as CSV.
    Records,
}

/// What the page asks of the worker.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub enum Ask {
    /// Lay this plan: a first layout at once, better ones as they are found. The plan asked for before is given up.
    Lay {
        /// Revision of the plan.
        revision: u64,
        /// The plan.
        plan: Plan,
    },
    /// Look where the plan laid last could be split into zones to its advantage.
    Splits {
        /// Revision of that plan; of another one nothing is said.
        revision: u64,
    },
    /// Lay the plan laid last in other ways and hold them against each other; what was asked of this kind before is given up.
    Compare {
        /// Revision of that plan; of another one nothing is said.
        revision: u64,
        /// The ways. None at all gives up what is under way.
        ways: Vec<Alternative>,
    },
    /// Tell the way that water takes from a place of the plan laid last.
    Trace {
        /// Revision of that plan; of another one nothing is said.
        revision: u64,
        /// The place.
        from: Pt,
    },
    /// Tell the levels along a line over the plan laid last.
    Section {
        /// Revision of that plan; of another one nothing is said.
        revision: u64,
        /// The line, two points or more.
        line: Vec<Pt>,
    },
    /// Make a file from this plan, laid as well as it can be.
    Make {
        /// Number of the order; comes back with the file.
        number: u32,
        /// Revision of the plan.
        revision: u64,
        /// The plan.
        plan: Plan,
        /// Which file.
        order: Order,
    },
}

/// What the worker tells the page.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub enum Tell {
    /// The worker is up; always its first word.
    Ready {
        /// Its [`PROTOCOL`].
        protocol: u32,
        /// Its [`BUILD`].
        build: String,
    },
    /// A layout: the first of a plan, a better one, or the word that none is to come.
    Laid {
        /// Revision of the plan it was made from.
        revision: u64,
        /// The layout; absent where the one told last stands.
        layout: Option<Box<Layout>>,
        /// What the engine has taken for this plan so far, thousandths of a second.
        millis: f64,
        /// Steps of the search so far.
        steps: u64,
        /// Whether the search is over: this plan's layout changes no more.
        done: bool,
    },
    /// Where the plan could be split, best first; none when nowhere.
    Splits {
        /// Revision of the plan.
        revision: u64,
        /// The proposals.
        proposals: Vec<Proposal>,
    },
    /// Ways of laying held against each other, as far as they are known.
    Compared {
        /// Revision of the plan.
        revision: u64,
        /// Ways laid since the last word, each with its place in the list; the way that stands has place 0.
        laid: Vec<(usize, Outcome)>,
        /// How every way known so far stands.
        standings: Vec<Standing>,
        /// How far it has come.
        progress: Progress,
        /// What it has taken so far, thousandths of a second.
        millis: f64,
        /// Whether it is over.
        done: bool,
    },
    /// The way that water takes; none from a place without levels.
    Traced {
        /// Revision of the plan.
        revision: u64,
        /// The way.
        trace: Option<Trace>,
    },
    /// Levels along a line; none where the deck has none.
    Sectioned {
        /// Revision of the plan.
        revision: u64,
        /// The section.
        section: Option<Section>,
    },
    /// A file; its bytes travel beside this word.
    Made {
        /// Number of the order.
        number: u32,
        /// Which file.
        order: Order,
    },
    /// A file that could not be made.
    Refused {
        /// Number of the order.
        number: u32,
        /// One sentence: why, and what to do.
        sentence: String,
    },
}
