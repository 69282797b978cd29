//! Falls, ponds, catchments and edges in bad places, drawn on a [`Scene`].
//!
//! In: a layout whose falls are known, the layers asked for, what the scene holds already. Out: marks, arrows and texts
//! more. Whatever is drawn reads in black and white: hatches, waves, dots and marks differ by shape. It judges nothing:
//! classes and verdicts come from the engine. Without falls it draws nothing.

use crate::arrows::{Arrow, arrows};
use crate::chains::chains;
use crate::clip::{self, Ray};
use crate::draw::SceneOptions;
use crate::fall_layers::FallLayer;
use crate::figures::{fall, litres_per_second, square_metres};
use crate::label::Taken;
use crate::place::{turn_of, upright};
use crate::scene::{Height, Mark, Role, Scene, Shape, Sign, Symbol, Text};
use crate::seam_marks::{Spread, marks, role, waves};
use crate::sign::room;
use crate::slopes::Slopes;
use baylap_core::geom::{Points, Pt, Region, ring};
use baylap_core::layout::falls::{Contour, FallClass, OutletWork, Pond};
use baylap_core::layout::{Falls, Layout, Seam, SeamKind, SeamPart};
use baylap_core::plan::{Mm, Plan};
use std::collections::BTreeMap;

/// Hatches of falls are never made finer than for 1:50, however near the screen looks.
const LARGEST_SCALE: i64 = 50;

/// A derived line nearer than this to one that the user drew is the same, mm.
const SAME_LINE: f64 = 5.0;

/// Draws the layers asked for.
pub(crate) fn draw(scene: &mut Scene, plan: &Plan, layout: &Layout, options: SceneOptions) {
    let Some(falls) = &layout.falls else { return };
    let mut drawing = Drawing { scene, plan, falls, options, sets: 0 };
    let on = |layer| options.falls.has(layer);
    if on(FallLayer::Classes) {
        drawing.classes();
    }
    if on(FallLayer::Ponds) {
        falls.ponds.iter().for_each(|pond| drawing.pond(pond));
    }
    if on(FallLayer::Catchments) {
        drawing.catchments();
    }
    if on(FallLayer::Lines) {
        drawing.lines(Role::LowLine, "low line", &falls.low_lines);
        drawing.lines(Role::Ridge, "ridge", &falls.ridges);
    }
    if on(FallLayer::Seams) {
        drawing.seams(&layout.seams);
    }
    if on(FallLayer::Outlets) {
        drawing.outlets();
    }
    if on(FallLayer::Arrows) {
        drawing.arrows();
    }
    if on(FallLayer::Contours) {
        falls.contours.iter().for_each(|contour| drawing.contour(contour));
    }
}

/// What an outlet is called on the drawing and in the tables: O and the number that findings, lists and screen call it by.
pub fn outlet_tag(id: u32) -> String {
    format!("O{id}")
}

/// Hatch of a class: its directions and the gap on paper, tenths of a mm.
pub const fn class_hatch(class: FallClass) -> (&'static [i32], i64) {
    match class {
        FallClass::BackFall => (&[45_000, 135_000], 28),
        FallClass::Flat => (&[45_000], 28),
        FallClass::BelowLeast => (&[45_000], 60),
        FallClass::BelowDesign | FallClass::Good => (&[], 60),
    }
}

struct Drawing<'a> {
    scene: &'a mut Scene,
    plan: &'a Plan,
    falls: &'a Falls,
    options: SceneOptions,
    /// Sets of texts so far.
    sets: u32,
}

