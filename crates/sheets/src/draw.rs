//! Draws a plan and its layout as a [`Scene`].
//!
//! In: any plan, however unfinished, and a layout, which may be empty. Out: the one drawing that the screen, the PDF
//! and the SVG file share. Distances that belong to the paper (hatch gaps, ticks, the second line of an upstand) are
//! made for the scale asked for. It draws no dimensions and no page.

use crate::clip::{self, Ray};
use crate::fall_layers::{FallLayer, FallLayers};
use crate::falls;
use crate::look::{Look, bay_hatch, looks};
use crate::place::{course_ray, in_frame, on_plan, turn_of, upright};
use crate::protection_sheets;
use crate::scene::{Height, Mark, Role, Scene, Shape, Sign, Symbol, Text};
use crate::sign::finding_sign;
use baylap_core::geom::{Points, Pt, ring};
use baylap_core::layout::{Bay, Piece, Zone};
use baylap_core::plan::{
    Edge, LevelLineKind, LevelPoint, Mm, Outlet, OutletKind, Penetration, Ring, Shape as Section,
    ZoneLineKind,
};
use baylap_core::{About, Layout, Plan};
use std::collections::BTreeMap;

/// What to draw, and for which scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SceneOptions {
    /// The drawing is made for 1:`scale`. On screen: plan mm in one mm of the screen, in coarse steps.
    pub scale: i64,
    /// Whether to draw the hatches of the bays.
    pub hatch: bool,
    /// Whether to draw the tints of the bays (never in print).
    pub tint: bool,
    /// Whether to draw courses, pieces and laps.
    pub pieces: bool,
    /// Whether to draw the laps of the protection sheet.
    pub sheet: bool,
    /// Whether to mark the places of findings.
    pub findings: bool,
    /// What to draw of falls and drainage.
    pub falls: FallLayers,
}

impl Default for SceneOptions {
    fn default() -> Self {
        Self {
            scale: 100,
            hatch: true,
            tint: true,
            pieces: true,
            sheet: false,
            findings: true,
            falls: FallLayers::LEVELS,
        }
    }
}

impl SceneOptions {
    /// A length on paper, tenths of a mm, as plan mm.
    pub(crate) const fn paper(&self, tenths: i64) -> Mm {
        let scale = if self.scale < LARGEST_SCALE { LARGEST_SCALE } else { self.scale };
        tenths * scale / 10
    }

    /// Whether a lap so wide is drawn as a band at this scale.
    pub const fn shows_band(&self, width: Mm) -> bool {
        width >= self.paper(LEAST_BAND)
    }
}

/// The whole drawing.
pub fn deck_scene(plan: &Plan, layout: &Layout, options: SceneOptions) -> Scene {
    let mut drawing = Drawing { options, scene: Scene::default() };
    drawing.bays(layout);
    if options.pieces {
        drawing.courses(layout);
        drawing.pieces(layout);
    }
    if options.sheet {
        protection_sheets::draw(&mut drawing.scene, layout);
    }
    drawing.rings(plan);
    drawing.things(plan);
    drawing.levels(plan);
    drawing.lines(plan);
    if options.findings {
        drawing.findings(layout);
    }
    falls::draw(&mut drawing.scene, plan, layout, options);
    drawing.scene.settle();
    drawing.scene
}

/// Hatches and ticks are never made finer than for 1:20, however near the screen looks: a large deck would have millions.
const LARGEST_SCALE: i64 = 20;

/// A band narrower than this on paper (tenths of a mm) is drawn as one line: two would run into one.
const LEAST_BAND: i64 = 5;

/// How far beside another sign that of a finding stands, both ways, tenths of a mm on paper.
const BESIDE: i64 = 34;

/// How far from the sign of a finding that of another at the same place stands, tenths of a mm on paper.
const NEXT: i64 = 46;

/// Signs of findings side by side at one place, at most.
const ABREAST: i64 = 4;

/// Gap between the two lines of an upstand on paper, tenths of a mm.
const UPSTAND_GAP: i64 = 14;

struct Drawing {
    options: SceneOptions,
    scene: Scene,
}

