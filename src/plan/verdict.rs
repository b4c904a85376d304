//! Keep, test, clean or replace a capacitor, and the reason in a sentence.
//!
//! ```
//! use firstglow::plan::{context::Context, types::{Basis, Decision, Finding}, verdict::verdict};
//! use firstglow::sheet::{Sheet, part::{Designator, Part, PartKind}};
//! use firstglow::trade::dielectric::Dielectric;
//! let name = Designator { letters: "C".into(), number: 7, section: None };
//! let part = Part::new("C7", name, PartKind::Capacitor);
//! let mica = Some(Finding { value: Dielectric::Mica, basis: Basis::Stated });
//! let found = verdict(&part, mica, None, &Context::of(&Sheet::default()));
//! assert_eq!(found.decision, Decision::Test);
//! ```
//!
//! Limits: by kind and place; no reading of the part is known here.

use super::context::Context;
use super::fit::{is_on_line, leaves_open};
use super::rating::old_mark;
use super::role::reaches_metal;
use super::safety;
use super::stress::or_blanket;
use super::text::{milliamperes, volts};
use super::types::{Basis, Decision, Finding};
use crate::notation::note::Level;
use crate::sheet::part::{Make, Part, PartKind};
use crate::trade::dielectric::Dielectric;
use crate::trade::role::Role;
use crate::trade::safety::SafetyClass;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// A decision and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verdict {
    /// What to do.
    pub decision: Decision,
    /// Why.
    pub reason: String,
    /// What the sheet must hear of, with its weight.
    pub notes: Vec<(Level, String)>,
}

/// Decides on a capacitor.
pub fn verdict(
    part: &Part,
    made_of: Option<Finding<Dielectric>>,
    role: Option<Finding<Role>>,
    context: &Context,
) -> Verdict {
    if leaves_open(part, role.map(|r| r.value)) {
        return places_unread(part, made_of);
    }
    if let Some(role) = role.filter(|r| is_on_line(r.value, part, context)) {
        return on_line(part, made_of, role.value, context);
    }
    let air = made_of.is_some_and(|d| d.value == Dielectric::Air);
    if part.kind == PartKind::VariableCapacitor || air {
        return plain(Decision::Clean, "Variable capacitors are cleaned and set, never replaced.");
    }
    // One that is marked new too: of what make and age is not on the sheet.
    if role.is_some_and(|r| r.value == Role::Buffer) {
        return plain(
            Decision::Replace,
            "A vibrator's buffer is replaced before power, whatever it is made of: its failure \
             takes the transformer along.",
        );
    }
    if part.is_made(Make::New) {
        return new_part(part, role, context);
    }
    if part.line_side_unsaid {
        return plain(
            Decision::Replace,
            "On the power line: replaced by a safety capacitor, once its side is told.",
        );
    }
    if part.capacitance.is_none() && made_of.is_none() {
        return plain(Decision::Replace, "Value unknown: planned as a part to replace.");
    }
    by_material(part, made_of, role, context)
}

/// Where it is connected was not read: nothing tells that it may stay.
fn places_unread(part: &Part, made_of: Option<Finding<Dielectric>>) -> Verdict {
    let air = made_of.is_some_and(|d| d.value == Dielectric::Air);
    if part.kind == PartKind::VariableCapacitor || air {
        return plain(
            Decision::Clean,
            "Variable capacitors are cleaned and set. Its connection was not read: correct its \
             line, for it may need a safety capacitor.",
        );
    }
    let goes = made_of.is_none_or(|d| d.value.is_paper() || d.value.is_electrolytic());
    let decision =
        if goes && !part.is_made(Make::New) { Decision::Replace } else { Decision::Test };
    plain(
        decision,
        "Its connection was not read, or is given twice: correct its line. Until then nothing \
         tells what it needs, or whether it may stay.",
    )
}

fn plain(decision: Decision, reason: &str) -> Verdict {
    Verdict { decision, reason: reason.to_owned(), notes: Vec::new() }
}

fn by_material(
    part: &Part,
    made_of: Option<Finding<Dielectric>>,
    role: Option<Finding<Role>>,
    context: &Context,
) -> Verdict {
    let Some(made_of) = made_of.map(|d| d.value) else {
        return plain(Decision::Test, "What it is made of is not told: look, then test it.");
    };
    let reason = match made_of {
        Dielectric::Paper | Dielectric::MouldedPaper | Dielectric::MetallisedPaper => {
            "Old paper takes up moisture and leaks: replaced on sight."
        }
        Dielectric::OilPaper => {
            "Oil paper leaks once its seals age: replaced, unopened; the oil may hold PCB."
        }
        Dielectric::Electrolytic => "Old electrolytics dry out and leak: replaced.",
        Dielectric::WetElectrolytic => "Wet electrolytics evaporate and corrode: always replaced.",
        Dielectric::Tantalum => "Old tantalums fail short: replaced.",
        _ => return stays(part, made_of, role, context),
    };
    plain(Decision::Replace, reason)
}

