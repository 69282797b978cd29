//! Strips of upstands: hand-computed cases, the laws on random plans, and small cases against an exhaustive search.
//!
//! In: plans laid by the engine, layouts built by hand, and small problems of the filler alone. Out: every strip lies on
//! its roll clear of all others, every upstand is covered with its laps, areas add up to the mm2, and on small cases no
//! other way of cutting takes more from the offcuts, or the gap is printed and held. Nobody publishes such a problem with
//! its answer, so the outside source is the arithmetic beside each case and the search that tries everything.

use crate::laws::plans;
use baylap_core::geom::Pt;
use baylap_core::lay;
use baylap_core::layout::{Layout, Piece, Roll, Strip};
use baylap_core::model::{self, distance_to};
use baylap_core::plan::{
    Corner, Deck, Direction, Edge, Mm, Plan, RollKind, StartSide, UpstandKind, ZoneSetting,
};
use baylap_core::strips::fill::{Kind, Need, Offer, Problem, Terms, solve, worth};
use baylap_core::strips::{self, runs};
use proptest::prelude::*;
use std::collections::BTreeMap;

/// A rectangle with parapets all round, laid along x, strips asked for.
fn rectangle(w: Mm, h: Mm, height: Mm) -> Plan {
    let edge = Edge::Upstand { height, kind: UpstandKind::Parapet };
    let corner = |x, y| Corner { at: Pt::new(x, y), edge: edge.clone() };
    let ring = vec![corner(0, 0), corner(w, 0), corner(w, h), corner(0, h)];
    let mut plan = Plan { decks: vec![Deck { id: 1, name: String::new(), ring }], ..Plan::default() };
    plan.zones.push(ZoneSetting {
        id: 2,
        name: String::new(),
        at: Pt::new(w / 2, h / 2),
        direction: Direction::Angle { mdeg: 0 },
        start: StartSide::Right,
        first: Some(0),
    });
    plan.products.upstand_strips = true;
    plan
}

fn lengths(layout: &Layout) -> Vec<Mm> {
    let mut list: Vec<Mm> = layout.strips.iter().map(|s| s.length).collect();
    list.sort_unstable();
    list
}

/// Rolls of 1000 x 50,000 with one piece each and these rests, and the strips of a plan cut from them.
fn cut_from(plan: &Plan, rests: &[Mm]) -> Layout {
    let mut layout = Layout::default();
    for (&rest, number) in rests.iter().zip(1..) {
        let length = 50_000 - rest;
        let piece =
            Piece { number, bay: 1, across: [0, 1000], to: length, length, roll: number, ..Piece::default() };
        layout.pieces.push(piece);
        let (width, length) = (1000, 50_000);
        layout.rolls.push(Roll {
            number,
            width,
            length,
            pieces: vec![number],
            rest,
            kept: rest >= 1000,
            ..Roll::default()
        });
    }
    let model = model::check(plan, &mut Vec::new());
    strips::cut(plan, &model, &mut layout, &mut Vec::new());
    check_rolls(plan, &layout);
    layout
}

#[test]
fn strips_of_a_small_roof_come_from_the_longer_rest() {
    let layout = cut_from(&rectangle(10_000, 6000, 150), &[500, 30_200]);
    // Girth 150 + 150 = 300, three side by side in 1000. Each wall one strip, its length and a lap of 75. The shortest
    // block: 10,075 beside 10,075 beside 6075 + 6075 = 12,150. A rest of 500 is shorter than the least piece.
    assert_eq!(lengths(&layout), [6075, 6075, 10_075, 10_075]);
    assert!(layout.strips.iter().all(|s| s.width == 300 && s.roll == 2 && s.from_offcut));
    assert_eq!((layout.rolls[0].rest, layout.rolls[1].rest), (500, 30_200 - 12_150));
    // 300 x (2 x 6075 + 2 x 10,075) = 9,690,000.
    let totals = &layout.totals;
    assert_eq!((totals.strips_from_offcuts, totals.strip_rolls), (9_690_000, 0));
}

