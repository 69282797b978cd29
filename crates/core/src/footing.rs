//! Footing: what a zone's frame has that bay edges and end laps keep away from, or seek.
//!
//! In: the frame of a zone, outlets, the ground where levels are known, and bay edges that the user holds. Out: how much of
//! a line across or along the courses lies in a bad place or on a ridge, and the chainages that no cut of a course should
//! be at. It chooses nothing.

use crate::falls::ground::{BESIDE, Ground, Under};
use crate::geom::Pt;
use crate::geom::frame::{Frame, Place, UM};
use crate::model::{Model, OutletZone};
use crate::plan::{Mm, Plan};

/// An outlet's clear zone in the frame.
#[derive(Clone, Copy, Debug)]
pub struct ClearZone {
    /// Chainage of its middle, micrometres.
    pub u: i64,
    /// Offset of its middle, micrometres.
    pub v: i64,
    /// Radius, micrometres.
    pub radius: i64,
}

/// A bay edge that the user holds.
#[derive(Clone, Copy, Debug)]
pub struct Held {
    /// A place on it.
    pub at: Place,
    /// Whether it runs along the courses.
    pub along: bool,
}

/// What a line lies on, mm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Weight {
    /// In ponds, along low lines, at outlets.
    pub bad: Mm,
    /// Along ridges.
    pub raised: Mm,
}

/// The footing of one zone laid one way.
#[derive(Clone, Debug)]
pub struct Footing<'a> {
    frame: Frame,
    /// Outlets' clear zones.
    pub outlets: Vec<ClearZone>,
    /// Bay edges held.
    pub held: Vec<Held>,
    ground: Option<&'a Ground>,
    low_lines: Vec<Across>,
}

/// A low line that runs nearly across the courses.
#[derive(Clone, Copy, Debug)]
struct Across {
    /// Offsets of its ends, the lesser first, micrometres.
    v: [i64; 2],
    /// Chainages that lie beside it.
    beside: [Mm; 2],
}

impl<'a> Footing<'a> {
    /// The footing of a frame.
    pub fn new(plan: &Plan, model: &Model, frame: Frame, ground: Option<&'a Ground>) -> Self {
        let clear = |o: &OutletZone| {
            let at = frame.place(o.at);
            ClearZone { u: at.u, v: at.v, radius: o.radius * UM }
        };
        let held = plan.bay_edges.iter().map(|e| Held { at: frame.place(e.at), along: e.along });
        let low_lines = ground.map(Ground::low_lines).unwrap_or_default();
        let low_lines = low_lines.iter().filter_map(|line| across(&frame, line)).collect();
        Self {
            frame,
            outlets: model.outlets.iter().map(clear).collect(),
            held: held.collect(),
            ground,
            low_lines,
        }
    }

    /// Whether levels are known.
    pub fn knows_falls(&self) -> bool {
        self.ground.is_some()
    }

    /// What lines across the courses at a chainage lie on; `sections` are intervals of v, micrometres.
    pub fn across(&self, u: i64, sections: &[[i64; 2]]) -> Weight {
        self.weigh(sections.iter().map(|&[lo, hi]| [Place { u, v: lo }, Place { u, v: hi }]))
    }

    /// Whether lines across the courses at a chainage may lie on a ridge; asks less of the falls than [`Footing::across`].
    pub fn may_be_raised(&self, u: i64, sections: &[[i64; 2]]) -> bool {
        let at = |v: i64| self.frame.plan_place(Place { u, v });
        let beside =
            |ground: &Ground| sections.iter().any(|&[lo, hi]| ground.runs_beside_ridge(at(lo), at(hi)));
        self.ground.is_some_and(beside)
    }

    /// What lines along the courses at an offset lie on; `runs` are intervals of u, micrometres.
    pub fn along(&self, v: i64, runs: &[[i64; 2]]) -> Weight {
        self.weigh(runs.iter().map(|&[lo, hi]| [Place { u: lo, v }, Place { u: hi, v }]))
    }

    /// Chainages, mm, between `from` and `to` where a cut across the offsets `across` would lie in a pond or along a low
    /// line: open intervals.
    pub fn wet(&self, [from, to]: [Mm; 2], across: [Mm; 2]) -> Vec<[Mm; 2]> {
        let Some(ground) = self.ground else { return Vec::new() };
        let mut wet = Vec::new();
        for v in [across[0], i64::midpoint(across[0], across[1]), across[1]] {
            let at = |u: Mm| self.frame.plan_place(Place { u: u * UM, v: v * UM });
            let length = to - from;
            let parts = ground.along(at(from), at(to));
            wet.extend(
                parts
                    .iter()
                    .filter(|p| p.under == Under::Pond)
                    .map(|p| [from + share(length, p.from), from + share(length, p.to) + 1]),
            );
        }
        let [from, to] = across.map(|v| v * UM);
        let meets = self.low_lines.iter().filter(|line| line.v[0] < to && line.v[1] > from);
        wet.extend(meets.map(|line| line.beside));
        wet
    }

    fn weigh(&self, lines: impl Iterator<Item = [Place; 2]>) -> Weight {
        let mut weight = Weight::default();
        let Some(ground) = self.ground else { return weight };
        for [a, b] in lines {
            let length = ((b.u - a.u).abs() + (b.v - a.v).abs()) / UM;
            for part in ground.along(self.frame.plan_place(a), self.frame.plan_place(b)) {
                let own = share(length, part.to - part.from);
                match part.under {
                    Under::Pond | Under::LowLine | Under::Outlet => weight.bad += own,
                    Under::Ridge => weight.raised += own,
                    Under::Level | Under::Slope(_) | Under::Unknown => {}
                }
            }
        }
        weight
    }
}

/// A low line as it lies in a frame, when it runs nearly across the courses: within 30 degrees of it, 7 in 4.
fn across(frame: &Frame, line: &[Pt; 2]) -> Option<Across> {
    let [p, q] = line.map(|p| frame.place(p));
    let (du, dv) = ((p.u - q.u).abs(), (p.v - q.v).abs());
    (du * 7 < dv * 4).then(|| {
        let reach = share(UM, BESIDE);
        let beside = [(p.u.min(q.u) - reach).div_euclid(UM), (p.u.max(q.u) + reach).div_euclid(UM) + 1];
        Across { v: [p.v.min(q.v), p.v.max(q.v)], beside }
    })
}

#[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
fn share(length: i64, share: f64) -> i64 {
    (length as f64 * share).round() as i64
}
