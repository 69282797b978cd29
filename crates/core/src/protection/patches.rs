//! Patches: pieces laid last of all, where the sheet would be bare or a lap narrower than asked.
//!
//! In: the pieces of all bays, what they leave bare. Out: the pieces with patches among them, in the order they are laid.
//! Small bays between slanting walls meet in corners where no row of strips both keeps off what is still open and reaches its
//! neighbour with a full lap. A patch is a rectangle of the frame that covers such a place and a lap all round it. It is laid
//! with the last of the bays it lies on, and of those whose reinforcement still laps there: it covers nothing too early. What
//! is right without a patch is not touched.

use super::bay::thick;
use super::board::rectangle;
use super::edges::Way;
use super::laps::Band;
use super::rims::{Floor, Rim, inner, rims};
use super::{Laid, Sheets};
use crate::geom::ring::{self, doubled_area_of};
use crate::geom::{Pt, Region};
use crate::plan::Mm;

/// The pieces with patches where they are wanted, by bay, course and chainage; `strips` are the courses of each bay.
pub(super) fn put_on(
    (sheets, floors): (&Sheets, &[Floor]),
    strips: &[Vec<[Mm; 2]>],
    laid: Vec<Laid>,
    bare: &[Region],
) -> Vec<Laid> {
    let mut mender = Mender { sheets, floors, all: laid, courses: strips.iter().map(Vec::len).collect() };
    for place in bare {
        mender.cover_bare(place);
    }
    for n in 0..mender.all.len() {
        mender.widen_laps(n);
    }
    // Pieces of a bay stay in the order they came in: its patches last.
    mender.all.sort_by_key(|p| p.bay);
    mender.all
}

struct Mender<'a> {
    sheets: &'a Sheets<'a>,
    floors: &'a [Floor],
    /// The pieces, patches at the end.
    all: Vec<Laid>,
    /// For each bay the courses it has, patches counted.
    courses: Vec<usize>,
}

