//! The tools.
//!
//! In: places on the plan and keys. Out: changes to the plan. Each tool is a small machine of states; every state can
//! be cancelled and then leaves the plan as it found it.

pub(crate) mod draft;
pub(crate) mod entry;
pub(crate) mod made;

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
    /// Draw a plane of fall: its area or a whole deck, then the way water runs.
    Plane,
    /// Place a bay edge that is wanted.
    BayEdge,
    /// Look where the water of a place goes; changes nothing.
    Water,
    /// Look at the levels along a line; changes nothing.
    Section,
}

impl Tool {
    /// All tools, in the order of the tool list.
    pub const ALL: [Tool; 21] = [
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
        Tool::Plane,
        Tool::BayEdge,
        Tool::Water,
        Tool::Section,
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
            Tool::Plane => "Plane of fall",
            Tool::BayEdge => "Bay edge",
            Tool::Water => "Way of the water",
            Tool::Section => "Long section",
        }
    }

    /// What it draws.
    pub(crate) const fn form(self) -> Form {
        match self {
            Tool::Select | Tool::Pan => Form::Nothing,
            Tool::Deck | Tool::OpeningRing | Tool::Plane => Form::Ring,
            Tool::OpeningBox => Form::Box,
            Tool::Joint
            | Tool::ZoneLine
            | Tool::LevelChange
            | Tool::LowLine
            | Tool::Ridge
            | Tool::Section => Form::Line,
            Tool::Direction | Tool::Datum => Form::Stretch,
            Tool::Penetration
            | Tool::Outlet
            | Tool::Way
            | Tool::Melter
            | Tool::Spot
            | Tool::BayEdge
            | Tool::Water => Form::Place,
        }
    }

    /// Whether it draws anything.
    pub const fn draws(self) -> bool {
        !matches!(self.form(), Form::Nothing)
    }

    /// What to do next with it, when so many points are set.
    pub(crate) const fn hint(self, points: usize) -> &'static str {
        match (self, points) {
            (Tool::Select, _) => "Click a thing to select it; drag its handles, or type its sizes.",
            (Tool::Pan, _) => "Drag to move the view.",
            (Tool::Direction, 0) => "Click in the zone, where the direction starts.",
            (Tool::Direction, _) => "Click along the way the courses are to run.",
            (Tool::Datum, 0) => "Click the zero of the setting-out.",
            (Tool::Datum, _) => "Click a second point of the base line.",
            (Tool::OpeningBox, 0) => "Click one corner of the opening.",
            (Tool::OpeningBox, _) => "Click the opposite corner, or type width, Tab, depth, Enter.",
            (Tool::Penetration, _) => "Click its middle; type a diameter first to change it.",
            (Tool::Spot, _) => "Click where the level was taken; type the level first.",
            (Tool::BayEdge, _) => "Click where a bay edge is to run.",
            (Tool::Water, _) => "Click a place of the deck to see which way its water goes.",
            (Tool::Section, 0) => "Click where the section begins.",
            (Tool::Section, _) => "Click the next point; press Enter or double click to see the section.",
            (Tool::LowLine | Tool::Ridge, 0) => {
                "Type the level when it is known; click where the line begins."
            }
            (Tool::LowLine | Tool::Ridge, 1) => {
                "Type the level of the next point when it is known, then click it."
            }
            (Tool::Plane, 0) => {
                "Click the first corner of its part of the deck, or a point whose level is known."
            }
            (Tool::Plane, 1) => "Press Enter or click again for the whole deck; else click the next corner.",
            (Tool::Plane, 2) => "Click the next corner.",
            (Tool::Plane, _) => "Click the next corner; click the first corner or press Enter to close.",
            (Tool::Outlet, _) => "Click the middle of the outlet.",
            (Tool::Way, _) => "Click where people come on to the roof.",
            (Tool::Melter, _) => "Click where the melter stands.",
            (Tool::Deck | Tool::OpeningRing, 0) => "Click the first corner.",
            (Tool::Deck | Tool::OpeningRing, 1 | 2) => {
                "Click the next corner, or point the way and type the length of the side."
            }
            (Tool::Deck | Tool::OpeningRing, _) => {
                "Click the next corner or type its length; click the first corner or press Enter to close."
            }
            (_, 0) => "Click where the line begins.",
            (_, 1) => "Click the next point, or point the way and type the length.",
            (_, _) => "Click the next point; press Enter or double click to end the line.",
        }
    }
}

/// What a tool draws.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Form {
    /// Nothing.
    Nothing,
    /// A closed ring of three corners or more.
    Ring,
    /// A line of two points or more.
    Line,
    /// Two points exactly.
    Stretch,
    /// A rectangle by two opposite corners.
    Box,
    /// One place.
    Place,
}
