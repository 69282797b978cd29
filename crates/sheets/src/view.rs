//! Paints a scene on a page at a true scale.
//!
//! In: a scene in plan mm, a frame of the page and the place of the plan that lies in its middle. Out: ink. What lies
//! outside the frame is cut off, a text that would lie on another or over the edge is left out, bay tints are not
//! printed. One mm of the plan is 1/scale mm on paper, always.

use crate::dimension::Window;
use crate::label::{Taken, Wish, take};
use crate::page::{At, Frame, Ink, Page, Stroke, Words};
use crate::scene::{Dash, Mark, Role, Scene, Shape, Symbol, Text, TextKey, Width};
use crate::sign;
use crate::text;
use baylap_core::geom::Pt;
use std::collections::BTreeSet;

/// A window on to the plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Where it is on the page.
    pub frame: Frame,
    /// The place of the plan in the middle of the frame, mm.
    pub middle: [f64; 2],
    /// Plan mm in one mm of paper.
    pub scale: i64,
}

impl View {
    /// Where a point of the plan lies on the page.
    #[allow(clippy::cast_precision_loss)]
    pub fn at(&self, p: Pt) -> At {
        let centre = [
            f64::midpoint(self.frame.lo[0], self.frame.hi[0]),
            f64::midpoint(self.frame.lo[1], self.frame.hi[1]),
        ];
        let scale = self.scale as f64;
        [centre[0] + (p.x as f64 - self.middle[0]) / scale, centre[1] + (p.y as f64 - self.middle[1]) / scale]
    }

    /// The part of the plan that it shows.
    #[allow(clippy::cast_precision_loss)]
    pub fn window(&self) -> Window {
        let half = [self.frame.width(), self.frame.height()].map(|side| side * self.scale as f64 / 2.0);
        let whole = crate::clip::whole;
        (
            Pt::new(whole(self.middle[0] - half[0]), whole(self.middle[1] - half[1])),
            Pt::new(whole(self.middle[0] + half[0]), whole(self.middle[1] + half[1])),
        )
    }

    /// Length on paper of a length of the plan, mm.
    #[allow(clippy::cast_precision_loss)]
    pub fn length(&self, plan_mm: i64) -> f64 {
        plan_mm as f64 / self.scale as f64
    }

    fn shows(&self, points: &[At]) -> bool {
        let over = |axis: usize, limit: f64, above: bool| {
            points.iter().all(|p| if above { p[axis] > limit } else { p[axis] < limit })
        };
        let Frame { lo, hi } = self.frame;
        !(points.is_empty()
            || over(0, lo[0], false)
            || over(0, hi[0], true)
            || over(1, lo[1], false)
            || over(1, hi[1], true))
    }
}

/// Paints a whole scene.
pub fn paint(page: &mut Page, scene: &Scene, view: &View) {
    page.ink.push(Ink::Within(view.frame));
    for mark in scene.marks.iter().filter(|m| !m.role.is_tint()) {
        put_mark(page, mark, view);
    }
    page.ink.push(Ink::Whole);
    let mut taken: Vec<Taken> = Vec::new();
    let signs: Vec<&Symbol> = scene.symbols.iter().filter(|s| view.shows(&[view.at(s.at)])).collect();
    for symbol in &signs {
        taken.push(sign::room(symbol, view.at(symbol.at), 3.0 * page.paper.step()));
    }
    put_texts(page, &scene.texts, view, &mut taken);
    for sign in signs {
        put_sign(page, sign, view.at(sign.at));
    }
}

/// A sign at a place of the page.
pub fn put_sign(page: &mut Page, symbol: &Symbol, at: At) {
    let [cos, sin] = crate::clip::direction(symbol.turn_mdeg);
    let step = page.paper.step() / 10.0;
    let place = |[x, y]: [i32; 2]| {
        let [x, y] = [f64::from(x) * step, f64::from(y) * step];
        [at[0] + x * cos - y * sin, at[1] + x * sin + y * cos]
    };
    let strokes = symbol.sign.strokes();
    // White under the closed outline: a sign stays readable on a hatch.
    for stroke in strokes.iter().filter(|s| s.closed && !s.fill) {
        page.fill(&stroke.points.iter().map(|p| place(*p)).collect::<Vec<_>>(), false);
    }
    for stroke in strokes {
        let points: Vec<At> = stroke.points.iter().map(|p| place(*p)).collect();
        if stroke.fill {
            page.fill(&points, true);
        } else {
            page.lines(Width::Medium, Dash::Solid, vec![points], stroke.closed);
        }
    }
}

