//! The peak current of a rectifier tube with the first filter that is planned.
//!
//! ```
//! use firstglow::plan::{context::Context, peak};
//! use firstglow::sheet::Sheet;
//! // Nothing feeds the capacitor: no limit is known.
//! let sheet = Sheet::read("C1 10 mfd 450 V B0 to chassis");
//! let part = &sheet.parts[0];
//! let value = part.capacitance.unwrap();
//! assert!(peak::with(part, value, &Context::of(&sheet)).is_none());
//! ```
//!
//! Limits: the steady state at the nominal line; the first pulse after
//! switching on is larger and is not limited by the value.

use super::context::Context;
use super::text::{input, milliamperes, working};
use super::types::{Basis, Working};
use super::value::Chosen;
use crate::circuit::supply::{Load, Supply};
use crate::sheet::part::Part;
use crate::trade::quantity::Capacitance;
use crate::trade::rectifier::LIMITS_SOURCE;
use crate::trade::series::E12;
use rust_decimal::{Decimal, prelude::ToPrimitive};

/// The peak current against its limit, amperes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// Of each plate.
    pub amps: f64,
    /// The published most.
    pub limit: f64,
    supply: Supply,
    load: Load,
}

/// The peak with a capacitor of another value in a first filter's place;
/// `None` where supply or limit is not known.
pub fn with(part: &Part, value: Capacitance, context: &Context) -> Option<Peak> {
    let told = context.circuit.supplies.iter().find(|s| s.reservoir.contains(&part.key))?;
    let feed = context.feeds.iter().find(|f| (f.output, f.back) == (told.output, told.back))?;
    let limit = told.max_peak_ma? * 1e-3;
    if told.ma <= 0.0 || feed.choke.is_some() {
        return None;
    }
    let load = Load::ohms(told.volts / (told.ma * 1e-3));
    let mut supply = feed.supply;
    let second = told.doubled.iter().any(|d| d.key == part.key && d.is_second());
    supply.farads[usize::from(second)] += value.farads()
        - part.capacitance.map_or(0.0, super::super::trade::quantity::Capacitance::farads);
    let amps = supply.steady(load).ok()?.peak_amps;
    Some(Peak { amps, limit, supply, load })
}

impl Peak {
    fn is_over(&self) -> bool {
        self.amps > self.limit
    }

    /// The least standard resistor ahead of the capacitor that holds the limit.
    fn series_ohms(&self) -> Option<Decimal> {
        let least = Decimal::from(10);
        let mut ohms = E12.at_least(least)?;
        for _ in 0..30 {
            let mut supply = self.supply;
            supply.source_ohms += ohms.to_f64()?;
            if supply.steady(self.load).ok()?.peak_amps <= self.limit {
                return Some(ohms);
            }
            ohms = E12.at_least(ohms.checked_add(Decimal::ONE)?)?;
        }
        None
    }
}

/// Holds a chosen value to the rectifier's limit: a smaller one inside the
/// window where that helps, else a resistor is proposed.
pub fn hold(part: &Part, mut chosen: Chosen, context: &Context) -> Chosen {
    let Some(peak) = with(part, chosen.value, context) else { return chosen };
    if !peak.is_over() {
        chosen.working.push(told(&peak, &chosen, "within its limit".to_owned()));
        return chosen;
    }
    let first = chosen.value;
    let smaller = smaller(part, &chosen, context);
    let result = if let Some((value, now)) = smaller {
        chosen.value = value;
        chosen.parallel = None;
        format!("{first} would pass the limit: {value} with {}", milliamperes(now.amps))
    } else {
        let remedy = peak.series_ohms().map_or_else(
            || "look at winding and load".to_owned(),
            |ohms| format!("{ohms} Ω between each plate and its winding hold it"),
        );
        format!("over the limit whatever value stands here: {remedy}")
    };
    chosen.working.push(told(&peak, &chosen, result));
    chosen
}

/// The next smaller standard value inside the window that holds the limit.
fn smaller(part: &Part, chosen: &Chosen, context: &Context) -> Option<(Capacitance, Peak)> {
    let mut value = chosen.value.picofarads();
    for _ in 0..12 {
        value = E12.at_most(value.checked_mul(Decimal::new(99, 2))?)?;
        let capacitance = Capacitance::new(value).ok()?;
        if capacitance < chosen.window.0 {
            return None;
        }
        let peak = with(part, capacitance, context)?;
        if !peak.is_over() {
            return Some((capacitance, peak));
        }
    }
    None
}

fn told(peak: &Peak, chosen: &Chosen, result: String) -> Working {
    let inputs = vec![
        input("first filter", chosen.value, Basis::Computed),
        input("peak of each plate", milliamperes(peak.amps), Basis::Computed),
        input("published most", milliamperes(peak.limit), Basis::Stated),
    ];
    let rule = "the supply of this sheet in its steady state with the new value; the limit is the \
                tube's published peak plate current";
    working("peak current", inputs, rule, result, LIMITS_SOURCE)
}
