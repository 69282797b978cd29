//! Splits: zone lines that would save rolls or money, proposed to the user.
//!
//! In: a plan. Out: a few [`Proposal`]s, each with the lines to draw and what a layout with them saves against the
//! plan as it stands. Lines start from re-entrant corners and large openings ([`lines`]); up to [`MOST_CUTS`] cuts are
//! combined. Candidates are screened by about what the rolls of their zones cost, and the best are laid in full: what a
//! proposal states is the difference of two whole layouts, the lap along its lines included. It works in steps, never
//! by the clock. It draws nothing in the plan, and it leaves alone zones whose direction or start the user holds.

pub mod lines;
mod screen;

use crate::finding::Severity;
use crate::geom::Pt;
use crate::geom::ring;
use crate::layout::{Layout, Totals};
use crate::model;
use crate::plan::{Id, Laying, Mm, Plan, StartSide, ZoneLine, ZoneLineKind, file};
use crate::search::Search;
use crate::ways;
use crate::zones::{self, ZoneModel};
use lines::Cut;
use screen::{Known, Screening};
use serde::{Deserialize, Serialize};

/// Most proposals offered.
pub const MOST_PROPOSALS: usize = 5;

/// Most cuts combined in a proposal: more is a roof in shreds.
pub const MOST_CUTS: usize = 3;

/// Candidates screened with one, two and three cuts: of each zone, of each combination gone on from.
const SCREENED: [usize; MOST_CUTS] = [40, 16, 10];

/// Combinations gone on from with another cut.
const GONE_ON_FROM: usize = 3;

/// Combinations laid in full, of one, two and three cuts.
const LAID: [usize; MOST_CUTS] = [5, 4, 3];

/// Combinations that the screening puts further above the plan as it stands are not laid, hundredths of its cost: the
/// screening is a guess.
const WORSE: i128 = 2;

/// Without a roll saved, a split has to save this share of the cost to be worth a lap line, hundredths. Common practice,
/// no source.
const LEAST_SHARE: i64 = 1;

/// A part has to be this many rolls wide squared to be worth it. Common practice, no source.
const LEAST_PART: Mm = 3;

/// A split of the roof that saves something: lines to draw, and what that saves.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Proposal {
    /// The zone lines to draw, each with its two ends; their kind is [`ZoneLineKind::Drawn`]. A line of sight broken by an
    /// opening is several. The zones that they make need no settings: a setting that lies in one of them stays with it,
    /// the others have [`crate::plan::Direction::Best`], as any zone without a setting.
    pub lines: Vec<Vec<Pt>>,
    /// Length of the lines on the deck, mm: more lap to make.
    pub lap_line: Mm,
    /// The zones that the lines make, as they are then laid.
    pub parts: Vec<Part>,
    /// What it saves, the lap along the lines already taken off.
    pub saves: Saving,
    /// Rolls opened then.
    pub rolls: u32,
    /// Whether the cut list is then proved the least.
    pub proved: bool,
}

/// A zone that a proposal makes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Part {
    /// Number of the zone in the layout with the lines.
    pub zone: u32,
    /// A place well inside it.
    pub at: Pt,
    /// Direction it is laid in, thousandths of a degree anticlockwise from +x, 0 to 179999.
    pub direction_mdeg: i32,
}

/// What a plan saves against another: less is more, and below nothing is a loss. Differences of [`Totals`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Saving {
    /// Rolls opened.
    pub rolls: i64,
    /// Cost at the plan's prices, hundredths, the lap along the lines at the price of a metre of side lap included.
    pub cost: i64,
    /// Of that, the price of the lap along the lines, hundredths: always a loss.
    pub lap_line_cost: i64,
    /// Sum of cut lengths, mm.
    pub cut_length: Mm,
    /// Pieces.
    pub pieces: i64,
    /// End laps.
    pub end_laps: i64,
    /// Length of side laps, mm.
    pub side_laps: Mm,
    /// Area lying double in laps, mm2.
    pub laps: i64,
    /// Area of the opened rolls beyond the field, offcuts kept included, mm2.
    pub waste: i64,
    /// Bays.
    pub bays: i64,
}

