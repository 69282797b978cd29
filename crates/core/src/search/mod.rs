//! The search: directions, widths, starts and cut lists tried one after the other, the best kept.
//!
//! In: a plan. Out: a layout at once, better ones as it goes on. It works in steps, never by the clock: the same number
//! of steps gives the same layout on every machine, and the last layout does not depend on how the steps were sliced or
//! on the hint. Ways are compared by what the whole job then costs: rolls opened first (the stated cost first when laying
//! is mixed), then cost, cut length, slivers, laps, and a start hard against a wall.

mod bill;
mod effort;
mod ground;
mod known;
mod ordering;
mod roof;
mod slopes;

pub use effort::Effort;
pub use roof::Roof;

use crate::courses::First;
use crate::cuts::{CutList, Problem, Solver};
use crate::draft::DraftPiece;
use crate::endlaps::Ends;
use crate::finding::Finding;
use crate::geom::frame::Frame;
use crate::layout::{self, Falls, Layout};
use crate::numbering::{self, LaidZone};
use crate::plan::{Laying, Mm, Plan};
use crate::run_on::{Added, Place};
use crate::sequence::Broken;
use crate::starts::Start;
use crate::zones::{self, ZoneModel};
use crate::{
    calendar, coverings, days, falls, materials, products, protection, remarks, rolling, seams, strips, sums,
    ways, work,
};
use ground::{Candidate, Ground, Stance};
use known::{ZoneState, seen};
use ordering::Ordering;

/// Steps of the cut list between two looks at what it has come to. Always as many, however the search is sliced: how far
/// it goes must not depend on that.
const STRIDE: u64 = 24;

/// Most ways of a zone, with nearly one direction and one width, whose starts are laid out in full.
const MOST_ALIKE: usize = 2;

/// Directions nearer to each other than this are nearly one, thousandths of a degree.
const NEARLY_ONE: i32 = 2000;

/// A look is laid out in full when its rolls' area is within this share of the least, hundredths.
const NEAR_LEAST: i64 = 6;

/// What is to be done next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Phase {
    /// Look at a direction and a width of a zone.
    Look { zone: usize, next: usize },
    /// Lay out a way of a zone.
    Try { zone: usize, next: usize },
    /// Write out the layout of the ways taken.
    Settle,
    /// Look for the best order of the bays.
    Order,
    /// Try the job without end laps that running on added.
    Ease,
    /// Improve the cut list.
    Cut,
    /// Look for one as cheap with fewer rolls part-used at once.
    Fewer,
    /// Nothing.
    Done,
}

/// A search.
#[derive(Clone, Debug)]
pub struct Search {
    ground: Ground,
    effort: Effort,
    /// Whether it began with the ways of another layout.
    hinted: bool,
    /// The zones as they were when gangs and melters began to matter, where that happened once and is kept.
    settled: Option<Vec<ZoneState>>,
    zones: Vec<ZoneState>,
    phase: Phase,
    /// Ways of the zone at hand still to be laid out: look and start.
    queue: Vec<(usize, First)>,
    /// The best of them so far.
    best: Option<(Worth, Candidate)>,
    /// The layout without its rolls.
    bare: Layout,
    laid: Vec<LaidZone>,
    /// The best order of the bays: being looked for, or known.
    ordering: Option<Ordering>,
    /// The order that bays are numbered in, once it is known: bays counted zone by zone.
    order: Option<Vec<usize>>,
    /// Laws that this order breaks, as ties ask for it.
    broken: Vec<Broken>,
    /// End laps that running on added and that are not yet tried without.
    added: Vec<Added>,
    /// Whether some were taken out again since the layout was written.
    eased: bool,
    /// Ways of making runs of pieces still to be tried.
    stances: Vec<Stance>,
    solver: Solver,
    /// Works on the same with the gang's limit of part-used rolls.
    kept: Option<Solver>,
    /// What the layout shown is worth, once one way of making runs has been tried to its end.
    shown: Option<(usize, [i64; 2])>,
    layout: Layout,
    steps: u64,
}

impl Search {
    /// A search that already holds a layout: laid as `hint` was where that fits, else along the longest walls.
    pub fn new(plan: Plan, hint: Option<&Layout>) -> Self {
        let roof = Roof::of(&plan);
        Self::on(plan, roof, Effort::WHOLE, hint)
    }

