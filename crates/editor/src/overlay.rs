//! What lies over the drawing while somebody works: handles, rubber band, marks.
//!
//! In: a session. Out: plain data in pixels of the surface, for the shell to draw as it is. No colours, no widths.

use crate::camera::Camera;
use crate::change::whole::stands_on;
use crate::measure;
use crate::message::Px;
use crate::selection::Selection;
use crate::session::Session;
use crate::session::drag::Grab;
use crate::session::draw::rounded;
use crate::snap::{Snap, SnapKind};
use crate::thing::{self, Thing};
use crate::tool::draft::mdeg_between;
use crate::tool::entry::Slot;
use crate::tool::{Form, Tool, made};
use baylap_core::geom::{Pt, ring};
use baylap_core::plan::Shape;

/// A side shorter than this on screen has no handle of its own, pixels: two targets would lie on one another.
const ROOM_FOR_HANDLE: f64 = 44.0;
/// A side shorter than this on screen has no length beside it, pixels.
const ROOM_FOR_LABEL: f64 = 56.0;
/// Distance of a length from its side, pixels.
const LABEL_OFF: f64 = 14.0;
/// Half the width of a written length, about, pixels.
const HALF_A_LABEL: f64 = 24.0;
/// Radius of the mark about a thing too small to be seen, pixels.
const SMALL: f64 = 10.0;

/// How far above the pointer the words stand of what is carried, pixels: clear of a finger.
const ABOVE: f64 = 44.0;

/// Half the width of the mark on a bay edge that is held, pixels.
const HOLD: f64 = 9.0;

/// Kinds of handle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HandleKind {
    /// A corner or point that can be dragged.
    Corner,
    /// The middle of an edge: drag to move the edge, double click to put a corner there.
    Edge,
    /// The middle of a thing that is moved whole.
    Whole,
}

/// A handle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Handle {
    /// Where.
    pub at: Px,
    /// What it does.
    pub kind: HandleKind,
    /// Whether it is the one selected.
    pub selected: bool,
}

/// What an outline of the overlay stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarkKind {
    /// What is selected.
    Selected,
    /// What the pointer is over.
    Hovered,
    /// What is being drawn: sides already set.
    Drawn,
    /// The side that follows the pointer.
    Band,
    /// A line that explains a snap.
    Guide,
    /// A line that is only proposed.
    Proposed,
    /// A place that a bay edge is held at.
    Held,
}

/// A line or an outline.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// What it stands for.
    pub kind: MarkKind,
    /// Its points.
    pub points: Vec<Px>,
    /// Whether the last joins the first.
    pub closed: bool,
}

/// A size or word beside the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Its middle.
    pub at: Px,
    /// What it says.
    pub text: String,
    /// Whether it belongs to the side that follows the pointer.
    pub live: bool,
}

/// Where the point will be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SnapMark {
    /// Where.
    pub at: Px,
    /// Why there; [`SnapKind::word`] is for the screen.
    pub kind: SnapKind,
}

/// A field of the length entry while drawing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EntryField {
    /// What it is: "Length", "Direction", "Width", "Depth", "Diameter", "Level".
    pub label: &'static str,
    /// What was typed; empty when nothing was.
    pub text: String,
    /// What holds as long as nothing is typed: the live value.
    pub live: String,
    /// Whether typing goes here.
    pub active: bool,
}

/// The length entry.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EntryView {
    /// Its fields; Tab goes from one to the next.
    pub fields: Vec<EntryField>,
    /// What was understood, e.g. "3.200 m".
    pub echo: Option<String>,
    /// One sentence: what was not understood.
    pub problem: Option<String>,
}

/// The whole overlay.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Overlay {
    /// Outlines and lines, bottom first.
    pub marks: Vec<Mark>,
    /// Handles, above them.
    pub handles: Vec<Handle>,
    /// Sizes.
    pub labels: Vec<Label>,
    /// Where the point will be.
    pub snap: Option<SnapMark>,
    /// The cursor cross of keyboard and cross placing.
    pub cross: Option<Px>,
    /// What can be typed now.
    pub entry: Option<EntryView>,
    /// One line: what to do next with this tool.
    pub hint: String,
    /// The cursor that fits, as CSS names it.
    pub cursor: &'static str,
}

/// The overlay of a session as it is now.
pub fn overlay(session: &Session) -> Overlay {
    let mut over = Overlay { hint: session.draft.hint(session.tool()).to_owned(), ..Overlay::default() };
    let view = View { session, camera: *session.camera() };
    over.marks.extend(session.plan().bay_edges.iter().map(|e| view.hold(e.at)));
    view.selected(&mut over);
    over.marks.extend(session.preview.iter().map(|line| Mark {
        kind: MarkKind::Proposed,
        points: line.iter().map(|p| view.px(*p)).collect(),
        closed: false,
    }));
    if session.tool().draws() {
        view.drawn(&mut over);
    }
    view.carried(&mut over);
    over.cursor = match (session.tool(), session.is_dragging()) {
        (_, true) => "grabbing",
        (Tool::Pan, _) => "grab",
        (Tool::Select, _) => "default",
        _ => "crosshair",
    };
    over
}

