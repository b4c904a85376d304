//! A capacitor of the plan: keep, test, clean or replace, and why.
//!
//! ```
//! use firstglow::plan::{capacitor, context::Context, types::Decision};
//! use firstglow::sheet::{Sheet, part::{Designator, Part, PartKind}};
//! use firstglow::trade::quantity::Capacitance;
//! let name = Designator { letters: "C".into(), number: 7, section: None };
//! let mut part = Part::new("C7", name, PartKind::Capacitor);
//! part.capacitance = Capacitance::from_microfarads("0.05".parse().unwrap()).ok();
//! let (planned, notes) = capacitor::plan(&part, &Context::of(&Sheet::default()));
//! assert_eq!(planned.decision, Decision::Replace);
//! assert!(notes.is_empty());
//! ```
//!
//! Limits: a part that stays is not judged here, only told how to be tested.

use super::check;
use super::context::{Context, note};
use super::fit::{Old, fit, is_on_line};
use super::refusal::Refusal;
use super::role::{self, RoleFound};
use super::safety;
use super::stress;
use super::text::{input, milliamperes, working};
use super::types::{Basis, Decision, Finding, PlannedPart, Working};
use super::verdict::{Verdict, verdict};
use super::{dielectric, part};
use crate::notation::note::{Level, Note};
use crate::sheet::part::Part;
use crate::trade::dielectric::Dielectric;
use crate::trade::limits::{TOUCH_FORMULA, touch_current};
use crate::trade::quantity::Capacitance;
use crate::trade::role::Role;
use crate::trade::source::Source;

const DECISION: Source = Source::practice("what restorers replace on sight and what they test");

/// Plans one capacitor.
pub fn plan(part: &Part, context: &Context) -> (PlannedPart, Vec<Note>) {
    let made_of = dielectric::of(part);
    let found = role::find(part, made_of.map(|d| d.value), context);
    let verdict = verdict(part, made_of, found.role, context);
    let mut planned = part::begin(part, verdict.decision, verdict.reason.clone());
    let mut notes: Vec<Note> = verdict.notes.iter().map(|n| note(part, n.0, n.1.clone())).collect();
    planned.role = found.role;
    planned.old.dielectric = made_of;
    planned.working.push(decision_working(&verdict, made_of, found.role));
    planned.working.extend(made_of.map(|d| dielectric::explain(part, d)));
    notes.extend(overruled_note(part, &found));
    notes.extend(other_note(part, &found));
    planned
        .working
        .extend(found.other.as_ref().map(|o| role::placed_working("other role", part, o)));
    planned.working.extend(found.working);
    circuit(&mut planned, part, found.role, context);
    let Some(value) = part.capacitance else {
        if verdict.decision != Decision::Clean {
            notes.push(note(part, Level::Warning, unnamed(part, &Refusal::ValueUnknown)));
        }
        return (planned, notes);
    };
    let old = Old { value, dielectric: made_of.map(|d| d.value), role: found.role };
    planned.checks =
        check::capacitor(part, value, &old, verdict.decision, planned.required_insulation.as_ref());
    planned.working.extend(bridge_working(part, value, found.role, context));
    match verdict.decision {
        Decision::Replace => name_part(&mut planned, &mut notes, part, &old, context),
        Decision::Test | Decision::Keep => {
            planned.working.extend(if_it_fails(part, &old, context));
        }
        Decision::Clean | Decision::Substitute => {}
    }
    (planned, notes)
}

/// What the circuit says of the part.
fn circuit(planned: &mut PlannedPart, part: &Part, role: Option<Finding<Role>>, context: &Context) {
    planned.discharge = context.capacitor(part).and_then(|c| c.fall.clone());
    planned.stress = stress::of(part, role.map(|r| r.value), context);
    planned.no_load = stress::no_load(part, role.map(|r| r.value), context).cloned();
    planned.required_insulation = stress::insulation(part, context);
    let stress = planned.stress.as_ref().map(|s| stress::explain(part, s, context));
    let insulation = planned
        .required_insulation
        .as_ref()
        .and_then(|i| stress::explain_insulation(part, i, context));
    let duty = super::doubler::explain(part, context);
    planned.working.extend(stress.into_iter().chain(insulation).chain(duty));
}

