//! Weather held against the dew point.
//!
//! In: air temperature, humidity and, where it was read, the temperature of the deck. Out: one sentence. The margin of
//! 3 degrees is a habit of coating work in general, no rule of any standard for hot bitumen; "dry and free of frost" is the
//! published one.

use super::judge::{Judged, Verdict};
use crate::dew;

/// Dew point, tenths of a degree, of air of so many tenths at so many per cent; none where the formula does not hold.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
fn dew_point(air: i64, humidity: i64) -> Option<i64> {
    let dew = dew::dew_point(air as f64 / 10.0, humidity as f64)?;
    Some(libm::round(dew * 10.0) as i64)
}

/// The margin that is kept above the dew point, tenths of a degree.
#[allow(clippy::cast_possible_truncation)]
fn margin() -> i64 {
    libm::round(dew::MARGIN * 10.0) as i64
}

pub(super) fn judge(air: i64, humidity: i64, deck: Option<i64>) -> Judged {
    let Some(dew) = dew_point(air, humidity) else {
        let text =
            "No dew point is known for air of this temperature and humidity: read the instrument again."
                .to_owned();
        return Judged { verdict: Verdict::Doubtful, text };
    };
    let (surface, what) = deck.map_or((air, "air"), |d| (d, "deck"));
    let above = surface - dew;
    let head = format!("The dew point is {} C, and the {what} at {} C is", tenths(dew), tenths(surface));
    let (verdict, rest) = if above <= 0 {
        (Verdict::Failed, "not above it: the deck is or will be wet, so wait and dry it.".to_owned())
    } else if surface <= 0 {
        (
            Verdict::Doubtful,
            format!("{} above it, but at frost: make sure that the deck is free of ice.", tenths(above)),
        )
    } else if above < margin() {
        (
            Verdict::Doubtful,
            format!("only {} above it: by habit 3 C are kept, so wait, or look at the deck.", tenths(above)),
        )
    } else if deck.is_none() {
        (
            Verdict::Sound,
            format!("{} above it, the habit being 3; a deck may be colder than the air.", tenths(above)),
        )
    } else {
        (Verdict::Sound, format!("{} above it, the habit being 3.", tenths(above)))
    };
    Judged { verdict, text: format!("{head} {rest}") }
}

fn tenths(value: i64) -> String {
    let sign = if value < 0 { "-" } else { "" };
    let size = value.unsigned_abs();
    format!("{sign}{}.{}", size / 10, size % 10)
}

#[cfg(test)]
mod tests {
    //! Dew points by table (the Magnus formula worked out by hand, constants of WMO-No. 8 from memory), and sentences.
    use super::*;

    #[test]
    fn dew_points() {
        for (air, humidity, dew) in [
            (200, 65, 132),
            (200, 50, 93),
            (100, 80, 67),
            (150, 85, 125),
            (250, 60, 167),
            (50, 90, 35),
            (20, 95, 13),
        ] {
            assert_eq!(dew_point(air, humidity), Some(dew), "{air} {humidity}");
        }
        for air in [-100, 0, 125, 300] {
            assert_eq!(dew_point(air, 100), Some(air), "saturated air is at its dew point");
        }
        assert_eq!(dew_point(200, 0), None);
    }

    #[test]
    fn sentences() {
        let said = |air, humidity, deck| {
            let judged = judge(air, humidity, deck);
            (judged.verdict, judged.text)
        };
        let text = |s: &str| s.to_owned();
        assert_eq!(
            said(200, 65, Some(165)),
            (
                Verdict::Sound,
                text("The dew point is 13.2 C, and the deck at 16.5 C is 3.3 above it, the habit being 3.")
            )
        );
        assert_eq!(
            said(200, 65, Some(150)),
            (
                Verdict::Doubtful,
                text(
                    "The dew point is 13.2 C, and the deck at 15.0 C is only 1.8 above it: by habit 3 C are kept, so wait, or look at the deck."
                )
            )
        );
        assert_eq!(said(200, 65, Some(120)).0, Verdict::Failed);
        assert_eq!(said(-20, 50, Some(-10)).0, Verdict::Doubtful);
        assert!(said(200, 65, None).1.ends_with("a deck may be colder than the air."));
    }
}
