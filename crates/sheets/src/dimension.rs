//! What a setting-out drawing has beyond the drawing on screen: running offsets to every course line, chainages at the
//! ends of pieces, lengths of edges, sizes of bays.
//!
//! In: plan, layout, references and the window of the plan that is seen. Out: marks and texts added to a scene.
//! Offsets are running (superimposed) dimensions from one zero, never chains. A text that the sheet has no room for
//! is left out by the painter; the tables hold every figure.

use crate::clip::{self, Ray};
use crate::draw::{SceneOptions, clear_width};
use crate::figures::{mm, square_metres};
use crate::place::{course_ray, in_frame, on_plan, turn_of, upright};
use crate::reference::{Reference, References, origin};
use crate::scene::{Height, Mark, Role, Scene, Shape, Sign, Symbol, Text, touches};
use crate::table::{diagonal, rectangle};
use baylap_core::geom::{Points, Pt, ring};
use baylap_core::layout::{Bay, Layout, Piece, Zone};
use baylap_core::plan::{Edge, Mm, Ring};
use baylap_core::{About, Plan};

/// The part of the plan a sheet shows: lower left and upper right corner.
pub type Window = (Pt, Pt);

/// Pieces carry chainages down to this scale; in smaller drawings they are in the piece table only.
const CHAINAGES_TO: i64 = 200;

/// Drawings smaller than this have smaller bay numbers and no figures in the bays: they show where the details lie.
const SMALL_NUMBERS_FROM: i64 = 250;

/// Adds everything to a scene. Texts already there that say less are replaced.
pub fn dimension(
    scene: &mut Scene,
    (plan, layout): (&Plan, &Layout),
    references: &References,
    options: SceneOptions,
    window: Window,
) {
    let mut work = Work { texts: Vec::new(), marks: Vec::new(), options, window };
    for zone in &layout.zones {
        if options.pieces {
            work.offsets((plan, layout), zone, references.of(zone.number));
        }
        if !references.of(zone.number).datum {
            scene.symbols.push(own_zero(zone));
        }
    }
    for deck in &plan.decks {
        work.edges(deck.id, &deck.ring, true);
    }
    for opening in &plan.openings {
        work.edges(opening.id, &opening.ring, false);
    }
    for bay in &layout.bays {
        if let Some(zone) = layout.zones.iter().find(|z| z.number == bay.zone) {
            work.bay_number(zone, bay);
        }
    }
    let numbers = scene.texts.iter().filter(|t| t.role == Role::PieceNumber).cloned();
    work.texts.extend(numbers);
    if options.scale <= CHAINAGES_TO {
        for piece in &layout.pieces {
            if let Some(zone) = layout.zones.iter().find(|z| z.number == piece.zone) {
                work.chainages(zone, piece, references.of(zone.number));
            }
        }
    }
    for bay in layout.bays.iter().filter(|_| options.scale <= SMALL_NUMBERS_FROM) {
        if let Some(zone) = layout.zones.iter().find(|z| z.number == bay.zone) {
            work.bay_facts(zone, bay);
        }
    }
    let said = [Role::PieceNumber, Role::BayNumber, Role::UpstandHeight];
    scene.texts.retain(|t| !said.contains(&t.role));
    scene.texts.splice(0..0, work.texts);
    scene.marks.extend(work.marks);
    scene.settle();
}

struct Work {
    texts: Vec<Text>,
    marks: Vec<Mark>,
    options: SceneOptions,
    window: Window,
}

impl Work {
    /// The number of a bay, at its label or on the middle line of any of its courses: the first that is free stands.
    fn bay_number(&mut self, zone: &Zone, bay: &Bay) {
        let about = About::Bay(bay.number);
        let text = bay.number.to_string();
        let width: Mm = zone
            .courses
            .iter()
            .filter(|c| c.number >= bay.courses[0] && c.number <= bay.courses[1])
            .map(|c| c.to - c.from)
            .sum();
        let small = self.options.scale > SMALL_NUMBERS_FROM || width < self.options.paper(90);
        let height = if small { Height::Medium } else { Height::Large };
        let mut tracks = vec![[bay.label; 2]];
        tracks.extend(tracks_of(zone, bay).into_iter().map(|(track, _)| track));
        // Places where the ring clears the edges of the bay come first.
        let ring = self.options.paper(if small { 36 } else { 46 });
        tracks.sort_by_key(|track| !is_clear(bay, middle(*track), ring));
        for track in tracks {
            let at = middle(track);
            let about = Some(about.clone());
            let text = text.clone();
            // Level whatever the laying direction: the number is looked for, not read along a course.
            self.texts.push(Text {
                role: Role::BayNumber,
                about,
                text,
                at,
                track,
                turn_mdeg: 0,
                set: 0,
                height,
                room: None,
            });
        }
    }

