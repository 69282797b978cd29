//! The session: a plan being worked on.
//!
//! In: [`Message`]s. Out: [`Effects`], and everything the shell shows, by reading. It holds the plan, its history, the
//! selection, the tool in use, the camera and the latest layout. It does no IO, has no clock and never panics.
//!
//! One file per kind of message: `pointer` (mouse, finger, pen), `keys`, `draw` (the tools that draw), `drag` (moving
//! what is there), `acts` (commands), `typed` (fields), `held` (what the engine would choose), `records` (site records),
//! `days` (the programme: moments of it, ties), `carry` (a bay carried to another day).

mod acts;
pub(crate) mod carry;
mod days;
pub(crate) mod drag;
pub(crate) mod draw;
mod held;
mod keys;
mod pointer;
mod records;
mod typed;

use crate::camera::Camera;
use crate::change::{self, Change, FixedEnd};
use crate::command::CommandId;
use crate::fields::{FieldGroup, FieldId, Panel};
use crate::history::{History, Policy};
use crate::hit;
use crate::message::{Effects, Message, Px};
use crate::overlay::Overlay;
use crate::playing::Moment;
use crate::saved::{SAVED_STEPS, SAVED_VERSION, SAVED_WEIGHT, Saved};
use crate::selection::Selection;
use crate::snap::{Except, SnapSettings, Targets};
use crate::stage::Stage;
use crate::thing::{self, Thing};
use crate::tool::Tool;
use crate::tool::draft::Draft;
use crate::tool::made::Sizes;
use baylap_core::geom::{Pt, ring};
use baylap_core::layout::Strip;
use baylap_core::plan::{Id, Plan, file};
use baylap_core::records::{merge, same_job};
use baylap_core::{Layout, geom::Region};
use carry::Carried;
use drag::Drag;
use pointer::Pointers;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Free room round what is shown whole, pixels.
const MARGIN: f64 = 40.0;

/// Where the pointer or the keyboard's cross is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Cursor {
    /// Place on the plan, between the millimetres.
    pub(crate) at: [f64; 2],
    /// Whether keys put it there: then it is shown as a cross and taken as it is, without snapping.
    pub(crate) by_keys: bool,
    /// Whether there is any: not before the first move, nor after the pointer left.
    pub(crate) shown: bool,
    /// Whether the right-angle lock key is held.
    pub(crate) lock: bool,
    /// Whether the key that turns snapping off is held.
    pub(crate) free: bool,
    /// How near is near, pixels: more for a finger.
    pub(crate) reach_px: f64,
}

/// A plan being worked on.
#[derive(Clone, Debug, Default)]
pub struct Session {
    pub(crate) plan: Arc<Plan>,
    revision: u64,
    history: History,
    pub(crate) selection: Option<Selection>,
    pub(crate) hovered: Option<Selection>,
    /// Lines shown over the plan that are not in it.
    pub(crate) preview: Vec<Vec<Pt>>,
    /// Moment of the programme that the job is shown at.
    moment: Option<Moment>,
    pub(crate) tool: Tool,
    pub(crate) draft: Draft,
    pub(crate) sizes: Sizes,
    pub(crate) cursor: Cursor,
    pub(crate) cross_mode: bool,
    pub(crate) fixed_end: FixedEnd,
    /// Texts that were refused, each with the sentence that says why.
    pub(crate) wrong: BTreeMap<FieldId, (String, String)>,
    stage: Stage,
    camera: Camera,
    snap: SnapSettings,
    layout: Arc<Layout>,
    layout_revision: Option<u64>,
    /// Layouts of revisions before this one belong to another plan.
    layout_floor: u64,
    problem: Option<String>,
    pointers: Pointers,
    drag: Option<Drag>,
    /// The bay that is carried to another day.
    carried: Option<Carried>,
    last_id: Id,
    /// What can be snapped to, for a revision.
    targets: Option<(u64, Arc<Targets>)>,
    /// Whether the surface has been given a size: the first one shows the plan whole.
    sized: bool,
}

