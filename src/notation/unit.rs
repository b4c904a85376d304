//! Unit marks as they are written on schematics and parts.
//!
//! Old sheets write `MF` and `mF` for microfarad, never millifarad, and
//! `MMF` or `µµF` for picofarad. Source: common practice, no source.

use crate::letters;
use rust_decimal::Decimal;

/// What a unit mark measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// Capacitance; the scale is picofarads.
    Capacitance,
    /// Resistance; the scale is ohms.
    Resistance,
    /// Inductance; the scale is henries.
    Inductance,
    /// Current; the scale is amperes.
    Current,
    /// Frequency; the scale is hertz.
    Frequency,
    /// Power; the scale is watts.
    Power,
    /// Working voltage; the scale is volts.
    Volts(VoltMark),
    /// Percent.
    Percent,
}

/// What kind of voltage a mark speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VoltMark {
    /// Volts, kind not said.
    Plain,
    /// Direct or working volts.
    Working,
    /// Alternating.
    Alternating,
    /// Surge or peak.
    Surge,
    /// Alternating, of a winding tapped at its centre.
    CentreTapped,
}

/// A unit: what it measures, and how many base units it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unit {
    /// What it measures.
    pub measure: Measure,
    /// Base units in one of it.
    pub scale: Decimal,
}

/// Picofarads in a centimetre of capacitance: 10⁷/(c²·10⁻¹¹) with c in metres
/// a second. Source: definition of the CGS electrostatic unit.
const CENTIMETRE_PF: Decimal = Decimal::from_parts(1_112_650, 0, 0, false, 6);

/// Picofarads in a jar, 1/900 µF. Source: published encyclopaedia entry.
const JAR_PF: Decimal = Decimal::from_parts(11_111_111, 0, 0, false, 4);

/// A decimal that is a power of ten.
fn ten(exponent: i32) -> Decimal {
    if exponent >= 0 {
        Decimal::from(10_i64.pow(exponent.unsigned_abs()))
    } else {
        Decimal::new(1, exponent.unsigned_abs())
    }
}

/// The mark with dots dropped, mu as `u`, lower case.
pub fn normal(mark: &str) -> String {
    let mut out = String::with_capacity(mark.len());
    for c in mark.chars() {
        match c {
            '.' => {}
            'µ' | 'μ' => out.push('u'),
            c if c.is_ascii() => out.push(c.to_ascii_lowercase()),
            c => out.push(letters::lower(c)),
        }
    }
    out
}

