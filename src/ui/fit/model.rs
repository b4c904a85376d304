//! The order in which parts are fitted: what can hurt first, then area by area
//! so that each cover comes off once, in the order of the sheet.

use crate::bench::progress::needs_work;
use crate::plan::types::{Hazard, Plan, PlannedPart, Severity};

/// Parts that are worked on together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Batch {
    /// What the batch is called.
    pub title: String,
    /// The keys of its parts.
    pub keys: Vec<String>,
}

/// The batches of a plan, in order.
pub fn batches(plan: &Plan) -> Vec<Batch> {
    let mut batches: Vec<Batch> = Vec::new();
    let mut put = |title: &str, key: &str| {
        if let Some(batch) = batches.iter_mut().find(|b| b.title == title) {
            batch.keys.push(key.to_owned());
        } else {
            batches.push(Batch { title: title.to_owned(), keys: vec![key.to_owned()] });
        }
    };
    let work = || plan.parts.iter().filter(|p| needs_work(p));
    for part in work().filter(|p| is_hazardous(plan, p)) {
        put("First: parts that can hurt", &part.key);
    }
    for part in work().filter(|p| !is_hazardous(plan, p)) {
        match &part.area {
            Some(area) => put(&format!("In the area: {area}"), &part.key),
            None => put("No area given", &part.key),
        }
    }
    batches
}

fn is_hazardous(plan: &Plan, part: &PlannedPart) -> bool {
    hazards_of(plan, part).any(|h| h.severity >= Severity::Warning)
}

/// The hazards of a part.
pub fn hazards_of<'a>(plan: &'a Plan, part: &'a PlannedPart) -> impl Iterator<Item = &'a Hazard> {
    plan.hazards.iter().filter(|h| part.hazards.contains(&h.id))
}

/// What is to be done to a part, in one line.
pub fn task(part: &PlannedPart) -> String {
    match &part.replacement {
        Some(new) => new.text.clone(),
        None => part.checks.first().map_or_else(|| part.reason.clone(), |c| c.what.clone()),
    }
}

/// The words of a check up to the first comma: enough beside a field.
pub fn short(what: &str) -> &str {
    what.split([',', '.', ';']).next().unwrap_or(what).trim()
}

/// What to heed about the leads, in short sentences.
pub fn lead_words(part: &PlannedPart) -> Vec<String> {
    let Some(new) = &part.replacement else { return Vec::new() };
    let polarity = new.polarity.iter().map(|p| format!("Positive: {p}."));
    let foil = new.outer_foil.iter().map(|p| format!("Outer foil: {p}."));
    polarity.chain(foil).map(|s| s.replace("..", ".")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::types::{Decision, OldPart};
    use crate::sheet::part::Designator;

    fn part(number: u32, area: Option<&str>, hazards: &[&str]) -> PlannedPart {
        let designator = Designator { letters: "C".into(), number, section: None };
        PlannedPart {
            key: designator.to_string(),
            designator,
            kind: crate::trade::kind::PartKind::Capacitor,
            line: 1,
            decision: Decision::Replace,
            reason: String::new(),
            role: None,
            old: OldPart {
                text: String::new(),
                value: None,
                picofarads: None,
                ohms: None,
                rating: None,
                dielectric: None,
                tolerance: None,
            },
            replacement: None,
            checks: vec![],
            hazards: hazards.iter().map(|h| (*h).to_owned()).collect(),
            working: vec![],
            area: area.map(str::to_owned),
            stress: None,
            required_insulation: None,
            discharge: None,
            watts: None,
        }
    }

    #[test]
    fn what_can_hurt_comes_first_and_each_area_once() {
        let hazard = Hazard {
            id: "line".into(),
            title: String::new(),
            severity: Severity::Danger,
            what_can_happen: String::new(),
            what_to_do: String::new(),
            parts: vec![],
            working: vec![],
        };
        let mut kept = part(9, None, &[]);
        kept.decision = Decision::Keep;
        let plan = Plan {
            parts: vec![
                part(1, Some("top"), &[]),
                part(2, Some("switch"), &[]),
                part(3, Some("top"), &[]),
                part(4, Some("top"), &["line"]),
                kept,
            ],
            hazards: vec![hazard],
            ..Plan::default()
        };
        let order: Vec<_> = batches(&plan).into_iter().map(|b| b.keys.join(" ")).collect();
        assert_eq!(order, ["C4", "C1 C3", "C2"]);
    }
}
