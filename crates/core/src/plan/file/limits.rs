//! The limits of a plan: how much it may hold and between which values each number lies.
//!
//! In: a plan. Out: nothing, or the first number that is out of its range, with its path and the range. The limits keep
//! every sum of the engine far from overflow. They are about numbers alone: a crossed outline or a lap wider than the
//! roll passes here and comes back as a finding.

mod coverings;
mod programme;
mod records;

pub use coverings::LAYERS;
pub use programme::{GANGS, OFF_DAYS};
pub use records::RECORDS;

use super::FileError;
use crate::geom::Pt;
use crate::plan::{
    Corner, Detailing, Direction, Drainage, Edge, Gang, Id, Job, Levels, Mouth, Outlet, Penetration, Plan,
    Products, RollKind, Shape,
};
use std::collections::BTreeMap;

/// Bytes of a file that are read at most.
pub const FILE_BYTES: usize = 16 * 1024 * 1024;
/// Depth of nested lists and objects that is read at most.
pub const DEPTH: usize = 127;
/// Corners and points of a plan in all.
pub const CORNERS: usize = 100_000;
/// Things with an id in a plan.
pub const THINGS: usize = 20_000;
/// Kinds of roll in a plan.
pub const ROLL_KINDS: usize = 100;
/// Coats of membrane.
pub const COATS: usize = 20;
/// Characters of a name or note.
pub const TEXT: usize = 20_000;
/// Largest coordinate or level, either side of zero, mm: ten kilometres.
pub const COORDINATE: i64 = 10_000_000;

/// Largest length that is set rather than drawn (a lap, a roll, a height), mm: one kilometre.
const LENGTH: i64 = 1_000_000;
/// Narrowest roll, mm.
const NARROWEST_ROLL: i64 = 50;
/// Shortest roll, longest piece and longest bay that may be set, mm: anything less makes millions of pieces of a roof.
const SHORTEST: i64 = 500;
/// Smallest pour limit that may be set, hundredths of a m2: one square metre.
const SMALLEST_BAY: i64 = 100;
/// Largest direction, either way round, thousandths of a degree.
const TURN: i64 = 360_000;
/// Largest of the numbers that are neither lengths nor directions.
const NUMBER: i64 = 1_000_000_000;

type Checked = Result<(), FileError>;

/// Checks that every number of a plan is within its limits and that no id stands twice.
///
/// # Errors
/// The first number that is not, by its path in the plan file.
pub fn check(plan: &Plan) -> Checked {
    check_job(&plan.job)?;
    check_ids(plan)?;
    check_corners(plan)?;
    check_names(plan)?;
    check_rings(plan)?;
    each(&plan.penetrations, "plan.penetrations", check_penetration)?;
    each(&plan.outlets, "plan.outlets", check_outlet)?;
    check_lines(plan)?;
    check_levels(&plan.levels)?;
    check_places(plan)?;
    check_products(&plan.products)?;
    check_gang(&plan.gang)?;
    check_drainage(&plan.drainage)?;
    each(&plan.bay_edges, "plan.bay_edges", |p, edge| point(&format!("{p}.at"), &edge.at))?;
    programme::check(&plan.programme)?;
    check_detailing(&plan.detailing)?;
    coverings::check(&plan.coverings)?;
    records::check(plan)
}

fn check_job(job: &Job) -> Checked {
    let texts = [
        ("name", &job.name),
        ("number", &job.number),
        ("part", &job.part),
        ("client", &job.client),
        ("drawn_by", &job.drawn_by),
        ("revision", &job.revision),
        ("date", &job.date),
        ("notes", &job.notes),
    ];
    for (name, text) in texts {
        short(&format!("plan.job.{name}"), text)?;
    }
    optional("plan.job.north_mdeg", job.north_mdeg.map(i64::from), -TURN, TURN)
}

fn check_ids(plan: &Plan) -> Checked {
    let ids = ids(plan);
    many("things", ids.len(), THINGS)?;
    let mut seen: BTreeMap<Id, String> = BTreeMap::new();
    for (path, id) in ids {
        if let Some(first) = seen.get(&id) {
            let what = format!("the id {id} stands a second time, {first} having it already");
            return Err(FileError::field(format!("{path}.id"), what, "give each thing an id of its own"));
        }
        seen.insert(id, path);
    }
    Ok(())
}

