//! Spot levels that are far from what their neighbours say: a slip of the staff, a wrong unit, a point on a plinth.
//!
//! In: the points with levels and the facets over them. Out: a finding for each spot level that stands out. None is left
//! out of the surface for it: the user decides.

use super::fit::fitted;
use super::given::near;
use super::sketch::{Claim, Sketch, Source};
use crate::finding::{About, Finding};

/// A level this far from the plane that fits it and its neighbours stands out, mm. Common practice, no source.
const FAR: f64 = 250.0;

/// And by this share of the distance to its neighbours, so that a deep fall to an outlet does not. Common practice, no
/// source.
const SPIKE: f64 = 0.05;

/// And so many times as far as its neighbours are from theirs once it is left out.
const TIMES: f64 = 4.0;

/// Most that are told.
const TOLD: usize = 20;

/// Says which spot levels stand out, the furthest first; each one found no longer counts as anybody's neighbour.
pub(super) fn tell(sketch: &Sketch, used: &[usize], facets: &[[usize; 3]], findings: &mut Vec<Finding>) {
    let mut look = Look::new(sketch, facets);
    for &n in used {
        look.misfit[n] = look.misfit_of(n);
    }
    for _ in 0..TOLD {
        let Some((n, id)) = look.worst(used) else { break };
        let level = look.levels[n].unwrap_or_default();
        let text = format!(
            "Spot level {id}, {level:.0} mm, is {:.0} mm away from what the levels around it say.",
            look.misfit[n]
        );
        let mend = "Check it, and correct or delete it; until then it is used as it stands.";
        findings
            .push(Finding::warning("level-stands-out", About::Plan(id), text, mend).at(near(sketch.at[n])));
        look.leave_out(n);
    }
}

/// Levels and how well each fits in.
struct Look<'a> {
    sketch: &'a Sketch,
    levels: Vec<Option<f64>>,
    beside: Vec<Vec<usize>>,
    /// Left out as found.
    out: Vec<bool>,
    /// How far each is from the plane that fits it and its neighbours.
    misfit: Vec<f64>,
}

impl<'a> Look<'a> {
    fn new(sketch: &'a Sketch, facets: &[[usize; 3]]) -> Self {
        let count = sketch.at.len();
        Self {
            sketch,
            levels: sketch.claims.iter().map(|c| c.first().map(|c| c.level)).collect(),
            beside: neighbours(count, facets),
            out: vec![false; count],
            misfit: vec![0.0; count],
        }
    }

    /// The spot level that fits worst of those that stand out, and its id.
    fn worst(&mut self, used: &[usize]) -> Option<(usize, u32)> {
        let mut far: Vec<usize> =
            used.iter().copied().filter(|&n| !self.out[n] && self.misfit[n] > FAR).collect();
        far.sort_by(|&a, &b| self.misfit[b].total_cmp(&self.misfit[a]).then(a.cmp(&b)));
        far.into_iter().find_map(|n| {
            let id = spot_of(&self.sketch.claims[n])?;
            let stands_out = self.misfit[n] > self.spike(n) && self.misfit[n] > TIMES * self.usual_without(n);
            stands_out.then_some((n, id))
        })
    }

    fn leave_out(&mut self, n: usize) {
        self.out[n] = true;
        for m in self.beside[n].clone() {
            self.misfit[m] = self.misfit_of(m);
        }
    }

    /// How far a level has to be out to be a spike among its neighbours and not a fall.
    #[allow(clippy::cast_precision_loss)]
    fn spike(&self, n: usize) -> f64 {
        let around = self.around(n);
        let length = |p: &[f64; 3]| (p[0] * p[0] + p[1] * p[1]).sqrt();
        SPIKE * around.iter().map(length).sum::<f64>() / around.len().max(1) as f64
    }

    /// The middle one of the neighbours' misfits were this level not there.
    fn usual_without(&mut self, n: usize) -> f64 {
        self.out[n] = true;
        let near = self.beside[n].iter().filter(|&&m| !self.out[m]);
        let mut misfits: Vec<f64> = near.map(|&m| self.misfit_of(m)).collect();
        self.out[n] = false;
        misfits.sort_by(f64::total_cmp);
        misfits.get(misfits.len() / 2).copied().unwrap_or_default()
    }

    /// Neighbours of a point not left out, counted from it.
    fn around(&self, n: usize) -> Vec<[f64; 3]> {
        let origin = self.sketch.at[n];
        let beside = self.beside[n].iter().filter(|&&m| !self.out[m]);
        let place = |m: usize| [self.sketch.at[m][0] - origin[0], self.sketch.at[m][1] - origin[1]];
        beside.filter_map(|&m| self.levels[m].map(|z| [place(m)[0], place(m)[1], z])).collect()
    }

    /// How far a level is from the plane that fits it and its neighbours; 0 when they are too few to say. It counts itself:
    /// a corner that hangs on the slope of two near ones would else be blamed for what is a mm out in them.
    fn misfit_of(&self, n: usize) -> f64 {
        let Some(own) = self.levels[n] else { return 0.0 };
        let mut points = self.around(n);
        if points.len() < 3 {
            return 0.0;
        }
        points.push([0.0, 0.0, own]);
        fitted(&points).map_or(0.0, |plane| (own - plane.level).abs())
    }
}

fn spot_of(claims: &[Claim]) -> Option<u32> {
    claims.iter().find_map(|c| match c.from {
        Source::Spot(id) => Some(id),
        Source::Line(_) | Source::Plane(_) => None,
    })
}

fn neighbours(count: usize, facets: &[[usize; 3]]) -> Vec<Vec<usize>> {
    let mut beside = vec![Vec::new(); count];
    for t in facets {
        for k in 0..3 {
            beside[t[k]].push(t[(k + 1) % 3]);
            beside[t[k]].push(t[(k + 2) % 3]);
        }
    }
    for list in &mut beside {
        list.sort_unstable();
        list.dedup();
    }
    beside
}