#[test]
fn without_the_setting_there_are_no_strips() {
    let mut plan = rectangle(10_000, 6000, 150);
    plan.products.upstand_strips = false;
    let layout = lay(&plan);
    assert!(layout.strips.is_empty() && layout.rolls.iter().all(|r| r.strips.is_empty()));
    assert_eq!((layout.totals.strips_from_offcuts, layout.totals.strip_rolls), (0, 0));
}

#[test]
fn a_wall_longer_than_the_longest_piece_gets_a_joint() {
    // Rests: 7 courses of 39,900 in two pieces each. Longest strip 25 m: 40,000 + 75 + one more lap of 75 in two strips.
    let plan = rectangle(40_000, 6000, 150);
    let layout = lay(&plan);
    check(&plan, &layout);
    let long: Mm = layout.strips.iter().filter(|s| s.at.y == 0).map(|s| s.length).sum();
    let count = layout.strips.iter().filter(|s| s.at.y == 0).count();
    assert_eq!(long, 40_000 + 75 * Mm::try_from(count).unwrap());
    assert!(count >= 2);
}

#[test]
fn what_the_offcuts_do_not_hold_comes_from_whole_rolls() {
    // Girth 600 + 150 = 750: one strip to a width of 1000. Walls 2 x (10,000 + 75) + 2 x (6000 + 75) = 32,300, and the
    // second roll has 30,200 left. All of that can be covered but the lap of each strip: 10,075 + 10,075 + 6075 + 3975.
    // The last wall still needs 6075 - 3975 + 75 = 2175, and opens one roll.
    let layout = cut_from(&rectangle(10_000, 6000, 600), &[500, 30_200]);
    assert_eq!((layout.totals.strip_rolls, layout.rolls.len()), (1, 3));
    let from_offcuts: Mm = layout.strips.iter().filter(|s| s.from_offcut).map(|s| s.length).sum();
    assert_eq!((from_offcuts, layout.rolls[1].rest), (30_200, 0));
    let others: Vec<Mm> = layout.strips.iter().filter(|s| !s.from_offcut).map(|s| s.length).collect();
    assert_eq!(others, [2175]);
}

#[test]
fn an_upstand_higher_than_the_roll_is_wide_is_told() {
    let plan = rectangle(10_000, 6000, 1200);
    let layout = lay(&plan);
    let told: Vec<_> = layout.findings.iter().filter(|f| f.code == "upstand-without-strip").collect();
    assert_eq!(told.len(), 1, "one for all walls of a height: {told:?}");
    assert!(told[0].text.contains("1350 mm wide") && told[0].at.is_some());
    assert!(layout.strips.is_empty() && layout.totals.strip_rolls == 0);
}

#[test]
fn points_on_a_straight_wall_add_no_laps_and_curves_are_one_run() {
    let mut plan = rectangle(10_000, 6000, 150);
    let edge = plan.decks[0].ring[0].edge.clone();
    plan.decks[0].ring.insert(1, Corner { at: Pt::new(4000, 0), edge: edge.clone() });
    assert_eq!(lengths(&lay(&plan)), [6075, 6075, 10_075, 10_075]);
    // A circle of 24 chords: each turns by 15 degrees, so a strip is eased round. Perimeter 24 x 2 r sin(7.5 deg)
    // = 24 x 2 x 8000 x 0.1305262 = 50,122 and some for corners on whole mm; in three strips of 25 m at most it takes 3 laps.
    let corner = |i: i32| {
        let turn = f64::from(i) * std::f64::consts::TAU / 24.0;
        #[allow(clippy::cast_possible_truncation, clippy::disallowed_methods)]
        let at = Pt::new((8000.0 * turn.cos()).round() as i64, (8000.0 * turn.sin()).round() as i64);
        Corner { at, edge: edge.clone() }
    };
    plan.decks[0].ring = (0..24).map(corner).collect();
    plan.zones[0].at = Pt::new(0, 0);
    let layout = lay(&plan);
    check(&plan, &layout);
    let laps = 75 * Mm::try_from(layout.strips.len()).unwrap();
    let round: Mm = layout.strips.iter().map(|s| s.length).sum::<Mm>() - laps;
    assert!((50_115..=50_130).contains(&round), "{round}");
}

