//! Filling: which strip is cut from which stretch of roll.
//!
//! In: needs (a length of upstand and its girth), stretches of roll that the field leaves over, kinds of roll and the
//! rules of cutting. Out: strips with their places. Strips run along the roll. A stretch is slit into lanes of one girth
//! each and a lane cut into strips, or it is first cut across where the longest strip ends, so that lanes of other girths
//! may follow: nothing overlaps, and straight cuts reach everything. It covers as much upstand as it can from what is left over, then opens the cheapest and
//! fewest rolls, then cuts the fewest strips, then keeps the longest rests. It tries a fixed list of orders and keeps
//! the best: a good answer, not a proved one, and the same on every machine.

use crate::plan::Mm;
use std::collections::BTreeSet;

/// A length of upstand to be covered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Need {
    /// Length with one end lap, mm, 1 or more.
    pub length: Mm,
    /// Width of its strips, mm, 1 or more.
    pub girth: Mm,
}

/// A stretch of roll that strips may be cut from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Offer {
    /// Length along the roll, mm.
    pub length: Mm,
    /// Width across the roll, mm.
    pub width: Mm,
    /// Whether it is the rest of its roll: what is left of it can be kept.
    pub rest: bool,
}

/// A kind of roll that may be opened for strips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kind {
    /// Length, mm.
    pub length: Mm,
    /// Width, mm.
    pub width: Mm,
    /// Price of one.
    pub price: i64,
}

/// Rules of cutting, mm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Terms {
    /// End lap between two strips of one upstand, 0 or more.
    pub lap: Mm,
    /// Least strip, where the upstand itself is not shorter: more than `lap`, and no more than half of `longest - lap`.
    pub least: Mm,
    /// Longest strip.
    pub longest: Mm,
    /// Lost per cut, along and across, 0 or more.
    pub kerf: Mm,
    /// Shortest rest worth keeping.
    pub least_offcut: Mm,
}

/// A problem.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Problem {
    /// The upstands.
    pub needs: Vec<Need>,
    /// What the field left over.
    pub offers: Vec<Offer>,
    /// The rolls that may be opened, as many of each as needed.
    pub kinds: Vec<Kind>,
    /// The rules.
    pub terms: Terms,
}

/// One strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Taken {
    /// Index of its need.
    pub need: usize,
    /// Index of the stretch it is cut from: of [`Problem::offers`], or beyond them of [`Answer::opened`].
    pub offer: usize,
    /// Where it starts along the stretch, mm.
    pub from: Mm,
    /// Where it starts across the stretch, mm.
    pub across: Mm,
    /// Its length, mm.
    pub length: Mm,
}

/// What is cut.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Answer {
    /// The strips, need by need in the order they follow each other along it.
    pub taken: Vec<Taken>,
    /// Kinds of the rolls opened, in order.
    pub opened: Vec<usize>,
    /// How much of each stretch is used up from its start, mm, then of each roll opened: the rest is untouched.
    pub used: Vec<Mm>,
    /// What of each need no roll holds, mm with one end lap; 0 where all is covered.
    pub left: Vec<Mm>,
}

/// What an answer is judged by, best first: more is better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Worth {
    /// Area of upstand covered from what the field left over, laps not counted, mm2.
    pub covered: i64,
    /// Less the price of the rolls opened.
    pub price: i64,
    /// Less the number of rolls opened.
    pub rolls: i64,
    /// Less the number of strips.
    pub strips: i64,
    /// Area of rests long enough to be kept, mm2.
    pub kept: i64,
}

