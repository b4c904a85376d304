//! How much a leak in each capacitor matters where it stands.
//!
//! A leak is a current from its higher to its lower lead. The solver tells how
//! far each grid, screen and supply point moves per ampere of it; the first of
//! them to leave what it may bear sets the insulation the part must have.

use super::{Report, States, stress};
use crate::circuit::netlist::NodeId;
use crate::circuit::solver::Solver;
use crate::circuit::state::Set;
use crate::sheet::Sheet;
use crate::sheet::part::Part;
use crate::trade::tubes::UnitKind;
use std::collections::HashMap;

/// Volts that a control grid may move. Source: common practice, no source (a
/// coupling capacitor passes with less than 0.1 V on the next grid leak).
const GRID_VOLTS: f64 = 0.1;
/// Parts of its voltage that a screen, plate or supply point may move.
/// Source: own choice, a quarter of what charts allow.
const SUPPLY_PART: f64 = 0.05;
/// Volts across a part below which a leak does nothing worth a limit.
const LEAST_VOLTS: f64 = 0.5;

/// A point that a leak may move.
struct Watched {
    node: NodeId,
    name: String,
    allowed: f64,
}

/// Fills in what a leak in each capacitor moves.
pub fn fill(report: &mut Report, sheet: &Sheet, set: &Set, states: &States) {
    let state = &states.running;
    let Ok(mut solver) = Solver::new(&state.model.net) else { return };
    let Ok(mut analysis) = solver.analyse(&state.model.net, &state.solution) else { return };
    let watched = watched(sheet, set, states);
    let parts: HashMap<&str, &Part> = sheet.parts.iter().map(|p| (p.key.as_str(), p)).collect();
    for report in &mut report.capacitors {
        let Some(part) = parts.get(report.key.as_str()) else { continue };
        let Some((a, b)) = set.wiring.leads(part) else { continue };
        let Some(volts) = stress::across(set, part, state) else { continue };
        if volts.abs() < LEAST_VOLTS {
            continue;
        }
        let (high, low) = if volts > 0.0 { (a, b) } else { (b, a) };
        let moved = analysis.spread_of_current(state.model.node(high), state.model.node(low));
        let worst = watched
            .iter()
            .map(|w| (w, moved[w.node.index()].abs()))
            .filter(|(_, per_amp)| *per_amp > 0.0)
            .min_by(|(a, x), (b, y)| (a.allowed / x).total_cmp(&(b.allowed / y)));
        if let Some((point, per_amp)) = worst {
            let amps = point.allowed / per_amp;
            report.required_insulation = Some(volts.abs() / amps);
            report.leak_moves = Some(point.name.clone());
            report.leak_v_per_ua = Some(per_amp * 1e-6);
            report.leak_allowed_v = Some(point.allowed);
        }
    }
}

/// Every grid, screen, plate and supply point, with how far it may move.
fn watched(sheet: &Sheet, set: &Set, states: &States) -> Vec<Watched> {
    let state = &states.running;
    let mut all: Vec<Watched> = Vec::new();
    let mut push = |node: usize, name: String, allowed: f64| {
        let id = state.model.node(node);
        if id != NodeId::GROUND && !all.iter().any(|w| w.node == id && w.allowed <= allowed) {
            all.push(Watched { node: id, name, allowed });
        }
    };
    for device in &state.model.devices {
        let amplifies =
            matches!(device.kind, UnitKind::Triode | UnitKind::Pentode | UnitKind::Converter);
        if !amplifies {
            continue;
        }
        let name = &sheet.parts[device.part].designator;
        if let Some(grid) = device.grid {
            push(grid, format!("grid of {name}"), GRID_VOLTS);
        }
        for (what, node) in [("screen", device.screen), ("plate", Some(device.plate))] {
            if let Some(node) = node
                && let Some(volts) = state.volts(node)
            {
                push(
                    node,
                    format!("{what} of {name}"),
                    (volts.abs() * SUPPLY_PART).max(GRID_VOLTS),
                );
            }
        }
    }
    for feed in &set.feeds {
        if let Some(volts) = state.volts(feed.output) {
            let name = set.wiring.nodes[feed.output].name.clone();
            push(feed.output, name, (volts.abs() * SUPPLY_PART).max(GRID_VOLTS));
        }
    }
    all
}
