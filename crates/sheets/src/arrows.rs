//! Fall arrows: which way water runs, one arrow for each part of the deck that falls alike.
//!
//! In: the facets of the surface, the scale, what already stands on the drawing. Out: arrows with their fall, none on
//! another. Facets beside each other that fall alike are one part. Where parts are too small for an arrow, as on a deck
//! with many uneven levels, one arrow shows the mean fall of a square of the deck, unless its falls run every which way.

use crate::clip::direction;
use crate::label::Taken;
use crate::place::turn_of;
use baylap_core::layout::Falls;
use baylap_core::layout::falls::Facet;
use std::collections::BTreeMap;

/// An arrow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arrow {
    /// Its middle, plan mm.
    pub at: [f64; 2],
    /// Direction that water runs, thousandths of a degree.
    pub turn_mdeg: i32,
    /// Fall, millionths; 0 where the deck is level.
    pub fall_ppm: i64,
}

/// Half of what an arrow takes with its fall beside it, along and across, mm on paper.
const HALF: [f64; 2] = [6.5, 4.6];

/// Side of the square that an arrow of its own needs, mm on paper.
const LEAST_SIDE: f64 = 9.0;

/// Side of the squares that small parts are gathered in, mm on paper.
const SQUARE: f64 = 24.0;

/// Cosine of the angle that falls of one part may differ by: 2.5 degrees. With more, facets of an uneven deck that happen
/// to lie like one of them would make a part, and its arrow would show that one and not the deck.
const ALIKE: f64 = 0.999;

/// Share that falls of one part may differ by.
const AS_STEEP: f64 = 0.05;

/// Least share of the falls of a square that must be left in their mean for it to have an arrow.
const COHERENT: f64 = 0.6;

/// So many places of a part are tried.
const TRIES: usize = 24;

/// Arrows of a surface for a scale, those of the largest parts first, clear of what is taken and of each other.
pub fn arrows(falls: &Falls, scale: f64, taken: &[Taken]) -> Vec<Arrow> {
    let facets: Vec<Flat> = falls.facets.iter().map(|f| Flat::new(falls, f)).collect();
    let mut parts = parts(falls, &facets);
    let least = (LEAST_SIDE * scale) * (LEAST_SIDE * scale);
    let small = parts.iter().position(|p| p.area < least).unwrap_or(parts.len());
    let few = parts.split_off(small);
    let mut board = Board::new(scale, taken);
    let mut made: Vec<Arrow> = parts.iter().filter_map(|part| board.place(part)).collect();
    made.extend(squares(&few, &facets, scale).iter().filter_map(|part| board.place(part)));
    made
}

/// A facet with its area, middle and fall as a vector.
struct Flat {
    area: f64,
    corners: [[f64; 2]; 3],
    middle: [f64; 2],
    fall: [f64; 2],
}

impl Flat {
    #[allow(clippy::cast_precision_loss)]
    fn new(falls: &Falls, facet: &Facet) -> Self {
        let corner = |i: usize| {
            falls
                .points
                .get(facet.corners[i] as usize)
                .map_or([0.0; 2], |[x, y, _]| [*x as f64 / 1000.0, *y as f64 / 1000.0])
        };
        let [a, b, c] = [corner(0), corner(1), corner(2)];
        let doubled = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
        let middle = [(a[0] + b[0] + c[0]) / 3.0, (a[1] + b[1] + c[1]) / 3.0];
        let along = direction(facet.direction_mdeg);
        let steep = facet.fall_ppm as f64;
        let fall = [along[0] * steep, along[1] * steep];
        Self { area: doubled.abs() / 2.0, corners: [a, b, c], middle, fall }
    }

    /// Places inside it half way from its middle to its corners.
    fn off_middle(&self) -> [[f64; 2]; 3] {
        self.corners.map(|c| [f64::midpoint(c[0], self.middle[0]), f64::midpoint(c[1], self.middle[1])])
    }
}

/// Facets that fall alike.
struct Part {
    area: f64,
    /// Area times fall, summed.
    fall: [f64; 2],
    /// Places for its arrow, best first.
    places: Vec<[f64; 2]>,
    facets: Vec<usize>,
}

impl Part {
    fn of(members: Vec<usize>, facets: &[Flat]) -> Self {
        let mut part = Part { area: 0.0, fall: [0.0; 2], places: Vec::new(), facets: members };
        let mut sum = [0.0; 2];
        for flat in part.facets.iter().map(|i| &facets[*i]) {
            part.area += flat.area;
            let add =
                |to: [f64; 2], more: [f64; 2]| [to[0] + flat.area * more[0], to[1] + flat.area * more[1]];
            part.fall = add(part.fall, flat.fall);
            sum = add(sum, flat.middle);
        }
        let mean = sum.map(|s| s / part.area.max(1e-9));
        let mut middles: Vec<(f64, usize)> =
            part.facets.iter().map(|i| (distance(mean, facets[*i].middle), *i)).collect();
        middles.sort_by(|a, b| a.0.total_cmp(&b.0));
        // The mean of a bent part may lie outside it: its facet nearest to the mean is inside. Where one facet is all, or
        // the mean lies in the midst of several, they are near enough to be one place.
        let near = middles.first().is_some_and(|(far, _)| far * far < part.area / 9.0);
        part.places.extend(near.then_some(mean));
        // The middles of its facets, then places half way from them to their corners.
        let nearest: Vec<usize> = middles.into_iter().map(|(_, index)| index).take(TRIES).collect();
        part.places.extend(nearest.iter().map(|i| facets[*i].middle));
        part.places.extend(nearest.iter().flat_map(|i| facets[*i].off_middle()));
        part
    }

