//! Two electrolytics in series with balancing resistors, where no single
//! rating that is sold covers the need.
//!
//! ```
//! use firstglow::plan::pair::balance_ohms;
//! // Two of 100 µF 450 V on 800 V.
//! assert!((balance_ohms(450.0, 800.0, 100.0).unwrap() / 1e6 - 0.833).abs() < 0.001);
//! ```
//!
//! Limits: two, never three; each is rated for six tenths of the whole, which
//! allows for ±20 % parts sharing unequally before the resistors settle them.

use super::refusal::Refusal;
use super::text::{figure, input, volts, working};
use super::types::{Arrangement, Basis, Working};
use super::value::{Wish, window};
use crate::trade::limits::{BALANCE_LEAKAGE, BALANCE_SOURCE};
use crate::trade::quantity::{Capacitance, Power, Resistance, Voltage};
use crate::trade::ratings::{ELECTROLYTIC, RESISTOR_WATTS, covering};
use crate::trade::series::{E6, E12, E24};
use rust_decimal::{Decimal, prelude::ToPrimitive};

/// A pair that covers a need.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// Its value in place.
    pub value: Capacitance,
    /// What it may be used at, unequal sharing allowed for.
    pub rating: Voltage,
    /// The parts.
    pub arrangement: Arrangement,
    /// In words, for the one-line text.
    pub text: String,
    /// How it was reached.
    pub working: Vec<Working>,
}

/// The share of the whole that one of two may carry.
const SHARE_TENTHS: i64 = 6;

/// The pair that covers `need` volts.
///
/// # Errors
/// [`Refusal::NoRating`] where two of the highest rating fall short,
/// [`Refusal::NoValue`] where no two equal preferred values fit the window.
pub fn find(wish: &Wish, need: Decimal) -> Result<Pair, Refusal> {
    let short = || Refusal::NoRating { what: "pair of electrolytics", need: need.to_string() };
    let share = need.checked_mul(Decimal::new(SHARE_TENTHS, 1)).ok_or_else(short)?;
    let each_volts = covering(ELECTROLYTIC, share).ok_or_else(short)?;
    let each_rating = Voltage::new(each_volts).map_err(|_| short())?;
    let (each, value) = equal_values(wish)?;
    let whole = each_volts.checked_div(Decimal::new(SHARE_TENTHS, 1)).ok_or_else(short)?;
    // Whole volts, but never rounded below what the pair was chosen to cover.
    let rating = Voltage::new(whole.floor().max(need)).map_err(|_| short())?;
    let need_v = need.to_f64().ok_or_else(short)?;
    let microfarads = each.to_f64() * 1e-6;
    let most_ohms = balance_ohms(each_rating.to_f64(), need_v, microfarads).ok_or_else(short)?;
    let (balance, balance_power, watts) = resistor(most_ohms, need_v).ok_or_else(short)?;
    let inputs = vec![
        input("voltage to cover Vb", volts(need_v), Basis::Computed),
        input("rating of each Vm", each_rating, Basis::Computed),
        input("value of each C", each, Basis::Computed),
    ];
    let result = format!(
        "{balance} {balance_power} across each: {} in each at {} of {}",
        format_args!("{} W", figure(watts)),
        format_args!("{SHARE_TENTHS}/10"),
        volts(need_v),
    );
    let rule = format!(
        "R at most (2·Vm - Vb)/(0.0015·C·Vb) = {} MΩ, C in µF; watts doubled for the part's own \
         rating",
        figure(most_ohms / 1e6)
    );
    Ok(Pair {
        value,
        rating,
        text: format!(
            "two of {each} {each_rating} in series, {balance} {balance_power} across each"
        ),
        arrangement: Arrangement::TwoInSeries { each, each_rating, balance, balance_power },
        working: vec![working("balancing resistors", inputs, rule, result, BALANCE_SOURCE)],
    })
}

