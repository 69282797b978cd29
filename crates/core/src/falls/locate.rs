//! Which facet a place is on.
//!
//! In: a mesh. Out: for a place, the facet that holds it. Facets are looked up by square cells about as large as a facet,
//! so that a look costs little however many there are.

use super::mesh::Mesh;
use super::triangles::doubled;

/// A place this far outside a facet, mm, still counts as on its edge.
const NEAR: f64 = 1e-6;

/// A mesh with its facets by place.
#[derive(Clone, Debug)]
pub struct Places {
    mesh: Mesh,
    lo: [f64; 2],
    /// Side of a cell, mm.
    side: f64,
    columns: usize,
    rows: usize,
    /// Where the facets of each cell start in `facets`.
    starts: Vec<usize>,
    facets: Vec<usize>,
}

impl Places {
    /// Makes a mesh ready to be looked at by place.
    #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub fn of(mesh: Mesh) -> Self {
        let corners = || mesh.facets.iter().flatten().map(|&n| mesh.at[n]);
        let fold = |k: usize, of: fn(f64, f64) -> f64, from: f64| corners().map(|p| p[k]).fold(from, of);
        let lo = [fold(0, f64::min, f64::INFINITY), fold(1, f64::min, f64::INFINITY)];
        let hi = [fold(0, f64::max, f64::NEG_INFINITY), fold(1, f64::max, f64::NEG_INFINITY)];
        let size = [0, 1].map(|k| (hi[k] - lo[k]).max(1.0));
        let wanted = (mesh.facets.len().max(1) as f64).sqrt();
        let side = if size[0].is_finite() && size[1].is_finite() {
            // As many cells as facets, but never more than 4 times as many along a long thin deck.
            ((size[0] * size[1]).sqrt() / wanted).max(size[0].max(size[1]) / (4.0 * wanted * wanted)).max(1.0)
        } else {
            1.0
        };
        let cells = |k: usize| if size[k].is_finite() { (size[k] / side) as usize + 1 } else { 1 };
        let mut places = Self {
            lo,
            side,
            columns: cells(0),
            rows: cells(1),
            starts: Vec::new(),
            facets: Vec::new(),
            mesh,
        };
        places.sort_in();
        places
    }

    /// The mesh.
    pub fn mesh(&self) -> &Mesh {
        &self.mesh
    }

    /// The facet that holds a place; on an edge the first of them.
    pub fn facet_at(&self, at: [f64; 2]) -> Option<usize> {
        let (column, row) = (self.cell(0, at[0])?, self.cell(1, at[1])?);
        let cell = row * self.columns + column;
        let here = &self.facets[*self.starts.get(cell)?..*self.starts.get(cell + 1)?];
        here.iter().copied().find(|&f| self.holds(f, at))
    }

    fn holds(&self, facet: usize, at: [f64; 2]) -> bool {
        let corners = self.mesh.facets[facet].map(|n| self.mesh.at[n]);
        (0..3).all(|k| {
            let (a, b) = (corners[k], corners[(k + 1) % 3]);
            let length = super::triangles::squared(a, b).sqrt();
            doubled(a, b, at) >= -NEAR * length
        })
    }

    #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn cell(&self, k: usize, value: f64) -> Option<usize> {
        let cells = if k == 0 { self.columns } else { self.rows };
        let place = (value - self.lo[k]) / self.side;
        if !(place >= -1e-6 && place <= cells as f64) {
            return None;
        }
        Some((place.max(0.0) as usize).min(cells - 1))
    }

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn clamped(&self, at: [f64; 2]) -> [usize; 2] {
        let one = |k: usize, cells: usize| {
            let place = ((at[k] - self.lo[k]) / self.side).max(0.0);
            if place.is_finite() { (place as usize).min(cells - 1) } else { 0 }
        };
        [one(0, self.columns), one(1, self.rows)]
    }

    /// Sorts facets into the cells that their bounds touch.
    fn sort_in(&mut self) {
        let cells = self.columns * self.rows;
        let spans: Vec<[[usize; 2]; 2]> = self
            .mesh
            .facets
            .iter()
            .map(|t| {
                let p = t.map(|n| self.mesh.at[n]);
                let least = [0, 1].map(|k| p[0][k].min(p[1][k]).min(p[2][k]) - NEAR);
                let most = [0, 1].map(|k| p[0][k].max(p[1][k]).max(p[2][k]) + NEAR);
                [self.clamped(least), self.clamped(most)]
            })
            .collect();
        let touched = |span: &[[usize; 2]; 2]| {
            let ([c0, r0], [c1, r1], columns) = (span[0], span[1], self.columns);
            (r0..=r1).flat_map(move |r| (c0..=c1).map(move |c| r * columns + c)).collect::<Vec<_>>()
        };
        let mut starts = vec![0_usize; cells + 1];
        for span in &spans {
            for cell in touched(span) {
                starts[cell + 1] += 1;
            }
        }
        for cell in 0..cells {
            starts[cell + 1] += starts[cell];
        }
        let mut next = starts.clone();
        let mut facets = vec![0; starts[cells]];
        for (f, span) in spans.iter().enumerate() {
            for cell in touched(span) {
                facets[next[cell]] = f;
                next[cell] += 1;
            }
        }
        (self.starts, self.facets) = (starts, facets);
    }
}
