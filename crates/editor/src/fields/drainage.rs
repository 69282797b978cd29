//! Fields of falls and drainage: the rule that falls are judged by, the rain, what outlets take, bay edges held in place.
//!
//! In: a plan, an outlet or a bay edge. Out: what can be set of it. Figures beside the fields that have no source say so;
//! the sources of the rules stand with the rules.

use super::spec::{Digits, Spec, choice, number, optional_number, small};
use super::things::level;
use super::{Group, Outcome};
use crate::change::Change;
use crate::thing::Thing;
use baylap_core::Plan;
use baylap_core::plan::{BayEdge, Drainage, FallRule, Intake, Mm, Mouth, Outlet};

const MANY: i64 = 1_000_000;

const RULES: &[(FallRule, &str, &str)] = &[
    (FallRule::Bs6229, "bs6229", "BS 6229:2018: 1:80, design 1:40"),
    (FallRule::Bs6229ZeroFall, "bs6229_zero_fall", "BS 6229:2018, zero falls"),
    (FallRule::Din18531, "din18531", "DIN 18531-1: planned 2 %"),
    (FallRule::As4654, "as4654", "AS 4654.2:2012: 1:100"),
    (FallRule::Ibc1507, "ibc1507", "IBC 1507: 1/4 inch in 12 (1:48)"),
    (FallRule::MilHdbk1001, "mil_hdbk1001", "MIL-HDBK-1001/5: 1:48, better 1:24"),
    (FallRule::Project, "project", "The project's own values"),
];

const PREFER: &[(bool, &str, &str)] =
    &[(true, "across_fall", "Across the fall first"), (false, "fewest_rolls", "Fewest rolls first")];

const STRAINER: &[(bool, &str, &str)] =
    &[(false, "none", "Open"), (true, "strainer", "Behind a strainer: takes half")];

const BLOCKED: &[(bool, &str, &str)] = &[(false, "free", "Free"), (true, "blocked", "Taken to be blocked")];

const ALONG: &[(bool, &str, &str)] =
    &[(false, "across", "Across the courses"), (true, "along", "Along the courses, between two")];

/// Kinds of mouth, without their sizes.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Unknown,
    Round,
    Other,
}

const MOUTHS: &[(Kind, &str, &str)] = &[
    (Kind::Unknown, "unknown", "Not known yet"),
    (Kind::Round, "round", "Round"),
    (Kind::Other, "other", "Any other shape"),
];

/// Sizes of a mouth whose kind was just chosen, mm and mm2: examples, to be overwritten.
const ROUND: Mm = 100;
const WEIR: Mm = 400;
const OPENING: i64 = 10_000;

/// The fields of falls and drainage.
pub(super) fn groups(plan: &Plan) -> Vec<Group> {
    let d = &plan.drainage;
    vec![("Falls are judged by".to_owned(), falls(d)), ("Rain".to_owned(), rain(d))]
}

