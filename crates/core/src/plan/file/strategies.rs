//! Arbitrary plans for property tests: anything that a plan file may hold, sensible or not.
//!
//! In: nothing. Out: proptest strategies. Every number is within the limits and every id is given once; nothing else
//! holds (rings cross themselves, names hold quotes and line ends).

use super::limits::COORDINATE;
use super::record_strategies::{recording, records};
use super::strategies_programme::{covering, detailing, programme};
use crate::geom::Pt;
use crate::plan::*;
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;

/// Any plan that is within the limits.
pub(super) fn any_plan() -> impl Strategy<Value = Plan> {
    let drawn = (vec(ring(), 0..3), vec(ring(), 0..3), vec(penetration(), 0..3), vec(outlet(), 0..3));
    let lines = (vec(points(), 0..3), vec((points(), zone_line_kind()), 0..3), vec(zone(), 0..3));
    let rest = (
        levels(),
        vec(place(), 0..2),
        vec(melter(), 0..2),
        option::of(datum()),
        drainage(),
        vec(bay_edge(), 0..2),
        programme(),
        detailing(),
        vec(covering(), 0..3),
    );
    let kept = (recording(), records(5));
    let all = (job(), drawn, lines, rest, products(), gang(), kept);
    all.prop_map(|(job, drawn, lines, rest, products, gang, kept)| {
        let mut plan = Plan {
            job,
            decks: drawn.0.into_iter().map(|ring| Deck { ring, ..Deck::default() }).collect(),
            openings: drawn.1.into_iter().map(|ring| Opening { ring, ..Opening::default() }).collect(),
            penetrations: drawn.2,
            outlets: drawn.3,
            joints: lines.0.into_iter().map(|points| Line { points, ..Line::default() }).collect(),
            zone_lines: lines
                .1
                .into_iter()
                .map(|(points, kind)| ZoneLine { points, kind, ..ZoneLine::default() })
                .collect(),
            zones: lines.2,
            levels: rest.0,
            ways: rest.1,
            melters: rest.2,
            datum: rest.3,
            products,
            gang,
            drainage: rest.4,
            bay_edges: rest.5,
            programme: rest.6,
            detailing: rest.7,
            coverings: rest.8,
            recording: kept.0,
            records: kept.1,
        };
        number(&mut plan);
        plan
    })
}

/// Gives every thing an id of its own, not in the order of the file.
fn number(plan: &mut Plan) {
    let mut next = u32::MAX;
    let mut give = |id: &mut Id| {
        *id = next;
        next -= 7;
    };
    plan.melters.iter_mut().for_each(|t| give(&mut t.id));
    plan.decks.iter_mut().for_each(|t| give(&mut t.id));
    plan.openings.iter_mut().for_each(|t| give(&mut t.id));
    plan.penetrations.iter_mut().for_each(|t| give(&mut t.id));
    plan.outlets.iter_mut().for_each(|t| give(&mut t.id));
    plan.joints.iter_mut().for_each(|t| give(&mut t.id));
    plan.zone_lines.iter_mut().for_each(|t| give(&mut t.id));
    plan.zones.iter_mut().for_each(|t| give(&mut t.id));
    plan.levels.spots.iter_mut().for_each(|t| give(&mut t.id));
    plan.levels.lines.iter_mut().for_each(|t| give(&mut t.id));
    plan.levels.planes.iter_mut().for_each(|t| give(&mut t.id));
    plan.ways.iter_mut().for_each(|t| give(&mut t.id));
    plan.bay_edges.iter_mut().for_each(|t| give(&mut t.id));
    plan.programme.ties.iter_mut().for_each(|t| give(&mut t.id));
    plan.programme.gangs.iter_mut().for_each(|t| give(&mut t.id));
}

pub(super) fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        Just(String::new()),
        "[ -~]{0,12}",
        "\\PC{0,8}",
        Just("a \"b\"\n\\ {[,:]} \u{1F600}\u{7}".to_owned())
    ]
}

pub(super) fn point() -> impl Strategy<Value = Pt> {
    (-COORDINATE..=COORDINATE, -COORDINATE..=COORDINATE).prop_map(|(x, y)| Pt::new(x, y))
}

fn points() -> impl Strategy<Value = Vec<Pt>> {
    vec(point(), 0..5)
}

fn length() -> impl Strategy<Value = Mm> {
    prop_oneof![500..=1_000_000_i64, 500..=1000_i64]
}

fn turn() -> impl Strategy<Value = i32> {
    -360_000..=360_000_i32
}

fn edge() -> impl Strategy<Value = Edge> {
    use {FreeKind::*, UpstandKind::*};
    prop_oneof![
        (0..1_000_000_i64, prop::sample::select(vec![Parapet, Wall, Kerb, Plinth, Threshold]))
            .prop_map(|(height, kind)| Edge::Upstand { height, kind }),
        prop::sample::select(vec![Drip, Verge, Gutter]).prop_map(|kind| Edge::Free { kind }),
    ]
}

fn ring() -> impl Strategy<Value = Ring> {
    vec((point(), edge()).prop_map(|(at, edge)| Corner { at, edge }), 0..7)
}

fn job() -> impl Strategy<Value = Job> {
    (text(), text(), text(), text(), option::of(turn())).prop_map(
        |(name, number, part, notes, north_mdeg)| Job {
            name,
            number,
            part,
            notes,
            north_mdeg,
            client: String::from("C"),
            drawn_by: String::new(),
            revision: String::from("A"),
            date: String::from("2031-02-03"),
        },
    )
}