    /// The same on a roof that is known already, with so much effort; with less than [`Effort::WHOLE`] it holds no layout
    /// before it is done. The plan must be of that roof ([`Roof::of`]).
    pub fn on(plan: Plan, roof: Roof, effort: Effort, hint: Option<&Layout>) -> Self {
        let Roof { model, falls, coverings, mut findings } = roof;
        let rules = products::check(&plan, &mut findings);
        let zones = zones::part(&plan, &model, &mut findings);
        let mut stances = Stance::all(&plan);
        settings(&plan, &mut findings);
        let ground = Ground { plan, model, rules, findings, falls, coverings, stance: stances.remove(0) };
        let zones = zones.into_iter().map(|zone| ground.first(zone, hint)).collect();
        let mut search = Self::begun(ground, zones, stances, effort);
        search.hinted = hint.is_some();
        if effort.answers_at_once {
            search.write_out();
            search.make_runs();
        }
        search
    }

    /// The search of a plan that differs in its gangs and melters only, from where these begin to matter; nothing where this
    /// search does not know the place.
    pub fn with_gangs_of(&self, plan: Plan, roof: Roof) -> Option<Self> {
        let zones = self.settled.clone()?;
        let mut findings = roof.findings;
        products::check(&plan, &mut findings);
        zones::part(&plan, &self.ground.model, &mut findings);
        settings(&plan, &mut findings);
        let ground = Ground { plan, findings, ..self.ground.clone() };
        let mut search = Self::begun(ground, zones, Vec::new(), self.effort);
        search.phase = Phase::Settle;
        Some(search)
    }

    fn begun(ground: Ground, zones: Vec<ZoneState>, stances: Vec<Stance>, effort: Effort) -> Self {
        Self {
            ground,
            effort,
            hinted: false,
            settled: None,
            zones,
            phase: Phase::Look { zone: 0, next: 0 },
            queue: Vec::new(),
            best: None,
            bare: Layout::default(),
            laid: Vec::new(),
            ordering: None,
            order: None,
            broken: Vec::new(),
            added: Vec::new(),
            eased: false,
            stances,
            solver: Solver::new(Problem::default()),
            kept: None,
            shown: None,
            layout: Layout::default(),
            steps: 0,
        }
    }

    /// The best layout so far.
    pub fn layout(&self) -> &Layout {
        &self.layout
    }

    /// The best layout so far, the search given up.
    pub fn into_layout(self) -> Layout {
        self.layout
    }

    /// The falls of the plan, where levels are known.
    pub fn falls(&self) -> Option<&falls::Found> {
        self.ground.falls.as_ref()
    }

    /// Whether there is nothing left to try.
    pub fn is_done(&self) -> bool {
        self.phase == Phase::Done
    }

    /// Steps taken so far.
    pub fn steps(&self) -> u64 {
        self.steps
    }

    /// Goes on for about so many steps; whether the layout changed.
    pub fn advance(&mut self, steps: u64) -> bool {
        let end = self.steps.saturating_add(steps.max(1));
        let mut changed = false;
        while self.steps < end && self.phase != Phase::Done {
            match self.phase {
                Phase::Look { zone, next } => self.look(zone, next),
                Phase::Try { zone, next } => self.attempt(zone, next),
                Phase::Settle => {
                    self.settle();
                    self.phase = Phase::Order;
                }
                Phase::Order => changed |= self.put_in_order(),
                Phase::Ease => changed |= self.ease(),
                Phase::Cut => changed |= self.cut(),
                Phase::Fewer => changed |= self.fewer(),
                Phase::Done => {}
            }
        }
        changed
    }

    /// Looks at one direction and width of a zone.
    fn look(&mut self, zone: usize, next: usize) {
        let Some(state) = self.zones.get(zone) else {
            self.begin_trying();
            return;
        };
        let widths: Vec<Mm> = self.ground.rules.iter().map(|r| r.width).collect();
        let (direction, width) = (next / widths.len().max(1), next % widths.len().max(1));
        let (true, Some(&along)) = (!widths.is_empty(), state.zone.directions.get(direction)) else {
            self.phase = Phase::Look { zone: zone + 1, next: 0 };
            return;
        };
        self.steps += 4 + corners(&state.zone) / 4;
        let seen = ways::look(&state.zone, along, widths[width], &self.ground.plan.products)
            .map(|look| seen(look, &state.slopes));
        self.zones[zone].looks.extend(seen);
        self.phase = Phase::Look { zone, next: next + 1 };
    }

