//! What a number of pieces costs: quantity breaks, packs, lots, a least order.
//!
//! ```
//! use firstglow::buying::{money::Money, price::Price};
//! let money = |t: &str| Money::new(t.parse().unwrap()).unwrap();
//! let mut price = Price::default();
//! price.each(1, money("0.85"));
//! price.each(10, money("0.60"));
//! let eight = price.buy(8).unwrap();
//! assert_eq!((eight.pieces, eight.cost), (10, money("6.00"))); // ten are cheaper than eight
//! ```
//!
//! Limits: a price of a break holds for all pieces bought, not for those above
//! the break; what a seller has is taken to be enough.

use super::money::Money;
use rust_decimal::Decimal;

/// The most pieces that a break, a pack, a lot or a least order may ask for.
pub const MOST_PIECES: u32 = 100_000;

/// Prices of one line.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Price {
    /// From how many pieces on each costs how much, rising.
    breaks: Vec<(u32, Money)>,
    /// How many pieces together cost how much.
    lots: Vec<(u32, Money)>,
    /// Pieces come in packs of so many; 0 and 1 are singly.
    pub pack: u32,
    /// The fewest pieces that are sold.
    pub least: u32,
}

/// A purchase.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Purchase {
    /// How many pieces come.
    pub pieces: u32,
    /// What they cost.
    pub cost: Money,
    /// How that comes about: `10 at 0.60`, `2 lots of 10`.
    pub steps: Vec<Step>,
}

/// One step of a purchase.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// So many pieces at so much each.
    Each(u32, Money),
    /// A lot of so many for so much.
    Lot(u32, Money),
}

impl Price {
    /// From `from` pieces on, each costs so much.
    pub fn each(&mut self, from: u32, money: Money) {
        let from = from.clamp(1, MOST_PIECES);
        self.breaks.retain(|(f, _)| *f != from);
        let at = self.breaks.iter().position(|(f, _)| *f > from).unwrap_or(self.breaks.len());
        self.breaks.insert(at, (from, money));
    }

    /// So many together cost so much.
    pub fn lot(&mut self, count: u32, money: Money) {
        self.lots.push((count.clamp(1, MOST_PIECES), money));
    }

    /// Whether any price is told.
    pub fn is_told(&self) -> bool {
        !self.breaks.is_empty() || !self.lots.is_empty()
    }

    /// The breaks, rising.
    pub fn breaks(&self) -> &[(u32, Money)] {
        &self.breaks
    }

    /// The lots, as written.
    pub fn lots(&self) -> &[(u32, Money)] {
        &self.lots
    }

    /// The finest decimal place in it.
    pub fn scale(&self) -> u32 {
        let all = self.breaks.iter().chain(&self.lots);
        all.map(|(_, money)| money.amount().scale()).max().unwrap_or(0)
    }

    /// The cheapest way to have at least that many; `None` where the sum leaves
    /// the range of money.
    pub fn buy(&self, wanted: u32) -> Option<Purchase> {
        let scale = self.scale();
        let mut left = wanted.max(self.least);
        let table = self.unbounded(left, scale)?;
        let mut purchase = Purchase { pieces: 0, cost: Money::ZERO, steps: Vec::new() };
        while left > 0 {
            let cost = *table.get(left as usize)?;
            let lot = self.lots.iter().find(|(count, money)| {
                let rest = table.get(left.saturating_sub(*count) as usize);
                let lot = money.ticks(scale);
                lot.zip(rest).is_some_and(|(lot, rest)| lot + rest == cost)
            });
            let (pieces, step, money) = if let Some(&(count, money)) = lot {
                left = left.saturating_sub(count);
                (count, Step::Lot(count, money), money)
            } else {
                let (pieces, each) = self.units(left, scale)?.1;
                left = 0;
                (pieces, Step::Each(pieces, each), each.times(pieces)?)
            };
            purchase.pieces = purchase.pieces.checked_add(pieces)?;
            purchase.cost = purchase.cost.plus(money)?;
            purchase.steps.push(step);
        }
        Some(purchase)
    }

