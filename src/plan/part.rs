//! The start of a planned part: what its line says of the old one.
//!
//! ```
//! use firstglow::plan::{part::begin, types::Decision};
//! use firstglow::sheet::part::{Designator, Part, PartKind};
//! let name = Designator { letters: "F".into(), number: 1, section: None };
//! let planned = begin(&Part::new("F1", name, PartKind::Fuse), Decision::Keep, "It is new.".into());
//! assert_eq!(planned.key, "F1");
//! ```
//!
//! Limits: everything else is filled in by the planner of its kind.

use super::types::{Basis, Decision, Finding, OldPart, PlannedPart};
use crate::sheet::part::{Part, PartKind};
use crate::trade::quantity::{Capacitance, Resistance};

/// A planned part that carries nothing yet but its line and a decision.
pub fn begin(part: &Part, decision: Decision, reason: String) -> PlannedPart {
    PlannedPart {
        key: part.key.clone(),
        designator: part.designator.clone(),
        kind: part.kind,
        line: part.line,
        decision,
        reason,
        role: None,
        old: old(part),
        replacement: None,
        checks: Vec::new(),
        hazards: Vec::new(),
        working: Vec::new(),
        area: part.area.clone(),
        stress: None,
        no_load: None,
        required_insulation: None,
        discharge: None,
        watts: None,
    }
}

fn old(part: &Part) -> OldPart {
    let value = match part.kind {
        PartKind::Capacitor | PartKind::VariableCapacitor => {
            part.capacitance.map(|c| c.to_string())
        }
        PartKind::Tube => part.tube.clone(),
        PartKind::Fuse | PartKind::DryRectifier => part.current.map(|i| i.to_string()),
        _ => part.resistance.map(|r| r.to_string()),
    };
    OldPart {
        text: part.mark.clone(),
        value,
        picofarads: part.capacitance.map(Capacitance::to_f64),
        ohms: part.resistance.map(Resistance::to_f64),
        rating: part.rating,
        dielectric: None,
        tolerance: part.tolerance.map(|value| Finding { value, basis: Basis::Stated }),
    }
}
