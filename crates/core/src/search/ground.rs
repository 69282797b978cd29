//! The ground of a search: what does not change while a plan is searched, and zones laid one way upon it.
//!
//! In: a plan, checked. Out: each zone with its first way, and drafts of any other. It compares nothing.

use super::known::ZoneState;
use super::slopes;
use crate::courses::{self, First, Way};
use crate::draft::{self, Draft, DraftPiece, draft};
use crate::endlaps::Ends;
use crate::falls::{self, Found};
use crate::finding::{About, Finding};
use crate::geom::Pt;
use crate::geom::frame::Frame;
use crate::layout::{CoveringSum, Layout};
use crate::model::Model;
use crate::numbering::{self, LaidZone};
use crate::plan::{Laying, Mm, Plan, Slitting, StartSide};
use crate::products::Rules;
use crate::ways;
use crate::zones::ZoneModel;

/// More pieces in a zone than any roof needs: a hectare takes about 500.
const MOST_PIECES: Mm = 50_000;

/// What does not change while a plan is searched.
#[derive(Clone, Debug)]
pub(super) struct Ground {
    pub(super) plan: Plan,
    pub(super) model: Model,
    pub(super) rules: Vec<Rules>,
    pub(super) findings: Vec<Finding>,
    /// The decks' surface and water, where levels are known.
    pub(super) falls: Option<Found>,
    /// The layers on the membrane.
    pub(super) coverings: Vec<CoveringSum>,
    /// How runs are made of pieces just now.
    pub(super) stance: Stance,
}

/// One of the ways that the plan allows runs to be made of pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stance {
    /// Whether rolls are run on.
    pub(super) runs_on: bool,
    /// Which pieces are slit.
    pub(super) slitting: Slitting,
    /// Whether ways are compared by the whole cost first; by the price of the rolls first otherwise.
    pub(super) by_cost: bool,
}

impl Stance {
    /// Those that a plan allows: never more than it asks for, so that what is allowed makes nothing dearer.
    pub(super) fn all(plan: &Plan) -> Vec<Self> {
        // Mixed laying goes through what the two others do as well: what it may do makes nothing dearer.
        let on: &[(bool, bool)] = match plan.products.laying {
            Laying::Cut => &[(false, false)],
            Laying::RunOn => &[(true, false)],
            Laying::Mixed => &[(false, true), (true, true), (false, false), (true, false)],
        };
        let mut slitting = vec![Slitting::None];
        if plan.products.slitting != Slitting::None {
            slitting.push(plan.products.slitting);
        }
        on.iter()
            .flat_map(|&(runs_on, by_cost)| {
                slitting.iter().map(move |&slitting| Self { runs_on, slitting, by_cost })
            })
            .collect()
    }
}

/// A way laid out as far as its pieces' lengths.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    pub(super) look: Option<usize>,
    pub(super) draft: Draft,
    pub(super) pieces: Vec<DraftPiece>,
    pub(super) rules: Rules,
    /// Length of its side laps, mm.
    pub(super) side_laps: Mm,
}

impl Candidate {
    pub(super) fn set_ends(&mut self, ends: Ends, slitting: Slitting) {
        self.draft.ends = ends;
        self.pieces = self.draft.pieces(&self.rules, slitting);
    }
}

