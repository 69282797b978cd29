//! A second, simple judge of where water goes: a drop that takes small steps down the facets.
//!
//! In: a mesh. Out: the sink of a place. It shares nothing with the engine: no edges are followed exactly, and what stands
//! in a pit rises point by point from the pit until it finds a way on. Only for decks that are one rectangle.

use baylap_core::falls::mesh::{Beyond, Mesh};
use baylap_core::layout::falls::Sink;

const STEP: f64 = 0.8;

pub(super) struct Drop<'a> {
    pub(super) mesh: &'a Mesh,
    pub(super) width: f64,
    pub(super) height: f64,
}

impl Drop<'_> {
    /// Where water from a place goes, or nothing when the drop cannot tell.
    pub(super) fn sink(&self, from: [f64; 2]) -> Option<Sink> {
        let (mut place, mut full) = (from, Vec::new());
        for _ in 0..60 {
            match self.roll(place)? {
                Ok(sink) => return Some(sink),
                Err(pit) => match self.rise(pit, &mut full) {
                    Ok(sink) => return Some(sink),
                    Err(lower) => {
                        if let Some(sink) = self.drain_at(lower) {
                            return Some(sink);
                        }
                        place = self.just_below(lower)?;
                    }
                },
            }
        }
        None
    }

    fn drain_at(&self, point: usize) -> Option<Sink> {
        self.mesh.drains.iter().find(|d| d.point == point).map(|d| Sink::Outlet(d.id))
    }

    /// Rolls down until it leaves the deck or gets no lower; then the point of the mesh it has come to.
    fn roll(&self, from: [f64; 2]) -> Option<Result<Sink, usize>> {
        let (mut place, mut facet) = (from, self.facet_at(from, 0)?);
        let mut lowest = f64::INFINITY;
        let mut since = 0;
        for _ in 0..20_000 {
            let level = self.mesh.level_on(facet, place);
            if level < lowest - 2e-4 * STEP {
                (lowest, since) = (level, 0);
            } else {
                since += 1;
                if since > 800 {
                    return Some(Err(self.nearest(place)));
                }
            }
            if let Some(sink) = self.mesh.drains.iter().find_map(|d| {
                let at = self.mesh.at[d.point];
                (far(at, place) < 2.0 * STEP).then_some(Sink::Outlet(d.id))
            }) {
                return Some(Ok(sink));
            }
            let slope = self.mesh.slope(facet);
            let steep = (slope[0] * slope[0] + slope[1] * slope[1]).sqrt();
            if steep == 0.0 {
                return None;
            }
            let next = [place[0] - slope[0] / steep * STEP, place[1] - slope[1] / steep * STEP];
            if let Some(sink) = self.over_an_edge(next) {
                return Some(Ok(sink));
            }
            place = [next[0].clamp(0.0, self.width), next[1].clamp(0.0, self.height)];
            facet = self.facet_at(place, facet)?;
        }
        None
    }

    fn over_an_edge(&self, next: [f64; 2]) -> Option<Sink> {
        let outside = [next[1] < 0.0, next[0] > self.width, next[1] > self.height, next[0] < 0.0];
        if !outside.contains(&true) {
            return None;
        }
        let on = |a: [f64; 2], b: [f64; 2], n: usize| match n {
            0 => a[1] == 0.0 && b[1] == 0.0,
            1 => a[0] == self.width && b[0] == self.width,
            2 => a[1] == self.height && b[1] == self.height,
            _ => a[0] == 0.0 && b[0] == 0.0,
        };
        for (facet, beyond) in self.mesh.facets.iter().zip(&self.mesh.beyond) {
            for k in 0..3 {
                let Beyond::Open(id) = beyond[k] else { continue };
                let (a, b) = (self.mesh.at[facet[k]], self.mesh.at[facet[(k + 1) % 3]]);
                if (0..4).any(|n| outside[n] && on(a, b, n)) {
                    return Some(Sink::Edge(id));
                }
            }
        }
        None
    }

    fn facet_at(&self, place: [f64; 2], last: usize) -> Option<usize> {
        let beside = self.mesh.beyond[last].iter().filter_map(|b| match b {
            Beyond::Facet(f) => Some(*f),
            _ => None,
        });
        std::iter::once(last)
            .chain(beside)
            .chain(0..self.mesh.facets.len())
            .find(|&f| self.holds(f, place))
            .or_else(|| (0..self.mesh.facets.len()).find(|&f| self.nearly_holds(f, place)))
    }

    fn weights(&self, facet: usize, place: [f64; 2]) -> [f64; 3] {
        let c = self.mesh.facets[facet].map(|p| self.mesh.at[p]);
        [0, 1, 2].map(|k| {
            let (a, b) = (c[k], c[(k + 1) % 3]);
            (b[0] - a[0]) * (place[1] - a[1]) - (b[1] - a[1]) * (place[0] - a[0])
        })
    }

    fn holds(&self, facet: usize, place: [f64; 2]) -> bool {
        self.weights(facet, place).iter().all(|&w| w >= 0.0)
    }

    fn nearly_holds(&self, facet: usize, place: [f64; 2]) -> bool {
        self.weights(facet, place).iter().all(|&w| w >= -1e-6)
    }

    fn nearest(&self, place: [f64; 2]) -> usize {
        (0..self.mesh.at.len())
            .min_by(|&a, &b| far(self.mesh.at[a], place).total_cmp(&far(self.mesh.at[b], place)))
            .unwrap()
    }

    fn beside(&self, point: usize) -> Vec<usize> {
        let mut found: Vec<usize> =
            self.mesh.facets.iter().filter(|f| f.contains(&point)).flatten().copied().collect();
        found.retain(|&p| p != point);
        found
    }

    /// Water rises from a point, taking in the lowest point beside it each time, until one is lower than what it has
    /// risen to, or lets it out. What it has filled before stays full: two ponds that spill into one another join.
    fn rise(&self, pit: usize, full: &mut Vec<usize>) -> Result<Sink, usize> {
        let (mut wet, mut level) = (vec![pit], self.mesh.z[pit]);
        loop {
            if let Some(sink) = wet.iter().find_map(|&p| self.lets_out(p, level)) {
                return Ok(sink);
            }
            let rim = wet.iter().flat_map(|&p| self.beside(p)).filter(|p| !wet.contains(p));
            let next = rim.min_by(|&a, &b| self.mesh.z[a].total_cmp(&self.mesh.z[b]));
            if wet.iter().chain(&next).any(|p| full.contains(p)) {
                level = full.iter().fold(level, |most, &p| most.max(self.mesh.z[p]));
                wet.retain(|p| !full.contains(p));
                wet.append(full);
                continue;
            }
            match next {
                None => return Ok(Sink::Nowhere),
                Some(next) if self.mesh.z[next] < level => {
                    *full = wet;
                    return Err(next);
                }
                Some(next) => {
                    level = self.mesh.z[next];
                    wet.push(next);
                }
            }
        }
    }

    fn lets_out(&self, point: usize, level: f64) -> Option<Sink> {
        if let Some(drain) = self.mesh.drains.iter().find(|d| d.point == point && d.level <= level) {
            return Some(Sink::Outlet(drain.id));
        }
        self.mesh.facets.iter().zip(&self.mesh.beyond).find_map(|(facet, beyond)| {
            (0..3).find_map(|k| match beyond[k] {
                Beyond::Open(id) if facet[k] == point || facet[(k + 1) % 3] == point => Some(Sink::Edge(id)),
                _ => None,
            })
        })
    }

    /// A place a little below a point, down the steepest of the small steps round it.
    fn just_below(&self, point: usize) -> Option<[f64; 2]> {
        let at = self.mesh.at[point];
        let mut best: Option<(f64, [f64; 2])> = None;
        for n in 0..720 {
            let angle = f64::from(n) * std::f64::consts::PI / 360.0;
            let place =
                [at[0] + STEP * cosine(angle), at[1] + STEP * cosine(angle - 1.570_796_326_794_896_6)];
            let inside =
                place[0] >= 0.0 && place[0] <= self.width && place[1] >= 0.0 && place[1] <= self.height;
            let Some(facet) = inside.then(|| self.facet_at(place, 0)).flatten() else { continue };
            let level = self.mesh.level_on(facet, place);
            if best.is_none_or(|(least, _)| level < least) {
                best = Some((level, place));
            }
        }
        best.map(|(_, place)| place)
    }
}

fn far(a: [f64; 2], b: [f64; 2]) -> f64 {
    ((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1])).sqrt()
}

/// The cosine of an angle, by its series: the platform's own differs between machines.
fn cosine(angle: f64) -> f64 {
    let turns = (angle / (2.0 * std::f64::consts::PI)).round();
    let x = angle - turns * 2.0 * std::f64::consts::PI;
    let (mut term, mut sum) = (1.0, 1.0);
    for n in 1..20 {
        term *= -x * x / f64::from((2 * n - 1) * (2 * n));
        sum += term;
    }
    sum
}