/// Cuts strips for every need that some roll holds.
pub fn solve(problem: &Problem) -> Answer {
    // In an order of their own: how a plan lists its walls changes nothing.
    let needs = order_of(problem.needs.len(), |i| (problem.needs[i].girth, problem.needs[i].length));
    let offers = order_of(problem.offers.len(), |i| {
        let offer = problem.offers[i];
        (offer.rest, offer.length, offer.width)
    });
    let sorted = Problem {
        needs: needs.iter().map(|&i| problem.needs[i]).collect(),
        offers: offers.iter().map(|&i| problem.offers[i]).collect(),
        ..problem.clone()
    };
    let answer = search(&sorted);
    let place = |offer: usize| offers.get(offer).copied().unwrap_or(offer);
    let mut taken: Vec<Taken> =
        answer.taken.iter().map(|t| Taken { need: needs[t.need], offer: place(t.offer), ..*t }).collect();
    taken.sort_by_key(|t| t.need);
    let (mut used, mut left) = (answer.used.clone(), answer.left.clone());
    answer.used.iter().enumerate().for_each(|(i, &mm)| used[place(i)] = mm);
    answer.left.iter().enumerate().for_each(|(i, &mm)| left[needs[i]] = mm);
    Answer { taken, opened: answer.opened, used, left }
}

fn order_of<K: Ord>(count: usize, key: impl Fn(usize) -> K) -> Vec<usize> {
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by_key(|&i| key(i));
    order
}

fn search(problem: &Problem) -> Answer {
    let orders = orders(problem);
    let mut budget = BUDGET;
    let mut starts = Starts::default();
    for &(parted, way) in &WAYS {
        for order in &orders {
            let mut work = Work::new(problem, parted);
            if work.affords(way, &mut budget) {
                work.run(way, order);
                work.fill_up(order);
                starts.offer(work);
            }
        }
    }
    let tries =
        if problem.offers.is_empty() { 0 } else { TRIES / (problem.needs.len() + problem.offers.len() + 1) };
    for turn in 0..tries {
        let mut work = Work::new(problem, orders.len() == 1 && turn % 4 == 3);
        let order = &orders[turn % orders.len()];
        work.shuffled(&mut Dice::new(turn), order);
        work.fill_up(order);
        starts.offer(work);
    }
    let finished = starts.best.into_iter().flat_map(|(_, start)| completed(start, &orders, &mut budget));
    let finished = finished.map(|(start, work)| (work.worth(), start, work));
    let best = finished.reduce(|a, b| if b.0 > a.0 { b } else { a });
    let Some((_, start, work)) = best else { return Answer::default() };
    fewer_rolls(&start, work, &orders).finish()
}

/// The same with fewer rolls or fewer strips, when shuffled tries find a way.
fn fewer_rolls<'a>(start: &Work<'a>, mut best: Work<'a>, orders: &[Vec<Mm>]) -> Work<'a> {
    let Some(fewer) = best.opened.len().checked_sub(1) else { return best };
    let area = |&k: &usize| best.problem.kinds[k].length * best.problem.kinds[k].width;
    let room: Mm = best.opened[..fewer].iter().map(area).sum();
    let left: Mm = start.open.iter().map(|o| o.0 * o.1).sum();
    let opened: Vec<usize> = best.opened[..if room >= left { fewer } else { fewer + 1 }].to_vec();
    let mut worth = best.worth();
    for turn in 0..TRIES / (start.open.len() + opened.len() + 1) {
        let mut work = start.clone();
        opened.iter().for_each(|&kind| work.open(kind));
        work.shuffled(&mut Dice::new(turn), &orders[turn % orders.len()]);
        work.fill_up(&orders[0]);
        let found = work.worth();
        if work.left == best.left && found > worth {
            (best, worth) = (work, found);
        }
    }
    best
}

/// The best ways found of cutting what the field left over: all cover the most.
#[derive(Default)]
struct Starts<'a> {
    best: Vec<(Worth, Work<'a>)>,
}

impl<'a> Starts<'a> {
    /// How many are kept.
    const MOST: usize = 4;

    fn offer(&mut self, work: Work<'a>) {
        let worth = work.worth();
        let covered = self.best.first().map_or(i64::MIN, |b| b.0.covered);
        if worth.covered < covered || self.best.iter().any(|b| b.0 == worth) {
            return;
        }
        if worth.covered > covered {
            self.best.clear();
        }
        let at = self.best.partition_point(|b| b.0 > worth);
        self.best.insert(at, (worth, work));
        self.best.truncate(Self::MOST);
    }
}

