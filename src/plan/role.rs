//! What a capacitor does: as stated, else by the places it is wired to, else
//! by the trade's habit.
//!
//! A part that bridges the line is planned as such even where its line names
//! another role: the place decides.
//!
//! ```
//! use firstglow::plan::{context::Context, role::find};
//! use firstglow::sheet::Sheet;
//! use firstglow::trade::role::Role;
//! let sheet = Sheet::read("C9 .05 400 V line to neutral");
//! let found = find(&sheet.parts[0], None, &Context::of(&sheet));
//! assert_eq!(found.role.unwrap().value, Role::AcrossLine);
//! ```
//!
//! Limits: where the sheet states another role than the place gives, both are
//! told and the stated one decides, but at line places.

use super::context::Context;
use super::text::{input, working};
use super::types::{Basis, Finding, Input, Working};
use crate::circuit::roles::Placed;
use crate::sheet::SupplyKind;
use crate::sheet::part::{Part, PartKind};
use crate::trade::dielectric::Dielectric;
use crate::trade::role::Role;
use crate::trade::safety::SafetyClass;
use crate::trade::source::Source;
use rust_decimal::Decimal;

const PLACED: Source = Source::practice("a capacitor's role follows from what its leads join");
const HABIT: Source =
    Source::practice("what a capacitor of such a kind, value and rating usually does");

/// The role of a part, and how it was reached.
#[derive(Debug, Clone, PartialEq)]
pub struct RoleFound {
    /// The role; `None` where nothing tells it.
    pub role: Option<Finding<Role>>,
    /// How it was reached.
    pub working: Option<Working>,
    /// A stated role that the place overrules.
    pub overruled: Option<Role>,
    /// Another role that the place would give, where the stated one decides.
    pub other: Option<Placed>,
}

/// Finds the role of a capacitor.
pub fn find(part: &Part, dielectric: Option<Dielectric>, context: &Context) -> RoleFound {
    let placed = context.placed(part);
    if part.kind == PartKind::VariableCapacitor {
        return match placed.filter(|place| place.role != Role::Tuning) {
            Some(place) => by_place(part, place),
            None => stated(Role::Tuning, part.role.is_some()),
        };
    }
    let none = RoleFound { role: None, working: None, overruled: None, other: None };
    // A fixed capacitor is not tuned, whatever its line says.
    let said = part.role.filter(|role| *role != Role::Tuning);
    match (said, placed) {
        (Some(said), Some(place)) if overrules(place.role, said) => {
            RoleFound { overruled: Some(said), ..by_place(part, place) }
        }
        (Some(said), Some(place)) if place.role != said => {
            RoleFound { other: Some(place.clone()), ..stated(said, true) }
        }
        (Some(said), _) => stated(said, true),
        (None, Some(place)) => by_place(part, place),
        // Habit knows no line places: it is asked.
        (None, None) if part.line_side_unsaid => none,
        (None, None) => {
            let found = by_habit(part, dielectric, context);
            match found.role {
                // Habit does not know what the words that were not read say.
                Some(role) if part.places_unread && role.value != Role::Buffer => none,
                _ => found,
            }
        }
    }
}

/// Whether a line place overrules the role that the sheet names: always one
/// that is no line place, and an X place where the leads reach metal. A
/// vibrator's winding overrules every role.
fn overrules(placed: Role, said: Role) -> bool {
    if placed == Role::Buffer {
        return said != Role::Buffer;
    }
    placed != said
        && (placed.is_line_place() || placed == Role::RectifierRf)
        && (!said.is_line_place() && said != Role::RectifierRf
            || reaches_metal(placed) && !reaches_metal(said))
}

/// Whether a line place bridges the line and metal that may be touched.
pub const fn reaches_metal(role: Role) -> bool {
    matches!(
        role,
        Role::LineToChassis
            | Role::BMinusToChassis
            | Role::AntennaIsolation
            | Role::GroundIsolation
            | Role::TouchIsolation
    )
}

fn stated(value: Role, by_sheet: bool) -> RoleFound {
    let basis = if by_sheet { Basis::Stated } else { Basis::Inferred };
    let inputs = vec![input("sheet", value.label(), basis)];
    RoleFound {
        role: Some(Finding { value, basis }),
        working: Some(working("role", inputs, "as stated", value.label(), Source::sheet())),
        overruled: None,
        other: None,
    }
}

