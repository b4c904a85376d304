//! Steps of the power-up: done, skipped with a reason, or still to be done. How
//! they stand together is [`super::power::PowerStatus`].

use super::halt;
use super::overrides::{Against, give, withdraw};
use super::set::SetRecord;
use super::stamp::Stamp;
use crate::plan::types::{Phase, Plan, PowerStep};

/// How a step stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Done.
    Done,
    /// Passed over, with a written reason.
    Skipped,
    /// The one to do now.
    Now,
    /// Waits for those before it.
    Later,
    /// Ticked or skipped before, and counts again when those before it are
    /// through.
    Held,
}

/// Marks a step as done, or takes that back.
pub fn set_done(record: &mut SetRecord, id: &str, now: Option<Stamp>) {
    let now = now.map(|now| halt::counting(record, now));
    let step = record.step_mut(id);
    step.done_at = now;
    step.skipped_at = None;
}

/// Skips a step with a written reason. Words that say nothing are none, and
/// change nothing.
pub fn skip(record: &mut SetRecord, id: &str, reason: &str, now: Stamp) -> bool {
    let at = halt::counting(record, now);
    let step = record.step_mut(id);
    if !give(step, &Against::Skip, reason, now) {
        return false;
    }
    step.skipped_at = Some(at);
    step.done_at = None;
    true
}

/// Takes a skip back, with its reason.
pub fn unskip(record: &mut SetRecord, id: &str, now: Stamp) {
    let step = record.step_mut(id);
    withdraw(step, &Against::Skip, now);
    step.skipped_at = None;
}

/// The steps to take when everything is to stop at once.
pub fn stop_steps(plan: &Plan) -> impl Iterator<Item = &PowerStep> {
    plan.power_up.iter().filter(|s| s.phase == Phase::SwitchOff)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::set::SetId;

    fn plan() -> Plan {
        let step = |id: &str, phase| PowerStep {
            id: id.into(),
            phase,
            title: id.into(),
            action: String::new(),
            expect: None,
            stop_if: None,
            hold_seconds: None,
            line_v: None,
            readings: vec![],
            working: vec![],
            stop: crate::plan::types::StopKind::Overridable,
        };
        Plan {
            power_up: vec![
                step("look", Phase::BeforePower),
                step("lamp", Phase::Stages),
                step("off", Phase::SwitchOff),
            ],
            ..Plan::default()
        }
    }

    #[test]
    fn skipping_takes_a_reason_and_taking_it_back_withdraws_it() {
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        assert!(!skip(&mut record, "look", " \n", Stamp(1)));
        assert_eq!(record.step("look").skipped_at, None);
        assert!(skip(&mut record, "look", "Looked at yesterday.", Stamp(2)));
        assert_eq!(record.step("look").skipped_at, Some(Stamp(2)));
        unskip(&mut record, "look", Stamp(3));
        let kept = record.step("look");
        assert_eq!(kept.skipped_at, None);
        assert!(kept.overrides.values().all(|given| given.withdrawn_at == Some(Stamp(3))));
    }

    #[test]
    fn stopping_shows_the_steps_that_discharge_the_set() {
        let plan = plan();
        assert_eq!(stop_steps(&plan).map(|s| s.id.as_str()).collect::<Vec<_>>(), ["off"]);
    }
}