/// What an answer to a problem is worth.
pub fn worth(problem: &Problem, answer: &Answer) -> Worth {
    let (mut covered, mut kept) = (0, 0);
    for strip in answer.taken.iter().filter(|s| s.offer < problem.offers.len()) {
        covered += problem.needs[strip.need].girth * (strip.length - problem.terms.lap);
    }
    for (i, used) in answer.used.iter().enumerate() {
        let whole = stretch(problem, &answer.opened, i);
        if whole.rest && whole.length - used >= problem.terms.least_offcut {
            kept += (whole.length - used) * whole.width;
        }
    }
    Worth {
        covered,
        price: -answer.opened.iter().map(|&k| problem.kinds[k].price).sum::<i64>(),
        rolls: -count(answer.opened.len()),
        strips: -count(answer.taken.len()),
        kept,
    }
}

/// Comparisons of one need with one place that are made at most before the rest of the orders is left untried.
const BUDGET: usize = 6_000_000;

/// Shuffled tries, times the number of needs and offers.
const TRIES: usize = 3000;

/// How needs and places meet.
#[derive(Clone, Copy, Debug)]
enum Way {
    /// Lane by lane, each filled to its end: the most from few offcuts. Long stretches first, or short ones.
    Lanes { short_first: bool },
    /// Need by need, the longest first, each in one strip wherever it fits: the fewest strips. Into the place that it
    /// fills best, or where it ends first, so that little is begun.
    Needs { best_fit: bool },
}

const LANES: Way = Way::Lanes { short_first: false };
const BEST_FIT: Way = Way::Needs { best_fit: true };
const ENDS_FIRST: Way = Way::Needs { best_fit: false };

/// With stretches parted at the longest strip, or whole; and how they are filled.
const WAYS: [(bool, Way); 8] = [
    (false, LANES),
    (false, Way::Lanes { short_first: true }),
    (false, BEST_FIT),
    (false, ENDS_FIRST),
    (true, LANES),
    (true, Way::Lanes { short_first: true }),
    (true, BEST_FIT),
    (true, ENDS_FIRST),
];

/// Orders in which girths are served.
fn orders(problem: &Problem) -> Vec<Vec<Mm>> {
    let mut girths: Vec<Mm> = problem.needs.iter().map(|n| n.girth).collect();
    girths.sort_unstable_by(|a, b| b.cmp(a));
    girths.dedup();
    match *girths {
        [a, b, c] => {
            vec![vec![a, b, c], vec![c, b, a], vec![b, a, c], vec![b, c, a], vec![a, c, b], vec![c, a, b]]
        }
        [_, _, ..] => vec![girths.clone(), girths.into_iter().rev().collect()],
        _ => vec![girths],
    }
}

/// A fixed stream of numbers for each turn: the same tries on every machine.
struct Dice(u64);

impl Dice {
    fn new(turn: usize) -> Self {
        Self(0x9E37_79B9_7F4A_7C15_u64.wrapping_mul(turn as u64 + 1))
    }

    /// A length up to `most`.
    fn up_to(&mut self, most: Mm) -> Mm {
        let faces = usize::try_from(most + 1).unwrap_or(1);
        Mm::try_from(self.throw(faces)).unwrap_or(0).min(most)
    }

    /// A number from 0 to below `faces`.
    fn throw(&mut self, faces: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let high = usize::try_from(self.0 >> 33).unwrap_or(0);
        high % faces.max(1)
    }
}

/// A start with rolls opened for what it leaves, in several ways.
fn completed<'a>(start: Work<'a>, orders: &[Vec<Mm>], budget: &mut usize) -> Vec<(Work<'a>, Work<'a>)> {
    if start.done() {
        return vec![(start.clone(), start)];
    }
    let mut out: Vec<Work> = Vec::new();
    for main in start.usable() {
        for order in orders {
            let cost = 16 * (start.open.len() + start.blocks.len());
            if !out.is_empty() && cost > *budget {
                continue;
            }
            *budget -= cost.min(*budget);
            let mut filled = start.clone();
            filled.open_as_needed(main, order);
            for way in [BEST_FIT, ENDS_FIRST] {
                // With as many rolls, and with one fewer: in whole strips it may do as well.
                for fewer in 0..=1_usize {
                    let mut work = start.clone();
                    let Some(many) = filled.opened.len().checked_sub(fewer) else { continue };
                    filled.opened[..many].iter().for_each(|&kind| work.open(kind));
                    if work.affords(way, budget) {
                        work.run(way, order);
                        work.fill_up(order);
                        if work.left == filled.left {
                            out.push(work);
                        }
                    }
                }
            }
            out.push(filled);
        }
    }
    if out.is_empty() {
        out.push(start.clone());
    }
    out.into_iter().map(|work| (start.clone(), work)).collect()
}