/// Every thing with an id: its path in the file and the id, in the order of the file.
pub fn ids(plan: &Plan) -> Vec<(String, Id)> {
    let mut out = Vec::new();
    let mut add = |list: &str, ids: Vec<Id>| {
        out.extend(ids.into_iter().enumerate().map(|(i, id)| (format!("plan.{list}[{i}]"), id)));
    };
    add("decks", plan.decks.iter().map(|t| t.id).collect());
    add("openings", plan.openings.iter().map(|t| t.id).collect());
    add("penetrations", plan.penetrations.iter().map(|t| t.id).collect());
    add("outlets", plan.outlets.iter().map(|t| t.id).collect());
    add("joints", plan.joints.iter().map(|t| t.id).collect());
    add("zone_lines", plan.zone_lines.iter().map(|t| t.id).collect());
    add("zones", plan.zones.iter().map(|t| t.id).collect());
    add("levels.spots", plan.levels.spots.iter().map(|t| t.id).collect());
    add("levels.lines", plan.levels.lines.iter().map(|t| t.id).collect());
    add("levels.planes", plan.levels.planes.iter().map(|t| t.id).collect());
    add("ways", plan.ways.iter().map(|t| t.id).collect());
    add("melters", plan.melters.iter().map(|t| t.id).collect());
    add("bay_edges", plan.bay_edges.iter().map(|t| t.id).collect());
    add("programme.gangs", plan.programme.gangs.iter().map(|t| t.id).collect());
    add("programme.ties", plan.programme.ties.iter().map(|t| t.id).collect());
    out
}

fn check_corners(plan: &Plan) -> Checked {
    let rings = plan.decks.iter().map(|d| d.ring.len()).chain(plan.openings.iter().map(|o| o.ring.len()));
    let shapes = plan.penetrations.iter().map(|p| match &p.shape {
        Shape::Circle { .. } => 1,
        Shape::Ring { corners } => corners.len(),
    });
    let lines = plan.joints.iter().map(|l| l.points.len());
    let zone_lines = plan.zone_lines.iter().map(|l| l.points.len());
    let levels = plan.levels.lines.iter().map(|l| l.points.len());
    let planes = plan.levels.planes.iter().map(|p| p.area.len());
    let count = rings.chain(shapes).chain(lines).chain(zone_lines).chain(levels).chain(planes).sum();
    many("corners", count, CORNERS)
}

fn check_names(plan: &Plan) -> Checked {
    each(&plan.decks, "plan.decks", |p, t| short(&format!("{p}.name"), &t.name))?;
    each(&plan.openings, "plan.openings", |p, t| short(&format!("{p}.name"), &t.name))?;
    each(&plan.penetrations, "plan.penetrations", |p, t| short(&format!("{p}.name"), &t.name))?;
    each(&plan.outlets, "plan.outlets", |p, t| short(&format!("{p}.name"), &t.name))?;
    each(&plan.joints, "plan.joints", |p, t| short(&format!("{p}.name"), &t.name))?;
    each(&plan.zone_lines, "plan.zone_lines", |p, t| short(&format!("{p}.name"), &t.name))?;
    each(&plan.zones, "plan.zones", |p, t| short(&format!("{p}.name"), &t.name))?;
    each(&plan.ways, "plan.ways", |p, t| short(&format!("{p}.name"), &t.name))?;
    each(&plan.melters, "plan.melters", |p, t| short(&format!("{p}.name"), &t.name))
}

fn check_rings(plan: &Plan) -> Checked {
    each(&plan.decks, "plan.decks", |p, deck| each(&deck.ring, &format!("{p}.ring"), check_corner))?;
    each(&plan.openings, "plan.openings", |p, hole| each(&hole.ring, &format!("{p}.ring"), check_corner))
}

fn check_corner(path: &str, corner: &Corner) -> Checked {
    point(&format!("{path}.at"), &corner.at)?;
    match corner.edge {
        Edge::Upstand { height, .. } => range(&format!("{path}.edge.upstand.height"), height, 0, LENGTH),
        Edge::Free { .. } => Ok(()),
    }
}

fn check_penetration(path: &str, penetration: &Penetration) -> Checked {
    optional(&format!("{path}.collar"), penetration.collar, 0, LENGTH)?;
    match &penetration.shape {
        Shape::Circle { centre, diameter } => {
            point(&format!("{path}.shape.circle.centre"), centre)?;
            range(&format!("{path}.shape.circle.diameter"), *diameter, 1, LENGTH)
        }
        Shape::Ring { corners } => each(corners, &format!("{path}.shape.ring.corners"), point),
    }
}

