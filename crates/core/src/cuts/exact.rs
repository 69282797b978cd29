//! The exact finish: the best cut list of all, for a few pieces.
//!
//! In: up to a dozen pieces. Out, step by step: the packing of the best rank and, before it, the least price whatever the
//! limit of open rolls. For every set of pieces it knows the shortest way to cut it from each kind of roll and the least
//! that the set can cost on any rolls; then it tries every way to share the pieces out, and turns back where what is spent
//! and the least for the rest cannot rank before the best found. It knows nothing of the other methods.

use super::packing::{Packing, Rank, Rolled};
use super::shop::Shop;
use crate::plan::Mm;

/// Most pieces it takes on.
pub(super) const MOST_PIECES: usize = 12;
/// Ways tried after which it gives up.
const MOST_TRIES: u64 = 4_000_000;
/// Ways tried in one step.
const TRIES_A_STEP: u64 = 400;
/// A length beyond any roll.
const NEVER: Mm = Mm::MAX / 4;

/// Price, scrap and offcuts: all add up over rolls.
type Cost = (i64, i128, usize);

/// The search under way.
#[derive(Clone, Debug)]
pub(super) struct Exact {
    /// The pieces, in laying order: bit 0 is the first.
    items: Vec<usize>,
    bay: Vec<usize>,
    /// Widths of rolls, and which of them each shelf has.
    widths: Vec<Mm>,
    width_of: Vec<usize>,
    /// For each width and set, the length that it takes with its kerfs.
    length: Vec<Vec<Mm>>,
    /// For each set, the least cost on any rolls, as many as wanted, and the least number of rolls.
    least: Vec<(Cost, usize)>,
    /// For each set, the shelves worth trying, with what a roll of it costs.
    ways: Vec<Vec<(usize, Cost)>>,
    /// The next set to reckon.
    next: usize,
    limited: bool,
    trying: Option<Trying>,
    /// Whether the least price whatever the limit was found.
    loose_done: bool,
}

/// What a step brought.
#[derive(Clone, Debug)]
pub(super) enum Finding {
    Nothing,
    /// The best packing whatever the limit of open rolls.
    Loose(Packing),
    /// The best packing of all.
    Best(Packing),
    GaveUp,
}

/// A way to share all pieces out: its rank, sets cut from a roll with its shelf, uncut pieces.
type Way = (Rank, Vec<(usize, usize)>, Vec<usize>);

/// Sharing out under way.
#[derive(Clone, Debug)]
struct Trying {
    with_open: bool,
    frames: Vec<Frame>,
    /// Sets cut from a roll, with its shelf.
    rolls: Vec<(usize, usize)>,
    uncut: Vec<usize>,
    open: Vec<usize>,
    left: Vec<usize>,
    best: Option<Way>,
    tries: u64,
}

/// One piece that must go somewhere: which of its sets comes next.
#[derive(Clone, Copy, Debug)]
struct Frame {
    rest: usize,
    /// The pieces that go with the first of `rest`: what is tried next; `None` when all were.
    with: Option<usize>,
    way: usize,
    cost: Cost,
    /// How many rolls and uncut pieces there were before.
    rolls: usize,
    uncut: usize,
    tried_uncut: bool,
}

impl Exact {
    pub(super) fn new(shop: &Shop) -> Self {
        let items: Vec<usize> = (0..shop.kind_of.len()).filter(|&i| shop.kind_of[i].is_some()).collect();
        let mut widths: Vec<Mm> = shop.shelves.iter().map(|s| s.width).collect();
        widths.sort_unstable();
        widths.dedup();
        let width_of = shop.shelves.iter().map(|s| widths.iter().position(|w| *w == s.width).unwrap_or(0));
        Self {
            bay: items.iter().map(|&i| shop.bay_of[i]).collect(),
            width_of: width_of.collect(),
            length: vec![vec![0]; widths.len()],
            widths,
            least: vec![((0, 0, 0), 0)],
            ways: vec![Vec::new()],
            next: 1,
            limited: shop.shelves.iter().any(|s| s.limited),
            trying: None,
            loose_done: false,
            items,
        }
    }