/// A lane of a block: strips of one girth, one behind the other.
#[derive(Clone, Copy, Debug)]
struct Lane {
    across: Mm,
    girth: Mm,
    /// Where the next strip starts, mm from the start of the block.
    end: Mm,
}

/// A stretch, or a part of it cut across at both ends.
#[derive(Clone, Debug)]
struct Block {
    offer: usize,
    length: Mm,
    width: Mm,
    /// Where across the next lane starts.
    across: Mm,
    lanes: Vec<Lane>,
}

/// A place for a strip.
#[derive(Clone, Copy, Debug)]
struct Place {
    block: usize,
    /// Which lane; the next one to be slit when there is no such lane yet.
    lane: usize,
    room: Mm,
    end: Mm,
}

#[derive(Clone, Copy, Debug)]
struct Put {
    need: usize,
    block: usize,
    across: Mm,
    from: Mm,
    length: Mm,
}

/// A problem half solved.
#[derive(Clone, Debug)]
struct Work<'a> {
    problem: &'a Problem,
    /// Whether stretches are parted at the longest strip: lanes of other girths may then follow.
    parted: bool,
    left: Vec<Mm>,
    /// What is left of the needs of each girth: girth, length, need.
    open: BTreeSet<(Mm, Mm, usize)>,
    blocks: Vec<Block>,
    put: Vec<Put>,
    opened: Vec<usize>,
}

impl<'a> Work<'a> {
    fn new(problem: &'a Problem, parted: bool) -> Self {
        let left: Vec<Mm> = problem.needs.iter().map(|n| n.length).collect();
        let open = problem.needs.iter().enumerate().map(|(i, n)| (n.girth, n.length, i)).collect();
        let mut work =
            Self { problem, parted, left, open, blocks: Vec::new(), put: Vec::new(), opened: Vec::new() };
        for (i, offer) in problem.offers.iter().enumerate() {
            work.part(i, *offer);
        }
        work
    }

    /// Puts a stretch under the knife.
    fn part(&mut self, offer: usize, stretch: Offer) {
        let mut left = stretch.length;
        while left > 0 && self.problem.terms.longest > 0 {
            let length = if self.parted { left.min(self.problem.terms.longest) } else { left };
            self.blocks.push(Block { offer, length, width: stretch.width, across: 0, lanes: Vec::new() });
            left -= length + self.problem.terms.kerf;
        }
    }

    fn open(&mut self, kind: usize) {
        self.opened.push(kind);
        let offer = self.problem.offers.len() + self.opened.len() - 1;
        self.part(offer, stretch(self.problem, &self.opened, offer));
    }

    /// Kinds of roll from which a need of any length can be cut.
    fn usable(&self) -> Vec<usize> {
        let terms = &self.problem.terms;
        let long_enough = |k: &Kind| k.length.min(terms.longest) >= 2 * terms.least - terms.lap;
        let least = self.open.first().map_or(Mm::MAX, |o| o.0);
        let fits = |k: &usize| {
            let kind = &self.problem.kinds[*k];
            long_enough(kind) && kind.width >= least
        };
        (0..self.problem.kinds.len()).filter(fits).collect()
    }

    /// Opens rolls of a kind, each filled lane by lane, until nothing more fits; another kind where it is too narrow.
    fn open_as_needed(&mut self, main: usize, order: &[Mm]) {
        let usable = self.usable();
        for &girth in order {
            let fits = |k: &usize| self.problem.kinds[*k].width >= girth;
            let cheapest =
                || usable.iter().copied().filter(fits).min_by_key(|&k| (self.problem.kinds[k].price, k));
            let Some(kind) = Some(main).filter(fits).or_else(cheapest) else { continue };
            while self.longest_of(girth).is_some() {
                let (blocks, before) = (self.blocks.len(), self.put.len());
                self.open(kind);
                for block in blocks..self.blocks.len() {
                    self.fill_block(block, girth);
                    order.iter().for_each(|&g| self.fill_block(block, g));
                }
                self.fill_up(order);
                if self.put.len() == before {
                    self.blocks.truncate(blocks);
                    self.opened.pop();
                    break;
                }
            }
        }
    }