/// Another role than the one stated, by the place.
fn other_note(part: &Part, found: &RoleFound) -> Option<Note> {
    let (said, other) = (found.role?.value, found.other.as_ref()?);
    let message = format!(
        "{} is called {}, and planned so; by its places it would be {}: it {}.",
        part.designator,
        said.label(),
        other.role.label(),
        other.reason
    );
    Some(note(part, Level::Reading, message))
}

/// Names the new part, or says why none is named.
fn name_part(
    planned: &mut PlannedPart,
    notes: &mut Vec<Note>,
    part: &Part,
    old: &Old,
    context: &Context,
) {
    match fit(part, old, context) {
        Ok((replacement, workings)) => {
            planned.working.extend(workings);
            planned.replacement = Some(replacement);
        }
        Err(refusal) => {
            let level = match refusal {
                Refusal::ElectrolyticOnLine => Level::Error,
                _ => Level::Warning,
            };
            notes.push(note(part, level, unnamed(part, &refusal)));
            planned.reason = format!("{} No part is named: {refusal}.", planned.reason);
        }
    }
}

fn unnamed(part: &Part, refusal: &Refusal) -> String {
    format!("{}: {refusal}.", part.designator)
}

/// What to fit in place of a part that stays, should it fail.
fn if_it_fails(part: &Part, old: &Old, context: &Context) -> Option<Working> {
    let (new, workings) = fit(part, old, context).ok()?;
    let inputs = workings.into_iter().flat_map(|w| w.inputs).collect();
    let rule = "the part to fit should this one fail its test";
    Some(working("if it fails", inputs, rule, new.text, DECISION))
}

fn decision_working(
    verdict: &Verdict,
    made_of: Option<Finding<Dielectric>>,
    role: Option<Finding<Role>>,
) -> Working {
    let mut inputs = Vec::new();
    if let Some(found) = made_of {
        inputs.push(input("dielectric", found.value.label(), found.basis));
    }
    if let Some(found) = role {
        inputs.push(input("role", found.value.label(), found.basis));
    }
    let result = match verdict.decision {
        Decision::Replace => "replace",
        Decision::Substitute => "substitute",
        Decision::Test => "test, keep if it passes",
        Decision::Clean => "clean, never replace",
        Decision::Keep => "keep",
    };
    working("decision", inputs, verdict.reason.clone(), result, DECISION)
}

fn overruled_note(part: &Part, found: &RoleFound) -> Option<Note> {
    let said = found.overruled?;
    let placed = found.role?.value;
    let message = format!(
        "{} is called {}, but by its leads it is {}: planned as {}.",
        part.designator,
        said.label(),
        placed.label(),
        placed.label()
    );
    Some(note(part, Level::Error, message))
}

/// A resistor across a line-to-metal capacitor adds in quadrature.
fn bridge_working(
    part: &Part,
    value: Capacitance,
    found: Option<Finding<Role>>,
    context: &Context,
) -> Option<Working> {
    let role = found.filter(|r| role::reaches_metal(r.value))?.value;
    let ohms = context.bridge_ohms(part)?;
    let line = safety::Line::of(&context.supply);
    if !is_on_line(role, part, context) {
        return None;
    }
    let total = touch_current(line.volts, line.hertz, value.farads(), Some(ohms));
    let inputs = vec![
        input("high line", super::text::volts(line.volts), Basis::Computed),
        input("old value", value, Basis::Stated),
        input("resistor across it", format!("{} Ω", super::text::figure(ohms)), Basis::Placed),
    ];
    let how = "I = V·√(1/R² + (2π·f·C)²); the resistor's share is judged at the resistor";
    let result = format!("{} as it stands", milliamperes(total));
    Some(working("touch current with the resistor", inputs, how, result, TOUCH_FORMULA))
}
