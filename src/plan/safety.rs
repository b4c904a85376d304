//! Capacitors across the line, and from the line to metal: their class, their
//! touch current, their value.
//!
//! Across the line class X2; from the line, or from anything tied to it, to
//! metal class Y. A plain film or ceramic capacitor there is an error wherever
//! it comes from.
//!
//! ```
//! use firstglow::plan::{context::Context, safety::{Line, largest_for_touch}};
//! use firstglow::sheet::Sheet;
//! let sheet = Sheet::default();
//! let line = Line::of(&Context::of(&sheet).supply);
//! let largest = largest_for_touch(&line, 1.0).unwrap(); // 125 V 60 Hz, 0.5 mA, +20 % part
//! assert!((8_840.0..8_850.0).contains(&largest)); // pF
//! ```
//!
//! Limits: each capacitor is held to the limit alone; the sum of all of them
//! is a hazard of the set.

use super::refusal::Refusal;
use super::role::reaches_metal;
use super::supply::Supply;
use super::text::{decimal_up, input, milliamperes, volts, working};
use super::types::{Basis, Finding, Input, Working};
use crate::sheet::part::Part;
use crate::trade::limits::{
    TOUCH_FORMULA, TOUCH_SHARE_WITH_RESISTOR, TOUCH_SOURCE, TOUCH_TOLERANCE, X_34_V_SOURCE,
    X_DISCHARGE_F, X_TIME_SOURCE, capacitance_for, touch_current, x_discharge_ohms,
};
use crate::trade::quantity::{Capacitance, Voltage};
use crate::trade::ratings::{SAFETY_RATINGS_SOURCE, covering, sold_class};
use crate::trade::role::Role;
use crate::trade::safety::SafetyClass;
use crate::trade::series::{E6, E12, SERIES_SOURCE};
use crate::trade::source::Source;
use rust_decimal::Decimal;
use std::f64::consts::SQRT_2;

/// Where the choice of class comes from.
const CLASS_SOURCE: Source = Source::from_memory("IEC 60384-14, classes and where they may stand");

/// The line that safety capacitors are planned on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Highest effective volts.
    pub volts: f64,
    /// Hertz.
    pub hertz: f64,
    /// The touch current allowed, amperes.
    pub limit: f64,
}

/// What to fit at a line place.
#[derive(Debug, Clone, PartialEq)]
pub struct SafetyChoice {
    /// The class.
    pub class: SafetyClass,
    /// The value.
    pub value: Capacitance,
    /// The alternating rating.
    pub rating: Voltage,
    /// The values that would also serve.
    pub window: (Capacitance, Capacitance),
}

impl Line {
    /// The line of a set; a set off the line is planned as if on 125 V.
    pub fn of(supply: &Supply) -> Self {
        let volts = if supply.high_v > 0.0 { supply.high_v } else { 125.0 };
        Self { volts, hertz: supply.hertz, limit: supply.touch.value }
    }

    fn inputs(&self, supply: &Supply) -> Vec<Input> {
        vec![
            input("high line", volts(self.volts), Basis::Computed),
            input("frequency", format!("{} Hz", self.hertz), Basis::Computed),
            input("touch limit", milliamperes(self.limit), supply.touch.basis),
        ]
    }
}

/// The class a role needs.
pub fn class_for(role: Role, supply: &Supply) -> SafetyClass {
    match role {
        Role::AcrossLine | Role::MotorSuppressor => SafetyClass::X2,
        Role::RectifierRf => SafetyClass::X1,
        Role::LineToChassis if supply.line_connected != Some(true) => SafetyClass::Y2,
        _ if supply.line_connected == Some(false) => SafetyClass::Y2,
        // On a live chassis this capacitor is all that stands before the hand.
        _ => SafetyClass::Y1,
    }
}

/// What to fit, or why nothing.
///
/// # Errors
/// A [`Refusal`] where the touch limit or the range sold leaves nothing.
pub fn choose(
    part: &Part,
    old: Capacitance,
    found: Finding<Role>,
    supply: &Supply,
) -> Result<(SafetyChoice, Vec<Working>), Refusal> {
    let role = found.value;
    let line = Line::of(supply);
    let needed = class_for(role, supply);
    let class = part.class.filter(|c| c.serves(needed)).unwrap_or(needed);
    let (class, rating) = rating(part, class, &line)?;
    let mut workings =
        vec![class_working(found, class), rating_working(part, class, rating, &line)];
    let (value, window) = if reaches_metal(role) {
        let fitting = metal_value(old, role, &line)?;
        workings.extend(touch_workings(old, fitting.0, role, &line, supply));
        fitting
    } else {
        let fitting = across_value(old, class)?;
        workings.extend(discharge_working(fitting.0, &line));
        fitting
    };
    workings.insert(0, value_working(old, value, found));
    Ok((SafetyChoice { class, value, rating, window }, workings))
}

/// The largest capacitance, picofarads, that keeps a share of the touch limit
/// at high line even where the part is 20 % above its mark.
pub fn largest_for_touch(line: &Line, share: f64) -> Option<f64> {
    let farads = capacitance_for(line.volts, line.hertz, line.limit * share);
    let picofarads = farads * 1e12 / (1.0 + TOUCH_TOLERANCE);
    picofarads.is_finite().then_some(picofarads)
}

