//! Quantities as they are entered: exact decimals with a unit.
//!
//! ```
//! use firstglow::trade::quantity::Capacitance;
//! let c = Capacitance::from_microfarads("0.047".parse().unwrap()).unwrap();
//! assert_eq!(c.picofarads(), "47000".parse().unwrap());
//! assert_eq!(c.to_string(), "0.047 µF");
//! ```
//!
//! Limits: a quantity outside the range that any part of the trade has is
//! refused when it is made, so later arithmetic on it cannot overflow.
//! Physics is done in `f64` ([`to_f64`](Capacitance::to_f64)).

use rust_decimal::{Decimal, prelude::ToPrimitive};
use serde::{Serialize, Serializer};
use std::fmt;
use thiserror::Error;

/// A quantity outside the range its kind can have.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{what} must lie between {least} and {most}")]
pub struct OutOfRange {
    /// Which quantity.
    pub what: &'static str,
    /// The least value allowed, in words.
    pub least: &'static str,
    /// The greatest value allowed, in words.
    pub most: &'static str,
}

/// Defines an exact quantity: a decimal count of its base unit within a range.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $get:ident, $what:literal,
     $least:literal ($least_words:literal) ..= $most:literal ($most_words:literal)) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(Decimal);

        impl $name {
            #[doc = concat!("Makes a ", $what, " from its base unit.")]
            ///
            /// # Errors
            #[doc = concat!("[`OutOfRange`] outside ", $least_words, " to ", $most_words, ".")]
            pub fn new(base: Decimal) -> Result<Self, OutOfRange> {
                let least: Decimal = Decimal::from_str_exact($least).unwrap_or(Decimal::ZERO);
                let most: Decimal = Decimal::from_str_exact($most).unwrap_or(Decimal::MAX);
                if base < least || base > most {
                    return Err(OutOfRange { what: $what, least: $least_words, most: $most_words });
                }
                Ok(Self(base.normalize()))
            }

            /// The exact count of the base unit.
            pub const fn $get(self) -> Decimal {
                self.0
            }

            /// The same as a float, for physics.
            pub fn to_f64(self) -> f64 {
                self.0.to_f64().unwrap_or(f64::NAN)
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
                s.collect_str(self)
            }
        }
    };
}

quantity!(
    /// A capacitance; the base unit is the picofarad.
    Capacitance, picofarads, "capacitance", "0.01" ("0.01 pF") ..= "1000000000000" ("1 F"));
quantity!(
    /// A resistance; the base unit is the ohm.
    Resistance, ohms, "resistance", "0" ("0 Ω") ..= "1000000000000000" ("10¹⁵ Ω"));
quantity!(
    /// A voltage, direct or alternating as the place says; the base unit is the volt.
    Voltage, volts, "voltage", "0" ("0 V") ..= "100000" ("100 kV"));
quantity!(
    /// A power; the base unit is the watt.
    Power, watts, "power", "0" ("0 W") ..= "100000" ("100 kW"));
quantity!(
    /// An inductance; the base unit is the henry.
    Inductance, henries, "inductance", "0" ("0 H") ..= "100000" ("100 kH"));
quantity!(
    /// A current; the base unit is the ampere.
    Current, amperes, "current", "0" ("0 A") ..= "1000" ("1000 A"));
quantity!(
    /// A frequency; the base unit is the hertz.
    Frequency, hertz, "frequency", "0" ("0 Hz") ..= "100000000000" ("100 GHz"));

/// A count scaled by a power of ten, with no trailing zeros.
fn scaled(value: Decimal, scale: u32) -> Decimal {
    let unit = Decimal::from_i128_with_scale(1, scale);
    value.checked_mul(unit).unwrap_or(value).normalize()
}

impl Capacitance {
    /// From microfarads.
    ///
    /// # Errors
    /// [`OutOfRange`] as for [`Capacitance::new`].
    pub fn from_microfarads(value: Decimal) -> Result<Self, OutOfRange> {
        let out = OutOfRange { what: "capacitance", least: "0.01 pF", most: "1 F" };
        Self::new(value.checked_mul(Decimal::from(1_000_000)).ok_or(out)?)
    }

    /// In microfarads, exactly.
    pub fn microfarads(self) -> Decimal {
        scaled(self.0, 6)
    }

    /// In farads, for physics.
    pub fn farads(self) -> f64 {
        self.to_f64() * 1e-12
    }
}

/// Prints `0.047 µF` from 1000 pF up and `470 pF` below.
impl fmt::Display for Capacitance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0 >= Decimal::from(1000) {
            write!(f, "{} µF", self.microfarads())
        } else {
            write!(f, "{} pF", self.0)
        }
    }
}

/// Writes a value with the first prefix it reaches.
fn with_prefix(
    f: &mut fmt::Formatter<'_>,
    value: Decimal,
    prefixes: &[(i64, u32, &str)],
    plain: &str,
) -> fmt::Result {
    for &(from, scale, unit) in prefixes {
        if value >= Decimal::from(from) {
            return write!(f, "{} {unit}", scaled(value, scale));
        }
    }
    write!(f, "{value} {plain}")
}

impl fmt::Display for Resistance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        with_prefix(f, self.0, &[(1_000_000, 6, "MΩ"), (1000, 3, "kΩ")], "Ω")
    }
}

impl fmt::Display for Voltage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} V", self.0)
    }
}

impl fmt::Display for Power {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} W", self.0)
    }
}

/// Writes a value below one of its unit in thousandths or millionths.
fn small(f: &mut fmt::Formatter<'_>, value: Decimal, unit: &str) -> fmt::Result {
    let thousand = Decimal::from(1000);
    let milli = value.checked_mul(thousand).unwrap_or(value);
    let micro = milli.checked_mul(thousand).unwrap_or(milli);
    if value >= Decimal::ONE || value.is_zero() {
        write!(f, "{value} {unit}")
    } else if milli >= Decimal::ONE {
        write!(f, "{} m{unit}", milli.normalize())
    } else {
        write!(f, "{} µ{unit}", micro.normalize())
    }
}

impl fmt::Display for Inductance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        small(f, self.0, "H")
    }
}

impl fmt::Display for Current {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        small(f, self.0, "A")
    }
}

impl fmt::Display for Frequency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        with_prefix(f, self.0, &[(1_000_000, 6, "MHz"), (1000, 3, "kHz")], "Hz")
    }
}

/// How far a part may lie from its marked value, in percent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Tolerance {
    /// Percent below the mark, as a positive number.
    pub below: Decimal,
    /// Percent above the mark.
    pub above: Decimal,
}

impl Tolerance {
    /// The same percentage on both sides.
    pub fn symmetric(percent: Decimal) -> Self {
        Self { below: percent.normalize(), above: percent.normalize() }
    }
}

/// Prints `±10 %` or `-10 +50 %`.
impl fmt::Display for Tolerance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.below == self.above {
            write!(f, "±{} %", self.below)
        } else {
            write!(f, "-{} +{} %", self.below, self.above)
        }
    }
}

impl Serialize for Tolerance {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}
