//! The tools.
//!
//! In: places on the plan and keys. Out: changes to the plan. Each tool is a small machine of states; every state can
//! be cancelled and then leaves the plan as it found it.

use serde::{Deserialize, Serialize};

/// A tool.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Tool {
    /// Select things; drag corners, edges and things.
    #[default]
    Select,
    /// Move the view.
    Pan,
    /// Draw the outline of a deck, corner by corner.
    Deck,
    /// Draw a rectangular opening by two corners.
    OpeningBox,
    /// Draw an opening corner by corner.
    OpeningRing,
    /// Place a round penetration.
    Penetration,
    /// Place a rainwater outlet.
    Outlet,
    /// Draw a movement joint.
    Joint,
    /// Draw a line that ends a zone.
    ZoneLine,
    /// Draw a line where the deck changes level.
    LevelChange,
    /// Set the laying direction of a zone: its place, then along a line.
    Direction,
    /// Place a way on and off the roof.
    Way,
    /// Place a melter.
    Melter,
    /// Draw the datum: zero, then along the base line.
    Datum,
    /// Place a spot level.
    Spot,
    /// Draw a low line.
    LowLine,
    /// Draw a ridge.
    Ridge,
}

impl Tool {
    /// All tools, in the order of the tool list.
    pub const ALL: [Tool; 17] = [
        Tool::Select,
        Tool::Pan,
        Tool::Deck,
        Tool::OpeningBox,
        Tool::OpeningRing,
        Tool::Penetration,
        Tool::Outlet,
        Tool::Joint,
        Tool::ZoneLine,
        Tool::LevelChange,
        Tool::Direction,
        Tool::Way,
        Tool::Melter,
        Tool::Datum,
        Tool::Spot,
        Tool::LowLine,
        Tool::Ridge,
    ];

    /// Its name on screen.
    pub const fn name(self) -> &'static str {
        match self {
            Tool::Select => "Select and move",
            Tool::Pan => "Move the view",
            Tool::Deck => "Deck outline",
            Tool::OpeningBox => "Rectangular opening",
            Tool::OpeningRing => "Opening, corner by corner",
            Tool::Penetration => "Penetration",
            Tool::Outlet => "Outlet",
            Tool::Joint => "Movement joint",
            Tool::ZoneLine => "Zone line",
            Tool::LevelChange => "Change of level",
            Tool::Direction => "Laying direction",
            Tool::Way => "Way off",
            Tool::Melter => "Melter",
            Tool::Datum => "Datum",
            Tool::Spot => "Spot level",
            Tool::LowLine => "Low line",
            Tool::Ridge => "Ridge",
        }
    }
}
