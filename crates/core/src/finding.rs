//! Findings: what the program has to say about a plan, as data with a place.
//!
//! In: nothing; every stage makes its own. Out: a code, a severity, what it is about, where, one sentence that says
//! what is wrong and one that says what to do. A finding never stops the stages after it, and never is a panic.

use crate::geom::Pt;
use serde::{Deserialize, Serialize};

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// The plan or the layout breaks a law; part of the roof could not be planned.
    Error,
    /// It can be laid as planned, but somebody should look.
    Warning,
    /// Worth knowing.
    Note,
}

/// What a finding is about.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum About {
    /// The job as a whole.
    Job,
    /// A thing in the plan, by its id.
    Plan(u32),
    /// Edge `edge` (counted from 0) of the ring of a thing in the plan.
    Edge {
        /// Id of the deck, opening or penetration.
        id: u32,
        /// Edge number: from corner `edge` to the next.
        edge: u32,
    },
    /// A zone of the layout, by its number.
    Zone(u32),
    /// A bay of the layout, by its number.
    Bay(u32),
    /// A piece of the layout, by its number.
    Piece(u32),
    /// A field of the plan's settings, by its path in the plan file, e.g. `products.rolls[0].width`.
    Setting(String),
}

/// One finding.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// Short name of the kind of finding, lower case with hyphens, stable across versions.
    pub code: String,
    /// What it is about.
    pub about: About,
    /// Where on the plan, when it has a place.
    pub at: Option<Pt>,
    /// One sentence: what is wrong.
    pub text: String,
    /// One sentence: what to do.
    pub mend: String,
}

impl Finding {
    /// An error without a place; add one with [`Finding::at`].
    pub fn error(code: &str, about: About, text: impl Into<String>, mend: impl Into<String>) -> Self {
        Self::new(Severity::Error, code, about, text, mend)
    }

    /// A warning without a place; add one with [`Finding::at`].
    pub fn warning(code: &str, about: About, text: impl Into<String>, mend: impl Into<String>) -> Self {
        Self::new(Severity::Warning, code, about, text, mend)
    }

    /// A note without a place; add one with [`Finding::at`].
    pub fn note(code: &str, about: About, text: impl Into<String>, mend: impl Into<String>) -> Self {
        Self::new(Severity::Note, code, about, text, mend)
    }

    /// The same finding with a place.
    #[must_use]
    pub fn at(mut self, place: Pt) -> Self {
        self.at = Some(place);
        self
    }

    fn new(
        severity: Severity,
        code: &str,
        about: About,
        text: impl Into<String>,
        mend: impl Into<String>,
    ) -> Self {
        Self { severity, code: code.to_owned(), about, at: None, text: text.into(), mend: mend.into() }
    }
}