/// A layout of one roll of 1000 x 20,000 with one cut of slit pieces: 6000 x 500 at its edge, 4000 x 250 beside it.
fn slit(kerf: Mm) -> Layout {
    let piece = |number: u32, length: Mm, width: Mm, across: Mm| Piece {
        number,
        bay: 1,
        across: [0, width],
        to: length,
        length,
        roll: 1,
        roll_across: across,
        ..Piece::default()
    };
    let rest = 20_000 - 6000 - kerf;
    let roll =
        Roll { number: 1, width: 1000, length: 20_000, pieces: vec![1, 2], kerf, rest, ..Roll::default() };
    Layout {
        pieces: vec![piece(1, 6000, 500, 0), piece(2, 4000, 250, 500 + kerf)],
        rolls: vec![roll],
        ..Layout::default()
    }
}

#[test]
fn what_lies_beside_and_behind_slit_pieces_is_used() {
    for kerf in [0, 5] {
        // Girth 100 + 100 = 200. A wall of 5500, a strip of 5575, fits beside the slit pieces, where 1000 - 750 = 250 are
        // free for 6000 (240 less two slits); walls of 1800 need 1875, behind the second piece are 2000 x 250.
        let mut plan = rectangle(5500, 1800, 100);
        plan.decks[0].ring[2].edge = Edge::Free { kind: baylap_core::plan::FreeKind::Drip };
        plan.decks[0].ring[3].edge = Edge::Free { kind: baylap_core::plan::FreeKind::Drip };
        (plan.products.foot, plan.products.kerf) = (100, kerf);
        let mut layout = slit(kerf);
        let mut findings = Vec::new();
        let model = model::check(&plan, &mut findings);
        strips::cut(&plan, &model, &mut layout, &mut findings);
        assert!(findings.is_empty(), "{findings:?}");
        let places: Vec<_> = layout.strips.iter().map(|s| (s.length, s.roll_from, s.roll_across)).collect();
        assert_eq!(places, [(5575, 0, 750 + 2 * kerf), (1875, 4000 + kerf, 500 + kerf)]);
        assert_eq!(layout.rolls[0].rest, 14_000 - kerf, "the rest stays whole");
        check_rolls(&plan, &layout);
    }
}

#[test]
fn the_cheapest_kind_is_opened_for_what_is_left() {
    // No offcuts; one wall of 8 m, girth 300. A roll of 10 m holds it and costs a fifth of one of 50 m by area.
    let kinds = vec![
        Kind { length: 50_000, width: 1000, price: 10_000 },
        Kind { length: 10_000, width: 1000, price: 2000 },
    ];
    let terms = Terms { lap: 75, least: 1000, longest: 25_000, kerf: 0, least_offcut: 1000 };
    let mut problem =
        Problem { needs: vec![Need { length: 8075, girth: 300 }], offers: Vec::new(), kinds, terms };
    assert_eq!(solve(&problem).opened, [1]);
    // Four walls of 24 m in girth 1000: 96 m, two rolls of 50 m for 20,000; of 10 m it would be ten for 20,000 with laps
    // 4 x 24,075 + laps > 96,000, so eleven.
    problem.needs = vec![Need { length: 24_075, girth: 1000 }; 4];
    assert_eq!(solve(&problem).opened, [0, 0]);
}