    fn bay_facts(&mut self, zone: &Zone, bay: &Bay) {
        let mut facts = vec![format!("{} m²", square_metres(bay.size))];
        if let Some(sides) = rectangle(&bay.area) {
            facts.push(format!("{} x {}", sides[0], sides[1]));
            facts.push(format!("diagonals {}", diagonal(sides)));
        }
        for fact in facts {
            for (track, width) in tracks_of(zone, bay) {
                self.texts.push(Text {
                    role: Role::Name,
                    about: Some(About::Bay(bay.number)),
                    text: fact.clone(),
                    at: middle(track),
                    track,
                    turn_mdeg: upright(zone.direction_mdeg),
                    set: 0,
                    height: Height::Small,
                    room: Some([clip::whole(track[0].distance(track[1])), width]),
                });
            }
        }
    }

    /// Running offsets to the first edge of every course, along one line across them.
    fn offsets(&mut self, both: (&Plan, &Layout), zone: &Zone, reference: Reference) {
        let Some(line) = self.dimension_line(both, zone) else { return };
        let mut offsets: Vec<Mm> = zone.courses.iter().map(|c| c.from).collect();
        offsets.extend(zone.courses.last().map(|c| c.to));
        let seen: Vec<Mm> = offsets.iter().copied().filter(|v| line.seen.contains(v)).collect();
        let (Some(&lo), Some(&hi)) = (seen.iter().min(), seen.iter().max()) else { return };
        let about = Some(About::Zone(zone.number));
        let spine = Shape::Line(vec![on_plan(&zone.frame, line.u, lo), on_plan(&zone.frame, line.u, hi)]);
        self.marks.push(Mark { role: Role::Dimension, about: about.clone(), tint: 0, shape: spine });
        let tick = self.options.paper(8);
        let mut ticks = Vec::new();
        for v in seen {
            let beside = line.u - line.towards * self.options.paper(60);
            ticks.push([
                on_plan(&zone.frame, line.u - tick, v - tick),
                on_plan(&zone.frame, line.u + tick, v + tick),
            ]);
            if line.outside {
                ticks.extend(self.extension(zone, line.u, v));
            }
            let at = on_plan(&zone.frame, beside, v);
            self.texts.push(Text {
                role: Role::Dimension,
                about: about.clone(),
                text: mm(reference.offset(v)),
                at,
                track: [at; 2],
                turn_mdeg: upright(zone.direction_mdeg),
                set: 0,
                height: Height::Small,
                room: None,
            });
        }
        self.marks.push(Mark { role: Role::Dimension, about, tint: 0, shape: Shape::Strokes(ticks) });
    }

    /// From the dimension line to the deck, with a gap at the deck.
    fn extension(&self, zone: &Zone, u: Mm, v: Mm) -> Option<[Pt; 2]> {
        let spans = clip::inside(&course_ray(&zone.frame, v), zone.area.iter().flatten());
        #[allow(clippy::cast_precision_loss)]
        let near = spans
            .iter()
            .flatten()
            .copied()
            .min_by(|a, b| (a - u as f64).abs().total_cmp(&(b - u as f64).abs()))?;
        let gap = self.options.paper(25);
        let end = clip::whole(near) - (clip::whole(near) - u).signum() * gap;
        ((end - u).abs() > gap).then(|| [on_plan(&zone.frame, u, v), on_plan(&zone.frame, end, v)])
    }

    /// Where the line of running offsets stands: outside the zone where nothing else is, else inside it.
    fn dimension_line(&self, both: (&Plan, &Layout), zone: &Zone) -> Option<DimensionLine> {
        let visible = self.visible(zone);
        let us = range(visible.iter().map(|[u, _]| *u))?;
        let vs = range(visible.iter().map(|[_, v]| *v))?;
        let seen = clip::whole(vs[0]) - 2..=clip::whole(vs[1]) + 2;
        let out = self.options.paper(90);
        let start =
            DimensionLine { u: clip::whole(us[0]) - out, towards: 1, outside: true, seen: seen.clone() };
        let end =
            DimensionLine { u: clip::whole(us[1]) + out, towards: -1, outside: true, seen: seen.clone() };
        let whole = zone.area.iter().flatten().flatten().all(|p| within(self.window, *p));
        let mut outside = [start, end];
        // Room is kept on the left of and below the roof: the side nearer to that comes first.
        outside.sort_by_key(|line| {
            let at = on_plan(&zone.frame, line.u, *line.seen.start());
            at.x + at.y
        });
        outside.into_iter().find(|line| whole && self.is_free(both, zone, line)).or_else(|| {
            let inside = clip::whole(us[0]) + self.options.paper(140).min(clip::whole(us[1] - us[0]) / 2);
            Some(DimensionLine { u: inside, towards: 1, outside: false, seen })
        })
    }