fn check_outlet(path: &str, outlet: &Outlet) -> Checked {
    point(&format!("{path}.at"), &outlet.at)?;
    range(&format!("{path}.bowl"), outlet.bowl, 0, LENGTH)?;
    range(&format!("{path}.clear_zone"), outlet.clear_zone, 0, LENGTH)?;
    let intake = &outlet.intake;
    optional(&format!("{path}.intake.level"), intake.level, -COORDINATE, COORDINATE)?;
    range(&format!("{path}.intake.sill"), intake.sill, 0, LENGTH)?;
    range(&format!("{path}.intake.head"), intake.head, 0, LENGTH)?;
    match intake.mouth {
        None => Ok(()),
        Some(Mouth::Round { diameter }) => {
            range(&format!("{path}.intake.mouth.round.diameter"), diameter, 1, LENGTH)
        }
        Some(Mouth::Other { weir, area }) => {
            range(&format!("{path}.intake.mouth.other.weir"), weir, 1, LENGTH)?;
            range(&format!("{path}.intake.mouth.other.area"), area, 1, NUMBER)
        }
    }
}

fn check_lines(plan: &Plan) -> Checked {
    each(&plan.joints, "plan.joints", |p, line| each(&line.points, &format!("{p}.points"), point))?;
    each(&plan.zone_lines, "plan.zone_lines", |p, line| each(&line.points, &format!("{p}.points"), point))?;
    each(&plan.zones, "plan.zones", |p, zone| {
        point(&format!("{p}.at"), &zone.at)?;
        optional(&format!("{p}.first"), zone.first, 0, LENGTH)?;
        match zone.direction {
            Direction::Best | Direction::LongestWall => Ok(()),
            Direction::Angle { mdeg } => {
                range(&format!("{p}.direction.angle.mdeg"), i64::from(mdeg), -TURN, TURN)
            }
            Direction::Along { from, to } => {
                point(&format!("{p}.direction.along.from"), &from)?;
                point(&format!("{p}.direction.along.to"), &to)
            }
        }
    })
}

fn check_levels(levels: &Levels) -> Checked {
    each(&levels.spots, "plan.levels.spots", |p, spot| {
        point(&format!("{p}.at"), &spot.at)?;
        range(&format!("{p}.level"), spot.level, -COORDINATE, COORDINATE)
    })?;
    each(&levels.lines, "plan.levels.lines", |p, line| {
        each(&line.points, &format!("{p}.points"), |p, q| {
            point(&format!("{p}.at"), &q.at)?;
            optional(&format!("{p}.level"), q.level, -COORDINATE, COORDINATE)
        })
    })?;
    each(&levels.planes, "plan.levels.planes", |p, plane| {
        point(&format!("{p}.at"), &plane.at)?;
        range(&format!("{p}.level"), plane.level, -COORDINATE, COORDINATE)?;
        range(&format!("{p}.direction_mdeg"), i64::from(plane.direction_mdeg), -TURN, TURN)?;
        range(&format!("{p}.one_in"), i64::from(plane.one_in), 0, LENGTH)?;
        each(&plane.area, &format!("{p}.area"), point)
    })
}

fn check_places(plan: &Plan) -> Checked {
    each(&plan.ways, "plan.ways", |p, way| point(&format!("{p}.at"), &way.at))?;
    each(&plan.melters, "plan.melters", |p, melter| point(&format!("{p}.at"), &melter.at))?;
    let Some(datum) = &plan.datum else { return Ok(()) };
    point("plan.datum.zero", &datum.zero)?;
    point("plan.datum.along", &datum.along)?;
    short("plan.datum.note", &datum.note)
}

fn check_products(products: &Products) -> Checked {
    many("kinds of roll", products.rolls.len(), ROLL_KINDS)?;
    many("coats", products.coats.len(), COATS)?;
    each(&products.rolls, "plan.products.rolls", check_roll)?;
    let settings = [
        ("side_lap", products.side_lap, 0, LENGTH),
        ("end_lap", products.end_lap, 0, LENGTH),
        ("stagger", products.stagger, 0, LENGTH),
        ("clear", products.clear, 0, LENGTH),
        ("edge_gap", products.edge_gap, 0, LENGTH),
        ("foot", products.foot, 0, LENGTH),
        ("collar", products.collar, 0, LENGTH),
        ("least_strip", products.least_strip, 0, LENGTH),
        ("least_piece", products.least_piece, 0, LENGTH),
        ("longest_piece", products.longest_piece, SHORTEST, LENGTH),
        ("least_offcut", products.least_offcut, 0, LENGTH),
        ("kerf", products.kerf, 0, LENGTH),
        ("sheet_width", products.sheet_width, NARROWEST_ROLL, LENGTH),
        ("sheet_length", products.sheet_length, SHORTEST, LENGTH),
        ("sheet_lap", products.sheet_lap, 0, LENGTH),
        ("sheet_end_lap", products.sheet_end_lap.unwrap_or(0), 0, LENGTH),
        ("sheet_off_laps", products.sheet_off_laps, 0, LENGTH),
        ("density", products.density, 1, LENGTH),
        ("block", products.block, 1, LENGTH),
        ("primer_coverage", products.primer_coverage, 1, LENGTH),
        ("primer_tin", products.primer_tin, 1, LENGTH),
        ("prices.roll", products.prices.roll, 0, NUMBER),
        ("prices.lap_metre", products.prices.lap_metre, 0, NUMBER),
        ("prices.cut", products.prices.cut, 0, NUMBER),
        ("prices.end_lap", products.prices.end_lap, 0, NUMBER),
        ("prices.slit_metre", products.prices.slit_metre, 0, NUMBER),
    ];
    for (name, value, least, most) in settings {
        range(&format!("plan.products.{name}"), value, least, most)?;
    }
    each(&products.coats, "plan.products.coats", |p, &coat| range(p, coat, 0, LENGTH))
}

