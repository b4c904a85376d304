//! The order of the power-up: a step opens when all before it are through.

use super::set::SetRecord;
use super::stamp::Stamp;
use crate::plan::types::{Phase, Plan, PowerStep};

/// How a step stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Done.
    Done,
    /// Passed over; the record says so.
    Skipped,
    /// The one to do now.
    Now,
    /// Waits for those before it.
    Later,
}

/// How each step of the plan stands, in order.
pub fn standings(record: &SetRecord, plan: &Plan) -> Vec<Standing> {
    let mut open = true;
    let mut stand = |step: &PowerStep| {
        let kept = record.steps.get(&step.id);
        if kept.is_some_and(|k| k.done_at.is_some()) {
            Standing::Done
        } else if kept.is_some_and(|k| k.skipped_at.is_some()) {
            Standing::Skipped
        } else if std::mem::take(&mut open) {
            Standing::Now
        } else {
            Standing::Later
        }
    };
    plan.power_up.iter().map(&mut stand).collect()
}

/// Marks a step as done, or takes that back.
pub fn set_done(record: &mut SetRecord, id: &str, now: Option<Stamp>) {
    let step = record.step_mut(id);
    step.done_at = now;
    step.skipped_at = None;
}

/// Marks a step as passed over, or takes that back.
pub fn set_skipped(record: &mut SetRecord, id: &str, now: Option<Stamp>) {
    let step = record.step_mut(id);
    step.skipped_at = now;
    step.done_at = None;
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
    fn steps_open_one_after_the_other() {
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        let at = |record: &SetRecord| standings(record, &plan());
        assert_eq!(at(&record), [Standing::Now, Standing::Later, Standing::Later]);
        set_done(&mut record, "look", Some(Stamp(1)));
        assert_eq!(at(&record), [Standing::Done, Standing::Now, Standing::Later]);
        set_skipped(&mut record, "lamp", Some(Stamp(2)));
        assert_eq!(at(&record), [Standing::Done, Standing::Skipped, Standing::Now]);
    }

    #[test]
    fn taking_a_step_back_makes_it_the_one_to_do_now() {
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        set_done(&mut record, "look", Some(Stamp(1)));
        set_done(&mut record, "lamp", Some(Stamp(1)));
        set_done(&mut record, "look", None);
        let found = standings(&record, &plan());
        assert_eq!(found, [Standing::Now, Standing::Done, Standing::Later]);
    }

    #[test]
    fn stopping_shows_the_steps_that_discharge_the_set() {
        let plan = plan();
        assert_eq!(stop_steps(&plan).map(|s| s.id.as_str()).collect::<Vec<_>>(), ["off"]);
    }
}