/// The share of the limit that a capacitor in this role may take.
pub const fn share(role: Role) -> f64 {
    match role {
        // A resistor customarily stands across these.
        Role::BMinusToChassis | Role::GroundIsolation => TOUCH_SHARE_WITH_RESISTOR,
        _ => 1.0,
    }
}

/// The current a fitted capacitor may pass, amperes, its tolerance included.
pub fn worst_current(line: &Line, value: Capacitance) -> f64 {
    touch_current(line.volts, line.hertz, value.farads() * (1.0 + TOUCH_TOLERANCE), None)
}

/// The alternating rating, in the class asked or the next that covers.
fn rating(part: &Part, class: SafetyClass, line: &Line) -> Result<(SafetyClass, Voltage), Refusal> {
    let need = decimal_up(line.volts).unwrap_or(Decimal::MAX);
    let mark = part.rating.filter(|_| part.rating_ac).map_or(Decimal::ZERO, Voltage::volts);
    let need = need.max(mark);
    let stronger = match class {
        SafetyClass::X2 => SafetyClass::X1,
        SafetyClass::Y2 => SafetyClass::Y1,
        same => same,
    };
    [class, stronger]
        .into_iter()
        .find_map(|c| Some((c, Voltage::new(covering(sold_class(c), need)?).ok()?)))
        .ok_or(Refusal::NoRating { what: "safety capacitor", need: need.to_string() })
}

/// The greatest standard value below the old one and below the touch limit.
fn metal_value(
    old: Capacitance,
    role: Role,
    line: &Line,
) -> Result<(Capacitance, (Capacitance, Capacitance)), Refusal> {
    let refusal = || Refusal::TouchLimit { limit: milliamperes(line.limit).to_string() };
    let touch = largest_for_touch(line, share(role))
        .and_then(|p| Decimal::try_from(p.min(1e12).floor()).ok())
        .ok_or_else(refusal)?;
    let above = if role == Role::AntennaIsolation { 110 } else { 100 };
    let most = old.picofarads().checked_mul(Decimal::new(above, 2)).ok_or_else(refusal)?;
    let most = most.min(touch);
    let value = E6.at_most(most).filter(|v| *v >= Decimal::TEN).ok_or_else(refusal)?;
    let value = Capacitance::new(value).map_err(|_| refusal())?;
    let least = Capacitance::new(Decimal::TEN).map_err(|_| refusal())?;
    Ok((value, (least, Capacitance::new(most).map_err(|_| refusal())?)))
}

/// The nearest standard value across the line.
fn across_value(
    old: Capacitance,
    class: SafetyClass,
) -> Result<(Capacitance, (Capacitance, Capacitance)), Refusal> {
    let refusal = || Refusal::ClassTooLarge { class: class.label(), value: old.to_string() };
    let of = |percent: i64| old.picofarads().checked_mul(Decimal::new(percent, 2));
    let (least, most) = (of(50).ok_or_else(refusal)?, of(125).ok_or_else(refusal)?);
    // Class X is sold to about 10 µF, and not below 100 pF.
    let most = most.min(Decimal::from(10_000_000));
    let least = least.max(Decimal::from(100));
    let target = old.picofarads();
    let value = [E6, E12]
        .iter()
        .find_map(|s| s.nearest(target, least, most))
        .or_else(|| (target < least).then_some(least))
        .ok_or_else(refusal)?;
    let made = |v: Decimal| Capacitance::new(v).map_err(|_| refusal());
    Ok((made(value)?, (made(least)?, made(most.max(value))?)))
}

fn value_working(old: Capacitance, value: Capacitance, role: Finding<Role>) -> Working {
    let inputs =
        vec![input("old value", old, Basis::Stated), input("role", role.value.label(), role.basis)];
    let how = if reaches_metal(role.value) {
        "the greatest value of E6 above neither the old one nor what the touch limit allows"
    } else {
        "nearest value of E6 inside -50 to +25 % of the old value"
    };
    working("value", inputs, how, value, SERIES_SOURCE)
}

fn class_working(role: Finding<Role>, class: SafetyClass) -> Working {
    let inputs = vec![input("role", role.value.label(), role.basis)];
    let how = if reaches_metal(role.value) {
        "from the line, or from what is tied to it, to metal: class Y, never X, never plain film \
         or ceramic; Y1 also serves for Y2 and is the better choice on a two-wire cord"
    } else {
        "across the line: class X, made to fail without fire; Y of the same rating also serves"
    };
    working("class", inputs, how, format!("class {}", class.label()), CLASS_SOURCE)
}

fn rating_working(part: &Part, class: SafetyClass, rating: Voltage, line: &Line) -> Working {
    let mut inputs = vec![input("high line", volts(line.volts), Basis::Computed)];
    if let Some(mark) = part.rating {
        let kind = if part.rating_ac { "AC" } else { "DC" };
        inputs.push(input("old mark", format!("{mark} {kind}"), Basis::Stated));
    }
    let how = format!(
        "the least AC rating sold in class {} that covers the high line; the impulse its class \
         stands goes far beyond an old DC mark",
        class.label()
    );
    working("rating", inputs, how, format!("{rating} AC"), SAFETY_RATINGS_SOURCE)
}

