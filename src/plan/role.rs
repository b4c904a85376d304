//! What a capacitor does: as stated, else by the places it is wired to, else
//! by the trade's habit.
//!
//! A part that bridges the line is planned as such even where its line names
//! another role: the place decides.
//!
//! ```
//! use firstglow::plan::{places::Places, role::find, supply::Supply};
//! use firstglow::sheet::{Sheet, part::{Designator, Leads, Part, PartKind, Place}};
//! use firstglow::trade::role::Role;
//! let name = Designator { letters: "C".into(), number: 9, section: None };
//! let mut part = Part::new("C9", name, PartKind::Capacitor);
//! let named = |n: &str| Place::Named(n.into());
//! part.leads = Some(Leads { from: named("line"), to: named("neutral") });
//! let sheet = Sheet { parts: vec![part.clone()], ..Sheet::default() };
//! let places = Places::of(&sheet);
//! let found = find(&part, None, &places, &Supply::of(&sheet, &places));
//! assert_eq!(found.role.unwrap().value, Role::AcrossLine);
//! ```
//!
//! Limits: a place says its role only by name or electrode; what stands
//! between two places is not looked at.

use super::places::{Places, Traits};
use super::supply::Supply;
use super::text::{input, working};
use super::types::{Basis, Finding, Input, Working};
use crate::sheet::SupplyKind;
use crate::sheet::part::{Part, PartKind, Place};
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
}

/// Finds the role of a capacitor.
pub fn find(
    part: &Part,
    dielectric: Option<Dielectric>,
    places: &Places,
    supply: &Supply,
) -> RoleFound {
    if part.kind == PartKind::VariableCapacitor {
        return stated(Role::Tuning, part.role.is_some());
    }
    let polarised = dielectric.is_some_and(Dielectric::is_electrolytic);
    let by_leads = ends(part, places, supply).and_then(|e| by_places(&e, part, polarised, supply));
    match (part.role, by_leads) {
        (Some(said), Some(found)) if overrules(found.value, said) => RoleFound {
            role: Some(found),
            working: Some(placed_working(part, found)),
            overruled: Some(said),
        },
        (Some(said), _) => stated(said, true),
        (None, Some(found)) => RoleFound {
            role: Some(found),
            working: Some(placed_working(part, found)),
            overruled: None,
        },
        (None, None) => by_habit(part, dielectric, supply),
    }
}

/// Whether a line place overrules the role that the sheet names: always one
/// that is no line place, and an X place where the leads reach metal.
fn overrules(placed: Role, said: Role) -> bool {
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
    )
}

fn stated(value: Role, by_sheet: bool) -> RoleFound {
    let basis = if by_sheet { Basis::Stated } else { Basis::Inferred };
    let inputs = vec![input("sheet", value.label(), basis)];
    RoleFound {
        role: Some(Finding { value, basis }),
        working: Some(working("role", inputs, "as stated", value.label(), Source::sheet())),
        overruled: None,
    }
}

fn placed_working(part: &Part, found: Finding<Role>) -> Working {
    let inputs = lead_inputs(part);
    let result = match found.basis {
        Basis::Placed => found.value.label().to_owned(),
        _ => format!("{}, assumed", found.value.label()),
    };
    working("role", inputs, "what the two leads join", result, PLACED)
}

fn lead_inputs(part: &Part) -> Vec<Input> {
    part.leads.as_ref().map_or_else(Vec::new, |leads| {
        vec![
            input("first lead", &leads.from, Basis::Stated),
            input("second lead", &leads.to, Basis::Stated),
        ]
    })
}

/// One lead: what its node is, and how it stands to the line.
#[derive(Debug, Clone, Copy)]
struct End {
    traits: Traits,
    /// On the line itself.
    mains: bool,
    /// On the line, or on a B- or chassis that is tied to it.
    tied: bool,
    /// Metal that a hand may reach and that is not itself tied to the line.
    metal: bool,
}

/// Both leads, unless they meet at one node or are not told.
fn ends(part: &Part, places: &Places, supply: &Supply) -> Option<[End; 2]> {
    let leads = part.leads.as_ref()?;
    let (from, to) = (places.node(&leads.from)?, places.node(&leads.to)?);
    (from != to).then(|| [&leads.from, &leads.to].map(|place| end(place, places, supply)))
}

fn end(place: &Place, places: &Places, supply: &Supply) -> End {
    let traits = places.traits(place);
    let returns = traits.has(Traits::B_MINUS) || traits.has(Traits::CHASSIS) && supply.hot_chassis;
    let live = supply.line_connected == Some(true);
    let mains = places.on_mains(place) && !traits.has(Traits::RETURN);
    let tied = mains || live && returns;
    let metal = traits.has(Traits::GROUND)
        || traits.has(Traits::ANTENNA)
        || traits.has(Traits::CHASSIS) && !tied;
    End { traits, mains, tied, metal: metal && !mains }
}