    /// The least cost of at least 0, 1, 2 … `most` pieces, in ticks of the given
    /// scale; `None` where a sum leaves the range.
    pub fn costs(&self, most: u32, scale: u32) -> Option<Vec<i64>> {
        let mut table = self.unbounded(most.max(self.least), scale)?;
        let least = self.least as usize;
        let floor = *table.get(least)?;
        table.iter_mut().take(least).skip(1).for_each(|cost| *cost = floor);
        table.truncate(most as usize + 1);
        Some(table)
    }

    /// The same without the least order.
    fn unbounded(&self, most: u32, scale: u32) -> Option<Vec<i64>> {
        let lots: Option<Vec<(usize, i64)>> =
            self.lots.iter().map(|(n, m)| Some((*n as usize, m.ticks(scale)?))).collect();
        let lots = lots?;
        let mut table = vec![0_i64];
        for pieces in 1..=most {
            let units = self.units(pieces, scale).map(|(cost, _)| cost);
            let lot = lots.iter().filter_map(|(n, cost)| {
                let rest = table[(pieces as usize).saturating_sub(*n)];
                // Sums of several lines must fit too.
                rest.checked_add(*cost).filter(|sum| *sum < i64::MAX / 1024)
            });
            table.push(units.into_iter().chain(lot).min()?);
        }
        Some(table)
    }

    /// The cheapest way to have at least that many by breaks alone: what it
    /// costs, how many come at what price each.
    fn units(&self, wanted: u32, scale: u32) -> Option<(i64, (u32, Money))> {
        let pack = self.pack.max(1);
        let options = self.breaks.iter().filter_map(|(from, _)| {
            let pieces = wanted.max(*from).div_ceil(pack).checked_mul(pack)?;
            let (_, each) = self.breaks.iter().rev().find(|(f, _)| *f <= pieces)?;
            let cost = each.ticks(scale)?.checked_mul(pieces.into())?;
            (cost < i64::MAX / 1024).then_some((cost, (pieces, *each)))
        });
        options.min_by_key(|(cost, (pieces, _))| (*cost, *pieces))
    }

    /// What one piece costs at best when that many are wanted: for comparing.
    pub fn apiece(&self, wanted: u32) -> Option<Decimal> {
        let purchase = self.buy(wanted.max(1))?;
        purchase.cost.amount().checked_div(wanted.max(1).into())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn money(text: &str) -> Money {
        Money::new(text.parse().unwrap()).unwrap()
    }

    fn cost(price: &Price, wanted: u32) -> (u32, String) {
        let bought = price.buy(wanted).unwrap();
        (bought.pieces, bought.cost.amount().to_string())
    }

    #[test]
    fn packs_and_least_orders_round_up() {
        let mut price = Price { pack: 5, least: 10, ..Price::default() };
        price.each(1, money("0.20"));
        price.each(50, money("0.10"));
        assert_eq!(cost(&price, 1), (10, "2".into()));
        assert_eq!(cost(&price, 11), (15, "3".into()));
        assert_eq!(cost(&price, 26), (50, "5".into()));
        assert_eq!(cost(&price, 51), (55, "5.5".into()));
    }

    #[test]
    fn lots_and_single_pieces_are_mixed_where_that_is_cheapest() {
        let mut price = Price::default();
        price.each(1, money("0.50"));
        price.lot(10, money("3.00"));
        assert_eq!(cost(&price, 3), (3, "1.5".into()));
        assert_eq!(cost(&price, 7), (10, "3".into()));
        assert_eq!(cost(&price, 13), (13, "4.5".into()));
        let mut lots = Price::default();
        lots.lot(10, money("3.00"));
        assert_eq!(cost(&lots, 11), (20, "6".into()));
    }

    #[test]
    fn the_table_never_falls_and_agrees_with_each_purchase() {
        let mut price = Price { pack: 2, least: 3, ..Price::default() };
        price.each(1, money("0.85"));
        price.each(10, money("0.5"));
        price.lot(7, money("2.345"));
        let table = price.costs(40, 3).unwrap();
        for (pieces, pair) in table.windows(2).enumerate() {
            assert!(pair[0] <= pair[1], "{pieces}");
        }
        for wanted in 1..=40 {
            let bought = price.buy(wanted).unwrap();
            assert!(bought.pieces >= wanted);
            assert_eq!(bought.cost.ticks(3), Some(table[wanted as usize]), "{wanted}");
        }
    }
}
