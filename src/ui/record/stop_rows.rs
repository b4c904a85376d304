//! The record's rows on what stopped the power-up: what still stands, what was
//! passed with which reason, withdrawn reasons too, and every stop under power.

use super::model::{Line, StepRow};
use crate::bench::halt::{Halt, HaltCause, Run};
use crate::bench::overrides::{Override, Passed};
use crate::bench::power::PowerStatus;
use crate::bench::set::SetRecord;
use crate::plan::types::PowerStep;
use crate::ui::power::told::{Told, with_unit};

/// A row on a stop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StopRow {
    /// What tells it from the others.
    pub id: String,
    /// The step, with its number.
    pub step: String,
    /// What stood against it.
    pub what: String,
    /// `Open`, `Passed`, `Withdrawn`, `Started again` or `Went on`.
    pub state: &'static str,
    /// When.
    pub when: String,
    /// The reason, or what was wrong and what cured it.
    pub words: String,
}

impl From<StopRow> for Line {
    fn from(row: StopRow) -> Self {
        let StopRow { id, step, what, state, when, words } = row;
        Self { key: id, cells: vec![step, what, state.to_owned(), when, words] }
    }
}

/// Rows on stops, those that still stand first, then in the order of steps.
pub fn stop_rows(told: Told, record: &SetRecord, status: &PowerStatus) -> Vec<StopRow> {
    let open = status.stops.iter().enumerate().filter(|(_, stop)| stop.is_open());
    let open = open.map(|(at, stop)| StopRow {
        id: format!("open/{at}"),
        step: named(told.steps, stop.step),
        what: told.cause(stop),
        state: "Open",
        when: String::new(),
        words: "Not cured, and no reason given.".to_owned(),
    });
    let reasons = told.steps.iter().enumerate().flat_map(|(at, step)| {
        let given = record.steps.get(&step.id).into_iter().flat_map(|kept| &kept.overrides);
        given.map(move |(key, given)| reason_row(told, (at, step), key, given, status))
    });
    let halts = record.halts.iter().filter(|(_, halt)| !halt.is_open());
    let halts = halts.map(|(key, halt)| halt_row(told, key, halt));
    open.chain(reasons).chain(halts).collect()
}

fn named(steps: &[PowerStep], at: usize) -> String {
    format!("{}. {}", at + 1, steps[at].title)
}

fn reason_row(
    told: Told,
    (at, step): (usize, &PowerStep),
    key: &str,
    given: &Override,
    status: &PowerStatus,
) -> StopRow {
    let stands = status.at(at).any(|stop| stop.passed.as_ref() == Some(given));
    let state = match given.withdrawn_at {
        Some(_) => "Withdrawn",
        None if stands => "Passed",
        None => "Of before",
    };
    let name = |id: &str| {
        let asked = step.readings.iter().find(|reading| reading.id == id);
        asked.map_or_else(|| id.to_owned(), |reading| reading.what.clone())
    };
    let what = match given.past {
        Passed::Reading => {
            let asked = step.readings.iter().find(|reading| reading.id == given.reading);
            let found = asked.map_or_else(|| given.found.clone(), |r| with_unit(r, &given.found));
            format!("{}: {found}", name(&given.reading))
        }
        Passed::Unmeasured => {
            let all: Vec<String> = given.found.lines().map(name).collect();
            format!("Not measured: {}", all.join(", "))
        }
        Passed::Unfitted => {
            format!("Not fitted: {}", given.found.lines().collect::<Vec<_>>().join(", "))
        }
        Passed::Skip => "Skipped".to_owned(),
    };
    let mut when = given.given_at.day_and_time(told.ahead);
    if let Some(at) = given.withdrawn_at {
        when = format!("{when}; withdrawn {}", at.day_and_time(told.ahead));
    }
    StopRow {
        id: format!("{}/{key}", step.id),
        step: named(told.steps, at),
        what,
        state,
        when,
        words: given.reason.clone(),
    }
}

fn halt_row(told: Told, key: &str, halt: &Halt) -> StopRow {
    let at = told.steps.iter().position(|step| step.id == halt.step);
    let (state, end) = match halt.restarted_at {
        Some(at) => ("Started again", Some(at)),
        None => ("Went on", halt.resumed_at),
    };
    let when = |at: crate::bench::stamp::Stamp| at.day_and_time(told.ahead);
    let end = end.map(|at| format!("; {}", when(at))).unwrap_or_default();
    let left = if halt.left.is_empty() {
        String::new()
    } else {
        format!(" Left when measured: {} V.", halt.left.trim_end_matches(['V', 'v', ' ']))
    };
    StopRow {
        id: format!("halt/{key}"),
        step: at.map_or_else(|| halt.step.clone(), |at| named(told.steps, at)),
        what: match halt.cause {
            HaltCause::StopNow => "Stop now was pressed".to_owned(),
            HaltCause::Reading => "A reading was out of its limits".to_owned(),
        },
        state,
        when: format!("{}{end}", when(halt.halted_at)),
        words: format!("{}{left}", halt.words),
    }
}