impl Saving {
    /// What `then` saves against `now`, where it takes `lap_line` mm of lap along drawn lines.
    pub fn between(now: &Totals, then: &Totals, lap_line: Mm, lap_metre: i64) -> Self {
        let fewer = |now: u32, then: u32| i64::from(now) - i64::from(then);
        let waste = |t: &Totals| t.roll_area - t.field_area;
        let lap = i64::try_from((i128::from(lap_line) * i128::from(lap_metre) + 500) / 1000);
        let lap_line_cost = -lap.unwrap_or(i64::MAX);
        Self {
            rolls: fewer(now.rolls, then.rolls),
            cost: now.cost.saturating_sub(then.cost).saturating_add(lap_line_cost),
            lap_line_cost,
            cut_length: now.cut_length - then.cut_length,
            pieces: fewer(now.pieces, then.pieces),
            end_laps: fewer(now.end_laps, then.end_laps),
            side_laps: now.side_lap_length - then.side_lap_length,
            laps: now.waste.laps - then.waste.laps,
            waste: waste(now) - waste(then),
            bays: fewer(now.bays, then.bays),
        }
    }
}

/// The splits of a plan that save something, the best first.
pub fn propose(plan: &Plan) -> Vec<Proposal> {
    let mut proposer = Proposer::new(plan);
    while !proposer.is_done() {
        proposer.advance(u64::MAX);
    }
    proposer.found
}

/// The plan with the lines of a proposal drawn in.
pub fn with_lines(plan: &Plan, lines: &[Vec<Pt>]) -> Plan {
    let mut plan = plan.clone();
    let taken: Vec<Id> = file::ids(&plan).into_iter().map(|(_, id)| id).collect();
    // Ids below the highest only where that is the last there can be: a free one may have been something else's.
    let from = taken.iter().max().map_or(Some(1), |highest| highest.checked_add(1)).unwrap_or(1);
    let mut free = (from..=Id::MAX).filter(|id| !taken.contains(id));
    for points in lines {
        let Some(id) = free.next() else { break };
        let kind = ZoneLineKind::Drawn;
        plan.zone_lines.push(ZoneLine { id, name: String::new(), points: points.clone(), kind });
    }
    plan
}

/// The plan as it stands.
const NOTHING: Combination = Combination { lines: Vec::new(), cuts: 0, score: 0 };

/// Some cuts, taken together.
#[derive(Clone, Debug)]
struct Combination {
    lines: Vec<Vec<Pt>>,
    cuts: usize,
    /// What the screening makes of it, once it is screened.
    score: i128,
}

impl Combination {
    fn with(&self, cut: &Cut) -> Self {
        let mut lines = self.lines.clone();
        lines.extend(cut.lines.iter().cloned());
        lines.sort();
        Self { lines, cuts: self.cuts + 1, score: 0 }
    }
}

/// What is to be done next.
#[derive(Clone, Debug)]
enum Phase {
    /// Lay the plan as it stands.
    Baseline(Box<Search>),
    /// Screen the next combination.
    Next,
    /// Screen a combination.
    Screen(Screening, Combination),
    /// Lay a combination.
    Confirm(Box<Search>, Combination),
    /// Nothing.
    Done,
}

/// Looks for splits in slices.
#[derive(Clone, Debug)]
pub struct Proposer {
    plan: Plan,
    /// Zones of the plan as it stands.
    zones: Vec<ZoneModel>,
    /// The plan as it stands, laid.
    now: Layout,
    phase: Phase,
    known: Known,
    /// Combinations to be screened.
    queue: Vec<Combination>,
    /// Score of the plan as it stands, once it is known.
    plain: Option<i128>,
    /// What was screened, by number of cuts.
    screened: Vec<Vec<Combination>>,
    /// Combinations to be laid, the best last.
    to_lay: Vec<Combination>,
    /// What saves something.
    saving: Vec<Proposal>,
    found: Vec<Proposal>,
    steps: u64,
}

