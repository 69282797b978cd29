//! Pitch pockets: where each stands, and the membrane that fills it.
//!
//! In: penetrations with the numbers of their pockets, and collars. Out: for each pocket its middle and the volume of its
//! two pours, the pipes taken off. The bund stands as far from the pipes as their collars reach, round all of them in one
//! (common practice, no source); it is filled in two pours, the first to half height (common practice, no source).

use crate::geom::offset::circle;
use crate::geom::{Pt, ring};
use crate::plan::{Mm, Penetration, Plan, Shape};
use std::collections::BTreeMap;

/// A pitch pocket.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Pocket {
    /// Its number in the plan.
    pub number: u32,
    /// The middle of its pipes.
    pub at: Pt,
    /// Area inside its bund less its pipes, mm2.
    pub area: i64,
    /// The first pour, to half height, millilitres cold.
    pub first: i64,
    /// The second pour, millilitres cold.
    pub second: i64,
}

/// The pitch pockets of a plan, by number, filled to a depth.
pub fn pockets(plan: &Plan, depth: Mm) -> Vec<Pocket> {
    let mut by_number: BTreeMap<u32, Vec<&Penetration>> = BTreeMap::new();
    for penetration in &plan.penetrations {
        if let Some(number) = penetration.pocket {
            by_number.entry(number).or_default().push(penetration);
        }
    }
    by_number.into_iter().map(|(number, pipes)| pocket(plan, number, &pipes, depth)).collect()
}

/// The middle of a penetration.
pub(super) fn middle(penetration: &Penetration) -> Pt {
    match &penetration.shape {
        Shape::Circle { centre, .. } => *centre,
        Shape::Ring { corners } => mean(corners),
    }
}

fn mean(points: &[Pt]) -> Pt {
    let count = i64::try_from(points.len()).unwrap_or(i64::MAX).max(1);
    let of = |sum: i64| sum.div_euclid(count);
    Pt::new(of(points.iter().map(|p| p.x).sum()), of(points.iter().map(|p| p.y).sum()))
}

#[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
fn pocket(plan: &Plan, number: u32, pipes: &[&Penetration], depth: Mm) -> Pocket {
    let outer: Vec<[f64; 2]> = pipes.iter().flat_map(|p| outline(plan, p)).collect();
    let taken: f64 = pipes.iter().map(|p| own_area(p)).sum();
    let area = (hull_area(outer) - taken).max(0.0);
    let millilitres = |height: f64| libm::round(area * height / 1000.0) as i64;
    let middles: Vec<Pt> = pipes.iter().map(|p| middle(p)).collect();
    let first = millilitres(depth as f64 / 2.0);
    Pocket {
        number,
        at: mean(&middles),
        area: libm::round(area) as i64,
        first,
        second: millilitres(depth as f64) - first,
    }
}

/// Corners of a penetration with its collar.
#[allow(clippy::cast_precision_loss)]
fn outline(plan: &Plan, penetration: &Penetration) -> Vec<[f64; 2]> {
    let collar = penetration.collar.unwrap_or(plan.products.collar).max(0) as f64;
    match &penetration.shape {
        Shape::Circle { centre, diameter } => circle(*centre, (*diameter).max(0) as f64 / 2.0 + collar),
        Shape::Ring { corners } => corners.iter().flat_map(|c| circle(*c, collar)).collect(),
    }
}

#[allow(clippy::cast_precision_loss)]
fn own_area(penetration: &Penetration) -> f64 {
    match &penetration.shape {
        Shape::Circle { diameter, .. } => {
            let d = (*diameter).max(0) as f64;
            core::f64::consts::PI * d * d / 4.0
        }
        Shape::Ring { corners } => (ring::doubled_area(corners) as f64).abs() / 2.0,
    }
}

/// Area of the least convex shape that holds all points, mm2.
fn hull_area(mut points: Vec<[f64; 2]>) -> f64 {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    points.dedup();
    if points.len() < 3 {
        return 0.0;
    }
    let cross =
        |o: [f64; 2], a: [f64; 2], b: [f64; 2]| (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);
    let half = |points: &mut dyn Iterator<Item = &[f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for &p in points {
            while chain.len() > 1 && cross(chain[chain.len() - 2], chain[chain.len() - 1], p) <= 0.0 {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut points.iter());
    hull.extend(half(&mut points.iter().rev()));
    let first = hull[0];
    hull.windows(2).map(|w| cross(first, w[0], w[1])).sum::<f64>() / 2.0
}

#[cfg(test)]
mod tests {
    //! Volumes by hand.
    use super::*;

    fn pipe(x: i64, y: i64, diameter: Mm, pocket: Option<u32>) -> Penetration {
        let shape = Shape::Circle { centre: Pt::new(x, y), diameter };
        Penetration { id: 1, name: String::new(), shape, pocket, collar: Some(50) }
    }

    /// One pipe of 100 mm in a round bund of 200 mm: pi/4 (200^2 - 100^2) = 23 562 mm2, 75 mm deep 1767 ml. The polygon
    /// that stands for the bund lies outside its circle by up to 1 % of the radius.
    #[test]
    fn one_pipe() {
        let plan = Plan { penetrations: vec![pipe(0, 0, 100, Some(4))], ..Plan::default() };
        let found = pockets(&plan, 75);
        assert_eq!((found.len(), found[0].number), (1, 4));
        assert!((1767..=1767 + 30).contains(&(found[0].first + found[0].second)), "{found:?}");
        assert!((found[0].first - found[0].second).abs() <= 1, "the first to half height");
    }

    /// Two pipes of 100 mm 400 mm apart: a bund 200 mm wide and 600 mm long with round ends, 400 x 200 + pi/4 200^2 =
    /// 111 416 mm2, less two pipes of 7854: 95 708 mm2, 50 mm deep 4785 ml.
    #[test]
    fn two_pipes_in_one_bund() {
        let pipes = vec![pipe(0, 0, 100, Some(1)), pipe(400, 0, 100, Some(1)), pipe(900, 0, 100, None)];
        let plan = Plan { penetrations: pipes, ..Plan::default() };
        let found = pockets(&plan, 50);
        assert_eq!((found.len(), found[0].at), (1, Pt::new(200, 0)));
        let all = found[0].first + found[0].second;
        assert!((4785..=4785 + 70).contains(&all), "{all}");
    }

    /// A square of 100 mm, its bund 50 mm off it with rounded corners: 100^2 + 4 x 100 x 50 + pi 50^2 - 100^2 = 27 854 mm2.
    #[test]
    fn a_square_post() {
        let corners = [(0, 0), (100, 0), (100, 100), (0, 100)].map(|(x, y)| Pt::new(x, y)).to_vec();
        let post = Penetration { shape: Shape::Ring { corners }, ..pipe(0, 0, 1, Some(1)) };
        let plan = Plan { penetrations: vec![post], ..Plan::default() };
        let area = pockets(&plan, 1)[0].area;
        assert!((27_854..28_400).contains(&area), "{area}");
    }
}