fn touch_workings(
    old: Capacitance,
    value: Capacitance,
    role: Role,
    line: &Line,
    supply: &Supply,
) -> Vec<Working> {
    let before = touch_current(line.volts, line.hertz, old.farads(), None);
    let after = worst_current(line, value);
    let mut inputs = line.inputs(supply);
    inputs.push(input("old value", old, Basis::Stated));
    let times = super::text::figure(before / line.limit);
    let result = format!(
        "the old value passes {}, {times} times the limit; {value} passes at most {} with a +20 % \
         part",
        milliamperes(before),
        milliamperes(after)
    );
    let mut how = "I = 2π·f·C·V".to_owned();
    if share(role) < 1.0 {
        how.push_str("; eight tenths of the limit for the capacitor, to leave room for the resistor across it");
    }
    let limit_inputs = vec![input("limit", milliamperes(line.limit), supply.touch.basis)];
    let limit_source =
        if supply.touch.basis == Basis::Stated { Source::sheet() } else { TOUCH_SOURCE };
    vec![
        working("touch current", inputs, how, result, TOUCH_FORMULA),
        working(
            "touch limit",
            limit_inputs,
            "the current allowed through a person who touches the metal; meeting it certifies nothing",
            milliamperes(line.limit),
            limit_source,
        ),
    ]
}

/// Above 0.1 µF the plug would sting: the resistor that discharges it.
fn discharge_working(value: Capacitance, line: &Line) -> Vec<Working> {
    if value.farads() <= X_DISCHARGE_F {
        return Vec::new();
    }
    let peak = line.volts * SQRT_2;
    let (by_time, by_volts) = x_discharge_ohms(value.farads(), peak);
    let megohms = |ohms: f64| format!("{} MΩ", super::text::figure(ohms / 1e6));
    let inputs = || {
        vec![
            input("value", value, Basis::Computed),
            input("crest of the line", volts(peak), Basis::Computed),
        ]
    };
    vec![
        working(
            "discharge resistor",
            inputs(),
            "R at most 1 s / C",
            format!("at most {} across it, two in series of 1/2 W", megohms(by_time)),
            X_TIME_SOURCE,
        ),
        working(
            "discharge resistor to 34 V",
            inputs(),
            "R at most 1 s / (C·ln(crest/34 V))",
            format!("at most {}", megohms(by_volts)),
            X_34_V_SOURCE,
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::context::Context;
    use crate::plan::support::{capacitor, series_string, transformer};
    use crate::sheet::Sheet;

    fn chosen(sheet: &Sheet, role: Role, value: &str) -> Result<String, Refusal> {
        let supply = Context::of(sheet).supply;
        let part = capacitor("C1", value, "400");
        let role = Finding { value: role, basis: Basis::Stated };
        let (choice, _) = choose(&part, part.capacitance.unwrap(), role, &supply)?;
        Ok(format!("{} {} {}", choice.value, choice.rating, choice.class.label()))
    }

    #[test]
    fn classes_values_and_ratings() {
        let live = series_string(vec![]);
        let isolated = transformer("700", vec![]);
        for (sheet, role, old, fit) in [
            (&live, Role::AcrossLine, "0.05", "0.047 µF 250 V X2"),
            (&live, Role::AcrossLine, "0.25", "0.22 µF 250 V X2"),
            (&live, Role::BMinusToChassis, "0.2", "0.0068 µF 250 V Y1"),
            (&live, Role::AntennaIsolation, "0.002", "0.0022 µF 250 V Y1"),
            (&isolated, Role::LineToChassis, "0.05", "0.0068 µF 250 V Y2"),
            (&isolated, Role::LineToChassis, "0.002", "0.0015 µF 250 V Y2"),
        ] {
            assert_eq!(chosen(sheet, role, old).as_deref(), Ok(fit), "{role:?} {old}");
        }
    }

    #[test]
    fn what_is_not_sold_is_refused() {
        let live = series_string(vec![]);
        let refused = chosen(&live, Role::AcrossLine, "40").unwrap_err();
        assert!(matches!(refused, Refusal::ClassTooLarge { .. }));
        let mut strict = live.clone();
        strict.header.touch_limit = crate::trade::quantity::Current::new(Decimal::new(1, 9)).ok();
        let refused = chosen(&strict, Role::LineToChassis, "0.05").unwrap_err();
        assert!(matches!(refused, Refusal::TouchLimit { .. }));
    }

    #[test]
    fn a_large_x_capacitor_is_told_its_discharge_resistor() {
        let line = Line { volts: 120.0, hertz: 60.0, limit: 0.5e-3 };
        let value = Capacitance::from_microfarads("0.22".parse().unwrap()).unwrap();
        let workings = discharge_working(value, &line);
        assert_eq!(workings[0].result, "at most 4.55 MΩ across it, two in series of 1/2 W");
        assert_eq!(workings[1].result, "at most 2.83 MΩ");
    }
}