/// A layout being looked for, or found.
enum Work {
    On(Box<Search>),
    Done(Box<Layout>),
}

impl Proposer {
    /// A proposer that has found nothing yet.
    pub fn new(plan: &Plan) -> Self {
        let mut proposer = Self {
            plan: plan.clone(),
            zones: zones_of(plan),
            now: Layout::default(),
            phase: Phase::Done,
            known: Known::new(),
            queue: Vec::new(),
            plain: None,
            screened: vec![Vec::new()],
            to_lay: Vec::new(),
            saving: Vec::new(),
            found: Vec::new(),
            steps: 0,
        };
        proposer.queue = proposer.go_on_from(&NOTHING);
        if !proposer.queue.is_empty() {
            proposer.phase = Phase::Baseline(Box::new(Search::new(plan.clone(), None)));
        }
        proposer
    }

    /// The proposals so far, the best first; better ones may join or replace them until it is done.
    pub fn found(&self) -> &[Proposal] {
        &self.found
    }

    /// Whether nothing more will come of working on.
    pub fn is_done(&self) -> bool {
        matches!(self.phase, Phase::Done)
    }

    /// Steps taken so far.
    pub fn steps(&self) -> u64 {
        self.steps
    }

    /// Goes on for about so many steps, of the size of those of [`Search`]; whether the proposals changed.
    pub fn advance(&mut self, steps: u64) -> bool {
        let end = self.steps.saturating_add(steps.max(1));
        let before = self.found.clone();
        while self.steps < end && !self.is_done() {
            self.phase = match std::mem::replace(&mut self.phase, Phase::Done) {
                Phase::Baseline(search) => match self.work(search, end) {
                    Work::On(search) => Phase::Baseline(search),
                    Work::Done(layout) => self.begin(*layout),
                },
                Phase::Next => self.next_to_screen(),
                Phase::Screen(screening, combination) => self.screen(screening, combination),
                Phase::Confirm(search, combination) => match self.work(search, end) {
                    Work::On(search) => Phase::Confirm(search, combination),
                    Work::Done(layout) => {
                        self.weigh(&combination, &layout);
                        self.next_to_lay()
                    }
                },
                Phase::Done => Phase::Done,
            };
        }
        before != self.found
    }

    /// Goes on with a layout.
    fn work(&mut self, mut search: Box<Search>, end: u64) -> Work {
        let before = search.steps();
        search.advance(end.saturating_sub(self.steps));
        self.steps += (search.steps() - before).max(1);
        if search.is_done() { Work::Done(Box::new(search.into_layout())) } else { Work::On(search) }
    }

    /// Begins to screen, if rolls can be saved at all.
    fn begin(&mut self, now: Layout) -> Phase {
        self.now = now;
        let one_kind = self.plan.products.rolls.len() == 1;
        if self.now.rolls.is_empty() || (one_kind && self.now.totals.rolls <= self.now.totals.rolls_by_area) {
            return Phase::Done;
        }
        Phase::Screen(Screening::new(self.zones.clone(), 0, i128::MAX - 1), NOTHING)
    }

    /// The combinations that add one cut to another, not yet screened.
    fn go_on_from(&mut self, from: &Combination) -> Vec<Combination> {
        let Some(width) = ways::widths(&self.plan.products).into_iter().min() else { return Vec::new() };
        let most = SCREENED[from.cuts.min(MOST_CUTS - 1)];
        let zones = zones_of(&with_lines(&self.plan, &from.lines));
        self.steps += 10;
        let free = zones.iter().filter(|zone| is_free(zone));
        let cuts = free.flat_map(|zone| lines::cuts(&zone.area, width, most));
        cuts.filter(|cut| self.is_clear(cut)).map(|cut| from.with(&cut)).collect()
    }

