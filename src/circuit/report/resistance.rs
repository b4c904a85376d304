//! What an ohmmeter reads from every node to the reference, power off.

use super::{Band, Report};
use crate::circuit::model::Model;
use crate::circuit::netlist::{Element, NodeId};
use crate::circuit::solver::{Ohmmeter, SourcesAs};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};

/// Percent taken where the sheet gives no tolerance: carbon composition without
/// a band is ±20 %. Source: IEC 60062, from memory.
const USUAL_PERCENT: f64 = 20.0;
/// Percent of windings, whose resistance is a printed round figure.
/// Source: common practice, no source.
const WINDING_PERCENT: f64 = 20.0;
/// Percent of heaters, lamps and what else is warm or cold.
/// Source: common practice, no source.
const HEATER_PERCENT: f64 = 40.0;
/// Percent that an ohmmeter itself may err. Source: common practice, no source.
const METER_PERCENT: f64 = 3.0;

/// The tolerance of a part's resistance, in parts of one.
pub fn tolerance(part: &Part) -> f64 {
    let marked = part.tolerance.map(|t| {
        let above = t.above.max(t.below);
        rust_decimal::prelude::ToPrimitive::to_f64(&above).unwrap_or(USUAL_PERCENT)
    });
    let usual = match part.kind {
        PartKind::Resistor | PartKind::Potentiometer | PartKind::ResistanceCord => USUAL_PERCENT,
        PartKind::Tube | PartKind::Lamp => HEATER_PERCENT,
        _ => WINDING_PERCENT,
    };
    marked.unwrap_or(usual) / 100.0
}

/// The part of a reading below which what one resistor's tolerance moves is
/// left out: ten of them together are less than the meter's own error.
const LEAST_PART: f64 = 0.005;

/// Fills in the ohms of every node and their bands.
pub fn fill(report: &mut Report, sheet: &Sheet, model: &Model) {
    let Ok(mut meter) = Ohmmeter::new(&model.net, SourcesAs::Open) else { return };
    let ohms: Vec<Option<f64>> = (0..meter.len()).map(|unknown| meter.to_ground(unknown)).collect();
    let mut square = vec![0.0_f64; meter.len()];
    for (a, b, own, tolerance) in resistances(sheet, model) {
        meter.spread(a, b, |unknown, volts| {
            let moved = volts * volts / own * tolerance;
            square[unknown] += moved * moved;
            ohms[unknown].is_some_and(|ohms| moved >= LEAST_PART * ohms)
        });
    }
    for (index, node) in report.nodes.iter_mut().enumerate() {
        let id = model.node(index);
        let unknown = meter.unknown(id);
        let Some(ohms) = unknown.map_or(Some(0.0), |unknown| ohms[unknown]) else { continue };
        let spread = unknown.map_or(0.0, |unknown| square[unknown].sqrt());
        let error = spread + ohms * METER_PERCENT / 100.0;
        node.ohms = Some(ohms);
        node.band_ohms = Some(Band { least: (ohms - error).max(0.0), most: ohms + error });
    }
}

/// Every resistance with its nodes, ohms and tolerance.
fn resistances(sheet: &Sheet, model: &Model) -> Vec<(NodeId, NodeId, f64, f64)> {
    let mut all = Vec::new();
    for (index, elements) in model.parts.iter().enumerate() {
        let tolerance = tolerance(&sheet.parts[index]);
        for element in elements {
            if let Element::Resistor { a, b, ohms } = *model.net.element(*element)
                && ohms > 0.0
            {
                all.push((a, b, ohms, tolerance));
            }
        }
    }
    all
}
