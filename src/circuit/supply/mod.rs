//! The power supply on its cycle average: volts, ripple and diode currents.
//!
//! Purpose: the direct voltage that a winding gives through its rectifier into
//! a capacitor and a load, in the periodic steady state, at any ripple; and
//! what follows it: choke input, filter sections, the surge of a hot start.
//!
//! ```
//! use firstglow::circuit::law::Law;
//! use firstglow::circuit::supply::{Load, Supply, Topology};
//!
//! // 350-0-350 V, 150 ohms a side, a 50 V at 125 mA rectifier, 10 uF, 70 mA.
//! let supply = Supply {
//!     topology: Topology::FullWave,
//!     peak_volts: 350.0 * 2.0_f64.sqrt(),
//!     hertz: 60.0,
//!     source_ohms: 150.0,
//!     law: Law::rectifier(50.0, 0.125),
//!     farads: [10e-6; 2],
//! };
//! let steady = supply.steady(Load::amps(0.070))?;
//! assert!((steady.volts - 375.0).abs() < 2.0);
//! assert!((steady.ripple_peak_to_peak - 35.1).abs() < 0.5);
//! # Ok::<(), firstglow::circuit::supply::SupplyError>(())
//! ```
//! (The figures are those of a separate time-stepped simulation.)
//!
//! Limits: the source is a sine behind a resistance; the winding's leakage
//! inductance and the transformer's saturation are left out. Both sides of a
//! full-wave supply are equal.

mod choke;
mod couple;
mod filter;
mod held;
mod pair;
mod period;
mod pulse;
mod stack;
mod steady;

pub use choke::{ChokeInput, ChokeSteady};
pub use couple::{Agreed, CoupledError, NOTHING_AMPS, Near, agree_near, couple, couple_near};
pub use filter::{Section, critical_henries};
pub use held::Held;

use super::law::Law;
pub use stack::Duty;
pub use steady::Steady;

/// How the rectifiers are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Topology {
    /// One rectifier, one pulse a cycle.
    HalfWave,
    /// Two rectifiers on a tapped winding.
    FullWave,
    /// Four rectifiers; two in series at any time.
    Bridge,
    /// Two capacitors in series, charged on alternate halves; `farads` are the
    /// upper and the lower one.
    DoublerFullWave,
    /// A series capacitor that is charged on one half and adds to the source
    /// on the other; `farads` are the series one and the reservoir.
    DoublerHalfWave,
}

impl Topology {
    /// How many peaks the no-load voltage holds.
    pub const fn multiple(self) -> f64 {
        match self {
            Self::DoublerFullWave | Self::DoublerHalfWave => 2.0,
            _ => 1.0,
        }
    }

    /// Rectifiers that each pulse passes in series.
    pub const fn in_series(self) -> f64 {
        if matches!(self, Self::Bridge) { 2.0 } else { 1.0 }
    }

    /// Pulses into the output a cycle.
    pub const fn pulses(self) -> f64 {
        match self {
            Self::HalfWave | Self::DoublerHalfWave => 1.0,
            _ => 2.0,
        }
    }
}

/// A capacitor-input supply.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Supply {
    /// How the rectifiers are joined.
    pub topology: Topology,
    /// Peak volts of the source; of one half for a tapped winding.
    pub peak_volts: f64,
    /// Hertz of the source.
    pub hertz: f64,
    /// Ohms in series with each pulse: winding, reflected primary, resistors
    /// ahead of the capacitor. Zero or more.
    pub source_ohms: f64,
    /// Each rectifier: [`Law::Vacuum`] or [`Law::Threshold`].
    pub law: Law,
    /// Farads of the reservoir; the doublers use both, the others the first.
    pub farads: [f64; 2],
}

/// What is taken from the reservoir.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Siemens of what behaves as a resistance.
    pub siemens: f64,
    /// Amperes of what stays constant.
    pub amps: f64,
}

impl Load {
    /// A resistance.
    pub const fn ohms(ohms: f64) -> Self {
        Self { siemens: 1.0 / ohms, amps: 0.0 }
    }

    /// A constant current.
    pub const fn amps(amps: f64) -> Self {
        Self { siemens: 0.0, amps }
    }
}

/// Why a supply has no steady state.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum SupplyError {
    /// A value that no supply has.
    #[error("the supply needs {what} above zero")]
    Value {
        /// Which.
        what: &'static str,
    },
    /// The rectifier's law is not a diode's.
    #[error("the supply needs a rectifier's law, a perveance or a threshold")]
    Rectifier,
    /// The load takes more than the source can give.
    #[error("the load takes more than the supply can give: {amps} A pull it below zero")]
    Overloaded {
        /// Constant amperes asked for.
        amps: f64,
    },
    /// The periods did not come to rest.
    #[error("the supply does not come to a steady state within {periods} trials")]
    Unsettled {
        /// How many were tried.
        periods: usize,
    },
}

impl Supply {
    /// Volts of the reservoir with nothing taken: what sets a rating.
    pub fn no_load_volts(&self) -> f64 {
        let lost = self.topology.in_series() * self.law.drop_volts(0.0);
        self.topology.multiple() * (self.peak_volts - lost).max(0.0)
    }

    /// Volts of the output on the cycle average, with ripple and currents.
    ///
    /// # Errors
    /// When a value is unusable or the load pulls the output below zero.
    pub fn steady(&self, load: Load) -> Result<Steady, SupplyError> {
        self.steady_near(load, None)
    }

    /// The same, searched from the [`Steady::state`] of a like load.
    ///
    /// # Errors
    /// As [`Supply::steady`].
    pub fn steady_near(&self, load: Load, near: Option<[f64; 2]>) -> Result<Steady, SupplyError> {
        self.check(load)?;
        steady::find(self, load, near)
    }

    /// Amperes of the first pulse into an empty capacitor, switched on at the
    /// crest with the rectifier warm.
    ///
    /// # Errors
    /// When a value is unusable.
    pub fn surge_amps(&self) -> Result<f64, SupplyError> {
        self.check(Load::amps(0.0))?;
        Ok(pulse::pulse(&self.law, self.topology.in_series(), self.source_ohms, self.peak_volts).0)
    }

    fn check(&self, load: Load) -> Result<(), SupplyError> {
        let above_zero = |value: f64| value > 0.0 && value.is_finite();
        let doubler = self.topology.is_doubler();
        for (good, what) in [
            (above_zero(self.peak_volts), "a voltage"),
            (above_zero(self.hertz), "a frequency"),
            (
                self.source_ohms >= 0.0 && self.source_ohms.is_finite(),
                "a source resistance of zero or",
            ),
            (above_zero(self.farads[0]), "a capacitor"),
            (!doubler || above_zero(self.farads[1]), "a second capacitor"),
            (
                load.siemens >= 0.0 && load.siemens.is_finite() && load.amps.is_finite(),
                "a load of zero or",
            ),
        ] {
            if !good {
                return Err(SupplyError::Value { what });
            }
        }
        match self.law {
            Law::Vacuum { perveance } if above_zero(perveance) => Ok(()),
            Law::Threshold { volts, ohms } if volts.is_finite() && ohms > 0.0 => Ok(()),
            _ => Err(SupplyError::Rectifier),
        }
    }
}