impl Drawing {
    fn mark(&mut self, role: Role, about: Option<About>, shape: Shape) {
        self.scene.marks.push(Mark { role, about, tint: 0, shape });
    }

    fn sign(&mut self, role: Role, about: About, sign: Sign, at: Pt) {
        self.scene.symbols.push(Symbol { role, about: Some(about), sign, at, turn_mdeg: 0 });
    }

    fn text(&mut self, role: Role, about: About, text: String, at: Pt) {
        let height = if role == Role::BayNumber { Height::Large } else { Height::Small };
        self.scene.texts.push(Text {
            role,
            about: Some(about),
            text,
            at,
            track: [at; 2],
            turn_mdeg: 0,
            set: 0,
            height,
            room: None,
        });
    }

    fn bays(&mut self, layout: &Layout) {
        let looks = looks(&layout.bays);
        for bay in &layout.bays {
            let look = looks.get(&bay.number).copied().unwrap_or_default();
            let turn = layout.zones.iter().find(|z| z.number == bay.zone).map_or(0, |z| z.direction_mdeg);
            self.bay(bay, look, turn);
        }
        for bay in &layout.bays {
            let about = About::Bay(bay.number);
            self.text(Role::BayNumber, about, bay.number.to_string(), bay.label);
        }
    }

    fn bay(&mut self, bay: &Bay, look: Look, direction_mdeg: i32) {
        let rings: Vec<Points> = bay.area.iter().flatten().cloned().collect();
        let about = Some(About::Bay(bay.number));
        if self.options.hatch {
            let mut lines = Vec::new();
            for hatch in bay_hatch(u32::from(look.hatch)) {
                let turn = direction_mdeg + hatch.turn_mdeg;
                lines.extend(clip::hatch(&rings, turn, self.options.paper(hatch.gap)));
            }
            self.mark(Role::BayHatch, about.clone(), Shape::Strokes(lines));
        }
        if self.options.tint {
            let shape = Shape::Area(rings.clone());
            self.scene.marks.push(Mark { role: Role::BayTint, about: about.clone(), tint: look.tint, shape });
        }
        self.mark(Role::BayEdge, about, Shape::Area(rings));
    }

    fn courses(&mut self, layout: &Layout) {
        for zone in &layout.zones {
            let mut lines = Vec::new();
            for course in &zone.courses {
                let line = course_ray(&zone.frame, course.from);
                lines.extend(clip::strokes(&line, &clip::inside(&line, zone.area.iter().flatten())));
            }
            self.mark(Role::CourseLine, Some(About::Zone(zone.number)), Shape::Strokes(lines));
        }
    }

    fn pieces(&mut self, layout: &Layout) {
        let zones: BTreeMap<u32, &Zone> = layout.zones.iter().map(|z| (z.number, z)).collect();
        let mut courses: BTreeMap<(u32, u32), Vec<&Piece>> = BTreeMap::new();
        for piece in &layout.pieces {
            courses.entry((piece.zone, piece.course)).or_default().push(piece);
        }
        for piece in &layout.pieces {
            let Some(zone) = zones.get(&piece.zone) else { continue };
            self.piece(zone, piece);
            let after = courses.get(&(piece.zone, piece.course + 1));
            self.side_laps(zone, piece, after.map_or(&[], Vec::as_slice));
        }
    }

    fn piece(&mut self, zone: &Zone, piece: &Piece) {
        let about = Some(About::Piece(piece.number));
        let rings: Vec<Points> = piece.as_laid.iter().flatten().cloned().collect();
        if self.shows_band(piece.lap_before.max(piece.lap_after).max(1)) {
            self.mark(Role::Piece, about.clone(), Shape::Area(rings));
        }
        if piece.lap_to > 0 {
            self.end_lap(zone, piece);
        }
        self.piece_number(zone, piece);
    }

    /// Whether a band so wide shows as a band at this scale. A piece without laps always shows.
    fn shows_band(&self, width: Mm) -> bool {
        width <= 1 || self.options.shows_band(width)
    }

