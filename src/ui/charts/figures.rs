//! Figures as a person reads them off a meter.

use crate::circuit::report::{AtMeter, Band, NodeReport};
use crate::plan::hands::Probe;
use crate::plan::types::Plan;

/// Volts: tenths below ten, whole above, a true minus sign.
pub fn volts(value: f64) -> String {
    format!("{} V", number(value))
}

/// What a meter finds at a node, and how it may be put there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PointFigure {
    /// Direct volts and the range of a good set.
    Direct {
        /// The volts.
        figure: String,
        /// The range.
        band: Option<String>,
        /// How to measure, where hands may not hold the probes.
        care: Option<&'static str>,
    },
    /// Alternating volts, a live reference, or volts that are not known: what a
    /// hand must not meet.
    Live(String),
    /// The reference of a set that is not on the line.
    Reference,
}

impl PointFigure {
    /// Of a node of a plan.
    pub fn of(node: &NodeReport, plan: &Plan) -> Self {
        let probe = Probe::at(node, high_part(plan));
        let care = probe.words();
        match (node.meter, node.running_v) {
            (AtMeter::Reference, _) => match plan.supply.line_connected {
                Some(false) => Self::Reference,
                Some(true) => Self::Live("reference, LIVE".to_owned()),
                None => Self::Live("reference, treat as LIVE".to_owned()),
            },
            (AtMeter::Alternating { rms_v }, _) => {
                let care = match probe {
                    Probe::ByHand => "no direct reading",
                    _ => "do not probe",
                };
                Self::Live(format!("{} AC, {care}", volts(rms_v)))
            }
            (AtMeter::Direct, Some(value)) => {
                Self::Direct { figure: volts(value), band: node.band_v.map(volts_band), care }
            }
            _ => Self::Live(NOT_KNOWN.to_owned()),
        }
    }

    /// In one short line, for a drawing.
    pub fn short(&self) -> String {
        match self {
            Self::Direct { figure, .. } => figure.clone(),
            Self::Live(words) => words.clone(),
            Self::Reference => REFERENCE.to_owned(),
        }
    }

    /// In one line with range and care.
    pub fn words(&self) -> String {
        match self {
            Self::Direct { figure, band, care } => {
                let band = band.as_ref().map(|b| format!(" ({b})")).unwrap_or_default();
                let care = care.map(|c| format!("; {c}")).unwrap_or_default();
                format!("{figure}{band}{care}")
            }
            Self::Live(words) => words.clone(),
            Self::Reference => REFERENCE.to_owned(),
        }
    }
}

/// What is said of a node whose volts are not known.
pub const NOT_KNOWN: &str = "not known: treat as live";

/// What is said of the reference of a set that is not on the line.
const REFERENCE: &str = "reference";

/// The high line by the nominal one.
fn high_part(plan: &Plan) -> f64 {
    let supply = &plan.supply;
    let part = supply.high_line_v / supply.mains_v;
    if part.is_finite() { part.max(1.0) } else { 1.1 }
}

/// The same without its unit.
fn number(value: f64) -> String {
    let size = value.abs();
    let text = if size < 0.05 {
        return "0".to_owned();
    } else if size < 10.0 {
        format!("{size:.1}")
    } else {
        format!("{size:.0}")
    };
    if value < 0.0 { format!("−{text}") } else { text }
}

/// A range of volts.
pub fn volts_band(band: Band) -> String {
    let (least, most) = (number(band.least), number(band.most));
    if least == most { format!("{least} V") } else { format!("{least} to {most} V") }
}

/// Ohms, to three figures at most.
pub fn ohms(value: f64) -> String {
    let (scaled, unit) = prefixed(value);
    format!("{} {unit}", three(scaled))
}

/// A range of ohms.
pub fn ohms_band(band: Band) -> String {
    let (scale, unit) = prefixed(band.most);
    let factor = if scale > 0.0 { band.most / scale } else { 1.0 };
    let (least, most) = (three(band.least / factor), three(band.most / factor));
    if least == most { format!("{least} {unit}") } else { format!("{least} to {most} {unit}") }
}

fn prefixed(ohms: f64) -> (f64, &'static str) {
    match ohms.abs() {
        v if v >= 1e9 => (ohms / 1e9, "GΩ"),
        v if v >= 1e6 => (ohms / 1e6, "MΩ"),
        v if v >= 1e3 => (ohms / 1e3, "kΩ"),
        _ => (ohms, "Ω"),
    }
}

fn three(value: f64) -> String {
    let text = match value.abs() {
        v if v >= 100.0 => format!("{value:.0}"),
        v if v >= 10.0 => format!("{value:.1}"),
        _ => format!("{value:.2}"),
    };
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Milliamperes.
pub fn milliamperes(value: f64) -> String {
    format!("{} mA", number(value))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn volts_are_no_finer_than_a_meter() {
        let told = [89.78, 5.71, -0.644, -125.4, 0.02, -0.0].map(volts);
        assert_eq!(told, ["90 V", "5.7 V", "−0.6 V", "−125 V", "0 V", "0 V"]);
        assert_eq!(volts_band(Band { least: 84.8, most: 94.6 }), "85 to 95 V");
        assert_eq!(volts_band(Band { least: -0.1, most: 0.1 }), "−0.1 to 0.1 V");
    }

    #[test]
    fn ohms_have_three_figures_and_one_unit_a_band() {
        let told = [0.0, 0.355, 150.0, 2_700_014.0, 547e3, 4.5e9].map(ohms);
        assert_eq!(told, ["0 Ω", "0.35 Ω", "150 Ω", "2.7 MΩ", "547 kΩ", "4.5 GΩ"]);
        assert_eq!(ohms_band(Band { least: 2.17e6, most: 3.23e6 }), "2.17 to 3.23 MΩ");
        assert_eq!(ohms_band(Band { least: 0.0, most: 0.0 }), "0 Ω");
    }
}
