//! What the commands do.
//!
//! In: a command. Out: the same as a key, a menu or the command box would cause; all come through here. Whether a
//! command can be used now is asked first.

use super::Session;
use crate::better;
use crate::change::Change;
use crate::command::CommandId;
use crate::history::Policy;
use crate::message::{Effects, Px};
use crate::rolls;
use crate::selection::Selection;
use crate::snap::SnapSettings;
use crate::thing::{self, Thing};
use baylap_core::Plan;
use baylap_core::geom::Pt;
use std::sync::Arc;

/// One step of zooming.
const ZOOM_STEP: f64 = 1.25;

impl Session {
    pub(super) fn act(&mut self, id: CommandId, fx: &mut Effects) {
        if !self.can(id) {
            self.refuse(unable(id), fx);
            return;
        }
        match id {
            CommandId::Tool(tool) => self.set_tool(tool, fx),
            CommandId::Stage(stage) => self.set_stage(stage, fx),
            CommandId::Undo => self.undo(fx),
            CommandId::Redo => self.redo(fx),
            CommandId::Delete => self.delete(fx),
            CommandId::InsertCorner => self.insert_corner(fx),
            CommandId::SameEdges => self.same_edges(fx),
            CommandId::Finish => self.finish(fx),
            CommandId::Cancel => self.cancel(fx),
            CommandId::PlaceAtCross => self.place_at_cross(fx),
            CommandId::CrossMode => self.toggle_cross(fx),
            CommandId::CrossToMiddle => self.cross_to_middle(fx),
            CommandId::SelectNext => self.select_next(1, fx),
            CommandId::SelectPrevious => self.select_next(-1, fx),
            CommandId::PartNext => self.select_part(1, fx),
            CommandId::PartPrevious => self.select_part(-1, fx),
            CommandId::SelectWhole => {
                let whole = self.selection.and_then(Selection::id).map(Selection::Thing);
                self.select(whole, fx);
            }
            CommandId::ZoomIn => self.zoom(ZOOM_STEP, fx),
            CommandId::ZoomOut => self.zoom(1.0 / ZOOM_STEP, fx),
            CommandId::ZoomFit => {
                self.fit();
                self.viewed(fx);
            }
            CommandId::ZoomSelection => {
                if let Some((lo, hi)) = self.selection.and_then(|s| self.bounds_of(s)) {
                    self.camera.fit(lo, hi, 2.0 * super::MARGIN);
                    self.viewed(fx);
                }
            }
            CommandId::Snap => self.set_snap(|s| s.on = !s.on, fx),
            CommandId::SnapGrid => self.set_snap(|s| s.grid = !s.grid, fx),
            CommandId::SnapAngles => self.set_snap(|s| s.angles = !s.angles, fx),
            CommandId::RemoveDatum => {
                self.commit(Change::Datum(None), Policy::Commit, fx);
            }
            CommandId::AddRoll => {
                let products = rolls::with_one_more(&self.plan.products);
                self.commit(Change::Products(products), Policy::Commit, fx);
            }
            CommandId::RemoveRoll => {
                let last = self.plan.products.rolls.len().saturating_sub(1);
                if let Some(products) = rolls::without(&self.plan.products, last) {
                    self.commit(Change::Products(products), Policy::Commit, fx);
                }
            }
            CommandId::MoveEdges => self.move_edges(fx),
            CommandId::NewPlan => self.new_plan(fx),
            CommandId::Ask(ask) => fx.ask = Some(ask),
        }
    }

    fn undo(&mut self, fx: &mut Effects) {
        if self.cancel_drag(fx) {
            self.let_go();
            return;
        }
        if !self.draft.entry.is_empty() {
            self.draft.entry.clear();
            fx.overlay = true;
            return;
        }
        if self.take_back(fx) {
            return;
        }
        if let Some(before) = self.history.undo(&Arc::clone(&self.plan)) {
            self.step_to(before, "Undone.", fx);
        }
    }

    fn redo(&mut self, fx: &mut Effects) {
        if self.set_again(fx) {
            return;
        }
        if let Some(after) = self.history.redo(&Arc::clone(&self.plan)) {
            self.step_to(after, "Done again.", fx);
        }
    }

    fn step_to(&mut self, plan: Arc<Plan>, said: &str, fx: &mut Effects) {
        self.wrong.clear();
        self.problem = None;
        // Nothing in common means another job: what is seen must follow.
        let another = !plan.decks.is_empty()
            && plan.decks.iter().all(|d| !self.plan.decks.iter().any(|o| o.id == d.id));
        self.put_plan(plan, fx);
        fx.save = true;
        fx.announce = Some(said.to_owned());
        if another && !thing::all(&self.plan).iter().flat_map(Thing::points).any(|p| self.camera.sees(p, 0.0))
        {
            self.fit();
            fx.view = true;
        }
    }

    fn delete(&mut self, fx: &mut Effects) {
        let change = match self.selection {
            Some(Selection::Corner { id, corner }) => Change::DeleteCorner { id, corner },
            Some(Selection::Thing(id)) => Change::Delete(id),
            Some(Selection::Datum) => Change::Datum(None),
            _ => return,
        };
        let title = self.selection.map_or_else(String::new, |s| self.title_of(s));
        if self.commit(change, Policy::Commit, fx).is_some() {
            fx.announce = Some(format!("{title} deleted."));
        }
    }