    fn end_lap(&mut self, zone: &Zone, piece: &Piece) {
        let middle = piece.to - piece.lap_to / 2;
        let half = self.options.paper(5).max(piece.lap_to / 2);
        let v = Mm::midpoint(piece.across[0], piece.across[1]);
        let tick = self.options.paper(12).min((piece.across[1] - piece.across[0]) / 2);
        let strokes = [middle - half, middle + half].map(|u| {
            [on_plan(&zone.frame, u - tick / 2, v - tick), on_plan(&zone.frame, u + tick / 2, v + tick)]
        });
        self.mark(Role::EndLap, Some(About::Piece(piece.number)), Shape::Strokes(strokes.to_vec()));
        if !self.shows_band(piece.lap_to) {
            let edge = [piece.across[0], piece.across[1]].map(|v| on_plan(&zone.frame, middle, v));
            self.mark(Role::Piece, Some(About::Piece(piece.number)), Shape::Line(edge.to_vec()));
        }
    }

    fn piece_number(&mut self, zone: &Zone, piece: &Piece) {
        let [lo, hi] = clear_width(zone, piece);
        let line = course_ray(&zone.frame, Mm::midpoint(lo, hi));
        let spans = clip::inside(&line, piece.as_laid.iter().flatten());
        let longest =
            spans.iter().fold([0.0, 0.0], |a: [f64; 2], b| if b[1] - b[0] > a[1] - a[0] { *b } else { a });
        let [from, to] = longest;
        if to <= from {
            return;
        }
        let ends = [line.point(from), line.point(to)];
        self.scene.texts.push(Text {
            role: Role::PieceNumber,
            about: Some(About::Piece(piece.number)),
            text: piece.number.to_string(),
            at: line.point(f64::midpoint(from, to)),
            track: ends,
            turn_mdeg: upright(zone.direction_mdeg),
            set: 0,
            height: Height::Small,
            room: Some([clip::whole(to - from), hi - lo]),
        });
    }

    /// Hatch of the overlap of a piece with those of the next course.
    fn side_laps(&mut self, zone: &Zone, piece: &Piece, after: &[&Piece]) {
        if piece.lap_after <= 0 || !self.shows_band(piece.lap_after) {
            return;
        }
        let gap = self.options.paper(15).max(1);
        let mut strokes = Vec::new();
        for next in after {
            let (from, to) = (piece.from.max(next.from), piece.to.min(next.to));
            let (lo, hi) = (piece.across[1].min(next.across[0]), piece.across[1].max(next.across[0]));
            let mut u = from.div_euclid(gap) * gap;
            while u < to {
                let line = Ray::through(on_plan(&zone.frame, u, lo), on_plan(&zone.frame, u + hi - lo, hi));
                if let Some(line) = line {
                    let one = clip::inside(&line, piece.as_laid.iter().flatten());
                    let two = clip::inside(&line, next.as_laid.iter().flatten());
                    strokes.extend(clip::strokes(&line, &clip::shared(&one, &two)));
                }
                u += gap;
            }
        }
        self.mark(Role::SideLap, Some(About::Piece(piece.number)), Shape::Strokes(strokes));
    }

    fn rings(&mut self, plan: &Plan) {
        for deck in &plan.decks {
            self.ring(deck.id, &deck.ring, true);
        }
        for opening in &plan.openings {
            self.ring(opening.id, &opening.ring, false);
            let rings = [opening.ring.iter().map(|c| c.at).collect::<Points>()];
            let crossed = crossing(&rings[0]);
            let strokes = crossed.iter().flat_map(|l| clip::strokes(l, &clip::inside(l, &rings))).collect();
            self.mark(Role::Void, Some(About::Plan(opening.id)), Shape::Strokes(strokes));
        }
    }

