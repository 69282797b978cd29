//! Arbitrary programmes and coverings for property tests: gangs, rates, calendars, ties and layers, sensible or not.
//!
//! In: nothing. Out: proptest strategies. Every number is within the limits; melters and gangs named need not be there.

use super::strategies::{point, text};
use crate::plan::*;
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;

/// Any programme that is within the limits, its ids all 0.
pub(super) fn programme() -> impl Strategy<Value = Programme> {
    let details =
        prop_oneof![Just(DetailsBy::Gang), (1..=1000_u32).prop_map(|people| DetailsBy::Others { people }),];
    (vec(gang(), 0..3), rates(), details, calendar(), vec(tie(), 0..3), prices()).prop_map(
        |(gangs, rates, details, calendar, ties, prices)| Programme {
            gangs,
            rates,
            details,
            calendar,
            ties,
            prices,
        },
    )
}

fn gang() -> impl Strategy<Value = NamedGang> {
    (text(), 1..=1000_u32, option::of(any::<u32>())).prop_map(|(name, people, melter)| NamedGang {
        id: 0,
        name,
        people,
        melter,
    })
}

fn rates() -> impl Strategy<Value = Rates> {
    let large = || option::of(1..=1_000_000_000_i64);
    let minutes = || option::of(0..1440_u32);
    let litres = || option::of(1..=1_000_000_u32);
    let small = || option::of(1..=1_000_000_i64);
    (
        (large(), large(), large(), large(), large()),
        (minutes(), minutes(), minutes(), minutes(), minutes(), minutes(), minutes()),
        (litres(), litres(), small(), small(), small()),
    )
        .prop_map(|(areas, minutes, rest)| Rates {
            prime: areas.0,
            protect: areas.1,
            upstand: areas.2,
            free_edge: areas.3,
            joint: areas.4,
            penetration: minutes.0,
            pocket: minutes.1,
            outlet: minutes.2,
            day_start: minutes.3,
            first_thing: minutes.4,
            melt_start: minutes.5,
            melt_rate: rest.0,
            melter_litres: rest.1,
            bucket: rest.2,
            walk: rest.3,
            lead: minutes.6,
            gas: rest.4,
        })
}

fn date() -> impl Strategy<Value = Date> {
    (1..=9998_i32, 1..=12_u8, 1..=28_u8)
        .prop_filter_map("a date of the calendar", |(y, m, d)| Date::new(y, m, d))
}

fn calendar() -> impl Strategy<Value = Calendar> {
    (option::of(date()), any::<[bool; 7]>(), vec(date(), 0..4), vec(date(), 0..3), 0..=1000_u32)
        .prop_map(|(start, week, holidays, lost, weather)| Calendar { start, week, holidays, lost, weather })
}

fn tie() -> impl Strategy<Value = Tie> {
    let number = || option::of(1..=100_000_u32);
    (point(), number(), option::of(date()), option::of(any::<u32>()), number())
        .prop_map(|(at, day, date, gang, turn)| Tie { id: 0, at, day, date, gang, turn })
}

fn prices() -> impl Strategy<Value = OrderPrices> {
    vec(0..=1_000_000_000_i64, 7).prop_map(|n| OrderPrices {
        day: n[0],
        facing_metre: n[1],
        joint_metre: n[2],
        bad_joint_metre: n[3],
        parted: n[4],
        left_behind: n[5],
        haul: n[6],
    })
}

/// Any way of making details.
pub(super) fn detailing() -> impl Strategy<Value = Detailing> {
    let mm = || option::of(1..=1_000_000_i64);
    (mm(), mm(), mm()).prop_map(|(joint_girth, bar_centres, pocket_depth)| Detailing {
        joint_girth,
        bar_centres,
        pocket_depth,
    })
}

/// Any layer of a covering.
pub(super) fn covering() -> impl Strategy<Value = Covering> {
    let size = || 50..=1_000_000_i64;
    let layer =
        prop_oneof![
            (size(), 500..=1_000_000_i64, 0..=1_000_000_i64)
                .prop_map(|(width, length, lap)| Layer::Drainage { width, length, lap }),
            (size(), 500..=1_000_000_i64, 0..=1_000_000_i64)
                .prop_map(|(width, length, lap)| Layer::Separating { width, length, lap }),
            (1..=1000_i64, size(), size(), 1..=1_000_000_i64).prop_map(
                |(thickness, width, length, density)| {
                    Layer::Insulation { thickness, width, length, density }
                }
            ),
            (option::of(0..=1_000_000_i64), option::of(0..=10_000_i64))
                .prop_map(|(margin, mass)| Layer::Stones { margin, mass }),
            (size(), size(), 0..=1000_i64).prop_map(|(width, length, joint)| Layer::Paving {
                width,
                length,
                joint
            }),
        ];
    (text(), layer).prop_map(|(name, layer)| Covering { name, layer })
}
