//! How the details are made, as far as it decides what they take: strips over joints, bars along upstands, pitch pockets.
//!
//! In: edits and files. Out: plain data. No published norm was found for any of these: where one is absent an example
//! stands in ([`crate::rates`]), named as such in the result. The maker's details override every one of them.

use super::Mm;
use serde::{Deserialize, Serialize};

/// How details are made.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Detailing {
    /// Girth of the uncured elastomeric strip over movement joints, its loop and both wings, mm.
    pub joint_girth: Option<Mm>,
    /// Centres of the fixings of the termination bar, mm.
    pub bar_centres: Option<Mm>,
    /// Depth that pitch pockets are filled to, mm.
    pub pocket_depth: Option<Mm>,
}
