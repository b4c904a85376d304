//! What follows the rectifier: choke input and filter sections.
//!
//! Purpose: the direct voltage behind an input choke and the least inductance
//! that keeps its current flowing; how much ripple a section lets through.
//!
//! ```
//! use firstglow::circuit::supply::{Section, critical_henries};
//!
//! // 5 kΩ of load at 60 Hz: 4.4 H (the handbook's R/1130).
//! assert!((critical_henries(5000.0, 60.0) - 5000.0 / 1131.0).abs() < 0.01);
//! // 10 H and 20 uF at 120 Hz into a light load: 1/(w²LC - 1) of the ripple.
//! let section = Section { ohms: 0.0, henries: 10.0, farads: 20e-6 };
//! assert!((1.0 / section.passes(120.0, 0.0) - 112.7).abs() < 0.1);
//! ```
//!
//! Limits: the choke's inductance is constant; below the critical inductance
//! the voltage lies between the two that are told.

use crate::circuit::law::Law;
use std::f64::consts::PI;

/// Least henries of an input choke on a full-wave rectifier: `R/(6 pi f)` with
/// `f` of the line (textbook, from the second harmonic of the rectified sine;
/// from memory, confirmed by own arithmetic).
pub fn critical_henries(load_ohms: f64, hertz: f64) -> f64 {
    load_ohms / (6.0 * PI * hertz)
}

/// One series element and the capacitor after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Ohms of the resistor or of the choke's winding.
    pub ohms: f64,
    /// Henries of the choke; 0 for a resistor.
    pub henries: f64,
    /// Farads of the capacitor.
    pub farads: f64,
}

impl Section {
    /// The part of a ripple of `hertz` that is left after the section, into a
    /// load of `siemens`: `1/|1 + (R + jwL)(G + jwC)|`, exact for a sine.
    pub fn passes(&self, hertz: f64, siemens: f64) -> f64 {
        let w = 2.0 * PI * hertz;
        let (wl, wc) = (w * self.henries, w * self.farads);
        let real = 1.0 + self.ohms * siemens - wl * wc;
        let imaginary = self.ohms * wc + wl * siemens;
        1.0 / real.hypot(imaginary)
    }
}

/// A full-wave supply whose filter begins with a choke.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChokeInput {
    /// Peak volts of the source; of one half for a tapped winding.
    pub peak_volts: f64,
    /// Hertz of the line.
    pub hertz: f64,
    /// Ohms of winding and reflected primary.
    pub source_ohms: f64,
    /// Each rectifier.
    pub law: Law,
    /// Rectifiers in series: 1, or 2 in a bridge.
    pub in_series: f64,
    /// The choke and the capacitor after it.
    pub section: Section,
}

/// What a choke-input supply gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChokeSteady {
    /// Volts while the choke's current never stops: `2/pi` of the peak less
    /// the drops. The least the output can be.
    pub volts: f64,
    /// The most it can be: the unloaded peak. Reached without load.
    pub most_volts: f64,
    /// Least henries at this load.
    pub critical_henries: f64,
    /// Whether the choke has them, so that `volts` holds.
    pub continuous: bool,
    /// Root mean square ripple after the section, volts.
    pub ripple_rms: f64,
    /// Its hertz.
    pub ripple_hertz: f64,
}

impl ChokeInput {
    /// The output at a load of `amps`, above zero.
    pub fn steady(&self, amps: f64) -> ChokeSteady {
        let drop = self.in_series * self.law.drop_volts(amps);
        let mean = 2.0 / PI * self.peak_volts;
        let volts = mean - drop - amps * (self.source_ohms + self.section.ohms);
        let load_ohms = if amps > 0.0 { volts / amps } else { f64::INFINITY };
        let critical_henries = critical_henries(load_ohms, self.hertz);
        // The rectified sine's second harmonic: 4/(3 pi) of the peak.
        let second = 4.0 / (3.0 * PI) * self.peak_volts / 2.0_f64.sqrt();
        let ripple_hertz = 2.0 * self.hertz;
        ChokeSteady {
            volts,
            most_volts: self.peak_volts - self.in_series * self.law.drop_volts(0.0),
            critical_henries,
            continuous: self.section.henries >= critical_henries,
            ripple_rms: second * self.section.passes(ripple_hertz, 1.0 / load_ohms),
            ripple_hertz,
        }
    }
}
