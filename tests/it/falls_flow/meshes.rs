//! Surfaces made by hand for the tests of flow: grids of facets with known or random levels.
//!
//! In: sizes, levels, drains, what stands along each side. Out: meshes. Nothing here knows how water runs.

use baylap_core::falls::mesh::{Beyond, Drain, Mesh};
use std::collections::BTreeMap;

/// Numbers drawn by lot, the same in every run.
pub(super) struct Lot(pub(super) u64);

impl Lot {
    /// From 0 up to, not including, 1.
    pub(super) fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A whole number below `count`.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub(super) fn below(&mut self, count: usize) -> usize {
        (self.share() * count as f64) as usize
    }
}

/// A mesh from points and facets; `side` says what lies beyond an edge that has no other facet.
pub(super) fn mesh(
    at: Vec<[f64; 2]>,
    z: Vec<f64>,
    facets: Vec<[usize; 3]>,
    side: impl Fn([f64; 2], [f64; 2]) -> Beyond,
) -> Mesh {
    let mut owner = BTreeMap::new();
    for (f, corners) in facets.iter().enumerate() {
        for k in 0..3 {
            owner.insert((corners[k], corners[(k + 1) % 3]), f);
        }
    }
    let beyond = facets
        .iter()
        .map(|corners| {
            [0, 1, 2].map(|k| {
                let (a, b) = (corners[k], corners[(k + 1) % 3]);
                owner.get(&(b, a)).map_or_else(|| side(at[a], at[b]), |&f| Beyond::Facet(f))
            })
        })
        .collect();
    Mesh { deck: 1, at, z, facets, beyond, ..Mesh::default() }
}

/// A grid of `nx` by `ny` cells over a rectangle, inner points moved and diagonals chosen by lot.
pub(super) struct Grid {
    pub(super) nx: usize,
    pub(super) ny: usize,
    pub(super) width: f64,
    pub(super) height: f64,
    /// How far points are moved, as a share of a cell; below a quarter one diagonal of each cell is always sound.
    pub(super) moved: f64,
}

impl Grid {
    pub(super) fn points(&self, lot: &mut Lot) -> Vec<[f64; 2]> {
        let (dx, dy) = (self.width / self.nx as f64, self.height / self.ny as f64);
        let mut at = Vec::new();
        for j in 0..=self.ny {
            for i in 0..=self.nx {
                let mut place = [i as f64 * dx, j as f64 * dy];
                if i > 0 && i < self.nx {
                    place[0] += (lot.share() - 0.5) * 2.0 * self.moved * dx;
                }
                if j > 0 && j < self.ny {
                    place[1] += (lot.share() - 0.5) * 2.0 * self.moved * dy;
                }
                at.push(place);
            }
        }
        at
    }

    pub(super) fn facets(&self, at: &[[f64; 2]], lot: &mut Lot) -> Vec<[usize; 3]> {
        let sound = |f: &[usize; 3]| {
            let [a, b, c] = f.map(|p| at[p]);
            (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) > 0.0
        };
        let mut facets = Vec::new();
        for j in 0..self.ny {
            for i in 0..self.nx {
                let a = j * (self.nx + 1) + i;
                let (b, c, d) = (a + 1, a + self.nx + 2, a + self.nx + 1);
                let ways = [[[a, b, c], [a, c, d]], [[a, b, d], [b, c, d]]];
                let first = usize::from(lot.share() < 0.5);
                let way = if ways[first].iter().all(sound) { first } else { 1 - first };
                assert!(ways[way].iter().all(sound), "one diagonal is sound");
                facets.extend(ways[way]);
            }
        }
        facets
    }

    /// A surface with levels of a function of the place.
    pub(super) fn surface(
        &self,
        lot: &mut Lot,
        level: impl FnMut([f64; 2]) -> f64,
        side: impl Fn([f64; 2], [f64; 2]) -> Beyond,
    ) -> Mesh {
        let at = self.points(lot);
        let facets = self.facets(&at, lot);
        let z = at.iter().copied().map(level).collect();
        mesh(at, z, facets, side)
    }
}

/// A drain flush with the surface at the point nearest to a place.
pub(super) fn drain(mesh: &Mesh, id: u32, place: [f64; 2]) -> Drain {
    let far = |p: usize| {
        let (x, y) = (mesh.at[p][0] - place[0], mesh.at[p][1] - place[1]);
        x * x + y * y
    };
    let point = (0..mesh.at.len()).min_by(|&a, &b| far(a).total_cmp(&far(b))).unwrap();
    Drain { id, point, level: mesh.z[point], overflow: false }
}

/// A random surface: a general fall and bumps, some sides open, some drains.
pub(super) fn random(seed: u64) -> Mesh {
    let mut lot = Lot(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) + 1);
    let grid = Grid { nx: 3 + lot.below(6), ny: 3 + lot.below(5), width: 800.0, height: 600.0, moved: 0.24 };
    let (gx, gy) = ((lot.share() - 0.5) * 0.4, (lot.share() - 0.5) * 0.4);
    let bump = lot.share() * 80.0;
    let open: Vec<bool> = (0..4).map(|_| lot.share() < 0.3).collect();
    let mut noise = Lot(seed + 77);
    let mut found = grid.surface(
        &mut lot,
        |p| gx * p[0] + gy * p[1] + bump * noise.share(),
        |a, b| {
            let (x, y) = (a[0] + b[0], a[1] + b[1]);
            let on = [y < 1e-6, x > 1600.0 - 1e-6, y > 1200.0 - 1e-6, x < 1e-6];
            match (0..4).find(|&n| on[n] && open[n]) {
                Some(n) => Beyond::Open(101 + u32::try_from(n).unwrap()),
                None => Beyond::Wall,
            }
        },
    );
    for id in 0..lot.below(4) {
        let place = [lot.share() * 800.0, lot.share() * 600.0];
        let new = drain(&found, 1 + u32::try_from(id).unwrap(), place);
        if found.drains.iter().all(|d| d.point != new.point) {
            found.drains.push(new);
        }
    }
    found
}