/// Reads a unit mark that means one thing on any part; `None` for marks that
/// depend on the part (`M`, `K`, `m`) and for what is no unit.
///
/// ```
/// use firstglow::notation::unit::{Measure, read};
/// assert_eq!(read("MFD").unwrap().scale, 1_000_000.into());
/// assert_eq!(read("µµF").unwrap().scale, 1.into());
/// assert!(read("M").is_none());
/// ```
pub fn read(mark: &str) -> Option<Unit> {
    // No mark is longer, and none starts with a digit.
    if mark.len() > 24 || mark.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let unit = |measure, scale| Some(Unit { measure, scale });
    let exact = match mark.trim_end_matches('.') {
        "MΩ" | "MΩs" => return unit(Measure::Resistance, ten(6)),
        "mΩ" => return unit(Measure::Resistance, ten(-3)),
        "mW" => return unit(Measure::Power, ten(-3)),
        other => other,
    };
    let (measure, exponent) = match normal(exact).as_str() {
        "mfd" | "mfds" | "mf" | "uf" | "ufd" | "ufds" | "u" | "mike" | "mikes" | "microfarad"
        | "microfarads" => (Measure::Capacitance, 6),
        "mmf" | "mmfd" | "mmfds" | "uuf" | "uufd" | "uu" | "pf" | "pfd" | "p" | "puff"
        | "puffs" | "picofarad" | "picofarads" | "micromike" | "micromikes" => {
            (Measure::Capacitance, 0)
        }
        "nf" | "nfd" | "n" | "kpf" | "nanofarad" | "nanofarads" => (Measure::Capacitance, 3),
        "farad" | "farads" => (Measure::Capacitance, 12),
        "cm" => return unit(Measure::Capacitance, CENTIMETRE_PF),
        "jar" | "jars" => return unit(Measure::Capacitance, JAR_PF),
        "ω" | "ohm" | "ohms" => (Measure::Resistance, 0),
        "kω" | "kohm" | "kohms" | "kilohm" | "kilohms" | "k-ohm" | "k-ohms" => {
            (Measure::Resistance, 3)
        }
        // `MOhm` in any case: no set has a resistor of milliohms.
        "meg" | "megs" | "megohm" | "megohms" | "megω" | "meg-ohm" | "meg-ohms" | "mohm"
        | "mohms" => (Measure::Resistance, 6),
        "gω" | "gigohm" => (Measure::Resistance, 9),
        "h" | "hy" | "hys" | "henry" | "henries" | "henrys" => (Measure::Inductance, 0),
        "mh" | "mhy" | "millihenry" | "millihenries" | "millihenrys" => (Measure::Inductance, -3),
        "uh" | "uhy" | "microhenry" | "microhenries" | "microhenrys" => (Measure::Inductance, -6),
        "a" | "amp" | "amps" | "ampere" | "amperes" => (Measure::Current, 0),
        "ma" | "milliamp" | "milliamps" | "milliampere" | "milliamperes" => (Measure::Current, -3),
        "ua" | "microamp" | "microamps" => (Measure::Current, -6),
        "hz" | "cps" | "cycle" | "cycles" | "~" => (Measure::Frequency, 0),
        "khz" | "kc" | "kcs" | "kc/s" => (Measure::Frequency, 3),
        "mhz" | "mc" | "mcs" | "mc/s" => (Measure::Frequency, 6),
        "w" | "watt" | "watts" => (Measure::Power, 0),
        "%" | "percent" | "pct" | "per-cent" => (Measure::Percent, 0),
        other => return volts(other),
    };
    unit(measure, ten(exponent))
}

/// Voltage marks.
fn volts(mark: &str) -> Option<Unit> {
    let (kind, exponent) = match mark {
        "v" | "volt" | "volts" => (VoltMark::Plain, 0),
        "kv" | "kilovolt" | "kilovolts" => (VoltMark::Plain, 3),
        "wv" | "wvdc" | "vdcw" | "dcwv" | "vdc" | "dcv" | "vw" | "wvd" | "vwkg" | "wkg"
        | "dcvw" => (VoltMark::Working, 0),
        "kvdc" => (VoltMark::Working, 3),
        "vac" | "v~" | "acv" | "vrms" | "wvac" | "vacw" => (VoltMark::Alternating, 0),
        "vct" => (VoltMark::CentreTapped, 0),
        "sv" | "vsurge" | "vpk" | "vp" => (VoltMark::Surge, 0),
        _ => return None,
    };
    Some(Unit { measure: Measure::Volts(kind), scale: ten(exponent) })
}

/// A word after a voltage that says which kind it is.
pub fn volt_word(word: &str) -> Option<VoltMark> {
    Some(match normal(word).as_str() {
        "dc" | "working" | "wkg" | "dcw" | "wdc" => VoltMark::Working,
        "ac" | "rms" | "acrms" => VoltMark::Alternating,
        "surge" | "peak" | "pk" => VoltMark::Surge,
        "ct" | "c-t" | "c/t" => VoltMark::CentreTapped,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_centimetre_and_a_jar_have_their_picofarads() {
        // 1 cm = 10/(8.987551787...) pF; encyclopaedia: 1.11265 pF.
        assert_eq!(read("cm").unwrap().scale.to_string(), "1.112650");
        // 1/900 µF; encyclopaedia.
        assert_eq!(read("jar").unwrap().scale.to_string(), "1111.1111");
    }

    #[test]
    fn every_mark_for_volts_is_read() {
        for mark in ["V", "WV", "W.V.", "WVDC", "VDCW", "DCWV", "volts", "V.", "Volts"] {
            assert!(matches!(read(mark).unwrap().measure, Measure::Volts(_)), "{mark}");
        }
    }
}
