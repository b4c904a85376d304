//! How the work on a part stands: a tick is not enough where what was measured
//! is out of its limits.

use super::old::Slot;
use super::reading::{Verdict, judge, unit_of};
use super::set::{PartRecord, SetRecord};
use crate::plan::types::{Check, Decision, Plan, PlannedPart};

/// How the work on a part stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PartState {
    /// Still to be done.
    Open,
    /// Ticked, and nothing measured speaks against it.
    Done,
    /// Ticked, and a reading on it is out of its limits.
    Failing,
    /// Ticked, and a reading on it cannot be judged.
    Unclear,
}

/// How the work on a part stands.
pub fn state(part: &PlannedPart, record: &PartRecord) -> PartState {
    if record.done_at.is_none() {
        return PartState::Open;
    }
    let verdicts = verdicts(part, record);
    if verdicts.contains(&Judged::Fails) {
        PartState::Failing
    } else if verdicts.contains(&Judged::Unclear) {
        PartState::Unclear
    } else {
        PartState::Done
    }
}

/// The parts to be replaced, and the keys of those that are not fitted, or
/// measure out of their limits.
pub fn unfitted(record: &SetRecord, plan: &Plan) -> (usize, Vec<String>) {
    let replaced = plan.parts.iter().filter(|p| is_replaced(p));
    let done = |part: &&PlannedPart| {
        record.parts.get(&part.key).is_some_and(|kept| state(part, kept) == PartState::Done)
    };
    let open = replaced.clone().filter(|part| !done(part)).map(|part| part.key.clone());
    (replaced.count(), open.collect())
}

/// Whether another part takes its place.
pub const fn is_replaced(part: &PlannedPart) -> bool {
    matches!(part.decision, Decision::Replace | Decision::Substitute)
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Judged {
    Passes,
    Unclear,
    Fails,
}

/// Readings on what stays in the set: of a part that is replaced those on the
/// new one, else those that the plan asks for.
fn verdicts(part: &PlannedPart, record: &PartRecord) -> Vec<Judged> {
    if is_replaced(part) {
        let Some(new) = &part.replacement else { return Vec::new() };
        let (least, most) = (new.window.0.to_string(), new.window.1.to_string());
        return vec![judged(&record.measured, unit_of(&least), Some(&least), Some(&most))];
    }
    let of_check = |check: &Check| {
        let (least, most) = (check.least.as_deref(), check.most.as_deref());
        let slot = Slot::of_check(&check.what);
        let of_limits = least.or(most).map(unit_of).unwrap_or_default();
        let unit = slot.map_or(of_limits, |slot| slot.unit(part));
        let kept = slot.and_then(|slot| record.readings.get(slot.key()));
        // Readings of before stand under the words of their check.
        let typed = kept.or_else(|| record.readings.get(&check.what));
        judged(typed.map_or("", String::as_str), unit, least, most)
    };
    part.checks.iter().map(of_check).collect()
}

fn judged(typed: &str, unit: &str, least: Option<&str>, most: Option<&str>) -> Judged {
    match judge(typed, unit, least, most) {
        Ok(None | Some(Verdict::Within | Verdict::Unjudged)) => Judged::Passes,
        Ok(Some(Verdict::Below | Verdict::Above)) => Judged::Fails,
        Ok(Some(Verdict::Unproven)) | Err(_) => Judged::Unclear,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::set::SetId;
    use crate::bench::stamp::Stamp;
    use crate::plan::plan;
    use crate::sheet::Sheet;

    #[test]
    fn a_ticked_part_whose_new_value_is_out_of_its_window_is_not_fitted() {
        let plan = plan(&Sheet::read("C1 .05 mfd 400 V paper coupling\nC2 .1 mfd 400 V paper"));
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        assert_eq!(unfitted(&record, &plan), (2, vec!["C1".to_owned(), "C2".to_owned()]));
        for key in ["C1", "C2"] {
            record.part_mut(key).done_at = Some(Stamp(1));
        }
        assert_eq!(unfitted(&record, &plan), (2, vec![]));
        for (measured, stands) in [
            ("0.005 µF", PartState::Failing),
            ("good", PartState::Unclear),
            ("> 0.001 µF", PartState::Unclear),
            ("0.047 µF", PartState::Done),
        ] {
            record.part_mut("C1").measured = measured.into();
            assert_eq!(state(&plan.parts[0], &record.part("C1")), stands, "{measured}");
            let open = unfitted(&record, &plan).1;
            assert_eq!(open.is_empty(), stands == PartState::Done, "{measured}");
        }
    }

    #[test]
    fn a_part_that_stays_does_not_read_as_good_with_a_failing_reading() {
        let plan = plan(&Sheet::read("R1 470K 1/2 W V1.6 to B1"));
        let part = &plan.parts[0];
        let mut record = PartRecord { done_at: Some(Stamp(1)), ..PartRecord::default() };
        assert_eq!(state(part, &record), PartState::Done);
        record.readings.insert(Slot::Resistance.key().into(), "900 kΩ".into());
        assert_eq!(state(part, &record), PartState::Failing);
    }
}