    fn ring(&mut self, id: u32, corners: &Ring, deck_inside: bool) {
        let points: Points = corners.iter().map(|c| c.at).collect();
        let anticlockwise = ring::doubled_area(&points) > 0;
        // Which side of an edge, seen from its first corner to its second, is away from the deck.
        let away = if anticlockwise == deck_inside { -1 } else { 1 };
        let backs: Vec<Mm> = corners
            .iter()
            .map(|c| match c.edge {
                Edge::Upstand { .. } => away * self.options.paper(UPSTAND_GAP),
                Edge::Free { .. } => 0,
            })
            .collect();
        for (i, (a, b)) in ring::edges(&points).enumerate() {
            let about = Some(About::Edge { id, edge: u32::try_from(i).unwrap_or(u32::MAX) });
            match &corners[i].edge {
                Edge::Free { .. } => {
                    self.mark(Role::Drip, about.clone(), Shape::Strokes(self.drips([a, b], away)));
                    self.mark(Role::FreeEdge, about, Shape::Line(vec![a, b]));
                }
                Edge::Upstand { height, .. } => {
                    self.mark(Role::Upstand, about.clone(), Shape::Line(vec![a, b]));
                    let back =
                        [offset_corner(&points, &backs, i, i), offset_corner(&points, &backs, i + 1, i)];
                    self.mark(Role::UpstandBack, about.clone(), Shape::Line(back.to_vec()));
                    self.upstand_height(about, *height, [a, b], backs[i]);
                }
            }
        }
    }

    /// Short strokes away from the deck along a free edge: on paper alone they tell that nothing stands there.
    fn drips(&self, [a, b]: [Pt; 2], away: Mm) -> Vec<[Pt; 2]> {
        let Some(line) = Ray::through(a, b) else { return Vec::new() };
        let gap = self.options.paper(30).max(1);
        let moved = Ray { at: off(&line, away * self.options.paper(UPSTAND_GAP)), along: line.along };
        let count = clip::whole(a.distance(b)) / gap;
        // More strokes than this cannot be told apart on any sheet.
        #[allow(clippy::cast_precision_loss)]
        let places = (0..count.min(5000)).map(|i| (i as f64 + 0.5) * gap as f64);
        places.map(|t| [line.point(t), moved.point(t)]).collect()
    }

    fn upstand_height(&mut self, about: Option<About>, height: Mm, [a, b]: [Pt; 2], back: Mm) {
        let Some(line) = Ray::through(a, b) else { return };
        let length = a.distance(b);
        // Beyond the second line, clear of it by its own half height and a little.
        let out = back + back.signum() * self.options.paper(21);
        let shifted = Ray { at: off(&line, out), along: line.along };
        self.scene.texts.push(Text {
            role: Role::UpstandHeight,
            about,
            text: format!("h {height}"),
            at: shifted.point(length / 2.0),
            track: [shifted.point(length * 0.1), shifted.point(length * 0.9)],
            turn_mdeg: upright(turn_of(line.along)),
            set: 0,
            height: Height::Small,
            room: Some([clip::whole(length), self.options.paper(40)]),
        });
    }

    fn things(&mut self, plan: &Plan) {
        for penetration in &plan.penetrations {
            if let Section::Circle { centre, .. } = penetration.shape {
                self.name(Role::Name, penetration.id, &penetration.name, centre);
            }
            self.penetration(penetration, penetration.collar.unwrap_or(plan.products.collar));
        }
        for outlet in &plan.outlets {
            self.outlet(outlet);
        }
        for way in &plan.ways {
            self.sign(Role::Way, About::Plan(way.id), Sign::Way, way.at);
            self.name(Role::Way, way.id, &way.name, way.at);
        }
        for melter in &plan.melters {
            self.sign(Role::Melter, About::Plan(melter.id), Sign::Melter, melter.at);
            self.name(Role::Melter, melter.id, &melter.name, melter.at);
        }
        if let Some(datum) = &plan.datum {
            self.mark(Role::Datum, None, Shape::Line(vec![datum.zero, datum.along]));
            self.scene.symbols.push(Symbol {
                role: Role::Datum,
                about: None,
                sign: Sign::Zero,
                at: datum.zero,
                turn_mdeg: Ray::through(datum.zero, datum.along).map_or(0, |l| turn_of(l.along)),
            });
        }
    }

    /// A name stands above its sign.
    fn name(&mut self, role: Role, id: u32, name: &str, at: Pt) {
        if !name.is_empty() {
            let above = Pt::new(at.x, at.y + self.options.paper(52));
            self.text(role, About::Plan(id), name.to_owned(), above);
        }
    }

