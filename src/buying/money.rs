//! Money: exact decimals in the user's own currency.
//!
//! ```
//! use firstglow::buying::money::{Money, Sign};
//! let price = Money::new("0.85".parse().unwrap()).unwrap();
//! assert_eq!(Sign::new("$").show(price.times(3).unwrap()), "$2.55");
//! ```

use crate::letters::Letters;
use rust_decimal::Decimal;

/// The most decimals that a price is kept with.
pub const DECIMALS: u32 = 6;

/// An amount from zero to a billion.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Hash)]
pub struct Money(Decimal);

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(Decimal::ZERO);

    /// An amount; `None` below zero, above a billion, or with more decimals
    /// than any price has.
    pub fn new(amount: Decimal) -> Option<Self> {
        let amount = amount.normalize();
        let fits = amount >= Decimal::ZERO
            && amount <= Decimal::from(1_000_000_000)
            && amount.scale() <= DECIMALS;
        fits.then_some(Self(amount))
    }

    /// The exact amount.
    pub const fn amount(self) -> Decimal {
        self.0
    }

    /// The sum; `None` where it leaves the range.
    pub fn plus(self, other: Self) -> Option<Self> {
        Self::new(self.0.checked_add(other.0)?)
    }

    /// The difference; `None` where it would be below zero.
    pub fn less(self, other: Self) -> Option<Self> {
        Self::new(self.0.checked_sub(other.0)?)
    }

    /// That many times; `None` where it leaves the range.
    pub fn times(self, count: u32) -> Option<Self> {
        Self::new(self.0.checked_mul(count.into())?)
    }

    /// How many ten-to-the-minus-`scale` parts of the unit it is, where it is a
    /// whole number of them.
    pub fn ticks(self, scale: u32) -> Option<i64> {
        let left = scale.checked_sub(self.0.scale())?;
        let whole = i64::try_from(self.0.mantissa()).ok()?;
        whole.checked_mul(10_i64.checked_pow(left)?)
    }

    /// The amount of that many parts.
    pub fn from_ticks(ticks: i64, scale: u32) -> Option<Self> {
        Self::new(Decimal::try_from_i128_with_scale(ticks.into(), scale).ok()?)
    }
}

/// The sign of a currency, as the user writes it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sign(String);

/// The signs that are known without being told.
const SIGNS: [char; 5] = ['$', '€', '£', '¥', '₹'];

impl Sign {
    /// A sign of at most four characters; digits and points cannot be one.
    pub fn new(text: &str) -> Self {
        let fits = |c: &char| !c.is_ascii_digit() && !".,+:#\"".contains(*c) && !c.is_whitespace();
        Self(text.chars().filter(fits).take(4).collect())
    }

    /// The sign.
    pub fn text(&self) -> &str {
        &self.0
    }

    /// An amount with its sign, and at least two decimals.
    pub fn show(&self, money: Money) -> String {
        let mut amount = money.amount();
        if amount.scale() < 2 {
            amount.rescale(2);
        }
        let gap = if self.0.ends_with(char::is_alphabetic) { " " } else { "" };
        format!("{}{gap}{amount}", self.0)
    }

    /// A word without the sign before or after it, and whether there was one.
    pub fn strip<'a>(&self, word: &'a str) -> (&'a str, bool) {
        let known = word.trim_start_matches(SIGNS).trim_end_matches(SIGNS);
        if known.len() < word.len() {
            return (known, true);
        }
        if !self.0.is_empty() {
            let lower = word.lower();
            let sign = self.0.lower();
            // Small letters of a sign take as many bytes as it does.
            if lower.len() == word.len() && lower.starts_with(&sign) {
                return (&word[sign.len()..], true);
            }
            if lower.len() == word.len() && lower.ends_with(&sign) {
                return (&word[..word.len() - sign.len()], true);
            }
        }
        (word, false)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn money(text: &str) -> Money {
        Money::new(text.parse().unwrap()).unwrap()
    }

    #[test]
    fn amounts_are_shown_with_their_sign_and_cents() {
        assert_eq!(Sign::new("$").show(money("3")), "$3.00");
        assert_eq!(Sign::new("kr").show(money("0.125")), "kr 0.125");
        assert_eq!(Sign::default().show(money("12.5")), "12.50");
    }

    #[test]
    fn what_is_out_of_range_is_refused_and_never_overflows() {
        assert_eq!(Money::new("-0.01".parse().unwrap()), None);
        assert_eq!(Money::new("0.0000001".parse().unwrap()), None);
        assert_eq!(money("1000000000").plus(money("0.01")), None);
        assert_eq!(money("999999999").times(u32::MAX), None);
        assert_eq!(money("1").less(money("2")), None);
    }

    #[test]
    fn ticks_are_exact_or_none() {
        assert_eq!(money("0.85").ticks(2), Some(85));
        assert_eq!(money("0.85").ticks(4), Some(8500));
        assert_eq!(money("0.125").ticks(2), None);
        assert_eq!(Money::from_ticks(85, 2), Some(money("0.85")));
    }

    #[test]
    fn a_sign_is_taken_off_on_either_side() {
        let kroner = Sign::new("kr");
        assert_eq!(kroner.strip("kr3.00"), ("3.00", true));
        assert_eq!(kroner.strip("3.00KR"), ("3.00", true));
        assert_eq!(kroner.strip("€3"), ("3", true));
        assert_eq!(kroner.strip("3.00"), ("3.00", false));
    }
}
