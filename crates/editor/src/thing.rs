//! Any thing of a plan that has an id, whatever list it is kept in.
//!
//! In: a plan and an id. Out: a copy of the thing, put back by [`put`]. It knows where each kind is kept and which
//! points it has; it does not judge whether the thing makes sense.

use baylap_core::geom::Pt;
use baylap_core::plan::{
    BayEdge, Corner, Deck, FallPlane, Id, LevelLine, LevelLineKind, Line, Melter, Opening, Outlet,
    Penetration, Place, Plan, Shape, SpotLevel, ZoneLine, ZoneLineKind, ZoneSetting,
};

/// A thing of the plan that has an id. An id of 0 asks for a new one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Thing {
    /// A deck.
    Deck(Deck),
    /// An opening.
    Opening(Opening),
    /// A penetration.
    Penetration(Penetration),
    /// An outlet.
    Outlet(Outlet),
    /// A movement joint.
    Joint(Line),
    /// A zone line.
    ZoneLine(ZoneLine),
    /// The settings of a zone.
    Zone(ZoneSetting),
    /// A way on and off.
    Way(Place),
    /// A melter.
    Melter(Melter),
    /// A spot level.
    Spot(SpotLevel),
    /// A ridge or a low line.
    LevelLine(LevelLine),
    /// A plane of fall.
    Plane(FallPlane),
    /// A place that a bay edge is wanted at.
    BayEdge(BayEdge),
}

/// Does the same with whatever is inside a `Thing`: all kinds have an `id`.
macro_rules! each {
    ($thing:expr, $t:ident => $body:expr) => {
        match $thing {
            Thing::Deck($t) => $body,
            Thing::Opening($t) => $body,
            Thing::Penetration($t) => $body,
            Thing::Outlet($t) => $body,
            Thing::Joint($t) => $body,
            Thing::ZoneLine($t) => $body,
            Thing::Zone($t) => $body,
            Thing::Way($t) => $body,
            Thing::Melter($t) => $body,
            Thing::Spot($t) => $body,
            Thing::LevelLine($t) => $body,
            Thing::Plane($t) => $body,
            Thing::BayEdge($t) => $body,
        }
    };
}

impl Thing {
    /// Its id.
    pub fn id(&self) -> Id {
        each!(self, t => t.id)
    }

    /// The same thing with another id.
    #[must_use]
    pub fn with_id(mut self, id: Id) -> Self {
        each!(&mut self, t => t.id = id);
        self
    }

