//! Electrolytics that a cathode or back-bias resistor holds down: what they see
//! if it opens.

use crate::plan::context::Context;
use crate::plan::text::figure;
use crate::plan::types::{Hazard, PlannedPart, Severity};
use crate::sheet::Sheet;

/// How many capacitors are named.
const MOST_NAMED: usize = 8;

/// The hazard, if any part raises it.
pub fn hazards(sheet: &Sheet, parts: &[PlannedPart], context: &Context) -> Option<Hazard> {
    let mut keys: Vec<String> = Vec::new();
    let mut sentences = Vec::new();
    for (part, planned) in sheet.parts.iter().zip(parts) {
        let Some(charge) = context.capacitor(part).and_then(|c| c.no_load.as_ref()) else {
            continue;
        };
        // Film stands a moment beyond its rating; an electrolytic bursts. What
        // film would see stands in the working of its rating.
        let new = planned.replacement.as_ref().filter(|new| new.dielectric.is_electrolytic());
        let rated = new.map(|new| new.rating_v).filter(|volts| *volts < charge.opened_v);
        let Some(rated) = rated else { continue };
        if charge.held_by.is_empty() {
            continue;
        }
        sentences.push(format!(
            "If {} opens, {} sees up to {} V; it is planned for {} V.",
            charge.held_by.join(" and "),
            part.key,
            figure(charge.opened_v),
            figure(rated)
        ));
        keys.extend(charge.held_by.iter().cloned());
        keys.push(part.key.clone());
    }
    if keys.is_empty() {
        return None;
    }
    keys.sort_unstable();
    keys.dedup();
    let more = sentences.len().saturating_sub(MOST_NAMED);
    sentences.truncate(MOST_NAMED);
    if more > 0 {
        sentences.push(format!("{more} more are held down in the same way."));
    }
    Some(Hazard {
        id: "opened-resistor".to_owned(),
        title: "Capacitors held down by one resistor".to_owned(),
        severity: Severity::Caution,
        what_can_happen: sentences.join(" "),
        what_to_do: "Measure these resistors before power, and replace one that reads open or \
                     high. If one opens later, replace the capacitor across it as well."
            .to_owned(),
        parts: keys,
        working: Vec::new(),
    })
}
