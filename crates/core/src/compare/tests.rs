//! What is said of a way is what laying it comes to, however the work is sliced; and no way stands that another beats.

use super::*;
use crate::geom::Pt;
use crate::lay;
use crate::plan::{Corner, Deck, Direction, Edge, Laying, Melter, Place, RollKind, StartSide, ZoneSetting};

/// An L of 20 by 14 m, two melters, two kinds of roll.
fn ell() -> Plan {
    let ring = [(0, 0), (20_000, 0), (20_000, 6_000), (9_000, 6_000), (9_000, 14_000), (0, 14_000)];
    let corner = |&(x, y): &(i64, i64)| Corner { at: Pt::new(x, y), edge: Edge::default() };
    let deck = Deck { id: 1, name: String::new(), ring: ring.iter().map(corner).collect() };
    let melter = |id, x| Melter { id, at: Pt::new(x, 300), ..Melter::default() };
    let mut plan = Plan { decks: vec![deck], ..Plan::default() };
    plan.melters = vec![melter(2, 300), melter(3, 19_000)];
    plan.ways = vec![Place { id: 4, at: Pt::new(300, 13_000), ..Place::default() }];
    let short = RollKind { name: String::new(), width: 1000, length: 20_000, on_hand: None, price: None };
    plan.products.rolls.push(short);
    plan
}

fn all_ways(plan: &Plan) -> Vec<Alternative> {
    let mut aspects = Aspects::possible(plan, &lay(plan));
    aspects.starts.clear();
    aspects.courses_per_bay.truncate(1);
    aspects.layings.truncate(2);
    aspects.rolls.truncate(1);
    aspects.ways()
}

#[test]
fn a_way_searched_to_its_end_is_what_laying_it_comes_to() {
    let plan = ell();
    let found = compare(&plan, &all_ways(&plan));
    let stands = lay(&plan);
    assert_eq!(found[0].counts, Counts::of(&stands), "the way that stands");
    assert!(found[0].whole && found[0].way.is_none());
    let mut looked_at = 0;
    for outcome in found.iter().skip(1).filter(|o| o.whole) {
        let laid = lay(&with_alternative(&plan, &stands, &outcome.way));
        assert_eq!(outcome.counts, Counts::of(&laid), "{:?}", outcome.way);
        looked_at += 1;
    }
    assert!(looked_at > 0, "some way is searched to its end");
}

#[test]
fn a_way_begun_from_another_comes_to_what_it_comes_to_by_itself() {
    let plan = ell();
    let ways = all_ways(&plan);
    let mut comparer = Comparer::new(&plan, &ways);
    while comparer.progress().laid < comparer.progress().ways {
        comparer.advance(1);
    }
    let stands = lay(&plan);
    let mut begun_from_another = 0;
    for (n, outcome) in comparer.found().iter().enumerate().skip(1).filter(|(_, o)| !o.whole) {
        let taken = with_alternative(&plan, &stands, &outcome.way);
        let mut alone = Search::on(taken.clone(), Roof::of(&taken), Effort::SHORT, None);
        while !alone.is_done() {
            alone.advance(u64::MAX);
        }
        assert_eq!(outcome.counts, Counts::of(alone.layout()), "{:?}", outcome.way);
        begun_from_another += usize::from(outcome.way.laid_alike(&comparer.found()[n - 1].way));
    }
    assert!(begun_from_another > 4);
}

#[test]
fn slices_change_nothing() {
    let plan = ell();
    let ways = all_ways(&plan);
    let at_once = compare(&plan, &ways);
    let mut comparer = Comparer::new(&plan, &ways);
    let mut before = Progress::default();
    while !comparer.is_done() {
        comparer.advance(5);
        let now = comparer.progress();
        assert!(now.laid >= before.laid && now.laid <= now.ways && now.whole <= now.wanted, "{now:?}");
        before = now;
    }
    assert_eq!(comparer.found(), at_once);
    assert_eq!((before.laid, before.whole), (before.ways, before.wanted));
}

