//! Fields of the things of the plan: names, places, side lengths, edge kinds, diameters, levels.
//!
//! In: a session and what is selected. Out: the fields of the part first, then of the whole thing. Every size that the
//! drawing shows can be typed here.

use super::spec::{
    Digits, Spec, angle, choice, length, number, optional_length, optional_number, place, small, step, text,
};
use super::{Group, Outcome, drainage, zone};
use crate::change::{Change, FixedEnd, capital};
use crate::selection::Selection;
use crate::session::Session;
use crate::session::draw::rounded;
use crate::thing::{self, Thing};
use baylap_core::geom::Pt;
use baylap_core::plan::{
    Edge, FallPlane, FreeKind, Id, LevelLine, LevelLineKind, Mm, Outlet, OutletKind, Penetration, Shape,
    UpstandKind, ZoneLine, ZoneLineKind,
};

const MANY: i64 = 1_000_000;

/// What stands along an edge, without its height.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Stands {
    Upstand(UpstandKind),
    Free(FreeKind),
}

const EDGES: &[(Stands, &str, &str)] = &[
    (Stands::Upstand(UpstandKind::Parapet), "parapet", "Parapet"),
    (Stands::Upstand(UpstandKind::Wall), "wall", "Abutting wall"),
    (Stands::Upstand(UpstandKind::Kerb), "kerb", "Kerb"),
    (Stands::Upstand(UpstandKind::Plinth), "plinth", "Plinth"),
    (Stands::Upstand(UpstandKind::Threshold), "threshold", "Threshold"),
    (Stands::Free(FreeKind::Drip), "drip", "Free edge: drip"),
    (Stands::Free(FreeKind::Verge), "verge", "Free edge: verge"),
    (Stands::Free(FreeKind::Gutter), "gutter", "Free edge: gutter"),
];

const ENDS: &[(FixedEnd, &str, &str)] =
    &[(FixedEnd::Start, "start", "Its start stays"), (FixedEnd::End, "end", "Its end stays")];

const OUTLETS: &[(OutletKind, &str, &str)] = &[
    (OutletKind::Gravity, "gravity", "Outlet in the deck"),
    (OutletKind::Overflow, "overflow", "Emergency overflow"),
    (OutletKind::Chute, "chute", "Through a parapet"),
    (OutletKind::Siphonic, "siphonic", "Siphonic"),
];

const ZONE_LINES: &[(ZoneLineKind, &str, &str)] = &[
    (ZoneLineKind::Drawn, "drawn", "Another direction beyond it"),
    (ZoneLineKind::LevelChange, "level_change", "The deck changes level"),
];

const LEVEL_LINES: &[(LevelLineKind, &str, &str)] =
    &[(LevelLineKind::LowLine, "low_line", "Low line"), (LevelLineKind::Ridge, "ridge", "Ridge")];

/// The fields of a selection in the plan.
pub(super) fn groups(session: &Session, what: Selection) -> Vec<Group> {
    let Some(thing) = what.id().and_then(|id| thing::find(session.plan(), id)) else { return Vec::new() };
    let mut all = Vec::new();
    match what {
        Selection::Edge { edge, .. } => {
            let mut specs = side(&thing, edge, session.fixed_end);
            specs.insert(usize::from(!specs.is_empty()), fixed_end(session));
            all.push((format!("Side {}", u64::from(edge) + 1), specs));
        }
        Selection::Corner { corner, .. } if thing.edge_count() > 0 => {
            all.push((format!("Corner {}", u64::from(corner) + 1), corner_place(&thing, corner)));
        }
        _ => {}
    }
    all.push((capital(&thing.title()), whole(&thing)));
    if matches!(what, Selection::Thing(_)) && thing.edge_count() > 0 {
        all.push(("Sides".to_owned(), lengths(&thing, session.fixed_end)));
    }
    all
}

/// Every field that a thing has, for finding one by its path.
pub(super) fn every(session: &Session, id: Id) -> Vec<Group> {
    let Some(thing) = thing::find(session.plan(), id) else { return Vec::new() };
    let mut specs = whole(&thing);
    let count = |n: usize| u32::try_from(n).unwrap_or(0);
    specs.extend((0..count(thing.edge_count())).flat_map(|edge| side(&thing, edge, session.fixed_end)));
    specs.extend((0..count(thing.points().len())).flat_map(|corner| corner_place(&thing, corner)));
    vec![(thing.title(), specs)]
}

/// Fields of the editor itself.
pub(super) fn own(session: &Session) -> Vec<Group> {
    vec![(
        "Editing".to_owned(),
        vec![fixed_end(session), step("step", "Step of grid and arrow keys", session.snap().step)],
    )]
}

fn fixed_end(session: &Session) -> Spec {
    choice("fixed_end", "When its length is typed", Some(session.fixed_end), ENDS, Outcome::FixedEnd)
}

