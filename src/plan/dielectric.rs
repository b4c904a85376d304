//! What an old capacitor is made of: as stated, else by the trade's habit.
//!
//! ```
//! use firstglow::plan::dielectric::of;
//! use firstglow::sheet::part::{Designator, Part, PartKind};
//! use firstglow::trade::{dielectric::Dielectric, quantity::Capacitance};
//! let name = Designator { letters: "C".into(), number: 7, section: None };
//! let mut part = Part::new("C7", name, PartKind::Capacitor);
//! part.capacitance = Capacitance::from_microfarads("0.05".parse().unwrap()).ok();
//! assert_eq!(of(&part).unwrap().value, Dielectric::Paper);
//! ```
//!
//! Limits: habit only; a look at the part settles it, and the sheet can say.

use super::text::{input, working};
use super::types::{Basis, Finding, Input, Working};
use crate::notation::kinds::VARIABLE_PF;
use crate::sheet::part::{Make, Part, PartKind};
use crate::trade::dielectric::Dielectric;
use crate::trade::role::Role;
use crate::trade::safety::SafetyClass;
use crate::trade::source::Source;
use rust_decimal::Decimal;

const HABIT: Source = Source::practice("what sets of the period used for such a value and rating");

/// From here up, picofarads, a capacitor is taken as electrolytic whatever its rating.
const ELECTROLYTIC_PF: i64 = 3_000_000;
/// From here up it is so at low ratings.
const LOW_VOLTAGE_PF: i64 = 1_000_000;
/// Below this, picofarads, it is taken as mica.
const MICA_PF: i64 = 1_000;
/// Above this, picofarads, none was made of mica for a tuned circuit.
const MOST_MICA_PF: i64 = 20_000;
/// A rating, volts, that a large paper block would not have had.
const PAPER_BLOCK_V: i64 = 150;

/// The dielectric and how it is known; `None` where value and words say nothing.
pub fn of(part: &Part) -> Option<Finding<Dielectric>> {
    let stated = part.dielectric.filter(|d| *d != Dielectric::Air || is_variable_value(part));
    if let Some(value) = stated {
        return Some(Finding { value, basis: Basis::Stated });
    }
    let value = by_words(part).or_else(|| by_role(part)).or_else(|| by_value(part))?;
    Some(Finding { value, basis: Basis::Inferred })
}

/// Whether a part's value is one that variable capacitors are made in, or is
/// not known.
fn is_variable_value(part: &Part) -> bool {
    part.capacitance.is_none_or(|c| c.picofarads() <= Decimal::from(VARIABLE_PF))
}

/// How the dielectric was reached.
pub fn explain(part: &Part, found: Finding<Dielectric>) -> Working {
    let label = found.value.label();
    if found.basis == Basis::Stated {
        let inputs = vec![input("sheet", label, Basis::Stated)];
        return working("dielectric", inputs, "as stated", label, Source::sheet());
    }
    let rule = if by_words(part).is_some() {
        "by the kind of part and the class on its line"
    } else if by_role(part).is_some() {
        "by its role: filters and audio cathode bypasses were electrolytic, tuned parts mica"
    } else {
        "by habit: below 1000 pF mica, to 1 µF paper, from 3 µF electrolytic; between, \
         electrolytic up to 150 V and paper above"
    };
    working("dielectric", marks(part), rule, format!("{label}, inferred"), HABIT)
}

/// What the line says that a habit can go by.
fn marks(part: &Part) -> Vec<Input> {
    let mut inputs = Vec::new();
    if let Some(value) = part.capacitance {
        inputs.push(input("old value", value, Basis::Stated));
    }
    if let Some(rating) = part.rating {
        inputs.push(input("old rating", rating, Basis::Stated));
    }
    if let Some(role) = part.role {
        inputs.push(input("role", role.label(), Basis::Stated));
    }
    inputs
}

fn by_words(part: &Part) -> Option<Dielectric> {
    if part.kind == PartKind::VariableCapacitor {
        return Some(Dielectric::Air);
    }
    match part.class? {
        SafetyClass::X1 | SafetyClass::X2 => Some(Dielectric::Film),
        SafetyClass::Y1 | SafetyClass::Y2 => Some(Dielectric::Ceramic),
    }
}

fn by_role(part: &Part) -> Option<Dielectric> {
    let large = part.capacitance.is_none_or(|c| c.picofarads() >= Decimal::from(LOW_VOLTAGE_PF));
    let mica = part.capacitance.is_none_or(|c| c.picofarads() <= Decimal::from(MOST_MICA_PF));
    match part.role? {
        Role::Reservoir
        | Role::Smoothing
        | Role::Decoupling
        | Role::Doubler
        | Role::BiasBypass
        | Role::CathodeBypassAudio
            if large =>
        {
            Some(Dielectric::Electrolytic)
        }
        Role::Tuned | Role::Padder if mica => Some(Dielectric::Mica),
        _ => None,
    }
}

fn by_value(part: &Part) -> Option<Dielectric> {
    let value = part.capacitance?.picofarads();
    let low = part.rating.is_some_and(|v| v.volts() <= Decimal::from(PAPER_BLOCK_V));
    let electrolytic =
        value >= Decimal::from(ELECTROLYTIC_PF) || value >= Decimal::from(LOW_VOLTAGE_PF) && low;
    Some(if value < Decimal::from(MICA_PF) {
        Dielectric::Mica
    } else if electrolytic && !part.is_made(Make::NonPolarised) {
        Dielectric::Electrolytic
    } else {
        Dielectric::Paper
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::support::capacitor;

    #[test]
    fn habit_goes_by_value_and_rating() {
        for (value, rating, made_of) in [
            ("0.00025", "", Dielectric::Mica),
            ("0.001", "600", Dielectric::Paper),
            ("0.05", "400", Dielectric::Paper),
            ("1", "400", Dielectric::Paper),
            ("1", "50", Dielectric::Electrolytic),
            ("2", "400", Dielectric::Paper),
            ("8", "450", Dielectric::Electrolytic),
            ("40", "", Dielectric::Electrolytic),
        ] {
            let found = of(&capacitor("C1", value, rating)).unwrap();
            assert_eq!((found.value, found.basis), (made_of, Basis::Inferred), "{value} {rating}");
        }
    }

    #[test]
    fn what_is_stated_stands() {
        let mut part = capacitor("C1", "0.05", "400");
        part.dielectric = Some(Dielectric::Ceramic);
        let found = of(&part).unwrap();
        assert_eq!((found.value, found.basis), (Dielectric::Ceramic, Basis::Stated));
        assert_eq!(explain(&part, found).result, "ceramic");
    }

    #[test]
    fn a_class_or_a_role_speaks_before_the_value() {
        let mut part = capacitor("C1", "0.01", "");
        part.class = Some(SafetyClass::Y2);
        assert_eq!(of(&part).unwrap().value, Dielectric::Ceramic);
        part.class = None;
        part.role = Some(Role::Smoothing);
        // No electrolytic was made so small, whatever its line calls it.
        assert_eq!(of(&part).unwrap().value, Dielectric::Paper);
        part.role = Some(Role::Padder);
        assert_eq!(of(&part).unwrap().value, Dielectric::Mica);
        let mut part = capacitor("C1", "2", "400");
        part.role = Some(Role::Smoothing);
        assert_eq!(of(&part).unwrap().value, Dielectric::Electrolytic);
    }
}
