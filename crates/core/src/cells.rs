//! Bays, second half: rows cut into cells, and cells gathered into bays.
//!
//! In: the rows of a zone, the chainages where they are split, and the zone's pieces. Out: the bays: connected sets of
//! cells that partition the deck of the zone exactly, each with its pieces. A bit of deck that no piece lies on, and
//! a bay smaller than a piece, join the neighbour they share the longest edge with. It puts them in no order.

use crate::bays::{Limits, Rows};
use crate::courses::{ZoneCourses, doubled_area};
use crate::endlaps::Ends;
use crate::geom::frame::{Place, UM};
use crate::geom::net::shared;
use crate::geom::net::{self, Net, Part};
use crate::geom::overlay::Canvas;
use crate::geom::ring::doubled_area_of;
use crate::geom::sets::Sets;
use crate::geom::{Pt, Region};
use crate::pieces::PieceModel;
use crate::plan::Mm;
use std::collections::{BTreeMap, BTreeSet};

/// A bay of one zone.
#[derive(Clone, Debug)]
pub struct BayModel {
    /// First and last course, from 0.
    pub courses: [usize; 2],
    /// Its part of the deck.
    pub area: Vec<Region>,
    /// Its area, mm2.
    pub size: i64,
    /// Its length along the courses, mm.
    pub length: Mm,
    /// Indexes of its pieces in the zone.
    pub pieces: Vec<usize>,
    /// A place well inside it.
    pub label: Pt,
    /// Indexes of the bays of the zone next to it.
    pub beside: Vec<usize>,
}

/// The bays of a zone with its deck, every crossing of a line between bays a corner.
#[derive(Clone, Debug)]
pub struct ZoneBays {
    /// The bays.
    pub bays: Vec<BayModel>,
    /// The deck they partition.
    pub deck: Vec<Region>,
}

/// A bay smaller than one course of this length is no bay of its own, mm.
const SMALL_LENGTH: Mm = 1000;

/// A bit of one row.
struct Cell {
    row: usize,
    part: Part,
    key: (usize, usize),
    doubled: i128,
}

/// Two cells with a common edge.
struct Contact {
    one: usize,
    two: usize,
    length: i64,
}

/// Gathers the bays of a zone.
pub fn gather(
    canvas: &Canvas,
    courses: &ZoneCourses,
    rows: &Rows,
    ends: &Ends,
    limits: &Limits,
    pieces: &[PieceModel],
) -> ZoneBays {
    let (deck, cells) = cells_of(rows, ends);
    let contacts = contacts(&cells, &rows.lines, ends);
    let mut sets = Sets::new(cells.len());
    for c in contacts.iter().filter(|c| cells[c.one].key == cells[c.two].key) {
        sets.join(c.one, c.two);
    }
    let home = homes(pieces, &cells);
    let small = doubled_um(limits.pitch * SMALL_LENGTH);
    merge(&cells, &contacts, &home, &mut sets, small, limits);
    let mut members: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for i in 0..cells.len() {
        members.entry(sets.find(i)).or_default().push(i);
    }
    let index: BTreeMap<usize, usize> = members.keys().enumerate().map(|(i, &root)| (root, i)).collect();
    let mut bays: Vec<BayModel> =
        members.values().map(|own| bay(canvas, courses, &deck, &cells, own)).collect();
    for (piece, cell) in home.iter().enumerate() {
        if let Some(cell) = cell {
            bays[index[&sets.find(*cell)]].pieces.push(piece);
        }
    }
    for c in &contacts {
        let (a, b) = (index[&sets.find(c.one)], index[&sets.find(c.two)]);
        if a != b {
            bays[a].beside.push(b);
            bays[b].beside.push(a);
        }
    }
    for bay in &mut bays {
        bay.beside.sort_unstable();
        bay.beside.dedup();
        let in_pieces = bay.pieces.iter().map(|&p| pieces[p].course);
        let (lo, hi) = (in_pieces.clone().min(), in_pieces.max());
        bay.courses = [lo.unwrap_or(bay.courses[0]), hi.unwrap_or(bay.courses[1])];
    }
    ZoneBays { bays, deck: deck.regions() }
}

/// Cuts the rows; the deck comes back noded at every cut.
fn cells_of(rows: &Rows, ends: &Ends) -> (Net, Vec<Cell>) {
    let mut deck = rows.deck.clone();
    let mut marks = deck.corners_on(&rows.lines);
    for (k, cuts) in ends.row_cuts.iter().enumerate() {
        for &cut in cuts.values() {
            let u = cut * UM;
            let (lo, hi) = (rows.lines[k], rows.lines[k + 1]);
            deck.node_cut(u, lo, hi);
            for v in [lo, hi].into_iter().filter(|v| v.abs() < 1 << 49) {
                marks.entry(v).or_default().push(deck.mark(Place { u, v }));
            }
        }
    }
    net::put_in_order(&mut marks);
    deck.through_marks(&marks);
    let mut cells = Vec::new();
    for (k, row) in rows.parts.iter().enumerate() {
        let parts = deck.between(rows.lines[k], rows.lines[k + 1], &marks);
        for (part, (_, stretch)) in parts.iter().zip(row) {
            let cuts: Vec<Mm> = {
                let of = |(key, &at): (&(usize, usize), &Mm)| (key.0 == *stretch).then_some(at);
                let mut cuts: Vec<Mm> = ends.row_cuts.get(k).into_iter().flatten().filter_map(of).collect();
                cuts.sort_unstable();
                cuts
            };
            cells.extend(cells_of_part(k, part, *stretch, &cuts));
        }
    }
    (deck, cells)
}