impl Session {
    /// A session on a plan, seen whole.
    pub fn new(plan: Plan) -> Self {
        let last_id = thing::greatest_id(&plan);
        let mut session = Self { plan: Arc::new(plan), last_id, ..Self::default() };
        session.fit();
        session
    }

    /// A session as it was saved.
    ///
    /// # Errors
    /// One sentence when it was saved by another version of the program or is damaged.
    pub fn from_saved(saved: Saved) -> Result<Self, String> {
        if saved.version != SAVED_VERSION {
            return Err(format!(
                "The saved work is of version {}, this program reads {SAVED_VERSION}: open the plan file instead.",
                saved.version
            ));
        }
        let plans = saved.undo.iter().chain(&saved.redo).chain([&saved.plan]);
        let mut last_id = saved.last_id;
        for plan in plans {
            file::check(plan).map_err(|e| format!("The saved work is damaged: {e}"))?;
            last_id = last_id.max(thing::greatest_id(plan));
        }
        let mut session = Self::new(saved.plan);
        session.history = History::restored(saved.undo, saved.redo, &saved.other_jobs);
        session.camera = saved.camera.sound();
        session.stage = saved.stage;
        session.snap = saved.snap.sound();
        session.last_id = last_id;
        session.sized = true;
        Ok(session)
    }

    /// What to keep of the session. While something is dragged it is the plan before the drag.
    pub fn to_saved(&self) -> Saved {
        let plan = self.history.before_drag().unwrap_or(&self.plan);
        let mut room = SAVED_WEIGHT;
        let mut newest = |plans: &[Arc<Plan>]| {
            let fits = plans.iter().rev().take(SAVED_STEPS).take_while(|p| {
                let weight = thing::weight(p);
                let fits = weight <= room;
                room = room.saturating_sub(weight);
                fits
            });
            let mut kept: Vec<Plan> = fits.map(|p| (**p).clone()).collect();
            kept.reverse();
            kept
        };
        Saved {
            version: SAVED_VERSION,
            plan: (**plan).clone(),
            undo: newest(&self.history.undo_plans()),
            redo: newest(&self.history.redo_plans()),
            other_jobs: self.history.other_jobs(),
            camera: self.camera,
            stage: self.stage,
            snap: self.snap,
            last_id: self.last_id,
        }
    }

    /// Does what a message asks.
    pub fn handle(&mut self, message: Message) -> Effects {
        let mut fx = Effects::default();
        match message {
            Message::Pointer(event) => self.on_pointer(&event, &mut fx),
            Message::Wheel { at, dx, dy, modifiers } => self.on_wheel(at, [dx, dy], modifiers, &mut fx),
            Message::Key(event) => self.on_key(&event, &mut fx),
            Message::Command(id) => self.act(id, &mut fx),
            Message::Typed { field, text } => self.on_typed(&field, &text, &mut fx),
            Message::FieldLeft => self.history.end_run(),
            Message::Entry(text) => self.set_entry(&text, &mut fx),
            Message::Select(what) => self.select(what, &mut fx),
            Message::Show(what) => {
                self.select(Some(what), &mut fx);
                self.show(what, &mut fx);
            }
            Message::ShowPlace(place) => self.show_box(place, place, &mut fx),
            Message::ShowBox([lo, hi]) => self.show_box(lo, hi, &mut fx),
            Message::Hover(what) => {
                let what = what.filter(|w| w.holds(&self.plan, &self.layout));
                fx.overlay = what != self.hovered;
                self.hovered = what;
            }
            Message::Preview(lines) => {
                fx.overlay = lines != self.preview;
                self.preview = lines;
            }
            Message::Hold(hold) => self.hold(hold, &mut fx),
            Message::ShowMoment(at) => self.show_moment(at, &mut fx),
            Message::Tie { bay, to } => self.tie(bay, to, &mut fx),
            Message::SetTool(tool) => self.set_tool(tool, &mut fx),
            Message::SetStage(stage) => self.set_stage(stage, &mut fx),
            Message::Edit(change) => {
                self.commit(change, Policy::Commit, &mut fx);
            }
            Message::EditRun(change) => {
                self.commit(change, Policy::Coalesce(0), &mut fx);
            }
            Message::SetSnap(snap) => {
                self.snap = snap.sound();
                (fx.tool, fx.overlay, fx.save) = (true, true, true);
            }
            Message::Loaded(plan) => self.load(plan, &mut fx),
            Message::Record(record) => self.record(record, &mut fx),
            Message::MergeRecords(other) => self.merge_records(&other, &mut fx),
            Message::LayoutArrived { revision, layout } => self.take_layout(revision, layout, &mut fx),
            Message::Resize { width, height } => self.resize(width, height, &mut fx),
            Message::Dismiss => self.problem = None,
        }
        fx
    }