fn by_places(
    ends: &[End; 2],
    part: &Part,
    polarised: bool,
    supply: &Supply,
) -> Option<Finding<Role>> {
    let [a, b] = *ends;
    line_place(a, b, polarised, supply).or_else(|| line_place(b, a, polarised, supply)).or_else(
        || {
            let value = circuit_place(a, b, part, polarised, supply)
                .or_else(|| circuit_place(b, a, part, polarised, supply))?;
            Some(Finding { value, basis: Basis::Placed })
        },
    )
}

/// Line places, seen from lead `a`.
fn line_place(a: End, b: End, polarised: bool, supply: &Supply) -> Option<Finding<Role>> {
    let placed = |value| Some(Finding { value, basis: Basis::Placed });
    let live = supply.line_connected == Some(true);
    if (live || a.mains) && b.traits.has(Traits::ANTENNA) && !b.tied {
        return placed(Role::AntennaIsolation);
    }
    if live && b.traits.has(Traits::GROUND) && !b.tied {
        return placed(if a.mains { Role::LineToChassis } else { Role::GroundIsolation });
    }
    if a.mains && b.metal {
        return placed(Role::LineToChassis);
    }
    if a.mains && b.tied {
        return placed(Role::AcrossLine);
    }
    if a.mains && b.traits.has(Traits::B_MINUS) {
        return placed(Role::LineToChassis);
    }
    if a.tied && b.metal {
        return placed(Role::BMinusToChassis);
    }
    if a.mains {
        let rectifier = b.traits.has(Traits::ANY_B_PLUS) || b.traits.has(Traits::RECTIFIER_IN);
        return Some(if rectifier {
            Finding { value: Role::RectifierRf, basis: Basis::Placed }
        } else {
            // The far end may reach metal: plan for the worse.
            Finding { value: Role::LineToChassis, basis: Basis::Assumed }
        });
    }
    let apart = a.traits.has(Traits::B_MINUS) && b.traits.has(Traits::CHASSIS);
    let unknown = supply.line_connected.is_none() && !polarised;
    (unknown && apart).then_some(Finding { value: Role::BMinusToChassis, basis: Basis::Assumed })
}

/// Places in the circuit, seen from lead `a`.
fn circuit_place(a: End, b: End, part: &Part, polarised: bool, supply: &Supply) -> Option<Role> {
    let (from, to) = (a.traits, b.traits);
    let returns = to.has(Traits::RETURN);
    let large =
        polarised || part.capacitance.is_some_and(|c| c.picofarads() >= Decimal::from(800_000));
    let vibrator = supply.kind.is_some_and(|k| k.value == SupplyKind::Vibrator);
    let role = match () {
        () if from.has(Traits::RECTIFIER_IN) && to.has(Traits::RECTIFIER_IN) && vibrator => {
            Role::Buffer
        }
        () if from.has(Traits::RECTIFIER_IN) && !large => Role::RectifierRf,
        () if from.has(Traits::RECTIFIER_OUT) && large => Role::Reservoir,
        () if from.has(Traits::LATER_B_PLUS) && large => Role::Smoothing,
        () if from.has(Traits::FIRST_B_PLUS) && large => Role::Reservoir,
        () if from.has(Traits::ANY_B_PLUS) && returns && !large => Role::SupplyBypass,
        () if from.has(Traits::CHASSIS) && to.has(Traits::B_MINUS) => {
            if polarised {
                Role::BiasBypass
            } else {
                Role::Bypass
            }
        }
        () if from.has(Traits::PLATE) && to.has(Traits::GRID) => Role::Coupling,
        () if from.has(Traits::PLATE)
            && (returns || to.has(Traits::ANY_B_PLUS) || to.has(Traits::PLATE)) =>
        {
            Role::PlateBypass
        }
        () if from.has(Traits::CATHODE) && returns => {
            if polarised {
                Role::CathodeBypassAudio
            } else {
                Role::CathodeBypassRf
            }
        }
        () if from.has(Traits::SCREEN) && (returns || to.has(Traits::CATHODE)) => {
            Role::ScreenBypass
        }
        () if from.has(Traits::AVC) && returns => Role::Avc,
        () if from.has(Traits::GRID) && !returns => Role::GridCoupling,
        () => return None,
    };
    Some(role)
}

/// By kind, value and rating alone.
fn by_habit(part: &Part, dielectric: Option<Dielectric>, supply: &Supply) -> RoleFound {
    if let Some(class) = part.class {
        return by_class(class);
    }
    let vibrator = supply.kind.is_some_and(|k| k.value == SupplyKind::Vibrator);
    let Some(value) = dielectric.and_then(|d| habit(part, d, vibrator)) else {
        return RoleFound { role: None, working: None, overruled: None };
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
        let places = Places::of(&sheet);
        let made_of = crate::plan::dielectric::of(part).map(|d| d.value);
        find(part, made_of, &places, &Supply::of(&sheet, &places)).role
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
            ("0.05", "AVC", "chassis", Role::Avc),
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
