//! The kinds of roll in stock: one more, or one less.
//!
//! In: the products. Out: the products with another list of kinds; prices stay what they were. It checks no size.

use baylap_core::plan::{Products, RollKind};

/// The products with one more kind: like the last one, with a price by its area and none counted on hand.
pub fn with_one_more(products: &Products) -> Products {
    let mut more = products.clone();
    let like = more.rolls.last().cloned().or_else(|| Products::default().rolls.pop());
    more.rolls.extend(like.map(|like| RollKind { name: String::new(), on_hand: None, price: None, ..like }));
    more
}

/// The products without kind `n`, from 0; `None` when there is no such kind or no other.
pub fn without(products: &Products, n: usize) -> Option<Products> {
    if products.rolls.len() < 2 || n >= products.rolls.len() {
        return None;
    }
    let mut fewer = products.clone();
    // The first kind sets the price of the others: what they cost must not change with it gone.
    if n == 0 {
        for (kind, old) in fewer.rolls.iter_mut().zip(&products.rolls) {
            kind.price = Some(products.price(old));
        }
    }
    fewer.rolls.remove(n);
    Some(fewer)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn three() -> Products {
        let mut p = with_one_more(&with_one_more(&Products::default()));
        p.rolls[1].width = 500;
        p.rolls[2].price = Some(777);
        p
    }

    #[test]
    fn a_kind_comes_and_goes() {
        let p = three();
        assert_eq!(p.rolls.len(), 3);
        let last_gone = without(&p, 2).expect("there are others");
        assert_eq!(last_gone.rolls, p.rolls[..2]);
        assert_eq!(without(&p, 3), None);
        assert_eq!(without(&Products::default(), 0), None, "something must be laid");
    }

    #[test]
    fn the_first_kind_takes_no_price_away_with_it() {
        let p = three();
        let fewer = without(&p, 0).expect("there are others");
        let prices: Vec<i64> = fewer.rolls.iter().map(|k| fewer.price(k)).collect();
        assert_eq!(
            prices,
            [5000, 777],
            "half the width of a roll of 100.00, and the one with a price of its own"
        );
    }
}