impl Ground {
    /// A zone with its first way.
    pub(super) fn first(&self, zone: ZoneModel, hint: Option<&Layout>) -> ZoneState {
        let mut findings = Vec::new();
        let place = zone.area.first().and_then(|r| r.first()).copied().unwrap_or_default();
        let about = About::Zone(zone.number);
        if zone.field.is_empty() {
            let text = format!("Zone {} has no room for reinforcement between its upstands.", zone.number);
            let mend = "Cover it with detail work, or make the clear strips narrower.";
            findings.push(Finding::warning("no-field", about, text, mend).at(place));
            return ZoneState {
                zone,
                looks: Vec::new(),
                plain: None,
                taken: None,
                slopes: Vec::new(),
                findings,
            };
        }
        let products = &self.plan.products;
        let hinted = hint.and_then(|layout| self.hinted(&zone, layout));
        let plain = || {
            let width = self.rules.first()?.width;
            let look = ways::plain(&zone, zone.directions[0], width, products)?;
            Some(look.way(look.firsts[0]))
        };
        let plain = plain();
        let way = hinted.or(plain);
        if way.is_none() && !self.rules.is_empty() {
            let text =
                format!("Zone {} would need more than {} courses.", zone.number, courses::MOST_COURSES);
            let mend = "Check the roll width and the side lap.";
            findings.push(Finding::error("too-many-courses", about.clone(), text, mend).at(place));
        }
        let taken = way.and_then(|way| match self.pieces_of(&zone, &way) {
            Some(pieces) if pieces > MOST_PIECES => {
                let text = format!("Zone {} would take some {pieces} pieces.", zone.number);
                let mend = "Check the units of the drawing and the size of the rolls.";
                findings.push(Finding::error("too-many-pieces", about, text, mend).at(place));
                None
            }
            _ => self.candidate(&zone, &way, None),
        });
        let plain = plain.filter(|_| taken.is_some());
        let slopes = slopes::slopes(&zone, self.lines());
        ZoneState { zone, looks: Vec::new(), plain, taken, slopes, findings }
    }

    /// About how many pieces a way takes.
    pub(super) fn pieces_of(&self, zone: &ZoneModel, way: &Way) -> Option<Mm> {
        let rules = self.rules_for(way.spacing.width)?;
        let runs = courses::lay_out(&zone.field, way)?.runs;
        let cover: Mm = runs.iter().flatten().map(|r| r.to - r.from).sum();
        let runs = Mm::try_from(runs.iter().flatten().count()).unwrap_or(Mm::MAX);
        Some(cover / (rules.longest - rules.end_lap) + runs)
    }

    /// The way that a zone had in another layout, when it still fits.
    pub(super) fn hinted(&self, zone: &ZoneModel, layout: &Layout) -> Option<Way> {
        let choice = layout.choices.iter().find(|c| c.zone == zone.number)?;
        let known = choice.ways.get(choice.taken as usize)?;
        let off = |along: &[f64; 2]| {
            let mdeg = Frame::new(Pt::default(), *along).direction_mdeg();
            let off = (mdeg - known.direction_mdeg).rem_euclid(180_000);
            off.min(180_000 - off)
        };
        let along =
            zone.directions.iter().min_by_key(|along| off(along)).filter(|along| off(along) <= 2000)?;
        let rules = self.rules_for(known.width)?;
        let look = ways::plain(zone, *along, rules.width, &self.plan.products)?;
        let held = First::Outside(choice.first);
        let free = zone.first.is_none() && zone.start == StartSide::Best;
        let fits = free && look.firsts[0] != First::GrownLaps && choice.first < look.spacing.pitch();
        let first = if fits && look.spacing.is_sound(choice.first) { held } else { look.firsts[0] };
        Some(look.way(first))
    }

    /// What the falls say about lines over the decks.
    pub(super) fn lines(&self) -> Option<&falls::ground::Ground> {
        self.falls.as_ref().map(|found| &found.ground)
    }

    pub(super) fn rules_for(&self, width: Mm) -> Option<Rules> {
        self.rules.iter().find(|r| r.width == width).copied()
    }

    /// A way laid out as far as its pieces' lengths.
    pub(super) fn candidate(&self, zone: &ZoneModel, way: &Way, look: Option<usize>) -> Option<Candidate> {
        let rules = self.rules_for(way.spacing.width)?;
        let draft = draft(&self.plan, &self.model, self.lines(), zone, way, &rules)?;
        let pieces = draft.pieces(&rules, self.stance.slitting);
        let side_laps = courses::side_laps(&draft.courses);
        Some(Candidate { look, draft, pieces, rules, side_laps })
    }

    /// The zone itself: pieces and bays of the way taken.
    pub(super) fn finish(&self, state: &ZoneState) -> LaidZone {
        let (pieces, bays) = match &state.taken {
            Some(taken) => taken.draft.finish(&self.plan, &self.model, self.stance.slitting),
            None => draft::bare(&state.zone),
        };
        let courses = state.taken.as_ref().map(|taken| taken.draft.courses.clone());
        let mut laid =
            LaidZone { zone: state.zone.clone(), courses, pieces, bays: bays.bays, deck: bays.deck };
        numbering::put_pieces_in_order(&mut laid, self.lines());
        laid
    }
}
