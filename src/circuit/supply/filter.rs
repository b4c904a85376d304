//! What follows the rectifier: filter sections.
//!
//! Purpose: the least inductance that keeps the current of an input choke
//! flowing; how much ripple a section lets through.
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
//! Limits: the choke's inductance is constant.

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
