//! Preferred numbers, and what the trade fits for odd old electrolytic values.
//!
//! ```
//! use firstglow::trade::series::{E12, Series};
//! let old = "50000".parse().unwrap(); // .05 µF in pF
//! let least = "40000".parse().unwrap();
//! let most = "62500".parse().unwrap();
//! assert_eq!(E12.nearest(old, least, most), "47000".parse().ok());
//! assert_eq!(Series::name(&E12), "E12");
//! ```
//!
//! Limits: three series only; the tables are kept, not computed, because the
//! rounded powers of ten differ from the standard (2.7 to 4.7 and 8.2).

use super::source::Source;
use rust_decimal::Decimal;

/// A series of preferred numbers, as tenths of one decade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Series {
    name: &'static str,
    tenths: &'static [u8],
}

/// The standard that the series come from.
pub const SERIES_SOURCE: Source = Source::published("IEC 60063, preferred number series");

/// Six values a decade, made for ±20 % parts.
pub const E6: Series = Series { name: "E6", tenths: &[10, 15, 22, 33, 47, 68] };

/// Twelve values a decade, made for ±10 % parts.
pub const E12: Series =
    Series { name: "E12", tenths: &[10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82] };

/// Twenty-four values a decade, made for ±5 % parts.
pub const E24: Series = Series {
    name: "E24",
    tenths: &[
        10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82,
        91,
    ],
};

/// The least and greatest power of ten searched, counted on tenths of a unit.
const EXPONENTS: (i32, i32) = (-4, 15);

impl Series {
    /// `E6`, `E12`, `E24`.
    pub const fn name(&self) -> &'static str {
        self.name
    }

    /// The values of one decade, in tenths: 10 to 91.
    pub const fn tenths(&self) -> &'static [u8] {
        self.tenths
    }

    /// The value nearest `target` that lies from `least` to `most`; of two
    /// equally near, the greater.
    pub fn nearest(&self, target: Decimal, least: Decimal, most: Decimal) -> Option<Decimal> {
        let mut best: Option<(Decimal, Decimal)> = None;
        for value in self.around(target) {
            if value < least || value > most {
                continue;
            }
            let Some(far) = value.checked_sub(target).map(|d| d.abs()) else { continue };
            if best.is_none_or(|(_, near)| far <= near) {
                best = Some((value, far));
            }
        }
        best.map(|(value, _)| value)
    }

    /// The greatest value not above `most`.
    pub fn at_most(&self, most: Decimal) -> Option<Decimal> {
        self.around(most).filter(|v| *v <= most).max()
    }

    /// The least value not below `least`.
    pub fn at_least(&self, least: Decimal) -> Option<Decimal> {
        self.around(least).filter(|v| *v >= least).min()
    }

    /// The values of the decade of `target` and of both its neighbours, rising.
    pub fn around(&self, target: Decimal) -> impl Iterator<Item = Decimal> + use<> {
        let tenths = self.tenths;
        let exponent = decade(target);
        (exponent - 1..=exponent + 1)
            .filter_map(power_of_ten)
            .flat_map(move |ten| tenths.iter().filter_map(move |t| ten.checked_mul((*t).into())))
            .map(|v| v.normalize())
    }
}

/// The power of ten that brings 10 tenths to the decade of `target`.
fn decade(target: Decimal) -> i32 {
    let digits = target.mantissa().unsigned_abs().checked_ilog10().unwrap_or(0);
    // Neither digits nor scale of a decimal reaches thirty.
    let exponent = i32::try_from(digits).unwrap_or(0) - i32::try_from(target.scale()).unwrap_or(0);
    (exponent - 1).clamp(EXPONENTS.0, EXPONENTS.1)
}

fn power_of_ten(exponent: i32) -> Option<Decimal> {
    if exponent < 0 {
        Decimal::try_from_i128_with_scale(1, exponent.unsigned_abs()).ok()
    } else {
        10_i128
            .checked_pow(exponent.unsigned_abs())
            .and_then(|n| Decimal::try_from_i128_with_scale(n, 0).ok())
    }
}

/// What the trade fits for an old electrolytic, in microfarads, in the order
/// tried: `(old, [first choice, second choice])`.
pub const ELECTROLYTIC_HABIT: [(u16, &[&str]); 19] = [
    (2, &["2.2"]),
    (4, &["4.7", "3.9"]),
    (5, &["4.7"]),
    (8, &["10", "8.2"]),
    (10, &["10"]),
    (12, &["10", "15", "12"]),
    (15, &["15"]),
    (16, &["15", "22"]),
    (20, &["22"]),
    (25, &["22", "33"]),
    (30, &["33"]),
    (32, &["33"]),
    (40, &["47", "39"]),
    (50, &["47"]),
    (60, &["68"]),
    (80, &["82", "100"]),
    (100, &["100"]),
    (150, &["150"]),
    (200, &["220"]),
];

/// Where that table comes from.
pub const HABIT_SOURCE: Source =
    Source::practice("the present value that restorers fit for an old electrolytic value");

#[cfg(test)]
mod tests {
    use super::*;

    fn d(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    #[test]
    fn nearest_takes_the_trades_film_values() {
        for (old, new) in [
            ("1000", "1000"),
            ("2000", "2200"),
            ("5000", "4700"),
            ("8000", "8200"),
            ("20000", "22000"),
            ("30000", "33000"),
            ("40000", "39000"),
            ("50000", "47000"),
            ("100000", "100000"),
            ("500000", "470000"),
        ] {
            let old = d(old);
            let found = E12.nearest(old, old / d("2"), old * d("2"));
            assert_eq!(found, Some(d(new)), "{old}");
        }
    }

    #[test]
    fn nothing_outside_the_window_is_offered() {
        assert_eq!(E6.nearest(d("28000"), d("27000"), d("29000")), None);
        assert_eq!(E12.nearest(d("2850"), d("2800"), d("2900")), None);
    }

    #[test]
    fn the_ends_of_the_range_are_served() {
        for text in ["0.01", "0.015", "1", "999999999999", "1000000000000"] {
            let value = d(text);
            assert!(E24.at_most(value).is_some_and(|v| v <= value), "{text}");
            assert!(E24.at_least(value).is_some_and(|v| v >= value), "{text}");
        }
        assert_eq!(E6.at_most(d("8840")), Some(d("6800")));
        assert_eq!(E6.at_most(d("10000")), Some(d("10000")));
        assert_eq!(E12.at_least(d("9.5")), Some(d("10")));
    }
}
