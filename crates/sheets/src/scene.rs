//! The display list: one drawing that the screen, the PDF and the SVG file paint alike.
//!
//! In: marks, symbols and texts with places in plan mm. Out: the same, ordered by [`Role`] as they are painted, and
//! ready-made SVG path data by role. It must hold that everything has a role and nothing has a colour or a width of
//! its own: a painter maps roles to pens. It knows nothing of pages, pixels or zoom.

use baylap_core::About;
use baylap_core::geom::{Points, Pt, ring};
use baylap_core::plan::Mm;
use core::fmt::Write;
use std::collections::BTreeMap;

/// What a mark means, in the order of painting: the first lies undermost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Tint of a bay: on screen only, never printed.
    BayTint,
    /// Tint of a class of fall: on screen only, never printed.
    FallTint,
    /// Hatch of a bay.
    BayHatch,
    /// Hatch of the deck that falls back, lies flat or falls too little.
    FallHatch,
    /// Waves in a pond.
    PondHatch,
    /// Edge of a pond, and its number and depth.
    Pond,
    /// Line of equal level.
    Contour,
    /// Border between what drains to one outlet and what drains elsewhere.
    Catchment,
    /// Fall planes, spot levels.
    Level,
    /// A line where falls meet at the bottom.
    LowLine,
    /// A line where falls part at the top.
    Ridge,
    /// First edge of a course, from upstand to upstand: where the chalk line is struck.
    CourseLine,
    /// A piece as laid.
    Piece,
    /// Narrow hatch where two courses overlap.
    SideLap,
    /// Double tick where two pieces of one course overlap.
    EndLap,
    /// Middle of a lap of the protection sheet.
    SheetLap,
    /// The same where it runs nearer to a lap of the reinforcement than asked.
    SheetNear,
    /// Edge of a bay.
    BayEdge,
    /// A lap in a bad place, with the marks of the roles after it on it.
    BadLap,
    /// Ticks up the fall along an edge or a lap that faces the water.
    FacesWater,
    /// Crosses on an edge or a lap that runs along a low line.
    AlongLow,
    /// Waves on an edge or a lap that lies in a pond.
    InPond,
    /// Diamonds on an edge or a lap that lies in the clear zone of an outlet.
    AtOutlet,
    /// A line that ends a zone.
    ZoneLine,
    /// A change of level: nothing laps across it.
    LevelChange,
    /// A movement joint.
    Joint,
    /// Edge of the clear zone round an outlet.
    ClearZone,
    /// Edge of the collar round a penetration.
    Collar,
    /// A penetration.
    Penetration,
    /// Bowl of an outlet.
    Outlet,
    /// Diagonals that cross an opening.
    Void,
    /// Second line of an upstand, away from the deck.
    UpstandBack,
    /// Short strokes away from the deck along an edge with no upstand.
    Drip,
    /// Edge with no upstand.
    FreeEdge,
    /// Edge with an upstand.
    Upstand,
    /// Height of an upstand, written beside it.
    UpstandHeight,
    /// Which way water runs on a part of the deck, with its fall.
    FallArrow,
    /// What an outlet has to take, written beside it.
    OutletFlow,
    /// Number of a piece.
    PieceNumber,
    /// Number of a bay.
    BayNumber,
    /// Name of a thing of the plan.
    Name,
    /// Dimension lines and figures.
    Dimension,
    /// Edge of the window that a detail sheet shows.
    Window,
    /// Base line and zero of the setting-out.
    Datum,
    /// A way on and off the roof.
    Way,
    /// A melter.
    Melter,
    /// Where something is read or tested.
    Check,
    /// The place of a finding.
    Finding,
}

/// Line widths at print.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Width {
    /// 0.18 mm: hatch.
    Hatch,
    /// 0.25 mm: courses, dimensions.
    Thin,
    /// 0.35 mm: things on the deck.
    Medium,
    /// 0.5 mm: bay edges, joints.
    Bold,
    /// 0.7 mm: outlines.
    Heavy,
}

impl Width {
    /// Width on paper, hundredths of a mm.
    pub const fn hundredths(self) -> i64 {
        match self {
            Width::Hatch => 18,
            Width::Thin => 25,
            Width::Medium => 35,
            Width::Bold => 50,
            Width::Heavy => 70,
        }
    }
}