impl Drawing<'_> {
    fn mark(&mut self, role: Role, tint: u8, shape: Shape) {
        self.scene.marks.push(Mark { role, about: None, tint, shape });
    }

    /// A text, or a further place for the one before in its set.
    fn text(&mut self, role: Role, text: String, at: Pt, track: [Pt; 2]) {
        let turn_mdeg = Ray::through(track[0], track[1]).map_or(0, |line| upright(turn_of(line.along)));
        let height = Height::Small;
        let set = self.sets;
        self.scene.texts.push(Text {
            role,
            about: None,
            text,
            at,
            track,
            turn_mdeg,
            height,
            set,
            room: None,
        });
    }

    /// A length on paper for hatches, tenths of a mm, as plan mm.
    fn coarse(&self, tenths: i64) -> Mm {
        tenths * self.options.scale.max(LARGEST_SCALE) / 10
    }

    fn classes(&mut self) {
        let mut tints: BTreeMap<FallClass, Vec<Points>> = BTreeMap::new();
        for facet in &self.falls.facets {
            let corner = |i: u32| {
                let [x, y, _] = self.falls.points.get(i as usize)?;
                Some(Pt::new((x + 500).div_euclid(1000), (y + 500).div_euclid(1000)))
            };
            let corners: Option<Points> = facet.corners.into_iter().map(corner).collect();
            tints.entry(facet.class).or_default().extend(corners);
        }
        for (class, rings) in tints {
            let (turns, gap) = class_hatch(class);
            let gap = self.coarse(gap);
            let mut strokes = Vec::new();
            for turn in turns {
                // Facet by facet: their rings share edges, and taken together would be told apart by odd crossings.
                strokes.extend(
                    rings.iter().flat_map(|ring| clip::hatch(core::slice::from_ref(ring), *turn, gap)),
                );
            }
            self.mark(Role::FallHatch, 0, Shape::Strokes(strokes));
            if self.options.tint {
                self.mark(Role::FallTint, class as u8, Shape::Area(rings));
            }
        }
    }

    fn pond(&mut self, pond: &Pond) {
        let rings: Vec<Points> = pond.area.iter().flatten().cloned().collect();
        let strokes = self.pond_hatch(&rings);
        self.mark(Role::PondHatch, 0, Shape::Strokes(strokes));
        self.mark(Role::Pond, 0, Shape::Area(rings.clone()));
        let words = format!("Pond {}, {} deep", pond.number, depth(pond.depth_um));
        let up = |tenths: i64| {
            let at = Pt::new(pond.deepest.x, pond.deepest.y + self.options.paper(tenths));
            (at, [at; 2])
        };
        // Along the longest level line through the deepest place, then above and below it.
        let through = level_span(&rings, pond.deepest);
        let places: Vec<(Pt, [Pt; 2])> = through
            .map(|track| (pond.deepest, track))
            .into_iter()
            .chain([55, -55, 90, -90].map(up))
            .collect();
        self.sets += 1;
        for (at, track) in places {
            self.text(Role::Pond, words.clone(), at, track);
        }
    }

    #[allow(clippy::cast_precision_loss)]
    fn pond_hatch(&self, rings: &[Points]) -> Vec<[Pt; 2]> {
        let spread = Spread { half: self.coarse(5) as f64, gap: self.coarse(16) as f64 };
        let place = |[x, y]: [f64; 2]| Pt::new(clip::whole(x), clip::whole(y));
        let mut strokes = Vec::new();
        for [a, b] in clip::hatch(rings, 0, self.coarse(25)) {
            let line = waves([a.x.min(b.x) as f64, a.x.max(b.x) as f64], a.y as f64, spread);
            strokes.extend(line.windows(2).map(|w| [place(w[0]), place(w[1])]));
        }
        strokes
    }

    fn catchments(&mut self) {
        let regions = self.falls.outlets.iter().flat_map(|o: &OutletWork| &o.catchment);
        let edges = self.plan.decks.iter().map(|d| &d.ring).chain(self.plan.openings.iter().map(|o| &o.ring));
        let round: Vec<[Pt; 2]> = edges
            .flat_map(|r| {
                let points: Points = r.iter().map(|c| c.at).collect();
                ring::edges(&points).map(|(a, b)| [a, b]).collect::<Vec<_>>()
            })
            .collect();
        let borders =
            borders(regions).into_iter().filter(|line| !round.iter().any(|edge| lies_on(*line, *edge)));
        for run in chains(borders) {
            self.mark(Role::Catchment, 0, Shape::Line(run));
        }
    }

    fn lines(&mut self, role: Role, words: &str, found: &[[Pt; 2]]) {
        let drawn: Vec<[Pt; 2]> = self
            .plan
            .levels
            .lines
            .iter()
            .flat_map(|l| l.points.windows(2).map(|w| [w[0].at, w[1].at]))
            .collect();
        for run in chains(found.iter().copied()) {
            self.words_along(role, words, &run);
            let own = run.windows(2).map(|w| [w[0], w[1]]);
            for part in chains(own.filter(|line| !drawn.iter().any(|other| lies_on(*line, *other)))) {
                self.mark(role, 0, Shape::Line(part));
            }
        }
    }

    /// Writes along the longest straight part of a line, where it is long enough.
    fn words_along(&mut self, role: Role, words: &str, line: &[Pt]) {
        let longest = line.windows(2).max_by_key(|w| w[0].distance_squared(w[1]));
        if let Some([a, b]) = longest
            && a.distance(*b) > length_of(words, &self.options)
        {
            let at = Pt::new(Mm::midpoint(a.x, b.x), Mm::midpoint(a.y, b.y));
            self.sets += 1;
            self.text(role, words.to_owned(), at, [*a, *b]);
        }
    }

    fn contour(&mut self, contour: &Contour) {
        let words = contour.level.to_string();
        for line in &contour.lines {
            self.mark(Role::Contour, 0, Shape::Line(line.clone()));
            self.words_along(Role::Contour, &words, line);
        }
    }

    fn outlets(&mut self) {
        for work in &self.falls.outlets {
            let Some(outlet) = self.plan.outlets.iter().find(|o| o.id == work.id) else { continue };
            let tag = outlet_tag(work.id);
            let blocked = if outlet.intake.blocked { " blocked" } else { "" };
            let size = format!("{tag}{blocked}: {} m²", square_metres(work.size));
            let flow = match (work.flow, work.capacity) {
                (Some(flow), Some(most)) => {
                    Some(format!("{tag}: {} of {} l/s", litres_per_second(flow), litres_per_second(most)))
                }
                (Some(flow), None) => Some(format!("{tag}: {} l/s", litres_per_second(flow))),
                (None, _) => None,
            };
            let place = |tenths: [i64; 2]| {
                let [x, y] = tenths.map(|t| self.options.paper(t));
                Pt::new(outlet.at.x + x, outlet.at.y + y)
            };
            // Below the outlet, or, by the edge of the deck, beside it.
            let below = [[0, -52], [-170, -20], [170, -20], [0, 95]].map(place);
            let under = [[0, -92], [-170, -60], [170, -60], [0, 55]].map(place);
            self.sets += 1;
            for (first, second) in below.into_iter().zip(under) {
                self.text(Role::OutletFlow, size.clone(), first, [first; 2]);
                if let Some(flow) = &flow {
                    self.text(Role::OutletFlow, flow.clone(), second, [second; 2]);
                }
            }
        }
    }

    #[allow(clippy::cast_precision_loss)]
    fn arrows(&mut self) {
        let scale = self.options.paper(10) as f64;
        let plain = |p: Pt| [p.x as f64, p.y as f64];
        let signs = self.scene.symbols.iter().map(|s| room(s, plain(s.at), 3.0 * scale));
        let numbers = self.scene.texts.iter().filter(|t| t.role == Role::BayNumber);
        let taken: Vec<Taken> =
            signs.chain(numbers.map(|t| Taken::level(plain(t.at), [4.5 * scale, 4.5 * scale]))).collect();
        for arrow in arrows(self.falls, scale, &taken) {
            self.arrow(&arrow);
        }
    }

    fn arrow(&mut self, arrow: &Arrow) {
        let place = |[x, y]: [f64; 2]| Pt::new(clip::whole(x), clip::whole(y));
        let at = place(arrow.at);
        let words = fall(arrow.fall_ppm);
        self.sets += 1;
        if words == fall(0) {
            self.text(Role::FallArrow, words, at, [at; 2]);
            return;
        }
        let (role, sign, turn_mdeg) = (Role::FallArrow, Sign::Fall, arrow.turn_mdeg);
        self.scene.symbols.push(Symbol { role, about: None, sign, at, turn_mdeg });
        // Above the arrow as it is read.
        let turn_mdeg = upright(turn_mdeg);
        let [cos, sin] = clip::direction(turn_mdeg);
        #[allow(clippy::cast_precision_loss)]
        let off = self.options.paper(30) as f64;
        for off in [off, -off] {
            let at = place([arrow.at[0] - sin * off, arrow.at[1] + cos * off]);
            let text = words.clone();
            let height = Height::Small;
            self.scene.texts.push(Text {
                role,
                about: None,
                text,
                at,
                track: [at; 2],
                turn_mdeg,
                height,
                set: self.sets,
                room: None,
            });
        }
    }

    fn seams(&mut self, seams: &[Seam]) {
        let bad = |seam: &&Seam| seam.parts.iter().any(|p| role(seam.kind, p.verdict).is_some());
        let mut slopes = None;
        for seam in seams.iter().filter(bad) {
            for part in joined(&seam.parts) {
                if let Some(role) = role(seam.kind, part.verdict) {
                    let slopes = slopes.get_or_insert_with(|| Slopes::new(self.falls));
                    let left = slopes.rises_left(part.a, part.b);
                    self.seam_part(seam.kind, role, &part, left);
                }
            }
        }
    }

    #[allow(clippy::cast_precision_loss)]
    fn seam_part(&mut self, kind: SeamKind, role: Role, part: &SeamPart, left: bool) {
        let (half, gap) = if kind == SeamKind::BayEdge { (11, 45) } else { (7, 60) };
        let spread = Spread { half: self.options.paper(half) as f64, gap: self.options.paper(gap) as f64 };
        let ends = [part.a, part.b].map(|p| [p.x as f64, p.y as f64]);
        let place = |[x, y]: [f64; 2]| Pt::new(clip::whole(x), clip::whole(y));
        let strokes = marks(role, ends, left, spread).into_iter().map(|s| s.map(place)).collect();
        self.mark(role, 0, Shape::Strokes(strokes));
        if kind != SeamKind::BayEdge {
            self.mark(Role::BadLap, 0, Shape::Strokes(vec![[part.a, part.b]]));
        }
    }
}

