//! The plane that fits levels best, by least squares.
//!
//! In: places with levels, counted from a place of interest. Out: the plane, none where the places are too few or in line.

/// A plane: its level at the place that others were counted from, and how much it rises for each mm along x and y.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Plane {
    pub(super) level: f64,
    pub(super) slope: [f64; 2],
}

/// Fits a plane to places (x, y, level).
#[allow(clippy::cast_precision_loss)]
pub(super) fn fitted(points: &[[f64; 3]]) -> Option<Plane> {
    if points.len() < 3 {
        return None;
    }
    let count = points.len() as f64;
    let mean = [0, 1, 2].map(|k| points.iter().map(|p| p[k]).sum::<f64>() / count);
    let sum = |j: usize, k: usize| points.iter().map(|p| (p[j] - mean[j]) * (p[k] - mean[k])).sum::<f64>();
    let (xx, xy, yy, xz, yz) = (sum(0, 0), sum(0, 1), sum(1, 1), sum(0, 2), sum(1, 2));
    let spread = xx * yy - xy * xy;
    if spread <= 1e-3 * xx * yy || spread <= 0.0 {
        return None;
    }
    let slope = [(xz * yy - yz * xy) / spread, (yz * xx - xz * xy) / spread];
    Some(Plane { level: mean[2] - slope[0] * mean[0] - slope[1] * mean[1], slope })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plane_fits_itself_and_a_line_fits_none() {
        let on = |x: f64, y: f64| [x, y, 7.0 + x / 40.0 - y / 80.0];
        let plane =
            fitted(&[on(0.0, 5.0), on(900.0, 0.0), on(300.0, 400.0), on(-80.0, 33.0)]).expect("a plane");
        assert!((plane.level - 7.0).abs() < 1e-9 && (plane.slope[0] - 0.025).abs() < 1e-12);
        assert!((plane.slope[1] + 0.0125).abs() < 1e-12);
        assert_eq!(fitted(&[on(0.0, 0.0), on(10.0, 10.0), on(30.0, 30.0)]), None);
        assert_eq!(fitted(&[on(0.0, 0.0), on(10.0, 0.0)]), None);
    }
}
