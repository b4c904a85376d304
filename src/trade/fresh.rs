//! What a good new capacitor reads on the bench, and where an old one is given
//! up.
//!
//! ```
//! use firstglow::trade::dielectric::Dielectric;
//! use firstglow::trade::fresh::Fresh;
//! let film = Fresh::of(Dielectric::Polypropylene, 0.01e-6, None);
//! assert_eq!(film.ohms.map(|ohms| ohms / 1e6), Some(100_000.0));
//! // 47 µF 450 V: a quarter of its reactance at 120 Hz.
//! let can = Fresh::of(Dielectric::Electrolytic, 47e-6, Some(450.0));
//! assert!((can.esr(120.0).unwrap() - 7.05).abs() < 0.01);
//! ```
//!
//! Limits: at 20 to 25 °C, direct voltage applied for a minute (film, paper,
//! mica) or five (electrolytics). Figures of makers' sheets of a kind, not of
//! one part.

use super::dielectric::Dielectric;
use super::source::Source;
use std::f64::consts::TAU;

/// Where the insulation of new parts comes from.
pub const INSULATION_SOURCE: Source = Source::from_memory(
    "least insulation in data sheets to IEC 60384-2, -14, -16 and JAN-C-5, JAN-C-25",
);
/// Where the leakage of a new electrolytic comes from.
pub const LEAKAGE_SOURCE: Source = Source::from_memory(
    "catalogues to IEC 60384-4, five minutes at the rated voltage: 0.01·C·U + 3 µA to 100 V, \
     0.03·C·U + 20 µA above (C in µF, U in V)",
);
/// Where the dissipation of new parts comes from.
pub const DISSIPATION_SOURCE: Source =
    Source::from_memory("dissipation in makers' sheets: electrolytics at 120 Hz, others at 1 kHz");
/// Where the limits of old electrolytics come from.
pub const OLD_SOURCE: Source = Source::practice(
    "an old electrolytic passes at 0.1 mA a µF and is given up at 0.5 mA a µF, at 80 % of its \
     value, or at a power factor of 35 %; 20 % is doubtful",
);
/// Where the tolerance of unmarked old parts comes from.
pub const TOLERANCE_SOURCE: Source = Source::from_memory(
    "usual tolerances of the time: paper ±20 %, electrolytics -10 +100 % to 350 V and -10 +50 % \
     above, mica ±20 %, ceramic of guaranteed minimum -0 +100 %",
);
/// The series reading of a leaky part.
pub const SERIES_FORM: Source = Source::arithmetic(
    "a bridge with a series arm shows Cs = Cp·(1 + D²), D = 1/(2π·f·Rp·Cp); solved for Cp and Rp",
);

/// Leakage that an old electrolytic may have, amperes a farad of its mark.
pub const OLD_AMPS_PER_FARAD: f64 = 0.1e-3 / 1e-6;
/// Leakage at which it is given up, amperes a farad.
pub const SCRAP_AMPS_PER_FARAD: f64 = 0.5e-3 / 1e-6;
/// Power factors at which an old electrolytic is doubtful and given up.
pub const OLD_POWER_FACTOR: (f64, f64) = (0.20, 0.35);
/// The share of its mark that an old electrolytic must still have.
pub const LEAST_SHARE: f64 = 0.8;
/// Dissipation of any other old part by a new one's: doubtful, given up.
/// Source: own choice.
pub const WORSE_BY: (f64, f64) = (3.0, 10.0);
/// Dissipation from which a high reading is a leak.
/// Source: own choice; at 0.1 the series form reads 1 % high.
pub const LEAKY: f64 = 0.1;
/// Ohms times microfarads that a new high-voltage electrolytic shows at
/// 100 kHz. Source: common practice, no source.
pub const ESR_AT_100_KHZ: f64 = 50.0;

/// A good new part of a kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fresh {
    /// Least ohms of insulation; `None` where leakage is told instead.
    pub ohms: Option<f64>,
    /// Most amperes of leakage at its rated voltage (electrolytics).
    pub leakage: Option<f64>,
    /// Most dissipation, parts of one.
    pub dissipation: f64,
    /// Hertz at which that holds.
    pub hertz: f64,
    farads: f64,
}