    fn all(&self) -> usize {
        (1 << self.items.len()) - 1
    }

    /// No cut list has a lower price or opens fewer rolls, once every set is reckoned.
    pub(super) fn least(&self) -> Option<(i64, usize)> {
        let (cost, rolls) = self.least.get(self.all())?;
        Some((cost.0, *rolls))
    }

    /// One step on; the steps it took and what it brought.
    pub(super) fn step(&mut self, shop: &Shop) -> (u64, Finding) {
        if self.next <= self.all() {
            let mut work = 0;
            while self.next <= self.all() && work < 4_000 {
                work += self.reckon(shop, self.next);
                self.next += 1;
            }
            return (1 + work / 4_000, Finding::Nothing);
        }
        let mut trying = match self.trying.take() {
            Some(trying) => trying,
            None => self.begin(shop),
        };
        let tries = trying.tries;
        while !trying.frames.is_empty() && trying.tries < tries + TRIES_A_STEP {
            trying.tries += 1;
            self.try_next(shop, &mut trying);
        }
        if trying.tries > MOST_TRIES {
            return (1, Finding::GaveUp);
        }
        if !trying.frames.is_empty() {
            self.trying = Some(trying);
            return (1, Finding::Nothing);
        }
        let Some((_, rolls, uncut)) = &trying.best else { return (1, Finding::GaveUp) };
        let packing = self.packing(shop, rolls, uncut);
        if self.loose_done || !shop.limits_open() {
            return (1, Finding::Best(packing));
        }
        self.loose_done = true;
        (1, Finding::Loose(packing))
    }

    /// The lengths and the least cost of a set, of which every smaller set is reckoned.
    fn reckon(&mut self, shop: &Shop, set: usize) -> u64 {
        let mut work = 0;
        for w in 0..self.widths.len() {
            let (length, tries) = self.shortest(shop, w, set);
            self.length[w].push(length);
            work += tries;
        }
        let mut ways: Vec<(usize, Cost)> =
            (0..shop.shelves.len()).filter_map(|s| Some((s, self.cost(shop, s, set)?))).collect();
        ways.sort_by_key(|w| w.1);
        if !self.limited {
            // As many as wanted: the best roll for this set is the only one worth trying.
            ways.truncate(1);
        }
        self.ways.push(ways);
        let first = set & set.wrapping_neg();
        let mut least: Option<Cost> = None;
        let mut rolls = usize::MAX;
        for with in subsets(set ^ first) {
            work += 1;
            let roll = with | first;
            if let Some(&(_, cost)) = self.ways[roll].first() {
                let (rest, count) = self.least[set ^ roll];
                let sum = (cost.0.saturating_add(rest.0), cost.1 + rest.1, cost.2 + rest.2);
                least = Some(least.map_or(sum, |l| l.min(sum)));
                rolls = rolls.min(count + 1);
            }
        }
        self.least.push((least.unwrap_or((i64::MAX / 4, 0, 0)), rolls));
        work
    }

    /// The least length of cuts of a width that hold a set.
    fn shortest(&self, shop: &Shop, width: usize, set: usize) -> (Mm, u64) {
        let first = set & set.wrapping_neg();
        let kind = |bit: usize| shop.kind_of[self.items[bit]].map(|k| shop.kinds[k]);
        let Some(leader) = kind(first.trailing_zeros() as usize) else { return (NEVER, 1) };
        let breadth = self.widths[width];
        let behind = |set: usize| self.length[width][set];
        if !leader.slit {
            let fits = leader.width == breadth;
            return (if fits { (leader.need + behind(set ^ first)).min(NEVER) } else { NEVER }, 1);
        }
        let mut best = NEVER;
        let mut work = 0;
        for with in subsets(set ^ first) {
            work += 1;
            let cut = with | first;
            let mut across = 0;
            let mut need = 0;
            let mut slit = true;
            for bit in bits(cut) {
                let Some(k) = kind(bit) else { continue };
                slit &= k.slit;
                across += k.across;
                need = need.max(k.need);
            }
            if slit && across <= breadth + shop.kerf {
                best = best.min(need + behind(set ^ cut));
            }
        }
        (best.min(NEVER), work)
    }