fn lengths(thing: &Thing, fixed: FixedEnd) -> Vec<Spec> {
    let count = u32::try_from(thing.edge_count()).unwrap_or(0);
    (0..count).filter_map(|edge| side_length(thing, edge, fixed)).collect()
}

/// A side's length; typing it keeps the end that the session keeps.
fn side_length(thing: &Thing, edge: u32, fixed: FixedEnd) -> Option<Spec> {
    let (a, b) = thing.edge(edge)?;
    let id = thing.id();
    let label = format!("Side {}", u64::from(edge) + 1);
    Some(length(format!("thing/{id}/edge/{edge}/length"), &label, rounded(a.distance(b)), move |length| {
        Change::SetEdgeLength { id, edge, length, fixed }
    }))
}

/// Length, kind and height of a side.
fn side(thing: &Thing, edge: u32, fixed: FixedEnd) -> Vec<Spec> {
    let id = thing.id();
    let mut specs: Vec<Spec> = side_length(thing, edge, fixed).into_iter().collect();
    let Some(corner) = thing.ring().and_then(|ring| ring.get(edge as usize)) else { return specs };
    let (stands, height) = match corner.edge {
        Edge::Upstand { height, kind } => (Stands::Upstand(kind), Some(height)),
        Edge::Free { kind } => (Stands::Free(kind), None),
    };
    let set = move |kind: Edge| Change::SetEdge { id, edge, kind };
    specs.push(choice(
        format!("thing/{id}/edge/{edge}/kind"),
        "What stands there",
        Some(stands),
        EDGES,
        move |s| {
            Outcome::Change(set(match s {
                Stands::Upstand(kind) => Edge::Upstand { height: height.unwrap_or(150), kind },
                Stands::Free(kind) => Edge::Free { kind },
            }))
        },
    ));
    if let (Some(mm), Stands::Upstand(kind)) = (height, stands) {
        let path = format!("thing/{id}/edge/{edge}/height");
        let spec = small(path, "Height", mm, 0, move |height| set(Edge::Upstand { height, kind }));
        specs.push(spec.usual("usually 150 mm or more"));
    }
    specs
}

fn corner_place(thing: &Thing, corner: u32) -> Vec<Spec> {
    let id = thing.id();
    let Some(&at) = thing.points().get(corner as usize) else { return Vec::new() };
    let to = move |to: Pt| Change::MoveCorner { id, corner, to };
    let path = format!("thing/{id}/corner/{corner}");
    vec![
        place(format!("{path}/x"), "To the right", at.x, move |x| to(Pt::new(x, at.y))),
        place(format!("{path}/y"), "Up", at.y, move |y| to(Pt::new(at.x, y))),
    ]
}

/// The fields of a thing as a whole.
fn whole(thing: &Thing) -> Vec<Spec> {
    let id = thing.id();
    let mut specs = match thing {
        Thing::Penetration(p) => penetration(p),
        Thing::Outlet(o) => outlet(o).into_iter().chain(drainage::intake(o)).collect(),
        Thing::BayEdge(e) => drainage::bay_edge(e),
        Thing::ZoneLine(l) => vec![zone_line_kind(l)],
        Thing::Zone(z) => zone::of(z, &format!("thing/{id}"), None),
        Thing::Spot(s) => {
            let old = s.clone();
            vec![place(format!("thing/{id}/level"), "Level", s.level, move |level| {
                Change::Put(Thing::Spot(baylap_core::plan::SpotLevel { level, ..old.clone() }))
            })]
        }
        Thing::Melter(m) => {
            let old = m.clone();
            let set = move |v: Option<i64>| {
                let litres = v.and_then(|v| u32::try_from(v).ok());
                Change::Put(Thing::Melter(baylap_core::plan::Melter { litres, ..old.clone() }))
            };
            let litres = m.litres.map(i64::from);
            vec![
                optional_number(format!("thing/{id}/litres"), "Holds", litres, Digits::whole(1, MANY), set)
                    .unit("l"),
            ]
        }
        Thing::LevelLine(l) => level_line(l),
        Thing::Plane(p) => plane(p),
        Thing::Deck(_) | Thing::Opening(_) | Thing::Joint(_) | Thing::Way(_) => Vec::new(),
    };
    if thing.edge_count() == 0 {
        specs.extend(corner_place(thing, 0));
    }
    if !matches!(thing, Thing::Spot(_) | Thing::LevelLine(_) | Thing::Plane(_) | Thing::BayEdge(_)) {
        let rename = move |name| Change::Rename { id, name };
        specs.insert(0, text(format!("thing/{id}/name"), "Name", thing.name(), rename));
    }
    specs
}