    /// The plan in force.
    pub fn plan(&self) -> &Arc<Plan> {
        &self.plan
    }

    /// Revision of the plan: grows with every change, undo and drag step.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// The history, to see whether there is something to undo.
    pub fn history(&self) -> &History {
        &self.history
    }

    /// The latest layout; may belong to an older revision, see [`Session::layout_is_current`].
    pub fn layout(&self) -> &Arc<Layout> {
        &self.layout
    }

    /// Revision of the plan that the layout was laid from; `None` before the first.
    pub fn layout_revision(&self) -> Option<u64> {
        self.layout_revision
    }

    /// Whether the layout belongs to the plan as it is now; when not, show it dimmed.
    pub fn layout_is_current(&self) -> bool {
        self.layout_revision == Some(self.revision)
    }

    /// What is selected.
    pub fn selection(&self) -> Option<Selection> {
        self.selection
    }

    /// The tool in use.
    pub fn tool(&self) -> Tool {
        self.tool
    }

    /// The stage.
    pub fn stage(&self) -> Stage {
        self.stage
    }

    /// The camera.
    pub fn camera(&self) -> &Camera {
        &self.camera
    }

    /// The snapping.
    pub fn snap(&self) -> SnapSettings {
        self.snap
    }

    /// What the pointer is over.
    pub fn hovered(&self) -> Option<Selection> {
        self.hovered
    }

    /// The last problem, one sentence, until the next success.
    pub fn problem(&self) -> Option<&str> {
        self.problem.as_deref()
    }

    /// Whether the fixed cross for placing is shown.
    pub fn cross_mode(&self) -> bool {
        self.cross_mode
    }

    /// Whether something is being drawn that Enter would end and Escape give up.
    pub fn is_drawing(&self) -> bool {
        !self.draft.is_empty()
    }

    /// Whether something is being dragged.
    pub fn is_dragging(&self) -> bool {
        self.carried.is_some() || self.history.before_drag().is_some()
    }

    /// The overlay.
    pub fn overlay(&self) -> Overlay {
        crate::overlay::overlay(self)
    }

    /// The fields of what is selected.
    pub fn fields(&self) -> Vec<FieldGroup> {
        crate::fields::fields(self)
    }

    /// The fields of a panel of settings.
    pub fn settings(&self, panel: Panel) -> Vec<FieldGroup> {
        crate::fields::settings(self, panel)
    }

    /// Whether a command can be used now.
    pub fn can(&self, id: CommandId) -> bool {
        crate::command::info(id).is_some_and(|c| c.enabled(self))
    }

    /// Corners of the box round what is named, on the plan; `None` when it does not exist.
    pub fn bounds_of(&self, what: Selection) -> Option<(Pt, Pt)> {
        let points = match what {
            Selection::Thing(id) => thing::find(&self.plan, id)?.points(),
            Selection::Edge { id, edge } => {
                let (a, b) = thing::find(&self.plan, id)?.edge(edge)?;
                vec![a, b]
            }
            Selection::Corner { id, corner } => {
                vec![*thing::find(&self.plan, id)?.points().get(corner as usize)?]
            }
            Selection::Datum => self.plan.datum.as_ref().map(|d| vec![d.zero, d.along])?,
            Selection::Strip(_) => self.strips_of(what),
            _ => corners(&self.regions_of(what)),
        };
        ring::bounds(&points)
    }

