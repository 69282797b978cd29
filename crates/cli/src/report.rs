//! The words of a result: one line a plan, and its findings in lines.
//!
//! In: a layout. Out: text. It judges nothing: severities come from the engine.

use baylap_core::{Finding, Layout, Severity};
use std::fmt::Write;

/// One line: bays, pieces, rolls, waste, findings.
pub(crate) fn line(name: &str, layout: &Layout) -> String {
    let totals = &layout.totals;
    let least =
        if totals.proved { "the least".to_owned() } else { format!("{} at least", totals.rolls_least) };
    format!(
        "{name}: {}, {}, {} ({least}), {}; {}\n",
        counted(totals.bays, "bay"),
        counted(totals.pieces, "piece"),
        counted(totals.rolls, "roll"),
        waste(layout),
        severities(&layout.findings),
    )
}

/// The findings of a plan, two lines each.
pub(crate) fn findings(layout: &Layout) -> String {
    let mut out = String::new();
    for finding in &layout.findings {
        let place = finding.at.map(|p| format!(" at ({}, {})", p.x, p.y)).unwrap_or_default();
        let severity = severity_text(finding.severity);
        // Writing to a text cannot fail.
        let _ =
            writeln!(out, "  {severity} [{}]{place}: {}\n    {}", finding.code, finding.text, finding.mend);
    }
    out
}

/// What is wrong, counted by severity.
pub(crate) fn severities(findings: &[Finding]) -> String {
    let count = |severity| findings.iter().filter(|f| f.severity == severity).count();
    let parts: Vec<String> = [Severity::Error, Severity::Warning, Severity::Note]
        .into_iter()
        .map(|severity| (count(severity), severity_text(severity)))
        .filter(|&(count, _)| count > 0)
        .map(|(count, word)| counted(u32::try_from(count).unwrap_or(u32::MAX), word))
        .collect();
    if parts.is_empty() { "no findings".to_owned() } else { parts.join(", ") }
}

fn severity_text(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    }
}

fn counted(count: u32, word: &str) -> String {
    if count == 1 { format!("1 {word}") } else { format!("{count} {word}s") }
}

/// Waste as percent of the rolls opened; what is kept as offcuts is told apart.
fn waste(layout: &Layout) -> String {
    let (rolls, waste) = (layout.totals.roll_area, layout.totals.waste);
    let [laps, lost, kept] =
        [waste.laps, waste.trim + waste.scrap, waste.offcuts].map(|area| percent(area, rolls));
    format!("waste {lost} %, laps {laps} %, offcuts kept {kept} %")
}

/// A share in percent, to a tenth, rounded half up.
fn percent(part: i64, whole: i64) -> String {
    if whole <= 0 {
        return "0.0".to_owned();
    }
    let tenths = (i128::from(part) * 2000 + i128::from(whole)) / (2 * i128::from(whole));
    format!("{}.{}", tenths / 10, tenths % 10)
}

#[cfg(test)]
mod tests {
    //! Results in words.
    use super::*;
    use baylap_core::About;
    use baylap_core::geom::Pt;
    use baylap_core::layout::{Totals, Waste};

    fn layout() -> Layout {
        let waste = Waste { laps: 75, trim: 20, scrap: 6, offcuts: 40 };
        let totals = Totals {
            bays: 1,
            pieces: 13,
            rolls: 3,
            rolls_least: 2,
            roll_area: 1000,
            waste,
            ..Totals::default()
        };
        let finding = Finding::warning("no-way", About::Job, "No way off.", "Draw one.").at(Pt::new(-5, 7));
        Layout { totals, findings: vec![finding], ..Layout::default() }
    }

    #[test]
    fn one_line_tells_the_result() {
        assert_eq!(
            line("a.json", &layout()),
            "a.json: 1 bay, 13 pieces, 3 rolls (2 at least), waste 2.6 %, laps 7.5 %, offcuts kept 4.0 %; 1 warning\n"
        );
        let proved =
            Layout { totals: Totals { proved: true, rolls: 1, ..Totals::default() }, ..Layout::default() };
        assert_eq!(
            line("b", &proved),
            "b: 0 bays, 0 pieces, 1 roll (the least), waste 0.0 %, laps 0.0 %, offcuts kept 0.0 %; no findings\n"
        );
    }

    #[test]
    fn findings_say_what_where_and_what_to_do() {
        assert_eq!(findings(&layout()), "  warning [no-way] at (-5, 7): No way off.\n    Draw one.\n");
    }
}