impl Fresh {
    /// A new part of `farads` and a rating in volts, if it is known.
    pub fn of(dielectric: Dielectric, farads: f64, rating: Option<f64>) -> Self {
        if dielectric.is_electrolytic() {
            let volts = rating.unwrap_or(450.0);
            let charge = farads * 1e6 * volts;
            let leakage = if volts <= 100.0 { 0.01 * charge + 3.0 } else { 0.03 * charge + 20.0 };
            let dissipation = if volts >= 315.0 { 0.25 } else { 0.20 };
            let leakage = Some(leakage * 1e-6);
            return Self { ohms: None, leakage, dissipation, hertz: 120.0, farads };
        }
        // Megohms for a small part, megohms times microfarads for a large one,
        // dissipation.
        let (most, seconds, dissipation) = match dielectric {
            Dielectric::Film | Dielectric::Polyester => (15e3, 5e3, 0.01),
            Dielectric::Polypropylene | Dielectric::Polystyrene => (100e3, 30e3, 0.001),
            Dielectric::OilPaper => (6e3, 1.5e3, 0.01),
            Dielectric::Mica | Dielectric::SilverMica | Dielectric::Glass => {
                (7.5e3, f64::INFINITY, 0.002)
            }
            Dielectric::Ceramic => (10e3, 100.0, 0.03),
            Dielectric::Air => (10e3, f64::INFINITY, 0.001),
            _ => (6e3, 1e3, 0.01),
        };
        let ohms = Some(f64::min(most, seconds / (farads * 1e6)) * 1e6);
        Self { ohms, leakage: None, dissipation, hertz: 1000.0, farads }
    }

    /// Most ohms of equivalent series resistance at a frequency, where a
    /// figure for it is known (electrolytics).
    pub fn esr(&self, hertz: f64) -> Option<f64> {
        self.leakage?;
        let at_100_khz = ESR_AT_100_KHZ / (self.farads * 1e6);
        let by_loss = self.dissipation / (TAU * hertz * self.farads);
        Some(by_loss.max(at_100_khz))
    }
}

/// Percent below and above its mark that an old part without a marked tolerance
/// may have been made with.
pub fn old_tolerance(dielectric: Option<Dielectric>, rating: Option<f64>) -> (f64, f64) {
    match dielectric {
        Some(d) if d.is_electrolytic() => {
            (10.0, if rating.is_some_and(|v| v > 350.0) { 50.0 } else { 100.0 })
        }
        Some(Dielectric::Ceramic) => (20.0, 100.0),
        _ => (20.0, 20.0),
    }
}

/// What of a kind goes bad although it reads well, if anything.
pub const fn ages(dielectric: Dielectric) -> Option<&'static str> {
    match dielectric {
        Dielectric::Paper | Dielectric::MouldedPaper => {
            Some("paper of this age goes on taking up moisture, and leaks more when warm")
        }
        Dielectric::MetallisedPaper => Some("the moulding of metallised paper cracks with age"),
        Dielectric::WetElectrolytic => Some("a wet electrolytic of this age has dried or corroded"),
        Dielectric::Electrolytic => {
            Some("an electrolytic past thirty years dries out further in use")
        }
        _ => None,
    }
}

/// Where that comes from.
pub const AGES_SOURCE: Source =
    Source::practice("how each dielectric fails, and which are replaced whatever they read");

#[cfg(test)]
mod tests {
    use super::*;

    /// The catalogue formula at 22 µF 450 V: 0.03 · 9900 + 20 = 317 µA.
    #[test]
    fn a_new_electrolytic_leaks_as_the_catalogue_formula_says() {
        let can = Fresh::of(Dielectric::Electrolytic, 22e-6, Some(450.0));
        assert!((can.leakage.unwrap() - 317e-6).abs() < 1e-9);
        assert_eq!(can.ohms, None);
        let cathode = Fresh::of(Dielectric::Electrolytic, 25e-6, Some(25.0));
        assert!((cathode.leakage.unwrap() - 9.25e-6).abs() < 1e-9);
    }

    #[test]
    fn insulation_is_capped_for_small_parts_and_falls_with_capacitance() {
        let megohms = |farads| Fresh::of(Dielectric::Polyester, farads, None).ohms.unwrap() / 1e6;
        assert!((megohms(0.01e-6) - 15_000.0).abs() < 1e-6);
        assert!((megohms(1e-6) - 5_000.0).abs() < 1e-6);
        assert!(megohms(0.5e-6) > megohms(1e-6));
    }
}
