//! Electrolytics whose polarity is in doubt: the computed voltage against the
//! sheet, or two states against each other.

use crate::plan::context::Context;
use crate::plan::dielectric;
use crate::plan::polarity::{self, Polarity, Told};
use crate::plan::text::{input, working};
use crate::plan::types::{Basis, Hazard, PlannedPart, Severity, Working};
use crate::sheet::Sheet;
use crate::sheet::part::{Part, PartKind};
use crate::trade::limits::SHOCK_V;
use crate::trade::source::Source;

const SIGNS: Source = Source::arithmetic(
    "the signs of the voltages computed from this sheet, the names of its points, and the order \
     in which it was typed",
);

/// The hazard, if any part raises it.
pub fn hazards(sheet: &Sheet, parts: &[PlannedPart], context: &Context) -> Option<Hazard> {
    let mut keys = Vec::new();
    let mut sentences = Vec::new();
    let mut workings = Vec::new();
    let mut volts = 0.0_f64;
    for (part, planned) in sheet.parts.iter().zip(parts) {
        let Some(polarity) = polarity(part, planned, context) else { continue };
        let Some((first, second)) = polarity.doubt() else { continue };
        volts = volts.max(planned.stress.as_ref().map_or(0.0, |s| s.volts));
        keys.push(part.key.clone());
        sentences.push(sentence(part, first, second));
        workings.push(explain(first, second, &polarity));
    }
    if keys.is_empty() {
        return None;
    }
    Some(Hazard {
        id: "polarity".to_owned(),
        title: "The polarity of an electrolytic is in doubt".to_owned(),
        severity: if volts > SHOCK_V { Severity::Danger } else { Severity::Warning },
        what_can_happen: format!(
            "An electrolytic that is connected backwards heats up and can burst. {}",
            sentences.join(" ")
        ),
        what_to_do: "Look at the mark on the old can: it shows which lead is positive. Then put a \
                     plus sign before that place on the sheet, as in `+ B1 to chassis`. If the \
                     mark is gone or both signs occur, fit a non-polarized part of the same value \
                     and rating."
            .to_owned(),
        parts: keys,
        working: workings,
    })
}

/// The polarity planned, or that of an electrolytic without a new part.
fn polarity(part: &Part, planned: &PlannedPart, context: &Context) -> Option<Polarity> {
    if let Some(new) = &planned.replacement {
        return new.polarity.clone();
    }
    let electrolytic = part.kind == PartKind::Capacitor
        && dielectric::of(part).is_some_and(|d| d.value.is_electrolytic());
    electrolytic.then(|| polarity::of(part, planned.role.map(|r| r.value), None, context))
}

fn sentence(part: &Part, first: &Told, second: &Told) -> String {
    format!(
        "{}: positive is {} ({first}), but also {} ({second}).",
        part.designator, first.place, second.place
    )
}

fn explain(first: &Told, second: &Told, polarity: &Polarity) -> Working {
    let inputs = vec![
        input("one sign", format!("positive to {} ({first})", first.place), Basis::Computed),
        input("the other", format!("positive to {} ({second})", second.place), Basis::Stated),
    ];
    let rule = "the computed sign decides where all states agree and it is clear; two signs decide \
                nothing";
    working("polarity", inputs, rule, polarity.to_string(), SIGNS)
}
