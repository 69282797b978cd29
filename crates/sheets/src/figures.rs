//! Figures as the sheets write them.
//!
//! In: whole mm and mm2. Out: whole numbers for millimetres, three decimals for metres, two for square metres, so that
//! the form of a figure tells its unit. Integer arithmetic only.

use baylap_core::plan::Mm;

/// Said once on every sheet that carries figures.
pub const UNITS: &str = "Whole numbers are millimetres; three decimals are metres; areas are in m². Work to figures, do not scale.";

/// A length in mm: a whole number without a unit.
pub fn mm(length: Mm) -> String {
    length.to_string()
}

/// A length in metres with three decimals: "126.400".
pub fn metres(length: Mm) -> String {
    let sign = if length < 0 { "-" } else { "" };
    let length = length.unsigned_abs();
    format!("{sign}{}.{:03}", length / 1000, length % 1000)
}

/// An area in square metres with two decimals: "27.65".
pub fn square_metres(area: i64) -> String {
    let sign = if area < 0 { "-" } else { "" };
    let hundredths = (area.unsigned_abs() + 5000) / 10_000;
    format!("{sign}{}.{:02}", hundredths / 100, hundredths % 100)
}

/// Hundredths as a decimal with no needless noughts: 1800 is "18", 450 is "4.5".
pub fn hundredths(value: i64) -> String {
    let sign = if value < 0 { "-" } else { "" };
    let value = value.unsigned_abs();
    let text = format!("{sign}{}.{:02}", value / 100, value % 100);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Thousandths of a degree as degrees: 90000 is "90°", 12345 is "12.345°".
pub fn degrees(mdeg: i32) -> String {
    let text = metres(Mm::from(mdeg));
    format!("{}°", text.trim_end_matches('0').trim_end_matches('.'))
}

/// Share of a whole in per cent with one decimal: "8.1 %"; "-" of nothing.
pub fn per_cent(part: i64, whole: i64) -> String {
    if whole <= 0 {
        return "-".to_owned();
    }
    let tenths = (i128::from(part) * 1000 + i128::from(whole) / 2).div_euclid(i128::from(whole));
    format!("{}.{} %", tenths / 10, tenths.rem_euclid(10))
}

/// A fall as 1 in so many: 12500 millionths are "1:80", 12000 are "1:83.3"; "level" when it is less than 1:9999.
pub fn fall(ppm: i64) -> String {
    if ppm <= 0 || 1_000_000 / ppm > 9999 {
        return "level".to_owned();
    }
    let tenths = (10_000_000 + ppm / 2) / ppm;
    // Beyond 1:100 a tenth says nothing.
    let (whole, rest) = if tenths < 1000 { (tenths / 10, tenths % 10) } else { ((tenths + 5) / 10, 0) };
    if rest == 0 { format!("1:{whole}") } else { format!("1:{whole}.{rest}") }
}

/// A flow in litres a second with two decimals, from thousandths: "2.76".
pub fn litres_per_second(thousandths: i64) -> String {
    let sign = if thousandths < 0 { "-" } else { "" };
    let hundredths = (thousandths.unsigned_abs() + 5) / 10;
    format!("{sign}{}.{:02}", hundredths / 100, hundredths % 100)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_form_of_a_figure_tells_its_unit() {
        // trade.md, section 6: whole numbers mean mm, three decimals mean m.
        assert_eq!(mm(12_000), "12000");
        assert_eq!(metres(126_400), "126.400");
        assert_eq!(metres(-75), "-0.075");
        assert_eq!(square_metres(27_645_000), "27.65");
        assert_eq!(hundredths(1800), "18");
        assert_eq!(hundredths(450), "4.5");
        assert_eq!(degrees(90_000), "90°");
        assert_eq!(per_cent(75, 925), "8.1 %");
        assert_eq!(per_cent(1, 0), "-");
    }

    #[test]
    fn falls_and_flows() {
        // trade.md, section 1, fall conversions: 1:40 is 2.5 %, 1:48 is 2.0833 %, 1:60 is 1.6667 %, 1:80 is 1.25 %.
        for (ppm, words) in [(25_000, "1:40"), (20_833, "1:48"), (16_667, "1:60"), (12_500, "1:80")] {
            assert_eq!(fall(ppm), words);
        }
        assert_eq!(
            [fall(12_450), fall(2000), fall(0), fall(-5), fall(50)],
            ["1:80.3", "1:500", "level", "level", "level"]
        );
        // trade.md, D5: 2.761 l/s.
        assert_eq!(litres_per_second(2761), "2.76");
    }
}