    /// Begins to lay out ways of the first zone, all zones in their plain way: what was hinted is forgotten.
    fn begin_trying(&mut self) {
        // Before anything is written out, with no hint, each zone still has its plain way.
        if self.hinted || !self.bare.bays.is_empty() {
            for state in &mut self.zones {
                let plain = state.plain;
                state.taken = plain.and_then(|way| self.ground.candidate(&state.zone, &way, None));
            }
        }
        self.phase = Phase::Try { zone: 0, next: 0 };
        self.line_up(0);
    }

    /// Lines up the ways of a zone that are worth laying out in full.
    fn line_up(&mut self, zone: usize) {
        self.queue.clear();
        self.best = None;
        let Some(state) = self.zones.get(zone) else { return };
        let area = |n: usize| state.looks[n].way.cut_length * state.looks[n].way.width;
        let mut order: Vec<usize> = (0..state.looks.len()).collect();
        // Each kind by itself: the best across the fall, and the best down it to compare.
        let kind = |n: usize| self.off_fall(state, &state.looks[n].look.frame);
        order.sort_by_key(|&n| (kind(n), area(n), n));
        let least = |down: bool| order.iter().copied().filter(|&n| kind(n) == down).map(area).min();
        let least = [false, true].map(|down| least(down).unwrap_or(0));
        order.retain(|&n| {
            let least = least[usize::from(kind(n))];
            area(n) <= least + least / 100 * NEAR_LEAST
        });
        let order = spread(&order, self.effort.looks, |n| {
            (state.looks[n].way.direction_mdeg, state.looks[n].way.width)
        });
        for n in order {
            self.queue.extend(state.looks[n].look.firsts.iter().map(|&first| (n, first)));
        }
        self.queue.truncate(self.effort.starts);
    }

    /// Whether a way runs down the fall where courses across it are wanted.
    fn off_fall(&self, state: &ZoneState, frame: &Frame) -> bool {
        let wanted = self.ground.plan.drainage.across_fall_first;
        wanted && slopes::runs_down(&state.slopes, frame) == Some(true)
    }

    /// Lays out one way of a zone in full and keeps it when it is the best so far.
    fn attempt(&mut self, zone: usize, next: usize) {
        let Some(&(n, first)) = self.queue.get(next) else {
            self.take(zone);
            return;
        };
        self.phase = Phase::Try { zone, next: next + 1 };
        let state = &self.zones[zone];
        self.steps += 8 + corners(&state.zone) / 2;
        let way = state.looks[n].look.way(first);
        let Some(candidate) = self.ground.candidate(&state.zone, &way, Some(n)) else { return };
        let worth = self.worth(zone, &candidate);
        let seen = &mut self.zones[zone].looks[n].way;
        if seen.rolls.zip(seen.cost).is_none_or(|known| (worth.rolls, worth.cost) < known) {
            (seen.rolls, seen.cost) = (Some(worth.rolls), Some(worth.cost));
        }
        if self.best.as_ref().is_none_or(|(least, _)| worth < *least) {
            self.best = Some((worth, candidate));
        }
    }

    /// What the whole job is worth with this way of a zone and those taken of the others.
    fn worth(&self, zone: usize, candidate: &Candidate) -> Worth {
        let others = self.zones.iter().enumerate().filter(|(z, _)| *z != zone);
        let mut all: Vec<&Candidate> = others.filter_map(|(_, state)| state.taken.as_ref()).collect();
        all.push(candidate);
        let bill = self.ground.bill(&all);
        let look = candidate.look.and_then(|n| self.zones[zone].looks.get(n));
        let spacing = candidate.draft.way.spacing;
        let (start, hard) = match candidate.draft.way.first {
            First::Outside(mm) => {
                let starts = look.map(|seen| seen.look.starts.as_slice()).unwrap_or_default();
                let start = usize::try_from(mm).ok().and_then(|mm| starts.get(mm)).copied();
                (start.unwrap_or_default(), mm == 0 || mm == spacing.last_hard())
            }
            First::GrownLaps => (Start::default(), true),
        };
        Worth {
            uncut: bill.uncut,
            off_fall: self.off_fall(&self.zones[zone], &candidate.draft.courses.frame),
            money: self.ground.money(&bill),
            cut_length: candidate.pieces.iter().map(|p| p.to - p.from).sum(),
            slivers: start.slivers,
            laps: bill.side_laps,
            loose: !hard,
            rolls: bill.rolls,
            cost: bill.cost,
        }
    }

