//! What the worker has in hand: the search of the newest plan, files on order, a look for splits.
//!
//! In: [`Ask`]s, and turns to go on. Out: [`Tell`]s, with a file's bytes beside one. The first layout of a plan is
//! told at once; each turn after that is one slice of a fixed number of steps, so that what is found depends on no
//! clock and a newer plan waits for one slice at most. Files are made from finished searches only. It knows no browser.

use super::protocol::{Ask, Order, Paper, Tell};
use baylap_core::compare::Comparer;
use baylap_core::plan::Record;
use baylap_core::splits::Proposer;
use baylap_core::{Layout, Plan, Search};
use baylap_sheets::{
    SheetOptions, cut_list_csv, days_pdf, drainage_pdf, drainage_svg, outlet_list_csv, pond_list_csv,
    records_csv, seam_list_csv, setting_out_pdf, style,
};
use std::collections::VecDeque;

/// Steps of the search in one slice: a few ms of a middling machine. A number, never a time: with it the same plan is
/// told the same layouts everywhere.
pub const SLICE: u64 = 24;
/// Steps of the look for splits in one slice.
pub const SPLIT_SLICE: u64 = 16;
/// Steps of a comparison in one slice.
pub const COMPARE_SLICE: u64 = 48;

/// Said when a file came out empty.
const EMPTY: &str = "Nothing is laid yet, so there is nothing to put on paper: draw a deck first.";

/// Said when the drainage sheet is asked for without levels.
const NO_LEVELS: &str = "No levels are known, so there is no drainage to draw: give levels, or a plane of fall, at the stage Falls.";

/// A word to the page, and the bytes of a file beside it.
pub type Word = (Tell, Option<Vec<u8>>);

/// The search of one plan.
struct Work {
    revision: u64,
    plan: Plan,
    search: Search,
    millis: f64,
    /// Whether the page was told that the search is over.
    closed: bool,
}

/// A file on order.
struct Wanted {
    number: u32,
    order: Order,
    /// The records when it was ordered: they grow while the plan keeps its revision.
    records: Vec<Record>,
    /// The search it waits for, when that is not the one in hand.
    own: Option<Box<(Plan, Search)>>,
}

/// What the worker has in hand.
#[derive(Default)]
pub struct Desk {
    work: Option<Work>,
    files: VecDeque<Wanted>,
    splits: Option<(u64, Proposer)>,
    comparing: Option<Comparing>,
}

/// A comparison under way.
struct Comparing {
    revision: u64,
    comparer: Comparer,
    millis: f64,
}

impl Desk {
    /// Takes an order; `clock` tells milliseconds, for what is said of the time taken and for nothing else.
    pub fn take(&mut self, ask: Ask, clock: impl Fn() -> f64) -> Option<Word> {
        match ask {
            Ask::Lay { revision, plan } => Some((self.lay(revision, plan, clock), None)),
            Ask::Splits { revision } => {
                let work = self.work.as_ref().filter(|w| w.revision == revision && w.search.is_done())?;
                self.splits = Some((revision, Proposer::new(&work.plan)));
                None
            }
            Ask::Compare { revision, ways } => {
                let work = self.work.as_ref().filter(|w| w.revision == revision && !ways.is_empty());
                self.comparing = work.map(|work| Comparing {
                    revision,
                    comparer: Comparer::new(&work.plan, &ways),
                    millis: 0.0,
                });
                None
            }
            Ask::Trace { revision, from } => {
                let work = self.work.as_ref().filter(|w| w.revision == revision)?;
                let trace = work.search.falls().and_then(|falls| falls.trace(from));
                Some((Tell::Traced { revision, trace }, None))
            }
            Ask::Section { revision, line } => {
                let work = self.work.as_ref().filter(|w| w.revision == revision)?;
                let section = work.search.falls().and_then(|falls| falls.section(&line));
                Some((Tell::Sectioned { revision, section }, None))
            }
            Ask::Make { number, revision, plan, order } => {
                let in_hand = self.work.as_ref().is_some_and(|w| w.revision == revision);
                let records = plan.records.clone();
                let own = (!in_hand).then(|| Box::new((plan.clone(), Search::new(plan, None))));
                self.files.push_back(Wanted { number, order, records, own });
                None
            }
        }
    }

    /// Whether there is anything to go on with.
    pub fn is_busy(&self) -> bool {
        self.splits.is_some()
            || self.comparing.is_some()
            || !self.files.is_empty()
            || self.work.as_ref().is_some_and(|w| !w.closed)
    }

    /// Goes on by one slice of what is most wanted: a file that waits for a plan of its own, the plan in hand, a file
    /// of that plan, a comparison, splits.
    pub fn turn(&mut self, clock: impl Fn() -> f64) -> Option<Word> {
        if self.files.front().is_some_and(|f| f.own.is_some()) {
            return self.go_on_with_file();
        }
        if self.work.as_ref().is_some_and(|w| !w.closed) {
            return self.work.as_mut().and_then(|work| work.go_on(clock)).map(|told| (told, None));
        }
        if let Some(file) = self.files.pop_front() {
            return self.work.as_ref().map(|w| file.make(&w.plan, w.search.layout()));
        }
        if self.comparing.is_some() {
            return self.go_on_comparing(clock);
        }
        self.look_for_splits()
    }

