//! Laps of the reinforcement from a bay to one laid after it: what the sheet must stay off until then.
//!
//! In: the pieces of the reinforcement, the common edges of the bays. Out: these laps, each as a rectangle of the frame of its
//! zone, and whether a common edge stands for it already. Pieces reach beyond their bays, and past the ends of a common edge
//! that a wall cuts short. Laps over drawn lines are left to the edges.

use super::Rules;
use super::board::{Shape, rectangle};
use super::edges::{Edge, Way};
use super::laps::{Band, both};
use crate::layout::{Layout, Piece};
use crate::plan::Mm;
use std::collections::BTreeMap;

/// A lap of the reinforcement between two bays.
#[derive(Clone, Copy, Debug)]
pub(super) struct Joint {
    /// Zone, from 0.
    pub zone: usize,
    /// Index of the bay laid first.
    pub low: usize,
    /// Index of the bay laid later.
    pub high: usize,
    /// What has to stay open until the later bay is laid, in the frame.
    pub open: Band,
    /// Whether what their common edge leaves open holds all of it.
    pub at_edge: bool,
}

impl Joint {
    /// What has to stay open, as a shape.
    pub(super) fn shape(&self) -> Shape {
        rectangle(self.open.along, self.open.across)
    }
}

/// All of them, by the bay laid first.
pub(super) fn find(layout: &Layout, edges: &[Edge], rules: &Rules) -> Vec<Joint> {
    let mut by_course: BTreeMap<(u32, u32), Vec<&Piece>> = BTreeMap::new();
    for piece in &layout.pieces {
        by_course.entry((piece.zone, piece.course)).or_default().push(piece);
    }
    let mut found = Vec::new();
    for (&(zone, course), own) in &by_course {
        let next = by_course.get(&(zone, course + 1)).into_iter().flatten();
        for (i, one) in own.iter().enumerate() {
            let others = own[i + 1..].iter().chain(next.clone());
            found.extend(others.filter_map(|two| joint(one, two, rules)));
        }
    }
    for joint in &mut found {
        joint.at_edge = edges.iter().any(|edge| stands_for(edge, joint, rules));
    }
    found.sort_by_key(|joint| (joint.low, joint.high, joint.zone, joint.open.along, joint.open.across));
    found
}

/// The lap of two pieces of different bays, drawn out by what stays open round it.
fn joint(one: &Piece, two: &Piece, rules: &Rules) -> Option<Joint> {
    let (low, high) = if one.bay < two.bay { (one.bay, two.bay) } else { (two.bay, one.bay) };
    let band = |p: &Piece| Band { along: [p.from, p.to], across: p.across };
    let lap = both(&band(one), &band(two)).filter(|_| low < high)?;
    let more = |[from, to]: [Mm; 2]| [from - rules.open, to + rules.open];
    let open = Band { along: more(lap.along), across: more(lap.across) };
    let [low, high] = [low, high].map(|number| number as usize - 1);
    Some(Joint { zone: one.zone as usize - 1, low, high, open, at_edge: false })
}

/// Whether what a common edge leaves open holds all that a lap asks for.
fn stands_for(edge: &Edge, joint: &Joint, rules: &Rules) -> bool {
    if (edge.low, edge.high) != (joint.low, joint.high) || matches!(edge.way, Way::Line { .. }) {
        return false;
    }
    let held = edge.open_band(rules);
    let holds = |outer: [Mm; 2], inner: [Mm; 2]| outer[0] <= inner[0] && inner[1] <= outer[1];
    held.is_some_and(|held| holds(held.along, joint.open.along) && holds(held.across, joint.open.across))
}