fn by_place(part: &Part, place: &Placed) -> RoleFound {
    let basis = if place.assumed { Basis::Assumed } else { Basis::Placed };
    RoleFound {
        role: Some(Finding { value: place.role, basis }),
        working: Some(placed_working("role", part, place)),
        overruled: None,
        other: None,
    }
}

/// How the place gives a role.
pub fn placed_working(of: &'static str, part: &Part, place: &Placed) -> Working {
    let assumed = if place.assumed { ", assumed" } else { "" };
    let result = format!("{}{assumed}: it {}", place.role.label(), place.reason);
    working(of, lead_inputs(part), "what the two leads join", result, PLACED)
}

fn lead_inputs(part: &Part) -> Vec<Input> {
    part.leads.as_ref().map_or_else(Vec::new, |leads| {
        vec![
            input("first lead", leads.from.to_string(), Basis::Stated),
            input("second lead", leads.to.to_string(), Basis::Stated),
        ]
    })
}

/// By kind, value and rating alone.
fn by_habit(part: &Part, dielectric: Option<Dielectric>, context: &Context) -> RoleFound {
    if let Some(class) = part.class {
        return by_class(class);
    }
    let vibrator = context.supply.kind.is_some_and(|k| k.value == SupplyKind::Vibrator);
    let Some(value) = dielectric.and_then(|d| habit(part, d, vibrator)) else {
        return RoleFound { role: None, working: None, overruled: None, other: None };
    };
    let mut inputs = Vec::new();
    if let Some(made_of) = dielectric {
        inputs.push(input("dielectric", made_of.label(), Basis::Inferred));
    }
    if let Some(old) = part.capacitance {
        inputs.push(input("old value", old, Basis::Stated));
    }
    if let Some(rating) = part.rating {
        inputs.push(input("old rating", rating, Basis::Stated));
    }
    let rule = "electrolytics to 75 V bypass cathodes and above it smooth B+; paper from 0.002 to \
                0.03 µF couples and from 0.03 µF bypasses";
    let result = format!("{}, inferred", value.label());
    RoleFound {
        role: Some(Finding { value, basis: Basis::Inferred }),
        working: Some(working("role", inputs, rule, result, HABIT)),
        overruled: None,
        other: None,
    }
}

/// A part that carries a class was made for the line.
fn by_class(class: SafetyClass) -> RoleFound {
    let value = match class {
        SafetyClass::X1 | SafetyClass::X2 => Role::AcrossLine,
        SafetyClass::Y1 | SafetyClass::Y2 => Role::LineToChassis,
    };
    let inputs = vec![input("class", class.label(), Basis::Stated)];
    let rule = "class X is made for across the line, class Y for line to metal";
    let result = format!("{}, inferred", value.label());
    RoleFound {
        role: Some(Finding { value, basis: Basis::Inferred }),
        working: Some(working("role", inputs, rule, result, HABIT)),
        overruled: None,
        other: None,
    }
}

