//! Spot levels that are far from what their neighbours say: a slip of the staff, a wrong unit, a point on a plinth.
//!
//! In: the points with levels and the facets over them. Out: a finding for each spot level that stands out. None is left
//! out of the surface for it: the user decides.

use super::fit::fitted;
use super::given::near;
use super::sketch::{Sketch, Source};
use crate::finding::{About, Finding};

/// A level this far from the plane of its neighbours stands out, mm. Common practice, no source.
const FAR: f64 = 250.0;

/// And so many times as far as its neighbours are from theirs.
const TIMES: f64 = 4.0;

/// Most that are told.
const TOLD: usize = 20;

/// Says which spot levels stand out, the furthest first; each one found no longer counts as anybody's neighbour.
pub(super) fn tell(sketch: &Sketch, used: &[usize], facets: &[[usize; 3]], findings: &mut Vec<Finding>) {
    let spots: Vec<Option<(u32, f64)>> = sketch.claims.iter().map(|claims| spot_of(claims)).collect();
    let levels: Vec<Option<f64>> = sketch.claims.iter().map(|c| c.first().map(|c| c.level)).collect();
    let beside = neighbours(sketch.at.len(), facets);
    let mut out = vec![false; sketch.at.len()];
    let fit = |n: usize, out: &[bool]| residual(sketch, &levels, &beside[n], n, out);
    let mut misfit: Vec<f64> = vec![0.0; sketch.at.len()];
    for &n in used {
        misfit[n] = fit(n, &out);
    }
    for _ in 0..TOLD {
        let worst = used
            .iter()
            .copied()
            .filter(|&n| spots[n].is_some() && !out[n] && misfit[n] > FAR)
            .filter(|&n| misfit[n] > TIMES * usual(&misfit, &beside[n], &out))
            .max_by(|&a, &b| misfit[a].total_cmp(&misfit[b]).then(b.cmp(&a)));
        let Some((n, (id, level))) = worst.and_then(|n| Some((n, spots[n]?))) else { break };
        out[n] = true;
        for &m in &beside[n] {
            misfit[m] = fit(m, &out);
        }
        let text = format!(
            "Spot level {id}, {level:.0} mm, is {:.0} mm away from what the levels around it say.",
            misfit[n]
        );
        let mend = "Check it, and correct or delete it; until then it is used as it stands.";
        findings
            .push(Finding::warning("level-stands-out", About::Plan(id), text, mend).at(near(sketch.at[n])));
    }
}

fn spot_of(claims: &[super::sketch::Claim]) -> Option<(u32, f64)> {
    claims.iter().find_map(|c| match c.from {
        Source::Spot(id) => Some((id, c.level)),
        Source::Line(_) | Source::Plane(_) => None,
    })
}

/// How far the neighbours of a point usually are from theirs, once that point itself is left out: what is left of them
/// when their share of its error is taken off is not known, so the least half is looked at.
fn usual(misfit: &[f64], beside: &[usize], out: &[bool]) -> f64 {
    let mut around: Vec<f64> = beside.iter().filter(|&&m| !out[m]).map(|&m| misfit[m]).collect();
    around.sort_by(f64::total_cmp);
    around.get(around.len() / 4).copied().unwrap_or_default()
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

/// How far the level of a point is from the plane that fits its neighbours best; 0 when they fix none.
fn residual(sketch: &Sketch, levels: &[Option<f64>], beside: &[usize], n: usize, out: &[bool]) -> f64 {
    let Some(own) = levels[n] else { return 0.0 };
    let origin = sketch.at[n];
    let around: Vec<[f64; 3]> = beside
        .iter()
        .filter(|&&m| !out[m])
        .filter_map(|&m| levels[m].map(|z| [sketch.at[m][0] - origin[0], sketch.at[m][1] - origin[1], z]))
        .collect();
    fitted(&around).map_or(0.0, |plane| (own - plane.level).abs())
}