/// A depth of water in thousandths of a mm as whole mm, halves up.
pub const fn depth(um: i64) -> Mm {
    (um + 500).div_euclid(1000)
}

/// Parts of one verdict that go straight on are one.
pub fn joined(parts: &[SeamPart]) -> Vec<SeamPart> {
    let mut made: Vec<SeamPart> = Vec::new();
    for part in parts {
        match made.last_mut() {
            Some(last) if last.b == part.a && last.verdict == part.verdict && straight(last, part) => {
                last.b = part.b;
                last.better = last.better.or(part.better);
            }
            _ => made.push(*part),
        }
    }
    made
}

/// Whether a part goes on from another to within 2 mm.
fn straight(one: &SeamPart, two: &SeamPart) -> bool {
    Ray::through(one.a, two.b).is_some_and(|line| line.off(one.b).abs() < 2.0 && line.reach(one.b) > 0.0)
}

/// Room that words take along a line, plan mm: figures and letters of small text are a little over half as wide as high.
#[allow(clippy::cast_precision_loss)]
fn length_of(words: &str, options: &SceneOptions) -> f64 {
    words.chars().count() as f64 * options.paper(19) as f64 + options.paper(40) as f64
}

/// Edges of regions, each once.
fn borders<'a>(regions: impl Iterator<Item = &'a Region>) -> Vec<[Pt; 2]> {
    regions.flatten().flat_map(|r| ring::edges(r).map(|(a, b)| [a, b]).collect::<Vec<_>>()).collect()
}

/// Whether a line lies on another, but for a few mm.
fn lies_on([a, b]: [Pt; 2], [from, to]: [Pt; 2]) -> bool {
    let Some(line) = Ray::through(from, to) else { return false };
    let long = from.distance(to);
    let near = |p: Pt| {
        let reach = line.reach(p);
        line.off(p).abs() < SAME_LINE && reach > -SAME_LINE && reach < long + SAME_LINE
    };
    near(a) && near(b)
}

/// The part of the level line through a place that lies inside rings and holds the place.
#[allow(clippy::cast_precision_loss)]
fn level_span(rings: &[Points], at: Pt) -> Option<[Pt; 2]> {
    let line = Ray { at: [at.x as f64, at.y as f64], along: [1.0, 0.0] };
    let spans = clip::inside(&line, rings);
    let span = spans.into_iter().find(|[from, to]| *from <= 1.0 && *to >= -1.0)?;
    Some(span.map(|t| line.point(t)))
}
