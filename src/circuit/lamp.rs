//! The lamp in series: how a tungsten filament shares the line with a set.
//!
//! Purpose: volts on lamp and set for a lamp of known rating, and the current,
//! for a set taken as a resistance.
//!
//! ```
//! use firstglow::circuit::lamp::Lamp;
//!
//! // 60 W at 120 V, in series with a set that would take 40 W.
//! let share = Lamp::new(120.0, 60.0).unwrap().in_series_with(120.0, 120.0 * 120.0 / 40.0);
//! assert!((share.set_volts - 88.0).abs() < 0.5);
//! assert!((share.amps - 0.243).abs() < 0.002);
//! ```
//!
//! Limits: steady state; a cold filament passes some ten times as much for a
//! fraction of a second. Within 2 % near the rating, about 10 % at a third of
//! it. Not for lamps other than tungsten.

use crate::trade::lamp::{Glow, RATED_KELVIN, RESISTANCE_BY_KELVIN};

/// Exponent of the current by the voltage: 0.541 for gas-filled, 0.580 for
/// vacuum lamps (lighting handbooks, from memory); 0.55 by the Standard
/// Handbook for Electrical Engineers, 11th edition.
const EXPONENT: f64 = 0.55;
/// Hot resistance by cold: own arithmetic from tungsten's resistivity at 300 K
/// and 2700 K (handbook figures from memory).
const HOT_BY_COLD: f64 = 13.0;

/// A tungsten lamp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lamp {
    volts: f64,
    amps: f64,
}

/// How lamp and set share the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// Volts on the lamp.
    pub lamp_volts: f64,
    /// Volts on the set.
    pub set_volts: f64,
    /// Amperes through both.
    pub amps: f64,
}

impl Lamp {
    /// A lamp by its marking; `None` unless both are above zero.
    pub fn new(rated_volts: f64, rated_watts: f64) -> Option<Self> {
        let sound = |value: f64| value > 0.0 && value.is_finite();
        (sound(rated_volts) && sound(rated_watts))
            .then(|| Self { volts: rated_volts, amps: rated_watts / rated_volts })
    }

    /// Amperes at `volts`, zero or more: a power law, and a straight line where
    /// the filament is cold.
    pub fn amps(&self, volts: f64) -> f64 {
        let volts = volts.max(0.0);
        let hot = self.amps * (volts / self.volts).powf(EXPONENT);
        hot.min(volts / self.cold_ohms())
    }

    /// Ohms of the cold filament.
    pub fn cold_ohms(&self) -> f64 {
        self.volts / self.amps / HOT_BY_COLD
    }

    /// Ohms at `volts`, zero or more.
    pub fn ohms(&self, volts: f64) -> f64 {
        // Near zero volts the quotient would lose its digits.
        if volts > 1e-6 * self.volts { volts / self.amps(volts) } else { self.cold_ohms() }
    }

    /// The rated volts.
    pub const fn rated_volts(&self) -> f64 {
        self.volts
    }

    /// The filament's temperature at `volts`, kelvin: from its resistance,
    /// which follows the temperature to a power.
    pub fn kelvin(&self, volts: f64) -> f64 {
        let hot = self.ohms(volts) / (self.volts / self.amps);
        RATED_KELVIN * hot.powf(1.0 / RESISTANCE_BY_KELVIN)
    }

    /// Volts at which the filament has `kelvin`, above its cold heat.
    pub fn volts_at(&self, kelvin: f64) -> f64 {
        let hot = (kelvin / RATED_KELVIN).powf(RESISTANCE_BY_KELVIN);
        self.volts * hot.powf(1.0 / (1.0 - EXPONENT))
    }

    /// What it shows at `volts`.
    pub fn glow(&self, volts: f64) -> Glow {
        Glow::at(self.kelvin(volts))
    }