    /// What a roll of a shelf costs when it is cut into a set.
    fn cost(&self, shop: &Shop, shelf: usize, set: usize) -> Option<Cost> {
        let s = &shop.shelves[shelf];
        let length = self.length[self.width_of[shelf]][set];
        if length > s.room || s.count == 0 {
            return None;
        }
        let rest = (s.length - length).max(0);
        let kept = super::packing::is_kept(shop, rest);
        let area = |l: Mm, w: Mm| i128::from(l) * i128::from(w);
        let pieces: i128 = bits(set)
            .filter_map(|b| shop.kind_of[self.items[b]])
            .map(|k| area(shop.kinds[k].length, shop.kinds[k].width))
            .sum();
        let scrap = area(s.length, s.width) - pieces - if kept { area(rest, s.width) } else { 0 };
        Some((s.price, scrap, usize::from(kept)))
    }

    fn begin(&self, shop: &Shop) -> Trying {
        let frame = self.frame(self.all(), (0, 0, 0), 0, 0);
        Trying {
            with_open: self.loose_done || !shop.limits_open(),
            frames: vec![frame],
            rolls: Vec::new(),
            uncut: Vec::new(),
            open: vec![0; shop.bays],
            left: shop.shelves.iter().map(|s| s.count).collect(),
            best: None,
            tries: 0,
        }
    }

    fn frame(&self, rest: usize, cost: Cost, rolls: usize, uncut: usize) -> Frame {
        let first = rest & rest.wrapping_neg();
        Frame { rest, with: Some(rest ^ first), way: 0, cost, rolls, uncut, tried_uncut: !self.limited }
    }

    /// The next way for the last frame: a roll, an uncut piece, or back.
    fn try_next(&self, shop: &Shop, t: &mut Trying) {
        let Some(mut frame) = t.frames.pop() else { return };
        self.undo_to(t, &frame);
        if frame.rest == 0 {
            self.note(shop, t, frame.cost);
            return;
        }
        let first = frame.rest & frame.rest.wrapping_neg();
        while let Some(with) = frame.with {
            let set = with | first;
            let way = self.ways[set].get(frame.way).copied();
            let Some((shelf, cost)) = way else {
                // The next smaller set of companions.
                frame.with = (with > 0).then(|| (with - 1) & (frame.rest ^ first));
                frame.way = 0;
                continue;
            };
            frame.way += 1;
            if t.left[shelf] == 0 {
                continue;
            }
            let sum = (frame.cost.0 + cost.0, frame.cost.1 + cost.1, frame.cost.2 + cost.2);
            self.take(t, set, shelf);
            if self.may_be_best(shop, t, sum, frame.rest ^ set) {
                let (rolls, uncut) = (t.rolls.len(), t.uncut.len());
                t.frames.push(frame);
                t.frames.push(self.frame(frame.rest ^ set, sum, rolls, uncut));
                return;
            }
            self.undo_to(t, &frame);
        }
        if !frame.tried_uncut {
            frame.tried_uncut = true;
            t.uncut.push(first.trailing_zeros() as usize);
            if self.may_be_best(shop, t, frame.cost, frame.rest ^ first) {
                let (rolls, uncut) = (t.rolls.len(), t.uncut.len());
                t.frames.push(frame);
                t.frames.push(self.frame(frame.rest ^ first, frame.cost, rolls, uncut));
            }
        }
    }

    /// The bays a set is needed in: pieces stand in laying order.
    fn span(&self, set: usize) -> std::ops::Range<usize> {
        let last = usize::BITS - 1 - set.leading_zeros();
        self.bay[set.trailing_zeros() as usize]..self.bay[last as usize]
    }

