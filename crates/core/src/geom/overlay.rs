//! Boolean operations on regions: the one file that knows the overlay library.
//!
//! In: regions in whole mm and shapes computed off the grid, in mm as floats. Out: regions in whole mm, snapped
//! once, outer rings anticlockwise and holes clockwise, each region connected in its interior. Work is done on a grid
//! of 1/64 mm (coarser only for jobs over 4 km across), so that snapping happens at the end and not in the middle.
//! It knows nothing of decks or courses.

use super::ring::untied;
use super::{Points, Pt, Region};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::{ContourDirection, IntOverlayOptions, Overlay, ShapeType};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::core::solver::Solver;
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::i_shape::int::shape::{IntContour, IntShapes};
use i_overlay::string::slice::IntSlice;

/// A contour on the working grid.
pub type Contour = IntContour;

/// The working grid of one job: a centre and a scale that every operation of the job shares.
#[derive(Clone, Copy, Debug)]
pub struct Canvas {
    centre: Pt,
    scale: i32,
}

/// Coordinates on the working grid stay below this, so that products of two fit in 64 bits.
const REACH: i64 = 1 << 28;

/// Finest working grid: parts of a mm.
const FINEST: i32 = 64;

/// Added round the bounds, mm: room for collars and bands drawn outwards.
const ROOM: i64 = 20_000;

impl Canvas {
    /// A canvas that holds everything between two corners.
    pub fn new(lo: Pt, hi: Pt) -> Self {
        let centre = Pt::new(i64::midpoint(lo.x, hi.x), i64::midpoint(lo.y, hi.y));
        let half = (hi.x - centre.x).max(hi.y - centre.y).max(0) + ROOM;
        let mut scale = FINEST;
        while scale > 1 && half * i64::from(scale) >= REACH {
            scale /= 2;
        }
        Self { centre, scale }
    }

    /// A ring of whole mm on the working grid.
    pub fn ring(&self, ring: &[Pt]) -> Contour {
        ring.iter().map(|p| self.up(p.x as f64, p.y as f64)).collect()
    }

    /// All rings of regions on the working grid.
    pub fn rings(&self, regions: &[Region]) -> Vec<Contour> {
        regions.iter().flatten().map(|r| self.ring(r)).collect()
    }

    /// A shape computed off the grid, mm.
    pub fn shape(&self, ring: &[[f64; 2]]) -> Contour {
        ring.iter().map(|&[x, y]| self.up(x, y)).collect()
    }

    /// What of `subject` is not in any of `clip` (whose contours may overlap and run either way round).
    pub fn difference(&self, subject: &[Contour], clip: Vec<Contour>) -> Vec<Region> {
        self.down(run(subject, &wound(clip), OverlayRule::Difference))
    }

    /// What of `subject` is neither in any of `clip`, as in [`Canvas::difference`], nor in `regions`, which have holes.
    pub fn difference_with(
        &self,
        subject: &[Contour],
        clip: Vec<Contour>,
        regions: &[Region],
    ) -> Vec<Region> {
        let mut clip = wound(clip);
        clip.extend(self.rings(regions));
        self.down(run(subject, &clip, OverlayRule::Difference))
    }

    /// What of `subject` is in some of `clip`.
    pub fn intersection(&self, subject: &[Contour], clip: Vec<Contour>) -> Vec<Region> {
        self.down(run(subject, &wound(clip), OverlayRule::Intersect))
    }

    /// What of `subject` is in some of `regions`, which have holes.
    pub fn intersection_with(&self, subject: &[Contour], regions: &[Region]) -> Vec<Region> {
        self.down(run(subject, &self.rings(regions), OverlayRule::Intersect))
    }

    /// The union of regions that may overlap.
    pub fn union(&self, regions: &[Region]) -> Vec<Region> {
        self.down(run(&self.rings(regions), &[], OverlayRule::Subject))
    }

    /// What a ring that may cross itself encloses: everything wound round an odd number of times.
    pub fn enclosed(&self, ring: &[Pt]) -> Vec<Region> {
        let mut overlay = Overlay::new_custom(ring.len(), options(), Solver::default());
        overlay.add_contour(&self.ring(ring), ShapeType::Subject);
        self.down(overlay.overlay(OverlayRule::Subject, FillRule::EvenOdd))
    }