fn habit(part: &Part, made_of: Dielectric, vibrator: bool) -> Option<Role> {
    let rating = part.rating.map(crate::trade::quantity::Voltage::volts);
    let above = |least: i64| rating.is_some_and(|v| v >= Decimal::from(least));
    if made_of.is_electrolytic() {
        let low = rating.is_some_and(|v| v <= Decimal::from(75));
        return Some(if low { Role::CathodeBypassAudio } else { Role::Smoothing });
    }
    let picofarads = part.capacitance?.picofarads();
    let between = |least: i64, most: i64| {
        picofarads >= Decimal::from(least) && picofarads < Decimal::from(most)
    };
    if vibrator && above(1000) && between(500, 100_000) {
        return Some(Role::Buffer);
    }
    if made_of == Dielectric::SilverMica || made_of == Dielectric::Polystyrene {
        return Some(Role::Tuned);
    }
    if !made_of.is_paper() {
        return None;
    }
    match () {
        () if picofarads >= Decimal::from(1_000_000) && above(200) => Some(Role::Smoothing),
        () if picofarads >= Decimal::from(30_000) => Some(Role::Bypass),
        () if between(2_000, 30_000) => Some(Role::Coupling),
        () => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::support::{between, capacitor, place, series_string, transformer, volt};
    use crate::sheet::{Header, Sheet, Wire};

    fn role_in(sheet: &Sheet, part: &Part) -> Option<Finding<Role>> {
        let mut sheet = sheet.clone();
        sheet.parts.push(part.clone());
        let made_of = crate::plan::dielectric::of(part).map(|d| d.value);
        find(part, made_of, &Context::of(&sheet)).role
    }

    fn wired(value: &str, from: &str, to: &str) -> Part {
        between(capacitor("C1", value, "400"), from, to)
    }

    #[test]
    fn places_in_a_set_tied_to_the_line() {
        let sheet = series_string(vec![]);
        for (value, from, to, role) in [
            ("0.05", "line", "neutral", Role::AcrossLine),
            ("0.05", "line", "B-", Role::AcrossLine),
            ("0.1", "B-", "chassis", Role::BMinusToChassis),
            ("0.1", "chassis", "B-", Role::BMinusToChassis),
            ("0.01", "line", "chassis", Role::LineToChassis),
            ("0.002", "ant", "L1.1", Role::AntennaIsolation),
            ("0.002", "gnd", "B-", Role::GroundIsolation),
            ("0.02", "V2.p", "V3.g1", Role::Coupling),
            ("0.02", "line", "B1", Role::RectifierRf),
            ("40", "B1", "B-", Role::Reservoir),
            ("20", "B2", "B-", Role::Smoothing),
            ("0.1", "V1.g2", "B-", Role::ScreenBypass),
            ("0.05", "AVC", "B-", Role::Avc),
            ("0.05", "AVC", "chassis", Role::BMinusToChassis),
            ("0.01", "earth", "chassis", Role::GroundIsolation),
            ("0.1", "cabinet", "B-", Role::TouchIsolation),
        ] {
            let found = role_in(&sheet, &wired(value, from, to)).unwrap();
            assert_eq!((found.value, found.basis), (role, Basis::Placed), "{from} to {to}");
        }
    }

    #[test]
    fn places_in_a_transformer_set() {
        let sheet = transformer("700", vec![]);
        for (value, from, to, role) in [
            ("0.01", "line", "chassis", Role::LineToChassis),
            ("0.01", "neutral", "chassis", Role::LineToChassis),
            ("0.01", "line", "neutral", Role::AcrossLine),
            ("25", "chassis", "B-", Role::BiasBypass),
            ("0.1", "chassis", "B-", Role::Bypass),
            ("25", "V3.k", "chassis", Role::CathodeBypassAudio),
        ] {
            let found = role_in(&sheet, &wired(value, from, to)).unwrap();
            assert_eq!(found.value, role, "{from} to {to}");
        }
    }

    #[test]
    fn the_line_reaches_through_a_switch_and_a_wire() {
        let mut sheet = transformer("700", vec![]);
        let switch = crate::plan::support::part("S1", PartKind::Switch);
        sheet.parts.push(between(switch, "line", "S1.2"));
        sheet.wires.push(Wire { line: 1, places: vec![place("S1.2"), place("P")] });
        let found = role_in(&sheet, &wired("0.01", "P", "chassis")).unwrap();
        assert_eq!(found.value, Role::LineToChassis);
    }

    #[test]
    fn a_line_place_overrules_a_stated_role() {
        let mut part = wired("0.01", "line", "chassis");
        part.role = Some(Role::Coupling);
        assert_eq!(role_in(&series_string(vec![]), &part).unwrap().value, Role::LineToChassis);
        part.role = Some(Role::AcrossLine);
        assert_eq!(role_in(&series_string(vec![]), &part).unwrap().value, Role::LineToChassis);
    }

    #[test]
    fn habit_says_it_is_habit() {
        let sheet = Sheet { header: Header::default(), ..Sheet::default() };
        for (value, rating, role) in [
            ("25", "25", Some(Role::CathodeBypassAudio)),
            ("16", "450", Some(Role::Smoothing)),
            ("0.02", "400", Some(Role::Coupling)),
            ("0.1", "400", Some(Role::Bypass)),
            ("0.00025", "500", None),
        ] {
            let mut part = capacitor("C1", value, "");
            part.rating = Some(volt(rating));
            let found = role_in(&sheet, &part);
            assert_eq!(found.map(|f| f.value), role, "{value}");
            assert!(found.is_none_or(|f| f.basis == Basis::Inferred));
        }
    }

    #[test]
    fn b_minus_apart_from_the_chassis_is_planned_as_live_when_nothing_is_known() {
        let sheet = Sheet::default();
        let found = role_in(&sheet, &wired("0.1", "B-", "chassis")).unwrap();
        assert_eq!((found.value, found.basis), (Role::BMinusToChassis, Basis::Assumed));
    }
}
