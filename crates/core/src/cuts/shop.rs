//! The shop: a cutting problem made ready for search.
//!
//! In: a problem as asked. Out: equal pieces gathered into kinds, longest first; rolls as shelves with room for a last cut
//! that needs no kerf; bays numbered by position; and the parts that share neither pieces nor rolls, which can be solved
//! one by one. Sizes beyond reason are held to what sums of them can carry, so nothing here overflows or panics. It
//! solves nothing.

use super::{Item, Problem, Stock, Terms};
use crate::plan::Mm;

/// Longest length or width that is reckoned with, mm: a thousand kilometres.
const FAR: Mm = 1_000_000_000;
/// Highest price that is reckoned with.
const DEAR: i64 = 1_000_000_000_000;

/// Pieces of one size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Kind {
    /// Length and width, mm.
    pub(super) length: Mm,
    pub(super) width: Mm,
    /// Length and width with the kerf that parts it from the next, mm.
    pub(super) need: Mm,
    pub(super) across: Mm,
    /// Whether others may lie beside it.
    pub(super) slit: bool,
    /// Its bay, where kinds are kept apart by bay; else 0.
    pub(super) bay: usize,
}

/// A kind of roll.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Shelf {
    pub(super) length: Mm,
    pub(super) width: Mm,
    /// Length and width with one kerf more: the last cut needs none.
    pub(super) room: Mm,
    pub(super) breadth: Mm,
    pub(super) price: i64,
    /// How many can be opened: never more than there are pieces.
    pub(super) count: usize,
    /// Whether there may be fewer than wanted.
    pub(super) limited: bool,
}

/// Kinds and shelves that have to do with one another.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Part {
    pub(super) kinds: Vec<usize>,
    pub(super) shelves: Vec<usize>,
    /// Whether any of its kinds may be slit.
    pub(super) slit: bool,
}

/// A problem made ready.
#[derive(Clone, Debug)]
pub(super) struct Shop {
    pub(super) kinds: Vec<Kind>,
    /// For each kind its items, in laying order.
    pub(super) members: Vec<Vec<usize>>,
    /// For each item its kind; `None` when no roll holds it.
    pub(super) kind_of: Vec<Option<usize>>,
    /// For each item the number of its bay by position.
    pub(super) bay_of: Vec<usize>,
    pub(super) bays: usize,
    /// One for each stock of the problem.
    pub(super) shelves: Vec<Shelf>,
    pub(super) parts: Vec<Part>,
    /// Which part each kind belongs to.
    pub(super) part_of: Vec<usize>,
    pub(super) least_offcut: Mm,
    pub(super) kerf: Mm,
    /// Most rolls part-used.
    pub(super) open_most: usize,
}

impl Shop {
    /// Equal pieces are of one kind, whatever their bay.
    pub(super) fn new(problem: &Problem) -> Self {
        let bays = vec![0; problem.items.len()];
        Self::of_kinds(problem, &bays)
    }

    /// Only equal pieces of one bay are of one kind.
    pub(super) fn by_bay(problem: &Problem) -> Self {
        Self::of_kinds(problem, &bays(&problem.items))
    }

    fn of_kinds(problem: &Problem, bay: &[usize]) -> Self {
        let Terms { kerf, least_offcut, open_most } = problem.terms;
        let kerf = kerf.clamp(0, FAR);
        let shelves: Vec<Shelf> =
            problem.stocks.iter().map(|s| shelf(s, kerf, problem.items.len())).collect();
        let holdable = |i: &Item| i.length > 0 && i.width > 0 && shelves.iter().any(|s| holds(s, i));
        let as_kind = |(i, &bay): (&Item, &usize)| holdable(i).then(|| kind(i, bay, kerf, &shelves));
        let of_items: Vec<Option<Kind>> = problem.items.iter().zip(bay).map(as_kind).collect();
        let order = |k: &Kind| (-k.length, -k.width, k.slit, k.bay);
        let mut kinds: Vec<Kind> = of_items.iter().flatten().copied().collect();
        kinds.sort_by_key(order);
        kinds.dedup();
        let number = |k: &Kind| kinds.binary_search_by_key(&order(k), order).ok();
        let kind_of: Vec<Option<usize>> = of_items.iter().map(|k| k.as_ref().and_then(number)).collect();
        let mut members = vec![Vec::new(); kinds.len()];
        for (item, kind) in kind_of.iter().enumerate() {
            kind.iter().for_each(|&k| members[k].push(item));
        }
        let bay_of = bays(&problem.items);
        let (parts, part_of) = parts(&kinds, &shelves);
        Self {
            bays: bay_of.last().map_or(0, |b| b + 1),
            members,
            kind_of,
            bay_of,
            parts,
            part_of,
            least_offcut,
            kerf,
            open_most: open_most.map_or(usize::MAX, |n| usize::try_from(n).unwrap_or(usize::MAX)),
            kinds,
            shelves,
        }
    }

