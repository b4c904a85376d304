//! Going on past a stop: a reason that is written down, for what was found and
//! nothing else.
//!
//! ```
//! use firstglow::bench::overrides::{Against, give, in_force};
//! use firstglow::bench::{set::StepRecord, stamp::Stamp};
//! let mut step = StepRecord::default();
//! let found = Against::Reading { id: "b-plus".into(), typed: "95".into() };
//! assert!(!give(&mut step, &found, "  ", Stamp(1)), "a reason is words");
//! assert!(give(&mut step, &found, "The tubes are still cold.", Stamp(1)));
//! assert!(in_force(&step, &found).is_some());
//! // A new reading is another matter.
//! let anew = Against::Reading { id: "b-plus".into(), typed: "90".into() };
//! assert!(in_force(&step, &anew).is_none());
//! ```

use super::set::StepRecord;
use super::stamp::Stamp;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What a step is gone past for, as it is saved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Passed {
    /// A reading out of its limits, or one that cannot be judged.
    #[default]
    Reading,
    /// Readings that were not taken.
    Unmeasured,
    /// Parts that are not fitted.
    Unfitted,
    /// The step itself.
    Skip,
}

/// A written reason to go on. It is kept under its moment, so that what two
/// devices gave stands side by side, and stays when it is withdrawn.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct Override {
    /// Past what.
    pub past: Passed,
    /// The reading, by its id; empty for all else.
    pub reading: String,
    /// What was found then: the reading as typed, or one missing thing a line.
    pub found: String,
    /// Why, in the person's words.
    pub reason: String,
    /// When.
    pub given_at: Stamp,
    /// When it was withdrawn.
    pub withdrawn_at: Option<Stamp>,
}

/// What a reason is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Against {
    /// This reading, as typed.
    Reading {
        /// Its id.
        id: String,
        /// As typed.
        typed: String,
    },
    /// These readings, by their ids, are not there.
    Unmeasured(Vec<String>),
    /// These parts, by their keys, are not fitted.
    Unfitted(Vec<String>),
    /// The step is skipped.
    Skip,
}

impl Override {
    /// Whether it stands against that: the same reading, or no more missing
    /// than there was.
    pub fn covers(&self, against: &Against) -> bool {
        if self.withdrawn_at.is_some() || self.reason.trim().is_empty() {
            return false;
        }
        let all = |missing: &[String]| {
            missing.iter().all(|one| self.found.lines().any(|known| known == one))
        };
        match (self.past, against) {
            (Passed::Reading, Against::Reading { id, typed }) => {
                self.reading == *id && self.found.trim() == typed.trim()
            }
            (Passed::Unmeasured, Against::Unmeasured(missing))
            | (Passed::Unfitted, Against::Unfitted(missing)) => all(missing),
            (Passed::Skip, Against::Skip) => true,
            _ => false,
        }
    }
}

/// The reason that stands against that, the last one given.
pub fn in_force<'a>(step: &'a StepRecord, against: &Against) -> Option<&'a Override> {
    step.overrides.values().rev().find(|given| given.covers(against))
}

/// Writes a reason down. Words that say nothing are none, and change nothing.
pub fn give(step: &mut StepRecord, against: &Against, reason: &str, now: Stamp) -> bool {
    let reason = reason.trim();
    if reason.is_empty() {
        return false;
    }
    let (past, reading, found) = match against {
        Against::Reading { id, typed } => (Passed::Reading, id.clone(), typed.trim().to_owned()),
        Against::Unmeasured(ids) => (Passed::Unmeasured, String::new(), ids.join("\n")),
        Against::Unfitted(keys) => (Passed::Unfitted, String::new(), keys.join("\n")),
        Against::Skip => (Passed::Skip, String::new(), String::new()),
    };
    let key = free_key(&step.overrides, now);
    let reason = reason.to_owned();
    step.overrides
        .insert(key, Override { past, reading, found, reason, given_at: now, withdrawn_at: None });
    true
}

/// Withdraws every reason against that.
pub fn withdraw(step: &mut StepRecord, against: &Against, now: Stamp) {
    for given in step.overrides.values_mut().filter(|given| given.covers(against)) {
        given.withdrawn_at = Some(now);
    }
}

/// A key by the moment, which sorts as moments do.
pub fn free_key<T>(taken: &BTreeMap<String, T>, now: Stamp) -> String {
    let mut moment = now.0;
    loop {
        let key = format!("{moment:014}");
        if !taken.contains_key(&key) {
            return key;
        }
        moment += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unfitted(keys: &[&str]) -> Against {
        Against::Unfitted(keys.iter().map(|k| (*k).to_owned()).collect())
    }

    #[test]
    fn a_reason_for_missing_parts_covers_fewer_of_them_and_none_that_is_new() {
        let mut step = StepRecord::default();
        assert!(give(&mut step, &unfitted(&["C3", "C4"]), "Mica, tested good.", Stamp(1)));
        assert!(in_force(&step, &unfitted(&["C4"])).is_some());
        assert!(in_force(&step, &unfitted(&["C4", "C9"])).is_none());
        assert!(in_force(&step, &Against::Skip).is_none());
    }

    #[test]
    fn a_withdrawn_reason_stays_written_and_stands_no_more_until_it_is_given_again() {
        let mut step = StepRecord::default();
        give(&mut step, &Against::Skip, "No such thing on this set.", Stamp(5));
        withdraw(&mut step, &Against::Skip, Stamp(6));
        assert!(in_force(&step, &Against::Skip).is_none());
        assert_eq!(step.overrides.len(), 1);
        give(&mut step, &Against::Skip, "Looked again: there is none.", Stamp(5));
        assert_eq!(in_force(&step, &Against::Skip).unwrap().reason, "Looked again: there is none.");
        assert_eq!(step.overrides.len(), 2);
    }

    #[test]
    fn a_reason_for_one_reading_is_none_for_another_of_the_same_figure() {
        let mut step = StepRecord::default();
        let reading = |id: &str| Against::Reading { id: id.into(), typed: "2".into() };
        give(&mut step, &reading("set"), "The lamp is a smaller one.", Stamp(1));
        assert!(in_force(&step, &reading("b-plus")).is_none());
        assert!(in_force(&step, &reading("set")).is_some());
    }
}