    /// Whether a dimension line with its figures lies in the window, over no deck and on no sign.
    fn is_free(&self, (plan, layout): (&Plan, &Layout), zone: &Zone, line: &DimensionLine) -> bool {
        let far = line.u - line.towards * self.options.paper(120);
        let (lo, hi) = (*line.seen.start(), *line.seen.end());
        let corners = [line.u, far].into_iter().flat_map(|u| [lo, hi].map(|v| on_plan(&zone.frame, u, v)));
        let clear = |u: Mm| {
            let (a, b) = (on_plan(&zone.frame, u, lo), on_plan(&zone.frame, u, hi));
            let Some(ray) = Ray::through(a, b) else { return true };
            let span = [[0.0, a.distance(b)]];
            let over = |zone: &Zone| clip::shared(&clip::inside(&ray, zone.area.iter().flatten()), &span);
            layout.zones.iter().all(|zone| over(zone).is_empty())
        };
        let signs = plan.ways.iter().map(|w| w.at).chain(plan.melters.iter().map(|m| m.at));
        let hit = |p: Pt| {
            let [u, v] = in_frame(&zone.frame, p).map(clip::whole);
            let room = self.options.paper(50);
            u > line.u.min(far) - room && u < line.u.max(far) + room && v > lo - room && v < hi + room
        };
        let free = !signs.into_iter().any(hit);
        free && corners.into_iter().all(|p| within(self.window, p)) && clear(line.u) && clear(far)
    }

    /// Corners of what the window shows of a zone, in its frame.
    fn visible(&self, zone: &Zone) -> Vec<[f64; 2]> {
        let outers = zone.area.iter().filter_map(|region| region.first());
        outers.flat_map(|ring| cropped(ring, self.window)).map(|p| in_frame(&zone.frame, p)).collect()
    }

    /// Running chainages of both ends of a piece, inside it.
    fn chainages(&mut self, zone: &Zone, piece: &Piece, reference: Reference) {
        let [lo, hi] = clear_width(zone, piece);
        let room = hi - lo;
        let v = Mm::midpoint(lo, hi);
        let line = course_ray(&zone.frame, v);
        let spans = clip::inside(&line, piece.as_laid.iter().flatten());
        let (Some(first), Some(last)) = (spans.first(), spans.last()) else { return };
        let inset = self.options.paper(70);
        let near_start = (clip::whole(first[0]) + piece.lap_from + inset, piece.from);
        let near_stop = (clip::whole(last[1]) - piece.lap_to - inset, piece.to);
        if near_stop.0 - near_start.0 < inset {
            return;
        }
        for (u, chainage) in [near_start, near_stop] {
            let at = on_plan(&zone.frame, u, v);
            self.texts.push(Text {
                role: Role::Dimension,
                about: Some(About::Piece(piece.number)),
                text: mm(reference.chainage(chainage)),
                at,
                track: [at; 2],
                turn_mdeg: upright(zone.direction_mdeg),
                set: 0,
                height: Height::Small,
                room: Some([2 * inset, room]),
            });
        }
    }

    /// Length of each edge, and height of its upstand, outside the deck.
    fn edges(&mut self, id: u32, corners: &Ring, deck_inside: bool) {
        let points: Points = corners.iter().map(|c| c.at).collect();
        let away = if (ring::doubled_area(&points) > 0) == deck_inside { -1 } else { 1 };
        for (i, (a, b)) in ring::edges(&points).enumerate() {
            let Some(line) = Ray::through(a, b) else { continue };
            let length = a.distance(b);
            let figure = mm(clip::whole(length));
            let text = match corners[i].edge {
                Edge::Upstand { height, .. } => format!("{figure}  h {height}"),
                Edge::Free { .. } => format!("{figure}  free"),
            };
            #[allow(clippy::cast_precision_loss)]
            let out = (away * self.options.paper(38)) as f64;
            let at = [line.at[0] - out * line.along[1], line.at[1] + out * line.along[0]];
            let moved = Ray { at, ..line };
            self.texts.push(Text {
                role: Role::UpstandHeight,
                about: Some(About::Edge { id, edge: u32::try_from(i).unwrap_or(u32::MAX) }),
                text,
                at: moved.point(length / 2.0),
                track: [moved.point(0.0), moved.point(length)],
                turn_mdeg: upright(turn_of(line.along)),
                set: 0,
                height: Height::Small,
                room: Some([clip::whole(length), self.options.paper(60)]),
            });
        }
    }
}

