//! Which layers of falls and drainage are drawn.
//!
//! In: switches of a person, or what a sheet shows. Out: a set. It must hold that a layer is drawn or not whatever the
//! others are. It draws nothing.

/// A layer of falls and drainage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FallLayer {
    /// Where the deck falls back, lies flat or falls too little.
    Classes,
    /// Which way water runs, and how steeply.
    Arrows,
    /// Lines of equal level.
    Contours,
    /// Ponds.
    Ponds,
    /// Borders of catchments.
    Catchments,
    /// Low lines and ridges of the surface.
    Lines,
    /// What outlets have to take.
    Outlets,
    /// Edges and laps in bad places.
    Seams,
    /// Levels put in.
    Levels,
}

impl FallLayer {
    /// Every layer, in the order that a person is shown them.
    pub const ALL: [FallLayer; 9] = [
        FallLayer::Arrows,
        FallLayer::Classes,
        FallLayer::Contours,
        FallLayer::Levels,
        FallLayer::Lines,
        FallLayer::Ponds,
        FallLayer::Catchments,
        FallLayer::Outlets,
        FallLayer::Seams,
    ];

    /// Its name on screen.
    pub const fn name(self) -> &'static str {
        match self {
            FallLayer::Classes => "Classes of fall",
            FallLayer::Arrows => "Fall arrows",
            FallLayer::Contours => "Contours",
            FallLayer::Ponds => "Ponds",
            FallLayer::Catchments => "Catchments",
            FallLayer::Lines => "Low lines, ridges",
            FallLayer::Outlets => "Outlet flows",
            FallLayer::Seams => "Bad edges, laps",
            FallLayer::Levels => "Levels",
        }
    }

    const fn bit(self) -> u16 {
        1 << (self as u16)
    }
}

/// A set of layers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct FallLayers(u16);

impl FallLayers {
    /// No layer.
    pub const NONE: FallLayers = FallLayers(0);
    /// The levels put in and nothing that follows from them: what the setting-out sheet shows.
    pub const LEVELS: FallLayers = FallLayers(FallLayer::Levels.bit());
    /// Every layer.
    pub const ALL: FallLayers = FallLayers((1 << FallLayer::ALL.len()) - 1);

    /// Whether a layer is in it.
    pub const fn has(self, layer: FallLayer) -> bool {
        self.0 & layer.bit() != 0
    }

    /// The same set with one layer switched over.
    #[must_use]
    pub const fn switched(self, layer: FallLayer) -> Self {
        Self(self.0 ^ layer.bit())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_layer_is_switched_by_itself() {
        for layer in FallLayer::ALL {
            let set = FallLayers::ALL.switched(layer);
            let left: Vec<FallLayer> = FallLayer::ALL.into_iter().filter(|l| !set.has(*l)).collect();
            assert_eq!(left, [layer]);
            assert_eq!(set.switched(layer), FallLayers::ALL);
        }
        assert!(FallLayers::LEVELS.has(FallLayer::Levels) && !FallLayers::LEVELS.has(FallLayer::Ponds));
    }
}
