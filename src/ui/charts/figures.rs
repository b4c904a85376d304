//! Figures as a person reads them off a meter.

use crate::circuit::report::Band;

/// Volts: tenths below ten, whole above, a true minus sign.
pub fn volts(value: f64) -> String {
    format!("{} V", number(value))
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
