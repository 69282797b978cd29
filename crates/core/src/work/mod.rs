//! Work: what each bay takes to lay, from its geometry and the rates.
//!
//! In: a plan, its checked decks, its bays with their numbers. Out: for each bay its upstands, corners, free edges, joints,
//! penetrations, pitch pockets and outlets, the membrane and the way it is carried, and the minutes of each gang. Bays
//! partition the decks, so every wall, joint and thing belongs to one bay and the sums are those of the layout's details.
//! Where bays share something it goes to the lower number as they stand when asked: the order is looked for with that,
//! and it stays with that bay when bays are numbered anew. It puts nothing in order and knows no dates.

mod haul;
mod joints;
mod minutes;
mod place;
mod pockets;
mod walls;

pub use minutes::{details_minutes, hot};
pub use pockets::{Pocket, pockets};

use crate::finding::{About, Finding};
use crate::geom::Pt;
use crate::layout::Bay;
use crate::layout::days::{BayWork, GangOut};
use crate::model::Model;
use crate::plan::{DetailsBy, Id, Mm, Plan};
use crate::rates::{self, Resolved};
use place::Place;

/// The gangs of a plan, numbered from 1 by their place: those it names, or the one of its people.
pub fn gangs(plan: &Plan) -> Vec<GangOut> {
    let rates = rates::resolve(plan);
    let minutes = rates.day_minutes.saturating_sub(rates.before_bays());
    let named = plan.programme.gangs.iter().map(|g| GangOut {
        id: g.id,
        name: g.name.clone(),
        people: g.people.max(1),
        minutes,
    });
    let gangs: Vec<GangOut> = named.collect();
    if gangs.is_empty() {
        return vec![GangOut { id: 0, name: String::new(), people: rates.people, minutes }];
    }
    gangs
}

/// The work of each bay, in the order of `bays`.
pub fn of_bays(plan: &Plan, model: &Model, bays: &[Bay]) -> Vec<BayWork> {
    let rates = rates::resolve(plan);
    let places = Place::all(bays);
    let mut work: Vec<BayWork> =
        bays.iter().map(|b| BayWork { bay: b.number, ..BayWork::default() }).collect();
    for (deck, own) in model.decks.iter().zip(place::by_deck(&model.decks, &places)) {
        for (place, along) in own.iter().zip(walls::along(deck, &own)) {
            let bay = &mut work[place.index];
            bay.upstands = along.upstands(&plan.products);
            bay.free_edges = along.free_edges();
            (bay.outside_corners, bay.inside_corners) = (along.outside, along.inside);
        }
        let joints = plan.joints.iter().map(|j| j.points.as_slice());
        for (place, length) in own.iter().zip(joints::along(deck, &own, joints)) {
            work[place.index].joints = walls::nearest(length);
        }
    }
    let filled = put_things(plan, &places, &rates, &mut work);
    let ways: Vec<(Id, Vec<Mm>)> =
        plan.melters.iter().map(|m| (m.id, haul::ways(plan, &places, m.at))).collect();
    let gangs = gangs(plan);
    for (index, (bay, out)) in bays.iter().zip(&mut work).enumerate() {
        pour(plan, bay, filled[index], out);
        let carried = out.millilitres + if by_gang(plan) { out.details_millilitres } else { 0 };
        out.loads = minutes::loads(carried, &rates);
        for (n, gang) in gangs.iter().enumerate() {
            let own = plan.programme.gangs.get(n).and_then(|g| g.melter);
            let (melter, way) = melter_for(&ways, own, index);
            out.melters.push(melter);
            out.haul.push(way);
            let mut took = minutes::of_gang(bay.size, out, &rates, (gang.people, way));
            if !by_gang(plan) {
                took.details = 0;
            }
            out.minutes.push(took);
        }
    }
    work
}

/// For each place the bay it belongs to, as an index into `bays`: of those that hold or touch it the one poured first,
/// else the nearest.
pub fn bays_at(bays: &[Bay], at: impl Iterator<Item = Pt>) -> Vec<Option<usize>> {
    let places = Place::all(bays);
    at.map(|p| place::nearest(&places, p)).collect()
}