/// The greatest balancing resistor, ohms; `volts_each` and `volts_whole` in
/// volts, `microfarads` of each part.
pub fn balance_ohms(volts_each: f64, volts_whole: f64, microfarads: f64) -> Option<f64> {
    let spare = 2.0 * volts_each - volts_whole;
    // The 0.0015 is in µA, so that the quotient is in megohms.
    let ohms = spare / (BALANCE_LEAKAGE * microfarads * volts_whole) * 1e6;
    (ohms.is_finite() && ohms > 0.0).then_some(ohms)
}

/// Two equal preferred values whose half lies in the window.
fn equal_values(wish: &Wish) -> Result<(Capacitance, Capacitance), Refusal> {
    let (least, most) = window(wish);
    let refusal = || Refusal::NoValue { least: least.to_string(), most: most.to_string() };
    let double = |v: Decimal| v.checked_mul(Decimal::TWO).ok_or_else(refusal);
    let (target, low, high) = (double(wish.old.picofarads())?, double(least)?, double(most)?);
    let each = [E6, E12, E24].iter().find_map(|s| s.nearest(target, low, high));
    let each = Capacitance::new(each.ok_or_else(refusal)?).map_err(|_| refusal())?;
    let half = each.picofarads().checked_div(Decimal::TWO).ok_or_else(refusal)?;
    Ok((each, Capacitance::new(half).map_err(|_| refusal())?))
}

/// The standard resistor below the greatest allowed, its rating, and the
/// watts it turns to heat at its worst share.
fn resistor(most_ohms: f64, whole_v: f64) -> Option<(Resistance, Power, f64)> {
    // Above a megohm surface leakage on a chassis rivals the resistor.
    let most = Decimal::try_from(most_ohms.min(1e6).floor()).ok()?;
    let ohms = E12.at_most(most)?;
    let across = whole_v * 0.6;
    let watts = across * across / ohms.to_f64()?;
    // One watt at least: smaller bodies do not stand the voltage.
    let rated = covering(RESISTOR_WATTS, Decimal::try_from((watts * 2.0).max(1.0)).ok()?)?;
    Some((Resistance::new(ohms).ok()?, Power::new(rated).ok()?, watts))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::role::Role;
    use crate::trade::role_rule::rule;

    fn wish(microfarads: &str) -> Wish {
        Wish {
            old: Capacitance::from_microfarads(microfarads.parse().unwrap()).unwrap(),
            rule: rule(Some(Role::Smoothing)),
            basis: Basis::Stated,
            electrolytic: true,
            limit: None,
        }
    }

    #[test]
    fn a_pair_covers_what_no_single_part_does() {
        let pair = find(&wish("16"), "680".parse().unwrap()).unwrap();
        let Arrangement::TwoInSeries { each, each_rating, balance, balance_power } =
            pair.arrangement
        else {
            panic!("not in series")
        };
        assert_eq!(each.to_string(), "33 µF");
        assert_eq!(pair.value.to_string(), "16.5 µF");
        assert_eq!(each_rating.to_string(), "450 V");
        assert!(pair.rating.to_f64() >= 680.0);
        assert_eq!(balance.to_string(), "1 MΩ");
        assert_eq!(balance_power.to_string(), "1 W");
    }

    #[test]
    fn a_pair_is_not_rounded_below_the_mark_it_covers() {
        // Found by a property: 0.6 of 916.471 V asks for 550 V each, which are
        // good for 916.67 V together.
        for (need, rating) in [("916.471", "916.471 V"), ("833.333", "833.333 V"), ("900", "916 V")]
        {
            assert_eq!(
                find(&wish("9.14703"), need.parse().unwrap()).unwrap().rating.to_string(),
                rating
            );
        }
    }

    #[test]
    fn two_that_fall_short_are_refused() {
        let refused = find(&wish("16"), "1001".parse().unwrap()).unwrap_err();
        assert!(matches!(refused, Refusal::NoRating { .. }));
    }
}
