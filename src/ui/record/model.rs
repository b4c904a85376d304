//! The record of a job as rows: what was found, what was fitted, what was left.

use super::stop_rows;
use crate::bench::fitting::{PartState, state};
use crate::bench::old::Judgement;
use crate::bench::power::{PowerStatus, Stop};
use crate::bench::reading::{Verdict, judge};
use crate::bench::set::{PartRecord, SetRecord};
use crate::bench::stamp::Stamp;
use crate::bench::steps::Standing;
use crate::circuit::wiring::Wiring;
use crate::letters::Letters;
use crate::plan::types::{Phase, Plan, PlannedPart, PowerStep, Reading};
use crate::sheet::Sheet;
use crate::ui::fit::old::model::judgement;
use crate::ui::power::told::Told;
use crate::ui::words;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A row on a part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartRow {
    /// Its key.
    pub key: String,
    /// The old part.
    pub old: String,
    /// Readings on the old part, `what: reading`.
    pub found: Vec<String>,
    /// What was done, or is still to be done.
    pub done: String,
    /// The day.
    pub day: String,
    /// What the new part measured.
    pub measured: String,
    /// A remark.
    pub note: String,
}

/// A row on a step of the power-up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepRow {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// `Done`, `Skipped`, `Stopped`, `Open`, or that a tick does not count.
    pub state: &'static str,
    /// When.
    pub when: String,
    /// Readings, `what: reading`.
    pub readings: Vec<String>,
}

/// A row as its table shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// What tells it from the others of its table.
    pub key: String,
    /// Its cells, in the order of the columns.
    pub cells: Vec<String>,
}

impl From<PartRow> for Line {
    fn from(row: PartRow) -> Self {
        let PartRow { key, old, found, done, day, measured, note } = row;
        Self {
            key: key.clone(),
            cells: vec![key, old, found.join("; "), done, day, measured, note],
        }
    }
}

impl From<LeftRow> for Line {
    fn from(row: LeftRow) -> Self {
        let LeftRow { key, old, why } = row;
        Self { key: key.clone(), cells: vec![key, old, why] }
    }
}

impl From<StepRow> for Line {
    fn from(row: StepRow) -> Self {
        let StepRow { id, title, state, when, readings } = row;
        Self { key: id, cells: vec![title, state.to_owned(), when, readings.join("; ")] }
    }
}

/// Rows as their table shows them.
pub fn lines<R: Into<Line>>(rows: Vec<R>) -> Arc<Vec<Line>> {
    Arc::new(rows.into_iter().map(R::into).collect())
}

/// Rows on the parts of the plan that ask for work or on which something is
/// noted, in the order of the sheet.
pub fn part_rows(
    record: &SetRecord,
    plan: &Plan,
    judged: &BTreeMap<String, Judgement>,
    ahead: i32,
) -> Vec<PartRow> {
    plan.parts
        .iter()
        .filter(|p| crate::bench::progress::needs_work(p) || record.parts.contains_key(&p.key))
        .map(|part| part_row(part, &record.part(&part.key), judged.get(&part.key), ahead))
        .collect()
}

/// What the readings on each part that was read say.
pub fn judgements(
    sheet: &Sheet,
    wiring: &Wiring,
    plan: &Plan,
    record: &SetRecord,
) -> BTreeMap<String, Judgement> {
    let read =
        |part: &&PlannedPart| record.parts.get(&part.key).is_some_and(|r| !r.readings.is_empty());
    plan.parts
        .iter()
        .filter(read)
        .filter_map(|part| {
            let readings = &record.parts.get(&part.key)?.readings;
            let found = judgement(sheet, wiring, part, readings, &record.instruments)?;
            Some((part.key.clone(), found))
        })
        .collect()
}

