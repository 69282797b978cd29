//! A long section: the level of the surface along a drawn line.
//!
//! In: meshes by place, and a line. Out: runs of chainage (mm along the line) and level (thousandths of a mm), a point
//! wherever the surface bends; where the line leaves the decks, a run ends.

use super::locate::Places;
use crate::geom::Pt;

/// The section of the surfaces along a line.
pub fn section(places: &[Places], line: &[Pt]) -> Vec<Vec<[i64; 2]>> {
    let mut pieces: Vec<[[f64; 2]; 2]> = Vec::new();
    let mut chainage = 0.0;
    for pair in line.windows(2) {
        let (a, b) = (super::sketch::real(pair[0]), super::sketch::real(pair[1]));
        let length = pair[0].distance(pair[1]);
        if length > 0.0 {
            for place in places {
                pieces.extend(
                    pieces_of(place, a, b)
                        .into_iter()
                        .map(|ends| ends.map(|(share, level)| [chainage + share * length, level])),
                );
            }
        }
        chainage += length;
    }
    pieces.sort_by(|p, q| p[0][0].total_cmp(&q[0][0]).then(p[1][0].total_cmp(&q[1][0])));
    joined(&pieces)
}

/// Parts of a straight line over single facets: how far along each end is, and its level.
fn pieces_of(places: &Places, a: [f64; 2], b: [f64; 2]) -> Vec<[(f64, f64); 2]> {
    let mesh = places.mesh();
    let lo = [a[0].min(b[0]), a[1].min(b[1])];
    let hi = [a[0].max(b[0]), a[1].max(b[1])];
    let along = |share: f64| [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share];
    let near = places.facets_near(lo, hi).into_iter();
    near.filter_map(|f| {
        let (from, to) = inside(mesh.facets[f].map(|n| mesh.at[n]), a, b)?;
        Some([from, to].map(|share| (share, mesh.level_on(f, along(share)))))
    })
    .collect()
}

/// The part of a straight line inside an anticlockwise triangle.
fn inside(corners: [[f64; 2]; 3], a: [f64; 2], b: [f64; 2]) -> Option<(f64, f64)> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for k in 0..3 {
        let (p, q) = (corners[k], corners[(k + 1) % 3]);
        let (at_a, at_b) = (super::triangles::doubled(p, q, a), super::triangles::doubled(p, q, b));
        let grows = at_b - at_a;
        if grows > 0.0 {
            from = from.max(-at_a / grows);
        } else if grows < 0.0 {
            to = to.min(-at_a / grows);
        } else if at_a < 0.0 {
            return None;
        }
    }
    (to - from > 1e-12).then_some((from, to))
}

/// Pieces that follow one another, joined into runs.
#[allow(clippy::cast_possible_truncation)]
fn joined(pieces: &[[[f64; 2]; 2]]) -> Vec<Vec<[i64; 2]>> {
    let whole = |p: [f64; 2]| [p[0].round() as i64, (p[1] * 1000.0).round() as i64];
    let mut runs: Vec<Vec<[i64; 2]>> = Vec::new();
    let mut reached = f64::NEG_INFINITY;
    for piece in pieces {
        if piece[1][0] <= reached + 1e-6 {
            continue;
        }
        let [from, to] = piece.map(whole);
        match runs.last_mut() {
            Some(run) if piece[0][0] <= reached + 1.0 => {
                // A step between decks that touch keeps both its levels.
                if run.last() != Some(&from) && run.last().is_some_and(|l| (l[1] - from[1]).abs() > 1) {
                    run.push(from);
                }
                run.push(to);
            }
            _ => runs.push(vec![from, to]),
        }
        reached = piece[1][0];
    }
    runs
}