    /// The share of a line of `line_volts` between the lamp and a set of
    /// `set_ohms`; zero ohms is a short, infinity an open set.
    pub fn in_series_with(&self, line_volts: f64, set_ohms: f64) -> Share {
        if !set_ohms.is_finite() {
            return Share { lamp_volts: 0.0, set_volts: line_volts, amps: 0.0 };
        }
        let (mut low, mut high) = (0.0, line_volts);
        // The sum grows with the lamp's volts: halving never fails.
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.amps(middle) * set_ohms + middle > line_volts {
                high = middle;
            } else {
                low = middle;
            }
        }
        let lamp_volts = 0.5 * (low + high);
        Share { lamp_volts, set_volts: line_volts - lamp_volts, amps: self.amps(lamp_volts) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Volts on the set by its watts (rows) and the lamp's (columns), 120 V:
    /// computed apart from this code with the exponent 0.55, to the volt.
    const TABLE: [(f64, [f64; 7]); 7] = [
        (20.0, [81.0, 97.0, 107.0, 111.0, 114.0, 117.0, 118.0]),
        (30.0, [65.0, 83.0, 97.0, 103.0, 109.0, 114.0, 116.0]),
        (40.0, [54.0, 72.0, 88.0, 95.0, 103.0, 111.0, 114.0]),
        (50.0, [46.0, 63.0, 79.0, 88.0, 97.0, 107.0, 112.0]),
        (75.0, [33.0, 48.0, 63.0, 72.0, 83.0, 97.0, 104.0]),
        (100.0, [26.0, 39.0, 52.0, 61.0, 72.0, 88.0, 97.0]),
        (150.0, [18.0, 28.0, 39.0, 46.0, 56.0, 72.0, 83.0]),
    ];

    #[test]
    fn the_sizing_table_holds_to_the_volt() {
        for (watts, row) in TABLE {
            for (lamp, expected) in
                [25.0, 40.0, 60.0, 75.0, 100.0, 150.0, 200.0].into_iter().zip(row)
            {
                let share =
                    Lamp::new(120.0, lamp).unwrap().in_series_with(120.0, 120.0 * 120.0 / watts);
                assert!(
                    (share.set_volts - expected).abs() <= 0.6,
                    "{watts} W behind {lamp} W: {}",
                    share.set_volts
                );
            }
        }
    }

    #[test]
    fn a_shorted_set_lights_the_lamp_fully() {
        let share = Lamp::new(120.0, 60.0).unwrap().in_series_with(120.0, 0.0);
        assert!((share.lamp_volts - 120.0).abs() < 1e-6);
        assert!((share.amps - 0.5).abs() < 1e-6);
    }

    /// Of a 120 V lamp: nothing at 2 V, a red wire at 12 V, orange at 40 V,
    /// bright from half its volts on. Common practice, no source.
    #[test]
    fn the_glow_follows_the_volts() {
        let lamp = Lamp::new(120.0, 60.0).unwrap();
        for (volts, glow) in [
            (0.0, Glow::Dark),
            (2.0, Glow::Dark),
            (12.0, Glow::DullRed),
            (40.0, Glow::Orange),
            (70.0, Glow::Bright),
            (120.0, Glow::Bright),
        ] {
            assert_eq!(lamp.glow(volts), glow, "{volts} V: {} K", lamp.kelvin(volts));
        }
        assert!((lamp.kelvin(120.0) - RATED_KELVIN).abs() < 1.0);
        for volts in [10.0, 60.0, 119.0] {
            assert!((lamp.volts_at(lamp.kelvin(volts)) - volts).abs() < 1e-6);
        }
        // The cold filament is near room temperature.
        assert!((250.0..360.0).contains(&lamp.kelvin(0.0)), "{}", lamp.kelvin(0.0));
    }

    #[test]
    fn a_cold_filament_is_a_resistor() {
        let lamp = Lamp::new(120.0, 60.0).unwrap();
        let slope = |volts: f64| volts / lamp.amps(volts);
        assert!((slope(0.01) - lamp.cold_ohms()).abs() < 1e-9);
        assert!((slope(120.0) / slope(0.01) - HOT_BY_COLD).abs() < 1e-6);
    }
}
