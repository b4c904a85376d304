//! Heaters and filaments of tubes as loads: cold, warming and at low volts.
//!
//! ```
//! use firstglow::trade::heater::{COLD, hot_by_power};
//! // A heater at its rated power has its rated resistance; a cold one a sixth.
//! assert!((hot_by_power(1.0) - 1.0).abs() < 1e-12);
//! assert!((hot_by_power(0.0) - COLD).abs() < 1e-12);
//! ```
//!
//! Limits: one law for all types. Heaters differ by a factor of two in both
//! figures; a string of unlike heaters shares its volts unevenly as it warms.

use super::source::Source;

/// A cold heater's resistance by its warm one. Common practice, no source: a
/// 117 V string of 780 Ω warm reads 100 to 200 Ω cold.
pub const COLD: f64 = 1.0 / 6.0;

/// A heater's current follows its voltage to this power: tungsten as in lamps,
/// at a lower heat. From memory of heater characteristics: 80 % of the volts
/// pass 88 % of the current.
pub const EXPONENT: f64 = 0.55;

/// Seconds in which a heater with its cathode takes up what it is given: such
/// that a cold heater in the circuit of controlled warm-up types (four times
/// its volts through three times its resistance) reaches 80 % of its volts in
/// 11 s, as published for those types (from memory).
pub const WARM_SECONDS: f64 = 15.7;

/// Parts of one of the heater's volts at which an oxide cathode begins to
/// give, and from which it gives all that is asked. Common practice, no
/// source: little at half the line, all of it at three quarters.
pub const EMISSION: (f64, f64) = (0.5, 0.75);

/// Where the law and the cold resistance come from.
pub const LAW_SOURCE: Source =
    Source::practice("cold heaters read a sixth of warm ones; current follows V^0.55, as lamps do");

/// Where the time comes from.
pub const WARM_SOURCE: Source = Source::from_memory(
    "heaters of controlled warm-up: 11 s to 80 % of the volts in the test circuit",
);

/// Where the emission at low volts comes from.
pub const EMISSION_SOURCE: Source = Source::practice(
    "a tube rectifier gives little at half the line and all of it at three quarters",
);

/// A heater's resistance by its rated one, from the power it turns to heat by
/// its rated power.
pub fn hot_by_power(power: f64) -> f64 {
    // I ~ V^n makes P ~ V^(1+n) and R ~ V^(1-n).
    power.max(0.0).powf((1.0 - EXPONENT) / (1.0 + EXPONENT)).max(COLD)
}

/// The same from its volts by its rated ones, settled.
pub fn hot_by_volts(volts: f64) -> f64 {
    volts.max(0.0).powf(1.0 - EXPONENT).max(COLD)
}

/// The settled volts, by the rated ones, that a power belongs to.
pub fn volts_of_power(power: f64) -> f64 {
    power.max(0.0).powf(1.0 / (1.0 + EXPONENT))
}

/// The part of its current that a cathode can give, 0 to 1, from its heater's
/// settled volts by the rated ones.
pub fn emission(volts: f64) -> f64 {
    let (from, to) = EMISSION;
    let x = ((volts - from) / (to - from)).clamp(0.0, 1.0);
    x * x * (3.0 - 2.0 * x)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The test circuit of controlled warm-up types: four times the rated
    /// volts through three times the rated resistance; 11 s to 80 % (from
    /// memory of the published definition).
    #[test]
    fn a_cold_heater_warms_in_the_published_time() {
        let (mut power, mut seconds) = (0.0_f64, 0.0);
        let step = 0.01;
        loop {
            let ohms = hot_by_power(power);
            let volts = 4.0 * ohms / (3.0 + ohms);
            if volts >= 0.8 {
                break;
            }
            power += step / WARM_SECONDS * (volts * volts / ohms - power);
            seconds += step;
        }
        assert!((seconds - 11.0_f64).abs() < 0.5, "{seconds}");
    }

    #[test]
    fn both_laws_agree_where_a_heater_has_settled() {
        for volts in [0.3_f64, 0.5, 0.8, 1.0, 1.07] {
            let ohms = hot_by_volts(volts);
            let power = volts * volts / ohms;
            assert!((hot_by_power(power) - ohms).abs() < 1e-9, "{volts}");
            assert!((volts_of_power(power) - volts).abs() < 1e-9, "{volts}");
        }
    }

    #[test]
    fn emission_rises_from_nothing_to_all() {
        assert!(emission(0.5).abs() < 1e-12 && (emission(0.75) - 1.0).abs() < 1e-12);
        assert!((0.4..0.6).contains(&emission(0.625)));
    }
}
