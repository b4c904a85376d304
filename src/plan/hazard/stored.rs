//! Stored energy: which capacitors hold a charge that can hurt, and how much.

use crate::plan::context::Context;
use crate::plan::text::{figure, input, volts, working};
use crate::plan::told::Told;
use crate::plan::types::{Basis, Hazard, PlannedPart, Severity};
use crate::sheet::part::PartKind;
use crate::trade::limits::{SHOCK_V, energy};
use crate::trade::role::Role;
use crate::trade::role_rule::{RatingRule, rule};
use crate::trade::source::Source;
use rust_decimal::prelude::ToPrimitive;

/// One capacitor that may hold a charge.
#[derive(Debug, Clone, PartialEq)]
pub struct Store {
    /// Its key.
    pub key: String,
    /// Its capacitance, farads: the larger of old and new.
    pub farads: f64,
    /// The voltage it may hold.
    pub volts: f64,
}

impl Store {
    /// Its energy, joules.
    pub fn joules(&self) -> f64 {
        energy(self.farads, self.volts)
    }
}

/// Below this, joules, a charge is not listed.
const LEAST_J: f64 = 0.01;
/// From here up it is a danger, not a warning.
const DANGER_J: f64 = 0.5;

const ENERGY: Source = Source::arithmetic("E = ½·C·V², charge left after switching off");

/// The capacitors that may hold a charge worth naming.
pub fn stores(parts: &[PlannedPart], context: &Context) -> Vec<Store> {
    parts.iter().filter_map(|p| store(p, context)).collect()
}

fn store(part: &PlannedPart, context: &Context) -> Option<Store> {
    if part.kind != PartKind::Capacitor {
        return None;
    }
    let new = part.replacement.as_ref().map_or(0.0, |r| r.picofarads);
    let farads = part.old.picofarads.unwrap_or(0.0).max(new) * 1e-12;
    let known = part.stress.as_ref().map(|s| s.volts);
    let volts = known.or_else(|| held_volts(part, context))?;
    let store = Store { key: part.key.clone(), farads, volts };
    (volts > SHOCK_V && store.joules() >= LEAST_J).then_some(store)
}

/// The voltage a part may hold where the circuit does not tell: the supply's
/// peak where it reaches, the mark where that is all that is known.
fn held_volts(part: &PlannedPart, context: &Context) -> Option<f64> {
    let role = part.role.map(|r| r.value);
    let mark = part.old.rating.and_then(|v| v.volts().to_f64());
    match rule(role).rating {
        RatingRule::Line => Some(context.supply.high_v * std::f64::consts::SQRT_2),
        RatingRule::NoLoad { .. } | RatingRule::TimesNoLoad { .. } => {
            context.supply.no_load_v.or(mark)
        }
        // Audio and radio bypasses charge to a bias, not to their mark.
        RatingRule::Fixed { .. } if role == Some(Role::Buffer) => None,
        RatingRule::Fixed { .. } => mark.filter(|v| *v > 2.0 * SHOCK_V),
    }
}

/// The hazard of stored energy.
pub fn hazards(parts: &[PlannedPart], context: &Context) -> Option<Hazard> {
    let stores = stores(parts, context);
    let highest = stores.iter().map(|s| s.volts).fold(0.0, f64::max);
    let total: f64 = stores.iter().map(Store::joules).sum();
    if stores.is_empty() {
        return None;
    }
    let farads: f64 = stores.iter().map(|s| s.farads).sum();
    let inputs = vec![
        input("capacitance in all", Told::Figure(farads * 1e6, "µF"), Basis::Computed),
        input("highest voltage", volts(highest), Basis::Computed),
    ];
    let result = format!("{} J in all", figure(total));
    let each = working("stored energy", inputs, "½·C·V² of each, added", result, ENERGY);
    Some(Hazard {
        id: "stored-energy".to_owned(),
        title: "Charge that stays after switching off".to_owned(),
        severity: if total >= DANGER_J { Severity::Danger } else { Severity::Warning },
        what_can_happen: format!(
            "The capacitors listed may hold {} J at up to {} with the plug out, for hours where \
             nothing discharges them. That can stop a heart or throw a hand into something worse.",
            figure(total),
            volts(highest)
        ),
        what_to_do: "Discharge each across its own leads through the resistor of the power-up's \
                     last steps, never by a short, and measure below 10 V before a hand goes in. \
                     Measure again after five minutes: some of it comes back."
            .to_owned(),
        parts: stores.into_iter().map(|s| s.key).collect(),
        working: vec![each],
    })
}

#[cfg(test)]
mod tests {
    use crate::plan::plan;
    use crate::plan::support::{capacitor, series_string, transformer};
    use crate::plan::types::Severity;

    #[test]
    fn filters_are_listed_with_their_joules_and_bypasses_are_not() {
        let plan = plan(&transformer(
            "700",
            vec![
                capacitor("C1", "16", "450"),
                capacitor("C2", "25", "25"),
                capacitor("C3", "0.05", "400"),
            ],
        ));
        let hazard = plan.hazards.iter().find(|h| h.id == "stored-energy").unwrap();
        assert_eq!(hazard.severity, Severity::Danger);
        assert_eq!(hazard.parts, ["C1"]);
        // 16 µF at 529 V.
        assert_eq!(hazard.working[0].result, "2.24 J in all");
    }

    #[test]
    fn a_set_without_large_capacitors_has_no_such_hazard() {
        let plan = plan(&series_string(vec![capacitor("C3", "0.05", "400")]));
        assert!(plan.hazards.iter().all(|h| h.id != "stored-energy"));
    }
}