fn put_mark(page: &mut Page, mark: &Mark, view: &View) {
    let pen = mark.role.pen();
    let on_page = |points: &[Pt]| points.iter().map(|p| view.at(*p)).collect::<Vec<At>>();
    match &mark.shape {
        Shape::Line(points) => {
            let line = on_page(points);
            if view.shows(&line) {
                page.lines(pen.width, pen.dash, vec![line], false);
            }
        }
        Shape::Area(rings) => {
            let lines: Vec<Vec<At>> = rings.iter().map(|r| on_page(r)).filter(|l| view.shows(l)).collect();
            page.lines(pen.width, pen.dash, lines, true);
        }
        Shape::Strokes(strokes) => {
            let lines: Vec<Vec<At>> = strokes.iter().map(|s| on_page(s)).filter(|l| view.shows(l)).collect();
            page.lines(pen.width, pen.dash, lines, false);
        }
        Shape::Circle { centre, radius } => {
            let (centre, radius) = (view.at(*centre), view.length(*radius));
            let [x, y] = centre;
            if radius > 0.0 && view.shows(&[[x - radius, y - radius], [x + radius, y + radius]]) {
                let stroke = Stroke { width: page.paper.width(pen.width), dash: pen.dash };
                page.ink.push(Ink::Circle { stroke, centre, radius });
            }
        }
    }
}

fn put_texts(page: &mut Page, texts: &[Text], view: &View, taken: &mut Vec<Taken>) {
    let mut said: BTreeSet<TextKey<'_>> = BTreeSet::new();
    for text in texts {
        let key = text.key();
        if !said.contains(&key) && put_text(page, text, view, taken) {
            said.insert(key);
        }
    }
}

fn put_text(page: &mut Page, label: &Text, view: &View, taken: &mut Vec<Taken>) -> bool {
    let height = page.paper.height(label.height);
    let bold = label.role == Role::BayNumber || label.role == Role::PieceNumber;
    let ringed = label.role == Role::BayNumber;
    let width = text::width(&label.text, height, bold);
    let air = 0.5 * page.paper.step();
    let size = if ringed {
        let across = width.max(height) + 5.0 * air;
        [across, across]
    } else {
        [width + 2.0 * air, height + 2.0 * air]
    };
    if let Some([along, across]) = label.room
        && (view.length(along) < size[0] || view.length(across) < size[1])
    {
        return false;
    }
    let Some(wish) = wish(label, view, size) else { return false };
    let inside = |place: &Taken| place.corners().iter().all(|corner| holds(&view.frame, *corner));
    let Some(at) = take(&wish, taken, inside) else { return false };
    let box_ = Taken { at, along: crate::clip::direction(label.turn_mdeg), half: size.map(|s| s / 2.0) };
    if ringed {
        ring(page, at, size[0] / 2.0);
    } else {
        page.fill(&box_.corners(), false);
    }
    let [cos, sin] = box_.along;
    let start =
        [at[0] - width / 2.0 * cos + height / 2.0 * sin, at[1] - width / 2.0 * sin - height / 2.0 * cos];
    page.ink.push(Ink::Text(Words {
        at: start,
        turn_mdeg: label.turn_mdeg,
        height,
        bold,
        text: label.text.clone(),
    }));
    true
}

/// A white disc with a line round it, for the number of a bay.
fn ring(page: &mut Page, at: At, radius: f64) {
    let corners: Vec<At> = (0..24)
        .map(|i| crate::clip::direction(i * 15_000))
        .map(|[x, y]| [at[0] + radius * x, at[1] + radius * y])
        .collect();
    page.fill(&corners, false);
    let stroke = Stroke { width: page.paper.width(Width::Medium), dash: Dash::Solid };
    page.ink.push(Ink::Circle { stroke, centre: at, radius });
}

/// The wish of a text on the page: its track cut to the frame; `None` when nothing of it is seen.
fn wish(label: &Text, view: &View, size: [f64; 2]) -> Option<Wish> {
    let at = view.at(label.at);
    let [a, b] = label.track.map(|p| view.at(p));
    let turn_mdeg = label.turn_mdeg;
    if label.track[0] == label.track[1] {
        return holds(&view.frame, at).then_some(Wish { at, track: [at; 2], turn_mdeg, size });
    }
    let [from, to] = visible(&view.frame, a, b)?;
    let point = |t: f64| [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
    let track = [point(from), point(to)];
    let middle = point(f64::midpoint(from, to));
    let whole = from <= 0.0 && to >= 1.0;
    Some(Wish { at: if whole { at } else { middle }, track, turn_mdeg, size })
}

/// Part of the line from `a` to `b` inside a frame, as shares of its length.
fn visible(frame: &Frame, a: At, b: At) -> Option<[f64; 2]> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for axis in 0..2 {
        let step = b[axis] - a[axis];
        let (lo, hi) = (frame.lo[axis] - a[axis], frame.hi[axis] - a[axis]);
        if step == 0.0 {
            if lo > 0.0 || hi < 0.0 {
                return None;
            }
            continue;
        }
        let (one, two) = (lo / step, hi / step);
        from = from.max(one.min(two));
        to = to.min(one.max(two));
    }
    (to > from).then_some([from, to])
}

fn holds(frame: &Frame, [x, y]: At) -> bool {
    x >= frame.lo[0] && x <= frame.hi[0] && y >= frame.lo[1] && y <= frame.hi[1]
}