    /// The regions of the layout that a zone, bay, piece or roll takes up.
    pub fn regions_of(&self, what: Selection) -> Vec<Region> {
        let l = &self.layout;
        match what {
            Selection::Zone(n) => {
                l.zones.iter().filter(|z| z.number == n).flat_map(|z| z.area.clone()).collect()
            }
            Selection::Bay(n) => {
                l.bays.iter().filter(|b| b.number == n).flat_map(|b| b.area.clone()).collect()
            }
            Selection::Piece(n) => {
                l.pieces.iter().filter(|p| p.number == n).flat_map(|p| p.as_laid.clone()).collect()
            }
            Selection::Day(n) => {
                let days = l.days.iter().flat_map(|d| &d.days).filter(|day| day.number == n);
                let bays =
                    days.flat_map(|day| &day.turns).filter_map(|t| l.bays.iter().find(|b| b.number == t.bay));
                bays.flat_map(|b| b.area.clone()).collect()
            }
            Selection::Pond(n) => {
                let ponds = l.falls.iter().flat_map(|f| &f.ponds);
                ponds.filter(|p| p.number == n).flat_map(|p| p.area.clone()).collect()
            }
            Selection::Roll(n) => {
                l.pieces.iter().filter(|p| p.roll == n).flat_map(|p| p.as_laid.clone()).collect()
            }
            _ => Vec::new(),
        }
    }

    /// Where the strips of upstands stand that a strip or a roll of the layout names.
    pub fn strips_of(&self, what: Selection) -> Vec<Pt> {
        let named = |s: &&Strip| match what {
            Selection::Strip(n) => s.number == n,
            Selection::Roll(n) => s.roll == n,
            _ => false,
        };
        self.layout.strips.iter().filter(named).map(|s| s.at).collect()
    }

    /// Makes a change; `None` and a problem when it is refused. The answer says whether the plan is another now.
    fn commit(&mut self, change: Change, policy: Policy, fx: &mut Effects) -> Option<bool> {
        if policy != Policy::Transient {
            self.end_drag(fx);
        }
        let mut last_id = self.last_id;
        let change = numbered(change, &mut last_id);
        let base = match policy {
            Policy::Transient => Arc::clone(self.history.before_drag().unwrap_or(&self.plan)),
            _ => Arc::clone(&self.plan),
        };
        let next = match change::apply(&base, &change) {
            Ok(next) => next,
            Err(problem) => {
                self.refuse(problem, fx);
                return None;
            }
        };
        self.last_id = last_id.max(thing::greatest_id(&next));
        self.problem = None;
        if next == *self.plan {
            return Some(false);
        }
        self.history.record(&Arc::clone(&self.plan), policy);
        if matches!(&change, Change::Replace(new) if !same_job(&self.plan, new)) {
            self.history.another_job();
        }
        self.put_plan(Arc::new(next), fx);
        fx.save = policy != Policy::Transient;
        Some(true)
    }

    /// Puts another plan in force and says what has to be read again.
    fn put_plan(&mut self, plan: Arc<Plan>, fx: &mut Effects) {
        self.plan = plan;
        self.revision += 1;
        fx.plan = Some(self.revision);
        (fx.overlay, fx.tool, fx.fields) = (true, true, true);
        if self.hovered.is_some_and(|h| !h.holds(&self.plan, &self.layout)) {
            self.hovered = None;
        }
        if self.selection.is_some_and(|s| !s.holds(&self.plan, &self.layout)) {
            let whole = self.selection.and_then(Selection::id).map(Selection::Thing);
            self.selection = whole.filter(|s| s.holds(&self.plan, &self.layout));
            fx.selection = true;
        }
    }

    fn refuse(&mut self, problem: String, fx: &mut Effects) {
        self.problem = Some(problem.clone());
        fx.problem = Some(problem);
        fx.overlay = true;
    }