    fn take(&self, t: &mut Trying, set: usize, shelf: usize) {
        t.rolls.push((set, shelf));
        t.left[shelf] -= 1;
        t.open[self.span(set)].iter_mut().for_each(|n| *n += 1);
    }

    fn undo_to(&self, t: &mut Trying, frame: &Frame) {
        while t.rolls.len() > frame.rolls {
            if let Some((set, shelf)) = t.rolls.pop() {
                t.left[shelf] += 1;
                t.open[self.span(set)].iter_mut().for_each(|n| *n -= 1);
            }
        }
        t.uncut.truncate(frame.uncut);
    }

    fn rank(shop: &Shop, t: &Trying, cost: Cost) -> Rank {
        let open = if t.with_open { t.open.iter().copied().max().unwrap_or(0) } else { 0 };
        let over = open.saturating_sub(shop.open_most);
        Rank { uncut: t.uncut.len(), over, price: cost.0, scrap: cost.1, kept: cost.2, open }
    }

    /// Whether what is spent and the least for the rest rank before the best.
    fn may_be_best(&self, shop: &Shop, t: &Trying, cost: Cost, rest: usize) -> bool {
        let Some((best, ..)) = &t.best else { return true };
        let (more, _) = self.least[rest];
        let sum = (cost.0.saturating_add(more.0), cost.1 + more.1, cost.2 + more.2);
        Self::rank(shop, t, sum) < *best || t.uncut.len() < best.uncut
    }

    fn note(&self, shop: &Shop, t: &mut Trying, cost: Cost) {
        let rank = Self::rank(shop, t, cost);
        if t.best.as_ref().is_none_or(|(best, ..)| rank < *best) {
            t.best = Some((rank, t.rolls.clone(), t.uncut.clone()));
        }
    }

    fn packing(&self, shop: &Shop, rolls: &[(usize, usize)], uncut: &[usize]) -> Packing {
        let roll = |&(set, shelf): &(usize, usize)| Rolled { shelf, cuts: self.cuts(shop, shelf, set) };
        Packing {
            rolls: rolls.iter().map(roll).collect(),
            uncut: uncut.iter().map(|&b| self.items[b]).collect(),
        }
    }

    /// The cuts of a set, as `shortest` reckoned them.
    fn cuts(&self, shop: &Shop, shelf: usize, set: usize) -> Vec<Vec<usize>> {
        let length = &self.length[self.width_of[shelf]];
        let breadth = shop.shelves[shelf].breadth;
        let kind = |bit: usize| shop.kind_of[self.items[bit]].map(|k| shop.kinds[k]);
        let (mut left, mut cuts) = (set, Vec::new());
        while left != 0 {
            let first = left & left.wrapping_neg();
            let is_cut = |with: &usize| {
                let cut = with | first;
                let kinds = || bits(cut).filter_map(kind);
                let need = kinds().map(|k| k.need).max().unwrap_or(0);
                let fits = *with == 0 || kinds().all(|k| k.slit);
                fits && kinds().map(|k| k.across).sum::<Mm>() <= breadth
                    && need + length[left ^ cut] == length[left]
            };
            let with = subsets(left ^ first).find(is_cut).unwrap_or(0);
            cuts.push(bits(with | first).map(|b| self.items[b]).collect());
            left ^= with | first;
        }
        cuts
    }
}

/// Every subset of a set, itself first.
fn subsets(set: usize) -> impl Iterator<Item = usize> {
    std::iter::successors(Some(set), move |&s| (s > 0).then(|| (s - 1) & set))
}

/// The numbers in a set.
fn bits(set: usize) -> impl Iterator<Item = usize> {
    let next = |s: &usize| (*s != 0).then(|| s & (s - 1));
    std::iter::successors(Some(set), next).take_while(|s| *s != 0).map(|s| s.trailing_zeros() as usize)
}