/// Dash patterns, lengths on paper in tenths of a mm: on, off, on, off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Dash {
    /// Unbroken.
    Solid,
    /// Short dashes: hidden or nominal edges (collars, clear zones), lines of equal level.
    Short,
    /// Long dashes: low lines.
    Long,
    /// Long, dot: joints and zone lines.
    Chain,
    /// Long, dot, dot: changes of level.
    Chain2,
    /// Long, short: ridges.
    LongShort,
    /// Dots: borders of catchments.
    Dots,
}

impl Dash {
    /// Lengths on paper in tenths of a mm, dash and gap in turn; empty when unbroken.
    pub const fn tenths(self) -> &'static [i64] {
        match self {
            Dash::Solid => &[],
            Dash::Short => &[15, 10],
            Dash::Long => &[60, 15],
            Dash::Chain => &[70, 15, 8, 15],
            Dash::Chain2 => &[70, 15, 8, 15, 8, 15],
            Dash::LongShort => &[60, 12, 20, 12],
            Dash::Dots => &[6, 11],
        }
    }
}

/// How a role is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pen {
    /// Width of its lines at print.
    pub width: Width,
    /// Dashes of its lines.
    pub dash: Dash,
    /// Whether its areas are filled (and not stroked).
    pub fill: bool,
}

impl Role {
    /// Every role, in the order of painting.
    pub const ALL: [Role; 48] = [
        Role::BayTint,
        Role::FallTint,
        Role::BayHatch,
        Role::FallHatch,
        Role::PondHatch,
        Role::Pond,
        Role::Contour,
        Role::Catchment,
        Role::Level,
        Role::LowLine,
        Role::Ridge,
        Role::CourseLine,
        Role::Piece,
        Role::SideLap,
        Role::EndLap,
        Role::SheetLap,
        Role::SheetNear,
        Role::BayEdge,
        Role::BadLap,
        Role::FacesWater,
        Role::AlongLow,
        Role::InPond,
        Role::AtOutlet,
        Role::ZoneLine,
        Role::LevelChange,
        Role::Joint,
        Role::ClearZone,
        Role::Collar,
        Role::Penetration,
        Role::Outlet,
        Role::Void,
        Role::UpstandBack,
        Role::Drip,
        Role::FreeEdge,
        Role::Upstand,
        Role::UpstandHeight,
        Role::FallArrow,
        Role::OutletFlow,
        Role::PieceNumber,
        Role::BayNumber,
        Role::Name,
        Role::Dimension,
        Role::Window,
        Role::Datum,
        Role::Way,
        Role::Melter,
        Role::Check,
        Role::Finding,
    ];