/// Everything that must hold of a layout with strips.
#[track_caller]
fn check(plan: &Plan, layout: &Layout) {
    check_rolls(plan, layout);
    check_cover(plan, layout);
    let (totals, waste) = (&layout.totals, &layout.totals.waste);
    let fields = &layout.rolls[..totals.rolls as usize];
    let roll_area: Mm = fields.iter().map(|r| r.width * r.length).sum();
    let from_offcuts: Mm = layout.strips.iter().filter(|s| s.from_offcut).map(|s| s.length * s.width).sum();
    assert_eq!((totals.roll_area, totals.strips_from_offcuts), (roll_area, from_offcuts));
    let sum = totals.field_area + waste.laps + waste.trim + waste.scrap + waste.offcuts + from_offcuts;
    assert_eq!(sum, roll_area, "the field's rolls do not add up");
    assert!(waste.scrap >= 0 && waste.offcuts >= 0);
    assert_eq!(layout.rolls.len(), (totals.rolls + totals.strip_rolls) as usize);
    for roll in &layout.rolls[totals.rolls as usize..] {
        assert!(roll.pieces.is_empty() && !roll.strips.is_empty(), "roll {} is for strips", roll.number);
    }
}

/// Whatever is cut from a roll lies on it, clear of everything else by the kerf, and lengths add up to the mm.
#[track_caller]
fn check_rolls(plan: &Plan, layout: &Layout) {
    let kerf = plan.products.kerf;
    for roll in &layout.rolls {
        let of_pieces = layout
            .pieces
            .iter()
            .filter(|p| p.roll == roll.number)
            .map(|p| [p.roll_from, p.roll_across, p.length, p.across[1] - p.across[0]]);
        let strips: Vec<&Strip> = layout.strips.iter().filter(|s| s.roll == roll.number).collect();
        let of_strips = strips.iter().map(|s| [s.roll_from, s.roll_across, s.length, s.width]);
        let cuts: Vec<[Mm; 4]> = of_pieces.chain(of_strips).collect();
        let end = cuts.iter().map(|c| c[0] + c[2]).max().unwrap_or(0);
        assert!(end <= roll.length - roll.rest, "roll {}: the rest is cut into", roll.number);
        for (i, a) in cuts.iter().enumerate() {
            assert!(a[0] >= 0 && a[1] >= 0 && a[1] + a[3] <= roll.width, "roll {}: {a:?}", roll.number);
            for b in &cuts[i + 1..] {
                let apart = |k: usize| a[k] + a[k + 2] + kerf <= b[k] || b[k] + b[k + 2] + kerf <= a[k];
                assert!(apart(0) || apart(1), "roll {}: {a:?} lies on {b:?}", roll.number);
            }
        }
        // Along the roll: what is cut, counted once, the kerf and the rest are the roll.
        let mut along: Vec<(Mm, Mm)> = cuts.iter().map(|c| (c[0], c[0] + c[2])).collect();
        along.sort_unstable();
        let (mut reached, mut used) = (0, 0);
        for (from, to) in along {
            used += (to - reached.max(from)).max(0);
            reached = reached.max(to);
        }
        assert_eq!(used + roll.kerf + roll.rest, roll.length, "roll {}", roll.number);
        assert!(roll.kerf >= 0 && roll.rest >= 0);
        let numbers: Vec<u32> = strips.iter().map(|s| s.number).collect();
        let mut listed = roll.strips.clone();
        listed.sort_unstable();
        assert_eq!(listed, numbers, "roll {}", roll.number);
    }
}

