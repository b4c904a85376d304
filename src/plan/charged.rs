//! The capacitors whose volts after switching off are not known, and that count
//! as charged.
//!
//! ```
//! use firstglow::{plan::plan, sheet::Sheet};
//! // Nothing says where it goes: it may be a filter.
//! let plan = plan(&Sheet::read("C1 16 mfd 450 V electrolytic"));
//! assert_eq!(plan.circuit.discharge.treat_as_charged, ["C1"]);
//! assert!(!plan.circuit.discharge.is_known);
//! ```
//!
//! Limits: by size and kind; what is small holds too little to hurt.

use super::context::Context;
use super::types::PlannedPart;
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use crate::trade::limits::{SHOCK_V, energy};
use crate::trade::quantity::{Capacitance, Voltage};

/// Joules from which a charge counts, as in the hazard of stored energy.
const LEAST_J: f64 = 0.01;

/// The keys of the capacitors whose fall is not told and that may hold a charge
/// that can hurt.
pub fn charged(sheet: &Sheet, planned: &[PlannedPart], context: &Context) -> Vec<String> {
    let capacitors = sheet.parts.iter().zip(planned);
    capacitors
        .filter(|(part, _)| part.kind == PartKind::Capacitor)
        .filter(|(part, _)| context.capacitor(part).is_none_or(|c| c.fall.is_none()))
        .filter(|(part, planned)| may_hurt(part, planned, context))
        .map(|(part, _)| part.key.clone())
        .collect()
}

/// Whether the highest volts that it may bear leave a charge that can hurt: the
/// mark of an electrolytic, else the highest of the set.
fn may_hurt(part: &Part, planned: &PlannedPart, context: &Context) -> bool {
    let electrolytic = super::dielectric::of(part).is_some_and(|d| d.value.is_electrolytic());
    let mark = part.rating.map(Voltage::to_f64);
    let highest = context.supply.highest_no_load_v;
    let volts = match (electrolytic, mark) {
        (true, Some(mark)) => mark,
        (true, None) => return true,
        (false, mark) => highest.or(mark).unwrap_or(0.0),
    };
    let new = planned.replacement.as_ref().map_or(0.0, |r| r.picofarads * 1e-12);
    let farads = part.capacitance.map_or(0.0, Capacitance::farads).max(new);
    let unsaid = electrolytic && part.capacitance.is_none();
    volts > SHOCK_V && (unsaid || energy(farads, volts) >= LEAST_J)
}
