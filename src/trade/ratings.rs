//! The rated voltages that parts are sold at.
//!
//! ```
//! use firstglow::trade::ratings::{FILM, covering};
//! assert_eq!(covering(FILM, "450".parse().unwrap()), "630".parse().ok());
//! ```
//!
//! Limits: what general catalogues hold; a specialist may have more.

use super::dielectric::Dielectric;
use super::safety::SafetyClass;
use super::source::Source;
use rust_decimal::Decimal;

/// Plastic film, volts DC.
pub const FILM: &[&str] =
    &["63", "100", "250", "400", "630", "1000", "1250", "1600", "2000", "2500", "3000"];

/// Aluminium electrolytic, volts DC; above 500 V axial and snap-in only.
pub const ELECTROLYTIC: &[&str] = &[
    "6.3", "10", "16", "25", "35", "50", "63", "80", "100", "160", "200", "250", "315", "350",
    "400", "450", "500", "525", "550", "600",
];

/// The greatest electrolytic rating that is sold in every style.
pub const ELECTROLYTIC_COMMON: &str = "500";

/// Ceramic disc, volts DC.
pub const CERAMIC: &[&str] = &["50", "100", "500", "1000", "2000", "3000", "6000"];

/// Silver mica, volts DC.
pub const MICA: &[&str] = &["100", "300", "500", "1000"];

/// Class X2, volts AC.
pub const X2: &[&str] = &["250", "275", "300", "305", "310"];

/// Class X1, volts AC.
pub const X1: &[&str] = &["250", "300", "400", "440", "500", "760"];

/// Class Y2, volts AC.
pub const Y2: &[&str] = &["250", "300"];

/// Class Y1, volts AC.
pub const Y1: &[&str] = &["250", "400", "440", "500"];

/// Resistors, watts.
pub const RESISTOR_WATTS: &[&str] = &["0.25", "0.5", "1", "2", "3", "5", "10", "25", "50", "100"];

/// Where the lists of DC ratings come from.
pub const RATINGS_SOURCE: Source =
    Source::from_memory("rated voltages in catalogues; IEC 60384-4 preferred values");

/// Where the lists of AC ratings come from.
pub const SAFETY_RATINGS_SOURCE: Source =
    Source::from_memory("IEC 60384-14 voltage ranges and catalogue ratings");

/// The least rating on the list that covers the need.
pub fn covering(list: &[&str], need: Decimal) -> Option<Decimal> {
    list.iter().filter_map(|text| Decimal::from_str_exact(text).ok()).find(|sold| *sold >= need)
}

/// The ratings a dielectric is sold at.
pub const fn sold(dielectric: Dielectric) -> &'static [&'static str] {
    match dielectric {
        Dielectric::Electrolytic | Dielectric::WetElectrolytic | Dielectric::Tantalum => {
            ELECTROLYTIC
        }
        Dielectric::Mica | Dielectric::SilverMica | Dielectric::Glass => MICA,
        Dielectric::Ceramic => CERAMIC,
        _ => FILM,
    }
}

/// The alternating ratings a safety class is sold at.
pub const fn sold_class(class: SafetyClass) -> &'static [&'static str] {
    match class {
        SafetyClass::X1 => X1,
        SafetyClass::X2 => X2,
        SafetyClass::Y1 => Y1,
        SafetyClass::Y2 => Y2,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_list_rises_and_parses() {
        for list in [FILM, ELECTROLYTIC, CERAMIC, MICA, X1, X2, Y1, Y2, RESISTOR_WATTS] {
            let read: Vec<Decimal> = list.iter().map(|t| t.parse().unwrap()).collect();
            assert!(read.is_sorted(), "{list:?}");
        }
    }

    #[test]
    fn covering_never_falls_short() {
        assert_eq!(covering(ELECTROLYTIC, "177".parse().unwrap()), "200".parse().ok());
        assert_eq!(covering(ELECTROLYTIC, "500.1".parse().unwrap()), "525".parse().ok());
        assert_eq!(covering(ELECTROLYTIC, "601".parse().unwrap()), None);
        assert_eq!(covering(Y2, "253".parse().unwrap()), "300".parse().ok());
    }
}