/// Mica, ceramic, film and glass stay if they pass, unless the place asks
/// for more than they are marked for.
fn stays(
    part: &Part,
    made_of: Dielectric,
    role: Option<Finding<Role>>,
    context: &Context,
) -> Verdict {
    if let Some(short) = falls_short(part, role, context) {
        return plain(Decision::Replace, &short);
    }
    plain(
        Decision::Test,
        match made_of {
            Dielectric::Mica => "Mica lasts: kept if it passes.",
            Dielectric::SilverMica => {
                "Silver mica lasts, but its silver may creep where B+ stands across it: kept if it \
                 passes and does not crackle."
            }
            Dielectric::Ceramic => "Ceramic lasts: kept if it passes.",
            Dielectric::Polystyrene => "Polystyrene lasts but melts: kept if it passes.",
            Dielectric::Glass => "Glass lasts: kept if it passes.",
            _ => "Plastic film lasts: kept if it passes.",
        },
    )
}

/// Where the marked rating lies below the computed stress at a known place.
fn falls_short(part: &Part, role: Option<Finding<Role>>, context: &Context) -> Option<String> {
    let role = role.filter(|r| matches!(r.basis, Basis::Stated | Basis::Placed))?;
    let stress = or_blanket(part, Some(role.value), context)?;
    let mark = old_mark(part)?.to_f64()?;
    (mark < stress).then(|| match super::stress::of(part, Some(role.value), context) {
        Some(found) if (found.volts - stress).abs() < f64::EPSILON => {
            format!("Marked {} but it sees {} ({}).", volts(mark), volts(stress), found.state)
        }
        _ => format!(
            "Marked {} but the supply reaches {} with tubes cold.",
            volts(mark),
            volts(stress)
        ),
    })
}

/// A part that was fitted new stays, unless wrong in its place.
fn new_part(part: &Part, role: Option<Finding<Role>>, context: &Context) -> Verdict {
    let wrong = falls_short(part, role, context).or_else(|| too_large(part, role, context));
    match wrong {
        Some(reason) => Verdict {
            decision: Decision::Replace,
            notes: vec![(Level::Error, format!("{}: {reason}", part.designator))],
            reason,
        },
        None => plain(Decision::Keep, "Fitted new, and nothing on the sheet speaks against it."),
    }
}

/// A new first filter far above what its rectifier is used with.
fn too_large(part: &Part, role: Option<Finding<Role>>, context: &Context) -> Option<String> {
    role.filter(|r| r.value == Role::Reservoir)?;
    let (limit, tube) = context.supply.first_limit?;
    let value = part.capacitance?;
    (value.microfarads() > limit.checked_mul(Decimal::TWO)?).then(|| {
        format!(
            "As first filter {value} is over twice the {limit} µF that the {} is used with in its \
             typical operation.",
            tube.names[0]
        )
    })
}

/// At a line place only the right class may stay.
fn on_line(
    part: &Part,
    made_of: Option<Finding<Dielectric>>,
    role: Role,
    context: &Context,
) -> Verdict {
    let needed = safety::class_for(role, &context.supply);
    if let Some(class) = part.class {
        return with_class(part, class, needed, role, context);
    }
    let label = needed.label();
    let place = role.label();
    let plain_part = made_of.filter(|d| {
        let old = d.value.is_paper() || d.value.is_electrolytic();
        part.is_made(Make::New) || d.basis == Basis::Stated && !old
    });
    let Some(found) = plain_part else {
        return plain(
            Decision::Replace,
            &format!("Place: {place}. Replaced by a part of class {label}, and by no other kind."),
        );
    };
    let kind = found.value.label();
    Verdict {
        decision: Decision::Replace,
        reason: format!(
            "Place: {place}. A plain {kind} part must not stand there: class {label} only."
        ),
        notes: vec![(
            Level::Error,
            format!(
                "{}: a plain {kind} capacitor must not stand at this place ({place}). Fit class \
                 {label}, whatever is there now.",
                part.designator
            ),
        )],
    }
}

