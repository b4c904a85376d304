//! What each capacitor of a doubler bears.
//!
//! Purpose: the mean and the extremes of its volts, and its ripple current,
//! which are not those of the output: the series capacitor of a half-wave
//! doubler stands at about one crest and carries the whole charge of every
//! cycle in and out.
//!
//! ```
//! use firstglow::circuit::law::SILICON;
//! use firstglow::circuit::supply::{Load, Supply, Topology};
//! // 117 V, 22 ohms, 40 uF each, 60 mA.
//! let supply = Supply {
//!     topology: Topology::DoublerHalfWave,
//!     peak_volts: 117.0 * 2.0_f64.sqrt(),
//!     hertz: 60.0,
//!     source_ohms: 22.0,
//!     law: SILICON,
//!     farads: [40e-6; 2],
//! };
//! let load = Load::amps(0.060);
//! let [series, output] = supply.duties(load, &supply.steady(load)?).unwrap();
//! assert!(series.extremes.0 > 0.0 && series.extremes.1 < supply.peak_volts);
//! assert!(output.volts > series.volts && series.rms_amps > output.rms_amps);
//! # Ok::<(), firstglow::circuit::supply::SupplyError>(())
//! ```
//!
//! Limits: the settled cycle; while the capacitors charge after switching on
//! currents are larger.

use super::period::{Period, STEPS, as_f64, equations};
use super::{Load, Steady, Supply, Topology};

/// The duty of one capacitor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Duty {
    /// Mean volts across it.
    pub volts: f64,
    /// Least and most volts within the period.
    pub extremes: (f64, f64),
    /// Root mean square amperes through it.
    pub rms_amps: f64,
}

impl Topology {
    /// Whether it has two capacitors.
    pub const fn is_doubler(self) -> bool {
        matches!(self, Self::DoublerFullWave | Self::DoublerHalfWave)
    }
}

impl Supply {
    /// The duty of both capacitors of a doubler, in the order of `farads`, in
    /// the steady state that was found with `load`; `None` of other supplies.
    pub fn duties(&self, load: Load, steady: &Steady) -> Option<[Duty; 2]> {
        if !self.topology.is_doubler() {
            return None;
        }
        if load.siemens <= 0.0 && load.amps <= 0.0 {
            return Some(steady.state.map(|volts| Duty {
                volts,
                extremes: (volts, volts),
                rms_amps: 0.0,
            }));
        }
        let equations = equations(self, load);
        let period = Period::new(self, &equations, STEPS);
        let mut sums = [Sums::default(); 2];
        period.run(steady.state, |state, branch, amps| {
            let rates = equations.rates(state, branch, amps);
            for ((sums, volts), amps) in sums
                .iter_mut()
                .zip(state)
                .zip([rates[0] * self.farads[0], rates[1] * self.farads[1]])
            {
                sums.add(volts, amps);
            }
        });
        let count = as_f64(period.source.len());
        Some(sums.map(|sums| Duty {
            volts: sums.volts / count,
            extremes: (sums.least, sums.most),
            rms_amps: (sums.square / count).sqrt(),
        }))
    }
}

#[derive(Clone, Copy)]
struct Sums {
    volts: f64,
    least: f64,
    most: f64,
    square: f64,
}

impl Default for Sums {
    fn default() -> Self {
        Self { volts: 0.0, least: f64::INFINITY, most: f64::NEG_INFINITY, square: 0.0 }
    }
}

impl Sums {
    fn add(&mut self, volts: f64, amps: f64) {
        self.volts += volts;
        self.least = self.least.min(volts);
        self.most = self.most.max(volts);
        self.square += amps * amps;
    }
}
