//! Resistors and controls: the window to measure them against.
//!
//! ```
//! use firstglow::plan::{context::Context, resistor, types::Decision};
//! use firstglow::sheet::{Sheet, part::{Designator, Part, PartKind}};
//! use firstglow::trade::quantity::Resistance;
//! let name = Designator { letters: "R".into(), number: 3, section: None };
//! let mut part = Part::new("R3", name, PartKind::Resistor);
//! part.resistance = Resistance::new(470_000.into()).ok();
//! let (planned, _) = resistor::plan(&part, &Context::of(&Sheet::default()));
//! assert_eq!(planned.decision, Decision::Test);
//! assert_eq!(planned.checks[0].most.as_deref(), Some("564 kΩ"));
//! ```
//!
//! Limits: a window for the value alone; heat and noise show only in use.

use super::check::band;
use super::context::{Context, note};
use super::part;
use super::role;
use super::safety::Line;
use super::stress;
use super::text::{figure, input, milliamperes, volts, working};
use super::told::Told;
use super::types::{Basis, Check, Decision, Finding, PlannedPart, Watts, Working};
use crate::circuit::points::Traits;
use crate::notation::note::{Level, Note};
use crate::sheet::part::{Make, Part, PartKind};
use crate::trade::limits::{TOUCH_FORMULA, TOUCH_SHARE_WITH_RESISTOR};
use crate::trade::quantity::{Power, Resistance, Tolerance};
use crate::trade::role::Role;
use crate::trade::series::E12;
use crate::trade::source::Source;
use rust_decimal::Decimal;

const WINDOW: Source =
    Source::practice("carbon drifts upward: ±20 % at large, ±10 % where it sets a bias");

/// Plans a fixed resistor or a control.
pub fn plan(part: &Part, context: &Context) -> (PlannedPart, Vec<Note>) {
    if part.kind == PartKind::Potentiometer {
        return control(part, context);
    }
    let Some(value) = part.resistance else {
        let reason = "Value unknown: measure it and compare with the schematic.";
        let planned = part::begin(part, Decision::Test, reason.to_owned());
        let message = format!("{}: value unknown, so there is no window for it.", part.designator);
        return (planned, vec![note(part, Level::Warning, message)]);
    };
    let tolerance = tolerance(part, context);
    let reason = format!("Measured against {} of its mark; replaced outside.", tolerance.value);
    let mut planned = part::begin(part, Decision::Test, reason);
    planned.old.tolerance = Some(tolerance);
    planned.checks = vec![window(value, &tolerance)];
    planned.working = vec![explain(value, &tolerance)];
    load(&mut planned, part, context);
    if let Some(notes) = bridge(&mut planned, part, value, context) {
        return (planned, notes);
    }
    (planned, Vec::new())
}

/// What it turns to heat, and whether it may.
fn load(planned: &mut PlannedPart, part: &Part, context: &Context) {
    let Some((watts, how)) = heat(part, context) else { return };
    planned.working.push(how);
    if let Some(rated) = watts.rated.filter(|rated| watts.running > *rated) {
        planned.checks.push(Check {
            what: format!(
                "Overloaded by this sheet: {} W run in a part of {} W. Look for a slip in its \
                 value or places, else fit one of at least {} W.",
                figure(watts.running),
                figure(rated),
                figure(watts.running * 2.0)
            ),
            least: None,
            most: Some(format!("{} W", figure(rated))),
        });
    }
    planned.watts = Some(watts);
}

/// Its watts and how they were reached: on the line's side by the alternating
/// current, which direct voltages do not show. Not known is not told.
fn heat(part: &Part, context: &Context) -> Option<(Watts, Working)> {
    if context.is_in_line(part) {
        let rated = part.power.map(Power::to_f64);
        let load = context.in_line(part)?;
        let supply = &context.supply;
        let high = if supply.mains_v > 0.0 { supply.high_v / supply.mains_v } else { 1.0 };
        return Some((load.heat(rated, high), load.explain(rated)));
    }
    let watts = stress::watts(part, context)?;
    let how = stress::explain_watts(&watts);
    Some((watts, how))
}

/// The tolerance that passes: the mark, the place, else the kind.
fn tolerance(part: &Part, context: &Context) -> Finding<Tolerance> {
    let symmetric = |percent: i64| Tolerance::symmetric(Decimal::from(percent));
    if let Some(value) = part.tolerance {
        return Finding { value, basis: Basis::Stated };
    }
    if sets_bias(part, context) {
        return Finding { value: symmetric(10), basis: Basis::Placed };
    }
    let close = part.is_made(Make::Wirewound) || part.is_made(Make::FilmResistor);
    Finding { value: symmetric(if close { 10 } else { 20 }), basis: Basis::Assumed }
}

/// From a cathode to the return, or from B- to chassis.
fn sets_bias(part: &Part, context: &Context) -> bool {
    part.leads.as_ref().is_some_and(|leads| {
        let (a, b) = (context.traits(&leads.from), context.traits(&leads.to));
        let either = |x: Traits, y: Traits| a.has(x) && b.has(y) || b.has(x) && a.has(y);
        either(Traits::CATHODE, Traits::RETURN) || either(Traits::B_MINUS, Traits::CHASSIS)
    })
}

