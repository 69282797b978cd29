//! Screening: the least that the zones of a plan can cost by cut length, without laying them.
//!
//! In: zones and products. Out: a score to compare plans by, one look at a direction and a width after the other. Zones
//! that were looked at before are remembered. It knows nothing of packing pieces on rolls: the score is no promise.

use crate::geom::Region;
use crate::plan::{Mm, Products, RollKind};
use crate::ways;
use crate::zones::ZoneModel;
use std::collections::BTreeMap;

/// Directions looked at for a zone, those of the longest walls: one of the others is seldom the best.
const MOST_DIRECTIONS: usize = 8;

/// Least price of the roll that fields take, thousandths of hundredths; `None` for those that cannot be laid.
pub(super) type Known = BTreeMap<Vec<Region>, Option<i128>>;

/// A score being found.
#[derive(Clone, Debug)]
pub(super) struct Screening {
    zones: Vec<ZoneModel>,
    zone: usize,
    look: usize,
    least: Option<i128>,
    sum: i128,
    /// Above it the score is of no interest.
    limit: i128,
}

impl Screening {
    /// Begins with what the lines cost.
    pub(super) fn new(zones: Vec<ZoneModel>, lines: i128, limit: i128) -> Self {
        Self { zones, zone: 0, look: 0, least: None, sum: lines, limit }
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
        if self.look == directions * widths.len() {
            if super::is_free(zone) {
                known.insert(zone.field.clone(), self.least);
            }
            self.next_zone(self.least);
            return 1;
        }
        let (along, width) = (zone.directions[self.look / widths.len()], widths[self.look % widths.len()]);
        let length = ways::look(zone, along, width, products).and_then(|look| look.least());
        let price = length.and_then(|(length, _)| price_of(length, width, products));
        self.least = [self.least, price].into_iter().flatten().min();
        self.look += 1;
        4 + zone.field.iter().flatten().map(|ring| ring.len() as u64).sum::<u64>() / 4
    }

    fn next_zone(&mut self, price: Option<i128>) {
        match price {
            Some(price) => self.sum += price,
            None => self.sum = i128::MAX,
        }
        (self.zone, self.look, self.least) = (self.zone + 1, 0, None);
    }
}

/// Price of a length of roll of a width, thousandths of hundredths.
fn price_of(length: Mm, width: Mm, products: &Products) -> Option<i128> {
    let kinds = products.rolls.iter().filter(|r| r.width == width && r.length > 0);
    let price =
        |r: &RollKind| i128::from(length) * i128::from(products.price(r)) * 1000 / i128::from(r.length);
    kinds.map(price).min()
}