/// Every upstand is covered over its whole length, each strip lapping on to the next; or a finding says that no roll does.
#[track_caller]
fn check_cover(plan: &Plan, layout: &Layout) {
    let products = &plan.products;
    let model = model::check(plan, &mut Vec::new());
    let runs = runs::runs(&model, products);
    let longest = products.rolls.iter().map(|r| r.length).max().unwrap().min(products.longest_piece);
    let least = products.least_piece.min((longest - products.end_lap) / 2);
    let mut strips = layout.strips.iter();
    for run in &runs {
        if !products.rolls.iter().any(|r| r.width >= run.girth) {
            assert!(layout.findings.iter().any(|f| f.code == "upstand-without-strip"));
            continue;
        }
        let mut covered = 0;
        while covered < run.length {
            let strip = strips.next().unwrap();
            assert_eq!(strip.width, run.girth);
            let whole = covered == 0 && strip.length == run.length + products.end_lap;
            assert!(whole || strip.length >= least, "strip {} is {} long", strip.number, strip.length);
            assert!(strip.length <= longest, "strip {} is {} long", strip.number, strip.length);
            let on = run.points.windows(2).map(|w| distance_to(strip.at, w[0], w[1]));
            assert!(on.fold(f64::MAX, f64::min) < 2.0, "strip {} stands off its upstand", strip.number);
            covered += strip.length - products.end_lap;
        }
        assert_eq!(covered, run.length);
    }
    assert!(strips.next().is_none(), "a strip for no upstand");
    // The runs are the upstands of the details: the same length but for rounding up, once a run or once a kind.
    let sum: Mm = runs.iter().map(|r| r.length).sum();
    let details: Mm =
        layout.details.upstands.iter().filter(|u| u.height + products.foot > 0).map(|u| u.length).sum();
    let count = Mm::try_from(runs.len() + layout.details.upstands.len()).unwrap();
    assert!((sum - details).abs() <= count, "runs {sum}, details {details}");
}

prop_compose! {
    fn with_strips()(
        plan in plans(),
        heights in proptest::collection::vec(0_i64..900, 1..4),
        kerf in 0_i64..8,
        least_piece in 300_i64..2000,
        other in proptest::option::of((300_i64..2000, 3_000_i64..60_000)),
    ) -> Plan {
        let mut plan = plan;
        plan.products.upstand_strips = true;
        (plan.products.kerf, plan.products.least_piece) = (kerf, least_piece);
        plan.products.rolls.extend(other.map(|(width, length)| RollKind {
            name: String::new(), width, length, on_hand: None, price: None,
        }));
        let corners = plan.decks.iter_mut().flat_map(|d| &mut d.ring)
            .chain(plan.openings.iter_mut().flat_map(|o| &mut o.ring));
        for (i, corner) in corners.enumerate() {
            if let Edge::Upstand { height, .. } = &mut corner.edge {
                *height = heights[i % heights.len()];
            }
        }
        plan
    }
}

fn cases(count: u32) -> ProptestConfig {
    let asked = std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok());
    ProptestConfig { cases: asked.unwrap_or(count), failure_persistence: None, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(cases(50))]

    #[test]
    fn strips_of_random_plans_keep_the_laws(plan in with_strips()) {
        let layout = lay(&plan);
        check(&plan, &layout);
        // Offcuts first: nobody opens a roll while a rest is wide and long enough for a part of what comes from it.
        let least = plan.products.least_piece;
        for strip in layout.strips.iter().filter(|s| !s.from_offcut && s.length >= 2 * least) {
            for roll in layout.rolls[..layout.totals.rolls as usize].iter().filter(|r| r.width >= strip.width) {
                prop_assert!(roll.rest < least, "roll {} has {} left beside strip {}", roll.number, roll.rest, strip.number);
            }
        }
        // Without strips the field is the same.
        let mut without = plan.clone();
        without.products.upstand_strips = false;
        let bare = lay(&without);
        prop_assert_eq!(&layout.pieces, &bare.pieces);
        prop_assert_eq!((layout.totals.rolls, layout.totals.waste.laps), (bare.totals.rolls, bare.totals.waste.laps));
    }

    #[test]
    fn random_needs_and_offers_are_cut_or_said_to_be_left(problem in problems(12, 8, 4000)) {
        let answer = solve(&problem);
        check_answer(&problem, &answer);
    }

    #[test]
    fn the_order_of_needs_and_offers_changes_nothing(problem in problems(8, 6, 4000)) {
        let mut turned = problem.clone();
        turned.needs.reverse();
        turned.offers.reverse();
        prop_assert_eq!(worth(&problem, &solve(&problem)), worth(&turned, &solve(&turned)));
    }
}

