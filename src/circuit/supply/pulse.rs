//! One pulse through the rectifier, solved in closed steps.
//!
//! Purpose: the amperes that a drive sends through rectifiers and resistance in
//! series, and how they follow it.
//!
//! Example: see [`super::Supply::surge_amps`], the pulse at the crest.
//!
//! Limits: [`Law::Vacuum`] and [`Law::Threshold`]; other laws pass nothing.

use crate::circuit::law::{Law, rounding};

/// Amperes and their slope through `in_series` diodes and `ohms` under
/// `drive` volts.
pub(super) fn pulse(law: &Law, in_series: f64, ohms: f64, drive: f64) -> (f64, f64) {
    let (amps, slope) = match *law {
        _ if drive <= 0.0 => (0.0, 0.0),
        Law::Vacuum { perveance } => vacuum(perveance, in_series, ohms, drive),
        Law::Threshold { volts, ohms: own } => threshold(volts, own, in_series, ohms, drive),
        _ => (0.0, 0.0),
    };
    (amps, slope / (ohms * slope + in_series))
}

/// `ohms k s³ + n s² = drive` for the root `s` of the volts across one diode.
/// It is convex: from the right, Newton's steps fall on the root without
/// passing it.
fn vacuum(perveance: f64, in_series: f64, ohms: f64, drive: f64) -> (f64, f64) {
    let cubic = ohms * perveance;
    let mut root = (drive / in_series).sqrt();
    for _ in 0..40 {
        let miss = (cubic * root + in_series) * root * root - drive;
        let step = miss / ((3.0 * cubic * root + 2.0 * in_series) * root);
        root -= step;
        if step.abs() <= 1e-8 * root {
            // Newton squares what is left.
            break;
        }
    }
    (perveance * root * root * root, 1.5 * perveance * root)
}

/// The straight line of a threshold, and the parabola that rounds its foot
/// (see [`Law::flow`]), solved for the volts above the threshold.
fn threshold(volts: f64, own: f64, in_series: f64, ohms: f64, drive: f64) -> (f64, f64) {
    let left = drive - in_series * volts;
    if left <= 0.0 {
        return (0.0, 0.0);
    }
    let width = rounding(volts);
    let line = (left + 0.5 * width * ohms / own) / (in_series + ohms / own);
    if line >= width {
        return ((line - 0.5 * width) / own, 1.0 / own);
    }
    let square = 0.5 * ohms / (own * width);
    let above = 2.0 * left / (in_series + (in_series * in_series + 4.0 * square * left).sqrt());
    (0.5 * above * above / width / own, above / width / own)
}
