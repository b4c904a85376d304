//! The ohmmeter's own limits, and the band in which a reading is well.

use crate::bench::reading::Verdict;
use crate::circuit::fault::Expected;
use crate::circuit::report::Band;

/// An ohmmeter's limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ohmmeter {
    /// Percent of the reading by which it may err.
    pub percent: f64,
    /// Ohms of its leads and contacts, by which it may err besides.
    pub floor: f64,
    /// Ohms past which it shows an open circuit.
    pub top: f64,
}

impl Ohmmeter {
    /// A common one: 3 %, half an ohm, 20 MΩ. Source: common practice, no
    /// source.
    pub const USUAL: Self = Self { percent: 3.0, floor: 0.5, top: 20e6 };

    /// Ohms by which it may err at a reading.
    pub fn error(&self, ohms: f64) -> f64 {
        ohms * self.percent / 100.0 + self.floor
    }

    /// Whether it cannot tell one resistance from another.
    pub fn alike(&self, one: f64, other: f64) -> bool {
        match (one < self.top, other < self.top) {
            (true, true) => (one - other).abs() <= self.error(one) + self.error(other),
            (false, false) => true,
            // Near its end it may show the one or the other.
            _ => one.min(other) > 0.8 * self.top,
        }
    }
}

/// Of the meter's end, what a point that leads nowhere must reach at least.
/// Source: common practice, no source.
const OPEN_PART: f64 = 0.5;

/// The band in which a reading is well: tolerances, controls, electrolytics
/// that form, and the meter's own error. `most` is infinite where an open
/// circuit is well.
pub fn band(meter: &Ohmmeter, expected: &Expected) -> Band {
    let open = Band { least: OPEN_PART * meter.top, most: f64::INFINITY };
    let (least, most) = if expected.ohms.is_finite() {
        let (low, _) = expected.range((expected.ohms - expected.spread).max(0.0));
        let (_, high) = expected.range(expected.ohms + expected.spread);
        (low - meter.error(low), high + meter.error(high))
    } else if expected.leak > 0.0 {
        let least = 1.0 / expected.leak;
        (least - meter.error(least), f64::INFINITY)
    } else {
        return open;
    };
    if least >= open.least {
        return open;
    }
    Band { least: least.max(0.0), most: if most >= meter.top { f64::INFINITY } else { most } }
}

/// How a reading stands to its band; an open circuit is infinite.
pub fn judge(band: Band, ohms: f64) -> Verdict {
    if ohms < band.least {
        Verdict::Below
    } else if ohms > band.most {
        Verdict::Above
    } else {
        Verdict::Within
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(ohms: f64, spread: f64, leak: f64) -> Expected {
        Expected { ohms, spread, leak, turn: (1.0, 1.0) }
    }

    #[test]
    fn a_band_is_tolerance_and_the_meters_error() {
        let band = band(&Ohmmeter::USUAL, &of(1000.0, 200.0, 0.0));
        // 800 less 3 % and half an ohm, 1200 and as much more: own arithmetic.
        assert!((band.least - 775.5).abs() < 1e-9 && (band.most - 1236.5).abs() < 1e-9);
        assert_eq!(judge(band, 775.0), Verdict::Below);
        assert_eq!(judge(band, 1000.0), Verdict::Within);
        assert_eq!(judge(band, f64::INFINITY), Verdict::Above);
    }

    #[test]
    fn what_leads_nowhere_must_read_open_or_nearly_so() {
        let band = band(&Ohmmeter::USUAL, &of(f64::INFINITY, 0.0, 0.0));
        assert_eq!(judge(band, f64::INFINITY), Verdict::Within);
        assert_eq!(judge(band, 12e6), Verdict::Within);
        assert_eq!(judge(band, 220e3), Verdict::Below);
    }

    #[test]
    fn an_electrolytic_that_forms_may_hold_a_reading_down() {
        // 250 kΩ across a point that leads nowhere.
        let band = band(&Ohmmeter::USUAL, &of(f64::INFINITY, 0.0, 4e-6));
        assert_eq!(judge(band, 260e3), Verdict::Within);
        assert_eq!(judge(band, 100e3), Verdict::Below);
    }

    #[test]
    fn a_grid_leak_near_the_meters_end_may_read_open() {
        let band = band(&Ohmmeter::USUAL, &of(18e6, 3.6e6, 0.0));
        assert_eq!(judge(band, f64::INFINITY), Verdict::Within);
        assert!(Ohmmeter::USUAL.alike(18e6, f64::INFINITY));
        assert!(!Ohmmeter::USUAL.alike(10e6, f64::INFINITY));
    }
}