fn with_class(
    part: &Part,
    class: SafetyClass,
    needed: SafetyClass,
    role: Role,
    context: &Context,
) -> Verdict {
    let place = role.label();
    let (has, wants) = (class.label(), needed.label());
    if !class.serves(needed) && !serves_metal(class, needed, role) {
        return Verdict {
            decision: Decision::Replace,
            reason: format!("Place: {place}. Class {has} must not stand there: class {wants}."),
            notes: vec![(
                Level::Error,
                format!(
                    "{}: class {has} cannot do the work of {wants} ({place}).",
                    part.designator
                ),
            )],
        };
    }
    let line = safety::Line::of(&context.supply);
    let passes = part.capacitance.map(|c| safety::worst_current(&line, c));
    if let Some(amperes) = passes.filter(|i| reaches_metal(role) && *i > line.limit) {
        return plain(
            Decision::Replace,
            &format!(
                "Place: {place}. Its class is right, but it may pass {} against a limit of {}.",
                milliamperes(amperes),
                milliamperes(line.limit)
            ),
        );
    }
    if part.rating_ac && part.rating.is_some_and(|v| v.to_f64() < line.volts) {
        return plain(
            Decision::Replace,
            &format!("Place: {place}. Rated below the high line of {}.", volts(line.volts)),
        );
    }
    let decision = if part.is_made(Make::New) { Decision::Keep } else { Decision::Test };
    plain(decision, &format!("Place: {place}. It carries class {has}, which may stand there."))
}

/// Y2 may stay where Y1 would be fitted new: both are made for line to metal.
fn serves_metal(class: SafetyClass, needed: SafetyClass, role: Role) -> bool {
    reaches_metal(role) && needed == SafetyClass::Y1 && class == SafetyClass::Y2
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::support::{between, capacitor, series_string, volt};
    use crate::sheet::Sheet;

    fn judged(sheet: &Sheet, part: &Part) -> Verdict {
        let mut sheet = sheet.clone();
        sheet.parts.push(part.clone());
        let context = Context::of(&sheet);
        let made_of = crate::plan::dielectric::of(part);
        let role = crate::plan::role::find(part, made_of.map(|d| d.value), &context);
        verdict(part, made_of, role.role, &context)
    }

    fn of(material: Dielectric, value: &str, mark: &str) -> Part {
        let mut part = capacitor("C1", value, mark);
        part.dielectric = Some(material);
        part
    }

    #[test]
    fn each_material_has_its_decision() {
        for material in Dielectric::ALL {
            let replaced = material.is_paper() || material.is_electrolytic();
            // No air capacitor is made in 0.01 µF.
            let value = if material == Dielectric::Air { "0.0003" } else { "0.01" };
            let found = judged(&Sheet::default(), &of(material, value, "400"));
            let wanted = match material {
                Dielectric::Air => Decision::Clean,
                _ if replaced => Decision::Replace,
                _ => Decision::Test,
            };
            assert_eq!(found.decision, wanted, "{material:?}");
        }
    }

    #[test]
    fn a_plain_film_or_ceramic_on_the_line_is_an_error_even_when_new() {
        for material in [Dielectric::Film, Dielectric::Ceramic, Dielectric::Mica] {
            for new in [false, true] {
                let mut part = between(of(material, "0.01", "630"), "line", "chassis");
                if new {
                    part.makes.push(Make::New);
                }
                let found = judged(&series_string(vec![]), &part);
                assert_eq!(found.decision, Decision::Replace);
                assert_eq!(found.notes[0].0, Level::Error);
            }
        }
    }

    #[test]
    fn the_right_class_stays_and_the_wrong_one_goes() {
        let live = series_string(vec![]);
        for (class, from, to, value, decision) in [
            (SafetyClass::X2, "line", "neutral", "0.1", Decision::Test),
            (SafetyClass::Y2, "line", "neutral", "0.0047", Decision::Test),
            (SafetyClass::X2, "line", "chassis", "0.0047", Decision::Replace),
            (SafetyClass::Y2, "B-", "chassis", "0.0047", Decision::Test),
            (SafetyClass::Y2, "B-", "chassis", "0.047", Decision::Replace),
        ] {
            let mut part = between(capacitor("C1", value, ""), from, to);
            part.class = Some(class);
            assert_eq!(judged(&live, &part).decision, decision, "{class:?} {from} {to} {value}");
        }
    }

    #[test]
    fn a_new_part_stays_unless_wrong_in_its_place() {
        let live = series_string(vec![]);
        let mut part = between(capacitor("C1", "47", "200"), "B2", "B-");
        part.makes.push(Make::New);
        assert_eq!(judged(&live, &part).decision, Decision::Keep);
        part.rating = Some(volt("160"));
        let found = judged(&live, &part);
        assert_eq!(found.decision, Decision::Replace);
        assert_eq!(found.reason, "Marked 160 V but the supply reaches 177 V with tubes cold.");
    }
}