    fn done(&self) -> bool {
        self.open.is_empty()
    }

    /// Whether a way can be paid from the budget; takes it from there.
    fn affords(&self, way: Way, budget: &mut usize) -> bool {
        let cost = match way {
            Way::Lanes { .. } => return true,
            Way::Needs { .. } => self.open.len().saturating_mul(4 * self.blocks.len() + 1),
        };
        let enough = cost <= *budget;
        *budget -= if enough { cost } else { 0 };
        enough
    }

    fn run(&mut self, way: Way, order: &[Mm]) {
        match way {
            Way::Lanes { short_first } => {
                let mut blocks: Vec<usize> = (0..self.blocks.len()).collect();
                let sign = if short_first { 1 } else { -1 };
                blocks.sort_by_key(|&b| (sign * self.blocks[b].length, b));
                for block in blocks {
                    order.iter().for_each(|&girth| self.fill_block(block, girth));
                }
            }
            Way::Needs { best_fit } => {
                for &girth in order {
                    let mut needs: Vec<(Mm, usize)> = self.open_of(girth).map(|o| (o.1, o.2)).collect();
                    needs.sort_by_key(|&(length, i)| (-length, i));
                    needs.into_iter().for_each(|(_, need)| self.serve(need, best_fit));
                }
            }
        }
    }

    /// Fills what the lanes still hold, then what lies behind all of them, cut across and slit anew.
    fn fill_up(&mut self, order: &[Mm]) {
        self.run(LANES, order);
        let kerf = self.problem.terms.kerf;
        for block in 0..self.blocks.len() {
            let Block { offer, length, width, .. } = self.blocks[block];
            let end = self.blocks[block].lanes.iter().map(|l| l.end).max().unwrap_or(0);
            if end > 0 && end < length && !self.done() {
                self.blocks[block].length = end - kerf;
                self.blocks.push(Block { offer, length: length - end, width, across: 0, lanes: Vec::new() });
            }
        }
        self.run(LANES, order);
    }

    fn open_of(&self, girth: Mm) -> impl DoubleEndedIterator<Item = &(Mm, Mm, usize)> {
        self.open.range((girth, 0, 0)..=(girth, Mm::MAX, usize::MAX))
    }

    fn longest_of(&self, girth: Mm) -> Option<usize> {
        self.open_of(girth).next_back().map(|o| o.2)
    }

    /// Fills the lanes of a girth in a block to their ends, then slits new ones.
    fn fill_block(&mut self, block: usize, girth: Mm) {
        let lanes = self.blocks[block].lanes.len();
        for lane in 0..lanes {
            if self.blocks[block].lanes[lane].girth == girth {
                self.fill_lane(block, lane, girth);
            }
        }
        while self.blocks[block].width - self.blocks[block].across >= girth {
            let lane = self.blocks[block].lanes.len();
            self.fill_lane(block, lane, girth);
            if self.blocks[block].lanes.len() == lane {
                return;
            }
        }
    }

    fn fill_lane(&mut self, block: usize, lane: usize, girth: Mm) {
        loop {
            let end = self.blocks[block].lanes.get(lane).map_or(0, |l| l.end);
            let room = self.blocks[block].length - end;
            let Some((need, length)) = self.filling(girth, room) else { return };
            self.put(need, Place { block, lane, room, end }, length);
        }
    }

    /// The need and length that use room up best: all of it in one strip, else the longest that is done with it.
    fn filling(&self, girth: Mm, room: Mm) -> Option<(usize, Mm)> {
        let whole = self.whole(girth, room);
        if whole.is_some_and(|(_, length)| length == room) {
            return whole;
        }
        let part = self.longest_of(girth).and_then(|need| self.part_of(need, room));
        match (whole, part) {
            (Some(whole), Some(part)) => Some(if whole.1 > part.1 { whole } else { part }),
            (whole, part) => part.or(whole),
        }
    }

