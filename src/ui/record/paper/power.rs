//! The power-up on paper, and its readings in words.

use super::{Cell, Kind, Paper, Table, heading, row};
use crate::bench::power::PowerStatus;
use crate::bench::set::SetRecord;
use crate::plan::types::{Phase, PowerStep, Reading, StopKind};
use crate::ui::power::told::{Told, limits, with_unit};
use crate::ui::record::model::verdict_words;
use crate::ui::words;

impl Paper<'_> {
    /// The steps, with boxes.
    pub(super) fn power(&self) -> Table {
        let mut rows = Vec::new();
        let mut phase: Option<Phase> = None;
        let status = PowerStatus::of(self.steps, self.plan, self.record);
        let told = Told { steps: self.steps, ahead: self.ahead };
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
            for stop in status.at(at) {
                let passed = told.passed(stop).map(|words| ("", words));
                let name = if stop.is_open() { "Stopped: " } else { "Noted: " };
                lines.push(passed.unwrap_or_else(|| (name, told.cause(stop))));
            }
            lines.extend(told.in_short(&status, at).map(|words| ("Standing: ", words)));
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
                vec![Cell::Lines(lines), readings, Cell::Ticks(&["done", "skipped, why:"])],
            ));
        }
        Table {
            kind: Kind::Power,
            lead: self.power_lead(&status),
            columns: &["Step", "Do", "Read", "✓"],
            rows,
        }
    }

    /// At the head of every page: the way out, and where the power-up stands.
    fn power_lead(&self, status: &PowerStatus) -> String {
        let told = Told { steps: self.steps, ahead: self.ahead };
        let first = self.steps.iter().find(|step| step.id == "unplug");
        let first = first.map_or_else(String::new, |step| format!(" {}.", step.title));
        let mut lead = format!(
            "To stop at any time:{first} Keep hands off, then do the last steps: discharge, \
             measure, measure again. Skip nothing without a written reason."
        );
        let all = status.stops.iter().filter(|stop| stop.kind != StopKind::Advice);
        for stop in all {
            lead.push(' ');
            lead.push_str(&told.before(stop));
        }
        lead
    }
}

/// What is read, with its band: `Line at the set, 59.9 to 73.3 V`.
fn asked(reading: &Reading) -> String {
    format!("{}, {}", reading.what, limits(reading))
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
                format!("{}: {}{verdict}", reading.what, with_unit(reading, typed))
            }
            None => format!("{id}: {typed}"),
        })
        .map(|words| words.trim_end().to_owned())
        .collect()
}
