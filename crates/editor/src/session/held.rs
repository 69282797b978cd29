//! Holding what the engine would choose, and giving it back.
//!
//! In: a zone of the layout and a direction or a start of it. Out: one change of the zone's settings. A start is a place
//! across one direction, so holding it holds the direction as well. It computes no layout.

use super::Session;
use crate::change::Change;
use crate::fields::setting_of_zone;
use crate::history::Policy;
use crate::measure;
use crate::message::{Effects, Hold};
use crate::selection::Selection;
use crate::thing::Thing;
use baylap_core::geom::Pt;
use baylap_core::layout::Zone;
use baylap_core::plan::{Direction, StartSide, ZoneSetting};

impl Session {
    /// Whether direction and start of a zone of the layout are held by its settings.
    pub fn held(&self, zone: u32) -> (bool, bool) {
        setting_of_zone(self, zone).map_or((false, false), |s| {
            (s.direction != Direction::Best, s.first.is_some() || s.start != StartSide::Best)
        })
    }

    /// A stretch through the middle of a zone of the layout in a direction, to show what is meant by it.
    #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
    pub fn direction_line(&self, zone: u32, mdeg: i32) -> Option<Vec<Pt>> {
        let (lo, hi) = self.bounds_of(Selection::Zone(zone))?;
        let half = (hi.x - lo.x).min(hi.y - lo.y) as f64 * 0.45;
        let [x, y] = vector(Direction::Angle { mdeg });
        let (cx, cy) = (lo.x.midpoint(hi.x), lo.y.midpoint(hi.y));
        let (dx, dy) = ((x * half).round() as i64, (y * half).round() as i64);
        Some(vec![Pt::new(cx - dx, cy - dy), Pt::new(cx + dx, cy + dy)])
    }

    pub(super) fn hold(&mut self, hold: Hold, fx: &mut Effects) {
        let Some(old) = setting_of_zone(self, hold.zone()) else {
            self.refuse(
                format!("There is no zone {} in this layout any more: pick another.", hold.zone()),
                fx,
            );
            return;
        };
        let (setting, said) = match hold {
            Hold::Direction { zone, mdeg } => {
                let said = format!("Zone {zone} is held at {}.", measure::degrees(i64::from(mdeg)));
                (ZoneSetting { direction: Direction::Angle { mdeg }, first: None, ..old }, said)
            }
            Hold::Start { zone, first } => {
                let Some(laid) = self.layout.zones.iter().find(|z| z.number == zone) else { return };
                let said =
                    format!("The first course of zone {zone} is held at {}.", measure::millimetres(first));
                (started(old, laid, first), said)
            }
            Hold::Nothing { zone } => {
                let said = format!("The program chooses direction and start of zone {zone}.");
                let (direction, start) = (Direction::Best, StartSide::Best);
                (ZoneSetting { direction, start, first: None, ..old }, said)
            }
        };
        // A setting that sets nothing and has no name is of no use in the plan.
        let idle = ZoneSetting { id: setting.id, at: setting.at, ..ZoneSetting::default() } == setting;
        let change = match (idle, setting.id) {
            (true, 0) => return,
            (true, id) => Change::Delete(id),
            (false, _) => Change::Put(Thing::Zone(setting)),
        };
        if self.commit(change, Policy::Commit, fx).is_some() {
            fx.announce = Some(said);
        }
    }
}

/// The setting with the first course held so far outside the field, on the side it is counted from in the layout.
fn started(old: ZoneSetting, laid: &Zone, first: i64) -> ZoneSetting {
    let angle = Direction::Angle { mdeg: laid.direction_mdeg };
    let direction = match old.direction {
        Direction::Best | Direction::LongestWall => angle,
        given => given,
    };
    let given = vector(direction);
    let left = given[0] * laid.frame.across[1] - given[1] * laid.frame.across[0];
    let start = if left < 0.0 { StartSide::Left } else { StartSide::Right };
    ZoneSetting { direction, start, first: Some(first), ..old }
}

/// A direction that is given, as a vector of any length.
#[allow(clippy::cast_precision_loss)]
fn vector(direction: Direction) -> [f64; 2] {
    match direction {
        Direction::Along { from, to } => [(to.x - from.x) as f64, (to.y - from.y) as f64],
        Direction::Angle { mdeg } => {
            let turn = f64::from(mdeg).to_radians() / 1000.0;
            [libm::cos(turn), libm::sin(turn)]
        }
        Direction::Best | Direction::LongestWall => [1.0, 0.0],
    }
}