    /// Regions cut along lines. Both sides of a cut get the same corners.
    pub fn slice(&self, regions: &[Region], lines: &[Vec<Pt>]) -> Vec<Region> {
        let paths: Vec<Contour> = lines.iter().filter(|l| l.len() > 1).map(|l| self.ring(l)).collect();
        if paths.is_empty() {
            return regions.to_vec();
        }
        let shapes: IntShapes =
            regions.iter().map(|region| region.iter().map(|ring| self.ring(ring)).collect()).collect();
        // One by one: taken together, snapping would heal the cuts again.
        let parts = shapes.slice_by_paths(&paths, FillRule::NonZero);
        let mut regions: Vec<Region> = parts.into_iter().flat_map(|part| self.down(vec![part])).collect();
        regions.sort();
        regions
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
    fn up(&self, x: f64, y: f64) -> IntPoint {
        let fit = |value: f64, centre: i64| {
            let scaled = (value - centre as f64) * f64::from(self.scale);
            // Anything drawn outside the canvas is far from the deck: its edge will do.
            (scaled.clamp(-(2.0 * REACH as f64), 2.0 * REACH as f64)).round() as i32
        };
        IntPoint::new(fit(x, self.centre.x), fit(y, self.centre.y))
    }

    /// Snaps to whole mm, then mends what snapping may have made touch or cross.
    fn down(&self, shapes: IntShapes) -> Vec<Region> {
        let snapped: Vec<Contour> = shapes
            .iter()
            .flatten()
            .map(|ring| ring.iter().map(|p| IntPoint::new(self.snap(p.x), self.snap(p.y))).collect())
            .collect();
        let mut overlay = Overlay::new_custom(snapped.len() * 8, options(), Solver::default());
        overlay.add_contours(&snapped, ShapeType::Subject);
        let clean = overlay.overlay(OverlayRule::Subject, FillRule::NonZero);
        let mut regions: Vec<Region> =
            clean.iter().flat_map(|shape| untied(shape.iter().map(|ring| self.points(ring)))).collect();
        regions.sort();
        regions
    }

    fn points(&self, ring: &[IntPoint]) -> Points {
        let mut points: Points = ring
            .iter()
            .map(|p| Pt::new(i64::from(p.x) + self.centre.x, i64::from(p.y) + self.centre.y))
            .collect();
        points.dedup();
        points
    }

    fn snap(&self, value: i32) -> i32 {
        // Halves go up on both sides of zero: moving the job by whole mm then changes nothing.
        (value + self.scale / 2).div_euclid(self.scale)
    }
}

/// Contours turned anticlockwise, so that overlapping ones add up and do not cancel.
fn wound(mut contours: Vec<Contour>) -> Vec<Contour> {
    for contour in &mut contours {
        let area: i128 = contour
            .iter()
            .zip(contour.iter().cycle().skip(1))
            .map(|(a, b)| i128::from(a.x) * i128::from(b.y) - i128::from(a.y) * i128::from(b.x))
            .sum();
        if area < 0 {
            contour.reverse();
        }
    }
    contours
}

fn run(subject: &[Contour], clip: &[Contour], rule: OverlayRule) -> IntShapes {
    let mut overlay = Overlay::new_custom(subject.len() * 8 + clip.len() * 4, options(), Solver::default());
    overlay.add_contours(subject, ShapeType::Subject);
    overlay.add_contours(clip, ShapeType::Clip);
    overlay.overlay(rule, FillRule::NonZero)
}

/// Without the library's own OGC extraction: in 4.5.2 it loses a hole that touches the outer edge at a corner (the test
/// below). [`untied`] parts such rings instead.
fn options() -> IntOverlayOptions {
    IntOverlayOptions {
        preserve_input_collinear: false,
        output_direction: ContourDirection::CounterClockwise,
        preserve_output_collinear: false,
        min_output_area: 0,
        ogc: false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::ring::doubled_area_of;

    #[test]
    fn a_hole_that_touches_the_edge_at_a_corner_stays_a_hole() {
        let corners = [(0, 0), (20, 10), (20, 20), (30, 20), (20, 10), (40, 0), (40, 40), (0, 40)];
        let pinched: Region = vec![corners.iter().map(|&(x, y)| Pt::new(x, y)).collect()];
        let canvas = Canvas::new(Pt::new(0, 0), Pt::new(40, 40));
        let union = canvas.union(std::slice::from_ref(&pinched));
        assert_eq!(doubled_area_of(&union), doubled_area_of(&[pinched]));
        assert!(
            union
                .iter()
                .flatten()
                .all(|r| r.len() == r.iter().collect::<std::collections::BTreeSet<_>>().len())
        );
    }
}
