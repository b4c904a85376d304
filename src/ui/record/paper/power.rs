//! The power-up on paper, and its readings in words.

use super::{Cell, Kind, Paper, Table, heading, row};
use crate::bench::set::SetRecord;
use crate::letters::Letters;
use crate::plan::types::{Phase, PowerStep, Reading};
use crate::ui::record::model::verdict_words;
use crate::ui::words;

impl Paper<'_> {
    /// The steps, with boxes.
    pub(super) fn power(&self) -> Table {
        let mut rows = Vec::new();
        let mut phase: Option<Phase> = None;
        for (at, step) in self.steps.iter().enumerate() {
            if phase != Some(step.phase) {
                phase = Some(step.phase);
                rows.push(heading(words::phase(step.phase)));
            }
            let mut lines = vec![("", step.action.clone())];
            lines.extend(step.expect.clone().map(|words| ("Expect: ", words)));
            lines.extend(step.stop_if.clone().map(|words| ("Stop if: ", words)));
            let hold = step.hold_seconds.map(crate::bench::hold::clock);
            lines.extend(hold.map(|clock| ("Hold: ", clock)));
            let readings: Vec<(String, String)> = step
                .readings
                .iter()
                .map(|reading| (asked(reading), self.typed(&step.id, &reading.id)))
                .collect();
            // A row must fit on a page; the pins have boxes of their own.
            let readings = if step.id == "voltages" {
                Cell::Text("On the wiring chart, a box for every pin.".to_owned())
            } else {
                Cell::Readings(readings)
            };
            rows.push(row(
                format!("{}. {}", at + 1, step.title),
                vec![Cell::Lines(lines), readings, Cell::Ticks(&["done", "skipped"])],
            ));
        }
        Table {
            kind: Kind::Power,
            lead: "To stop at any time: pull the plug, keep hands off, then the last steps: \
                   discharge, measure, measure again. A skipped step is marked as skipped."
                .to_owned(),
            columns: &["Step", "Do", "Read", "✓"],
            rows,
        }
    }
}

/// What is read, with its band: `Line at the set, 59.9 to 73.3 V`.
fn asked(reading: &Reading) -> String {
    let Reading { what, unit, .. } = reading;
    match (&reading.least, &reading.most) {
        (Some(least), Some(most)) => format!("{what}, {least} to {most} {unit}"),
        (Some(least), None) => format!("{what}, at least {least} {unit}"),
        (None, Some(most)) => format!("{what}, at most {most} {unit}"),
        (None, None) => format!("{what}, {unit}"),
    }
}

/// Readings typed beside a step, each with its verdict where it is out.
pub fn readings(step: &PowerStep, record: &SetRecord) -> Vec<String> {
    let kept = record.step(&step.id);
    let what = |id: &str| step.readings.iter().find(|r| r.id == id);
    kept.readings
        .iter()
        .filter(|(_, typed)| !typed.trim().is_empty())
        .map(|(id, typed)| match what(id) {
            Some(reading) => {
                let verdict = verdict_words(reading, typed);
                format!("{}: {typed} {}{verdict}", reading.what, unit(reading, typed))
            }
            None => format!("{id}: {typed}"),
        })
        .map(|words| words.trim_end().to_owned())
        .collect()
}

/// The unit, where the user typed none.
fn unit<'a>(reading: &'a Reading, typed: &str) -> &'a str {
    let bare = typed.trim().lower().chars().all(|c| c.is_ascii_digit() || ".,-+".contains(c));
    if bare { &reading.unit } else { "" }
}