    /// The longest need that fits as one strip.
    fn whole(&self, girth: Mm, room: Mm) -> Option<(usize, Mm)> {
        let most = room.min(self.problem.terms.longest).max(0);
        self.open.range((girth, 0, 0)..=(girth, most, usize::MAX)).next_back().map(|o| (o.2, o.1))
    }

    /// The longest strip of a need that room holds, with enough left of the need for another strip; shortened where the
    /// room behind it then holds one more.
    fn part_of(&self, need: usize, room: Mm) -> Option<(usize, Mm)> {
        let Terms { lap, least, longest, kerf, .. } = self.problem.terms;
        let left = self.left[need];
        let most = room.min(longest).min(left + lap - least);
        let behind = room - most - kerf;
        let shorter = most - (least - behind);
        let length = if behind > lap && behind < least && shorter >= least { shorter } else { most };
        (length >= least && length < left).then_some((need, length))
    }

    /// Fills lanes in any order, each place with any need that it can take.
    fn shuffled(&mut self, dice: &mut Dice, order: &[Mm]) {
        if order.len() > 1 {
            self.part_anywhere(dice);
        }
        let mut blocks: Vec<usize> = (0..self.blocks.len()).collect();
        for i in (1..blocks.len()).rev() {
            blocks.swap(i, dice.throw(i + 1));
        }
        for block in blocks {
            let turn = dice.throw(order.len());
            for girth in (0..order.len()).map(|i| order[(i + turn) % order.len()]) {
                while self.blocks[block].width - self.blocks[block].across >= girth && dice.throw(8) > 0 {
                    let lane = self.blocks[block].lanes.len();
                    self.shuffled_lane(block, lane, girth, dice);
                    if self.blocks[block].lanes.len() == lane {
                        break;
                    }
                }
            }
        }
    }

    /// Cuts stretches across at the length of a need or anywhere, so that lanes of other girths may follow.
    fn part_anywhere(&mut self, dice: &mut Dice) {
        let kerf = self.problem.terms.kerf;
        let bare: Vec<usize> = (0..self.blocks.len()).filter(|&b| self.blocks[b].lanes.is_empty()).collect();
        for first in bare {
            let mut last = first;
            while dice.throw(2) == 0 {
                let whole = self.blocks[last].clone();
                let at = match dice.throw(2) {
                    0 => self.left[dice.throw(self.left.len())],
                    _ => dice.up_to(whole.length),
                };
                if at > 0 && at + kerf < whole.length {
                    self.blocks[last].length = at;
                    last = self.blocks.len();
                    self.blocks.push(Block { length: whole.length - at - kerf, ..whole });
                }
            }
        }
    }

    fn shuffled_lane(&mut self, block: usize, lane: usize, girth: Mm, dice: &mut Dice) {
        loop {
            let end = self.blocks[block].lanes.get(lane).map_or(0, |l| l.end);
            let room = self.blocks[block].length - end;
            let most = room.min(self.problem.terms.longest).max(0);
            let choice = match dice.throw(4) {
                // A need of up to any length, whole.
                0 | 1 => self.whole(girth, dice.up_to(most)),
                // A part of any need that is long enough.
                2 => {
                    let open: Vec<usize> = self.open_of(girth).rev().take(8).map(|o| o.2).collect();
                    open.get(dice.throw(open.len())).and_then(|&need| self.part_of(need, room))
                }
                _ => None,
            };
            let Some((need, length)) = choice.or_else(|| self.filling(girth, room)) else { return };
            self.put(need, Place { block, lane, room, end }, length);
        }
    }