fn part_row(
    part: &PlannedPart,
    record: &PartRecord,
    judged: Option<&Judgement>,
    ahead: i32,
) -> PartRow {
    let mut found = said(record.readings.iter().map(|(k, v)| (k.as_str(), v.as_str())));
    found.extend(judged.map(|j| format!("{}: {}", j.good.word(), j.sentence)));
    let task = part.replacement.as_ref().map(|new| new.text.clone());
    let done = match (record.done_at, task) {
        (Some(_), Some(task)) => format!("{}: {task}", words::done(part.decision)),
        (Some(_), None) => words::done(part.decision).to_owned(),
        (None, _) => format!("Open: {}", words::decision(part.decision).lower()),
    };
    let done = match state(part, record) {
        PartState::Failing => format!("{done}. Measures OUT of its limits: not good"),
        PartState::Unclear => format!("{done}. What it measures cannot be judged"),
        PartState::Open | PartState::Done => done,
    };
    PartRow {
        key: part.key.clone(),
        old: part.old.text.clone(),
        found,
        done,
        day: day(record.done_at, ahead),
        measured: record.measured.clone(),
        note: record.note.clone(),
    }
}

/// Rows on records whose part is no longer on the sheet.
pub fn orphan_rows(record: &SetRecord, plan: &Plan, ahead: i32) -> Vec<PartRow> {
    let on_sheet = |key: &str| plan.parts.iter().any(|p| p.key == key);
    record
        .orphans(on_sheet)
        .map(|key| {
            let kept = record.part(key);
            PartRow {
                key: key.to_owned(),
                old: String::new(),
                found: said(kept.readings.iter().map(|(k, v)| (k.as_str(), v.as_str()))),
                done: if kept.done_at.is_some() { "Done".into() } else { String::new() },
                day: day(kept.done_at, ahead),
                measured: kept.measured.clone(),
                note: kept.note.clone(),
            }
        })
        .collect()
}

/// A part that was left as it was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftRow {
    /// Its key.
    pub key: String,
    /// The part.
    pub old: String,
    /// Why it was left.
    pub why: String,
}

/// The parts that stay without work, and why.
pub fn left_rows(record: &SetRecord, plan: &Plan) -> Vec<LeftRow> {
    plan.parts
        .iter()
        .filter(|p| !crate::bench::progress::needs_work(p) && !record.parts.contains_key(&p.key))
        .map(|part| LeftRow {
            key: part.key.clone(),
            old: part.old.text.clone(),
            why: part.reason.clone(),
        })
        .collect()
}

/// What is said behind a reading that is not within its band.
pub fn verdict_words(reading: &Reading, typed: &str) -> &'static str {
    let (least, most) = (reading.least.as_deref(), reading.most.as_deref());
    match judge(typed, &reading.unit, least, most) {
        Ok(Some(Verdict::Below)) => " (OUT, below its band)",
        Ok(Some(Verdict::Above)) => " (OUT, above its band)",
        Ok(Some(Verdict::Unproven)) => " (not settled)",
        Err(_) if least.is_some() || most.is_some() => " (cannot be read)",
        _ => "",
    }
}

/// Rows on the steps of the power-up that come before power, or on the others.
pub fn step_rows(
    told: Told,
    record: &SetRecord,
    status: &PowerStatus,
    before: bool,
) -> Vec<StepRow> {
    let wanted = |(_, step): &(usize, &PowerStep)| (step.phase == Phase::BeforePower) == before;
    let steps = told.steps.iter().enumerate().filter(wanted);
    steps.map(|(at, step)| step_row(told, (at, step), record, status)).collect()
}

fn step_row(
    told: Told,
    (at, step): (usize, &PowerStep),
    record: &SetRecord,
    status: &PowerStatus,
) -> StepRow {
    let kept = record.step(&step.id);
    let mut readings = super::paper::readings(step, record);
    readings.extend(stop_rows::notes(told, status, at));
    let ticked = kept.done_at.or(kept.skipped_at);
    let (state, when) = match status.standings.get(at) {
        Some(Standing::Done) => ("Done", kept.done_at),
        Some(Standing::Skipped) => ("Skipped", kept.skipped_at),
        _ if status.at(at).any(Stop::is_open) => ("Stopped", ticked),
        _ if ticked.is_some() => ("Ticked, does not count", ticked),
        _ => ("Open", None),
    };
    let mut row = StepRow {
        id: step.id.clone(),
        title: step.title.clone(),
        state,
        when: when.map(|at| at.day_and_time(told.ahead)).unwrap_or_default(),
        readings,
    };
    stop_rows::earlier(told, record, step, &mut row);
    row
}