fn cells_of_part(row: usize, part: &Part, stretch: usize, cuts: &[Mm]) -> Vec<Cell> {
    let Some((lo, hi)) = net::bounds(part) else { return Vec::new() };
    if !cuts.iter().any(|x| x * UM > lo.u && x * UM < hi.u) {
        let interval = cuts.iter().filter(|&&x| x * UM <= lo.u).count();
        let doubled = doubled_area(part);
        return vec![Cell { row, part: part.clone(), key: (stretch, interval), doubled }];
    }
    let far = 1 << 50;
    let bounds: Vec<i64> = [-far].into_iter().chain(cuts.iter().map(|x| x * UM)).chain([far]).collect();
    let mut cells = Vec::new();
    for (interval, w) in bounds.windows(2).enumerate().filter(|(_, w)| w[0] < hi.u && w[1] > lo.u) {
        for part in net::between_cuts(part, w[0], w[1]) {
            let doubled = doubled_area(&part);
            cells.push(Cell { row, part, key: (stretch, interval), doubled });
        }
    }
    cells
}

fn contacts(cells: &[Cell], lines: &[i64], ends: &Ends) -> Vec<Contact> {
    let mut of_row: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (i, cell) in cells.iter().enumerate() {
        of_row.entry(cell.row).or_default().push(i);
    }
    let mut found = Vec::new();
    for (&row, own) in &of_row {
        let cuts: Vec<i64> = ends.row_cuts.get(row).into_iter().flatten().map(|(_, x)| x * UM).collect();
        for &u in &cuts {
            let at_cut: Vec<(usize, Vec<[i64; 2]>)> = own
                .iter()
                .map(|&i| (i, runs_at_cut(&cells[i].part, u)))
                .filter(|(_, r)| !r.is_empty())
                .collect();
            pair_up(&at_cut, &at_cut, &mut found);
        }
        if let Some(above) = of_row.get(&(row + 1)) {
            let line = lines[row + 1];
            let along = |list: &[usize]| -> Vec<(usize, Vec<[i64; 2]>)> {
                list.iter()
                    .map(|&i| (i, net::runs_along(&cells[i].part, line)))
                    .filter(|(_, r)| !r.is_empty())
                    .collect()
            };
            pair_up(&along(own), &along(above), &mut found);
        }
    }
    found
}

fn pair_up(one: &[(usize, Vec<[i64; 2]>)], two: &[(usize, Vec<[i64; 2]>)], found: &mut Vec<Contact>) {
    for (i, a) in one {
        for (j, b) in two.iter().filter(|(j, _)| j != i) {
            let length = shared(a, b);
            if length > 0 {
                found.push(Contact { one: *i, two: *j, length });
            }
        }
    }
}

/// Where a part runs along the cut u = `u`: intervals of v.
fn runs_at_cut(part: &Part, u: i64) -> Vec<[i64; 2]> {
    part.iter()
        .flat_map(net::edges)
        .filter(|(a, b)| a.at.u == u && b.at.u == u && a.at.v != b.at.v)
        .map(|(a, b)| [a.at.v.min(b.at.v), a.at.v.max(b.at.v)])
        .collect()
}

/// The cell of each piece. One that lies over a drawn line, beyond the deck of its zone, goes with the piece that it laps
/// on to, or with the nearest cell: left out, it would be missing where it reaches back across the line.
fn homes(pieces: &[PieceModel], cells: &[Cell]) -> Vec<Option<usize>> {
    let own: Vec<Option<usize>> = pieces.iter().map(|p| home_of(p, cells)).collect();
    let lapped = |i: usize, other: Option<usize>| {
        let other = other.filter(|&o| o < pieces.len() && pieces[o].course == pieces[i].course)?;
        own[other]
    };
    let home = |i: usize| {
        let before = || lapped(i, i.checked_sub(1).filter(|_| pieces[i].lap_from > 0));
        let after = || lapped(i, Some(i + 1).filter(|_| pieces[i].lap_to > 0));
        own[i].or_else(before).or_else(after).or_else(|| nearest(&pieces[i], cells))
    };
    (0..pieces.len()).map(home).collect()
}

