//! A stop under power, and the start from the first stage that follows it.
//!
//! A halt is kept for good. While it stands, no step under power can be done,
//! and what was ticked before it counts no more; then either the run starts
//! again from its first stage, or it goes on with a written reason.

use super::overrides::free_key;
use super::reading::{Verdict, judge};
use super::set::{SetRecord, StepRecord};
use super::stamp::Stamp;
use crate::plan::types::{Phase, PowerStep, Reading};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The highest voltage left, by its id in the step that verifies.
const LEFT: &str = "left";

/// Why a run was stopped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HaltCause {
    /// A person pressed Stop now.
    #[default]
    StopNow,
    /// A reading under power was out of its limits.
    Reading,
}

/// A stop under power.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct Halt {
    /// When.
    pub halted_at: Stamp,
    /// The step that was under way, by its id.
    pub step: String,
    /// Why.
    pub cause: HaltCause,
    /// What was wrong and what cured it, or why the run goes on without a new
    /// start.
    pub words: String,
    /// The highest voltage measured after discharging, as typed.
    pub left: String,
    /// When a person had the run start again.
    pub restarted_at: Option<Stamp>,
    /// When a person had it go on instead.
    pub resumed_at: Option<Stamp>,
}

/// What was done in a step in a run that was stopped.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct Run {
    /// When it was ticked.
    pub done_at: Option<Stamp>,
    /// When it was skipped.
    pub skipped_at: Option<Stamp>,
    /// Readings as typed, under the id of each.
    pub readings: BTreeMap<String, String>,
}

impl Halt {
    /// Whether it still stands. A start again without words is none.
    pub fn is_open(&self) -> bool {
        self.words.trim().is_empty() || (self.restarted_at.is_none() && self.resumed_at.is_none())
    }

    /// Whether the run went on without a new start.
    pub fn is_resumed(&self) -> bool {
        !self.is_open() && self.restarted_at.is_none()
    }

    /// The moment up to which ticks under power count no more, if there is one.
    fn voids(&self) -> Option<Stamp> {
        (!self.is_resumed()).then_some(self.restarted_at.unwrap_or_default().max(self.halted_at))
    }
}

/// Whether a step is done on a set that has power, or had it in this run.
pub const fn in_run(phase: Phase) -> bool {
    matches!(phase, Phase::Stages | Phase::FullLine | Phase::SwitchOff)
}

/// The halt that stands, the first of several.
pub fn open(record: &SetRecord) -> Option<(&String, &Halt)> {
    record.halts.iter().find(|(_, halt)| halt.is_open())
}

/// The moment up to which ticks under power count no more.
pub fn voided(record: &SetRecord) -> Option<Stamp> {
    record.halts.values().filter_map(Halt::voids).max()
}

/// A moment for a tick that counts: later than every halt, whatever the clock.
pub fn counting(record: &SetRecord, now: Stamp) -> Stamp {
    voided(record).map_or(now, |until| now.max(Stamp(until.0 + 1)))
}

/// Notes that a run was stopped at a step. Before the first step under power
/// nothing runs, and while a halt stands there is no second one: then nothing
/// is noted.
pub fn halt(
    record: &mut SetRecord,
    steps: &[PowerStep],
    step: &str,
    cause: HaltCause,
    now: Stamp,
) -> Option<String> {
    let at_step = steps.iter().any(|s| s.id == step && in_run(s.phase));
    let begun = |s: &PowerStep| {
        record.steps.get(&s.id).is_some_and(|kept| {
            kept.done_at.is_some() || kept.skipped_at.is_some() || kept.hold_started_at.is_some()
        })
    };
    let runs = at_step || steps.iter().any(|s| in_run(s.phase) && begun(s));
    if !runs || open(record).is_some() {
        return None;
    }
    let key = free_key(&record.halts, now);
    let halt = Halt { halted_at: now, step: step.to_owned(), cause, ..Halt::default() };
    record.halts.insert(key.clone(), halt);
    Some(key)
}

/// The reading of what is left after discharging, with its limit.
pub fn left(steps: &[PowerStep]) -> Option<&Reading> {
    let off = steps.iter().filter(|step| step.phase == Phase::SwitchOff);
    off.flat_map(|step| &step.readings).find(|reading| reading.id == LEFT)
}

/// Whether a reading shows that no more is left than a hand may meet.
pub fn is_discharged(steps: &[PowerStep], typed: &str) -> bool {
    left(steps).is_some_and(|reading| {
        let (least, most) = (reading.least.as_deref(), reading.most.as_deref());
        // Volts of either sign can hurt.
        let typed = typed.trim().trim_start_matches('-');
        judge(typed, &reading.unit, least, most) == Ok(Some(Verdict::Within))
    })
}

