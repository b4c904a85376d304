//! What every capacitor holds after switching off, and for how long.

use super::{Report, States};
use crate::circuit::discharge::{CapacitorFall, Discharge, Fall, Valve, discharge_through};
use crate::circuit::model::{Assumption, Model};
use crate::circuit::netlist::{Element, ElementId, NodeId};
use crate::circuit::solver::SourcesAs;
use crate::circuit::state::{Set, State};
use crate::sheet::Sheet;
use rustc_hash::{FxHashMap, FxHashSet};
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

/// In which state a capacitor holds the most when the set is switched off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HeldIn {
    /// Tubes cold, at the high line: as when it is switched off at once, or with
    /// a heater open.
    Cold,
    /// Running, at the high line.
    Running,
}

/// Fills in the fall of every capacitor.
///
/// The set is taken with its tubes no longer conducting: the longest case, as
/// when a heater opens. It begins with the higher of two charges: with the
/// tubes cold, and running, both at the high line. Glow regulators that are lit
/// go on until their volts are gone. Of a half-wave doubler the longer of two
/// cases counts: with the rectifier between its capacitors conducting, and
/// without.
pub fn fill(report: &mut Report, sheet: &Sheet, set: &Set, model: &Model, states: &States) {
    let mut lit = FxHashSet::default();
    let Some(cold) = course(set, model, &states.cold, &mut lit) else { return };
    let starts = start_volts(set, model, &states.high);
    let is_higher = |fall: &CapacitorFall| {
        let held = across(&starts, model, fall.element).abs();
        held >= LIMIT_VOLTS && held > fall.start_volts.abs() * HIGHER
    };
    let mut found = cold.clone();
    if cold.falls.iter().any(is_higher) {
        let Some(running) = course(set, model, &states.high, &mut lit) else { return };
        found = cold.higher(&running);
    }
    assume_lit(report, sheet, &lit);
    let held_in = |at: usize, fall: &CapacitorFall| {
        let is_cold = (fall.start_volts - cold.falls[at].start_volts).abs() < 1e-9;
        if is_cold { HeldIn::Cold } else { HeldIn::Running }
    };
    tell(report, sheet, model, &found, held_in);
}

/// How much higher a running charge must be for its course to be followed too.
const HIGHER: f64 = 1.02;

/// The discharge from one state; the regulators that are lit in it are added to
/// `lit`. `None` where the equations have no answer.
fn course(
    set: &Set,
    model: &Model,
    state: &State,
    lit: &mut FxHashSet<usize>,
) -> Option<Discharge> {
    let start = start_volts(set, model, state);
    let through = |valves: &[Valve]| {
        discharge_through(&model.net, &start, LIMIT_VOLTS, SourcesAs::Open, valves)
    };
    let glowing = set.lit(state, model);
    let mut valves: Vec<Valve> = glowing.iter().map(|(_, valve)| *valve).collect();
    let mut found = through(&valves).or_else(|_| through(&[])).ok()?;
    let joining = set.joining(model);
    if !joining.is_empty() {
        valves.extend(joining);
        if let Ok(joined) = through(&valves) {
            found = found.longer(&joined);
        }
    }
    lit.extend(glowing.into_iter().map(|(part, _)| part));
    Some(found)
}

/// The volts of every node of the netlist in a state.
fn start_volts(set: &Set, model: &Model, state: &State) -> Vec<f64> {
    let mut volts = vec![0.0; model.net.node_count()];
    for node in 0..set.wiring.nodes.len() {
        volts[model.node(node).index()] = state.volts(node).unwrap_or(0.0);
    }
    volts
}

/// Volts across a capacitor, by the volts of the nodes.
fn across(volts: &[f64], model: &Model, element: ElementId) -> f64 {
    match *model.net.element(element) {
        Element::Capacitor { a, b, .. } => volts[a.index()] - volts[b.index()],
        _ => 0.0,
    }
}

fn assume_lit(report: &mut Report, sheet: &Sheet, lit: &FxHashSet<usize>) {
    let mut lit: Vec<usize> = lit.iter().copied().collect();
    lit.sort_unstable();
    report.assumed.extend(lit.into_iter().map(|part| {
        let part = &sheet.parts[part];
        let text = format!(
            "{}: taken as lit when the set is switched off; it discharges what it holds down to its \
             own voltage. Dark or out of its socket the fall takes longer",
            part.designator
        );
        Assumption { line: part.line, text }
    }));
}

/// Enters what was found at the capacitors, and the curve of those above the
/// limit.
fn tell(
    report: &mut Report,
    sheet: &Sheet,
    model: &Model,
    found: &Discharge,
    held_in: impl Fn(usize, &CapacitorFall) -> HeldIn,
) {
    let mut curve = Curve { keys: Vec::new(), seconds: found.seconds.clone(), volts: Vec::new() };
    let keys: Vec<String> = report.capacitors.iter().map(|c| c.key.clone()).collect();
    let of_key: FxHashMap<&str, usize> =
        keys.iter().enumerate().map(|(index, key)| (key.as_str(), index)).collect();
    let bleeders = bleeders(model);
    let mut at = 0;
    for (index, part) in sheet.parts.iter().enumerate() {
        for element in &model.parts[index] {
            let Element::Capacitor { a, b, .. } = *model.net.element(*element) else { continue };
            let fall = found.falls[at];
            let course: Vec<f64> = found.volts.iter().map(|row| row[at].abs()).collect();
            let held = held_in(at, &fall);
            at += 1;
            let own = of_key.get(part.key.as_str()).and_then(|i| report.capacitors.get_mut(*i));
            // What floats, or hangs on a supply that is not solved, holds what
            // nobody knows.
            let Some(own) = own.filter(|own| own.stress_v.is_some()) else { continue };
            own.fall = Some(match fall.fall {
                Fall::Below => FallOf::Below,
                Fall::After { seconds } => FallOf::After {
                    seconds,
                    through: bleeders.get(&pair(a, b)).map(|part| sheet.parts[*part].key.clone()),
                },
                Fall::Stays { volts } => FallOf::Stays { volts },
            });
            // Others may lift it before they are empty.
            own.held_v = Some(course.iter().copied().fold(fall.start_volts.abs(), f64::max));
            own.held_in = Some(held);
            if own.fall != Some(FallOf::Below) {
                curve.keys.push(part.key.clone());
                curve.volts.push(course);
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