    /// Short name of the role: the class on screen and in SVG files.
    pub const fn class(self) -> &'static str {
        match self {
            Role::BayTint => "bay-tint",
            Role::FallTint => "fall-tint",
            Role::BayHatch => "bay-hatch",
            Role::FallHatch => "fall-hatch",
            Role::PondHatch => "pond-hatch",
            Role::Pond => "pond",
            Role::Contour => "contour",
            Role::Catchment => "catchment",
            Role::Level => "level",
            Role::LowLine => "low-line",
            Role::Ridge => "ridge",
            Role::CourseLine => "course-line",
            Role::Piece => "piece",
            Role::SideLap => "side-lap",
            Role::EndLap => "end-lap",
            Role::SheetLap => "sheet-lap",
            Role::SheetNear => "sheet-near",
            Role::BayEdge => "bay-edge",
            Role::BadLap => "bad-lap",
            Role::FacesWater => "faces-water",
            Role::AlongLow => "along-low",
            Role::InPond => "in-pond",
            Role::AtOutlet => "at-outlet",
            Role::ZoneLine => "zone-line",
            Role::LevelChange => "level-change",
            Role::Joint => "joint",
            Role::ClearZone => "clear-zone",
            Role::Collar => "collar",
            Role::Penetration => "penetration",
            Role::Outlet => "outlet",
            Role::Void => "void",
            Role::UpstandBack => "upstand-back",
            Role::Drip => "drip",
            Role::FreeEdge => "free-edge",
            Role::Upstand => "upstand",
            Role::UpstandHeight => "upstand-height",
            Role::FallArrow => "fall-arrow",
            Role::OutletFlow => "outlet-flow",
            Role::PieceNumber => "piece-number",
            Role::BayNumber => "bay-number",
            Role::Name => "name",
            Role::Dimension => "dimension",
            Role::Window => "window",
            Role::Datum => "datum",
            Role::Way => "way",
            Role::Melter => "melter",
            Role::Check => "check",
            Role::Finding => "finding",
        }
    }

    /// Whether it is a tint: on screen only, never printed.
    pub const fn is_tint(self) -> bool {
        matches!(self, Role::BayTint | Role::FallTint)
    }

    /// How the role is drawn at print.
    pub const fn pen(self) -> Pen {
        let (width, dash) = match self {
            Role::BayTint
            | Role::FallTint
            | Role::BayHatch
            | Role::FallHatch
            | Role::PondHatch
            | Role::SideLap => (Width::Hatch, Dash::Solid),
            Role::Collar | Role::ClearZone | Role::Contour => (Width::Thin, Dash::Short),
            Role::Level
            | Role::CourseLine
            | Role::Piece
            | Role::Void
            | Role::UpstandBack
            | Role::Drip
            | Role::UpstandHeight
            | Role::BadLap
            | Role::OutletFlow
            | Role::PieceNumber
            | Role::Name
            | Role::Check
            | Role::Dimension => (Width::Thin, Dash::Solid),
            Role::SheetLap => (Width::Thin, Dash::LongShort),
            Role::SheetNear => (Width::Bold, Dash::Dots),
            Role::LowLine => (Width::Medium, Dash::Long),
            Role::Ridge => (Width::Medium, Dash::LongShort),
            Role::Catchment => (Width::Medium, Dash::Dots),
            Role::EndLap
            | Role::Pond
            | Role::FacesWater
            | Role::AlongLow
            | Role::InPond
            | Role::AtOutlet
            | Role::FallArrow
            | Role::Penetration
            | Role::Outlet
            | Role::BayNumber
            | Role::Datum
            | Role::Way
            | Role::Melter
            | Role::Finding => (Width::Medium, Dash::Solid),
            Role::BayEdge => (Width::Bold, Dash::Solid),
            Role::ZoneLine => (Width::Medium, Dash::Chain),
            Role::Window => (Width::Medium, Dash::Short),
            Role::LevelChange => (Width::Bold, Dash::Chain2),
            Role::Joint => (Width::Bold, Dash::Chain),
            Role::FreeEdge | Role::Upstand => (Width::Heavy, Dash::Solid),
        };
        Pen { width, dash, fill: self.is_tint() }
    }
}

/// Geometry of a mark, plan mm.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Shape {
    /// An open line from corner to corner.
    Line(Points),
    /// Closed rings taken together: odd crossings are inside.
    Area(Vec<Points>),
    /// Separate straight lines (hatches, ticks).
    Strokes(Vec<[Pt; 2]>),
    /// A circle.
    Circle {
        /// Its middle.
        centre: Pt,
        /// Its radius, mm.
        radius: Mm,
    },
}

/// A line or area of the drawing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// What it means.
    pub role: Role,
    /// What it is about, for hit testing and selection.
    pub about: Option<About>,
    /// Which of the tints it has: of the bays, or by class of fall, worst first. 0 for every role that is no tint.
    pub tint: u8,
    /// Where it is.
    pub shape: Shape,
}

/// Signs that keep their size on the sheet and on the screen whatever the scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sign {
    /// Zero of the datum, or of a zone's frame when the plan has none.
    Zero,
    /// A way on and off: an arrow through a gap.
    Way,
    /// A melter: a vessel with a flame below.
    Melter,
    /// Emergency overflow beside an outlet.
    Overflow,
    /// Chute through a parapet.
    Chute,
    /// Siphonic outlet.
    Siphonic,
    /// Outlet in the deck.
    Gravity,
    /// A spot level.
    Spot,
    /// Fall arrow: points where water runs.
    Fall,
    /// A place where thickness is read: a triangle standing on its tip, which is the place.
    Reading,
    /// The place of the bond test: the square that is cut, one corner peeled back.
    Bond,
    /// A finding that is an error: a square standing on its corner.
    Error,
    /// A finding that is a warning: a triangle.
    Warning,
    /// A finding that is a note: a circle.
    Note,
}