prop_compose! {
    fn problems(needs: usize, offers: usize, scale: Mm)(
        needs in proptest::collection::vec((1_i64..=10 * scale, 1_usize..=3), 1..=needs),
        offers in proptest::collection::vec((1_i64..=8 * scale, 1_i64..=1200, any::<bool>()), 0..=offers),
        kinds in proptest::collection::vec((scale * 5..=scale * 12, 150_i64..=1200, 1_i64..=9), 1..=3),
        (lap, least, longest, kerf) in (0_i64..=scale / 4, 1_i64..=scale, scale * 3..=scale * 6, 0_i64..=5),
        girths in [100_i64..=900, 100_i64..=900, 100_i64..=900],
    ) -> Problem {
        Problem {
            needs: needs.into_iter().map(|(length, g)| Need { length: length + lap, girth: girths[g - 1] }).collect(),
            offers: offers.into_iter().map(|(length, width, rest)| Offer { length, width, rest }).collect(),
            kinds: kinds.into_iter().map(|(length, width, price)| Kind { length, width, price }).collect(),
            terms: Terms { lap, least: least.clamp(lap + 1, (longest - lap) / 2), longest, kerf, least_offcut: scale },
        }
    }
}

/// Each need is covered to the mm or what is left of it fits no kind; nothing overlaps; what is said to be unused is.
#[track_caller]
fn check_answer(problem: &Problem, answer: &baylap_core::strips::fill::Answer) {
    let terms = problem.terms;
    let stretch = |i: usize| match i.checked_sub(problem.offers.len()) {
        None => (problem.offers[i].length, problem.offers[i].width),
        Some(n) => {
            let kind = problem.kinds[answer.opened[n]];
            (kind.length, kind.width)
        }
    };
    for (i, need) in problem.needs.iter().enumerate() {
        let own: Vec<Mm> = answer.taken.iter().filter(|t| t.need == i).map(|t| t.length).collect();
        let covered: Mm = own.iter().map(|l| l - terms.lap).sum();
        let left = if answer.left[i] > 0 { answer.left[i] - terms.lap } else { 0 };
        assert_eq!(covered + left, need.length - terms.lap, "need {i}");
        let short = own.iter().filter(|&&l| l < terms.least).count();
        assert!(short == 0 || (own.len() == 1 && left == 0), "need {i}: {own:?}");
        assert!(own.iter().all(|&l| l <= terms.longest));
        let long_enough = |k: &&Kind| k.length.min(terms.longest) >= 2 * terms.least - terms.lap;
        let holds = problem.kinds.iter().filter(long_enough).any(|k| k.width >= need.girth);
        assert!(!holds || left == 0, "need {i} is left though a roll holds it");
    }
    let cut_from = |n: usize| answer.taken.iter().any(|t| t.offer == problem.offers.len() + n);
    assert!((0..answer.opened.len()).all(cut_from), "a roll is opened for nothing");
    let boxes: Vec<_> = answer.taken.iter().map(|t| (t, problem.needs[t.need].girth)).collect();
    for (i, (a, girth)) in boxes.iter().enumerate() {
        let (length, width) = stretch(a.offer);
        assert!(a.from + a.length <= answer.used[a.offer] && answer.used[a.offer] <= length);
        assert!(a.across + girth <= width);
        for (b, other) in boxes[i + 1..].iter().filter(|(b, _)| b.offer == a.offer) {
            let along = a.from + a.length + terms.kerf <= b.from || b.from + b.length + terms.kerf <= a.from;
            let across =
                a.across + girth + terms.kerf <= b.across || b.across + other + terms.kerf <= a.across;
            assert!(along || across, "{a:?} lies on {b:?}");
        }
    }
}

/// Tries everything: the most upstand that can be covered from the offers, and the fewest strips that do it. A stretch is
/// cut across into blocks wherever one likes, each block slit into lanes, each lane cut into strips: no fixed blocks.
struct Exhaustive<'a> {
    problem: &'a Problem,
    known: BTreeMap<u128, (Mm, Mm)>,
}

