//! What is known of a zone while it is searched: every direction and width looked at, and the way taken.
//!
//! In: looks as they are made. Out: the choice that the layout tells of. It decides nothing.

use super::ground::Candidate;
use super::slopes::runs_down;
use crate::courses::{First, Way};
use crate::finding::Finding;
use crate::layout::{self, Choice};
use crate::numbering::count;
use crate::plan::Mm;
use crate::ways::Look;
use crate::zones::ZoneModel;

/// A zone and what is known of it.
#[derive(Clone, Debug)]
pub(super) struct ZoneState {
    pub(super) zone: ZoneModel,
    /// Every direction and width, once looked at.
    pub(super) looks: Vec<Seen>,
    /// The way before anything is tried.
    pub(super) plain: Option<Way>,
    /// The way taken, as a draft; none when nothing can be laid.
    pub(super) taken: Option<Candidate>,
    /// Slopes at places spread over it.
    pub(super) slopes: Vec<[f64; 2]>,
    /// What cannot be laid, and why.
    pub(super) findings: Vec<Finding>,
}

/// A look with what came of it.
#[derive(Clone, Debug)]
pub(super) struct Seen {
    pub(super) look: Look,
    pub(super) way: layout::Way,
    pub(super) profile: Vec<[Mm; 2]>,
}

impl ZoneState {
    /// What was tried and what was taken, as the layout tells it.
    pub(super) fn choice(&self) -> Choice {
        let way = self.taken.as_ref().map(|c| c.draft.way);
        let mut order: Vec<usize> = (0..self.looks.len()).collect();
        order.sort_by_key(|&n| (self.looks[n].way.direction_mdeg, self.looks[n].way.width));
        let taken = self.taken.as_ref().and_then(|c| c.look);
        let place = taken.and_then(|n| order.iter().position(|&m| m == n));
        let plain = way.filter(|_| place.is_none()).map(|way| layout::Way {
            direction_mdeg: way.frame.direction_mdeg(),
            width: way.spacing.width,
            across_fall: runs_down(&self.slopes, &way.frame).map(|down| !down),
            ..layout::Way::default()
        });
        Choice {
            zone: self.zone.number,
            ways: if place.is_some() {
                order.iter().map(|&n| self.looks[n].way).collect()
            } else {
                plain.into_iter().collect()
            },
            taken: count(place.unwrap_or(0)),
            first: match way.map(|w| w.first) {
                Some(First::Outside(mm)) => mm,
                _ => 0,
            },
            starts: taken.map(|n| self.looks[n].profile.clone()).unwrap_or_default(),
        }
    }
}

/// A look, nothing laid out of it yet.
pub(super) fn seen(look: Look, slopes: &[[f64; 2]]) -> Seen {
    let (cut_length, first) = look.least().unwrap_or_default();
    let way = layout::Way {
        direction_mdeg: look.frame.direction_mdeg(),
        width: look.spacing.width,
        cut_length,
        first,
        rolls: None,
        cost: None,
        across_fall: runs_down(slopes, &look.frame).map(|down| !down),
    };
    Seen { way, profile: look.profile(), look }
}