/// Findings about gangs and melters.
pub fn check(plan: &Plan, findings: &mut Vec<Finding>) {
    for (n, gang) in plan.programme.gangs.iter().enumerate() {
        let Some(melter) = gang.melter.filter(|id| plan.melters.iter().all(|m| m.id != *id)) else {
            continue;
        };
        let text = format!("Gang {} draws from melter {melter}, which is not on the plan.", n + 1);
        let mend = "Choose one of the melters drawn; until then it draws from the nearest to each bay.";
        let about = About::Setting(format!("programme.gangs[{n}].melter"));
        findings.push(Finding::warning("gang-without-melter", about, text, mend));
    }
}

/// Whether the gangs do the details of the bays they pour.
fn by_gang(plan: &Plan) -> bool {
    plan.programme.details == DetailsBy::Gang
}

/// The melter a gang draws from for a bay, and the way from it: its own, else the nearest; 0 and no way when there is none.
fn melter_for(ways: &[(Id, Vec<Mm>)], own: Option<Id>, bay: usize) -> (Id, Mm) {
    let way = |(id, far): &(Id, Vec<Mm>)| (*id, far[bay]);
    let named = ways.iter().find(|(id, _)| Some(*id) == own).map(way);
    named.or_else(|| ways.iter().map(way).min_by_key(|(_, far)| *far)).unwrap_or((0, 0))
}