    /// Whether a cut keeps out of the clear zones of outlets: bays end along it.
    #[allow(clippy::cast_precision_loss)]
    fn is_clear(&self, cut: &Cut) -> bool {
        let outlets = &self.plan.outlets;
        let clear = |line: &Vec<Pt>| {
            outlets.iter().all(|o| model::distance_to(o.at, line[0], line[1]) >= o.clear_zone.max(0) as f64)
        };
        cut.lines.iter().all(clear)
    }

    /// Begins to screen the next combination, or goes on to the next number of cuts.
    fn next_to_screen(&mut self) -> Phase {
        while let Some(combination) = self.queue.pop() {
            if self.screened.iter().flatten().any(|c| c.lines == combination.lines) {
                continue;
            }
            let zones = zones_of(&with_lines(&self.plan, &combination.lines));
            self.steps += 10;
            let parted = zones.len() >= self.zones.len() + combination.cuts;
            if !parted || !zones.iter().all(|z| self.is_worth_it(z)) {
                return Phase::Next;
            }
            let metres = i128::from(length_of(&combination.lines));
            let lines = metres * i128::from(self.plan.products.prices.lap_metre);
            let limit = self.limit();
            return Phase::Screen(Screening::new(zones, lines, limit), combination);
        }
        let cuts = self.screened.len();
        let best: Vec<Combination> = self.screened[cuts - 1].iter().take(GONE_ON_FROM).cloned().collect();
        if cuts < MOST_CUTS {
            self.queue = best.iter().flat_map(|c| self.go_on_from(c)).collect();
        }
        if self.queue.is_empty() {
            return self.line_up();
        }
        self.screened.push(Vec::new());
        Phase::Next
    }

    /// Goes on with a screening.
    fn screen(&mut self, mut screening: Screening, mut combination: Combination) -> Phase {
        self.steps += screening.advance(&self.plan.products, &mut self.known);
        let Some(score) = screening.score() else { return Phase::Screen(screening, combination) };
        if combination.cuts == 0 {
            self.plain = score;
            return if score.is_some() { Phase::Next } else { Phase::Done };
        }
        if let (Some(score), Some(list)) = (score, self.screened.last_mut()) {
            combination.score = score;
            let key = |c: &Combination| (c.score, c.lines.clone());
            let at = list.partition_point(|c| key(c) < key(&combination));
            list.insert(at, combination);
        }
        Phase::Next
    }

    /// The score that a combination may have at most.
    fn limit(&self) -> i128 {
        let plain = self.plain.unwrap_or(0);
        plain + plain / 100 * WORSE
    }

    /// Lines up the combinations worth laying in full.
    fn line_up(&mut self) -> Phase {
        let best = self.screened.iter().zip(LAID).flat_map(|(list, most)| list.iter().take(most));
        self.to_lay = best.cloned().collect();
        self.to_lay.sort_by(|a, b| (b.score, &b.lines).cmp(&(a.score, &a.lines)));
        self.next_to_lay()
    }

    /// Begins to lay the next combination.
    fn next_to_lay(&mut self) -> Phase {
        let Some(combination) = self.to_lay.pop() else { return Phase::Done };
        self.steps += 20;
        let plan = with_lines(&self.plan, &combination.lines);
        Phase::Confirm(Box::new(Search::new(plan, None)), combination)
    }

    /// Whether a zone is large enough, or was there before.
    fn is_worth_it(&self, zone: &ZoneModel) -> bool {
        let width = ways::widths(&self.plan.products).into_iter().min().unwrap_or(0);
        let least = i128::from(LEAST_PART * width);
        let size = ring::doubled_area_of(std::slice::from_ref(&zone.area)) / 2;
        (size >= least * least && !zone.field.is_empty()) || self.zones.iter().any(|z| z.area == zone.area)
    }