/// Starts the run again from its first stage: what was ticked and read under
/// power goes to the history of each step. `words` say what was wrong and what
/// cured it, `left` which voltage was left; without either nothing changes.
pub fn restart(
    record: &mut SetRecord,
    steps: &[PowerStep],
    key: &str,
    (words, left): (&str, &str),
    now: Stamp,
) -> bool {
    let words = words.trim();
    let may = !words.is_empty() && is_discharged(steps, left);
    let Some(halt) = record.halts.get_mut(key).filter(|_| may) else { return false };
    words.clone_into(&mut halt.words);
    left.trim().clone_into(&mut halt.left);
    halt.restarted_at = Some(now);
    for step in steps.iter().filter(|step| in_run(step.phase)) {
        if let Some(kept) = record.steps.get_mut(&step.id) {
            put_away(kept, key);
        }
    }
    true
}

/// What was done in a step becomes its history, under the halt that ended it.
fn put_away(kept: &mut StepRecord, halt: &str) {
    let run = Run {
        done_at: kept.done_at.take(),
        skipped_at: kept.skipped_at.take(),
        readings: std::mem::take(&mut kept.readings),
    };
    kept.hold_started_at = None;
    if run != Run::default() {
        kept.runs.insert(halt.to_owned(), run);
    }
}

/// Goes on where the run was stopped, with a written reason.
pub fn resume(record: &mut SetRecord, key: &str, words: &str, now: Stamp) -> bool {
    let words = words.trim();
    let Some(halt) = record.halts.get_mut(key).filter(|_| !words.is_empty()) else { return false };
    words.clone_into(&mut halt.words);
    halt.resumed_at = Some(now);
    true
}

/// Takes the reason for going on back: the halt stands again.
pub fn withdraw(record: &mut SetRecord, key: &str) {
    if let Some(halt) = record.halts.get_mut(key).filter(|halt| halt.restarted_at.is_none()) {
        halt.resumed_at = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::set::SetId;
    use crate::plan::plan;
    use crate::sheet::Sheet;

    fn steps() -> Vec<PowerStep> {
        plan(&Sheet::read("mains 117 V\nsupply transformer 700 V CT")).power_up
    }

    fn record() -> SetRecord {
        SetRecord::new(SetId(1), String::new(), Stamp(0))
    }

    #[test]
    fn before_power_there_is_no_run_to_stop() {
        let mut record = record();
        record.step_mut("look").done_at = Some(Stamp(1));
        assert_eq!(halt(&mut record, &steps(), "tubes", HaltCause::StopNow, Stamp(2)), None);
        assert!(halt(&mut record, &steps(), "stage-1", HaltCause::StopNow, Stamp(2)).is_some());
        assert_eq!(halt(&mut record, &steps(), "stage-2", HaltCause::StopNow, Stamp(3)), None);
    }

    #[test]
    fn starting_again_opens_every_stage_and_keeps_what_was_done_in_its_history() {
        let (steps, mut record) = (steps(), record());
        record.step_mut("look").done_at = Some(Stamp(1));
        record.step_mut("stage-1").done_at = Some(Stamp(2));
        record.step_mut("stage-1").readings.insert("line".into(), "29".into());
        let key = halt(&mut record, &steps, "stage-2", HaltCause::StopNow, Stamp(3)).unwrap();
        assert!(!restart(&mut record, &steps, &key, (" ", "2"), Stamp(4)));
        for left in ["", "38", "-38", "< 50", "none"] {
            assert!(!restart(&mut record, &steps, &key, ("V5 shorted.", left), Stamp(4)), "{left}");
        }
        assert!(open(&record).is_some());
        assert!(restart(&mut record, &steps, &key, ("V5 shorted: replaced.", "2"), Stamp(4)));
        assert!(open(&record).is_none());
        assert_eq!(record.step("look").done_at, Some(Stamp(1)));
        let stage = record.step("stage-1");
        assert_eq!((stage.done_at, stage.readings.len()), (None, 0));
        assert_eq!(stage.runs[&key].done_at, Some(Stamp(2)));
        assert_eq!(stage.runs[&key].readings["line"], "29");
    }

    #[test]
    fn a_tick_made_with_the_clock_set_back_is_later_than_the_halt_all_the_same() {
        let (steps, mut record) = (steps(), record());
        let key = halt(&mut record, &steps, "stage-1", HaltCause::StopNow, Stamp(1000)).unwrap();
        restart(&mut record, &steps, &key, ("Fuse.", "0"), Stamp(1001));
        assert_eq!(counting(&record, Stamp(5)), Stamp(1002));
        assert_eq!(counting(&record, Stamp(2000)), Stamp(2000));
    }

    #[test]
    fn a_run_that_goes_on_with_a_reason_keeps_its_ticks_until_the_reason_is_withdrawn() {
        let (steps, mut record) = (steps(), record());
        let key = halt(&mut record, &steps, "stage-1", HaltCause::StopNow, Stamp(7)).unwrap();
        assert_eq!(voided(&record), Some(Stamp(7)));
        assert!(!resume(&mut record, &key, "", Stamp(8)));
        assert!(resume(&mut record, &key, "Pressed to read the list.", Stamp(8)));
        assert_eq!(voided(&record), None);
        withdraw(&mut record, &key);
        assert_eq!(voided(&record), Some(Stamp(7)));
    }
}