    fn arrow(&self, at: [f64; 2]) -> Arrow {
        let mean = self.fall.map(|f| f / self.area.max(1e-9));
        let steep = (mean[0] * mean[0] + mean[1] * mean[1]).sqrt();
        Arrow { at, turn_mdeg: turn_of(mean), fall_ppm: crate::clip::whole(steep) }
    }
}

/// Parts that fall alike, largest first. A part grows from its largest facet, which all others of it are like.
fn parts(falls: &Falls, facets: &[Flat]) -> Vec<Part> {
    let beside = neighbours(falls);
    let mut order: Vec<usize> = (0..facets.len()).collect();
    order.sort_by(|a, b| facets[*b].area.total_cmp(&facets[*a].area).then(a.cmp(b)));
    let mut done = vec![false; facets.len()];
    let mut made = Vec::new();
    for seed in order {
        if done[seed] {
            continue;
        }
        done[seed] = true;
        let mut members = vec![seed];
        let mut next = 0;
        while next < members.len() {
            for &other in beside.get(&members[next]).into_iter().flatten() {
                if !done[other] && alike(facets[seed].fall, facets[other].fall) {
                    done[other] = true;
                    members.push(other);
                }
            }
            next += 1;
        }
        made.push(Part::of(members, facets));
    }
    made.sort_by(|a, b| b.area.total_cmp(&a.area));
    made
}

fn neighbours(falls: &Falls) -> BTreeMap<usize, Vec<usize>> {
    let mut sides: BTreeMap<[u32; 2], Vec<usize>> = BTreeMap::new();
    for (index, facet) in falls.facets.iter().enumerate() {
        let [a, b, c] = facet.corners;
        for [p, q] in [[a, b], [b, c], [c, a]] {
            sides.entry([p.min(q), p.max(q)]).or_default().push(index);
        }
    }
    let mut beside: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for pair in sides.values() {
        for one in pair {
            beside.entry(*one).or_default().extend(pair.iter().filter(|other| *other != one));
        }
    }
    beside
}

/// Whether two falls are one to the eye: level both, or one way and equally steep.
fn alike(a: [f64; 2], b: [f64; 2]) -> bool {
    /// Less than this is level to the eye, millionths.
    const LEVEL: f64 = 200.0;
    let (steep_a, steep_b) = (length(a), length(b));
    if steep_a < LEVEL || steep_b < LEVEL {
        return steep_a < LEVEL && steep_b < LEVEL;
    }
    let cos = (a[0] * b[0] + a[1] * b[1]) / (steep_a * steep_b);
    cos > ALIKE && (steep_a - steep_b).abs() <= AS_STEEP * steep_a
}

/// Small parts gathered in squares of the deck; those without a common way are left out.
fn squares(few: &[Part], facets: &[Flat], scale: f64) -> Vec<Part> {
    let side = SQUARE * scale;
    let mut cells: BTreeMap<[i64; 2], Vec<usize>> = BTreeMap::new();
    for index in few.iter().flat_map(|p| p.facets.iter().copied()) {
        let cell = facets[index].middle.map(|c| crate::clip::whole((c / side).floor()));
        cells.entry(cell).or_default().push(index);
    }
    let coherent = |part: &Part| {
        let falls: f64 = part.facets.iter().map(|i| facets[*i].area * length(facets[*i].fall)).sum();
        part.area > side * side / 4.0 && length(part.fall) > COHERENT * falls
    };
    cells.into_values().map(|members| Part::of(members, facets)).filter(coherent).collect()
}

/// What is taken, by squares, so that few are looked at.
struct Board {
    scale: f64,
    side: f64,
    cells: BTreeMap<[i64; 2], Vec<Taken>>,
}

impl Board {
    fn new(scale: f64, taken: &[Taken]) -> Self {
        let mut board = Self { scale, side: 2.0 * HALF[0] * scale, cells: BTreeMap::new() };
        for one in taken {
            board.add(*one);
        }
        board
    }

    fn cell(&self, at: [f64; 2]) -> [i64; 2] {
        at.map(|c| crate::clip::whole((c / self.side).floor()))
    }

    fn add(&mut self, one: Taken) {
        let cell = self.cell(one.at);
        self.cells.entry(cell).or_default().push(one);
    }

    fn place(&mut self, part: &Part) -> Option<Arrow> {
        let turn = part.arrow([0.0; 2]).turn_mdeg;
        let room = |at| Taken { at, along: direction(turn), half: HALF.map(|h| h * self.scale) };
        let found = part.places.iter().map(|at| room(*at)).find(|room| self.is_free(room))?;
        self.add(found);
        Some(part.arrow(found.at))
    }

    fn is_free(&self, room: &Taken) -> bool {
        let [x, y] = self.cell(room.at);
        let near = (-1..=1).flat_map(|i| (-1..=1).map(move |j| [x + i, y + j]));
        !near.filter_map(|cell| self.cells.get(&cell)).flatten().any(|other| other.meets(room))
    }
}

fn length([x, y]: [f64; 2]) -> f64 {
    (x * x + y * y).sqrt()
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    length([a[0] - b[0], a[1] - b[1]])
}