fn window(value: Resistance, tolerance: &Finding<Tolerance>) -> Check {
    let (least, most) = band(value.to_f64(), &tolerance.value);
    Check {
        what: "Resistance, power off, capacitors discharged, one lead lifted where other paths \
               run beside it."
            .to_owned(),
        least: Some(ohms_text(least)),
        most: Some(ohms_text(most)),
    }
}

fn explain(value: Resistance, tolerance: &Finding<Tolerance>) -> Working {
    let inputs = vec![
        input("mark", value, Basis::Stated),
        input("tolerance", tolerance.value, tolerance.basis),
    ];
    let (least, most) = band(value.to_f64(), &tolerance.value);
    let result = Told::OhmsBetween(least, most);
    let source = if tolerance.basis == Basis::Stated { Source::sheet() } else { WINDOW };
    working("window", inputs, "the mark, less and plus its tolerance", result, source)
}

/// `470 kΩ` from ohms.
pub fn ohms_text(ohms: f64) -> String {
    Told::Ohms(ohms).to_string()
}

/// A resistor from the line, or what is tied to it, to metal carries touch
/// current: what the capacitor beside it leaves.
fn bridge(
    planned: &mut PlannedPart,
    part: &Part,
    value: Resistance,
    context: &Context,
) -> Option<Vec<Note>> {
    let found = context.placed(part)?.role;
    if !role::reaches_metal(found) || found == Role::AntennaIsolation {
        return None;
    }
    let line = Line::of(&context.supply);
    let left = line.limit * (1.0 - TOUCH_SHARE_WITH_RESISTOR.powi(2)).sqrt();
    let least = line.volts / left;
    let passes = line.volts / value.to_f64();
    let inputs = vec![
        input("high line", volts(line.volts), Basis::Computed),
        input("resistor", value, Basis::Stated),
        input("touch limit", milliamperes(line.limit), context.supply.touch.basis),
    ];
    let rule =
        "in quadrature, six tenths of the limit are left beside a capacitor that takes eight";
    let result = format!("passes {} of {}", milliamperes(passes), milliamperes(left));
    planned.working.push(working("touch current", inputs, rule, result, TOUCH_FORMULA));
    if passes <= left {
        return None;
    }
    let wanted = Decimal::try_from(least.ceil().min(1e14)).ok().and_then(|l| E12.at_least(l));
    let wanted = wanted.and_then(|w| Resistance::new(w).ok())?;
    planned.decision = Decision::Replace;
    planned.checks = vec![Check {
        what: "Resistance of the new pair.".to_owned(),
        least: Some(ohms_text(least)),
        most: None,
    }];
    planned.reason = format!(
        "From the line to metal it passes {} where {} is left for it: raised to {wanted}, as two \
         equal ones in series of 1/2 W and 350 V.",
        milliamperes(passes),
        milliamperes(left)
    );
    let message = format!("{}: {}", part.designator, planned.reason);
    Some(vec![note(part, Level::Warning, message)])
}

/// A control is cleaned; its track is measured.
fn control(part: &Part, context: &Context) -> (PlannedPart, Vec<Note>) {
    let reason = "Controls are cleaned and worked; replaced only if the track is worn through.";
    let mut planned = part::begin(part, Decision::Clean, reason.to_owned());
    if let Some(value) = part.resistance {
        let tolerance = part.tolerance.map_or(
            Finding { value: Tolerance::symmetric(Decimal::from(20)), basis: Basis::Assumed },
            |value| Finding { value, basis: Basis::Stated },
        );
        planned.old.tolerance = Some(tolerance);
        planned.checks = vec![window(value, &tolerance)];
        planned.working = vec![explain(value, &tolerance)];
    }
    load(&mut planned, part, context);
    let bridged = part.resistance.and_then(|value| bridge(&mut planned, part, value, context));
    (planned, bridged.unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::support::{between, resistor, series_string};
    use crate::sheet::Sheet;

    fn planned(sheet: &Sheet, part: &Part) -> PlannedPart {
        let mut sheet = sheet.clone();
        sheet.parts.push(part.clone());
        plan(part, &Context::of(&sheet)).0
    }

    #[test]
    fn windows_by_mark_place_and_kind() {
        let live = series_string(vec![]);
        let mut marked = resistor("R1", "1000");
        marked.tolerance = Some(Tolerance::symmetric(Decimal::from(5)));
        let mut wound = resistor("R1", "1000");
        wound.makes.push(Make::Wirewound);
        let cathode = between(resistor("R1", "1000"), "V3.k", "B-");
        for (part, least, basis) in [
            (&marked, "950 Ω", Basis::Stated),
            (&wound, "900 Ω", Basis::Assumed),
            (&cathode, "900 Ω", Basis::Placed),
            (&resistor("R1", "1000"), "800 Ω", Basis::Assumed),
        ] {
            let found = planned(&live, part);
            assert_eq!(found.checks[0].least.as_deref(), Some(least));
            assert_eq!(found.old.tolerance.unwrap().basis, basis);
        }
    }

    #[test]
    fn a_low_resistor_from_b_minus_to_chassis_is_raised() {
        let live = series_string(vec![]);
        let low = planned(&live, &between(resistor("R1", "220000"), "B-", "chassis"));
        assert_eq!(low.decision, Decision::Replace);
        assert!(low.reason.contains("raised to 470 kΩ"), "{}", low.reason);
        let high = planned(&live, &between(resistor("R1", "470000"), "B-", "chassis"));
        assert_eq!(high.decision, Decision::Test);
    }
}
