//! Screening: about what the rolls of the zones of a plan cost, without laying them.
//!
//! In: zones and products. Out: a score to compare plans by, one look at a direction and a width after the other, then
//! the most promising of them with their runs packed on rolls. Zones that were looked at before are remembered. Each
//! zone is packed by itself, its runs parted evenly: the score is a guess, and no promise.

use crate::courses;
use crate::geom::Region;
use crate::plan::{Laying, Mm, Products, RollKind};
use crate::ways::{self, Look};
use crate::zones::ZoneModel;
use std::collections::BTreeMap;

/// Directions looked at for a zone, those of the longest walls: one of the others is seldom the best.
const MOST_DIRECTIONS: usize = 8;

/// Looks whose runs are packed on rolls, those with the least cut length.
const PACKED: usize = 4;

/// Least price of the roll that fields take, thousandths of hundredths; `None` for those that cannot be laid.
pub(super) type Known = BTreeMap<Vec<Region>, Option<i128>>;

/// A score being found.
#[derive(Clone, Debug)]
pub(super) struct Screening {
    zones: Vec<ZoneModel>,
    zone: usize,
    look: usize,
    /// Looks at the zone at hand, by the price of their cut length.
    seen: Vec<(i128, Look)>,
    least: Option<i128>,
    sum: i128,
    /// Above it the score is of no interest.
    limit: i128,
}

impl Screening {
    /// Begins with what the lines cost.
    pub(super) fn new(zones: Vec<ZoneModel>, lines: i128, limit: i128) -> Self {
        Self { zones, zone: 0, look: 0, seen: Vec::new(), least: None, sum: lines, limit }
    }

    /// The score, once all is looked at; `Some(None)` when it is above the limit or a zone cannot be laid.
    pub(super) fn score(&self) -> Option<Option<i128>> {
        if self.sum > self.limit {
            return Some(None);
        }
        (self.zone == self.zones.len()).then_some(Some(self.sum))
    }

    /// Takes one look more; the steps it took.
    pub(super) fn advance(&mut self, products: &Products, known: &mut Known) -> u64 {
        let Some(zone) = self.zones.get(self.zone) else { return 1 };
        if zone.field.is_empty() {
            self.next_zone(Some(0));
            return 1;
        }
        // What is held is not part of the key.
        if let Some(&price) = known.get(&zone.field).filter(|_| super::is_free(zone)) {
            self.next_zone(price);
            return 1;
        }
        let widths = ways::widths(products);
        let directions = zone.directions.len().min(MOST_DIRECTIONS);
        let looks = directions * widths.len();
        let corners = zone.field.iter().flatten().map(|ring| ring.len() as u64).sum::<u64>();
        if self.look < looks {
            let (along, width) =
                (zone.directions[self.look / widths.len()], widths[self.look % widths.len()]);
            let look = ways::look(zone, along, width, products);
            let price = |look: &Look| price_of(look.least()?.0, width, products);
            self.seen.extend(look.and_then(|look| Some((price(&look)?, look))));
            self.look += 1;
            return 4 + corners / 4;
        }
        if self.look == looks {
            // Of equal ones the first that was looked at: that along the longer wall.
            self.seen.sort_by_key(|(price, _)| *price);
        }
        let packed = self.look - looks;
        if let Some((by_length, look)) = self.seen.get(packed).filter(|_| packed < PACKED) {
            let price = packed_price(zone, look, products).map_or(*by_length, |price| price.max(*by_length));
            self.least = [self.least, Some(price)].into_iter().flatten().min();
            self.look += 1;
            return 8 + corners / 2;
        }
        if super::is_free(zone) {
            known.insert(zone.field.clone(), self.least);
        }
        self.next_zone(self.least);
        1
    }

    fn next_zone(&mut self, price: Option<i128>) {
        match price {
            Some(price) => self.sum += price,
            None => self.sum = i128::MAX,
        }
        (self.zone, self.look, self.least) = (self.zone + 1, 0, None);
        self.seen.clear();
    }
}

/// Price of a length of roll of a width, thousandths of hundredths.
fn price_of(length: Mm, width: Mm, products: &Products) -> Option<i128> {
    let kinds = products.rolls.iter().filter(|r| r.width == width && r.length > 0);
    let price =
        |r: &RollKind| i128::from(length) * i128::from(products.price(r)) * 1000 / i128::from(r.length);
    kinds.map(price).min()
}

/// Price of the rolls of a zone by itself, its last one by what is used of it: longest piece first, each on the first
/// roll that holds it. `None` where rolls run on, and cut length is all that counts.
fn packed_price(zone: &ZoneModel, look: &Look, products: &Products) -> Option<i128> {
    if products.laying != Laying::Cut {
        return None;
    }
    let width = look.spacing.width;
    let roll = products.rolls.iter().filter(|r| r.width == width).map(|r| r.length).max()?;
    let (lap, longest) = (products.end_lap.max(0), products.longest_piece.min(roll));
    if longest <= 2 * lap {
        return None;
    }
    let laid = courses::lay_out(&zone.field, &look.way(*look.firsts.first()?))?;
    let mut pieces: Vec<Mm> = Vec::new();
    for run in laid.runs.iter().flatten() {
        let length = run.to - run.from;
        let count = ((length - lap).max(1) + longest - lap - 1) / (longest - lap);
        let piece = (length + (count - 1) * lap + count - 1) / count;
        pieces.extend((0..count).map(|_| piece));
    }
    pieces.sort_unstable_by(|a, b| b.cmp(a));
    let mut rests: Vec<Mm> = Vec::new();
    for piece in pieces {
        match rests.iter_mut().find(|rest| **rest >= piece) {
            Some(rest) => *rest -= piece,
            None => rests.push(roll - piece),
        }
    }
    let used = Mm::try_from(rests.len()).unwrap_or(0) * roll - rests.last().copied().unwrap_or(0);
    price_of(used, width, products)
}
