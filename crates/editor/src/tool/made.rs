//! From finished drawing to change.
//!
//! In: a tool, its points and the sizes set with it. Out: the [`Change`] that puts the thing into the plan. It never
//! looks at the screen.

use super::Tool;
use super::draft::{Draft, mdeg_between};
use crate::change::Change;
use crate::thing::Thing;
use baylap_core::geom::Pt;
use baylap_core::geom::ring::{Side, locate_in};
use baylap_core::plan::{
    BayEdge, Corner, Datum, Deck, Direction, Edge, FallPlane, LevelLine, LevelLineKind, LevelPoint, Line,
    Melter, Mm, Opening, Outlet, Penetration, Place, Plan, Ring, Shape, SpotLevel, UpstandKind, ZoneLine,
    ZoneLineKind, ZoneSetting,
};
use baylap_core::{Layout, plan::Id};

/// Height of a new kerb, mm (common practice, no source; the maker's data sheet and local codes go first).
const KERB: Mm = 150;

/// Sizes that a tool keeps from one thing to the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Sizes {
    /// Diameter of the next penetration, mm.
    pub(crate) diameter: Mm,
    /// The next spot level, or level of a plane of fall, mm.
    pub(crate) level: Mm,
    /// Fall of the next plane, as 1 in so many.
    pub(crate) one_in: u32,
}

impl Default for Sizes {
    /// 110 mm is the outside of a usual soil pipe; 1 in 40 is a design fall of BS 6229:2018.
    fn default() -> Self {
        Self { diameter: 110, level: 0, one_in: 40 }
    }
}

/// Bowl and clear zone of a new outlet, mm (common practice, no source).
const BOWL: Mm = 200;
const CLEAR_ZONE: Mm = 500;

/// The change that a finished drawing makes.
pub(crate) fn change(
    tool: Tool,
    draft: &Draft,
    sizes: Sizes,
    plan: &Plan,
    layout: &Layout,
) -> Option<Change> {
    let points = draft.points();
    let (&first, &last) = (points.first()?, points.last()?);
    let name = String::new();
    let points = points.to_vec();
    let thing = match tool {
        Tool::Select | Tool::Pan | Tool::Water | Tool::Section => return None,
        Tool::Datum => {
            let note = plan.datum.as_ref().map_or_else(String::new, |d| d.note.clone());
            return Some(Change::Datum(Some(Datum { zero: first, along: last, note })));
        }
        Tool::Deck => Thing::Deck(Deck { id: 0, name, ring: ring(&points, &Edge::default()) }),
        Tool::OpeningRing => Thing::Opening(Opening { id: 0, name, ring: ring(&points, &kerb()) }),
        Tool::OpeningBox => {
            Thing::Opening(Opening { id: 0, name, ring: ring(&rectangle(first, last), &kerb()) })
        }
        Tool::Penetration => {
            let shape = Shape::Circle { centre: first, diameter: sizes.diameter };
            Thing::Penetration(Penetration { id: 0, name, shape, pocket: None, collar: None })
        }
        Tool::Outlet => {
            Thing::Outlet(Outlet { at: first, bowl: BOWL, clear_zone: CLEAR_ZONE, ..Outlet::default() })
        }
        Tool::Joint => Thing::Joint(Line { id: 0, name, points }),
        Tool::ZoneLine => Thing::ZoneLine(ZoneLine { id: 0, name, points, kind: ZoneLineKind::Drawn }),
        Tool::LevelChange => {
            Thing::ZoneLine(ZoneLine { id: 0, name, points, kind: ZoneLineKind::LevelChange })
        }
        Tool::Direction => Thing::Zone(direction(first, last, plan, layout)),
        Tool::Way => Thing::Way(Place { id: 0, name, at: first }),
        Tool::Melter => Thing::Melter(Melter { id: 0, name, at: first, litres: None }),
        Tool::Spot => Thing::Spot(SpotLevel { id: 0, at: first, level: sizes.level }),
        Tool::LowLine => Thing::LevelLine(level_line(LevelLineKind::LowLine, draft)),
        Tool::Ridge => Thing::LevelLine(level_line(LevelLineKind::Ridge, draft)),
        Tool::Plane => Thing::Plane(FallPlane {
            id: 0,
            at: first,
            level: sizes.level,
            direction_mdeg: i32::try_from(mdeg_between(first, last)).unwrap_or(0),
            one_in: sizes.one_in,
            area: draft.area().unwrap_or_default().to_vec(),
        }),
        Tool::BayEdge => Thing::BayEdge(BayEdge { id: 0, at: first, along: false }),
    };
    Some(Change::Put(thing))
}

fn kerb() -> Edge {
    Edge::Upstand { height: KERB, kind: UpstandKind::Kerb }
}

fn ring(points: &[Pt], edge: &Edge) -> Ring {
    points.iter().map(|&at| Corner { at, edge: edge.clone() }).collect()
}

/// The corners of a rectangle, anticlockwise from the lower left.
pub(crate) fn rectangle(a: Pt, b: Pt) -> Vec<Pt> {
    let (x0, x1, y0, y1) = (a.x.min(b.x), a.x.max(b.x), a.y.min(b.y), a.y.max(b.y));
    vec![Pt::new(x0, y0), Pt::new(x1, y0), Pt::new(x1, y1), Pt::new(x0, y1)]
}

fn level_line(kind: LevelLineKind, draft: &Draft) -> LevelLine {
    let points =
        draft.points().iter().zip(draft.levels()).map(|(&at, &level)| LevelPoint { at, level }).collect();
    LevelLine { id: 0, kind, points }
}

/// The settings of the zone that holds `from`, with a direction along the stretch drawn.
fn direction(from: Pt, to: Pt, plan: &Plan, layout: &Layout) -> ZoneSetting {
    let direction = Direction::Along { from, to };
    let old = setting_at(from, plan, layout).and_then(|id| plan.zones.iter().find(|z| z.id == id));
    match old {
        Some(old) => ZoneSetting { direction, ..old.clone() },
        None => ZoneSetting { at: from, direction, ..ZoneSetting::default() },
    }
}

/// Id of the zone settings that hold at a place: those of a place in the same zone of the layout.
pub(crate) fn setting_at(place: Pt, plan: &Plan, layout: &Layout) -> Option<Id> {
    let zone = layout.zones.iter().find(|z| z.area.iter().any(|r| locate_in(place, r) != Side::Outside))?;
    let inside = |p: Pt| zone.area.iter().any(|r| locate_in(p, r) != Side::Outside);
    plan.zones.iter().find(|z| inside(z.at)).map(|z| z.id)
}
