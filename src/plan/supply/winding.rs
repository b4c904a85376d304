//! The high-voltage winding of a sheet.

use crate::circuit::model::is_power_transformer;
use crate::sheet::Sheet;
use crate::sheet::part::WindingKind;
use crate::trade::quantity::Voltage;

/// The winding that feeds the rectifier.
pub struct Winding {
    /// Volts from end to end.
    pub whole_v: f64,
    /// Whether it has a tap in its middle.
    pub tapped: bool,
    /// Volts of the primary that these belong to.
    pub primary_v: Option<f64>,
}

/// The high-voltage winding: the `supply` line, else the power transformer's
/// highest secondary.
pub fn winding(sheet: &Sheet) -> Option<Winding> {
    let power = sheet.parts.iter().find(|p| is_power_transformer(p));
    let primary_v = power
        .and_then(|p| p.windings.iter().find(|w| w.kind == WindingKind::Primary))
        .and_then(|w| w.volts)
        .map(Voltage::to_f64)
        .filter(|v| *v > 0.0);
    if let Some(whole) = sheet.header.secondary {
        let tapped = sheet.header.centre_tapped;
        return Some(Winding { whole_v: whole.to_f64(), tapped, primary_v });
    }
    // `325-0-325 V` on the transformer's own line, no winding named.
    if let Some(whole) = power.filter(|p| p.rating_ac).and_then(|p| p.rating) {
        return Some(Winding { whole_v: whole.to_f64(), tapped: true, primary_v });
    }
    let secondaries = sheet.parts.iter().filter(|p| is_power_transformer(p)).flat_map(|p| {
        p.windings.iter().filter(|w| w.kind == WindingKind::Secondary && w.volts.is_some())
    });
    let highest = secondaries.max_by_key(|w| w.volts)?;
    let whole_v = highest.volts?.to_f64();
    Some(Winding { whole_v, tapped: highest.tap.is_some(), primary_v })
}