/// A block under the knife: its length, the width still free, the lane being cut (girth and room).
type Bench = (Mm, Mm, Option<(Mm, Mm)>);

impl Exhaustive<'_> {
    fn best(&mut self, offer: usize, rest: Mm, bench: Option<Bench>, left: &[Mm]) -> (Mm, Mm) {
        let Some(stretch) = self.problem.offers.get(offer).copied() else { return (0, 0) };
        let key = key(offer, rest, bench, left);
        if let Some(&known) = self.known.get(&key) {
            return known;
        }
        let kerf = self.problem.terms.kerf;
        let best = match bench {
            None => {
                // On to the next stretch, or another block of any length from this one.
                let next = self.problem.offers.get(offer + 1).map_or(0, |o| o.length);
                let mut best = self.best(offer + 1, next, None, left);
                for length in 1..=rest {
                    best = best.max(self.best(offer, rest, Some((length, stretch.width, None)), left));
                }
                best
            }
            Some((length, width, None)) => {
                let mut best = self.best(offer, rest - length - kerf, None, left);
                for girth in self.girths() {
                    if girth <= width {
                        let lane = Some((length, width - girth - kerf, Some((girth, length))));
                        best = best.max(self.best(offer, rest, lane, left));
                    }
                }
                best
            }
            Some((length, width, Some((girth, room)))) => {
                let mut best = self.best(offer, rest, Some((length, width, None)), left);
                for (need, strip) in self.strips(girth, room, left) {
                    let mut after = left.to_vec();
                    let whole = strip == left[need];
                    after[need] = if whole { 0 } else { left[need] - strip + self.problem.terms.lap };
                    let lane = Some((length, width, Some((girth, room - strip - kerf))));
                    let (covered, strips) = self.best(offer, rest, lane, &after);
                    best = best.max((covered + girth * (strip - self.problem.terms.lap), strips - 1));
                }
                best
            }
        };
        self.known.insert(key, best);
        best
    }

    fn girths(&self) -> Vec<Mm> {
        let mut girths: Vec<Mm> = self.problem.needs.iter().map(|n| n.girth).collect();
        girths.sort_unstable();
        girths.dedup();
        girths
    }

    /// Every strip that may be cut next from a lane.
    fn strips(&self, girth: Mm, room: Mm, left: &[Mm]) -> Vec<(usize, Mm)> {
        let terms = self.problem.terms;
        let mut out = Vec::new();
        for (i, need) in self.problem.needs.iter().enumerate().filter(|(_, n)| n.girth == girth) {
            let may = |x: &Mm| {
                let whole = *x == left[i] && (left[i] >= terms.least || left[i] == need.length);
                whole || (*x >= terms.least && left[i] - x + terms.lap >= terms.least && *x < left[i])
            };
            out.extend((1..=room.min(terms.longest)).filter(may).map(|x| (i, x)));
        }
        out
    }
}

/// Everything a step depends on, six bits each: no figure of a small problem is above 31.
fn key(offer: usize, rest: Mm, bench: Option<Bench>, left: &[Mm]) -> u128 {
    let (length, width, lane) = bench.unwrap_or((0, 0, None));
    let (girth, room) = lane.unwrap_or((0, 0));
    let figures = [Mm::try_from(offer).unwrap(), rest.max(0), length, width.max(0), girth, room.max(0)];
    let all = figures.iter().chain(left);
    all.fold(1, |key, &figure| {
        assert!((0..64).contains(&figure));
        key << 6 | u128::try_from(figure).unwrap()
    })
}

fn exhaustive(problem: &Problem) -> (Mm, Mm) {
    let left: Vec<Mm> = problem.needs.iter().map(|n| n.length).collect();
    let mut search = Exhaustive { problem, known: BTreeMap::new() };
    let first = problem.offers.first().map_or(0, |o| o.length);
    search.best(0, first, None, &left)
}