    fn insert_corner(&mut self, fx: &mut Effects) {
        let Some(Selection::Edge { id, edge }) = self.selection else { return };
        let Some((a, b)) = thing::find(&self.plan, id).and_then(|t| t.edge(edge)) else { return };
        let at = Pt::new(a.x.midpoint(b.x), a.y.midpoint(b.y));
        if self.commit(Change::InsertCorner { id, edge, at }, Policy::Commit, fx).is_some() {
            self.select(Some(Selection::Corner { id, corner: edge + 1 }), fx);
        }
    }

    fn same_edges(&mut self, fx: &mut Effects) {
        let Some(Selection::Edge { id, edge }) = self.selection else { return };
        let found = thing::find(&self.plan, id);
        let kind =
            found.as_ref().and_then(Thing::ring).and_then(|r| r.get(edge as usize)).map(|c| c.edge.clone());
        if let Some(kind) = kind {
            self.commit(Change::SetAllEdges { id, kind }, Policy::Commit, fx);
        }
    }

    fn move_edges(&mut self, fx: &mut Effects) {
        let Some(change) = better::all_moved(&self.plan, &self.layout) else { return };
        let count = if let Change::All(all) = &change { all.len() } else { 1 };
        if self.commit(change, Policy::Commit, fx).is_some() {
            fx.announce = Some(match count {
                1 => "1 bay edge held in a better place. Undo takes it back.".to_owned(),
                n => format!("{n} bay edges held in better places. Undo takes them back."),
            });
        }
    }

    fn place_at_cross(&mut self, fx: &mut Effects) {
        if !self.cross_mode && !self.cursor.by_keys {
            self.cross_to_middle(fx);
            fx.announce = Some("Cross in the middle of the view.".to_owned());
            return;
        }
        if self.cross_mode {
            self.cross_to_middle(fx);
        }
        self.place_here(fx);
    }

    fn toggle_cross(&mut self, fx: &mut Effects) {
        self.cross_mode = !self.cross_mode;
        self.cursor.shown = false;
        if self.cross_mode {
            self.cross_to_middle(fx);
        }
        (fx.tool, fx.overlay) = (true, true);
        let said =
            if self.cross_mode { "Cross on: move the view under it, then place." } else { "Cross off." };
        fx.announce = Some(said.to_owned());
    }

    fn select_next(&mut self, step: isize, fx: &mut Effects) {
        let mut all: Vec<Selection> =
            thing::all(&self.plan).iter().map(|t| Selection::Thing(t.id())).collect();
        all.extend(self.plan.datum.is_some().then_some(Selection::Datum));
        let whole = self.selection.map(|s| s.id().map_or(s, Selection::Thing));
        let now = whole.and_then(|s| all.iter().position(|a| *a == s));
        let next = next_of(now, step, all.len()).map(|n| all[n]);
        self.select(next, fx);
        if let Some(next) = next {
            self.show(next, fx);
        }
    }

    /// Goes round corners and edges in turn: corner 1, side 1, corner 2, side 2.
    fn select_part(&mut self, step: isize, fx: &mut Effects) {
        let Some(id) = self.selection.and_then(Selection::id) else { return };
        let Some(thing) = thing::find(&self.plan, id) else { return };
        let (Ok(corners), Ok(edges)) =
            (u32::try_from(thing.points().len()), u32::try_from(thing.edge_count()))
        else {
            return;
        };
        let mut parts = Vec::new();
        for n in 0..corners {
            parts.push(Selection::Corner { id, corner: n });
            if n < edges {
                parts.push(Selection::Edge { id, edge: n });
            }
        }
        let now = parts.iter().position(|p| Some(*p) == self.selection);
        if let Some(n) = next_of(now, step, parts.len()) {
            self.select(Some(parts[n]), fx);
            self.show(parts[n], fx);
        }
    }

    fn zoom(&mut self, factor: f64, fx: &mut Effects) {
        let middle = Px::new(self.camera.width / 2.0, self.camera.height / 2.0);
        self.camera.zoom_about(middle, factor);
        self.viewed(fx);
    }

    fn set_snap(&mut self, set: impl Fn(&mut SnapSettings), fx: &mut Effects) {
        set(&mut self.snap);
        (fx.tool, fx.overlay, fx.save) = (true, true, true);
        let on = |on: bool| if on { "on" } else { "off" };
        let s = self.snap;
        let said = format!("Snapping {}, grid {}, right angles {}.", on(s.on), on(s.grid), on(s.angles));
        fx.announce = Some(said);
    }

    fn new_plan(&mut self, fx: &mut Effects) {
        self.give_up(fx);
        if self.commit(Change::Replace(Box::default()), Policy::Commit, fx).is_some() {
            self.begin_plan(fx);
            fx.announce = Some("New plan. Undo brings the old one back.".to_owned());
        }
    }
}

/// Why a command cannot be used now.
fn unable(id: CommandId) -> String {
    match id {
        CommandId::Undo => "There is nothing to undo.".to_owned(),
        CommandId::Redo => "There is nothing to do again.".to_owned(),
        _ => {
            let name = crate::command::info(id).map_or("This", |c| c.name);
            format!("\"{name}\" is not possible just now: select or draw something first.")
        }
    }
}

fn next_of(now: Option<usize>, step: isize, len: usize) -> Option<usize> {
    let last = len.checked_sub(1)?;
    Some(match now {
        None if step > 0 => 0,
        None => last,
        Some(n) => n.checked_add_signed(step).map_or(last, |m| if m > last { 0 } else { m }),
    })
}