    /// Takes the best way of a zone and goes on to the next one.
    fn take(&mut self, zone: usize) {
        if let Some((_, candidate)) = self.best.take() {
            self.zones[zone].taken = Some(candidate);
        }
        self.phase =
            if zone + 1 < self.zones.len() { Phase::Try { zone: zone + 1, next: 0 } } else { Phase::Settle };
        self.line_up(zone + 1);
    }

    /// Writes out the layout of the ways taken, its bays in a first workable order.
    fn settle(&mut self) {
        self.steps += 20;
        let once = self.stances.is_empty() && !self.effort.answers_at_once;
        self.settled = once.then(|| self.zones.clone());
        self.added.clear();
        self.order = None;
        let stood = self.write_out();
        let known = self.ordering.take();
        self.ordering = Some(Ordering::new(&self.ground, &self.bare, (stood, known), self.effort));
    }

    /// Looks for the best order of the bays; when it is known, goes on to runs and cuts. Whether the layout changed.
    fn put_in_order(&mut self) -> bool {
        let Some(ordering) = &mut self.ordering else { return self.make_runs() };
        let (steps, done) = ordering.advance();
        self.steps += steps;
        if !done {
            return false;
        }
        self.order = Some(ordering.order());
        self.number();
        self.phase = Phase::Cut;
        self.make_runs()
    }

    /// Makes pieces of the runs and cuts them from rolls, with a cut list that is not yet improved; whether it is shown.
    fn make_runs(&mut self) -> bool {
        if self.ground.stance.runs_on {
            self.run_on();
        }
        self.begin_cutting()
    }

    /// Pieces, bays and numbers of the ways taken; the order of the bays, counted zone by zone.
    fn write_out(&mut self) -> Vec<usize> {
        self.laid = self.zones.iter().map(|state| self.ground.finish(state)).collect();
        self.number()
    }

    /// Numbers of what is laid; the order of the bays, counted zone by zone.
    fn number(&mut self) -> Vec<usize> {
        let Ground { plan, .. } = &self.ground;
        match (&self.order, &self.ordering) {
            (Some(order), Some(ordering)) => {
                self.bare = numbering::number_in(plan, &self.laid, order);
                let (days, broken) = ordering.days(&self.ground, &self.bare);
                self.bare.days = Some(days);
                self.broken = broken;
                order.clone()
            }
            _ => {
                let (bare, order) = numbering::number(plan, &self.laid, self.ground.lines());
                self.bare = bare;
                order
            }
        }
    }

    /// What follows from the pieces and the order of the bays, once neither changes any more: what water does at the laps,
    /// and the protection sheet.
    fn lay_on(&mut self) {
        let Ground { plan, model, falls, .. } = &self.ground;
        if self.order.is_some() && self.effort.sheet {
            self.bare.protection = protection::lay(plan, model, &self.laid, &self.bare);
        }
        if let Some(found) = falls {
            self.bare.seams = seams::find(&self.bare, &found.ground);
            let lengths = seams::lengths(&self.bare.seams);
            self.bare.falls = Some(Falls { lengths, ..found.falls.clone() });
        }
    }

    /// A first cut list for what is written out.
    fn begin_cutting(&mut self) -> bool {
        self.lay_on();
        self.kept = None;
        self.solver = Solver::new(rolling::problem(&self.ground.plan, &self.bare));
        self.show()
    }

    /// Runs rolls on in the order the bays are poured in.
    fn run_on(&mut self) {
        let all: Vec<&Candidate> = self.zones.iter().filter_map(|state| state.taken.as_ref()).collect();
        let zones: Vec<u32> =
            self.zones.iter().filter(|s| s.taken.is_some()).map(|s| s.zone.number).collect();
        let place = |p: &layout::Piece| {
            let draft = zones.iter().position(|&z| z == p.zone)?;
            let same = |q: &&DraftPiece| q.course + 1 == p.course as usize && q.from == p.from;
            Some(Place { draft, piece: *all[draft].pieces.iter().find(same)? })
        };
        let order: Vec<Place> = self.bare.pieces.iter().filter_map(place).collect();
        let (ends, added) = self.ground.run_on(&all, &order);
        self.added = added;
        for (state, ends) in self.zones.iter_mut().filter(|s| s.taken.is_some()).zip(ends) {
            if let Some(taken) = &mut state.taken {
                taken.set_ends(ends, self.ground.stance.slitting);
            }
        }
        self.write_out();
    }

