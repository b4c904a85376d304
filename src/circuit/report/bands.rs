//! The range in which a voltage reading is well, and what the meter makes of
//! it.
//!
//! First order: every part's tolerance, every tube's spread and the line move
//! each node by their own sensitivity; parts and tubes add by squares, the
//! line adds whole.

use super::{Band, Line, Report, States, resistance};
use crate::circuit::meter::Meter;
use crate::circuit::netlist::Element;
use crate::circuit::solver::Analysis;
use crate::sheet::Sheet;

/// Parts of one by which a tube's current differs from the published one.
/// Source: common practice, no source (charts allow ±20 % over all).
const TUBE_SPREAD: f64 = 0.15;
/// Parts of one by which the line is off while it is held at the nominal.
/// Source: common practice, no source.
const LINE_HELD: f64 = 0.03;
/// Least half-width of a band, volts: below it a reading says nothing.
const LEAST_VOLTS: f64 = 0.1;
/// Volts below which what one part moves a node is followed no further: of 400
/// such parts together no more than the least half-width is left out.
const LEAST_MOVE: f64 = 0.005;
/// The meter where the sheet names none: 10 MΩ on every range.
const USUAL_METER_OHMS: f64 = 10e6;

/// Fills in band, source resistance and the meter's reading of every node.
pub fn fill(
    report: &mut Report,
    sheet: &Sheet,
    states: &States,
    analysis: &mut Analysis,
    line: Line,
) {
    let state = &states.running;
    let net = &state.net;
    let mut square = vec![0.0; analysis.len()];
    let mut visits = 0_usize;
    for (index, elements) in state.model.parts.iter().enumerate() {
        let tolerance = resistance::tolerance(&sheet.parts[index]);
        for element in elements {
            let (from, to, amps) = match *net.element(*element) {
                // A resistor that is off by a part of its value is a current
                // of that part of its own beside it.
                Element::Resistor { a, b, ohms } if ohms > 0.0 => {
                    (b, a, state.solution.between(a, b) / ohms * tolerance)
                }
                Element::Device { plate, cathode, .. } => {
                    let amps = state.solution.electrode_amps(net, *element);
                    (plate, cathode, (amps[0] + amps[2]) * TUBE_SPREAD)
                }
                _ => continue,
            };
            if amps.abs() < 1e-12 {
                continue;
            }
            analysis.spread(from, to, |unknown, volts| {
                let moved = volts * amps;
                square[unknown] += moved * moved;
                visits += 1;
                moved.abs() >= LEAST_MOVE && visits < super::MOST_VISITS
            });
        }
    }
    let meter = Meter { ohms: sheet.header.meter_ohms.unwrap_or(USUAL_METER_OHMS) };
    for (index, node) in report.nodes.iter_mut().enumerate() {
        let (Some(volts), Some(high)) = (node.running_v, node.high_v) else { continue };
        let id = state.model.node(index);
        let per_line = (high - volts).abs() / (line.high - 1.0).max(0.01);
        let spread = analysis.unknown(id).map_or(0.0, |unknown| f64::sqrt(square[unknown]));
        let half = spread + per_line * LINE_HELD;
        let half = half.max(LEAST_VOLTS);
        let source = analysis.resistance(id);
        let shown = |v: f64| source.map_or(v, |ohms| meter.reads(v, ohms.max(0.0)));
        node.source_ohms = source;
        node.meter_v = Some(shown(volts));
        node.band_v = Some(Band { least: shown(volts - half), most: shown(volts + half) });
    }
}