fn check_roll(path: &str, roll: &RollKind) -> Checked {
    short(&format!("{path}.name"), &roll.name)?;
    range(&format!("{path}.width"), roll.width, NARROWEST_ROLL, LENGTH)?;
    range(&format!("{path}.length"), roll.length, SHORTEST, LENGTH)?;
    optional(&format!("{path}.price"), roll.price, 0, NUMBER)
}

fn check_gang(gang: &Gang) -> Checked {
    range("plan.gang.people", i64::from(gang.people), 0, LENGTH)?;
    range("plan.gang.courses_per_bay", i64::from(gang.courses_per_bay), 1, LENGTH)?;
    range("plan.gang.open_rolls", i64::from(gang.open_rolls), 0, LENGTH)?;
    optional("plan.gang.bay_area", gang.bay_area, SMALLEST_BAY, NUMBER)?;
    optional("plan.gang.bay_length", gang.bay_length, SHORTEST, COORDINATE)?;
    optional("plan.gang.rate", gang.rate, 1, NUMBER)?;
    optional("plan.gang.day_minutes", gang.day_minutes.map(i64::from), 1, 24 * 60)
}

fn check_drainage(drainage: &Drainage) -> Checked {
    let settings = [
        ("least_one_in", i64::from(drainage.least_one_in), LENGTH),
        ("design_one_in", i64::from(drainage.design_one_in), LENGTH),
        ("flat_one_in", i64::from(drainage.flat_one_in), LENGTH),
        ("least_pond", drainage.least_pond, LENGTH),
        ("runoff", i64::from(drainage.runoff), 1000),
        ("wall_height", drainage.wall_height, LENGTH),
        ("wall_share", i64::from(drainage.wall_share), 1000),
    ];
    for (name, value, most) in settings {
        range(&format!("plan.drainage.{name}"), value, 0, most)?;
    }
    optional("plan.drainage.rain", drainage.rain.map(i64::from), 0, LENGTH)
}

fn check_detailing(detailing: &Detailing) -> Checked {
    optional("plan.detailing.joint_girth", detailing.joint_girth, 0, LENGTH)?;
    optional("plan.detailing.bar_centres", detailing.bar_centres, 1, LENGTH)?;
    optional("plan.detailing.pocket_depth", detailing.pocket_depth, 0, LENGTH)
}

/// Checks each of a list; the check is told the path of the one it checks.
fn each<T>(list: &[T], path: &str, check_one: impl Fn(&str, &T) -> Checked) -> Checked {
    list.iter().enumerate().try_for_each(|(i, one)| check_one(&format!("{path}[{i}]"), one))
}

fn point(path: &str, p: &Pt) -> Checked {
    range(&format!("{path}[0]"), p.x, -COORDINATE, COORDINATE)?;
    range(&format!("{path}[1]"), p.y, -COORDINATE, COORDINATE)
}

fn optional(path: &str, value: Option<i64>, least: i64, most: i64) -> Checked {
    value.map_or(Ok(()), |v| range(path, v, least, most))
}

fn range(path: &str, value: i64, least: i64, most: i64) -> Checked {
    if (least..=most).contains(&value) {
        return Ok(());
    }
    let what = format!("{value} is out of range");
    Err(FileError::field(path, what, format!("write a whole number from {least} to {most}")))
}

fn short(path: &str, text: &str) -> Checked {
    let count = text.chars().count();
    if count <= TEXT {
        return Ok(());
    }
    let what = format!("the text has {count} characters");
    Err(FileError::field(path, what, format!("shorten it to {TEXT} at most")))
}

fn many(things: &'static str, count: usize, limit: usize) -> Checked {
    if count <= limit { Ok(()) } else { Err(FileError::TooMany { things, count, limit }) }
}
