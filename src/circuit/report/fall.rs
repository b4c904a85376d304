//! What every capacitor holds after switching off, and for how long.

use super::{Report, States};
use crate::circuit::discharge::{Fall, Valve, discharge_through};
use crate::circuit::model::{Assumption, Model};
use crate::circuit::netlist::{Element, NodeId};
use crate::circuit::solver::SourcesAs;
use crate::circuit::state::Set;
use crate::sheet::Sheet;
use rustc_hash::FxHashMap;
use serde::Serialize;

/// Volts below which a capacitor counts as discharged on the way; hands go in
/// below 10 V. Source: common practice, no source.
pub const LIMIT_VOLTS: f64 = 50.0;

/// The fall of one capacitor.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum FallOf {
    /// It never holds as much.
    Below,
    /// It is below 50 V after this time.
    After {
        /// Seconds since switching off.
        seconds: f64,
        /// The part that takes most of its charge.
        through: Option<String>,
    },
    /// Nothing discharges it.
    Stays {
        /// Volts it keeps.
        volts: f64,
    },
}

/// The fall of the capacitors that start above 50 V.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Curve {
    /// Keys of the capacitors.
    pub keys: Vec<String>,
    /// Seconds since switching off.
    pub seconds: Vec<f64>,
    /// Volts at each of these times, by capacitor.
    pub volts: Vec<Vec<f64>>,
}

/// Fills in the fall of every capacitor.
///
/// The set is taken with its tubes no longer conducting: the longest case, as
/// when a heater opens. Glow regulators that are lit go on until their volts are
/// gone. Of a half-wave doubler the longer of two cases counts: with the
/// rectifier between its capacitors conducting, and without.
pub fn fill(report: &mut Report, sheet: &Sheet, set: &Set, model: &Model, states: &States) {
    let high = &states.high;
    let start: Vec<f64> = {
        let mut volts = vec![0.0; model.net.node_count()];
        for node in 0..set.wiring.nodes.len() {
            volts[model.node(node).index()] = high.volts(node).unwrap_or(0.0);
        }
        volts
    };
    let through = |valves: &[Valve]| {
        discharge_through(&model.net, &start, LIMIT_VOLTS, SourcesAs::Open, valves)
    };
    let lit = set.lit(high, model);
    let mut valves: Vec<Valve> = lit.iter().map(|(_, valve)| *valve).collect();
    let Ok(mut found) = through(&valves).or_else(|_| through(&[])) else { return };
    let joining = set.joining(model);
    if !joining.is_empty() {
        valves.extend(joining);
        if let Ok(joined) = through(&valves) {
            found = found.longer(&joined);
        }
    }
    report.assumed.extend(lit.iter().map(|(part, _)| {
        let part = &sheet.parts[*part];
        let text = format!(
            "{}: taken as lit when the set is switched off; it discharges what it holds down to its \
             own voltage. Dark or out of its socket the fall takes longer",
            part.designator
        );
        Assumption { line: part.line, text }
    }));
    let mut curve = Curve { keys: Vec::new(), seconds: found.seconds.clone(), volts: Vec::new() };
    let keys: Vec<String> = report.capacitors.iter().map(|c| c.key.clone()).collect();
    let of_key: FxHashMap<&str, usize> =
        keys.iter().enumerate().map(|(index, key)| (key.as_str(), index)).collect();
    let across = bleeders(model);
    let unknown: FxHashMap<NodeId, bool> = (0..set.wiring.nodes.len())
        .map(|node| (model.node(node), !set.running.is_known(set.running.node(node))))
        .collect();
    let mut at = 0;
    for (index, part) in sheet.parts.iter().enumerate() {
        for element in &model.parts[index] {
            let Element::Capacitor { a, b, .. } = *model.net.element(*element) else { continue };
            let fall = found.falls[at];
            at += 1;
            // What holds volts that are not known falls from no volts at all.
            let known = |node| !unknown.get(&node).copied().unwrap_or(false);
            if !known(a) || !known(b) {
                continue;
            }
            let tells = match fall.fall {
                Fall::Below => FallOf::Below,
                Fall::After { seconds } => FallOf::After {
                    seconds,
                    through: across.get(&pair(a, b)).map(|part| sheet.parts[*part].key.clone()),
                },
                Fall::Stays { volts } => FallOf::Stays { volts },
            };
            if let Some(own) =
                of_key.get(part.key.as_str()).and_then(|i| report.capacitors.get_mut(*i))
            {
                own.fall = Some(tells);
            }
            if fall.start_volts.abs() >= LIMIT_VOLTS {
                curve.keys.push(part.key.clone());
                curve.volts.push(found.volts.iter().map(|row| row[at - 1].abs()).collect());
            }
        }
    }
    if !curve.keys.is_empty() {
        report.curve = Some(curve);
    }
}

/// Two nodes, the lower first.
fn pair(a: NodeId, b: NodeId) -> (NodeId, NodeId) {
    (a.min(b), a.max(b))
}

/// The part of least resistance that joins two nodes, by the nodes.
fn bleeders(model: &Model) -> FxHashMap<(NodeId, NodeId), usize> {
    let mut best: FxHashMap<(NodeId, NodeId), (f64, usize)> = FxHashMap::default();
    for (index, elements) in model.parts.iter().enumerate() {
        for element in elements {
            if let Element::Resistor { a, b, ohms } = *model.net.element(*element) {
                let own = best.entry(pair(a, b)).or_insert((ohms, index));
                if ohms < own.0 {
                    *own = (ohms, index);
                }
            }
        }
    }
    best.into_iter().map(|(nodes, (_, index))| (nodes, index)).collect()
}

#[cfg(test)]
mod tests {
    use crate::circuit::report::report;
    use crate::sheet::Sheet;
    use crate::sheet::examples::EXAMPLES;

    #[test]
    fn every_curve_has_a_figure_for_every_time_and_begins_at_its_own_voltage() {
        for example in &EXAMPLES {
            let report = report(&Sheet::read(example.text));
            let curve = report.curve.expect("the examples hold charge");
            assert_eq!(curve.keys.len(), curve.volts.len(), "{}", example.id);
            for (key, volts) in curve.keys.iter().zip(&curve.volts) {
                assert_eq!(volts.len(), curve.seconds.len(), "{} {key}", example.id);
                assert!(volts[0] >= super::LIMIT_VOLTS, "{} {key}", example.id);
            }
        }
    }
}
