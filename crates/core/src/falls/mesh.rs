//! The surface of a deck as facets.
//!
//! In: [`super::surface`] makes it from levels. Out: points, facets and what lies beyond each edge. Every facet is
//! anticlockwise and has an area; the facets cover the deck once. At a step in level two points have one place. It knows no water.

/// What lies beyond an edge of a facet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beyond {
    /// Another facet.
    Facet(usize),
    /// An upstand: water runs along it.
    Wall,
    /// A free edge of the deck or opening with this id: water runs over it.
    Open(u32),
    /// A step down: water runs over its edge on to this facet, whose edge of this number is at the foot.
    Drop {
        /// The facet below.
        facet: usize,
        /// Its edge.
        edge: usize,
    },
    /// A step up: water runs along its foot. The facet and edge at the top.
    Rise {
        /// The facet above.
        facet: usize,
        /// Its edge.
        edge: usize,
    },
}

/// A place where water leaves at a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drain {
    /// Id of the outlet in the plan.
    pub id: u32,
    /// Its point of the mesh.
    pub point: usize,
    /// Level that water leaves at, mm: at or above the surface there.
    pub level: f64,
    /// Whether it only works when water stands on the deck: an overflow.
    pub overflow: bool,
}

/// The surface of one deck.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Id of the deck in the plan.
    pub deck: u32,
    /// Points, mm.
    pub at: Vec<[f64; 2]>,
    /// Their levels, mm.
    pub z: Vec<f64>,
    /// Facets: three points each, anticlockwise.
    pub facets: Vec<[usize; 3]>,
    /// What lies beyond edge `k` of each facet, from its corner `k` to the next.
    pub beyond: Vec<[Beyond; 3]>,
    /// Outlets that are open, blocked ones left out.
    pub drains: Vec<Drain>,
    /// Points one above the other at steps in the surface, the lower first.
    pub steps: Vec<[usize; 2]>,
}

impl Mesh {
    /// The points next to each point, in order: along edges, and up and down steps.
    pub fn neighbours(&self) -> Vec<Vec<usize>> {
        let mut beside = vec![Vec::new(); self.at.len()];
        let sides = self.facets.iter().flat_map(|t| (0..3).map(|k| [t[k], t[(k + 1) % 3]]));
        for [a, b] in sides.chain(self.steps.iter().copied()) {
            beside[a].push(b);
            beside[b].push(a);
        }
        for list in &mut beside {
            list.sort_unstable();
            list.dedup();
        }
        beside
    }

    /// Twice the area of a facet, mm2.
    pub fn doubled_area(&self, facet: usize) -> f64 {
        let [a, b, c] = self.facets[facet].map(|i| self.at[i]);
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    }

    /// Slope of a facet: how much its level grows for each mm along x and along y.
    pub fn slope(&self, facet: usize) -> [f64; 2] {
        let corners = self.facets[facet];
        let [a, b, c] = corners.map(|i| self.at[i]);
        let [za, zb, zc] = corners.map(|i| self.z[i]);
        let doubled = self.doubled_area(facet);
        let (zab, zac) = (zb - za, zc - za);
        [
            (zab * (c[1] - a[1]) - zac * (b[1] - a[1])) / doubled,
            (zac * (b[0] - a[0]) - zab * (c[0] - a[0])) / doubled,
        ]
    }

    /// Level of a facet's plane at a place, mm.
    pub fn level_on(&self, facet: usize, at: [f64; 2]) -> f64 {
        let a = self.facets[facet][0];
        let slope = self.slope(facet);
        self.z[a] + slope[0] * (at[0] - self.at[a][0]) + slope[1] * (at[1] - self.at[a][1])
    }
}
