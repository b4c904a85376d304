//! Dissipation, power factor and series resistance.

use super::{Finding, Good, Slot, Typed, dielectric, farads, frequency, is_electrolytic};
use crate::plan::resistor::ohms_text;
use crate::plan::text::{figure, input, working};
use crate::plan::types::{Basis, PlannedPart};
use crate::trade::fresh::{DISSIPATION_SOURCE, Fresh, OLD_POWER_FACTOR, OLD_SOURCE, WORSE_BY};
use std::f64::consts::TAU;

pub fn judge(planned: &PlannedPart, typed: &Typed) -> Option<Finding> {
    // Beside other paths the loss is theirs, too; the capacitance takes it out.
    if super::in_place(typed.readings) {
        return None;
    }
    let (hertz, basis) = frequency(planned, typed.readings);
    let farads = farads(planned)?;
    let rating = planned.old.rating.map(crate::trade::quantity::Voltage::to_f64);
    let fresh = Fresh::of(dielectric(planned)?, farads, rating);
    let esr = typed.plain(Slot::Esr);
    let said = typed.get(Slot::Dissipation).map(|f| f.value / 100.0).filter(|d| d.is_finite());
    if let (Some(ohms), Some(new)) = (esr, fresh.esr(hertz)) {
        let good = if ohms > 2.0 * new { Good::Fails } else { Good::Passes };
        let than = if good == Good::Fails { "more than twice" } else { "no more than twice" };
        let sentence = format!(
            "{} of series resistance at {} Hz, {than} the {} of a new one.",
            ohms_text(ohms),
            figure(hertz),
            ohms_text(new)
        );
        let inputs = vec![
            input("reading", ohms_text(ohms), Basis::Stated),
            input("frequency", format!("{} Hz", figure(hertz)), basis),
            input("a new one", ohms_text(new), Basis::Computed),
        ];
        let rule = "dissipation of a new one by 2π·f·C; twice that gives it up";
        let working = working("series resistance", inputs, rule, sentence.clone(), OLD_SOURCE);
        return Some(Finding { good, sentence, working });
    }
    let loss = said.or_else(|| esr.map(|ohms| ohms * TAU * hertz * farads))?;
    let electrolytic = is_electrolytic(planned);
    // An old bridge's power factor: D by the whole.
    let factor = loss / (1.0 + loss * loss).sqrt();
    let (doubtful, fails) = if electrolytic {
        OLD_POWER_FACTOR
    } else {
        (WORSE_BY.0 * fresh.dissipation, WORSE_BY.1 * fresh.dissipation)
    };
    let good = if factor > fails {
        Good::Fails
    } else if factor > doubtful {
        Good::Doubtful
    } else {
        Good::Passes
    };
    let sentence = match good {
        Good::Passes => format!("Its power factor of {} is well for its kind.", percent(factor)),
        Good::Doubtful => format!(
            "Its power factor of {} is high: {} is what a new one has.",
            percent(factor),
            percent(fresh.dissipation)
        ),
        Good::Fails => format!(
            "Its power factor of {} gives it up: {} is the most, {} what a new one has.",
            percent(factor),
            percent(fails),
            percent(fresh.dissipation)
        ),
    };
    let inputs = vec![
        input("dissipation", percent(loss), Basis::Stated),
        input("a new one", percent(fresh.dissipation), Basis::Assumed),
        input(
            "doubtful, given up",
            format!("{}, {}", percent(doubtful), percent(fails)),
            Basis::Assumed,
        ),
    ];
    let source = if electrolytic { OLD_SOURCE } else { DISSIPATION_SOURCE };
    let rule = "power factor = D/√(1 + D²), against a new one of its kind";
    let working = working("dissipation", inputs, rule, percent(factor), source);
    Some(Finding { good, sentence, working })
}

fn percent(share: f64) -> String {
    format!("{} %", figure(share * 100.0))
}
