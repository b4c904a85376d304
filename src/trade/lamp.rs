//! A tungsten lamp in series with the set as a limiter.
//!
//! ```
//! use firstglow::trade::lamp::{Lamps, set_volts};
//! // 40 W set behind a 60 W lamp on 120 V: 88 V at the set.
//! let lamps = Lamps { watts: 60, count: 1, rated_v: 120.0 };
//! assert!((set_volts(lamps, 40.0, 120.0, 120.0) - 88.0).abs() < 0.5);
//! ```
//!
//! Limits: the set is taken as a constant resistance, so a cold set draws more
//! for half a minute; the power law holds within about 10 % down to a third
//! of the lamp's voltage.

use super::source::Source;

/// Lamps that are sold, watts.
pub const SOLD_W: [u16; 7] = [25, 40, 60, 75, 100, 150, 200];

/// Current follows the voltage to this power.
pub const EXPONENT: f64 = 0.55;

/// Where the law comes from.
pub const LAW_SOURCE: Source =
    Source::published("Standard Handbook for Electrical Engineers, 11th ed.: I follows V^0.55");

/// Where the choice of lamp comes from.
pub const SIZE_SOURCE: Source =
    Source::practice("first lamp near the set's watts, second near twice as many");

/// Kelvin of a general-service filament at its rated volts. From memory of
/// lighting handbooks: 2600 K for 25 W to 2900 K for 200 W.
pub const RATED_KELVIN: f64 = 2700.0;

/// Tungsten's resistance follows its temperature to this power. Published,
/// encyclopaedia and handbook tables (resistivity at 300 K and 2700 K).
pub const RESISTANCE_BY_KELVIN: f64 = 1.2;

/// Kelvin from which a body is seen to glow.
pub const VISIBLE_KELVIN: f64 = 798.0;
/// Kelvin at which red has turned to orange.
pub const ORANGE_KELVIN: f64 = 1373.0;
/// Kelvin from which the filament dazzles: a twelfth of its light, at half its
/// volts, by the handbook exponent of light, 3.4.
pub const BRIGHT_KELVIN: f64 = 2080.0;

/// Where the names of the glow come from.
pub const GLOW_SOURCE: Source = Source::from_memory(
    "Draper point 798 K; handbook scale of colours by temperature: cherry red to 900 °C, orange \
     1100 °C; light follows V^3.4; filament temperature by R ~ T^1.2",
);

/// What a lamp shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Glow {
    /// Nothing to be seen in a lit room.
    Dark,
    /// A dull red wire.
    DullRed,
    /// Orange, easy to look at.
    Orange,
    /// Bright: it lights the bench.
    Bright,
}

impl Glow {
    /// The glow of a filament at a temperature.
    pub fn at(kelvin: f64) -> Self {
        match kelvin {
            k if k < VISIBLE_KELVIN => Self::Dark,
            k if k < ORANGE_KELVIN => Self::DullRed,
            k if k < BRIGHT_KELVIN => Self::Orange,
            _ => Self::Bright,
        }
    }

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Dark => "dark",
            Self::DullRed => "dull red",
            Self::Orange => "orange",
            Self::Bright => "bright",
        }
    }
}

/// One lamp, or several equal ones in parallel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lamps {
    /// The watts of each.
    pub watts: u16,
    /// How many in parallel.
    pub count: u32,
    /// The voltage they are made for.
    pub rated_v: f64,
}

impl Lamps {
    /// All their watts.
    pub fn total_w(self) -> f64 {
        f64::from(self.watts) * f64::from(self.count)
    }
}

/// The lamps nearest to the watts wanted.
pub fn nearest(watts: f64, rated_v: f64) -> Lamps {
    let most = SOLD_W[SOLD_W.len() - 1];
    let mut count = 1;
    // Each further lamp helps once the wish exceeds what one gives by half a lamp.
    while count < 50 && watts > f64::from(most) * (f64::from(count) + 0.5) {
        count += 1;
    }
    if count > 1 {
        return Lamps { watts: most, count, rated_v };
    }
    let far = |w: u16| (f64::from(w) - watts).abs();
    let watts = SOLD_W.into_iter().fold(SOLD_W[0], |a, b| if far(b) < far(a) { b } else { a });
    Lamps { watts, count, rated_v }
}

/// The voltage left for a set of `set_w` at `nameplate_v`, on a line of `line_v`.
pub fn set_volts(lamps: Lamps, set_w: f64, nameplate_v: f64, line_v: f64) -> f64 {
    let set_ohms = nameplate_v * nameplate_v / set_w;
    let rated_amps = lamps.total_w() / lamps.rated_v;
    let (mut low, mut high) = (0.0, line_v);
    for _ in 0..60 {
        let across_lamp = f64::midpoint(low, high);
        let amps = rated_amps * (across_lamp / lamps.rated_v).powf(EXPONENT);
        if across_lamp + amps * set_ohms > line_v {
            high = across_lamp;
        } else {
            low = across_lamp;
        }
    }
    line_v - low
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_larger_lamp_leaves_more_for_the_set() {
        let mut last = 0.0;
        for watts in SOLD_W {
            let lamps = Lamps { watts, count: 1, rated_v: 120.0 };
            let volts = set_volts(lamps, 75.0, 120.0, 120.0);
            assert!(volts > last && volts < 120.0, "{watts} W: {volts}");
            last = volts;
        }
    }

    #[test]
    fn large_sets_get_lamps_in_parallel() {
        assert_eq!(nearest(36.0, 120.0), Lamps { watts: 40, count: 1, rated_v: 120.0 });
        assert_eq!(nearest(450.0, 120.0), Lamps { watts: 200, count: 2, rated_v: 120.0 });
        assert_eq!(nearest(1e9, 120.0).count, 50);
    }
}
