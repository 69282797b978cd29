//! The rule sets that falls are judged by, each with its edition, its figures and where they come from.
//!
//! In: the settings of the plan. Out: the rule used. A figure whose document was not read says so; none is a requirement
//! of this program, and a project value is always allowed.

use crate::layout::falls::RuleUsed;
use crate::plan::{Drainage, FallRule};

/// A rule set as published.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Published {
    /// Which.
    pub rule: FallRule,
    /// Its name with its edition.
    pub name: &'static str,
    /// Least finished fall, millionths.
    pub least_ppm: i64,
    /// Fall wanted by design, millionths.
    pub design_ppm: i64,
    /// Where the figures come from and how sure they are.
    pub source: &'static str,
}

/// Every published rule set.
pub const PUBLISHED: &[Published] = &[
    Published {
        rule: FallRule::Bs6229,
        name: "BS 6229:2018",
        least_ppm: 12_500,
        design_ppm: 25_000,
        source: "Finished fall at least 1:80, designed at 1:40: BS 6229:2018 as several trade pages report it, the standard itself not read; a 2025 edition has replaced it and was not seen.",
    },
    Published {
        rule: FallRule::Bs6229ZeroFall,
        name: "BS 6229:2018, zero falls",
        least_ppm: 0,
        design_ppm: 12_500,
        source: "Any finished fall from level to 1:80 without back-falls, designed at 1:80: BS 6229:2018 as the trade press and warranty bodies report it, the standard itself not read; a 2025 edition has replaced it and was not seen.",
    },
    Published {
        rule: FallRule::Din18531,
        name: "DIN 18531-1",
        least_ppm: 20_000,
        design_ppm: 20_000,
        source: "Planned fall at least 2 %: DIN 18531-1, 6.3.1 as a building-knowledge page reports it, edition and standard itself not read; it is the planned fall that is specified, and puddles are expected up to about 5 %.",
    },
    Published {
        rule: FallRule::As4654,
        name: "AS 4654.2:2012",
        least_ppm: 10_000,
        design_ppm: 10_000,
        source: "At least 1:100: AS 4654.2:2012 as trade pages report it, the standard itself not read; it names no design fall, so the least stands for it.",
    },
    Published {
        rule: FallRule::Ibc1507,
        name: "IBC 1507.10 to 1507.15",
        least_ppm: 20_833,
        design_ppm: 20_833,
        source: "Design slope at least 1/4 in in 12 in (1:48; the code prints 2 %): IBC sections 1507.10 to 1507.15, text read, edition not noted; it names no greater design slope, so the least stands for it.",
    },
    Published {
        rule: FallRule::MilHdbk1001,
        name: "MIL-HDBK-1001/5, plaza decks",
        least_ppm: 20_833,
        design_ppm: 41_667,
        source: "Plaza decks at least 1/4 in to the foot, 1/2 in preferred, in the base slab: MIL-HDBK-1001/5, 14.3.1, text read.",
    },
];

/// The rule that a plan is judged by.
pub fn used(drainage: &Drainage) -> RuleUsed {
    let flat_ppm = one_in(drainage.flat_one_in);
    match PUBLISHED.iter().find(|p| p.rule == drainage.rule) {
        Some(p) => RuleUsed {
            rule: p.rule,
            name: p.name.to_owned(),
            source: p.source.to_owned(),
            least_ppm: p.least_ppm,
            design_ppm: p.design_ppm,
            flat_ppm,
        },
        None => RuleUsed {
            rule: FallRule::Project,
            name: "Project values".to_owned(),
            source: "Least and design fall as entered for this project.".to_owned(),
            least_ppm: one_in(drainage.least_one_in),
            // A design fall under the least would leave falls that are neither.
            design_ppm: one_in(drainage.design_one_in).max(one_in(drainage.least_one_in)),
            flat_ppm,
        },
    }
}

/// A fall of 1 in so many, millionths; 0 is level.
pub fn one_in(run: u32) -> i64 {
    let run = i64::from(run);
    if run == 0 { 0 } else { (1_000_000 + run / 2) / run }
}

/// A fall as people write it.
pub fn written(ppm: i64) -> String {
    if ppm <= 0 { "level".to_owned() } else { format!("1:{}", (1_000_000 + ppm / 2) / ppm) }
}
