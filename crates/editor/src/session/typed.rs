//! What is typed in the fields of the panels.
//!
//! In: a field and its text. Out: one change, or the text kept as wrong with the sentence that says why. Typing on in
//! one field is one undo step.

use super::Session;
use crate::fields::{self, FieldId, Outcome};
use crate::history::Policy;
use crate::message::Effects;

impl Session {
    pub(super) fn on_typed(&mut self, field: &FieldId, text: &str, fx: &mut Effects) {
        fx.fields = true;
        let problem = match fields::set(self, field, text) {
            Ok(Outcome::Change(change)) => {
                let refused = self.commit(change, Policy::Coalesce(run_of(field)), fx).is_none();
                refused.then(|| self.problem.take()).flatten()
            }
            Ok(Outcome::FixedEnd(end)) => {
                self.fixed_end = end;
                None
            }
            Ok(Outcome::Step(step)) => {
                self.snap.step = step;
                (fx.tool, fx.overlay, fx.save) = (true, true, true);
                None
            }
            Err(problem) => Some(problem),
        };
        match problem {
            Some(problem) => {
                fx.problem = Some(problem.clone());
                self.wrong.insert(field.clone(), (text.to_owned(), problem));
            }
            None => drop(self.wrong.remove(field)),
        }
    }
}

/// A key for the run of one field: FNV-1a of its path, with the top bit kept for nudges.
fn run_of(field: &FieldId) -> u64 {
    let hash = field.0.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    });
    hash & !(1 << 63)
}
