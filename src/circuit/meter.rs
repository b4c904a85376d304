//! What a voltmeter does to the reading it takes.
//!
//! Purpose: the reading from the true voltage and the other way round, for a
//! meter of so many ohms a volt or of fixed resistance; and the true voltage
//! from readings on two ranges.
//!
//! ```
//! use firstglow::circuit::meter::Meter;
//!
//! // 100 V behind 470 kΩ on the 250 V range of a 1,000 ohms-per-volt meter.
//! let meter = Meter::per_volt(1000.0, 250.0);
//! assert!((meter.reads(100.0, 470e3) - 34.72).abs() < 0.01);
//! assert!((meter.truth(34.72, 470e3) - 100.0).abs() < 0.01);
//! ```
//!
//! Limits: direct voltage, a source that is linear about its working point.

/// A voltmeter on one range, by its resistance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meter {
    /// Ohms between its leads, above zero.
    pub ohms: f64,
}

impl Meter {
    /// A meter without amplifier: ohms a volt times the range's volts.
    pub const fn per_volt(ohms_per_volt: f64, range_volts: f64) -> Self {
        Self { ohms: ohms_per_volt * range_volts }
    }

    /// What it shows of `volts` behind `source_ohms`.
    pub fn reads(&self, volts: f64, source_ohms: f64) -> f64 {
        volts * self.ohms / (self.ohms + source_ohms)
    }

    /// The volts without the meter, from what it shows.
    pub fn truth(&self, reading: f64, source_ohms: f64) -> f64 {
        reading * (1.0 + source_ohms / self.ohms)
    }
}

/// The volts without a meter from readings on two ranges, whatever the source:
/// `V1 V2 (R2 - R1) / (V1 R2 - V2 R1)` (own arithmetic). `None` when the two do
/// not differ enough to tell.
pub fn truth_from_two(first: (Meter, f64), second: (Meter, f64)) -> Option<f64> {
    let ((one, v1), (two, v2)) = (first, second);
    let below = v1 * two.ohms - v2 * one.ohms;
    let volts = v1 * v2 * (two.ohms - one.ohms) / below;
    let told = below.abs() > 1e-9 * (v1 * two.ohms).abs() && volts.is_finite();
    told.then_some(volts)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 100 V behind 470 kΩ: own arithmetic.
    #[test]
    fn three_common_meters_load_a_plate_as_worked_by_hand() {
        for (meter, expected) in [
            (Meter::per_volt(1e3, 250.0), 100.0 * 250.0 / 720.0),
            (Meter::per_volt(20e3, 250.0), 100.0 * 5000.0 / 5470.0),
            (Meter { ohms: 10e6 }, 100.0 * 10.0 / 10.47),
        ] {
            assert!((meter.reads(100.0, 470e3) - expected).abs() < 1e-9);
        }
    }

    #[test]
    fn two_ranges_tell_the_truth() {
        let volts =
            truth_from_two((Meter { ohms: 250e3 }, 34.7222), (Meter { ohms: 500e3 }, 51.5464))
                .unwrap();
        assert!((volts - 100.0).abs() < 0.01, "{volts}");
    }

    #[test]
    fn one_range_twice_tells_nothing() {
        let meter = Meter { ohms: 250e3 };
        assert_eq!(truth_from_two((meter, 34.0), (meter, 34.0)), None);
    }
}
