//! Dew: how near a surface is to the temperature at which it grows damp.
//!
//! In: air temperature, relative humidity, surface temperature. Out: the dew point, and whether the surface keeps its
//! distance from it. Magnus formula. No rule about dew for hot-applied membranes was found (trade.md section 8); what is
//! published is that the deck be dry and free of frost (M8). The distance is a habit of coating work. Other limits are the
//! maker's. It measures nothing and forecasts nothing.

/// Constants of the Magnus formula over water (WMO-No. 8; trade.md section 8, from memory there).
const MAGNUS: (f64, f64) = (17.62, 243.12);

/// Distance that a surface is kept above the dew point, C: a habit of coating work, 5 F (2.8 C) on two published charts
/// and 3 C in metric use (trade.md section 8). For hot bitumen no such rule is published.
pub const MARGIN: f64 = 3.0;

/// What the distance comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Damp {
    /// The surface is at or below the dew point: it is or grows damp.
    Damp,
    /// It is above, by less than the distance kept.
    Near,
    /// It keeps its distance, but lies at or below freezing: look for frost.
    Frost,
    /// It keeps its distance.
    Clear,
}

/// Dew point, C, of air at a temperature, C, and a relative humidity, percent; none outside of what the formula holds for:
/// -40 to 60 C, over 0 to 100 percent.
pub fn dew_point(celsius: f64, humidity: f64) -> Option<f64> {
    let sound = (-40.0..=60.0).contains(&celsius) && humidity > 0.0 && humidity <= 100.0;
    let (a, b) = MAGNUS;
    let g = libm::log(humidity / 100.0) + a * celsius / (b + celsius);
    sound.then(|| b * g / (a - g))
}

/// How far a surface is above the dew point, C.
pub fn above(surface: f64, celsius: f64, humidity: f64) -> Option<f64> {
    dew_point(celsius, humidity).map(|dew| surface - dew)
}

/// What the distance of a surface from the dew point comes to.
pub fn judge(surface: f64, celsius: f64, humidity: f64) -> Option<Damp> {
    let above = above(surface, celsius, humidity)?;
    Some(if above <= 0.0 {
        Damp::Damp
    } else if above < MARGIN {
        Damp::Near
    } else if surface <= 0.0 {
        Damp::Frost
    } else {
        Damp::Clear
    })
}

#[cfg(test)]
mod tests {
    //! Values of trade.md section 8.
    use super::*;

    /// Derived values of trade.md section 8 (WMO-No. 8 constants), to 0.01 C.
    #[test]
    fn dew_points() {
        for (celsius, humidity, dew) in [
            (20.0, 65.0, 13.22),
            (20.0, 50.0, 9.26),
            (10.0, 80.0, 6.71),
            (15.0, 85.0, 12.50),
            (25.0, 60.0, 16.69),
            (5.0, 90.0, 3.50),
            (2.0, 95.0, 1.28),
        ] {
            let found = dew_point(celsius, humidity).expect("within the formula");
            assert!((found - dew).abs() <= 0.0051, "{celsius} C, {humidity} %: {found}");
        }
        for celsius in [-10.0, 0.0, 17.5, 30.0] {
            let found = dew_point(celsius, 100.0).expect("within the formula");
            assert!((found - celsius).abs() < 1e-9, "saturated air is at its dew point: {found}");
        }
    }

    /// Published charts, trade.md section 8: 70 F at 65 % gives 57 F, 80 F at 50 % gives 59 F; read to 1 F.
    #[test]
    fn charts_in_fahrenheit() {
        let celsius = |f: f64| (f - 32.0) / 1.8;
        for (air, humidity, dew) in [(70.0, 65.0, 57.0), (80.0, 50.0, 59.0)] {
            let found = dew_point(celsius(air), humidity).expect("within the formula") * 1.8 + 32.0;
            assert!((found - dew).abs() <= 1.0, "{air} F, {humidity} %: {found}");
        }
    }

    #[test]
    fn the_margin() {
        // 20 C at 65 %: dew point 13.22 C.
        assert_eq!(judge(13.2, 20.0, 65.0), Some(Damp::Damp));
        assert_eq!(judge(16.2, 20.0, 65.0), Some(Damp::Near));
        assert_eq!(judge(16.3, 20.0, 65.0), Some(Damp::Clear));
        assert_eq!(judge(-1.0, -1.0, 60.0), Some(Damp::Frost));
        for (celsius, humidity) in
            [(20.0, 0.0), (20.0, 100.1), (70.0, 50.0), (f64::NAN, 50.0), (20.0, f64::NAN)]
        {
            assert_eq!(dew_point(celsius, humidity), None, "{celsius} {humidity}");
        }
    }
}