fn penetration() -> impl Strategy<Value = Penetration> {
    let shape = prop_oneof![
        (point(), length()).prop_map(|(centre, diameter)| Shape::Circle { centre, diameter }),
        points().prop_map(|corners| Shape::Ring { corners }),
    ];
    (text(), shape, option::of(any::<u32>()), option::of(length()))
        .prop_map(|(name, shape, pocket, collar)| Penetration { id: 0, name, shape, pocket, collar })
}

fn outlet() -> impl Strategy<Value = Outlet> {
    use OutletKind::*;
    let kind = prop::sample::select(vec![Gravity, Overflow, Chute, Siphonic]);
    (text(), point(), length(), kind, length(), intake()).prop_map(
        |(name, at, bowl, kind, clear_zone, intake)| Outlet {
            id: 0,
            name,
            at,
            bowl,
            kind,
            clear_zone,
            intake,
        },
    )
}

fn intake() -> impl Strategy<Value = Intake> {
    let mouth = prop_oneof![
        length().prop_map(|diameter| Mouth::Round { diameter }),
        (length(), length()).prop_map(|(weir, area)| Mouth::Other { weir, area }),
    ];
    (option::of(-9000..9000_i64), length(), option::of(mouth), any::<bool>(), length(), any::<bool>())
        .prop_map(|(level, sill, mouth, strainer, head, blocked)| Intake {
            level,
            sill,
            mouth,
            strainer,
            head,
            blocked,
        })
}

fn drainage() -> impl Strategy<Value = Drainage> {
    let rule = prop::sample::select(vec![FallRule::Bs6229, FallRule::As4654, FallRule::Project]);
    (rule, 0..1000_u32, option::of(0..5000_u32), 0..=1000_u32, any::<bool>()).prop_map(
        |(rule, number, rain, share, across_fall_first)| Drainage {
            rule,
            least_one_in: number,
            design_one_in: number / 2,
            flat_one_in: number * 3,
            least_pond: i64::from(number),
            rain,
            runoff: share,
            wall_height: i64::from(number) * 10,
            wall_share: 1000 - share,
            across_fall_first,
        },
    )
}

fn bay_edge() -> impl Strategy<Value = BayEdge> {
    (point(), any::<bool>()).prop_map(|(at, along)| BayEdge { id: 0, at, along })
}

fn zone_line_kind() -> impl Strategy<Value = ZoneLineKind> {
    prop::sample::select(vec![ZoneLineKind::Drawn, ZoneLineKind::LevelChange])
}

fn zone() -> impl Strategy<Value = ZoneSetting> {
    let direction = prop_oneof![
        Just(Direction::Best),
        Just(Direction::LongestWall),
        turn().prop_map(|mdeg| Direction::Angle { mdeg }),
        (point(), point()).prop_map(|(from, to)| Direction::Along { from, to }),
    ];
    let start = prop::sample::select(vec![StartSide::Best, StartSide::Right, StartSide::Left]);
    (text(), point(), direction, start, option::of(0..900_i64)).prop_map(
        |(name, at, direction, start, first)| ZoneSetting { id: 0, name, at, direction, start, first },
    )
}

fn levels() -> impl Strategy<Value = Levels> {
    let spot = (point(), -9000..9000_i64).prop_map(|(at, level)| SpotLevel { id: 0, at, level });
    let on_line = (point(), option::of(-9000..9000_i64)).prop_map(|(at, level)| LevelPoint { at, level });
    let line = (any::<bool>(), vec(on_line, 0..4)).prop_map(|(ridge, points)| LevelLine {
        id: 0,
        kind: if ridge { LevelLineKind::Ridge } else { LevelLineKind::LowLine },
        points,
    });
    let plane = (point(), -9000..9000_i64, turn(), 0..200_u32, points()).prop_map(
        |(at, level, direction_mdeg, one_in, area)| FallPlane {
            id: 0,
            at,
            level,
            direction_mdeg,
            one_in,
            area,
        },
    );
    (vec(spot, 0..3), vec(line, 0..3), vec(plane, 0..3)).prop_map(|(spots, lines, planes)| Levels {
        spots,
        lines,
        planes,
    })
}

fn place() -> impl Strategy<Value = Place> {
    (text(), point()).prop_map(|(name, at)| Place { id: 0, name, at })
}

fn melter() -> impl Strategy<Value = Melter> {
    (text(), point(), option::of(any::<u32>())).prop_map(|(name, at, litres)| Melter {
        id: 0,
        name,
        at,
        litres,
    })
}

fn datum() -> impl Strategy<Value = Datum> {
    (point(), point(), text()).prop_map(|(zero, along, note)| Datum { zero, along, note })
}

fn products() -> impl Strategy<Value = Products> {
    use NarrowCourse::*;
    let roll = (text(), length(), length(), option::of(any::<u32>()), option::of(0..90_000_i64))
        .prop_map(|(name, width, length, on_hand, price)| RollKind { name, width, length, on_hand, price });
    let laying = prop::sample::select(vec![Laying::Cut, Laying::RunOn, Laying::Mixed]);
    let slitting = prop::sample::select(vec![Slitting::None, Slitting::OuterCourses, Slitting::AnyPiece]);
    let narrow = prop::sample::select(vec![MoveFirst, GrowLaps, Leave]);
    (vec(roll, 0..3), narrow, laying, slitting, length(), length(), vec(0..900_i64, 0..4)).prop_map(
        |(rolls, narrow_course, laying, slitting, side_lap, foot, coats)| Products {
            rolls,
            narrow_course,
            laying,
            slitting,
            side_lap,
            foot,
            coats,
            ..Products::default()
        },
    )
}

fn gang() -> impl Strategy<Value = Gang> {
    (option::of(length()), option::of(length()), option::of(1..1440_u32))
        .prop_map(|(bay_area, rate, day_minutes)| Gang { bay_area, rate, day_minutes, ..Gang::default() })
}