/// A handle and what it takes hold of.
pub(crate) struct Held {
    /// The handle.
    pub(crate) handle: Handle,
    /// What it takes hold of.
    pub(crate) grab: Grab,
}

/// The handles of what is selected, with the select tool.
pub(crate) fn handles(session: &Session) -> Vec<Held> {
    if session.tool() != Tool::Select {
        return Vec::new();
    }
    let view = View { session, camera: *session.camera() };
    match session.selection() {
        Some(Selection::Datum) => view.datum_handles(),
        Some(what) => what
            .id()
            .and_then(|id| thing::find(session.plan(), id))
            .map_or_else(Vec::new, |t| view.handles_of(&t)),
        None => Vec::new(),
    }
}

struct View<'a> {
    session: &'a Session,
    camera: Camera,
}

impl View<'_> {
    fn px(&self, p: Pt) -> Px {
        self.camera.to_px(p)
    }

    /// Outlines of what is selected and hovered, with handles and the lengths of its sides.
    fn selected(&self, over: &mut Overlay) {
        let s = self.session;
        if let Some(hovered) = s.hovered().filter(|h| Some(*h) != s.selection()) {
            self.outline(hovered, MarkKind::Hovered, over);
        }
        let Some(selected) = s.selection() else { return };
        self.outline(selected, MarkKind::Selected, over);
        over.handles = handles(s).into_iter().map(|h| h.handle).collect();
        if let Some(thing) = selected.id().and_then(|id| thing::find(s.plan(), id)) {
            let edges = u32::try_from(thing.edge_count()).unwrap_or(0);
            over.labels.extend((0..edges).filter_map(|n| self.length_label(thing.edge(n)?, false)));
        }
    }

    /// The bay that is carried: a line from it to the pointer, what it is held over, and what letting go would do.
    fn carried(&self, over: &mut Overlay) {
        let s = self.session;
        let Some((carried, below)) = s.carrying() else { return };
        let home = s.layout().bays.iter().find(|b| b.number == carried.bay).map(|b| self.px(b.label));
        let points = home.into_iter().chain([carried.at]).collect();
        over.marks.push(Mark { kind: MarkKind::Band, points, closed: false });
        let text = match below {
            Some(below) => {
                if below.to.is_some() {
                    self.outline(Selection::Bay(below.bay), MarkKind::Hovered, over);
                }
                below.words
            }
            None => format!("Bay {}: hold it over a bay", carried.bay),
        };
        over.labels.push(Label { at: Px::new(carried.at.x, carried.at.y - ABOVE), text, live: true });
    }

    fn outline(&self, what: Selection, kind: MarkKind, over: &mut Overlay) {
        let plan = self.session.plan();
        let mark = |points: &[Pt], closed| Mark {
            kind,
            points: points.iter().map(|p| self.px(*p)).collect(),
            closed,
        };
        match what {
            Selection::Thing(id) => {
                if let Some(t) = thing::find(plan, id).filter(|t| t.edge_count() > 0) {
                    over.marks.push(mark(&t.points(), t.closed()));
                } else if let Some(t) = thing::find(plan, id) {
                    if let Thing::Plane(p) = &t {
                        over.marks.extend((!p.area.is_empty()).then(|| mark(&p.area, true)));
                    }
                    over.marks.extend(t.points().first().map(|p| self.round_mark(*p, &t, kind)));
                }
            }
            Selection::Edge { id, edge } => {
                let ends = thing::find(plan, id).and_then(|t| t.edge(edge));
                over.marks.extend(ends.map(|(a, b)| mark(&[a, b], false)));
            }
            Selection::Corner { .. } => {}
            Selection::Datum => {
                over.marks.extend(plan.datum.as_ref().map(|d| mark(&[d.zero, d.along], false)))
            }
            _ => {
                let regions = self.session.regions_of(what);
                over.marks.extend(regions.iter().flatten().map(|ring| mark(ring, true)));
                let strips = self.session.strips_of(what).into_iter();
                over.marks.extend(strips.map(|at| self.ring_mark(at, SMALL, kind)));
            }
        }
    }

    /// A ring of sixteen corners about a small thing, never too small to be seen.
    #[allow(clippy::cast_precision_loss)]
    fn round_mark(&self, at: Pt, thing: &Thing, kind: MarkKind) -> Mark {
        let size = match thing {
            Thing::Penetration(p) => match p.shape {
                Shape::Circle { diameter, .. } => diameter,
                Shape::Ring { .. } => 0,
            },
            Thing::Outlet(o) => o.bowl,
            _ => 0,
        };
        self.ring_mark(at, (size as f64 / 2.0 * self.camera.scale + 4.0).max(SMALL), kind)
    }

    /// Two wedges that hold what runs between them.
    fn hold(&self, at: Pt) -> Mark {
        let at = self.px(at);
        let corner = |[x, y]: [f64; 2]| Px::new(at.x + x * HOLD, at.y + y * HOLD);
        let points = [[0.0, 0.0], [-1.0, -0.7], [-1.0, 0.7], [0.0, 0.0], [1.0, -0.7], [1.0, 0.7]];
        Mark { kind: MarkKind::Held, points: points.map(corner).to_vec(), closed: true }
    }

    /// A ring of sixteen corners, its radius in pixels.
    fn ring_mark(&self, at: Pt, radius: f64, kind: MarkKind) -> Mark {
        let at = self.px(at);
        let corner = |n: u32| {
            let turn = f64::from(n) / 16.0 * std::f64::consts::TAU;
            Px::new(at.x + radius * libm::cos(turn), at.y + radius * libm::sin(turn))
        };
        Mark { kind, points: (0..16).map(corner).collect(), closed: true }
    }

    fn handles_of(&self, thing: &Thing) -> Vec<Held> {
        let id = thing.id();
        let selected = self.session.selection();
        let held = |at, kind, selected, grab| Held { handle: Handle { at, kind, selected }, grab };
        let points = thing.points();
        if thing.edge_count() == 0 {
            let at = points.first().map(|p| self.px(*p));
            return at.map(|at| held(at, HandleKind::Whole, true, Grab::Whole { id })).into_iter().collect();
        }
        let edges = u32::try_from(thing.edge_count()).unwrap_or(0);
        let mut all: Vec<Held> = (0..edges)
            .filter_map(|edge| {
                let (a, b) = thing.edge(edge)?;
                let (a, b) = (self.px(a), self.px(b));
                let on = selected == Some(Selection::Edge { id, edge });
                let at = middle(a, b);
                (on || a.distance(b) >= ROOM_FOR_HANDLE)
                    .then(|| held(at, HandleKind::Edge, on, Grab::Edge { id, edge }))
            })
            .collect();
        all.extend((0_u32..).zip(&points).map(|(corner, p)| {
            let on = selected == Some(Selection::Corner { id, corner });
            held(self.px(*p), HandleKind::Corner, on, Grab::Corner { id, corner })
        }));
        let whole = ring::bounds(&points)
            .filter(|(lo, hi)| self.px(*lo).distance(self.px(*hi)) >= 2.0 * ROOM_FOR_HANDLE);
        all.extend(whole.map(|(lo, hi)| {
            held(middle(self.px(lo), self.px(hi)), HandleKind::Whole, false, Grab::Whole { id })
        }));
        all
    }

    fn datum_handles(&self) -> Vec<Held> {
        let ends = self.session.plan().datum.iter().flat_map(|d| [(0, d.zero), (1, d.along)]);
        ends.map(|(end, at)| Held {
            handle: Handle { at: self.px(at), kind: HandleKind::Corner, selected: true },
            grab: Grab::Datum { end },
        })
        .collect()
    }

    /// The length of a side beside its middle, when there is room for it.
    fn length_label(&self, (a, b): (Pt, Pt), live: bool) -> Option<Label> {
        let (pa, pb) = (self.px(a), self.px(b));
        let length = pa.distance(pb);
        if length < ROOM_FOR_LABEL {
            return None;
        }
        let (nx, ny) = ((pb.y - pa.y) / length, (pa.x - pb.x) / length);
        let at = middle(pa, pb);
        let mm = rounded(a.distance(b));
        Some(Label {
            // Words lie flat: beside a steep side they need half their width more, or they cover what stands on it.
            at: Px::new(at.x + nx * (LABEL_OFF + nx.abs() * HALF_A_LABEL), at.y + ny * LABEL_OFF),
            text: measure::metres(mm),
            live,
        })
    }

    /// What is being drawn: sides set, the side that follows the pointer, snap mark, entry.
    fn drawn(&self, over: &mut Overlay) {
        let s = self.session;
        self.settled_area(over);
        let points = s.draft.points();
        if points.len() > 1 {
            let px = points.iter().map(|p| self.px(*p)).collect();
            over.marks.push(Mark { kind: MarkKind::Drawn, points: px, closed: false });
        }
        over.labels.extend(points.windows(2).filter_map(|w| self.length_label((w[0], w[1]), false)));
        over.handles.extend(points.iter().map(|p| Handle {
            at: self.px(*p),
            kind: HandleKind::Corner,
            selected: false,
        }));
        if s.cross_mode() || (s.cursor.shown && s.cursor.by_keys) {
            over.cross = Some(self.camera.to_px_f(s.cursor.at[0], s.cursor.at[1]));
        }
        let targets = s.targets_now();
        let aim = s.aim(&targets);
        over.entry = self.entry(aim.as_ref());
        if let Some(Ok(aim)) = aim {
            self.band(&aim, over);
        }
    }

    /// The part of the deck that the plane of fall being drawn holds for.
    fn settled_area(&self, over: &mut Overlay) {
        let s = self.session;
        let Some(area) = s.draft.area() else { return };
        let deck = |at: &Pt| s.plan().decks.iter().find(|d| stands_on(d, *at));
        let ring = match (area, s.draft.points().first().and_then(deck)) {
            ([], Some(deck)) => deck.ring.iter().map(|c| self.px(c.at)).collect(),
            (area, _) => area.iter().map(|p| self.px(*p)).collect(),
        };
        over.marks.push(Mark { kind: MarkKind::Drawn, points: ring, closed: true });
    }

    fn band(&self, aim: &Snap, over: &mut Overlay) {
        let points = self.session.draft.points();
        over.snap = Some(SnapMark { at: self.px(aim.at), kind: aim.kind });
        if let Some(guide) = aim.guide {
            let line = vec![self.px(guide), self.px(aim.at)];
            over.marks.push(Mark { kind: MarkKind::Guide, points: line, closed: false });
        }
        let Some(&last) = points.last() else { return };
        if self.session.tool().form() == Form::Box {
            let ring = made::rectangle(last, aim.at);
            let px = ring.iter().map(|p| self.px(*p)).collect();
            over.marks.push(Mark { kind: MarkKind::Band, points: px, closed: true });
            over.labels.extend(
                [(0, 1), (1, 2)].into_iter().filter_map(|(a, b)| self.length_label((ring[a], ring[b]), true)),
            );
            return;
        }
        let px = vec![self.px(last), self.px(aim.at)];
        over.marks.push(Mark { kind: MarkKind::Band, points: px, closed: false });
        if let Some(mut label) = self.length_label((last, aim.at), true) {
            label.text = format!("{}  {}", label.text, tenths(mdeg_between(last, aim.at)));
            over.labels.push(label);
        }
    }

    /// The fields that can be typed in now.
    fn entry(&self, aim: Option<&Result<Snap, String>>) -> Option<EntryView> {
        let s = self.session;
        let draft = &s.draft;
        let slots = draft.slots(s.tool());
        if slots.is_empty() {
            return None;
        }
        let at = aim.and_then(|a| a.as_ref().ok()).map(|snap| snap.at);
        let fields = slots.iter().enumerate().map(|(n, slot)| EntryField {
            label: slot.label(),
            text: draft.entry.text(n).to_owned(),
            live: self.live(*slot, at),
            active: n == draft.entry.active(),
        });
        let active = slots.get(draft.entry.active()).copied().unwrap_or(slots[0]);
        let (echo, problem) = match draft.entry.value(slots, active) {
            Ok(value) => (value.map(|v| active.show(v)), None),
            Err(problem) => (None, Some(problem)),
        };
        Some(EntryView { fields: fields.collect(), echo, problem })
    }

    /// What holds as long as nothing is typed.
    fn live(&self, slot: Slot, at: Option<Pt>) -> String {
        let s = self.session;
        match (slot, s.draft.points().last(), at) {
            (Slot::Diameter, ..) => slot.show(s.sizes.diameter),
            (Slot::Level, ..) if matches!(s.tool(), Tool::LowLine | Tool::Ridge) => "not known".to_owned(),
            (Slot::Level, ..) => slot.show(s.sizes.level),
            (Slot::OneIn, ..) => slot.show(i64::from(s.sizes.one_in)),
            (Slot::Length, Some(last), Some(at)) => slot.show(rounded(last.distance(at))),
            (Slot::Direction, Some(last), Some(at)) => tenths(mdeg_between(*last, at)),
            (Slot::Width, Some(last), Some(at)) => slot.show((at.x - last.x).abs()),
            (Slot::Depth, Some(last), Some(at)) => slot.show((at.y - last.y).abs()),
            _ => String::new(),
        }
    }
}

fn middle(a: Px, b: Px) -> Px {
    Px::new(f64::midpoint(a.x, b.x), f64::midpoint(a.y, b.y))
}

/// An angle to a tenth of a degree: finer is not seen.
fn tenths(mdeg: i64) -> String {
    measure::degrees((mdeg + 50) / 100 % 3600 * 100)
}