impl Mender<'_> {
    /// Covers a place that is left bare, zone by zone.
    fn cover_bare(&mut self, place: &Region) {
        for zone in 0..self.floors.len() {
            let board = &self.sheets.boards[zone];
            let flat = board.flat(std::slice::from_ref(place));
            let bays = (0..self.sheets.flats.len()).filter(|&bay| self.sheets.zone_of(bay) == zone);
            let own: Vec<Region> = bays.flat_map(|bay| self.sheets.flats[bay].iter().cloned()).collect();
            let canvas = &board.canvas;
            for part in thick(canvas.intersection_with(&canvas.rings(&flat), &own)) {
                self.patch(zone, &part);
            }
        }
    }

    /// Patches over the edges of a piece that no other laps as broadly as asked.
    fn widen_laps(&mut self, n: usize) {
        let zone = self.all[n].zone;
        let near = self.beside(n);
        let short: Vec<Rim> =
            rims(&self.all[n].flat).filter(|rim| !self.lapped(&near, rim, self.lap_of(rim))).collect();
        for rim in short {
            for part in inner(&self.floors[zone].areas, &rim) {
                for fault in self.narrow(n, &part, self.lap_of(&rim)) {
                    self.patch(zone, &fault);
                }
            }
        }
    }

    /// How broad a lap an edge wants.
    fn lap_of(&self, rim: &Rim) -> Mm {
        let rules = &self.sheets.rules;
        if rim.is_side() {
            rules.side
        } else if rim.is_end() {
            rules.end
        } else {
            rules.side.min(rules.end)
        }
    }

    /// Pieces of its zone that a piece meets.
    fn beside(&self, n: usize) -> Vec<usize> {
        let own = &self.all[n];
        let meets = |p: &Laid| {
            p.zone == own.zone
                && p.from <= own.to
                && own.from <= p.to
                && p.across[0] <= own.across[1]
                && own.across[0] <= p.across[1]
        };
        (0..self.all.len()).filter(|&m| m != n && meets(&self.all[m])).collect()
    }

    /// Whether whole rectangles beside a piece lap one of its edges all along: seen without cutting anything.
    fn lapped(&self, near: &[usize], rim: &Rim, lap: Mm) -> bool {
        let Some(strip) = rim.strip(lap) else { return false };
        let side = rim.is_side();
        let mut spans: Vec<[Mm; 2]> = near
            .iter()
            .map(|&m| &self.all[m])
            .filter(|p| p.is_whole())
            .filter_map(|p| {
                let whole = Band { along: [p.from, p.to], across: p.across };
                let (run, breadth, own) = if side {
                    (whole.along, whole.across, strip.across)
                } else {
                    (whole.across, whole.along, strip.along)
                };
                (breadth[0] <= own[0] && own[1] <= breadth[1]).then_some(run)
            })
            .collect();
        spans.sort_unstable();
        let [mut at, end] = if side { strip.along } else { strip.across };
        for span in spans {
            if span[0] <= at {
                at = at.max(span[1]);
            }
        }
        at >= end
    }

    /// Where the strip within an edge lies on deck that no other piece covers.
    fn narrow(&self, n: usize, rim: &Rim, lap: Mm) -> Vec<Region> {
        let zone = self.all[n].zone;
        let board = &self.sheets.boards[zone];
        let canvas = &board.canvas;
        let strip = board.contour(&rim.shape(lap));
        let own = canvas.intersection(&canvas.rings(&self.all[n].flat), vec![strip]);
        let covers = self.covers(n, &own);
        thick(canvas.difference_with(&canvas.rings(&own), Vec::new(), &covers))
    }

    /// What other pieces than one cover near an area, in the frame of its zone.
    fn covers(&self, n: usize, near: &[Region]) -> Vec<Region> {
        let zone = self.all[n].zone;
        let Some((lo, hi)) = ring::bounds(near.iter().flatten().flatten()) else { return Vec::new() };
        let meets = |region: &Region| {
            ring::bounds(region.iter().flatten())
                .is_some_and(|(a, b)| a.x <= hi.x && lo.x <= b.x && a.y <= hi.y && lo.y <= b.y)
        };
        let floor = &self.floors[zone];
        let others = self.all.iter().enumerate().filter(|(m, p)| *m != n && floor.zones.contains(&p.zone));
        let seen = |p: &Laid| -> Vec<Region> {
            if p.zone == zone { p.flat.clone() } else { self.sheets.boards[zone].flat(&p.as_laid) }
        };
        others.flat_map(|(_, p)| seen(p)).filter(meets).collect()
    }

    /// Lays a patch over a place in the frame of a zone, a lap beyond it all round.
    fn patch(&mut self, zone: usize, place: &Region) {
        let rules = &self.sheets.rules;
        let Some((lo, hi)) = ring::bounds(place.iter().flatten()) else { return };
        let more = rules.side.max(rules.end);
        let lengths = shared_out([lo.x - more, hi.x + more], rules.length, rules.end);
        let breadths = shared_out([lo.y - more, hi.y + more], rules.width, rules.side);
        for &across in &breadths {
            for &along in &lengths {
                let found = self.one_patch(zone, Band { along, across }, [lo, hi]);
                self.all.extend(found);
            }
        }
    }

    fn one_patch(&mut self, zone: usize, band: Band, place: [Pt; 2]) -> Option<Laid> {
        let board = &self.sheets.boards[zone];
        let canvas = &board.canvas;
        let shape = rectangle(band.along, band.across);
        let ground = canvas.union(&self.floors[zone].areas_in(&band));
        let mut area = canvas.intersection(&canvas.rings(&ground), vec![board.contour(&shape)]);
        // Not what lies beyond a wall.
        area.retain(|part| {
            ring::bounds(part.iter().flatten()).is_some_and(|(a, b)| {
                a.x < place[1].x && place[0].x < b.x && a.y < place[1].y && place[0].y < b.y
            })
        });
        let as_laid = board.on_plan(&area);
        let size = doubled_area_of(&as_laid) / 2;
        if size == 0 {
            return None;
        }
        let bay = self.last_bay(zone, &band);
        let course = self.courses[bay];
        self.courses[bay] += 1;
        Some(Laid {
            zone,
            bay,
            course,
            from: band.along[0],
            to: band.along[1],
            across: band.across,
            cover: vec![whole(&band)],
            flat: area,
            as_laid,
            area: i64::try_from(size).unwrap_or(i64::MAX),
        })
    }

    /// The last bay that has to be laid before a patch may cover all of a band.
    fn last_bay(&self, zone: usize, band: &Band) -> usize {
        let meets = |along: [Mm; 2], across: [Mm; 2]| {
            along[0] < band.along[1]
                && band.along[0] < along[1]
                && across[0] < band.across[1]
                && band.across[0] < across[1]
        };
        let floor = &self.floors[zone];
        let bays = floor.bays_in(band).into_iter();
        let pieces =
            self.all.iter().filter(|p| p.zone == zone && meets([p.from, p.to], p.across)).map(|p| p.bay);
        let joints =
            self.sheets.joints.iter().filter(|j| j.zone == zone && meets(j.open.along, j.open.across));
        let edges = self.sheets.edges.iter().filter(|edge| match edge.way {
            Way::Line { .. } => floor.bays.contains(&edge.low) && self.line_meets(zone, edge.high, band),
            _ => {
                self.sheets.zone_of(edge.low) == zone
                    && edge.open_band(&self.sheets.rules).is_some_and(|open| meets(open.along, open.across))
            }
        });
        let all = bays.chain(pieces).chain(joints.map(|j| j.high)).chain(edges.map(|edge| edge.high));
        all.max().unwrap_or(0)
    }

    /// Whether a band comes as near to a bay over a drawn line as the sheet stays off its laps.
    fn line_meets(&self, zone: usize, high: usize, band: &Band) -> bool {
        let rules = &self.sheets.rules;
        let more = rules.open + rules.side_lap.max(rules.end_lap);
        let wide = |[from, to]: [Mm; 2]| [from - more, to + more];
        let band = Band { along: wide(band.along), across: wide(band.across) };
        self.floors[zone].bays_in(&band).contains(&high)
    }
}

fn whole(band: &Band) -> Region {
    let ([a, b], [c, d]) = (band.along, band.across);
    vec![vec![Pt::new(a, c), Pt::new(b, c), Pt::new(b, d), Pt::new(a, d)]]
}

/// A length in equal shares of at most `most` that overlap by `lap`.
fn shared_out([from, to]: [Mm; 2], most: Mm, lap: Mm) -> Vec<[Mm; 2]> {
    let length = to - from;
    let step = (most - lap).max(1);
    let count = ((length - lap).max(1) + step - 1) / step;
    let share = (length + (count - 1) * lap + count - 1) / count;
    (0..count).map(|i| from + i * (share - lap)).map(|at| [at, (at + share).min(to)]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_cover_and_overlap() {
        for length in (1..9_000).step_by(173) {
            let shares = shared_out([-50, length], 1000, 75);
            assert_eq!((shares[0][0], shares[shares.len() - 1][1]), (-50, length));
            assert!(shares.iter().all(|s| s[1] > s[0] && s[1] - s[0] <= 1000), "{shares:?}");
            assert!(shares.windows(2).all(|w| w[0][1] - w[1][0] >= 75), "{shares:?}");
        }
    }
}