/// The cell nearest to a piece: in its own row if there is one, beside most of it.
fn nearest(piece: &PieceModel, cells: &[Cell]) -> Option<usize> {
    let beside = |cell: &Cell| {
        let (lo, hi) = net::bounds(&cell.part).unwrap_or_default();
        hi.u.min(piece.to * UM) - lo.u.max(piece.from * UM)
    };
    let key = |&i: &usize| (cells[i].row.abs_diff(piece.course), -beside(&cells[i]), i);
    (0..cells.len()).min_by_key(key)
}

/// The cell that a piece lies in. Cells are in order of their rows.
fn home_of(piece: &PieceModel, cells: &[Cell]) -> Option<usize> {
    let row = piece.course;
    [Some(row), row.checked_sub(1), Some(row + 1)].into_iter().flatten().find_map(|row| {
        let start = cells.partition_point(|c| c.row < row);
        let own = cells[start..].iter().take_while(|c| c.row == row);
        own.enumerate().find(|(_, c)| net::holds(&c.part, piece.inside)).map(|(i, _)| start + i)
    })
}

/// Joins bays without pieces, and bays smaller than `small`, to the neighbour with the longest common edge: the least
/// first, one at a time, as each join changes what is small. Only a bay without pieces may pass the pour limit so.
fn merge(
    cells: &[Cell],
    contacts: &[Contact],
    home: &[Option<usize>],
    sets: &mut Sets,
    small: i128,
    limits: &Limits,
) {
    let most = limits.area.map(doubled_um);
    loop {
        let mut size: BTreeMap<usize, i128> = BTreeMap::new();
        for (i, cell) in cells.iter().enumerate() {
            *size.entry(sets.find(i)).or_default() += cell.doubled;
        }
        let filled: BTreeSet<usize> = home.iter().flatten().map(|&cell| sets.find(cell)).collect();
        let mut lost: Vec<(i128, usize)> = size
            .iter()
            .filter(|(root, area)| !filled.contains(root) || **area < small)
            .map(|(root, area)| (*area, *root))
            .collect();
        if lost.is_empty() {
            return;
        }
        lost.sort_unstable();
        let edge = common_edges(contacts, sets);
        let neighbour = |&(area, root): &(i128, usize)| {
            edge.range((root, 0)..=(root, usize::MAX))
                .filter(|((_, other), _)| {
                    !filled.contains(&root) || most.is_none_or(|m| area + size[other] <= m)
                })
                .max_by_key(|((_, other), length)| (**length, usize::MAX - other))
                .map(|((_, other), _)| (root, *other))
        };
        let Some((one, two)) = lost.iter().find_map(neighbour) else { return };
        sets.join(one, two);
    }
}

/// Length of the common edge of every two bays that touch, under both orders of their numbers.
fn common_edges(contacts: &[Contact], sets: &mut Sets) -> BTreeMap<(usize, usize), i64> {
    let mut edge = BTreeMap::new();
    for contact in contacts {
        let (one, two) = (sets.find(contact.one), sets.find(contact.two));
        if one != two {
            *edge.entry((one, two)).or_default() += contact.length;
            *edge.entry((two, one)).or_default() += contact.length;
        }
    }
    edge
}

/// An area in mm2 as cells reckon it: doubled, in square micrometres.
fn doubled_um(area: i64) -> i128 {
    2 * i128::from(area) * i128::from(UM) * i128::from(UM)
}

fn bay(canvas: &Canvas, courses: &ZoneCourses, deck: &Net, cells: &[Cell], own: &[usize]) -> BayModel {
    let regions: Vec<Region> = own.iter().flat_map(|&i| deck.plan_regions(&cells[i].part)).collect();
    let area = if regions.len() == 1 { regions } else { canvas.union(&regions) };
    let rows = own.iter().map(|&i| cells[i].row);
    let bounds = net::bounds(own.iter().flat_map(|&i| cells[i].part.iter())).unwrap_or_default();
    BayModel {
        courses: [rows.clone().min().unwrap_or(0), rows.max().unwrap_or(0)],
        size: i64::try_from(doubled_area_of(&area) / 2).unwrap_or(i64::MAX),
        area,
        length: (bounds.1.u - bounds.0.u + UM / 2) / UM,
        pieces: Vec::new(),
        label: label(courses, cells, own),
        beside: Vec::new(),
    }
}

/// The middle of a large cell, of those the nearest to the middle row.
fn label(courses: &ZoneCourses, cells: &[Cell], own: &[usize]) -> Pt {
    let mut rows: Vec<usize> = own.iter().map(|&i| cells[i].row).collect();
    rows.sort_unstable();
    let middle = rows[rows.len() / 2];
    let largest = own.iter().map(|&i| cells[i].doubled).max().unwrap_or(0);
    let large = own.iter().filter(|&&i| cells[i].doubled * 5 >= largest * 4);
    let chosen = large.min_by_key(|&&i| (cells[i].row.abs_diff(middle), i)).copied().unwrap_or(own[0]);
    let far = 1 << 50;
    let place = net::inner_place(&cells[chosen].part, -far, far).unwrap_or(cells[chosen].part[0][0].at);
    courses.frame.plan_point(place)
}
