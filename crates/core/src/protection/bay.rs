//! The sheet of one bay.
//!
//! In: the bays flat in their frames, their common edges, what of the sheet is laid already. Out: the strips of the next bay
//! and their pieces. They cover the bay and whatever bays before it left open towards it, all but what stays open for bays
//! after it, and lap on to the sheet already laid by no less than the laps. Pieces are rectangles of the frame, cut round
//! the edge of the deck and along edges still to be joined.

use super::board::{Board, Shape, rectangle};
use super::edges::{Edge, Way};
use super::ends::{self, Along};
use super::joints::Joint;
use super::stops::{self, Kept, Stop};
use super::strips::{self, Across};
use super::{Done, Laid, Sheets};
use crate::geom::overlay::Contour;
use crate::geom::ring::{self, Side, doubled_area_of, perimeter};
use crate::geom::{Pt, Region};
use crate::model::distance_to;
use crate::plan::Mm;

/// What is thinner than this on the whole is left from snapping, mm.
const SPECK: f64 = 1.5;

/// The sheet of one bay: its strips and their pieces, by strip, from 0, and chainage.
pub(super) fn lay(sheets: &Sheets, bay: usize, done: &mut Done) -> (Vec<[Mm; 2]>, Vec<Laid>) {
    let scope = Scope::new(sheets, bay, done);
    let owed = scope.owed(done);
    let Some(strips) = scope.strips(&owed) else { return (Vec::new(), Vec::new()) };
    let floors = scope.floors(&strips, &owed, done);
    let laid = &done.pieces;
    let mut pieces: Vec<Laid> = Vec::new();
    for (course, floor) in floors.iter().enumerate() {
        let runs = scope.runs(floor);
        let beside = scope.ends_beside(floor.strip, laid.iter().chain(&pieces));
        for run in &runs {
            let spans = scope.split(run, floor.strip, &beside);
            for span in &spans {
                pieces.extend(scope.piece(course, floor, run, *span, spans.len() == 1));
            }
        }
    }
    (strips, pieces)
}

/// A bay among its neighbours, in the frame of its zone.
struct Scope<'a> {
    sheets: &'a Sheets<'a>,
    board: &'a Board,
    zone: usize,
    bay: usize,
    own: &'a [Region],
    /// The bays before it that it touches, or nearly.
    before: Vec<usize>,
    /// Their areas.
    others: Vec<Region>,
    /// What stays open for bays after it.
    open: Vec<Shape>,
    /// Its own ends before bays after it: strips end there square.
    stops: Vec<Stop>,
}

/// A strip with what lies in it.
struct Floor {
    strip: [Mm; 2],
    /// What the strip stays out of.
    out: Vec<Contour>,
    /// Where sheet may lie.
    free: Vec<Region>,
    /// What is to be covered.
    wanted: Vec<Region>,
    /// What of it makes the strip as long as it is.
    parts: Vec<Region>,
    /// Chainages of these.
    spans: Vec<[Mm; 2]>,
}

/// A connected part of a strip to be covered in one go.
struct Run {
    area: Vec<Region>,
    from: Mm,
    to: Mm,
}

impl<'a> Scope<'a> {
    fn new(sheets: &'a Sheets<'a>, bay: usize, done: &Done) -> Self {
        let zone = sheets.zone_of(bay);
        let mut scope = Self {
            sheets,
            board: &sheets.boards[zone],
            zone,
            bay,
            own: &sheets.flats[bay],
            before: sheets.before(bay, &done.kept),
            others: Vec::new(),
            open: Vec::new(),
            stops: Vec::new(),
        };
        scope.others = scope.before.iter().flat_map(|&e| scope.area_of(e)).collect();
        for edge in scope.later_edges() {
            if let Way::Across { u, v, beyond } = edge.way
                && edge.low == bay
            {
                scope.stops.push(Stop { u, v, beyond, high: edge.high });
            }
            let shape = scope.seen(edge, edge.open(&sheets.rules));
            scope.open.push(shape);
        }
        let joints = scope.joints(|joint| joint.high > bay);
        scope.open.extend(joints);
        scope
    }

