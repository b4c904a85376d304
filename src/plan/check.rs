//! What to measure on a part that stays, and the limits that pass it.
//!
//! ```
//! use firstglow::plan::check::band;
//! use firstglow::trade::quantity::Tolerance;
//! assert_eq!(band(470_000.0, &Tolerance::symmetric(20.into())), (376_000.0, 564_000.0));
//! ```
//!
//! Limits: practice, not a standard; leakage is judged at the rated voltage,
//! which few ohmmeters reach.

use super::fit::Old;
use super::resistor::ohms_text;
use super::text::{figure, volts};
use super::types::{Check, Decision, Insulation};
use crate::sheet::part::Part;
use crate::trade::dielectric::Dielectric;
use crate::trade::fresh::OLD_AMPS_PER_FARAD;
use crate::trade::quantity::{Capacitance, Tolerance};
use crate::trade::role::Role;
use rust_decimal::{Decimal, prelude::ToPrimitive};

/// The checks on a capacitor that stays or was fitted new.
pub fn capacitor(
    part: &Part,
    value: Capacitance,
    old: &Old,
    decision: Decision,
    needed: Option<&Insulation>,
) -> Vec<Check> {
    match decision {
        Decision::Test | Decision::Keep => {
            vec![capacitance(part, value, old), insulation(part, old, needed)]
        }
        _ => Vec::new(),
    }
}

/// The least and greatest of a value under a tolerance.
pub fn band(value: f64, tolerance: &Tolerance) -> (f64, f64) {
    let share = |percent: Decimal| percent.to_f64().unwrap_or(0.0) / 100.0;
    let least = value * (1.0 - share(tolerance.below)).max(0.0);
    (least, value * (1.0 + share(tolerance.above)))
}

fn capacitance(part: &Part, value: Capacitance, old: &Old) -> Check {
    let usual = if old.dielectric == Some(Dielectric::Ceramic) { (20, 100) } else { (20, 20) };
    let tuned = matches!(old.role.map(|r| r.value), Some(Role::Tuned | Role::Padder));
    let usual = if tuned { (5, 5) } else { usual };
    let tolerance = part
        .tolerance
        .unwrap_or(Tolerance { below: Decimal::from(usual.0), above: Decimal::from(usual.1) });
    let (least, most) = band(value.to_f64(), &tolerance);
    Check {
        what: format!(
            "Capacitance with one lead lifted, {tolerance}{}. A reading far above the mark means \
             leakage, not more capacitance.",
            if part.tolerance.is_some() { " as marked" } else { " assumed" }
        ),
        least: Some(capacitance_text(least)),
        most: Some(capacitance_text(most)),
    }
}

/// `0.047 µF` or `250 pF` from picofarads.
pub fn capacitance_text(picofarads: f64) -> String {
    if picofarads >= 1000.0 {
        format!("{} µF", figure(picofarads / 1e6))
    } else {
        format!("{} pF", figure(picofarads))
    }
}

/// Ohms of insulation that pass where the circuit does not tell them: many
/// where a leak would move a grid or reach metal. Source: common practice, no
/// source.
pub fn usual_insulation(role: Option<Role>) -> f64 {
    let strict = matches!(
        role,
        None | Some(
            Role::Coupling
                | Role::GridCoupling
                | Role::Avc
                | Role::AcrossLine
                | Role::LineToChassis
                | Role::BMinusToChassis
                | Role::AntennaIsolation
                | Role::GroundIsolation
                | Role::TouchIsolation
        )
    );
    if strict { 500e6 } else { 50e6 }
}

/// Insulation, as the place asks for it.
fn insulation(part: &Part, old: &Old, needed: Option<&Insulation>) -> Check {
    if old.dielectric.is_some_and(Dielectric::is_electrolytic) {
        return Check {
            what: "Leakage at its rated voltage, after five minutes, falling; 0.1 mA a µF passes."
                .to_owned(),
            least: None,
            most: Some(format!("{} mA", figure(old.value.farads() * OLD_AMPS_PER_FARAD * 1e3))),
        };
    }
    let at = part.rating.map_or_else(|| "its working voltage".to_owned(), |v| v.to_string());
    if let Some(needed) = needed {
        return Check {
            what: format!(
                "Insulation at {at} after one minute, one lead lifted: a leak here moves the {} \
                 by no more than {}.",
                needed.moves,
                volts(needed.allowed_v)
            ),
            least: Some(ohms_text(needed.ohms)),
            most: None,
        };
    }
    Check {
        what: format!("Insulation at {at} after one minute, one lead lifted."),
        least: Some(ohms_text(usual_insulation(old.role.map(|r| r.value)))),
        most: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::support::capacitor as made;

    #[test]
    fn a_marked_tolerance_sets_the_window() {
        let mut part = made("C1", "0.00025", "500");
        part.tolerance = Some(Tolerance::symmetric(Decimal::from(5)));
        let old = Old {
            value: part.capacitance.unwrap(),
            dielectric: Some(Dielectric::Mica),
            role: None,
        };
        let checks = capacitor(&part, old.value, &old, Decision::Test, None);
        assert_eq!(checks[0].least.as_deref(), Some("238 pF"));
        assert_eq!(checks[0].most.as_deref(), Some("262 pF"));
        assert_eq!(checks[1].least.as_deref(), Some("500 MΩ"));
        assert!(capacitor(&part, old.value, &old, Decision::Replace, None).is_empty());
    }
}