    fn penetration(&mut self, penetration: &Penetration, collar: Mm) {
        let about = Some(About::Plan(penetration.id));
        match &penetration.shape {
            Section::Circle { centre, diameter } => {
                let radius = (diameter / 2).max(0);
                let (centre, reach) = (*centre, radius + collar.max(0));
                self.mark(Role::Penetration, about.clone(), Shape::Circle { centre, radius });
                self.mark(Role::Collar, about, Shape::Circle { centre, radius: reach });
            }
            Section::Ring { corners } => {
                let away = if ring::doubled_area(corners) > 0 { -1 } else { 1 };
                let backs = vec![away * collar.max(0); corners.len()];
                let round = (0..corners.len()).map(|i| offset_corner(corners, &backs, i, i)).collect();
                self.mark(Role::Penetration, about.clone(), Shape::Area(vec![corners.clone()]));
                self.mark(Role::Collar, about, Shape::Area(vec![round]));
            }
        }
    }

    fn outlet(&mut self, outlet: &Outlet) {
        let about = About::Plan(outlet.id);
        let (centre, radius) = (outlet.at, (outlet.bowl / 2).max(0));
        self.mark(Role::Outlet, Some(about.clone()), Shape::Circle { centre, radius });
        let clear = Shape::Circle { centre, radius: outlet.clear_zone.max(0) };
        self.mark(Role::ClearZone, Some(about.clone()), clear);
        let sign = match outlet.kind {
            OutletKind::Gravity => Sign::Gravity,
            OutletKind::Overflow => Sign::Overflow,
            OutletKind::Chute => Sign::Chute,
            OutletKind::Siphonic => Sign::Siphonic,
        };
        self.sign(Role::Outlet, about, sign, centre);
        self.name(Role::Name, outlet.id, &outlet.name, centre);
    }

    fn levels(&mut self, plan: &Plan) {
        for line in &plan.levels.lines {
            let role = match line.kind {
                LevelLineKind::LowLine => Role::LowLine,
                LevelLineKind::Ridge => Role::Ridge,
            };
            let points = line.points.iter().map(|p| p.at).collect();
            self.mark(role, Some(About::Plan(line.id)), Shape::Line(points));
        }
        if !self.options.falls.has(FallLayer::Levels) {
            return;
        }
        for spot in &plan.levels.spots {
            self.sign(Role::Level, About::Plan(spot.id), Sign::Spot, spot.at);
            // Above it, or, where something stands there, below or beside it.
            for [x, y] in
                [[0, 52], [0, -52], [75, 0], [-75, 0]].map(|p: [i64; 2]| p.map(|t| self.options.paper(t)))
            {
                let at = Pt::new(spot.at.x + x, spot.at.y + y);
                self.text(Role::Level, About::Plan(spot.id), spot.level.to_string(), at);
            }
        }
        let points = plan.levels.lines.iter().flat_map(|l| l.points.iter().map(move |p| (l.id, p)));
        for (point, set) in points.zip(1..) {
            if let (id, LevelPoint { at, level: Some(level) }) = point {
                let above = Pt::new(at.x, at.y + self.options.paper(30));
                self.text(Role::Level, About::Plan(id), level.to_string(), above);
                self.scene.texts.last_mut().into_iter().for_each(|t| t.set = set);
            }
        }
        for plane in &plan.levels.planes {
            self.scene.symbols.push(Symbol {
                role: Role::Level,
                about: Some(About::Plan(plane.id)),
                sign: Sign::Fall,
                at: plane.at,
                turn_mdeg: plane.direction_mdeg,
            });
            let fall = if plane.one_in == 0 { "level".to_owned() } else { format!("1:{}", plane.one_in) };
            let above = Pt::new(plane.at.x, plane.at.y + self.options.paper(52));
            self.text(Role::Level, About::Plan(plane.id), fall, above);
        }
    }

    fn lines(&mut self, plan: &Plan) {
        for joint in &plan.joints {
            self.mark(Role::Joint, Some(About::Plan(joint.id)), Shape::Line(joint.points.clone()));
        }
        for line in &plan.zone_lines {
            let role = match line.kind {
                ZoneLineKind::Drawn => Role::ZoneLine,
                ZoneLineKind::LevelChange => Role::LevelChange,
            };
            self.mark(role, Some(About::Plan(line.id)), Shape::Line(line.points.clone()));
        }
    }