    /// Tries the job without one of the end laps that running on added; keeps it out when that costs no more. When all
    /// are tried, what is left is cut anew.
    fn ease(&mut self) -> bool {
        let Some((draft, course, run, start)) = self.added.pop() else {
            if !std::mem::take(&mut self.eased) {
                return self.next_stance();
            }
            self.write_out();
            self.phase = Phase::Cut;
            return self.begin_cutting();
        };
        self.steps += 4;
        let all: Vec<&Candidate> = self.zones.iter().filter_map(|state| state.taken.as_ref()).collect();
        let mut ends: Vec<Ends> = all.iter().map(|c| c.draft.ends.clone()).collect();
        let before = self.ground.money(&self.ground.bill_with(&all, &ends));
        ends[draft].starts[course][run].retain(|x| *x != start);
        let fits = !self.too_long(all[draft], &ends[draft], course, run);
        if fits && self.ground.money(&self.ground.bill_with(&all, &ends)) <= before {
            let slitting = self.ground.stance.slitting;
            let taken = self.zones.iter_mut().filter_map(|state| state.taken.as_mut()).nth(draft);
            if let Some(taken) = taken {
                taken.set_ends(ends.swap_remove(draft), slitting);
            }
            self.eased = true;
        }
        false
    }

    /// Whether a run would hold a piece longer than the gang can lay.
    fn too_long(&self, candidate: &Candidate, ends: &Ends, course: usize, run: usize) -> bool {
        let pieces = candidate.draft.pieces_with(ends, &candidate.rules, self.ground.stance.slitting);
        pieces.iter().any(|p| p.course == course && p.run == run && p.to - p.from > candidate.rules.longest)
    }

    /// Improves the cut list.
    fn cut(&mut self) -> bool {
        let before = self.solver.steps();
        if self.solver.is_done() || before >= self.effort.cutting {
            return self.want_fewer_open();
        }
        let better = self.solver.advance(STRIDE.min(self.effort.cutting - before));
        self.steps += (self.solver.steps() - before).max(1);
        better && self.show()
    }

    /// Goes on to a cut list with no more rolls part-used at once than the gang wants, if there are more.
    fn want_fewer_open(&mut self) -> bool {
        let gang = &self.ground.plan.gang;
        let most = gang.open_rolls;
        if most == 0 || gang.hold_open_rolls || self.solver.list().open <= most {
            return self.conclude();
        }
        let mut problem = self.solver.problem().clone();
        problem.terms.open_most = Some(most);
        self.kept = Some(Solver::new(problem));
        self.phase = Phase::Fewer;
        self.show()
    }

    /// Looks for a cut list that keeps the gang's limit and opens no more rolls.
    fn fewer(&mut self) -> bool {
        let Some(kept) = &mut self.kept else { return self.conclude() };
        let before = kept.steps();
        let met = kept.list().uncut.is_empty() && kept.list().price <= self.solver.list().price;
        if met || kept.is_done() || before >= self.effort.fewer {
            return self.conclude();
        }
        let better = kept.advance(STRIDE.min(self.effort.fewer - before));
        self.steps += (kept.steps() - before).max(1);
        better && self.show()
    }

    /// One cut list is done: goes on to fewer end laps, to the next way of making runs, or to the end.
    fn conclude(&mut self) -> bool {
        let changed = self.show();
        let worth = self.worth_of(&self.compose());
        if self.shown.is_none_or(|known| worth < known) {
            self.shown = Some(worth);
        }
        let mixed = self.ground.plan.products.laying == Laying::Mixed;
        if mixed && !self.added.is_empty() {
            self.phase = Phase::Ease;
            return changed;
        }
        self.next_stance() || changed
    }