/// A sign at a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Symbol {
    /// What it means.
    pub role: Role,
    /// What it is about.
    pub about: Option<About>,
    /// Which sign.
    pub sign: Sign,
    /// Where its middle lies.
    pub at: Pt,
    /// How it is turned, thousandths of a degree anticlockwise.
    pub turn_mdeg: i32,
}

/// Heights of text at print, by the height of its capitals and figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Height {
    /// 2.5 mm: figures, notes. Nothing is smaller.
    Small,
    /// 3.5 mm: names, headings.
    Medium,
    /// 5 mm: bay numbers, titles.
    Large,
}

impl Height {
    /// Height of capitals on paper, tenths of a mm.
    pub const fn tenths(self) -> i64 {
        match self {
            Height::Small => 25,
            Height::Medium => 35,
            Height::Large => 50,
        }
    }
}

/// A text of the drawing. It is always centred on its place and never upside down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Text {
    /// What it means.
    pub role: Role,
    /// What it is about.
    pub about: Option<About>,
    /// The text.
    pub text: String,
    /// Where its middle lies when there is room for it.
    pub at: Pt,
    /// A line it may slide along when something else already stands at `at`; both ends equal `at` when it may not.
    pub track: [Pt; 2],
    /// Its turn, thousandths of a degree anticlockwise, more than -90000 and at most 90000: read from below or from
    /// the right.
    pub turn_mdeg: i32,
    /// Its height.
    pub height: Height,
    /// Texts of one role about one thing that read alike are one text with several places to choose from, the best first,
    /// unless this tells them apart.
    pub set: u32,
    /// Room along and across the text, plan mm: a painter leaves it out when it would be larger. `None`: always room.
    pub room: Option<[Mm; 2]>,
}

/// What makes a text one with others: role, what it is about, words, set.
pub type TextKey<'a> = (Role, Option<&'a About>, &'a str, u32);

impl Text {
    /// Texts of one key are one text with several places to choose from: a painter writes the first that finds room.
    pub fn key(&self) -> TextKey<'_> {
        (self.role, self.about.as_ref(), self.text.as_str(), self.set)
    }
}

/// The drawing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Scene {
    /// Lines and areas, ordered by role.
    pub marks: Vec<Mark>,
    /// Signs, ordered by role.
    pub symbols: Vec<Symbol>,
    /// Texts, those that matter more first.
    pub texts: Vec<Text>,
}

/// All marks of one role (and tint), as data for one SVG `<path>`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PathGroup {
    /// What they mean.
    pub role: Role,
    /// Which tint; 0 for every role that is no tint.
    pub tint: u8,
    /// Path data in whole plan mm with y turned down: the group needs no mirroring, its view box does.
    pub data: String,
}

impl Scene {
    /// One group a role and tint, in the order of painting. Painted with the even-odd rule.
    pub fn paths(&self) -> Vec<PathGroup> {
        let mut groups: BTreeMap<(Role, u8), String> = BTreeMap::new();
        for mark in &self.marks {
            append(groups.entry((mark.role, mark.tint)).or_default(), &mark.shape);
        }
        groups.into_iter().map(|((role, tint), data)| PathGroup { role, tint, data }).collect()
    }

    /// Path data of everything about one thing, to stress a selection. Even-odd rule; `None` when it has no mark.
    pub fn path_of(&self, about: &About) -> Option<String> {
        let mut data = String::new();
        for mark in self.marks.iter().filter(|m| m.about.as_ref() == Some(about)) {
            append(&mut data, &mark.shape);
        }
        (!data.is_empty()).then_some(data)
    }

    /// What lies at a place or within `reach` mm of it, uppermost first, each thing once.
    pub fn hits(&self, at: Pt, reach: Mm) -> Vec<About> {
        let mut found: Vec<About> = Vec::new();
        let mut add = |about: &Option<About>| {
            if let Some(about) = about
                && !found.contains(about)
            {
                found.push(about.clone());
            }
        };
        for symbol in self.symbols.iter().rev().filter(|s| near(s.at, at, reach)) {
            add(&symbol.about);
        }
        for mark in self.marks.iter().rev().filter(|m| touches(&m.shape, at, reach)) {
            add(&mark.about);
        }
        found
    }