    /// What it is, in the trade's word.
    pub fn noun(&self) -> &'static str {
        match self {
            Thing::Deck(_) => "deck",
            Thing::Opening(_) => "opening",
            Thing::Penetration(_) => "penetration",
            Thing::Outlet(_) => "outlet",
            Thing::Joint(_) => "movement joint",
            Thing::ZoneLine(l) => match l.kind {
                ZoneLineKind::Drawn => "zone line",
                ZoneLineKind::LevelChange => "change of level",
            },
            Thing::Zone(_) => "laying direction",
            Thing::Way(_) => "way off",
            Thing::Melter(_) => "melter",
            Thing::Spot(_) => "spot level",
            Thing::LevelLine(l) => match l.kind {
                LevelLineKind::LowLine => "low line",
                LevelLineKind::Ridge => "ridge",
            },
            Thing::Plane(_) => "plane of fall",
            Thing::BayEdge(_) => "bay edge",
        }
    }

    /// Its name, empty when it has none.
    pub fn name(&self) -> &str {
        match self {
            Thing::Deck(t) => &t.name,
            Thing::Opening(t) => &t.name,
            Thing::Penetration(t) => &t.name,
            Thing::Outlet(t) => &t.name,
            Thing::Joint(t) => &t.name,
            Thing::ZoneLine(t) => &t.name,
            Thing::Zone(t) => &t.name,
            Thing::Way(t) => &t.name,
            Thing::Melter(t) => &t.name,
            Thing::Spot(_) | Thing::LevelLine(_) | Thing::Plane(_) | Thing::BayEdge(_) => "",
        }
    }

    /// Place for its name, for the kinds that have one.
    pub(crate) fn name_mut(&mut self) -> Option<&mut String> {
        match self {
            Thing::Deck(t) => Some(&mut t.name),
            Thing::Opening(t) => Some(&mut t.name),
            Thing::Penetration(t) => Some(&mut t.name),
            Thing::Outlet(t) => Some(&mut t.name),
            Thing::Joint(t) => Some(&mut t.name),
            Thing::ZoneLine(t) => Some(&mut t.name),
            Thing::Zone(t) => Some(&mut t.name),
            Thing::Way(t) => Some(&mut t.name),
            Thing::Melter(t) => Some(&mut t.name),
            Thing::Spot(_) | Thing::LevelLine(_) | Thing::Plane(_) | Thing::BayEdge(_) => None,
        }
    }

    /// What to call it: "opening 7" or "opening 7, roof light".
    pub fn title(&self) -> String {
        let (noun, id, name) = (self.noun(), self.id(), self.name());
        if name.is_empty() { format!("{noun} {id}") } else { format!("{noun} {id}, {name}") }
    }

    /// Its corners or points, in order.
    pub fn points(&self) -> Vec<Pt> {
        match self {
            Thing::Deck(t) => t.ring.iter().map(|c| c.at).collect(),
            Thing::Opening(t) => t.ring.iter().map(|c| c.at).collect(),
            Thing::Penetration(t) => match &t.shape {
                Shape::Circle { centre, .. } => vec![*centre],
                Shape::Ring { corners } => corners.clone(),
            },
            Thing::Outlet(t) => vec![t.at],
            Thing::Joint(t) => t.points.clone(),
            Thing::ZoneLine(t) => t.points.clone(),
            Thing::Zone(t) => vec![t.at],
            Thing::Way(t) => vec![t.at],
            Thing::Melter(t) => vec![t.at],
            Thing::Spot(t) => vec![t.at],
            Thing::BayEdge(t) => vec![t.at],
            Thing::LevelLine(t) => t.points.iter().map(|p| p.at).collect(),
            Thing::Plane(t) => std::iter::once(t.at).chain(t.area.iter().copied()).collect(),
        }
    }

    /// Places of its corners or points, to change them.
    pub(crate) fn points_mut(&mut self) -> Vec<&mut Pt> {
        match self {
            Thing::Deck(t) => t.ring.iter_mut().map(|c| &mut c.at).collect(),
            Thing::Opening(t) => t.ring.iter_mut().map(|c| &mut c.at).collect(),
            Thing::Penetration(t) => match &mut t.shape {
                Shape::Circle { centre, .. } => vec![centre],
                Shape::Ring { corners } => corners.iter_mut().collect(),
            },
            Thing::Outlet(t) => vec![&mut t.at],
            Thing::Joint(t) => t.points.iter_mut().collect(),
            Thing::ZoneLine(t) => t.points.iter_mut().collect(),
            Thing::Zone(t) => vec![&mut t.at],
            Thing::Way(t) => vec![&mut t.at],
            Thing::Melter(t) => vec![&mut t.at],
            Thing::Spot(t) => vec![&mut t.at],
            Thing::BayEdge(t) => vec![&mut t.at],
            Thing::LevelLine(t) => t.points.iter_mut().map(|p| &mut p.at).collect(),
            Thing::Plane(t) => std::iter::once(&mut t.at).chain(t.area.iter_mut()).collect(),
        }
    }

    /// Whether its points close to a ring.
    pub fn closed(&self) -> bool {
        match self {
            Thing::Deck(_) | Thing::Opening(_) => true,
            Thing::Penetration(t) => matches!(t.shape, Shape::Ring { .. }),
            _ => false,
        }
    }

    /// Number of its edges: of a ring as many as corners, of a line one less than points, of a place none.
    pub fn edge_count(&self) -> usize {
        let n = match self {
            Thing::Plane(_) => 0,
            _ => self.points().len(),
        };
        if self.closed() { n } else { n.saturating_sub(1) }
    }

    /// The ends of an edge.
    pub fn edge(&self, edge: u32) -> Option<(Pt, Pt)> {
        let n = edge as usize;
        let points = self.points();
        (n < self.edge_count()).then(|| (points[n], points[(n + 1) % points.len()]))
    }

    /// Its ring with edges, for decks and openings.
    pub fn ring(&self) -> Option<&[Corner]> {
        match self {
            Thing::Deck(t) => Some(&t.ring),
            Thing::Opening(t) => Some(&t.ring),
            _ => None,
        }
    }

    /// Its ring, to change it.
    pub(crate) fn ring_mut(&mut self) -> Option<&mut Vec<Corner>> {
        match self {
            Thing::Deck(t) => Some(&mut t.ring),
            Thing::Opening(t) => Some(&mut t.ring),
            _ => None,
        }
    }
}

/// Finds the thing with an id.
pub fn find(plan: &Plan, id: Id) -> Option<Thing> {
    /// The one of a list that has the id, as a `Thing`.
    macro_rules! in_list {
        ($list:expr, $kind:ident) => {
            if let Some(t) = $list.iter().find(|t| t.id == id) {
                return Some(Thing::$kind(t.clone()));
            }
        };
    }
    in_list!(plan.decks, Deck);
    in_list!(plan.openings, Opening);
    in_list!(plan.penetrations, Penetration);
    in_list!(plan.outlets, Outlet);
    in_list!(plan.joints, Joint);
    in_list!(plan.zone_lines, ZoneLine);
    in_list!(plan.zones, Zone);
    in_list!(plan.ways, Way);
    in_list!(plan.melters, Melter);
    in_list!(plan.levels.spots, Spot);
    in_list!(plan.levels.lines, LevelLine);
    in_list!(plan.levels.planes, Plane);
    in_list!(plan.bay_edges, BayEdge);
    None
}