    fn go_on_comparing(&mut self, clock: impl Fn() -> f64) -> Option<Word> {
        let comparing = self.comparing.as_mut()?;
        let before = clock();
        let laid = comparing.comparer.advance(COMPARE_SLICE);
        comparing.millis += clock() - before;
        let told = comparing.told(&laid);
        if comparing.comparer.is_done() {
            self.comparing = None;
        } else if laid.is_empty() {
            return None;
        }
        Some((told, None))
    }

    fn lay(&mut self, revision: u64, plan: Plan, clock: impl Fn() -> f64) -> Tell {
        let before = clock();
        let old = self.work.take();
        // A file of the plan before takes the search along: it was asked for first and is made as it was asked for.
        if let Some(old) = &old {
            for file in self.files.iter_mut().filter(|f| f.own.is_none()) {
                file.own = Some(Box::new((old.plan.clone(), old.search.clone())));
            }
        }
        self.splits = None;
        self.comparing = None;
        let search = Search::new(plan.clone(), old.as_ref().map(|old| old.search.layout()));
        let work = Work { revision, plan, millis: clock() - before, closed: search.is_done(), search };
        let told = work.told(true);
        self.work = Some(work);
        told
    }

    fn go_on_with_file(&mut self) -> Option<Word> {
        let (plan, search) = self.files.front_mut()?.own.as_deref_mut()?;
        if !search.is_done() {
            search.advance(SLICE);
            return None;
        }
        let plan = std::mem::take(plan);
        let layout = search.layout().clone();
        self.files.pop_front().map(|file| file.make(&plan, &layout))
    }

    fn look_for_splits(&mut self) -> Option<Word> {
        let (revision, proposer) = self.splits.as_mut()?;
        if !proposer.is_done() {
            proposer.advance(SPLIT_SLICE);
            return None;
        }
        let told = Tell::Splits { revision: *revision, proposals: proposer.found().to_vec() };
        self.splits = None;
        Some((told, None))
    }
}

impl Work {
    fn go_on(&mut self, clock: impl Fn() -> f64) -> Option<Tell> {
        let before = clock();
        let better = self.search.advance(SLICE);
        self.millis += clock() - before;
        self.closed = self.search.is_done();
        (better || self.closed).then(|| self.told(better))
    }

    fn told(&self, with_layout: bool) -> Tell {
        Tell::Laid {
            revision: self.revision,
            layout: with_layout.then(|| Box::new(self.search.layout().clone())),
            millis: self.millis,
            steps: self.search.steps(),
            done: self.closed,
        }
    }
}

impl Comparing {
    fn told(&self, laid: &[usize]) -> Tell {
        let found = self.comparer.found();
        Tell::Compared {
            revision: self.revision,
            laid: laid.iter().map(|&n| (n, found[n].clone())).collect(),
            standings: found.iter().map(|o| o.standing.clone()).collect(),
            progress: self.comparer.progress(),
            millis: self.millis,
            done: self.comparer.is_done(),
        }
    }
}

impl Wanted {
    fn make(self, plan: &Plan, layout: &Layout) -> Word {
        let Wanted { number, order, records, .. } = self;
        match bytes_of(order, plan, layout, records) {
            Ok(bytes) => (Tell::Made { number, order }, Some(bytes)),
            Err(sentence) => (Tell::Refused { number, sentence: sentence.to_owned() }, None),
        }
    }
}

/// The bytes of a file, or one sentence why there are none.
fn bytes_of(
    order: Order,
    plan: &Plan,
    layout: &Layout,
    records: Vec<Record>,
) -> Result<Vec<u8>, &'static str> {
    let options = |paper| SheetOptions { paper: on_paper(paper) };
    let of_falls = |text: String| if layout.falls.is_some() { Ok(text.into_bytes()) } else { Err(NO_LEVELS) };
    let bytes = match order {
        Order::SettingOut(paper) => setting_out_pdf(plan, layout, &options(paper)),
        Order::Days(paper) => days_pdf(plan, layout, &options(paper)).ok_or(EMPTY)?,
        Order::Drainage(paper) => drainage_pdf(plan, layout, &options(paper)).ok_or(NO_LEVELS)?,
        Order::DrainagePlan(paper) => {
            drainage_svg(plan, layout, &options(paper)).ok_or(NO_LEVELS)?.into_bytes()
        }
        Order::Ponds => of_falls(pond_list_csv(layout))?,
        Order::Outlets => of_falls(outlet_list_csv(plan, layout))?,
        Order::Seams => of_falls(seam_list_csv(layout))?,
        Order::CutList => cut_list_csv(layout).into_bytes(),
        Order::Records => records_csv(&Plan { records, ..plan.clone() }, layout).into_bytes(),
    };
    if bytes.is_empty() { Err(EMPTY) } else { Ok(bytes) }
}

fn on_paper(paper: Paper) -> style::Paper {
    match paper {
        Paper::A4 => style::Paper::A4,
        Paper::A3 => style::Paper::A3,
    }
}