    /// The next way of making runs, if there is one.
    fn next_stance(&mut self) -> bool {
        if self.stances.is_empty() {
            self.phase = Phase::Done;
        } else {
            self.ground.stance = self.stances.remove(0);
            self.begin_trying();
        }
        false
    }

    /// The cut list: the cheapest, or one as cheap that keeps the gang's limit of part-used rolls.
    fn list(&self) -> CutList {
        let cheapest = self.solver.list();
        let as_cheap =
            |kept: &&CutList| kept.uncut.len() <= cheapest.uncut.len() && kept.price <= cheapest.price;
        match self.kept.as_ref().map(Solver::list).filter(as_cheap) {
            Some(kept) => CutList {
                least_price: cheapest.least_price.max(kept.least_price),
                least_rolls: cheapest.least_rolls.max(kept.least_rolls),
                proved: cheapest.proved || kept.proved,
                ..kept.clone()
            },
            None => cheapest.clone(),
        }
    }

    /// Shows the layout as it is now, unless what is shown is better; whether it does.
    fn show(&mut self) -> bool {
        let layout = self.compose();
        let better = self.shown.is_none_or(|known| self.worth_of(&layout) < known);
        if better && layout != self.layout {
            self.layout = layout;
            return true;
        }
        false
    }

    /// What a layout with the present cut list is worth, the better the less.
    fn worth_of(&self, layout: &Layout) -> (usize, [i64; 2]) {
        let list = self.list();
        (list.uncut.len(), self.ground.by_money(list.price, layout.totals.cost))
    }

    /// The layout with the cut list as it is now.
    fn compose(&self) -> Layout {
        let Ground { plan, model, .. } = &self.ground;
        let mut layout = self.bare.clone();
        let mut findings = self.ground.findings.clone();
        for state in &self.zones {
            findings.extend(state.findings.iter().cloned());
            findings.extend(state.taken.iter().flat_map(|c| c.draft.findings.iter().cloned()));
        }
        let list = self.list();
        rolling::roll_out(plan, &list, &mut layout);
        strips::cut(plan, model, &mut layout, &mut findings);
        rolling::rolls_short(plan, &layout, &mut findings);
        rolling::open_rolls(plan, &list, self.kept.as_ref().map(Solver::list), &mut findings);
        if let Some(mut days) = layout.days.take() {
            materials::fill(plan, &layout, &mut days);
            layout.days = Some(days);
        }
        layout.choices = self.zones.iter().map(ZoneState::choice).collect();
        layout.coverings = self.ground.coverings.clone();
        sums::sum_up(plan, model, &self.laid, &mut layout);
        remarks::look_over(plan, &layout, &mut findings);
        seams::remark(&layout, &mut findings);
        protection::remark(plan, &layout, &mut findings);
        days::remark(plan, &layout, &self.broken, &mut findings);
        findings.sort();
        findings.dedup();
        layout.findings = findings;
        layout
    }
}

/// What a way is worth, the better the less.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Worth {
    uncut: usize,
    off_fall: bool,
    money: [i64; 2],
    cut_length: Mm,
    slivers: Mm,
    laps: Mm,
    loose: bool,
    rolls: u32,
    cost: i64,
}

/// Checks what a plan says of gangs, days and layers.
fn settings(plan: &Plan, findings: &mut Vec<Finding>) {
    work::check(plan, findings);
    calendar::check(plan, findings);
    coverings::check(plan, findings);
    protection::check(plan, findings);
}

/// Corners of a zone's field: what a look takes grows with them.
fn corners(zone: &ZoneModel) -> u64 {
    zone.field.iter().flatten().map(|ring| ring.len() as u64).sum()
}

/// The first looks of an order, no more than a few of one width and nearly one direction: walls that run nearly alike
/// must not crowd out the direction across them.
fn spread(order: &[usize], most: usize, way: impl Fn(usize) -> (i32, Mm)) -> Vec<usize> {
    let mut taken: Vec<usize> = Vec::new();
    for &n in order {
        let (direction, width) = way(n);
        let alike = |&&m: &&usize| {
            let (other, other_width) = way(m);
            let turn = (direction - other).rem_euclid(180_000);
            other_width == width && turn.min(180_000 - turn) <= NEARLY_ONE
        };
        if taken.len() < most && taken.iter().filter(alike).count() < MOST_ALIKE {
            taken.push(n);
        }
    }
    taken
}
