//! The label for the cabinet.

use super::Paper;
use crate::plan::types::{Decision, PlannedPart};
use crate::ui::words;

impl Paper<'_> {
    /// The lines of the label for the cabinet: what the next one to open it
    /// must know.
    pub fn label(&self, day: &str) -> Vec<(&'static str, String)> {
        let header = &self.sheet.header;
        let mut lines = Vec::new();
        let mains = crate::ui::set::model::title_cells(header, self.sheet.parts.len());
        let of = |name: &str| mains.iter().find(|(n, _)| *n == name).map(|(_, v)| v.clone());
        let power = of("Power").filter(|p| p != "–").map_or_else(String::new, |p| format!(", {p}"));
        lines.push(("Mains", format!("{}{power}", of("Mains").unwrap_or_default())));
        let fuse = header.fuse.map(|f| f.to_string()).or_else(|| self.planned_fuse());
        lines.push(("Fuse", fuse.unwrap_or_else(|| "see the record".to_owned())));
        let fitted = |p: &&PlannedPart| {
            matches!(p.decision, Decision::Replace | Decision::Substitute)
                && self.record.parts.get(&p.key).is_some_and(|r| r.done_at.is_some())
        };
        let new: Vec<&str> =
            self.plan.parts.iter().filter(fitted).map(|p| p.key.as_str()).collect();
        let count = words::count(new.len(), "new part", "new parts");
        lines.push(("Fitted", if new.is_empty() { "nothing yet".into() } else { count }));
        lines.push(("Worked on", day.to_owned()));
        if self.plan.supply.line_connected != Some(false) {
            lines.push((
                "DANGER",
                "Chassis or B- is on the line. Isolation transformer.".to_owned(),
            ));
        }
        if !self.plan.charged.is_empty() {
            lines.push((
                "DANGER",
                "Stays charged with the plug out. Discharge, then measure.".into(),
            ));
        }
        lines.push(("", "Not certified. Record of the job with the owner.".to_owned()));
        lines
    }

    /// The fuse that the power-up names.
    fn planned_fuse(&self) -> Option<String> {
        let step = self.steps.iter().find(|step| step.id == "cord-fuse")?;
        step.working.first().map(|working| working.result.to_string())
    }
}
