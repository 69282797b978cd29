//! Minutes: how long a gang is at a bay, by trade.
//!
//! In: what a bay takes, the rates, the people of a gang and the way to its melter. Out: whole minutes, each trade rounded
//! up. Rates hold for the people of the plan; another gang is as much faster as it is larger. All of a gang carry: each
//! walks a share of the buckets, there and back at the speed with a full one.

use crate::layout::days::{BayWork, Minutes};
use crate::plan::Mm;
use crate::quantities::ceil;
use crate::rates::Resolved;

/// Volume of melted membrane at 180 C for one at 20 C, ten-thousandths: bitumen grows by 0.00061 per C from 15 to 200 C
/// (bitumen handbook, appendix 1; trade.md section 3).
const HOT: i128 = 10_976;

/// Millilitres when molten of what is so many cold, rounded up.
pub fn hot(cold: i64) -> i64 {
    ceil(i128::from(cold) * HOT, 10_000)
}

/// Buckets that so many millilitres, cold, take when molten.
pub(super) fn loads(cold: i64, rates: &Resolved) -> u32 {
    // A bucket is in hundredths of a litre: ten millilitres each.
    u32::try_from(ceil(i128::from(hot(cold)), i128::from(rates.bucket) * 10)).unwrap_or(u32::MAX)
}

/// The minutes of a gang of so many people, so far from its melter, mm.
pub(super) fn of_gang(size: i64, work: &BayWork, rates: &Resolved, (people, way): (u32, Mm)) -> Minutes {
    let area = |rate: i64| share(i128::from(size) * 60, i128::from(rate) * 10_000, rates, people);
    // Walked there and back by the people of the gang together: the rates of others do not come in.
    let walked = i128::from(work.loads) * 2 * i128::from(way);
    Minutes {
        prime: area(rates.prime),
        details: details_minutes(work, rates, people),
        pour: area(rates.pour),
        haul: whole(walked, i128::from(rates.walk) * i128::from(people.max(1))),
        protect: area(rates.protect),
    }
}

/// Minutes that so many people take for the upstands, free edges, joints, penetrations, pockets and outlets of a bay.
pub fn details_minutes(work: &BayWork, rates: &Resolved, people: u32) -> u32 {
    // Thousandths of a minute, so that one bay's trades are rounded together.
    let along = |length: Mm, rate: Mm| i128::from(length) * 60_000 / i128::from(rate.max(1));
    let each = |count: usize, minutes: u32| count as i128 * i128::from(minutes) * 1_000;
    let upstands: Mm = work.upstands.iter().map(|u| u.length).sum();
    let all = along(upstands, rates.upstand)
        + along(work.free_edges, rates.free_edge)
        + along(work.joints, rates.joint)
        + each(work.penetrations.len(), rates.penetration)
        + each(work.pockets.len(), rates.pocket)
        + each(work.outlets.len(), rates.outlet);
    share(all, 1_000, rates, people)
}

/// `amount / per` minutes at the rates, for so many people.
fn share(amount: i128, per: i128, rates: &Resolved, people: u32) -> u32 {
    whole(amount * i128::from(rates.people), per * i128::from(people.max(1)))
}

fn whole(amount: i128, per: i128) -> u32 {
    u32::try_from(ceil(amount, per)).unwrap_or(u32::MAX)
}
