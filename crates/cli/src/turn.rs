//! Laying every zone of a plan in one direction.
//!
//! In: a plan and a direction. Out: the plan with a setting of that direction in every zone. The engine says what the
//! zones are, so it is asked once; what the plan says of start sides stays.

use baylap_core::geom::ring::{self, Side};
use baylap_core::layout::{Layout, Zone};
use baylap_core::plan::{Direction, Plan, ZoneSetting, file};

/// The plan with every zone laid at `mdeg` thousandths of a degree.
pub(crate) fn turned(mut plan: Plan, mdeg: i32) -> Plan {
    let direction = Direction::Angle { mdeg };
    for setting in &mut plan.zones {
        setting.direction = direction;
    }
    let layout = baylap_core::lay(&plan);
    let used: Vec<u32> = file::ids(&plan).into_iter().map(|(_, id)| id).collect();
    let free = (1..=u32::MAX).filter(|id| !used.contains(id));
    let unset: Vec<&Zone> = layout.zones.iter().filter(|zone| !is_set(&plan, zone)).collect();
    let added: Vec<ZoneSetting> = unset
        .into_iter()
        .filter_map(|zone| place_in(&layout, zone))
        .zip(free)
        .map(|(at, id)| ZoneSetting { id, at, direction, ..ZoneSetting::default() })
        .collect();
    plan.zones.extend(added);
    plan
}

fn is_set(plan: &Plan, zone: &Zone) -> bool {
    let holds = |setting: &ZoneSetting| {
        zone.area.iter().any(|area| ring::locate_in(setting.at, area) == Side::Inside)
    };
    plan.zones.iter().any(holds)
}

/// A place well inside a zone: the label of its largest bay.
fn place_in(layout: &Layout, zone: &Zone) -> Option<baylap_core::geom::Pt> {
    layout.bays.iter().filter(|bay| bay.zone == zone.number).max_by_key(|bay| bay.size).map(|bay| bay.label)
}