fn penetration(p: &Penetration) -> Vec<Spec> {
    let id = p.id;
    let mut specs = Vec::new();
    if let Shape::Circle { centre, diameter } = p.shape {
        let old = p.clone();
        specs.push(small(format!("thing/{id}/diameter"), "Diameter", diameter, 1, move |diameter| {
            let shape = Shape::Circle { centre, diameter };
            Change::Put(Thing::Penetration(Penetration { shape, ..old.clone() }))
        }));
    }
    let old = p.clone();
    let collar = optional_length(format!("thing/{id}/collar"), "Collar", p.collar, move |collar| {
        Change::Put(Thing::Penetration(Penetration { collar, ..old.clone() }))
    });
    specs.push(collar.usual("empty: as set for all"));
    let old = p.clone();
    let number = p.pocket.map(i64::from);
    let pocket = optional_number(
        format!("thing/{id}/pocket"),
        "Pitch pocket",
        number,
        Digits::whole(1, MANY),
        move |v| {
            let pocket = v.and_then(|v| u32::try_from(v).ok());
            Change::Put(Thing::Penetration(Penetration { pocket, ..old.clone() }))
        },
    );
    specs.push(pocket.usual("the same number for all in one pocket"));
    specs
}

fn outlet(o: &Outlet) -> Vec<Spec> {
    let id = o.id;
    let size = |key: &str, label: &str, set: fn(&mut Outlet) -> &mut Mm| {
        let mut old = o.clone();
        let value = *set(&mut old);
        small(format!("thing/{id}/{key}"), label, value, 0, move |mm| {
            let mut outlet = old.clone();
            *set(&mut outlet) = mm;
            Change::Put(Thing::Outlet(outlet))
        })
    };
    let old = o.clone();
    let kind = choice(format!("thing/{id}/kind"), "Kind", Some(o.kind), OUTLETS, move |kind| {
        Outcome::Change(Change::Put(Thing::Outlet(Outlet { kind, ..old.clone() })))
    });
    vec![
        kind,
        size("bowl", "Bowl", |o| &mut o.bowl),
        size("clear_zone", "Clear of laps round it", |o| &mut o.clear_zone),
    ]
}

fn zone_line_kind(line: &ZoneLine) -> Spec {
    let old = line.clone();
    choice(format!("thing/{}/kind", line.id), "Why it is there", Some(line.kind), ZONE_LINES, move |kind| {
        Outcome::Change(Change::Put(Thing::ZoneLine(ZoneLine { kind, ..old.clone() })))
    })
}

fn level_line(line: &LevelLine) -> Vec<Spec> {
    let id = line.id;
    let old = line.clone();
    let kind = choice(format!("thing/{id}/kind"), "Kind", Some(line.kind), LEVEL_LINES, move |kind| {
        Outcome::Change(Change::Put(Thing::LevelLine(LevelLine { kind, ..old.clone() })))
    });
    let mut specs = vec![kind];
    specs.extend(line.points.iter().enumerate().map(|(n, point)| {
        let old = line.clone();
        level(
            format!("thing/{id}/level/{n}"),
            &format!("Level at point {}", n + 1),
            point.level,
            move |level| {
                let mut line = old.clone();
                line.points[n].level = level;
                Change::Put(Thing::LevelLine(line))
            },
        )
    }));
    specs
}

/// A level that may be unknown.
pub(super) fn level(
    path: String,
    label: &str,
    value: Option<Mm>,
    set: impl Fn(Option<Mm>) -> Change + 'static,
) -> Spec {
    let mut spec = optional_length(path, label, value, |_| Change::All(Vec::new()));
    spec.field.text = value.map_or_else(String::new, crate::measure::metres);
    spec.set = Box::new(move |text| {
        let mm = if text.trim().is_empty() { None } else { Some(crate::measure::parse_signed(text)?) };
        Ok(Outcome::Change(set(mm)))
    });
    spec
}

fn plane(p: &FallPlane) -> Vec<Spec> {
    let id = p.id;
    let with = |set: fn(&mut FallPlane, i64)| {
        let old = p.clone();
        move |v: i64| {
            let mut plane = old.clone();
            set(&mut plane, v);
            Change::Put(Thing::Plane(plane))
        }
    };
    let turn = with(|p, v| p.direction_mdeg = i32::try_from(v).unwrap_or(0));
    let fall = with(|p, v| p.one_in = u32::try_from(v).unwrap_or(0));
    let direction =
        angle(format!("thing/{id}/direction"), "Water runs towards", Some(p.direction_mdeg), move |mdeg| {
            turn(i64::from(mdeg.unwrap_or(0)))
        });
    vec![
        place(format!("thing/{id}/level"), "Level", p.level, with(|p, mm| p.level = mm)),
        direction,
        number(format!("thing/{id}/one_in"), "Fall 1 in", i64::from(p.one_in), Digits::whole(0, MANY), fall)
            .usual("0 is level"),
    ]
}