    /// Edges between this bay, or one before it that it touches, and a bay after it.
    fn later_edges(&self) -> Vec<&'a Edge> {
        let lows = self.before.iter().chain([&self.bay]);
        lows.flat_map(|&low| self.sheets.edges_of(low)).filter(|edge| edge.high > self.bay).collect()
    }

    /// A shape of an edge in this frame.
    fn seen(&self, edge: &Edge, shape: Shape) -> Shape {
        let zone = self.sheets.zone_of(edge.low);
        match edge.way {
            Way::Line { .. } => shape.into_iter().map(|p| self.board.place(p)).collect(),
            _ => self.turned_shape(shape, zone),
        }
    }

    /// Laps of the reinforcement on to this bay, or one before it, with what has to stay open round them, in this frame.
    fn joints(&self, wanted: impl Fn(&Joint) -> bool) -> Vec<Shape> {
        // What the common edges hold open needs no second shape.
        let among =
            |j: &&Joint| !j.at_edge && (j.low == self.bay || self.before.contains(&j.low)) && wanted(j);
        self.sheets.joints.iter().filter(among).map(|j| self.turned_shape(j.shape(), j.zone)).collect()
    }

    /// A shape of a zone's frame in this one.
    fn turned_shape(&self, shape: Shape, zone: usize) -> Shape {
        if zone == self.zone {
            return shape;
        }
        shape.into_iter().map(|p| self.board.place(self.sheets.boards[zone].back(p))).collect()
    }

    fn area_of(&self, bay: usize) -> Vec<Region> {
        if self.sheets.zone_of(bay) == self.zone {
            self.sheets.flats[bay].clone()
        } else {
            self.board.flat(&self.sheets.layout.bays[bay].area)
        }
    }

    /// What bays before this one left open towards it.
    fn owed(&self, done: &Done) -> Vec<Region> {
        if self.others.is_empty() {
            return Vec::new();
        }
        let (canvas, rules) = (&self.board.canvas, &self.sheets.rules);
        let own = self.sheets.edges.iter().filter(|edge| edge.high == self.bay);
        let mut reach: Vec<Contour> =
            own.map(|edge| self.board.contour(&self.seen(edge, edge.reach(rules)))).collect();
        // A strip that ends square may leave more than lies beside the edge.
        let ends = |k: &Kept| rectangle(k.u, [k.v[0] - rules.width, k.v[1] + rules.width]);
        reach.extend(done.kept.iter().filter(|k| k.high == self.bay).map(|k| self.end_of(k, ends(k))));
        let contours = |shapes: Vec<Shape>| shapes.into_iter().map(|shape| self.board.contour(&shape));
        reach.extend(contours(self.joints(|joint| joint.high == self.bay)));
        let near = canvas.intersection(&canvas.rings(&self.others), reach);
        let later = self.later_edges().into_iter().filter(|edge| edge.low != self.bay);
        let mut held: Vec<Contour> =
            later.map(|edge| self.board.contour(&self.seen(edge, edge.open(rules)))).collect();
        let ends = |k: &Kept| rectangle(k.u, [k.v[0] - rules.open, k.v[1] + rules.open + rules.side_lap]);
        let left = done.kept.iter().filter(|k| k.high > self.bay && self.before.contains(&k.low));
        held.extend(left.map(|k| self.end_of(k, ends(k))));
        held.extend(contours(self.joints(|joint| joint.high > self.bay)));
        let covers = self.covers(&done.pieces, &near);
        thick(canvas.difference_with(&canvas.rings(&near), held, &covers))
    }

    /// What was left open at the end of a bay, ready to cut with.
    fn end_of(&self, kept: &Kept, shape: Shape) -> Contour {
        self.board.contour(&self.turned_shape(shape, self.sheets.zone_of(kept.low)))
    }

    /// The sheet already laid near an area.
    fn covers(&self, laid: &[Laid], near: &[Region]) -> Vec<Region> {
        let bounds = ring::bounds(near.iter().flatten().flatten());
        let Some((lo, hi)) = bounds else { return Vec::new() };
        let beside = |region: &Region| {
            ring::bounds(region.iter().flatten())
                .is_some_and(|(a, b)| a.x <= hi.x && lo.x <= b.x && a.y <= hi.y && lo.y <= b.y)
        };
        let zones: Vec<usize> = self.before.iter().map(|&e| self.sheets.zone_of(e)).collect();
        let mut found = Vec::new();
        for piece in laid.iter().filter(|p| zones.contains(&p.zone)) {
            for region in &piece.cover {
                let region =
                    if piece.zone == self.zone { region.clone() } else { self.turned(region, piece.zone) };
                if beside(&region) {
                    found.push(region);
                }
            }
        }
        found
    }

    /// A region of another zone's frame in this one.
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
    fn turned(&self, region: &Region, zone: usize) -> Region {
        let other = &self.sheets.boards[zone];
        let whole = |p: &Pt| {
            let [u, v] = self.board.place(other.back([p.x as f64, p.y as f64]));
            Pt::new((u + 0.5).floor() as i64, (v + 0.5).floor() as i64)
        };
        let mut region: Region = region.iter().map(|ring| ring.iter().map(whole).collect()).collect();
        if region.first().is_some_and(|outer| ring::doubled_area(outer) < 0) {
            region.iter_mut().for_each(|ring: &mut Vec<Pt>| ring.reverse());
        }
        region
    }

    /// The strips across what is to be covered; none when it is left to later bays.
    fn strips(&self, owed: &[Region]) -> Option<Vec<[Mm; 2]>> {
        let (canvas, rules) = (&self.board.canvas, &self.sheets.rules);
        let open = self.open.iter().map(|shape| self.board.contour(shape)).collect();
        let own = thick(canvas.difference(&canvas.rings(self.own), open));
        let breadth =
            |areas: &[Region]| ring::bounds(areas.iter().flatten().flatten()).map(|(lo, hi)| [lo.y, hi.y]);
        let reach = match (breadth(&own), self.with_laps(owed)) {
            (Some(own), Some(owed)) => [own[0].min(owed[0]), own[1].max(owed[1])],
            (one, two) => one.or(two)?,
        };
        Some(strips::choose(&Across {
            reach: self.on_stops(reach),
            bands: &self.board.laps,
            width: rules.width,
            lap: rules.side,
            off: rules.off,
            least: rules.least_strip.min(rules.width),
        }))
    }

    /// Offsets put on the stop of a course line, or a lap off it, where they are but for snapping.
    fn on_stops(&self, reach: [Mm; 2]) -> [Mm; 2] {
        let rules = &self.sheets.rules;
        let stops = self.board.laps.iter().flat_map(|lap| [lap[0] - rules.open, lap[1] + rules.open]);
        let known: Vec<Mm> = stops.flat_map(|s| [s - rules.side, s, s + rules.side]).collect();
        let put = |v: Mm| known.iter().copied().min_by_key(|k| (k - v).abs()).filter(|k| (k - v).abs() <= 2);
        let [lo, hi] = reach.map(|v| put(v).unwrap_or(v));
        if lo < hi { [lo, hi] } else { reach }
    }

    /// The offsets that what was left open reaches from and to, with a lap where sheet lies beyond it.
    fn with_laps(&self, owed: &[Region]) -> Option<[Mm; 2]> {
        let (lo, hi) = ring::bounds(owed.iter().flatten().flatten())?;
        let side = self.sheets.rules.side;
        let canvas = &self.board.canvas;
        let open = || self.open.iter().map(|shape| self.board.contour(shape)).collect();
        let laid = |edge: [Mm; 2], beyond: [Mm; 2]| {
            let at_edge = self.inside(owed, edge, &[]);
            let spans = at_edge.iter().filter_map(chainages);
            let shapes = spans.map(|span| self.board.contour(&rectangle(span, beyond))).collect();
            let ground = canvas.intersection(&canvas.rings(&self.others), shapes);
            !thick(canvas.difference(&canvas.rings(&ground), open())).is_empty()
        };
        Some([
            if laid([lo.y, lo.y + 2], [lo.y - side, lo.y]) { lo.y - side } else { lo.y },
            if laid([hi.y - 2, hi.y], [hi.y, hi.y + side]) { hi.y + side } else { hi.y },
        ])
    }

    /// The strips with what lies in them.
    fn floors(&self, strips: &[[Mm; 2]], owed: &[Region], done: &mut Done) -> Vec<Floor> {
        let own = ring::bounds(self.own.iter().flatten().flatten()).map_or([0, 0], |(lo, hi)| [lo.y, hi.y]);
        let taken = |strip: [Mm; 2], beyond: bool| -> Vec<Mm> {
            let beside = |p: &&Laid| p.zone == self.zone && p.across[0] < strip[1] && strip[0] < p.across[1];
            done.pieces.iter().filter(beside).map(|p| if beyond { p.to } else { p.from }).collect()
        };
        let mut kept = Vec::new();
        let rules = (&self.sheets.rules, &taken as stops::Taken, &mut kept);
        let stops = stops::squared(self.stops.clone(), strips, own, rules);
        done.kept.extend(kept.into_iter().map(|k| Kept { low: self.bay, ..k }));
        let ground: Vec<Region> = self.own.iter().chain(&self.others).cloned().collect();
        let target: Vec<Region> = self.own.iter().chain(owed).cloned().collect();
        let mut floors: Vec<Floor> = strips
            .iter()
            .zip(stops)
            .map(|(strip, stops)| {
                let out: Vec<Contour> =
                    self.open.iter().chain(&stops).map(|shape| self.board.contour(shape)).collect();
                let (free, wanted) = (self.inside(&ground, *strip, &out), self.inside(&target, *strip, &out));
                let (parts, spans) = (Vec::new(), Vec::new());
                Floor { strip: *strip, out, free, wanted: thick(wanted), parts, spans }
            })
            .collect();
        self.settle(&mut floors);
        floors
    }

    /// What makes each strip as long as it is: what lies beyond the laps with its neighbours. What lies in such a lap alone
    /// is left to the neighbour where that covers it; else a strip beside a step of the wall would run on as a lap of its
    /// neighbour with nothing of its own.
    fn settle(&self, floors: &mut [Floor]) {
        let strips: Vec<[Mm; 2]> = floors.iter().map(|f| f.strip).collect();
        for (i, floor) in floors.iter_mut().enumerate() {
            let lo = if i > 0 { strips[i - 1][1] } else { floor.strip[0] };
            let hi = strips.get(i + 1).map_or(floor.strip[1], |next| next[0]);
            let parts =
                if lo < hi { thick(self.inside(&floor.wanted, [lo, hi], &[])) } else { floor.wanted.clone() };
            floor.spans = parts.iter().filter_map(chainages).collect();
            floor.parts = parts;
        }
        for i in 0..floors.len() {
            let mut rest = self.beyond(&floors[i]);
            rest.retain(|part| {
                let beside = [i.checked_sub(1), Some(i + 1)].into_iter().flatten();
                !beside.filter_map(|k| floors.get(k)).any(|other| self.covers_too(other, part))
            });
            floors[i].spans.extend(rest.iter().filter_map(chainages));
            floors[i].parts.append(&mut rest);
        }
    }

    /// What of a strip lies beside the parts that make it as long as it is.
    fn beyond(&self, floor: &Floor) -> Vec<Region> {
        let canvas = &self.board.canvas;
        let within = floor.spans.iter().map(|span| self.board.contour(&rectangle(*span, floor.strip)));
        thick(canvas.difference(&canvas.rings(&floor.wanted), within.collect()))
    }

    /// Whether another strip covers a part of the bay itself.
    fn covers_too(&self, other: &Floor, part: &Region) -> bool {
        let canvas = &self.board.canvas;
        let Some(reach) = chainages(part) else { return true };
        let rest = |of: &[Region]| {
            let rings = canvas.rings(std::slice::from_ref(part));
            thick(canvas.difference_with(&rings, Vec::new(), of))
        };
        other.spans.iter().any(|span| span[0] <= reach[0] && reach[1] <= span[1])
            && rest(self.own).is_empty()
            && rest(&other.wanted).is_empty()
    }

    /// What of an area lies in a strip and not in what it stays out of.
    fn inside(&self, area: &[Region], strip: [Mm; 2], out: &[Contour]) -> Vec<Region> {
        let canvas = &self.board.canvas;
        let Some((lo, hi)) = ring::bounds(area.iter().flatten().flatten()) else { return Vec::new() };
        let whole = self.board.contour(&rectangle([lo.x - 10, hi.x + 10], strip));
        let within = canvas.intersection(&canvas.rings(area), vec![whole]);
        if out.is_empty() { within } else { canvas.difference(&canvas.rings(&within), out.to_vec()) }
    }

    /// The runs of a strip: what is to be covered, with laps on to sheet already laid.
    fn runs(&self, floor: &Floor) -> Vec<Run> {
        let canvas = &self.board.canvas;
        let mut found = Vec::new();
        let mut homeless: Vec<&Region> = floor.parts.iter().collect();
        let alone: Vec<Region> = floor.parts.clone();
        for free in floor.free.iter().chain(&alone) {
            let (own, rest): (Vec<&Region>, Vec<&Region>) =
                homeless.into_iter().partition(|part| holds(free, part));
            homeless = rest;
            for reach in self.joined(&own) {
                let whole = self.board.contour(&rectangle(reach, floor.strip));
                let area = canvas.intersection(&canvas.rings(std::slice::from_ref(free)), vec![whole]);
                let area: Vec<Region> =
                    area.into_iter().filter(|part| own.iter().any(|wanted| beside(part, wanted))).collect();
                if let Some((lo, hi)) = ring::bounds(area.iter().flatten().flatten()) {
                    found.push(Run { area, from: lo.x, to: hi.x });
                }
            }
        }
        found.sort_by_key(|run| (run.from, run.to));
        found
    }

    /// The chainages that parts reach, with the end lap at both ends, joined where they overlap.
    fn joined(&self, parts: &[&Region]) -> Vec<[Mm; 2]> {
        let lap = self.sheets.rules.end;
        let bounds = parts.iter().filter_map(|part| ring::bounds(part.iter().flatten()));
        let mut reaches: Vec<[Mm; 2]> = bounds.map(|(lo, hi)| [lo.x - lap, hi.x + lap]).collect();
        reaches.sort_unstable();
        let mut joined: Vec<[Mm; 2]> = Vec::new();
        for reach in reaches {
            match joined.last_mut() {
                Some(last) if reach[0] <= last[1] => last[1] = last[1].max(reach[1]),
                _ => joined.push(reach),
            }
        }
        joined
    }

    /// Where end laps of sheet already laid may start that a strip lies beside.
    fn ends_beside<'b>(&self, strip: [Mm; 2], laid: impl Iterator<Item = &'b Laid>) -> Vec<Mm> {
        let beside = |p: &&Laid| p.zone == self.zone && p.across[0] < strip[1] && strip[0] < p.across[1];
        laid.filter(beside).flat_map(|p| [p.from, p.to - self.sheets.rules.end]).collect()
    }

    /// The pieces that a run is made of.
    fn split(&self, run: &Run, strip: [Mm; 2], beside: &[Mm]) -> Vec<[Mm; 2]> {
        let rules = &self.sheets.rules;
        if run.to - run.from <= rules.length {
            return vec![[run.from, run.to]];
        }
        let below = self.sheets.end_laps[self.zone].iter();
        let bands: Vec<[Mm; 2]> = below
            .filter(|lap| lap.across[0] < strip[1] && strip[0] < lap.across[1])
            .map(|lap| lap.along)
            .collect();
        let ask = Along {
            longest: rules.length,
            lap: rules.end,
            least: rules.least_piece,
            off: rules.off,
            stagger: rules.stagger,
            bands: &bands,
            beside,
        };
        ends::split([run.from, run.to], &ask)
    }

    /// A piece of a run.
    fn piece(&self, course: usize, floor: &Floor, run: &Run, span: [Mm; 2], whole: bool) -> Option<Laid> {
        let canvas = &self.board.canvas;
        let area = if whole {
            run.area.clone()
        } else {
            let cut = self.board.contour(&rectangle(span, floor.strip));
            canvas.intersection(&canvas.rings(&run.area), vec![cut])
        };
        let as_laid = self.board.on_plan(&area);
        let size = doubled_area_of(&as_laid) / 2;
        if size == 0 {
            return None;
        }
        let shape = rectangle(span, floor.strip);
        let cover = canvas.difference(&[self.board.contour(&shape)], floor.out.clone());
        Some(Laid {
            zone: self.zone,
            bay: self.bay,
            course,
            from: span[0],
            to: span[1],
            across: floor.strip,
            cover,
            flat: area,
            as_laid,
            area: i64::try_from(size).unwrap_or(i64::MAX),
        })
    }
}

/// Whether a part lies in an area, but for corners that snapping put just beyond its edge.
fn holds(area: &Region, part: &Region) -> bool {
    let near = |p: Pt| area.iter().flat_map(|r| ring::edges(r)).any(|(a, b)| distance_to(p, a, b) <= SPECK);
    part.iter().flatten().all(|p| ring::locate_in(*p, area) != Side::Outside || near(*p))
}

/// Chainages that a part reaches from and to.
fn chainages(part: &Region) -> Option<[Mm; 2]> {
    ring::bounds(part.iter().flatten()).map(|(lo, hi)| [lo.x, hi.x])
}

/// Whether two parts share chainages.
fn beside(one: &Region, two: &Region) -> bool {
    chainages(one).zip(chainages(two)).is_some_and(|(a, b)| a[0] < b[1] && b[0] < a[1])
}

/// Areas without those that are left from snapping.
#[allow(clippy::cast_precision_loss)]
pub(super) fn thick(mut areas: Vec<Region>) -> Vec<Region> {
    areas.retain(|area| {
        let length: f64 = area.iter().map(|ring| perimeter(ring)).sum();
        doubled_area_of(std::slice::from_ref(area)) as f64 > SPECK * length
    });
    areas
}