    fn findings(&mut self, layout: &Layout) {
        for finding in &layout.findings {
            let sign = finding_sign(finding.severity);
            if let Some(at) = finding.at {
                let at = beside(&self.scene, at, self.options);
                self.sign(Role::Finding, finding.about.clone(), sign, at);
            }
        }
    }
}

/// Where the sign of a finding stands: at its place, or beside the outlet or whatever else has its own sign there, and
/// beside those of other findings, a few of them.
pub(crate) fn beside(scene: &Scene, at: Pt, options: SceneOptions) -> Pt {
    let taken = |at: Pt, finding: bool| {
        scene.symbols.iter().any(|s| (s.role == Role::Finding) == finding && s.at == at)
    };
    let by = if taken(at, false) { options.paper(BESIDE) } else { 0 };
    let along = |n: Mm| Pt::new(at.x + by + n * options.paper(NEXT), at.y + by);
    (0..ABREAST).map(along).find(|place| !taken(*place, true)).unwrap_or_else(|| along(ABREAST - 1))
}

/// Offsets between which a piece lies single: its cut width less laps, and less what is trimmed off it.
pub fn clear_width(zone: &Zone, piece: &Piece) -> [Mm; 2] {
    let laid = piece.as_laid.iter().flatten().flatten().map(|p| clip::whole(in_frame(&zone.frame, *p)[1]));
    let [lo, hi] = [piece.across[0] + piece.lap_before, piece.across[1] - piece.lap_after];
    let (least, most) = laid.fold((hi, lo), |(least, most), v| (least.min(v), most.max(v)));
    [lo.max(least), hi.min(most)]
}

/// Two lines that cross an opening: its diagonals when it has four corners, else those of its bounds.
fn crossing(points: &[Pt]) -> Vec<Ray> {
    let pairs = match points {
        [a, b, c, d] => vec![(*a, *c), (*b, *d)],
        _ => ring::bounds(points)
            .map_or_else(Vec::new, |(lo, hi)| vec![(lo, hi), (Pt::new(lo.x, hi.y), Pt::new(hi.x, lo.y))]),
    };
    pairs.into_iter().filter_map(|(a, b)| Ray::through(a, b)).collect()
}

/// A place `out` mm to the left of the start of a line.
#[allow(clippy::cast_precision_loss)]
fn off(line: &Ray, out: Mm) -> [f64; 2] {
    let out = out as f64;
    [line.at[0] - out * line.along[1], line.at[1] + out * line.along[0]]
}

/// Corner `corner` of a ring whose edges are moved `backs` mm to their left, as the end of edge `edge`: where the
/// moved edges meet, or straight off the edge when they hardly turn, turn back sharply or only one of them moves.
#[allow(clippy::cast_precision_loss)]
fn offset_corner(points: &[Pt], backs: &[Mm], corner: usize, edge: usize) -> Pt {
    let count = points.len();
    let at = points[corner % count];
    let before = (corner % count + count - 1) % count;
    let line = |i: usize| Ray::through(points[i], points[(i + 1) % count]);
    let straight = |i: usize| line(i).map(|l| Ray { at: [at.x as f64, at.y as f64], ..l });
    let Some(own) = straight(edge) else { return at };
    let square = Ray { at: off(&own, backs[edge]), ..own }.point(0.0);
    let (Some(one), Some(two)) = (straight(before), straight(corner % count)) else { return square };
    if backs[before] == 0 || backs[corner % count] == 0 {
        return square;
    }
    let turn = one.along[0] * two.along[1] - one.along[1] * two.along[0];
    let (start, end) = (off(&one, backs[before]), off(&two, backs[corner % count]));
    let t = ((end[0] - start[0]) * two.along[1] - (end[1] - start[1]) * two.along[0]) / turn;
    if turn.abs() < 0.05 || t.abs() > 3.0 * backs[edge].abs() as f64 {
        return square;
    }
    Ray { at: start, along: one.along }.point(t)
}