    fn load(&mut self, plan: Plan, fx: &mut Effects) {
        self.give_up(fx);
        // An older file of the same job knows nothing of what was recorded since.
        let plan = if same_job(&self.plan, &plan) { merge(&plan, &self.plan).plan } else { plan };
        if self.commit(Change::Replace(Box::new(plan)), Policy::Commit, fx) == Some(true) {
            self.begin_plan(fx);
            let things = thing::all(&self.plan).len();
            fx.announce = Some(format!("Plan opened: {}, {things} things.", job_name(&self.plan)));
        }
    }

    /// After another plan was put in place of the old one.
    fn begin_plan(&mut self, fx: &mut Effects) {
        self.layout = Arc::default();
        self.layout_revision = None;
        self.layout_floor = self.revision;
        self.wrong.clear();
        self.selection = None;
        self.preview.clear();
        self.moment = None;
        self.fit();
        (fx.layout, fx.selection, fx.view) = (true, true, true);
    }

    fn take_layout(&mut self, revision: u64, layout: Arc<Layout>, fx: &mut Effects) {
        let stale = self.layout_revision.is_some_and(|held| revision < held);
        let same = self.layout_revision == Some(revision) && self.layout == layout;
        if stale || same || revision < self.layout_floor || revision > self.revision {
            return;
        }
        let followed = self.bay_followed(&layout);
        self.layout = layout;
        self.layout_revision = Some(revision);
        (fx.layout, fx.overlay) = (true, true);
        if let Some(bay) = followed {
            self.selection = Some(bay);
            fx.selection = true;
        }
        if self.selection.is_some_and(|s| !s.holds(&self.plan, &self.layout)) {
            self.selection = None;
            fx.selection = true;
        }
        self.hovered = self.hovered.filter(|h| h.holds(&self.plan, &self.layout));
    }

    fn resize(&mut self, width: f64, height: f64, fx: &mut Effects) {
        self.camera.resize(width, height);
        if !self.sized {
            self.sized = true;
            self.fit();
        }
        (fx.view, fx.overlay) = (true, true);
    }

    /// Shows the plan whole; an empty one as a roof of usual size.
    fn fit(&mut self) {
        let all = thing::all(&self.plan);
        let points: Vec<Pt> = all.iter().flat_map(Thing::points).collect();
        match ring::bounds(&points) {
            Some((lo, hi)) => self.camera.fit(lo, hi, MARGIN),
            None => self.camera.fit(Pt::new(0, 0), Pt::new(20_000, 12_000), MARGIN),
        }
    }

    fn select(&mut self, what: Option<Selection>, fx: &mut Effects) {
        let what = what.filter(|s| s.holds(&self.plan, &self.layout));
        if what != self.selection {
            self.history.end_run();
            self.selection = what;
            (fx.selection, fx.overlay, fx.fields, fx.tool) = (true, true, true, true);
            fx.announce = Some(what.map_or_else(|| "Nothing selected.".to_owned(), |s| self.title_of(s)));
        }
    }

    /// What to call a thing on screen: "Opening 7, side 2".
    pub fn title_of(&self, what: Selection) -> String {
        let thing = |id| {
            thing::find(&self.plan, id).map_or_else(|| "gone".to_owned(), |t| change::capital(&t.title()))
        };
        match what {
            Selection::Thing(id) => thing(id),
            Selection::Edge { id, edge } => format!("{}, side {}", thing(id), u64::from(edge) + 1),
            Selection::Corner { id, corner } => format!("{}, corner {}", thing(id), u64::from(corner) + 1),
            Selection::Datum => "Datum".to_owned(),
            Selection::Zone(n) => format!("Zone {n}"),
            Selection::Bay(n) => format!("Bay {n}"),
            Selection::Piece(n) => format!("Piece {n}"),
            Selection::Roll(n) => format!("Roll {n}"),
            Selection::Strip(n) => format!("Strip {n}"),
            Selection::Pond(n) => format!("Pond {n}"),
            Selection::Day(n) => format!("Day {n}"),
        }
    }

    fn show(&mut self, what: Selection, fx: &mut Effects) {
        if let Some((lo, hi)) = self.bounds_of(what) {
            self.show_box(lo, hi, fx);
        }
    }

