//! What a resistor that has drifted does to the nearest operating points.
//!
//! Purpose: the running set solved once as the sheet has it and once with the
//! reading in the resistor's place, and the electrodes that move the most. A
//! drift can be large, so both are solved; nothing is taken as straight.
//!
//! Limits: no signal, nominal line, tubes as published.

use super::solver::Solver;
use super::state::{Set, Tubes};
use super::wiring::Wiring;
use crate::order;
use crate::sheet::Sheet;
use crate::trade::tubes::UnitKind;

/// An electrode that moved.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// Which: `plate of V3`.
    pub what: String,
    /// Volts as the sheet has the resistor.
    pub before: f64,
    /// Volts with the reading in its place.
    pub after: f64,
}

/// Volts below which a move says nothing.
const LEAST_VOLTS: f64 = 0.05;

/// The electrodes that move the most, by their own volts, when a resistor has
/// `ohms` instead of its mark; the most moved first. Empty where the circuit
/// cannot be solved or nothing moves.
pub fn drift(sheet: &Sheet, wiring: &Wiring, part: usize, ohms: f64) -> Vec<Moved> {
    solved(sheet, wiring, part, ohms).unwrap_or_default()
}

fn solved(sheet: &Sheet, wiring: &Wiring, part: usize, ohms: f64) -> Option<Vec<Moved>> {
    let set = Set::of(sheet, wiring);
    let elements = set.running.parts.get(part)?.clone();
    // A control is two elements.
    let share = if elements.len() > 1 { 2.0 } else { 1.0 };
    let mut drifted = set.clone();
    for element in &elements {
        drifted.running.net.set_ohms(*element, ohms.clamp(0.0, 1e12) / share).ok()?;
    }
    let mut solver = Solver::new(&set.running.net).ok()?;
    let before = set.state_near(&mut solver, Tubes::Warm, 1.0, None).ok()?;
    let after = drifted.state_near(&mut solver, Tubes::Warm, 1.0, Some((&before, 1.0))).ok()?;
    let mut moved: Vec<(f64, Moved)> = Vec::new();
    for device in &before.model.devices {
        if !matches!(device.kind, UnitKind::Triode | UnitKind::Pentode | UnitKind::Converter) {
            continue;
        }
        let electrodes = [
            ("plate", Some(device.plate)),
            ("screen", device.screen),
            ("cathode", Some(device.cathode)),
            ("grid", device.grid),
        ];
        for (name, node) in electrodes {
            let Some(node) = node else { continue };
            let (Some(before), Some(after)) = (before.volts(node), after.volts(node)) else {
                continue;
            };
            let by = (after - before).abs();
            if by < LEAST_VOLTS {
                continue;
            }
            let what = format!("{name} of {}", sheet.parts[device.part].designator);
            if moved.iter().all(|(_, m)| m.what != what) {
                moved.push((by / before.abs().max(1.0), Moved { what, before, after }));
            }
        }
    }
    order::sort(&mut moved, |(by, _)| order::falling(*by));
    Some(moved.into_iter().map(|(_, moved)| moved).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A triode stage on a battery, its grid tied down: the cathode resistor
    /// sets the point. Held against the same sheet with the other value.
    #[test]
    fn a_drift_moves_the_tube_as_the_sheet_with_that_value_has_it() {
        let text = |ohms: &str| {
            format!(
                "BT1 battery 250 V B1 to chassis\nV1 6J5 2=h 3=pl 5=g 7=h 8=k\nR1 50K pl to B1\n\
                 R2 {ohms} k to chassis\nR3 1 meg g to chassis"
            )
        };
        let sheet = Sheet::read(&text("2000 ohm"));
        let wiring = Wiring::of(&sheet);
        let part = sheet.parts.iter().position(|p| p.key == "R2").unwrap();
        let moved = drift(&sheet, &wiring, part, 4000.0);
        let other = Sheet::read(&text("4000 ohm"));
        let report = crate::circuit::report::report(&other);
        let running = |name: &str| {
            report.nodes.iter().find(|n| n.name == name).and_then(|n| n.running_v).unwrap()
        };
        for (what, node) in [("plate of V1", "pl"), ("cathode of V1", "k")] {
            let found =
                moved.iter().find(|m| m.what == what).unwrap_or_else(|| panic!("{moved:?}"));
            assert!((found.after - running(node)).abs() < 1e-3, "{found:?} {}", running(node));
            assert!(found.after > found.before, "{found:?}");
        }
        assert!(moved.iter().all(|m| m.what != "grid of V1"), "a grid without current stays");
    }

    #[test]
    fn a_set_without_a_supply_has_no_operating_point_to_move() {
        let sheet = Sheet::read("R1 1K a to chassis");
        assert!(drift(&sheet, &Wiring::of(&sheet), 0, 2e3).is_empty());
    }
}