#[test]
fn what_stands_at_the_end_is_beaten_by_none_and_the_rest_by_what_is_named() {
    let plan = ell();
    let found = compare(&plan, &all_ways(&plan));
    assert!(found.len() > 8);
    for (n, outcome) in found.iter().enumerate() {
        let better: Vec<usize> =
            (0..found.len()).filter(|&m| found[m].counts.beats(&outcome.counts)).collect();
        match outcome.standing.beaten_by {
            None => assert!(better.is_empty() && outcome.whole, "{n} {better:?}"),
            Some(by) => {
                assert!(better.contains(&by), "{n}");
                assert!(found[by].standing.beaten_by.is_none(), "{n}: {by} is beaten itself");
                assert!(!outcome.standing.worse_on.is_empty());
            }
        }
    }
    assert_eq!(found.iter().filter(|o| o.standing.cheapest).count(), 1);
}

#[test]
fn standings_follow_the_counts() {
    let of = |rolls, days, cost| Counts { rolls, days, cost, ..Counts::default() };
    let all = standings(&[of(5, 3, 90), of(4, 3, 80), of(6, 2, 70), of(4, 4, 10)]);
    assert_eq!(all.iter().map(|s| s.beaten_by).collect::<Vec<_>>(), [Some(1), None, None, Some(1)]);
    assert_eq!(all[0].worse_on, [Count::Rolls]);
    assert_eq!(all[3].worse_on, [Count::Days]);
    assert_eq!(all[1].best_on, [Count::Rolls]);
    assert_eq!(all[2].best_on, [Count::Days]);
    assert_eq!(all.iter().map(|s| s.cheapest).collect::<Vec<_>>(), [false, false, false, true]);
    let alike = standings(&[of(1, 1, 1), of(1, 1, 1)]);
    assert!(alike.iter().all(|s| s.beaten_by.is_none() && s.best_on.is_empty()));
}

#[test]
fn taking_a_way_leaves_what_is_held_and_breaks_no_plan() {
    let mut plan = ell();
    let held = ZoneSetting { id: 9, at: Pt::new(1000, 1000), ..ZoneSetting::default() };
    plan.zones =
        vec![ZoneSetting { direction: Direction::Angle { mdeg: 12_000 }, first: Some(7), ..held.clone() }];
    let stands = lay(&plan);
    let way = Alternative {
        direction_mdeg: Some(90_000),
        start: Some(StartSide::Left),
        laying: Some(Laying::RunOn),
        roll: Some(1),
        courses_per_bay: Some(2),
        melter: Some(3),
        gangs: Some(2),
    };
    let taken = with_alternative(&plan, &stands, &way);
    assert_eq!(taken.zones, plan.zones, "what is held stays");
    assert_eq!(taken.products.rolls.len(), 1);
    assert_eq!(taken.products.price(&taken.products.rolls[0]), plan.products.price(&plan.products.rolls[1]));
    assert_eq!((taken.melters.len(), taken.melters[0].id), (1, 3));
    assert_eq!((taken.programme.gangs.len(), taken.gang.courses_per_bay), (2, 2));
    crate::plan::file::check(&taken).unwrap();

    plan.zones = vec![held];
    let turned = with_alternative(&plan, &stands, &way);
    assert_eq!(turned.zones.len(), 1, "the zone's own setting is used");
    assert_eq!(turned.zones[0].direction, Direction::Angle { mdeg: 90_000 });
    assert_eq!(turned.zones[0].start, StartSide::Left);
    assert_eq!(with_alternative(&plan, &stands, &Alternative::default()), plan);
}

#[test]
fn no_more_ways_than_can_be_chosen_from() {
    let plan = ell();
    let aspects = Aspects::possible(&plan, &lay(&plan));
    assert!(aspects.count() > MOST_WAYS);
    assert_eq!(aspects.ways().len(), MOST_WAYS);
    assert_eq!(Aspects::default().count(), 0);
    assert!(Aspects::default().ways().is_empty());
    let usual = Aspects::usual(&plan, &lay(&plan));
    assert_eq!(usual.ways().len(), usual.count());
    assert_eq!(Comparer::new(&plan, &usual.ways()).progress().ways, usual.count() + 1);
}