    /// Moves the view as little as needed to see a box; zooms out when it does not fit.
    #[allow(clippy::cast_precision_loss)]
    fn show_box(&mut self, lo: Pt, hi: Pt, fx: &mut Effects) {
        if !(self.camera.sees(lo, MARGIN) && self.camera.sees(hi, MARGIN)) {
            let (w, h) = ((hi.x - lo.x) as f64 * self.camera.scale, (hi.y - lo.y) as f64 * self.camera.scale);
            if w > self.camera.width - 2.0 * MARGIN || h > self.camera.height - 2.0 * MARGIN {
                self.camera.fit(lo, hi, MARGIN);
            } else {
                self.camera.look_at(lo.x.midpoint(hi.x) as f64, lo.y.midpoint(hi.y) as f64);
            }
        }
        (fx.view, fx.overlay) = (true, true);
    }

    fn set_tool(&mut self, tool: Tool, fx: &mut Effects) {
        self.give_up(fx);
        self.tool = tool;
        self.hovered = None;
        (fx.tool, fx.overlay) = (true, true);
        fx.announce = Some(format!("{}. {}", tool.name(), tool.hint(0)));
    }

    fn set_stage(&mut self, stage: Stage, fx: &mut Effects) {
        self.stage = stage;
        (fx.tool, fx.overlay, fx.save) = (true, true, true);
        fx.announce = Some(format!("Stage {}.", stage.name()));
    }

    /// What lies under a place on the surface.
    fn hit(&self, at: Px, reach_px: f64) -> Option<Selection> {
        let place = self.camera.to_plan(at);
        let found = hit::at(&self.plan, &self.layout, self.stage, place, self.camera.mm(reach_px))?;
        match found {
            // A line that is selected already gives way to its stretches, so that one can have its length typed.
            Selection::Thing(id) if self.selection == Some(found) => {
                let thing = thing::find(&self.plan, id)?;
                let edge = if thing.closed() { None } else { hit::nearest_edge(&thing, place) };
                Some(edge.map_or(found, |(edge, _)| Selection::Edge { id, edge }))
            }
            _ => Some(found),
        }
    }

    /// Corners and edges of the plan as it is, to snap to.
    fn targets(&mut self) -> Arc<Targets> {
        let targets = self.targets_now();
        self.targets = Some((self.revision, Arc::clone(&targets)));
        targets
    }

    /// The same for reading: made anew when the plan has changed since.
    pub(crate) fn targets_now(&self) -> Arc<Targets> {
        match &self.targets {
            Some((revision, targets)) if *revision == self.revision => Arc::clone(targets),
            _ => Arc::new(Targets::of(&self.plan, Except::Nothing)),
        }
    }

    /// Direction of the base line: the datum's, else along x.
    pub(crate) fn base(&self) -> [i64; 2] {
        self.plan.datum.as_ref().map_or([1, 0], |d| [d.along.x - d.zero.x, d.along.y - d.zero.y])
    }
}

fn job_name(plan: &Plan) -> &str {
    if plan.job.name.is_empty() { "no name" } else { &plan.job.name }
}

fn corners(regions: &[Region]) -> Vec<Pt> {
    regions.iter().flatten().flatten().copied().collect()
}

/// Gives things without an id one that was never used before while this plan is open.
fn numbered(change: Change, last: &mut Id) -> Change {
    match change {
        Change::Put(thing) if thing.id() == 0 => match last.checked_add(1) {
            Some(id) => {
                *last = id;
                Change::Put(thing.with_id(id))
            }
            None => Change::Put(thing),
        },
        Change::Spots { mut spots, replace } => {
            for spot in spots.iter_mut().filter(|s| s.id == 0) {
                // Out of numbers, the change itself says so.
                let Some(id) = last.checked_add(1) else { break };
                (*last, spot.id) = (id, id);
            }
            Change::Spots { spots, replace }
        }
        Change::All(changes) => Change::All(changes.into_iter().map(|c| numbered(c, last)).collect()),
        other => other,
    }
}