/// Small whole numbers, so that everything can be tried; a deterministic stream, so that the figures stand.
fn small_problems(count: usize) -> impl Iterator<Item = Problem> {
    let mut state = 0x9E37_79B9_7F4A_7C15_u64;
    let mut next = move |below: i64| -> i64 {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        i64::try_from((state >> 33) % u64::try_from(below).unwrap()).unwrap()
    };
    (0..count).map(move |_| {
        let lap = next(2);
        let longest = 5 + next(4);
        let least = (1 + next(3)).clamp(lap + 1, (longest - lap) / 2);
        let two = next(2) == 0;
        let needs = (0..1 + next(4))
            .map(|_| Need { length: 1 + next(11) + lap, girth: if two && next(2) == 0 { 3 } else { 2 } })
            .collect();
        let offers = (0..1 + next(3))
            .map(|_| Offer { length: 1 + next(10), width: 2 + next(5), rest: next(2) == 0 })
            .collect();
        let kinds = vec![Kind { length: 20, width: 6, price: 1 }];
        Problem { needs, offers, kinds, terms: Terms { lap, least, longest, kerf: 0, least_offcut: 1 } }
    })
}

#[test]
fn small_cases_against_a_search_that_tries_everything() {
    let count: usize = std::env::var("STRIP_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(60);
    let (mut same, mut covered, mut could) = (0, 0, 0);
    let (mut all, mut fewest) = (0, 0);
    for problem in small_problems(count) {
        let answer = solve(&problem);
        check_answer(&problem, &answer);
        let ours = worth(&problem, &answer);
        let (most, strips) = exhaustive(&problem);
        assert!(ours.covered <= most, "more than everything: {problem:?}");
        covered += ours.covered;
        could += most;
        same += usize::from(ours.covered == most);
        if answer.opened.is_empty() && ours.covered == most {
            // All from offcuts: then the fewest strips are asked for.
            assert!(ours.strips <= strips, "fewer strips than everything: {problem:?}");
            all += 1;
            fewest += i32::from(ours.strips == strips);
        }
    }
    println!(
        "strips: most from offcuts in {same} of {count}, {covered} of {could} mm2; fewest strips in {fewest} of {all}"
    );
    // Measured over 300 cases: all 300 the same, and the fewest strips in 137 of 137. It is no proof for larger ones.
    assert!(same * 100 >= 99 * count, "{same} of {count}");
    assert!(covered * 1000 >= 999 * could, "{covered} of {could}");
    assert!(fewest * 100 >= 99 * all, "{fewest} of {all}");
}

#[test]
fn demo_plans_keep_the_laws_with_strips() {
    for (name, text) in crate::places::demos() {
        let mut plan = crate::places::plan_of(&name, &text);
        plan.products.upstand_strips = true;
        let layout = lay(&plan);
        check(&plan, &layout);
        assert!(layout.details.upstands.is_empty() == layout.strips.is_empty(), "{name}");
    }
}

#[test]
fn in_small_cases_no_fewer_rolls_do() {
    let count: usize = std::env::var("STRIP_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(60);
    let (mut rolls, mut fewer) = (0, 0);
    for (problem, size) in small_problems(count).zip((4..7).cycle()) {
        let kind = Kind { length: 9, width: size, price: 1 };
        let needs: Vec<Need> = problem.needs.into_iter().take(3).collect();
        let mut problem = Problem { needs, offers: Vec::new(), kinds: vec![kind], ..problem };
        let answer = solve(&problem);
        check_answer(&problem, &answer);
        // One roll fewer, offered as what is left over: is everything covered from it?
        let one = Offer { length: kind.length, width: kind.width, rest: true };
        problem.offers = vec![one; answer.opened.len() - 1];
        let all: Mm = problem.needs.iter().map(|n| n.girth * (n.length - problem.terms.lap)).sum();
        rolls += answer.opened.len();
        fewer += usize::from(exhaustive(&problem).0 == all);
    }
    println!("strips: {rolls} rolls in {count} cases, one fewer would do in {fewer}");
    assert!(fewer * 100 <= 2 * count, "{fewer} of {count}");
}
