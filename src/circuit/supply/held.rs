//! The rectifier into an output that is held: a short, or a stiff voltage.
//!
//! Purpose: what a source gives when its rectifier works into a fixed voltage,
//! zero for a shorted filter capacitor.
//!
//! ```
//! use firstglow::circuit::law::SILICON;
//! use firstglow::circuit::supply::{Supply, Topology};
//! // 100 V peak, one silicon rectifier, 50 ohms, shorted: half waves of nearly 2 A.
//! let supply = Supply {
//!     topology: Topology::HalfWave,
//!     peak_volts: 100.0,
//!     hertz: 60.0,
//!     source_ohms: 50.0,
//!     law: SILICON,
//!     farads: [1.0; 2],
//! };
//! let held = supply.into_volts(0.0);
//! assert!((held.mean_amps - 1.98 / std::f64::consts::PI).abs() < 0.01);
//! assert!((held.rms_amps - 1.98 / 2.0).abs() < 0.01);
//! ```
//!
//! Limits: no ripple of the output; doublers are not meant.

use super::{Supply, Topology, pulse};
use std::f64::consts::PI;

/// What a source gives into a held output.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Held {
    /// Mean amperes into the output.
    pub mean_amps: f64,
    /// Root mean square amperes, all pulses together.
    pub rms_amps: f64,
    /// Mean watts out of the source.
    pub watts: f64,
    /// Peak amperes.
    pub peak_amps: f64,
}

/// Angles of half a cycle that are summed: the pulse is smooth, so that the
/// midpoint rule is good to 0.1 %.
const ANGLES: u16 = 96;

impl Supply {
    /// The source into an output that stays at `volts`, zero or more.
    pub fn into_volts(&self, volts: f64) -> Held {
        let (mut mean, mut square, mut watts, mut peak) = (0.0, 0.0, 0.0, 0.0_f64);
        for at in 0..ANGLES {
            let source = self.peak_volts * ((f64::from(at) + 0.5) * PI / f64::from(ANGLES)).sin();
            let series = self.topology.in_series();
            let (amps, _) =
                pulse::pulse(&self.law, series, self.source_ohms.max(1e-3), source - volts);
            mean += amps;
            square += amps * amps;
            watts += amps * source;
            peak = peak.max(amps);
        }
        // Half waves fill every other half cycle.
        let halves = match self.topology {
            Topology::FullWave | Topology::Bridge => 1.0,
            _ => 0.5,
        };
        let share = halves / f64::from(ANGLES);
        Held {
            mean_amps: mean * share,
            rms_amps: (square * share).sqrt(),
            watts: watts * share,
            peak_amps: peak,
        }
    }
}