/// Gives each penetration, pocket and outlet to a bay; the membrane of the pockets of each bay, millilitres.
fn put_things(plan: &Plan, places: &[Place<'_>], rates: &Resolved, work: &mut [BayWork]) -> Vec<i64> {
    let mut filled = vec![0; work.len()];
    for penetration in plan.penetrations.iter().filter(|p| p.pocket.is_none()) {
        if let Some(i) = place::nearest(places, pockets::middle(penetration)) {
            work[i].penetrations.push(penetration.id);
        }
    }
    for pocket in pockets(plan, rates.pocket_depth) {
        if let Some(i) = place::nearest(places, pocket.at) {
            work[i].pockets.push(pocket.number);
            filled[i] += pocket.first + pocket.second;
        }
    }
    for outlet in &plan.outlets {
        if let Some(i) = place::nearest(places, outlet.at) {
            work[i].outlets.push(outlet.id);
        }
    }
    filled
}

/// The membrane of a bay: every coat over its area, and over the girth of its upstands.
fn pour(plan: &Plan, bay: &Bay, pockets: i64, out: &mut BayWork) {
    let coats: i128 = plan.products.coats.iter().map(|c| i128::from(*c)).sum();
    // mm2 x 1/100 mm: 10^2 to a mm3, 10^3 to a millilitre. To the nearest.
    let millilitres = |area: i128| i64::try_from((area * coats + 50_000) / 100_000).unwrap_or(i64::MAX);
    out.millilitres = millilitres(i128::from(bay.size));
    let girths = out.upstands.iter().map(|u| i128::from(u.length) * i128::from(u.girth)).sum();
    out.details_millilitres = millilitres(girths).saturating_add(pockets);
}

#[cfg(test)]
pub(crate) use tests::DEMOS;

#[cfg(test)]
mod tests {
    //! Work by hand on small roofs, and its sums on the demo jobs against what the layout measures as a whole.

    use super::*;
    use crate::geom::Pt;
    use crate::geom::ring::{self, Side};
    use crate::layout::Layout;
    use crate::plan::{
        Corner, Deck, Edge, FreeKind, Line, Melter, NamedGang, Outlet, Penetration, Shape, UpstandKind,
    };
    use crate::{lay_quick, model};
    use std::collections::BTreeMap;

    pub(crate) const DEMOS: [(&str, &str); 5] = [
        ("canopy", include_str!("../../../../demo-data/01-canopy.json")),
        ("l-shape", include_str!("../../../../demo-data/02-l-shape.json")),
        ("angled", include_str!("../../../../demo-data/03-angled.json")),
        ("terrace", include_str!("../../../../demo-data/04-terrace-two-decks.json")),
        ("courtyard", include_str!("../../../../demo-data/05-courtyard.json")),
    ];

    fn laid(plan: &Plan) -> (Layout, Vec<BayWork>) {
        let layout = lay_quick(plan);
        let model = model::check(plan, &mut Vec::new());
        let work = of_bays(plan, &model, &layout.bays);
        (layout, work)
    }

    fn read(text: &str) -> Plan {
        crate::plan::file::read(text.as_bytes()).expect("demo plans read")
    }

    /// A roof of 12 x 6 m with parapets 150 mm high on three sides and a drip on its right side.
    fn roof() -> Plan {
        let wall = || Edge::Upstand { height: 150, kind: UpstandKind::Parapet };
        let corner = |x, y, edge| Corner { at: Pt::new(x, y), edge };
        let drip = Edge::Free { kind: FreeKind::Drip };
        let ring = vec![
            corner(0, 0, wall()),
            corner(12_000, 0, drip),
            corner(12_000, 6_000, wall()),
            corner(0, 6_000, wall()),
        ];
        Plan { decks: vec![Deck { id: 1, name: String::new(), ring }], ..Plan::default() }
    }

    /// The same, turned by so many degrees: every point of the plan, to the mm.
    fn turned(text: &str, degrees: f64) -> Plan {
        #[allow(clippy::cast_possible_truncation)]
        fn turn(value: &mut serde_json::Value, by: [f64; 2]) {
            match value {
                serde_json::Value::Array(list) => {
                    let whole: Vec<i64> = list.iter().filter_map(serde_json::Value::as_i64).collect();
                    if list.len() == 2 && whole.len() == 2 {
                        let (x, y) = (whole[0] as f64, whole[1] as f64);
                        list[0] = (libm::round(x * by[1] - y * by[0]) as i64).into();
                        list[1] = (libm::round(x * by[0] + y * by[1]) as i64).into();
                    } else {
                        list.iter_mut().for_each(|v| turn(v, by));
                    }
                }
                serde_json::Value::Object(fields) => {
                    fields.iter_mut().filter(|(k, _)| *k != "coats").for_each(|(_, v)| turn(v, by));
                }
                _ => {}
            }
        }
        let mut value = serde_json::from_str(text).expect("JSON");
        let angle = degrees.to_radians();
        turn(&mut value, [libm::sin(angle), libm::cos(angle)]);
        read(&value.to_string())
    }

    /// Lengths of upstands by kind and height; free edges and joints; corners; things.
    type Sums = (BTreeMap<(u8, Mm), Mm>, [Mm; 2], [u32; 2], [usize; 3]);

    /// What the bays of a job add up to.
    fn sums(work: &[BayWork]) -> Sums {
        let mut upstands = BTreeMap::new();
        for u in work.iter().flat_map(|w| &w.upstands) {
            *upstands.entry((u.kind as u8, u.height)).or_insert(0) += u.length;
        }
        let mm = [work.iter().map(|w| w.free_edges).sum(), work.iter().map(|w| w.joints).sum()];
        let corners =
            [work.iter().map(|w| w.inside_corners).sum(), work.iter().map(|w| w.outside_corners).sum()];
        let things = work.iter().map(|w| [w.penetrations.len(), w.pockets.len(), w.outlets.len()]);
        (upstands, mm, corners, things.fold([0; 3], |a, b| [0, 1, 2].map(|k| a[k] + b[k])))
    }

    /// Law 10: turning the job changes no quantity beyond the mm that its corners are snapped by and the bays' own rounding.
    #[test]
    fn turning_the_job_changes_no_sum() {
        for (name, text) in DEMOS {
            let (_, work) = laid(&read(text));
            let straight = sums(&work);
            for degrees in [17.0, 45.0, 71.3, 90.0] {
                let plan = turned(text, degrees);
                check_sums(&format!("{name} at {degrees}"), &plan);
                let found = sums(&laid(&plan).1);
                let room = 2 * work.len() as Mm + 20;
                assert_eq!((found.2, found.3), (straight.2, straight.3), "{name} at {degrees}");
                let kinds = |upstands: &BTreeMap<(u8, Mm), Mm>| upstands.keys().copied().collect::<Vec<_>>();
                assert_eq!(kinds(&found.0), kinds(&straight.0), "{name} at {degrees}");
                let lengths = found.0.values().chain(&found.1).zip(straight.0.values().chain(&straight.1));
                for (length, was) in lengths {
                    assert!((length - was).abs() <= room, "{name} at {degrees}: {length}, straight {was}");
                }
            }
        }
    }

    #[test]
    fn lengths_and_things_of_the_demo_jobs_add_up() {
        for (name, text) in DEMOS {
            check_sums(name, &read(text));
        }
    }

    fn check_sums(name: &str, plan: &Plan) {
        let (layout, work) = laid(plan);
        assert!(!work.is_empty(), "{name}");
        let details = &layout.details;
        for sum in &details.upstands {
            let own = |w: &BayWork| -> Vec<Mm> {
                let alike = w.upstands.iter().filter(|u| (u.kind, u.height) == (sum.kind, sum.height));
                alike.map(|u| u.length).collect()
            };
            let parts: Vec<Mm> = work.iter().flat_map(own).collect();
            let (all, room) = (parts.iter().sum::<Mm>(), parts.len() as Mm);
            assert!((all - sum.length).abs() <= room, "{name}: {sum:?}, bays {all} in {room} parts");
        }
        let kinds: usize = work.iter().flat_map(|w| &w.upstands).count();
        assert!(kinds > 0 || details.upstands.is_empty(), "{name}");
        let near = |parts: Vec<Mm>, whole: Mm| {
            let room = parts.iter().filter(|p| **p > 0).count() as Mm;
            let all: Mm = parts.iter().sum();
            assert!((all - whole).abs() <= room, "{name}: {all} of {whole} in {room} parts");
        };
        near(work.iter().map(|w| w.free_edges).collect(), details.free_edges);
        near(work.iter().map(|w| w.joints).collect(), details.joints);
        let once = |mut found: Vec<Id>, mut all: Vec<Id>| {
            found.sort_unstable();
            all.sort_unstable();
            assert_eq!(found, all, "{name}");
        };
        let pipes = plan.penetrations.iter().filter(|p| p.pocket.is_none()).map(|p| p.id).collect();
        once(work.iter().flat_map(|w| w.penetrations.clone()).collect(), pipes);
        once(
            work.iter().flat_map(|w| w.outlets.clone()).collect(),
            plan.outlets.iter().map(|o| o.id).collect(),
        );
        let pockets: Vec<u32> = work.iter().flat_map(|w| w.pockets.clone()).collect();
        assert_eq!(pockets.len(), details.pockets as usize, "{name}");
        let all: i64 = work.iter().map(|w| w.millilitres).sum();
        let coats: i64 = plan.products.coats.iter().sum();
        // The decks with the corners that the bays share: the bays partition these.
        let decks: i128 = layout.zones.iter().map(|z| ring::doubled_area_of(&z.area) / 2).sum();
        let whole = decks * i128::from(coats) / 100_000;
        assert!((i128::from(all) - whole).abs() <= work.len() as i128 * 2, "{name}: {all} of {whole} ml");
        assert!(work.iter().all(|w| w.haul.len() == 1 && w.minutes.len() == 1 && w.melters.len() == 1));
    }

    /// Counted on the drawings: an L has five corners inside and one outside, besides four outside at each of its roof
    /// lights; the canopy has drips all round and no upstand.
    #[test]
    fn corners_of_the_demo_jobs() {
        let bare = laid(&read(DEMOS[0].1)).1;
        assert!(bare.iter().all(|w| w.inside_corners + w.outside_corners == 0));
        let plan = read(DEMOS[1].1);
        let (_, work) = laid(&plan);
        let outside: u32 = work.iter().map(|w| w.outside_corners).sum();
        let inside: u32 = work.iter().map(|w| w.inside_corners).sum();
        let kerbs: u32 = plan.openings.iter().map(|o| u32::try_from(o.ring.len()).expect("few")).sum();
        assert_eq!((inside, outside), (5, 1 + kerbs));
    }

    /// 12 x 6 m in two bays of 12 x 3 m or so: lengths by hand, 12 + 6 + 12 m of parapet and 6 m of drip; two corners.
    #[test]
    fn a_roof_by_hand() {
        let (layout, work) = laid(&roof());
        let all: Mm = work.iter().flat_map(|w| &w.upstands).map(|u| u.length).sum();
        assert_eq!(all, 30_000);
        assert_eq!(work.iter().map(|w| w.free_edges).sum::<Mm>(), 6_000);
        assert_eq!(work.iter().map(|w| (w.inside_corners, w.outside_corners)).fold((0, 0), add), (2, 0));
        assert!(work.iter().flat_map(|w| &w.upstands).all(|u| u.girth == 300 && u.height == 150));
        // 72 m2 x 6 mm = 432 l; parapet 30 m x 0.3 m x 6 mm = 54 l.
        assert_eq!(work.iter().map(|w| w.millilitres).sum::<i64>(), 432_000);
        assert_eq!(work.iter().map(|w| w.details_millilitres).sum::<i64>(), 54_000);
        assert_eq!(work.len(), layout.bays.len());
    }

    fn add(a: (u32, u32), b: (u32, u32)) -> (u32, u32) {
        (a.0 + b.0, a.1 + b.1)
    }

    /// One bay of 10 x 3 m, rates as whole numbers: 30 m2 at 60, 30 and 90 m2/h; 26 m of parapet at 13 m/h; 180 l and 46.8 l
    /// cold, 248.941 l hot, in buckets of 10 l; 8 m there and back at 40 m a minute.
    #[test]
    fn minutes_by_hand() {
        let corner = |x, y| Corner { at: Pt::new(x, y), edge: Edge::default() };
        let ring = vec![corner(0, 0), corner(10_000, 0), corner(10_000, 3_000), corner(0, 3_000)];
        let mut plan = Plan { decks: vec![Deck { id: 1, name: String::new(), ring }], ..Plan::default() };
        plan.gang.courses_per_bay = 4;
        plan.gang.rate = Some(3_000);
        let rates = &mut plan.programme.rates;
        (rates.prime, rates.protect, rates.upstand) = (Some(6_000), Some(9_000), Some(13_000));
        (rates.bucket, rates.walk) = (Some(1_000), Some(40_000));
        let gang = |id, people| NamedGang { id, name: String::new(), people, melter: None };
        plan.programme.gangs = vec![gang(5, 4), gang(6, 2), gang(7, 8)];
        let label = laid(&plan).0.bays[0].label;
        plan.melters = vec![
            Melter { id: 8, at: Pt::new(label.x - 5_000, label.y), ..Melter::default() },
            Melter { id: 9, at: Pt::new(label.x - 4_000, label.y), ..Melter::default() },
        ];
        plan.programme.gangs[1].melter = Some(8);
        let (layout, work) = laid(&plan);
        assert_eq!((layout.bays.len(), work.len()), (1, 1));
        let bay = &work[0];
        assert_eq!((bay.millilitres, bay.details_millilitres, bay.loads), (180_000, 46_800, 25));
        assert_eq!(
            (bay.haul.as_slice(), bay.melters.as_slice()),
            (&[4_000, 5_000, 4_000][..], &[9, 8, 9][..])
        );
        let minutes: Vec<[u32; 5]> =
            bay.minutes.iter().map(|m| [m.prime, m.details, m.pour, m.haul, m.protect]).collect();
        // Walked: 25 buckets x 8 m = 200 m at 40 m a minute by four people: 1.25; by two, 10 m each: 3.125; by eight 0.625.
        assert_eq!(minutes, [[30, 120, 60, 2, 20], [60, 240, 120, 4, 40], [15, 60, 30, 1, 10]]);
        plan.programme.details = DetailsBy::Others { people: 2 };
        let (_, work) = laid(&plan);
        assert!(work[0].minutes.iter().all(|m| m.details == 0));
        assert_eq!(work[0].loads, 20, "others carry what they need themselves: 197.568 l hot");
        assert_eq!(details_minutes(&work[0], &rates::resolve(&plan), 2), 240);
    }

    /// A joint between two bays is done with the lower number, all of it; a pipe on it and an outlet in the corner as well.
    #[test]
    fn shared_things_go_to_the_bay_poured_first() {
        let mut plan = roof();
        plan.joints =
            vec![Line { id: 2, name: String::new(), points: vec![Pt::new(5_000, 0), Pt::new(5_000, 6_000)] }];
        let shape = Shape::Circle { centre: Pt::new(5_000, 1_000), diameter: 100 };
        plan.penetrations =
            vec![Penetration { id: 3, name: String::new(), shape, pocket: None, collar: None }];
        plan.outlets = vec![Outlet { id: 4, at: Pt::new(0, 6_050), ..Outlet::default() }];
        let (layout, work) = laid(&plan);
        assert_eq!(work.iter().map(|w| w.joints).sum::<Mm>(), 6_000);
        // Every 10 mm of the joint, by looking which bays lie left and right of it.
        let mut expect = vec![0; work.len()];
        let holds = |bay: &Bay, p: Pt| bay.area.iter().any(|r| ring::locate_in(p, r) == Side::Inside);
        for y in (5..6_000).step_by(10) {
            let beside =
                layout.bays.iter().filter(|b| [4_999, 5_001].iter().any(|&x| holds(b, Pt::new(x, y))));
            let first = beside.map(|b| b.number).min().expect("bays cover the deck");
            expect[first as usize - 1] += 10;
        }
        assert!(
            expect.iter().filter(|length| **length > 0).count() > 1,
            "the joint is shared out: {expect:?}"
        );
        for w in &work {
            assert!((w.joints - expect[w.bay as usize - 1]).abs() <= 20, "{w:?} {expect:?}");
        }
        assert_eq!(work.iter().map(|w| w.penetrations.len()).sum::<usize>(), 1);
        assert_eq!(work.iter().map(|w| w.outlets.len()).sum::<usize>(), 1);
    }

    /// Four bays of 10 x 3 m side by side, people walk from middle to middle: 3 m from one to the next.
    #[test]
    fn ways_go_from_middle_to_middle() {
        let bay = |number: u32, y: i64, beside: &[u32]| Bay {
            number,
            area: vec![vec![
                [(0, y), (10_000, y), (10_000, y + 3_000), (0, y + 3_000)]
                    .map(|(x, y)| Pt::new(x, y))
                    .to_vec(),
            ]],
            label: Pt::new(5_000, y + 1_500),
            beside: beside.to_vec(),
            ..Bay::default()
        };
        let bays = [bay(3, 0, &[2]), bay(2, 3_000, &[1, 3]), bay(1, 6_000, &[2]), bay(4, 90_000, &[])];
        let places = Place::all(&bays);
        let mut plan = Plan::default();
        assert_eq!(haul::ways(&plan, &places, Pt::new(5_000, 500)), [1_000, 4_000, 7_000, 91_000]);
        // Off the deck with no way off drawn: on to the nearest bay.
        assert_eq!(haul::ways(&plan, &places, Pt::new(5_000, -2_000)), [3_500, 6_500, 9_500, 93_500]);
        // With a way off on the far side of the third bay: round to it, 5 + 9 + 1.5 m.
        plan.ways = vec![crate::plan::Place { id: 1, name: String::new(), at: Pt::new(5_000, 9_000) }];
        let ways = haul::ways(&plan, &places, Pt::new(5_000, -2_000));
        assert_eq!(ways[..3], [11_000 + 7_500, 11_000 + 4_500, 11_000 + 1_500]);
    }

    #[test]
    fn a_gang_without_its_melter_is_told_and_takes_the_nearest() {
        let mut plan = roof();
        plan.melters = vec![Melter { id: 2, at: Pt::new(1_000, 1_000), ..Melter::default() }];
        plan.programme.gangs = vec![NamedGang { id: 3, name: String::new(), people: 4, melter: Some(77) }];
        let mut findings = Vec::new();
        check(&plan, &mut findings);
        assert_eq!(findings.len(), 1);
        assert!(laid(&plan).1.iter().all(|w| w.melters == [2]));
    }
}
