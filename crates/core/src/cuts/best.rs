//! The best so far: the answer, the least price without the limit of open rolls, and the bounds.
//!
//! In: packings as methods find them. Out: the best of them by rank, for each part the cheapest whatever the limit, and
//! the cut list with its proof. Every packing offered is taken as it is: what offers it answers for its pieces.

use super::CutList;
use super::first_fit;
use super::packing::{Packing, Rank};
use super::shop::Shop;

/// The best packings and bounds.
#[derive(Clone, Debug)]
pub(super) struct Best {
    pub(super) packing: Packing,
    pub(super) rank: Rank,
    /// For each part the cheapest packing whatever the limit, with how many it leaves uncut and its price.
    loose: Vec<(usize, i64, Packing)>,
    /// For each part a price and a number of rolls that nothing goes below.
    least: Vec<(i64, usize)>,
    /// The same for all parts together.
    least_whole: (i64, usize),
    /// A price that nothing goes below within the limit of open rolls.
    least_within_limit: i64,
}

impl Best {
    /// Starts with a packing.
    pub(super) fn new(shop: &Shop, packing: Packing) -> Self {
        let parts = 0..shop.parts.len();
        let loose = |p: usize| {
            let part = packing.of_part(shop, p);
            (part.uncut.len(), part.price(shop), part)
        };
        Self {
            loose: parts.map(loose).collect(),
            least: shop.parts.iter().map(|p| first_fit::least(shop, p)).collect(),
            least_whole: (0, 0),
            least_within_limit: 0,
            rank: packing.rank(shop),
            packing,
        }
    }

    /// Offers a packing of everything; whether it or its price is better.
    pub(super) fn offer(&mut self, shop: &Shop, packing: &Packing) -> bool {
        let mut better = self.offer_ranked(shop, packing);
        if shop.limits_open() || shop.parts.len() > 1 {
            for part in 0..shop.parts.len() {
                better |= self.offer_part(shop, part, packing.of_part(shop, part));
            }
        } else {
            better |= self.offer_loose(shop, 0, packing);
        }
        better
    }

    fn offer_ranked(&mut self, shop: &Shop, packing: &Packing) -> bool {
        let rank = packing.rank(shop);
        let better = rank < self.rank;
        if better {
            self.rank = rank;
            self.packing = packing.clone();
        }
        better
    }

    fn offer_loose(&mut self, shop: &Shop, part: usize, packing: &Packing) -> bool {
        let Some(loose) = self.loose.get_mut(part) else { return false };
        let found = (packing.uncut.len(), packing.price(shop));
        let better = found < (loose.0, loose.1);
        if better {
            *loose = (found.0, found.1, packing.clone());
        }
        better
    }

    /// Offers a packing of one part.
    pub(super) fn offer_part(&mut self, shop: &Shop, part: usize, packing: Packing) -> bool {
        if !self.offer_loose(shop, part, &packing) {
            return false;
        }
        let mut whole = Packing::default();
        for (_, _, part) in &self.loose {
            whole.rolls.extend(part.rolls.iter().cloned());
            whole.uncut.extend(&part.uncut);
        }
        self.offer_ranked(shop, &whole);
        true
    }

    /// Tells that no cut list of a part has a lower price; whether that is news.
    pub(super) fn raise_price(&mut self, shop: &Shop, part: usize, price: i64) -> bool {
        let news = price > self.least[part].0;
        self.least[part].0 = self.least[part].0.max(price);
        // So much money opens at least so many of the dearest rolls.
        let dearest = shop.parts[part].shelves.iter().map(|&s| shop.shelves[s].price).max().unwrap_or(1);
        let rolls = usize::try_from((price - 1).max(-1) / dearest + 1).unwrap_or(0);
        self.raise_rolls(part, if price > 0 { rolls } else { 0 }) || news
    }

    /// Tells that no cut list of a part opens fewer rolls; whether that is news.
    pub(super) fn raise_rolls(&mut self, part: usize, rolls: usize) -> bool {
        let news = rolls > self.least[part].1;
        self.least[part].1 = self.least[part].1.max(rolls);
        news
    }

    /// Tells that no cut list of everything has a lower price or opens fewer rolls; whether that is news.
    pub(super) fn raise_whole(&mut self, price: i64, rolls: usize) -> bool {
        let before = self.least_whole;
        self.least_whole = (before.0.max(price), before.1.max(rolls));
        self.least_whole != before
    }

    /// The least price known of a part whatever the limit; beyond reach while something is left uncut.
    pub(super) fn known(&self, part: usize) -> i64 {
        let (uncut, price, _) = &self.loose[part];
        if *uncut > 0 { i64::MAX } else { *price }
    }

    /// The cheapest packing known of a part.
    pub(super) fn loose(&self, part: usize) -> &Packing {
        &self.loose[part].2
    }

    /// Whether the price of a part is proved whatever the limit.
    pub(super) fn is_proved(&self, part: usize) -> bool {
        self.least[part].0 >= self.known(part)
    }

    /// No cut list has a lower price.
    pub(super) fn least_price(&self) -> i64 {
        self.least.iter().map(|l| l.0).fold(0, i64::saturating_add).max(self.least_whole.0)
    }

    /// No cut list opens fewer rolls.
    fn least_rolls(&self) -> usize {
        self.least.iter().map(|l| l.1).fold(0, usize::saturating_add).max(self.least_whole.1)
    }

    /// Tells that no cut list within the limit of open rolls has a lower price; whether that is news.
    pub(super) fn raise_within_limit(&mut self, price: i64) -> bool {
        let news = price > self.least_within_limit;
        self.least_within_limit = self.least_within_limit.max(price);
        news
    }

    /// The least price known within the limit; beyond reach while something is uncut or the limit is broken.
    pub(super) fn known_within_limit(&self) -> i64 {
        if self.rank.uncut > 0 || self.rank.over > 0 { i64::MAX } else { self.rank.price }
    }

    /// Nothing is uncut and the price is proved the least within the limit.
    pub(super) fn is_price_settled(&self) -> bool {
        self.known_within_limit() <= self.least_price().max(self.least_within_limit)
    }

    /// The cut list.
    pub(super) fn list(&self, shop: &Shop) -> CutList {
        let mut list = self.packing.list(shop);
        let unlimited = self.loose.iter().map(|l| l.1).fold(0, i64::saturating_add);
        list.price_unlimited = unlimited;
        // Where the stock runs out, what is not cut costs nothing: the bound is for those who cut everything.
        list.least_price = self.least_price().min(list.price);
        list.least_price_within_limit = list.least_price.max(self.least_within_limit.min(list.price));
        list.least_rolls = self.least_rolls().min(list.rolls.len());
        list.proved = list.uncut.is_empty() && list.price == list.least_price;
        list
    }
}
