//! What can be snapped to: the corners and edges of a plan.
//!
//! In: a plan, and what is being dragged. Out: corners and edges in plan order, without those that move along.

use crate::thing::{self, Thing};
use baylap_core::geom::Pt;
use baylap_core::plan::{Id, Plan};

/// Corners and edges.
#[derive(Clone, Debug, Default)]
pub(crate) struct Targets {
    /// Corners, points of lines, middles of things.
    pub(crate) corners: Vec<Pt>,
    /// Edges of rings and stretches of lines.
    pub(crate) edges: Vec<(Pt, Pt)>,
}

/// What is left out because it moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Except {
    /// Nothing.
    Nothing,
    /// One corner with its edges.
    Corner(Id, u32),
    /// One edge with its ends.
    Edge(Id, u32),
    /// A whole thing.
    Whole(Id),
}

impl Targets {
    /// All corners and edges but those that move.
    pub(crate) fn of(plan: &Plan, except: Except) -> Self {
        let mut targets = Targets::default();
        for thing in thing::all(plan) {
            if except != Except::Whole(thing.id()) {
                targets.add(&thing, except);
            }
        }
        if let Some(datum) = &plan.datum {
            targets.corners.extend([datum.zero, datum.along]);
        }
        targets
    }

    fn add(&mut self, thing: &Thing, except: Except) {
        let points = thing.points();
        let moves = |n: usize| match except {
            Except::Corner(id, corner) => id == thing.id() && n == corner as usize,
            Except::Edge(id, edge) => {
                let edge = edge as usize;
                id == thing.id() && (n == edge || n == (edge + 1) % points.len())
            }
            _ => false,
        };
        self.corners.extend((0..points.len()).filter(|n| !moves(*n)).map(|n| points[n]));
        let ends = (0..thing.edge_count()).map(|n| (n, (n + 1) % points.len()));
        self.edges
            .extend(ends.filter(|(a, b)| !moves(*a) && !moves(*b)).map(|(a, b)| (points[a], points[b])));
    }
}