/// A change of one thing in the settings.
fn with(d: &Drainage, set: impl Fn(&mut Drainage, i64) + 'static) -> impl Fn(i64) -> Change + 'static {
    let old = d.clone();
    move |v| {
        let mut new = old.clone();
        set(&mut new, v);
        Change::Drainage(new)
    }
}

fn count(v: i64) -> u32 {
    u32::try_from(v).unwrap_or(0)
}

fn falls(d: &Drainage) -> Vec<Spec> {
    let old = d.clone();
    let mut specs = vec![choice("drainage.rule", "Rule", Some(d.rule), RULES, move |rule| {
        Outcome::Change(Change::Drainage(Drainage { rule, ..old.clone() }))
    })];
    let one_in = |key: &str, label: &str, value: u32, set: fn(&mut Drainage) -> &mut u32| {
        let set = with(d, move |d, v| *set(d) = count(v));
        number(format!("drainage.{key}"), label, i64::from(value), Digits::whole(0, MANY), set)
    };
    if d.rule == FallRule::Project {
        specs.push(
            one_in("least_one_in", "Least fall 1 in", d.least_one_in, |d| &mut d.least_one_in)
                .usual("0 is level"),
        );
        specs.push(
            one_in("design_one_in", "Design fall 1 in", d.design_one_in, |d| &mut d.design_one_in)
                .usual("0 is level"),
        );
    }
    specs.push(
        one_in("flat_one_in", "Flat below 1 in", d.flat_one_in, |d| &mut d.flat_one_in)
            .usual("500 is common practice, no source"),
    );
    specs.push(
        small("drainage.least_pond", "Least pond", d.least_pond, 0, with(d, |d, mm| d.least_pond = mm))
            .usual("shallower ones are not shown"),
    );
    let old = d.clone();
    specs.push(choice(
        "drainage.across_fall_first",
        "Courses",
        Some(d.across_fall_first),
        PREFER,
        move |v| Outcome::Change(Change::Drainage(Drainage { across_fall_first: v, ..old.clone() })),
    ));
    specs
}

fn rain(d: &Drainage) -> Vec<Spec> {
    let share = |key: &str, label: &str, value: u32, set: fn(&mut Drainage) -> &mut u32| {
        let digits = Digits { places: 3, least: 0, most: 1000 };
        let set = with(d, move |d, v| *set(d) = count(v));
        number(format!("drainage.{key}"), label, i64::from(value), digits, set)
    };
    let old = d.clone();
    let tenths = Digits { places: 1, least: 0, most: MANY };
    let rain = optional_number("drainage.rain", "Intensity", d.rain.map(i64::from), tenths, move |v| {
        Change::Drainage(Drainage { rain: v.map(count), ..old.clone() })
    });
    vec![
        rain.unit("mm/h").usual("empty: no flow is worked out"),
        share("runoff", "Share that runs off", d.runoff, |d| &mut d.runoff)
            .usual("1 unless a rule says otherwise"),
        small(
            "drainage.wall_height",
            "Walls above the roof",
            d.wall_height,
            0,
            with(d, |d, mm| d.wall_height = mm),
        )
        .usual("0 counts none"),
        share("wall_share", "Share of walls added", d.wall_share, |d| &mut d.wall_share).usual("usually 0.5"),
    ]
}

/// What an outlet takes.
pub(super) fn intake(outlet: &Outlet) -> Vec<Spec> {
    let path = |key: &str| format!("thing/{}/intake/{key}", outlet.id);
    let i = &outlet.intake;
    let mut specs = vec![
        level(path("level"), "Level of its rim", i.level, with_intake(outlet, |i, v| i.level = v))
            .usual("empty: as the deck is there"),
        small(path("sill"), "Sill above that", i.sill, 0, with_intake(outlet, |i, mm| i.sill = mm))
            .usual("overflows and chutes"),
        choice(path("mouth"), "Its mouth", Some(kind_of(i.mouth)), MOUTHS, mouth(outlet)),
    ];
    specs.extend(mouth_sizes(outlet));
    let yes = |set: fn(&mut Intake, bool)| {
        let set = with_intake(outlet, set);
        move |v| Outcome::Change(set(v))
    };
    specs.push(choice(path("strainer"), "Strainer", Some(i.strainer), STRAINER, yes(|i, v| i.strainer = v)));
    specs.push(
        small(path("head"), "Water over it", i.head, 0, with_intake(outlet, |i, mm| i.head = mm))
            .usual("35 mm is the test head of EN 1253-2:2015, as reported"),
    );
    specs.push(choice(path("blocked"), "State", Some(i.blocked), BLOCKED, yes(|i, v| i.blocked = v)));
    specs
}

fn with_intake<T>(outlet: &Outlet, set: impl Fn(&mut Intake, T) + 'static) -> impl Fn(T) -> Change + 'static {
    let old = outlet.clone();
    move |v| {
        let mut new = old.clone();
        set(&mut new.intake, v);
        Change::Put(Thing::Outlet(new))
    }
}

const fn kind_of(mouth: Option<Mouth>) -> Kind {
    match mouth {
        None => Kind::Unknown,
        Some(Mouth::Round { .. }) => Kind::Round,
        Some(Mouth::Other { .. }) => Kind::Other,
    }
}

fn mouth(outlet: &Outlet) -> impl Fn(Kind) -> Outcome + 'static {
    let set = with_intake(outlet, |i, mouth| i.mouth = mouth);
    let now = outlet.intake.mouth;
    move |kind| {
        let mouth = match kind {
            kind if kind == kind_of(now) => now,
            Kind::Unknown => None,
            Kind::Round => Some(Mouth::Round { diameter: ROUND }),
            Kind::Other => Some(Mouth::Other { weir: WEIR, area: OPENING }),
        };
        Outcome::Change(set(mouth))
    }
}

fn mouth_sizes(outlet: &Outlet) -> Vec<Spec> {
    let path = |key: &str| format!("thing/{}/intake/{key}", outlet.id);
    let set = |f: fn(&mut Mouth, i64)| {
        with_intake(outlet, move |i, v| {
            if let Some(mouth) = &mut i.mouth {
                f(mouth, v);
            }
        })
    };
    match outlet.intake.mouth {
        None => Vec::new(),
        Some(Mouth::Round { diameter }) => {
            let set = set(|m, v| *m = Mouth::Round { diameter: v });
            vec![small(path("diameter"), "Effective diameter", diameter, 1, set).usual("from its data sheet")]
        }
        Some(Mouth::Other { weir, area }) => {
            let over = set(|m, v| {
                if let Mouth::Other { weir, .. } = m {
                    *weir = v;
                }
            });
            let plan = set(|m, v| {
                if let Mouth::Other { area, .. } = m {
                    *area = v;
                }
            });
            let digits = Digits::whole(1, 1_000_000_000);
            vec![
                small(path("weir"), "Water runs in over", weir, 1, over).usual("its edge that water passes"),
                number(path("area"), "Area in plan", area, digits, plan).unit("mm²"),
            ]
        }
    }
}

/// How a bay edge runs.
pub(super) fn bay_edge(edge: &BayEdge) -> Vec<Spec> {
    let old = edge.clone();
    vec![choice(format!("thing/{}/along", edge.id), "It runs", Some(edge.along), ALONG, move |along| {
        Outcome::Change(Change::Put(Thing::BayEdge(BayEdge { along, ..old.clone() })))
    })]
}