    /// Puts a need in one strip where it fits, else as long a strip of it as any place holds, and so on.
    fn serve(&mut self, need: usize, best_fit: bool) {
        let girth = self.problem.needs[need].girth;
        while self.left[need] > 0 {
            let left = self.left[need];
            let rank = |p: &Place| if best_fit { (p.room, p.end) } else { (p.end, p.room) };
            let fits = |p: &Place| left <= p.room && left <= self.problem.terms.longest;
            if let Some(place) = self.places(girth).filter(fits).min_by_key(rank) {
                self.put(need, place, left);
                continue;
            }
            let part = |p: Place| self.part_of(need, p.room).map(|(_, length)| (length, p));
            let longest = |(length, p): &(Mm, Place)| (*length, -p.room, std::cmp::Reverse(p.block));
            let Some((length, place)) = self.places(girth).filter_map(part).max_by_key(longest) else {
                return;
            };
            self.put(need, place, length);
        }
    }

    fn places(&self, girth: Mm) -> impl Iterator<Item = Place> {
        self.blocks.iter().enumerate().flat_map(move |(block, b)| {
            let lanes = b.lanes.iter().enumerate().filter(move |(_, l)| l.girth == girth);
            let begun = lanes.map(move |(lane, l)| Place { block, lane, room: b.length - l.end, end: l.end });
            let fresh = Place { block, lane: b.lanes.len(), room: b.length, end: 0 };
            begun.chain((b.width - b.across >= girth).then_some(fresh))
        })
    }

    fn put(&mut self, need: usize, place: Place, length: Mm) {
        let (terms, girth) = (self.problem.terms, self.problem.needs[need].girth);
        let block = &mut self.blocks[place.block];
        if place.lane == block.lanes.len() {
            block.lanes.push(Lane { across: block.across, girth, end: 0 });
            block.across += girth + terms.kerf;
        }
        let lane = &mut block.lanes[place.lane];
        self.put.push(Put { need, block: place.block, across: lane.across, from: lane.end, length });
        lane.end += length + terms.kerf;
        let left = self.left[need];
        self.open.remove(&(girth, left, need));
        self.left[need] = if length == left { 0 } else { left - length + terms.lap };
        if self.left[need] > 0 {
            self.open.insert((girth, self.left[need], need));
        }
    }

    fn worth(&self) -> Worth {
        worth(self.problem, &self.clone().finish())
    }

    /// Moves the blocks together and writes the answer.
    fn finish(self) -> Answer {
        let stretches = self.problem.offers.len() + self.opened.len();
        let mut used = vec![0; stretches];
        let mut starts = Vec::with_capacity(self.blocks.len());
        for block in &self.blocks {
            starts.push(used[block.offer]);
            used[block.offer] += block.lanes.iter().map(|l| l.end).max().unwrap_or(0);
        }
        for (i, used) in used.iter_mut().enumerate() {
            // The last cut needs no kerf when it ends with the stretch.
            *used = (*used).min(stretch(self.problem, &self.opened, i).length);
        }
        let mut taken: Vec<Taken> = self
            .put
            .iter()
            .map(|p| Taken {
                need: p.need,
                offer: self.blocks[p.block].offer,
                from: starts[p.block] + p.from,
                across: p.across,
                length: p.length,
            })
            .collect();
        taken.sort_by_key(|t| t.need);
        without_unused(
            Answer { taken, opened: self.opened, used, left: self.left },
            self.problem.offers.len(),
        )
    }
}

/// The same without the rolls that were opened and not cut from.
fn without_unused(mut answer: Answer, offers: usize) -> Answer {
    let kept: Vec<usize> = (offers..answer.used.len()).filter(|&i| answer.used[i] > 0).collect();
    if kept.len() == answer.opened.len() {
        return answer;
    }
    for strip in answer.taken.iter_mut().filter(|t| t.offer >= offers) {
        strip.offer = offers + kept.partition_point(|&i| i < strip.offer);
    }
    answer.opened = kept.iter().map(|&i| answer.opened[i - offers]).collect();
    answer.used = (0..offers).chain(kept).map(|i| answer.used[i]).collect();
    answer
}

/// A stretch by its number: an offer, or a roll opened.
fn stretch(problem: &Problem, opened: &[usize], number: usize) -> Offer {
    match number.checked_sub(problem.offers.len()) {
        None => problem.offers[number],
        Some(n) => {
            let kind = &problem.kinds[opened[n]];
            Offer { length: kind.length, width: kind.width, rest: true }
        }
    }
}

fn count(n: usize) -> i64 {
    i64::try_from(n).unwrap_or(i64::MAX)
}
