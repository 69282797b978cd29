//! Site records: entering one, and merging those of another device.
//!
//! In: a record with its key, or a plan from another device. Out: the plan with more records; a sentence on what was
//! entered or merged. Records only grow, so this is no step of undo, and undo keeps whatever was recorded since the step it
//! goes back to. Nothing about a layout changes with a record: the plan keeps its revision, and the layout stays current.

use super::Session;
use crate::message::Effects;
use baylap_core::Plan;
use baylap_core::plan::{Record, file, records};
use baylap_core::records::{judge, merge};
use std::sync::Arc;

impl Session {
    /// Enters a record under a key of its own.
    pub(super) fn record(&mut self, record: Record, fx: &mut Effects) {
        self.end_drag(fx);
        if self.plan.records.iter().any(|r| r.key == record.key) {
            self.refuse(format!("There is a record {} already: enter it again.", record.key), fx);
            return;
        }
        if record.key.len() > records::KEY {
            let most = records::KEY;
            self.refuse(format!("The key {} is longer than {most} characters: shorten it.", record.key), fx);
            return;
        }
        let said = judge(&self.plan, self.layout(), &record).text;
        let mut plan = (*self.plan).clone();
        plan.records.push(record);
        self.keep_records(plan, said, fx);
    }

    /// Takes the records of another device in; the drawing stays.
    pub(super) fn merge_records(&mut self, other: &Plan, fx: &mut Effects) {
        self.end_drag(fx);
        let merged = merge(&self.plan, other);
        let said = merged.told();
        self.keep_records(merged.plan, said, fx);
    }

    fn keep_records(&mut self, plan: Plan, said: String, fx: &mut Effects) {
        if let Err(problem) = file::check(&plan) {
            self.refuse(problem.to_string(), fx);
            return;
        }
        self.problem = None;
        if plan.records != self.plan.records {
            self.plan = Arc::new(plan);
            (fx.records, fx.save) = (true, true);
        }
        fx.announce = Some(said);
    }
}
