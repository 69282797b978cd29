//! What no way of laying changes: the checked decks, the water on them, the layers on the membrane.
//!
//! In: a plan. Out: a roof that any number of searches can begin from, so that ways of laying one roof are compared without
//! working out its falls each time. It knows nothing of rolls, bays and days.

use crate::coverings;
use crate::falls::{self, Found};
use crate::finding::Finding;
use crate::layout::CoveringSum;
use crate::model::{self, Model};
use crate::plan::Plan;

/// What no way of laying changes.
#[derive(Clone, Debug)]
pub struct Roof {
    pub(super) model: Model,
    pub(super) falls: Option<Found>,
    pub(super) coverings: Vec<CoveringSum>,
    pub(super) findings: Vec<Finding>,
}

impl Roof {
    /// The roof of a plan. Another plan is of the same roof when it differs in settings of zones, in the kinds of roll and how
    /// they are laid, in the courses of a bay, in melters and gangs, and in nothing else.
    pub fn of(plan: &Plan) -> Self {
        let mut findings = Vec::new();
        let model = model::check(plan, &mut findings);
        let falls = falls::find(plan, &model, &mut findings);
        let coverings = coverings::find(plan, &model);
        Self { model, falls, coverings, findings }
    }
}
