//! Stands in for the engine's look for splits until that is there: it finds none.
//!
//! In: a plan. Out: no proposal.
#![allow(missing_docs)]
use baylap_core::Plan;
use baylap_core::geom::Pt;
use serde::{Deserialize, Serialize};
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Saving {
    pub rolls: i64,
    pub cost: i64,
    pub cut_length: i64,
    pub end_laps: i64,
}
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Proposal {
    pub lines: Vec<Vec<Pt>>,
    pub lap_line: i64,
    pub saves: Saving,
}
#[derive(Clone, Debug)]
pub struct Proposer {
    found: Vec<Proposal>,
    left: u64,
}
impl Proposer {
    pub fn new(plan: &Plan) -> Self {
        let (_, found) = (plan, Vec::new());
        Self { found, left: 10 }
    }
    pub fn advance(&mut self, _n: u64) -> bool {
        self.left = self.left.saturating_sub(1);
        false
    }
    pub fn is_done(&self) -> bool {
        self.left == 0
    }
    pub fn found(&self) -> &[Proposal] {
        &self.found
    }
}
