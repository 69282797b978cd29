//! The gangs of the programme: one more, or one less.
//!
//! In: a programme. Out: it with a gang added behind or with any one of them taken out. What is tied to a gang that leaves
//! stays tied, and a finding names it: nothing that was set is lost unsaid.

use crate::thing::greatest_id;
use baylap_core::Plan;
use baylap_core::plan::{NamedGang, Programme};

/// Gangs at most: the plan file holds no more.
pub const MOST: usize = 20;

/// The programme with one more gang, of the people of the plan's gang; nothing when there are enough.
pub fn with_one_more(plan: &Plan) -> Option<Programme> {
    let mut new = plan.programme.clone();
    let id = greatest_id(plan).checked_add(1)?;
    new.gangs.push(NamedGang { id, people: plan.gang.people.max(1), ..NamedGang::default() });
    (new.gangs.len() <= MOST).then_some(new)
}

/// The programme without the gang at a place of the list; nothing when there is none.
pub fn without(programme: &Programme, n: usize) -> Option<Programme> {
    let mut new = programme.clone();
    (n < new.gangs.len()).then(|| new.gangs.remove(n))?;
    Some(new)
}
