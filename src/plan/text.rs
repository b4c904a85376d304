//! Figures and workings in words.
//!
//! ```
//! use firstglow::plan::text::figure;
//! assert_eq!(figure(176.776), "177");
//! assert_eq!(figure(0.004_52), "0.00452");
//! ```
//!
//! Limits: three significant figures; physics only, entered values print
//! themselves exactly.

use super::told::Told;
use super::types::{Basis, Input, Working};
use crate::trade::source::Source;
use rust_decimal::Decimal;
use std::borrow::Cow;

/// Three significant figures without trailing zeros.
pub fn figure(value: f64) -> String {
    if !value.is_finite() {
        return "beyond reckoning".to_owned();
    }
    if value == 0.0 {
        return "0".to_owned();
    }
    let mut places = 0;
    let mut size = value.abs();
    while size < 100.0 && places < 12 {
        size *= 10.0;
        places += 1;
    }
    let text = format!("{value:.places$}");
    if places == 0 { text } else { text.trim_end_matches('0').trim_end_matches('.').to_owned() }
}

/// `177 V`.
pub const fn volts(value: f64) -> Told {
    Told::Figure(value, "V")
}

/// `0.452 mA` from amperes.
pub const fn milliamperes(amperes: f64) -> Told {
    Told::Figure(amperes * 1e3, "mA")
}

/// A duration as a person says it.
pub fn seconds(value: f64) -> String {
    if value < 90.0 {
        format!("{} s", figure(value))
    } else {
        format!("{} min", figure(value / 60.0))
    }
}

/// A physical figure as a decimal, rounded up to a tenth.
pub fn decimal_up(value: f64) -> Option<Decimal> {
    let tenths = Decimal::try_from((value * 10.0).ceil()).ok()?;
    tenths.checked_div(Decimal::TEN).map(|d| d.normalize())
}

/// One input of a working.
pub fn input(name: impl Into<Cow<'static, str>>, value: impl Into<Told>, basis: Basis) -> Input {
    Input { name: name.into(), value: value.into(), basis }
}

/// A working from its pieces.
pub fn working(
    of: &'static str,
    inputs: Vec<Input>,
    rule: impl Into<Cow<'static, str>>,
    result: impl Into<Told>,
    source: Source,
) -> Working {
    Working { of: of.into(), inputs, rule: rule.into(), result: result.into(), source }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_keep_three_places() {
        for (value, text) in [
            (0.0, "0"),
            (1.0, "1"),
            (2.2, "2.2"),
            (541.6, "542"),
            (12_345.0, "12345"),
            (0.393_9, "0.394"),
            (f64::INFINITY, "beyond reckoning"),
        ] {
            assert_eq!(figure(value), text);
        }
    }

    #[test]
    fn a_stress_is_rounded_up() {
        assert_eq!(decimal_up(176.776).unwrap().to_string(), "176.8");
        assert_eq!(decimal_up(250.0).unwrap().to_string(), "250");
    }
}
