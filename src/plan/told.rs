//! What a working tells: figures and words, put into text only where they are
//! shown.
//!
//! ```
//! use firstglow::plan::told::Told;
//! assert_eq!(Told::Figure(176.776, "V").to_string(), "177 V");
//! assert_eq!(Told::Ohms(470e3).to_string(), "470 kΩ");
//! assert_eq!(Told::from("as stated").to_string(), "as stated");
//! ```
//!
//! Limits: three significant figures, as [`figure`] has it.

use super::text::figure;
use crate::trade::quantity::{Capacitance, Resistance, Tolerance, Voltage};
use rust_decimal::Decimal;
use serde::{Serialize, Serializer};
use std::borrow::Cow;
use std::fmt;

/// A figure with its unit, or words.
#[derive(Debug, Clone, PartialEq)]
pub enum Told {
    /// Words.
    Words(Cow<'static, str>),
    /// A physical figure and its unit.
    Figure(f64, &'static str),
    /// A figure of the sheet or of a table, exactly, and its unit.
    Exact(Decimal, &'static str),
    /// A physical figure with a remark on it: `1.2 W (V3 out)`.
    Remarked(f64, &'static str, Cow<'static, str>),
    /// Ohms, with the prefix that suits them.
    Ohms(f64),
    /// A range of ohms.
    OhmsBetween(f64, f64),
    /// At least so many ohms.
    OhmsAtLeast(f64),
    /// A capacitance of a part.
    Capacitance(Capacitance),
    /// A range of capacitances.
    Between(Capacitance, Capacitance),
    /// A resistance of a part.
    Resistance(Resistance),
    /// A rated voltage.
    Voltage(Voltage),
    /// A tolerance.
    Tolerance(Tolerance),
}

impl fmt::Display for Told {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Words(words) => f.write_str(words),
            Self::Figure(value, unit) => write!(f, "{} {unit}", figure(*value)),
            Self::Exact(value, unit) => write!(f, "{value} {unit}"),
            Self::Remarked(value, unit, remark) => {
                write!(f, "{} {unit} ({remark})", figure(*value))
            }
            Self::Ohms(ohms) => ohms_told(*ohms, f),
            Self::OhmsBetween(least, most) => {
                ohms_told(*least, f)?;
                f.write_str(" to ")?;
                ohms_told(*most, f)
            }
            Self::OhmsAtLeast(ohms) => {
                f.write_str("at least ")?;
                ohms_told(*ohms, f)
            }
            Self::Capacitance(value) => value.fmt(f),
            Self::Between(least, most) => write!(f, "{least} to {most}"),
            Self::Resistance(value) => value.fmt(f),
            Self::Voltage(value) => value.fmt(f),
            Self::Tolerance(value) => value.fmt(f),
        }
    }
}

fn ohms_told(ohms: f64, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    let (value, unit) = match ohms {
        1e6.. => (ohms / 1e6, "MΩ"),
        1e3.. => (ohms / 1e3, "kΩ"),
        _ => (ohms, "Ω"),
    };
    write!(f, "{} {unit}", figure(value))
}

impl Serialize for Told {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// As it is shown.
impl PartialEq<str> for Told {
    fn eq(&self, other: &str) -> bool {
        let shown = self.to_string();
        shown == other
    }
}

impl PartialEq<&str> for Told {
    fn eq(&self, other: &&str) -> bool {
        self == *other
    }
}

impl From<&'static str> for Told {
    fn from(words: &'static str) -> Self {
        Self::Words(Cow::Borrowed(words))
    }
}

impl From<String> for Told {
    fn from(words: String) -> Self {
        Self::Words(Cow::Owned(words))
    }
}

impl From<Cow<'static, str>> for Told {
    fn from(words: Cow<'static, str>) -> Self {
        Self::Words(words)
    }
}

impl From<usize> for Told {
    fn from(count: usize) -> Self {
        Self::from(count.to_string())
    }
}

impl From<Capacitance> for Told {
    fn from(value: Capacitance) -> Self {
        Self::Capacitance(value)
    }
}

impl From<Resistance> for Told {
    fn from(value: Resistance) -> Self {
        Self::Resistance(value)
    }
}

impl From<Voltage> for Told {
    fn from(value: Voltage) -> Self {
        Self::Voltage(value)
    }
}

impl From<Tolerance> for Told {
    fn from(value: Tolerance) -> Self {
        Self::Tolerance(value)
    }
}
