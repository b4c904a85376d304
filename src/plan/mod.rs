//! From a sheet to its plan: what to replace and by what, what can hurt, what
//! to buy, in what order to power up.
//!
//! Pure functions: the same sheet gives the same plan.
//!
//! ```
//! use firstglow::{plan::plan, sheet::Sheet};
//! let plan = plan(&Sheet::default());
//! assert!(plan.parts.is_empty());
//! assert!(!plan.power_up.is_empty());
//! ```
//!
//! Limits: a part's replacement follows from its own line, from the supply, and
//! from the circuit that its two places are joined to: a part on nodes of its
//! own changes no other's. Where the circuit tells no stress, the no-load peak
//! of the supply stands in.

pub mod can;
pub mod capacitor;
pub mod charged;
pub mod check;
pub mod cleaning;
pub mod context;
pub mod dielectric;
pub mod doubler;
pub mod fit;
pub mod group;
pub mod hands;
pub mod hazard;
pub mod notes;
pub mod on_lamp;
pub mod pair;
pub mod part;
pub mod peak;
pub mod polarity;
pub mod power_up;
pub mod rating;
pub mod refusal;
pub mod resistor;
pub mod role;
pub mod safety;
pub mod special;
pub mod stress;
pub mod string;
pub mod supply;
#[cfg(test)]
pub(crate) mod support;
pub mod text;
pub mod told;
pub mod types;
pub mod value;
pub mod verdict;
pub mod work;

use crate::notation::note::Note;
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use context::Context;
use types::{Circuit, Plan, PlannedPart, SupplyFinding};

/// The plan of a set.
pub fn plan(sheet: &Sheet) -> Plan {
    let context = Context::of(sheet);
    let mut parts = Vec::with_capacity(sheet.parts.len());
    let mut of_parts = Vec::new();
    for part in &sheet.parts {
        let (planned, notes) = plan_part(part, &context);
        parts.push(planned);
        of_parts.extend(notes);
    }
    let charged = charged::charged(sheet, &parts, &context);
    let hazards = hazard::hazards(sheet, &mut parts, &charged, &context);
    let groups = group::groups(&parts);
    let power_up = power_up::power_up(sheet, &parts, &charged, &context);
    let Context { supply, circuit, .. } = context;
    let notes = notes::notes(sheet, &supply, of_parts, &circuit);
    let mut supply = SupplyFinding {
        supplies: circuit.supplies.clone(),
        unsolved: circuit.unsolved.clone(),
        rectifiers: circuit.rectifiers.clone(),
        ..supply.finding
    };
    supply.working.extend(supply::workings(&supply.supplies));
    let circuit = Circuit::of(circuit, &charged);
    Plan { parts, groups, hazards, power_up, charged, notes, supply, circuit }
}

fn plan_part(part: &Part, context: &Context) -> (PlannedPart, Vec<Note>) {
    match part.kind {
        PartKind::Capacitor | PartKind::VariableCapacitor => capacitor::plan(part, context),
        PartKind::Resistor | PartKind::Potentiometer => resistor::plan(part, context),
        _ => special::plan(part, context),
    }
}