fn said<'a>(pairs: impl Iterator<Item = (&'a str, &'a str)>) -> Vec<String> {
    pairs
        .filter(|(_, typed)| !typed.trim().is_empty())
        .map(|(what, typed)| format!("{}: {typed}", what.trim_end_matches('.')))
        .collect()
}

fn day(at: Option<Stamp>, ahead: i32) -> String {
    at.map(|at| at.day(ahead)).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::set::SetId;
    use crate::bench::steps::skip;

    #[test]
    fn a_skipped_step_and_a_reading_out_of_its_band_say_so() {
        let plan = crate::plan::plan(&crate::sheet::Sheet::default());
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        assert!(skip(&mut record, "look", "Looked at yesterday.", Stamp(0)));
        record.step_mut("verify").readings.insert("left".into(), "38".into());
        let status = PowerStatus::of(&plan.power_up, &plan, &record);
        let told = Told { steps: &plan.power_up, ahead: 0 };
        let before = step_rows(told, &record, &status, true);
        assert_eq!(before[0].state, "Skipped");
        let reason = "It was skipped. Passed with a reason, Jan 1, 1970, 00:00: “Looked at \
                      yesterday.”";
        assert_eq!(before[0].readings, [reason]);
        // The reason is seen on the steps that follow.
        assert_eq!(before[1].readings, ["Passed with a reason: step 1."]);
        let after = step_rows(told, &record, &status, false);
        let verify = after.iter().find(|row| row.id == "verify").unwrap();
        assert_eq!(verify.state, "Stopped");
        assert_eq!(verify.readings[0], "Highest voltage left: 38 V (OUT, above its band)");
        assert_eq!(before.len() + after.len(), plan.power_up.len());
    }

    #[test]
    fn a_tick_behind_a_stop_does_not_read_as_done() {
        let plan = crate::plan::plan(&crate::sheet::Sheet::default());
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        for id in ["look", "fitted", "tubes", "cord-fuse", "plug-ohms", "plug-to-metal"] {
            record.step_mut(id).done_at = Some(Stamp(0));
        }
        record.step_mut("plug-ohms").readings.insert("plug".into(), "2".into());
        let status = PowerStatus::of(&plan.power_up, &plan, &record);
        let told = Told { steps: &plan.power_up, ahead: 0 };
        let rows = step_rows(told, &record, &status, true);
        let states: Vec<&str> = rows.iter().skip(3).take(3).map(|row| row.state).collect();
        assert_eq!(states, ["Done", "Stopped", "Stopped"]);
        record.step_mut("plug-to-metal").readings.insert("metal".into(), "> 20".into());
        let status = PowerStatus::of(&plan.power_up, &plan, &record);
        let rows = step_rows(told, &record, &status, true);
        assert_eq!(rows[5].state, "Ticked, does not count");
    }

    #[test]
    fn what_the_readings_say_stands_behind_them_in_a_sentence() {
        let sheet = Sheet::read("C1 .05 mfd 400 V paper coupling");
        let plan = crate::plan::plan(&sheet);
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        record.part_mut("C1").readings.insert("leakage".into(), "800 µA".into());
        record.part_mut("C1").readings.insert("leakage tested at".into(), "300 V".into());
        let judged = judgements(&sheet, &Wiring::of(&sheet), &plan, &record);
        let rows = part_rows(&record, &plan, &judged, 0);
        assert_eq!(rows[0].found.len(), 3, "{:?}", rows[0].found);
        assert!(rows[0].found[2].starts_with("Fails: "), "{:?}", rows[0].found);
    }

    #[test]
    fn a_record_without_its_part_is_still_told() {
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        record.part_mut("C7").measured = "0.047".into();
        record.part_mut("C7").done_at = Some(Stamp(0));
        let rows = orphan_rows(&record, &Plan::default(), 0);
        assert_eq!(rows.len(), 1);
        assert_eq!((rows[0].key.as_str(), rows[0].measured.as_str()), ("C7", "0.047"));
        assert_eq!(rows[0].day, "Jan 1, 1970");
    }
}