    /// Least and greatest x and y of all that is drawn; `None` when nothing is.
    pub fn bounds(&self) -> Option<(Pt, Pt)> {
        let mut corners: Vec<Pt> = self.symbols.iter().map(|s| s.at).collect();
        for mark in &self.marks {
            match &mark.shape {
                Shape::Line(points) => corners.extend(points),
                Shape::Area(rings) => corners.extend(rings.iter().flatten()),
                Shape::Strokes(strokes) => corners.extend(strokes.iter().flatten()),
                Shape::Circle { centre, radius } => {
                    corners.push(Pt::new(centre.x - radius, centre.y - radius));
                    corners.push(Pt::new(centre.x + radius, centre.y + radius));
                }
            }
        }
        ring::bounds(&corners)
    }

    /// Sorts marks and symbols into the order of painting; things of one role keep their order.
    pub fn settle(&mut self) {
        self.marks.sort_by_key(|m| (m.role, m.tint));
        self.symbols.sort_by_key(|s| s.role);
    }
}

/// SVG path data of one shape: whole mm, y turned down.
pub fn path_data(shape: &Shape) -> String {
    let mut data = String::new();
    append(&mut data, shape);
    data
}

fn append(data: &mut String, shape: &Shape) {
    match shape {
        Shape::Line(points) => run(data, points),
        Shape::Area(rings) => {
            for points in rings.iter().filter(|r| !r.is_empty()) {
                run(data, points);
                data.push('z');
            }
        }
        Shape::Strokes(strokes) => strokes.iter().for_each(|stroke| run(data, stroke)),
        Shape::Circle { centre, radius } => {
            let (left, r) = (centre.x - radius, *radius);
            // Writing to a string cannot fail.
            let _ = write!(
                data,
                "M{left} {y}a{r} {r} 0 1 0 {d} 0a{r} {r} 0 1 0 {m} 0z",
                y = -centre.y,
                d = 2 * r,
                m = -2 * r
            );
        }
    }
}

fn run(data: &mut String, points: &[Pt]) {
    for (i, p) in points.iter().enumerate() {
        let _ = write!(data, "{}{} {}", if i == 0 { 'M' } else { 'L' }, p.x, -p.y);
    }
}

/// Whether a shape comes within `reach` mm of a place; an area also when it holds it.
pub fn touches(shape: &Shape, at: Pt, reach: Mm) -> bool {
    match shape {
        Shape::Line(points) => points.windows(2).any(|w| near_segment(w[0], w[1], at, reach)),
        Shape::Strokes(strokes) => strokes.iter().any(|[a, b]| near_segment(*a, *b, at, reach)),
        Shape::Circle { centre, radius } => near(*centre, at, radius + reach),
        Shape::Area(rings) => {
            ring::locate(at, rings.iter().map(Vec::as_slice)) != ring::Side::Outside
                || rings.iter().any(|r| ring::edges(r).any(|(a, b)| near_segment(a, b, at, reach)))
        }
    }
}

fn near(a: Pt, b: Pt, reach: Mm) -> bool {
    a.distance_squared(b) <= i128::from(reach) * i128::from(reach)
}

/// Whether `p` lies within `reach` of the segment from `a` to `b`; exact.
fn near_segment(a: Pt, b: Pt, p: Pt, reach: Mm) -> bool {
    let length2 = a.distance_squared(b);
    let along = a.dot(b, p);
    if length2 == 0 || along <= 0 {
        return near(a, p, reach);
    }
    if along >= length2 {
        return near(b, p, reach);
    }
    let turn = a.turn(b, p).unsigned_abs();
    // Distance is turn / sqrt(length2); squared against reach squared, guarded against products past 128 bits.
    let reach2 = i128::from(reach) * i128::from(reach);
    match turn.checked_mul(turn) {
        Some(turn2) => reach2.checked_mul(length2).is_none_or(|r| turn2 <= r.unsigned_abs()),
        None => false,
    }
}