/// What stands on a step and what it found, behind its readings.
pub fn notes(told: Told, status: &PowerStatus, at: usize) -> Vec<String> {
    let own = status.at(at).map(|stop| told.passed(stop).unwrap_or_else(|| told.cause(stop)));
    own.chain(told.in_short(status, at)).collect()
}

/// What was done in runs that were stopped.
pub fn earlier(told: Told, record: &SetRecord, step: &PowerStep, row: &mut StepRow) {
    let Some(kept) = record.steps.get(&step.id) else { return };
    for (key, Run { done_at, readings, .. }) in &kept.runs {
        let until = record.halts.get(key).map_or_else(String::new, |halt| {
            format!(", stopped {}", halt.halted_at.day_and_time(told.ahead))
        });
        let mut said = vec![if done_at.is_some() { "done" } else { "begun" }.to_owned()];
        for (id, typed) in readings {
            let asked = step.readings.iter().find(|reading| reading.id == *id);
            said.push(asked.map_or_else(
                || format!("{id}: {typed}"),
                |reading| format!("{}: {}", reading.what, with_unit(reading, typed)),
            ));
        }
        row.readings.push(format!("In the run before{until}: {}.", said.join("; ")));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::halt;
    use crate::bench::overrides::{Against, give, withdraw};
    use crate::bench::set::SetId;
    use crate::bench::stamp::Stamp;
    use crate::plan::plan;
    use crate::sheet::Sheet;

    #[test]
    fn the_record_tells_what_stands_what_was_passed_and_what_was_withdrawn() {
        let plan = plan(&Sheet::read("mains 117 V\nsupply transformer 700 V CT"));
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        record.step_mut("plug-ohms").readings.insert("plug".into(), "40".into());
        let found = Against::Reading { id: "plug".into(), typed: "40".into() };
        give(record.step_mut("plug-ohms"), &found, "A small set.", Stamp(0));
        withdraw(record.step_mut("plug-ohms"), &found, Stamp(60_000));
        give(record.step_mut("tubes"), &Against::Skip, "None are in.", Stamp(0));
        record.step_mut("tubes").skipped_at = Some(Stamp(0));
        let status = PowerStatus::of(&plan.power_up, &plan, &record);
        let told = Told { steps: &plan.power_up, ahead: 0 };
        let rows = stop_rows(told, &record, &status);
        let shown: Vec<(&str, &str, &str)> =
            rows.iter().map(|r| (r.step.as_str(), r.state, r.words.as_str())).collect();
        assert_eq!(
            shown,
            [
                ("5. Resistance at the plug", "Open", "Not cured, and no reason given."),
                ("3. Tubes in their sockets", "Passed", "None are in."),
                ("5. Resistance at the plug", "Withdrawn", "A small set."),
            ]
        );
    }

    #[test]
    fn a_stop_under_power_stays_on_the_record_with_its_cure_and_the_run_before() {
        let plan = plan(&Sheet::read("mains 117 V\nsupply transformer 700 V CT"));
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        record.step_mut("stage-1").done_at = Some(Stamp(0));
        record.step_mut("stage-1").readings.insert("line".into(), "29".into());
        let (steps, at) = (&plan.power_up, Stamp(60_000));
        let key = halt::halt(&mut record, steps, "stage-2", HaltCause::StopNow, at).unwrap();
        assert!(halt::restart(&mut record, steps, &key, ("V5 shorted.", "2"), Stamp(120_000)));
        let status = PowerStatus::of(steps, &plan, &record);
        let told = Told { steps, ahead: 0 };
        let rows = stop_rows(told, &record, &status);
        assert_eq!(rows.len(), 1);
        assert_eq!(rows[0].state, "Started again");
        assert_eq!(rows[0].words, "V5 shorted. Left when measured: 2 V.");
        let step = steps.iter().find(|step| step.id == "stage-1").unwrap();
        let mut row = StepRow {
            id: String::new(),
            title: String::new(),
            state: "Open",
            when: String::new(),
            readings: Vec::new(),
        };
        earlier(told, &record, step, &mut row);
        assert_eq!(
            row.readings,
            ["In the run before, stopped Jan 1, 1970, 00:01: done; Line at the set: 29 V."]
        );
    }
}
