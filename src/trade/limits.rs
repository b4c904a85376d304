//! Limits on current through a person, on charge left, and the formulas that
//! go with them.
//!
//! ```
//! use firstglow::trade::limits::{capacitance_for, touch_current};
//! let amps = touch_current(120.0, 60.0, 0.05e-6, None);
//! assert!((amps * 1e3 - 2.26).abs() < 0.01);
//! let most = capacitance_for(120.0, 60.0, 0.5e-3);
//! assert!((most * 1e9 - 11.05).abs() < 0.01);
//! ```
//!
//! Limits: arithmetic on one sine; a restored set is not certified by meeting
//! any of these figures.

use super::source::Source;
use std::f64::consts::TAU;

/// Touch current planned for where the sheet gives none, amperes.
pub const TOUCH_LIMIT_A: f64 = 0.5e-3;

/// Where the touch limit comes from.
pub const TOUCH_SOURCE: Source = Source::published(
    "0.5 mA for two-wire cord-connected apparatus, UL 8750 8.7.1 and ANSI C101, as quoted by others",
);

/// Where the touch-current arithmetic comes from.
pub const TOUCH_FORMULA: Source =
    Source::arithmetic("I = V·√(1/R² + (2πfC)²), the reactance of a capacitor on a sine");

/// The part tolerance allowed for in a capacitor that carries touch current.
pub const TOUCH_TOLERANCE: f64 = 0.2;

/// The share of the touch limit given to a capacitor that customarily has a
/// resistor across it; the rest, in quadrature, is left for the resistor.
pub const TOUCH_SHARE_WITH_RESISTOR: f64 = 0.8;

/// The hot check: resistance, ohms, and capacitance, farads, in parallel.
pub const HOT_CHECK: (f64, f64) = (1500.0, 0.15e-6);

/// The most the hot check may read, volts.
pub const HOT_CHECK_V: f64 = 0.75;

/// Where the hot check comes from.
pub const HOT_CHECK_SOURCE: Source = Source::published(
    "hot check in published service manuals: 1.5 kΩ with 0.15 µF across, at most 0.75 V",
);

/// Volts above which a charged capacitor is treated as able to shock.
pub const SHOCK_V: f64 = 50.0;

/// Volts to which capacitors are discharged before hands go in.
pub const DISCHARGED_V: f64 = 10.0;

/// The share of its voltage that an electrolytic may come back to.
pub const ABSORPTION: f64 = 0.15;

/// Where that share comes from.
pub const ABSORPTION_SOURCE: Source =
    Source::published("dielectric absorption of electrolytics, up to 15 %, encyclopaedia");

/// Where the discharge rules come from.
pub const DISCHARGE_SOURCE: Source =
    Source::practice("discharge through a resistor, then measure; t = R·C·ln(V0/V)");

/// Above this an X capacitor needs a discharge resistor, farads.
pub const X_DISCHARGE_F: f64 = 0.1e-6;

/// Where the time constant for pluggable apparatus comes from.
pub const X_TIME_SOURCE: Source = Source::published(
    "IEC 60950-1 2.1.1.7: above 0.1 µF, time constant at most 1 s for a plug, as quoted by others",
);

/// Where the 34 V limit comes from.
pub const X_34_V_SOURCE: Source =
    Source::published("IEC 60335-1 family: below 34 V one second after unplugging, secondary");

/// Leakage allowance of the balancing formula, milliamperes a microfarad and volt.
pub const BALANCE_LEAKAGE: f64 = 0.0015;

/// Where the balancing formula comes from.
pub const BALANCE_SOURCE: Source =
    Source::from_memory("makers' notes on series electrolytics: R = (2Vm - Vb)/(0.0015·C·Vb)");

/// A fuse is this many times the running current, least and most.
pub const FUSE_TIMES: (f64, f64) = (1.5, 2.0);

/// Fuses that are sold, amperes.
pub const FUSES_A: &[f64] = &[
    0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.75, 0.8, 1.0, 1.25, 1.5, 1.6, 2.0, 2.5,
    3.0, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0, 12.0, 15.0,
];

/// Where the fuse rule comes from.
pub const FUSE_SOURCE: Source = Source::practice("slow fuse of 1.5 to 2 times the running current");

/// The current through a person, amperes: `volts` effective through a
/// capacitor, with a resistor across it if there is one.
pub fn touch_current(volts: f64, hertz: f64, farads: f64, ohms: Option<f64>) -> f64 {
    let conductance = ohms.map_or(0.0, |r| 1.0 / r);
    volts * conductance.hypot(TAU * hertz * farads)
}

/// The capacitance that passes `amps`, farads.
pub fn capacitance_for(volts: f64, hertz: f64, amps: f64) -> f64 {
    amps / (TAU * hertz * volts)
}

/// Seconds to discharge from `from` to `to` volts.
pub fn discharge_seconds(ohms: f64, farads: f64, from: f64, to: f64) -> f64 {
    if from <= to { 0.0 } else { ohms * farads * (from / to).ln() }
}

/// Energy of a charged capacitor, joules.
pub fn energy(farads: f64, volts: f64) -> f64 {
    0.5 * farads * volts * volts
}

/// The impedance of the hot check network at a frequency, ohms.
pub fn hot_check_ohms(hertz: f64) -> f64 {
    1.0 / (1.0 / HOT_CHECK.0).hypot(TAU * hertz * HOT_CHECK.1)
}

/// The greatest discharge resistor of an X capacitor: time constant of one
/// second, and below 34 V within one second from the peak.
pub fn x_discharge_ohms(farads: f64, peak_v: f64) -> (f64, f64) {
    let time_constant = 1.0 / farads;
    let to_34_v = if peak_v > 34.0 { 1.0 / (farads * (peak_v / 34.0).ln()) } else { f64::INFINITY };
    (time_constant, to_34_v)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn resistor_and_capacitor_add_in_quadrature() {
        let amps = touch_current(120.0, 60.0, 0.2e-6, Some(220e3));
        assert!((amps * 1e3 - 9.06).abs() < 0.01);
        let amps = touch_current(120.0, 60.0, 6.8e-9, Some(470e3));
        assert!((amps * 1e3 - 0.400).abs() < 0.001);
    }

    #[test]
    fn no_time_is_needed_below_the_goal() {
        assert!(discharge_seconds(2200.0, 47e-6, 5.0, 10.0).abs() < f64::EPSILON);
    }
}