    /// Weighs a layout with some lines, and keeps it when it saves something.
    fn weigh(&mut self, combination: &Combination, layout: &Layout) {
        let proposal = self.proposal(&combination.lines, layout);
        if self.is_offered(&proposal, layout) {
            self.saving.push(proposal);
            self.found = self.best_of();
        }
    }

    fn proposal(&self, lines: &[Vec<Pt>], layout: &Layout) -> Proposal {
        let after = zones_of(&with_lines(&self.plan, lines));
        let new = after.iter().filter(|z| self.zones.iter().all(|b| b.area != z.area));
        let part = |zone: &ZoneModel| {
            let laid = layout.zones.iter().find(|z| z.number == zone.number);
            let bays = layout.bays.iter().filter(|b| b.zone == zone.number);
            Part {
                zone: zone.number,
                at: bays.max_by_key(|b| b.size).map(|b| b.label).unwrap_or_default(),
                direction_mdeg: laid.map(|z| z.direction_mdeg).unwrap_or_default(),
            }
        };
        let lap_line = length_of(lines);
        let lap_metre = self.plan.products.prices.lap_metre;
        Proposal {
            lines: lines.to_vec(),
            lap_line,
            parts: new.map(part).collect(),
            saves: Saving::between(&self.now.totals, &layout.totals, lap_line, lap_metre),
            rolls: layout.totals.rolls,
            proved: layout.totals.proved,
        }
    }

    /// Whether a proposal saves enough, and its layout has nothing worse wrong with it than that of the plan.
    fn is_offered(&self, proposal: &Proposal, layout: &Layout) -> bool {
        let saves = &proposal.saves;
        let enough = saves.rolls > 0 || saves.cost > self.now.totals.cost / 100 * LEAST_SHARE;
        let count = |layout: &Layout, code: &str| layout.findings.iter().filter(|f| f.code == code).count();
        let errors =
            |layout: &Layout| layout.findings.iter().filter(|f| f.severity == Severity::Error).count();
        let no_worse = errors(layout) <= errors(&self.now)
            && ["no-field", "line-stops-short"].iter().all(|c| count(layout, c) <= count(&self.now, c));
        saves.rolls >= 0 && saves.cost > 0 && enough && no_worse
    }

    /// The best proposals, none of them better in nothing than another.
    fn best_of(&self) -> Vec<Proposal> {
        let mixed = self.plan.products.laying == Laying::Mixed;
        let mut all = self.saving.clone();
        let first = |s: &Saving| if mixed { [s.cost, s.rolls] } else { [s.rolls, s.cost] };
        all.sort_by(|a, b| {
            let key = |p: &Proposal| (p.lines.len(), p.lap_line);
            first(&b.saves).cmp(&first(&a.saves)).then_with(|| (key(a), &a.lines).cmp(&(key(b), &b.lines)))
        });
        let mut best: Vec<Proposal> = Vec::new();
        for proposal in all {
            let beaten = |better: &Proposal| {
                better.saves.rolls >= proposal.saves.rolls
                    && better.saves.cost >= proposal.saves.cost
                    && better.lap_line <= proposal.lap_line
            };
            if best.len() < MOST_PROPOSALS && !best.iter().any(beaten) {
                best.push(proposal);
            }
        }
        best
    }
}

fn zones_of(plan: &Plan) -> Vec<ZoneModel> {
    let mut unheard = Vec::new();
    let model = model::check(plan, &mut unheard);
    zones::part(plan, &model, &mut unheard)
}

/// Whether the user left direction and start of a zone to the engine.
fn is_free(zone: &ZoneModel) -> bool {
    zone.directions.len() > 1 && zone.first.is_none() && zone.start == StartSide::Best
}

#[allow(clippy::cast_possible_truncation)]
fn length_of(lines: &[Vec<Pt>]) -> Mm {
    lines.iter().flat_map(|line| line.windows(2)).map(|w| w[0].distance(w[1]).round() as Mm).sum()
}