struct DimensionLine {
    u: Mm,
    /// +1 when the zone lies on the side of greater chainages.
    towards: Mm,
    outside: bool,
    seen: core::ops::RangeInclusive<Mm>,
}

/// Middle lines of the courses of a bay, as far as they lie in it, with the width free beside them; those nearest its
/// label first.
fn tracks_of(zone: &Zone, bay: &Bay) -> Vec<([Pt; 2], Mm)> {
    let v_of = |p: &Pt| clip::whole(in_frame(&zone.frame, *p)[1]);
    let label = v_of(&bay.label);
    let Some((least, most)) = bay
        .area
        .iter()
        .flatten()
        .flatten()
        .map(v_of)
        .fold(None, |acc, v| Some(acc.map_or((v, v), |(lo, hi): (Mm, Mm)| (lo.min(v), hi.max(v)))))
    else {
        return Vec::new();
    };
    let in_bay = zone.courses.iter().filter(|c| c.number >= bay.courses[0] && c.number <= bay.courses[1]);
    let mut strips: Vec<[Mm; 2]> = in_bay.map(|c| [c.from.max(least), c.to.min(most)]).collect();
    strips.sort_by_key(|[lo, hi]| (Mm::midpoint(*lo, *hi) - label).abs());
    let mut found = Vec::new();
    for [lo, hi] in strips {
        let line = course_ray(&zone.frame, Mm::midpoint(lo, hi));
        let mut spans = clip::inside(&line, bay.area.iter().flatten());
        spans.sort_by(|a, b| (b[1] - b[0]).total_cmp(&(a[1] - a[0])));
        found.extend(clip::strokes(&line, &spans).into_iter().map(|track| (track, hi - lo)));
    }
    found
}

/// Whether no edge of a bay comes within `reach` of a place.
fn is_clear(bay: &Bay, at: Pt, reach: Mm) -> bool {
    let mut edges = bay.area.iter().flatten().flat_map(|points| ring::edges(points));
    !edges.any(|(a, b)| touches(&Shape::Line(vec![a, b]), at, reach))
}

fn middle([a, b]: [Pt; 2]) -> Pt {
    Pt::new(Mm::midpoint(a.x, b.x), Mm::midpoint(a.y, b.y))
}

fn own_zero(zone: &Zone) -> Symbol {
    Symbol {
        role: Role::Datum,
        about: Some(About::Zone(zone.number)),
        sign: Sign::Zero,
        at: origin(zone),
        turn_mdeg: zone.direction_mdeg,
    }
}

fn within((lo, hi): Window, p: Pt) -> bool {
    p.x >= lo.x && p.x <= hi.x && p.y >= lo.y && p.y <= hi.y
}

fn range(values: impl Iterator<Item = f64>) -> Option<[f64; 2]> {
    values.fold(None, |acc: Option<[f64; 2]>, x| Some(acc.map_or([x, x], |[lo, hi]| [lo.min(x), hi.max(x)])))
}

/// A ring cut to a window, side by side; good for bounds and areas, but a part that falls in two stays joined by a line
/// along the edge.
pub fn cropped(ring: &[Pt], (lo, hi): Window) -> Points {
    let left = cut(ring, |p| p.x - lo.x);
    let right = cut(&left, |p| hi.x - p.x);
    let below = cut(&right, |p| p.y - lo.y);
    cut(&below, |p| hi.y - p.y)
}

/// What of a ring is on the side of a line where `depth` is not negative.
fn cut(points: &[Pt], depth: impl Fn(Pt) -> Mm) -> Points {
    let mut kept = Points::new();
    for (a, b) in ring::edges(points) {
        let (from, to) = (depth(a), depth(b));
        if from >= 0 {
            kept.push(a);
        }
        if (from >= 0) != (to >= 0) {
            kept.push(crossing(a, b, -from, to - from));
        }
    }
    kept
}

/// The point `part` / `whole` of the way from `a` to `b`.
fn crossing(a: Pt, b: Pt, part: Mm, whole: Mm) -> Pt {
    let along = |from: Mm, to: Mm| {
        let whole = if whole == 0 { 1 } else { whole };
        from + Mm::try_from(i128::from(to - from) * i128::from(part) / i128::from(whole)).unwrap_or(0)
    };
    Pt::new(along(a.x, b.x), along(a.y, b.y))
}
