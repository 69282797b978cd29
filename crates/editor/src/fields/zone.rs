//! Fields of a zone of the layout: laying direction and side of the first course.
//!
//! In: a session and the number of a zone. Out: fields that set the zone's settings in the plan, or make them at a place
//! within the zone when there are none.

use super::spec::{Spec, angle, choice, optional_length};
use super::{Group, Outcome};
use crate::change::Change;
use crate::session::Session;
use crate::thing::Thing;
use crate::tool::draft::mdeg_between;
use crate::tool::made::setting_at;
use baylap_core::geom::Pt;
use baylap_core::geom::ring::{Side, locate_in};
use baylap_core::plan::{Direction, StartSide, ZoneSetting};

/// Which of the ways a direction is given.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Way {
    Best,
    Longest,
    Angle,
    Along,
}

const WAYS: &[(Way, &str, &str)] = &[
    (Way::Best, "best", "Where it needs fewest rolls"),
    (Way::Longest, "longest_wall", "Along the longest wall"),
    (Way::Angle, "angle", "At an angle"),
    (Way::Along, "along", "Along the line drawn"),
];

const SIDES: &[(StartSide, &str, &str)] = &[
    (StartSide::Best, "best", "Where it needs less roll"),
    (StartSide::Right, "right", "On the right of the direction"),
    (StartSide::Left, "left", "On the left of the direction"),
];

/// The fields of zone `number`.
pub(super) fn groups(session: &Session, number: u32) -> Vec<Group> {
    let zone = session.layout().zones.iter().find(|z| z.number == number);
    let Some((zone, setting)) = zone.zip(setting(session, number)) else { return Vec::new() };
    let specs = of(&setting, &format!("zone/{number}"), Some(zone.direction_mdeg));
    vec![(format!("Zone {number}"), specs)]
}

/// The settings of zone `number`; new ones at a place within it, without an id, when the plan has none for it.
pub(crate) fn setting(session: &Session, number: u32) -> Option<ZoneSetting> {
    let layout = session.layout();
    let zone = layout.zones.iter().find(|z| z.number == number)?;
    let inside = |p: &Pt| zone.area.iter().any(|r| locate_in(*p, r) != Side::Outside);
    let labels = layout.bays.iter().filter(|b| b.zone == number).map(|b| b.label);
    let corners = zone.area.iter().flatten().flatten().copied();
    let place = labels.chain(corners).find(inside)?;
    let old = setting_at(place, session.plan(), layout);
    let setting = old.and_then(|id| session.plan().zones.iter().find(|z| z.id == id)).cloned();
    Some(setting.unwrap_or_else(|| ZoneSetting { at: place, ..ZoneSetting::default() }))
}

/// The fields of zone settings, at a path. `laid` is the direction that the engine chose.
pub(super) fn of(setting: &ZoneSetting, path: &str, laid: Option<i32>) -> Vec<Spec> {
    let (way, mdeg) = match setting.direction {
        Direction::Best => (Way::Best, laid),
        Direction::LongestWall => (Way::Longest, laid),
        Direction::Angle { mdeg } => (Way::Angle, Some(mdeg)),
        Direction::Along { from, to } => (Way::Along, i32::try_from(mdeg_between(from, to)).ok()),
    };
    let with = |setting: &ZoneSetting, direction| {
        Change::Put(Thing::Zone(ZoneSetting { direction, ..setting.clone() }))
    };
    let old = setting.clone();
    let ways = choice(format!("{path}/direction"), "Laying direction", Some(way), WAYS, move |way| {
        Outcome::Change(with(
            &old,
            match (way, old.direction) {
                (Way::Best, _) => Direction::Best,
                (Way::Longest, _) => Direction::LongestWall,
                (Way::Along, along @ Direction::Along { .. }) => along,
                _ => Direction::Angle { mdeg: mdeg.unwrap_or(0) },
            },
        ))
    });
    let old = setting.clone();
    let shown = mdeg;
    let angle = angle(format!("{path}/angle"), "Angle", mdeg, move |mdeg| match mdeg {
        None => with(&old, Direction::Best),
        // The angle in force typed again is no wish for another way of giving it.
        Some(_) if mdeg == shown => Change::All(Vec::new()),
        Some(mdeg) => with(&old, Direction::Angle { mdeg }),
    });
    let old = setting.clone();
    let start = choice(format!("{path}/start"), "First course", Some(setting.start), SIDES, move |start| {
        Outcome::Change(Change::Put(Thing::Zone(ZoneSetting { start, ..old.clone() })))
    });
    let old = setting.clone();
    let first =
        optional_length(format!("{path}/first"), "Starts outside the field", setting.first, move |first| {
            Change::Put(Thing::Zone(ZoneSetting { first, ..old.clone() }))
        });
    let first = first.usual("empty: where it needs least");
    vec![ways, angle.usual("0° is to the right, 90° up the sheet"), start, first]
}