/// Every thing of the plan, kind by kind in the order drawn: decks first.
pub fn all(plan: &Plan) -> Vec<Thing> {
    let mut things: Vec<Thing> = plan.decks.iter().cloned().map(Thing::Deck).collect();
    things.extend(plan.openings.iter().cloned().map(Thing::Opening));
    things.extend(plan.penetrations.iter().cloned().map(Thing::Penetration));
    things.extend(plan.outlets.iter().cloned().map(Thing::Outlet));
    things.extend(plan.joints.iter().cloned().map(Thing::Joint));
    things.extend(plan.zone_lines.iter().cloned().map(Thing::ZoneLine));
    things.extend(plan.zones.iter().cloned().map(Thing::Zone));
    things.extend(plan.ways.iter().cloned().map(Thing::Way));
    things.extend(plan.melters.iter().cloned().map(Thing::Melter));
    things.extend(plan.levels.spots.iter().cloned().map(Thing::Spot));
    things.extend(plan.levels.lines.iter().cloned().map(Thing::LevelLine));
    things.extend(plan.levels.planes.iter().cloned().map(Thing::Plane));
    things.extend(plan.bay_edges.iter().cloned().map(Thing::BayEdge));
    things
}

/// Puts a thing into the plan: in place of the one with its id, or at the end of its list.
pub fn put(plan: &mut Plan, thing: Thing) {
    /// Replaces in a list, or appends.
    macro_rules! into_list {
        ($list:expr, $t:expr) => {
            match $list.iter_mut().find(|old| old.id == $t.id) {
                Some(old) => *old = $t,
                None => $list.push($t),
            }
        };
    }
    match thing {
        Thing::Deck(t) => into_list!(plan.decks, t),
        Thing::Opening(t) => into_list!(plan.openings, t),
        Thing::Penetration(t) => into_list!(plan.penetrations, t),
        Thing::Outlet(t) => into_list!(plan.outlets, t),
        Thing::Joint(t) => into_list!(plan.joints, t),
        Thing::ZoneLine(t) => into_list!(plan.zone_lines, t),
        Thing::Zone(t) => into_list!(plan.zones, t),
        Thing::Way(t) => into_list!(plan.ways, t),
        Thing::Melter(t) => into_list!(plan.melters, t),
        Thing::Spot(t) => into_list!(plan.levels.spots, t),
        Thing::LevelLine(t) => into_list!(plan.levels.lines, t),
        Thing::Plane(t) => into_list!(plan.levels.planes, t),
        Thing::BayEdge(t) => into_list!(plan.bay_edges, t),
    }
}

/// Takes the thing with an id out of the plan, wherever it is.
pub fn remove(plan: &mut Plan, id: Id) {
    plan.decks.retain(|t| t.id != id);
    plan.openings.retain(|t| t.id != id);
    plan.penetrations.retain(|t| t.id != id);
    plan.outlets.retain(|t| t.id != id);
    plan.joints.retain(|t| t.id != id);
    plan.zone_lines.retain(|t| t.id != id);
    plan.zones.retain(|t| t.id != id);
    plan.ways.retain(|t| t.id != id);
    plan.melters.retain(|t| t.id != id);
    plan.levels.spots.retain(|t| t.id != id);
    plan.levels.lines.retain(|t| t.id != id);
    plan.levels.planes.retain(|t| t.id != id);
    plan.bay_edges.retain(|t| t.id != id);
}

/// Roughly how much a plan holds, in corners: what decides how many steps of it are kept.
pub(crate) fn weight(plan: &Plan) -> usize {
    let rings = plan.decks.iter().map(|d| d.ring.len()).chain(plan.openings.iter().map(|o| o.ring.len()));
    let others = plan.penetrations.len() + plan.outlets.len() + plan.joints.len() + plan.zone_lines.len();
    let levels = plan.levels.spots.len() + plan.levels.lines.len() + plan.levels.planes.len();
    let recorded = 2 * plan.records.len();
    rings.sum::<usize>() + 4 * (others + levels + plan.zones.len() + plan.bay_edges.len() + 1) + recorded
}

/// The greatest id in use, 0 in an empty plan.
pub fn greatest_id(plan: &Plan) -> Id {
    all(plan).iter().map(Thing::id).chain(ids_of_programme(plan)).max().unwrap_or(0)
}

/// Ids that are no things on the plan: gangs and ties.
fn ids_of_programme(plan: &Plan) -> impl Iterator<Item = Id> + '_ {
    let programme = &plan.programme;
    programme.gangs.iter().map(|g| g.id).chain(programme.ties.iter().map(|t| t.id))
}

/// Whether an id is given to anything, on the plan or in its programme.
pub(crate) fn is_taken(plan: &Plan, id: Id) -> bool {
    find(plan, id).is_some() || ids_of_programme(plan).any(|taken| taken == id)
}