    /// Whether a shelf's rolls are long and wide enough, and of the right width when the piece may not be slit.
    pub(super) fn holds(&self, shelf: usize, kind: usize) -> bool {
        holds_kind(&self.shelves[shelf], &self.kinds[kind])
    }

    /// How many items some roll holds.
    pub(super) fn holdable(&self) -> usize {
        self.members.iter().map(Vec::len).sum()
    }

    /// Everything as one part.
    pub(super) fn whole(&self) -> Part {
        Part {
            kinds: (0..self.kinds.len()).collect(),
            shelves: (0..self.shelves.len()).collect(),
            slit: self.kinds.iter().any(|k| k.slit),
        }
    }

    /// Whether part-used rolls are limited at all.
    pub(super) fn limits_open(&self) -> bool {
        self.open_most < self.holdable() && self.bays > 1
    }
}

fn shelf(stock: &Stock, kerf: Mm, items: usize) -> Shelf {
    let (length, width) = (stock.length.clamp(0, FAR), stock.width.clamp(0, FAR));
    let on_hand = stock.count.map_or(usize::MAX, |n| usize::try_from(n).unwrap_or(usize::MAX));
    Shelf {
        length,
        width,
        room: length + kerf,
        breadth: width + kerf,
        price: stock.price.clamp(1, DEAR),
        count: on_hand.min(items),
        limited: on_hand < items,
    }
}

fn holds(shelf: &Shelf, item: &Item) -> bool {
    let wide_enough = if item.slit { item.width <= shelf.width } else { item.width == shelf.width };
    shelf.count > 0 && item.length <= shelf.length && wide_enough
}

fn holds_kind(shelf: &Shelf, kind: &Kind) -> bool {
    let wide_enough = if kind.slit { kind.width <= shelf.width } else { kind.width == shelf.width };
    shelf.count > 0 && kind.length <= shelf.length && wide_enough
}

/// A piece that may be slit but fills every roll that holds it is a plain one.
fn kind(item: &Item, bay: usize, kerf: Mm, shelves: &[Shelf]) -> Kind {
    let slit = item.slit && shelves.iter().any(|s| holds(s, item) && s.width > item.width);
    let (length, width) = (item.length.clamp(0, FAR), item.width.clamp(0, FAR));
    Kind { length, width, need: length + kerf, across: width + kerf, slit, bay }
}

/// Bays by position: a new one wherever the number changes.
fn bays(items: &[Item]) -> Vec<usize> {
    let mut at = 0;
    let step = |(i, item): (usize, &Item)| {
        at += usize::from(i > 0 && items[i - 1].bay != item.bay);
        at
    };
    items.iter().enumerate().map(step).collect()
}

/// Kinds that share a shelf, directly or through others, stand in one part.
fn parts(kinds: &[Kind], shelves: &[Shelf]) -> (Vec<Part>, Vec<usize>) {
    // The part of each shelf: the lowest shelf that it is joined to.
    let mut joined: Vec<usize> = (0..shelves.len()).collect();
    for kind in kinds {
        let held: Vec<usize> = (0..shelves.len()).filter(|&s| holds_kind(&shelves[s], kind)).collect();
        let lowest = held.iter().map(|&s| joined[s]).min().unwrap_or(0);
        let old: Vec<usize> = held.iter().map(|&s| joined[s]).collect();
        joined.iter_mut().filter(|j| old.contains(j)).for_each(|j| *j = lowest);
    }
    let mut parts: Vec<Part> = Vec::new();
    let mut part_of_shelf: Vec<Option<usize>> = vec![None; shelves.len()];
    let mut part_of = Vec::with_capacity(kinds.len());
    for (k, kind) in kinds.iter().enumerate() {
        let shelf = (0..shelves.len()).find(|&s| holds_kind(&shelves[s], kind)).unwrap_or(0);
        let root = joined[shelf];
        let part = *part_of_shelf[root].get_or_insert_with(|| {
            let shelves = (0..joined.len()).filter(|&s| joined[s] == root).collect();
            parts.push(Part { shelves, ..Part::default() });
            parts.len() - 1
        });
        parts[part].kinds.push(k);
        parts[part].slit |= kind.slit;
        part_of.push(part);
    }
    (parts, part_of)
}
