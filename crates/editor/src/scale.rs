//! The scale bar: a round length and how long it is on the surface.
//!
//! In: the camera's scale and the room there is. Out: a length of 1, 2 or 5 times a power of ten. It draws nothing.

use baylap_core::plan::Mm;

/// The longest round length (1, 2 or 5 and noughts, in mm, at least 1 mm) that takes at most `widest` pixels, with its
/// pixels; 1 mm when even that is wider.
#[allow(clippy::cast_precision_loss)]
pub fn bar(px_per_mm: f64, widest: f64) -> (Mm, f64) {
    let steps = (0..11).flat_map(|n| [1, 2, 5].map(|d| d * 10_i64.pow(n)));
    let fits = |mm: &Mm| *mm as f64 * px_per_mm <= widest;
    let mm = steps.take_while(fits).last().unwrap_or(1);
    (mm, mm as f64 * px_per_mm)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bar_is_round_and_fits() {
        // 0.04 px per mm: 120 px are 3 m, so the bar is 2 m.
        assert_eq!(bar(0.04, 120.0).0, 2_000);
        assert_eq!(bar(0.05, 100.0).0, 2_000, "just fits");
        assert_eq!(bar(1.0, 99.0).0, 50);
        for scale in [3e-5, 0.001, 0.04, 0.7, 20.0] {
            let (mm, px) = bar(scale, 120.0);
            assert!(px <= 120.0 && px > 120.0 / 2.6, "{mm} mm at {scale}");
        }
    }
}
