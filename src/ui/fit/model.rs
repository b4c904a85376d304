//! The batches in which parts are fitted, in the order of work, with what is
//! marked, taken off and put back around each.

use crate::plan::types::{Hazard, Plan, PlannedPart};
use crate::plan::work::{Step, Stop, work};
use crate::sheet::Sheet;

/// Parts that are worked on together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Batch {
    /// What the batch is called.
    pub title: String,
    /// The area, if it is one.
    pub area: Option<String>,
    /// What is marked and taken off before.
    pub opens: Vec<Step>,
    /// The keys of its parts.
    pub keys: Vec<String>,
    /// What is closed again behind it, in a sentence.
    pub closes: Option<String>,
}

/// The batches of a plan and why they stand so.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Order {
    /// The batches, in order.
    pub batches: Vec<Batch>,
    /// Why, in sentences.
    pub reasons: Vec<String>,
    /// What must be set again when all is done.
    pub readjust: Vec<Step>,
}

/// The batches of a plan, in the order of work.
pub fn order(sheet: &Sheet, plan: &Plan) -> Order {
    let found = work(sheet, plan);
    let has_areas = found.stops.iter().any(|s| s.area.is_some());
    let first = found.stops.first().is_some_and(|s| s.area.is_none()) && found.stops.len() > 1;
    let batches = found.stops.into_iter().enumerate().map(|(at, stop)| {
        let title = match &stop.area {
            Some(area) => format!("In the area: {area}"),
            None if at == 0 && first => "First: parts that can hurt, no area given".to_owned(),
            None if has_areas || first => "No area given".to_owned(),
            None => "All parts".to_owned(),
        };
        batch(title, stop)
    });
    Order { batches: batches.collect(), reasons: found.reasons, readjust: found.readjust }
}

fn batch(title: String, stop: Stop) -> Batch {
    let Stop { area, opens, keys, closes } = stop;
    let closes = (!closes.is_empty())
        .then(|| format!("Then nothing more is done there: {} can be closed.", closes.join(", ")));
    Batch { title, area, opens, keys, closes }
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
    let polarity = new.polarity.iter().map(|p| format!("Polarity: {p}."));
    let foil = new.outer_foil.iter().map(|p| format!("Outer foil: {p}."));
    polarity.chain(foil).map(|s| s.replace("..", ".")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn batches_follow_the_order_of_work_and_carry_their_covers() {
        let sheet = Sheet::read(
            "C1 .05 mfd 400 V paper\nC2 .05 mfd 400 V paper line to neutral\nC3 .1 mfd 200 V \
             paper\narea case: off: screws mark: pointer readjust: dial\narea top: C1 after \
             case\narea end: C2 after case",
        );
        let found = order(&sheet, &crate::plan::plan(&sheet));
        let shown: Vec<_> =
            found.batches.iter().map(|b| format!("{}: {}", b.title, b.keys.join(" "))).collect();
        assert_eq!(shown, ["In the area: end: C2", "In the area: top: C1", "No area given: C3"]);
        assert_eq!(found.batches[0].opens.len(), 2);
        assert!(found.batches[1].closes.as_deref().is_some_and(|c| c.contains("top, case")));
        assert_eq!(found.readjust.len(), 1);
        assert_eq!(found.reasons.len(), 2, "{:?}", found.reasons);
    }

    #[test]
    fn a_sheet_without_areas_is_one_batch_or_two() {
        let sheet = Sheet::read("C1 .05 mfd 400 V paper\nC2 .05 mfd 400 V paper line to neutral");
        let found = order(&sheet, &crate::plan::plan(&sheet));
        let titles: Vec<_> = found.batches.iter().map(|b| b.title.as_str()).collect();
        assert_eq!(titles, ["First: parts that can hurt, no area given", "No area given"]);
    }
}
