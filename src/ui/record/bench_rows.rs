//! The record's rows on steps beside the power-up: areas opened, marked and set
//! again, cleaning.

use super::model::StepRow;
use crate::bench::set::SetRecord;
use crate::plan::cleaning::cleaning;
use crate::plan::types::Plan;
use crate::plan::work::work;
use crate::sheet::Sheet;

/// What must be set again, with all else on areas that was done; then what was
/// cleaned.
pub fn bench_rows(record: &SetRecord, sheet: &Sheet, plan: &Plan, ahead: i32) -> Vec<StepRow> {
    let done = |id: &str| record.steps.get(id).and_then(|s| s.done_at);
    let row = |id: &str, title: String| {
        let at = done(id);
        StepRow {
            id: id.to_owned(),
            title,
            state: if at.is_some() { "Done" } else { "Open" },
            when: at.map(|at| at.day(ahead)).unwrap_or_default(),
            readings: Vec::new(),
        }
    };
    let work = work(sheet, plan);
    let opens = work.stops.iter().flat_map(|s| &s.opens).filter(|s| done(&s.id).is_some());
    let steps = opens.chain(&work.readjust);
    let mut rows: Vec<StepRow> =
        steps.map(|s| row(&s.id, format!("{}: {} ({})", s.kind.words(), s.what, s.area))).collect();
    let cleaned = cleaning(sheet).into_iter().filter(|s| done(&s.id).is_some());
    rows.extend(cleaned.map(|s| row(&s.id, format!("Cleaned {}: {}", s.part, s.what))));
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::set::SetId;
    use crate::bench::stamp::Stamp;

    #[test]
    fn what_must_be_set_again_stands_on_the_record_until_it_is_done() {
        let sheet = Sheet::read(
            "C1 .05 mfd 400 V paper\nS1 \"switch\"\narea dial: C1 off: pointer readjust: pointer",
        );
        let plan = crate::plan::plan(&sheet);
        let mut record = SetRecord::new(SetId(1), String::new(), Stamp(0));
        let rows = bench_rows(&record, &sheet, &plan, 0);
        assert_eq!(rows.len(), 1);
        assert_eq!((rows[0].title.as_str(), rows[0].state), ("Set again: pointer (dial)", "Open"));
        record.step_mut(&rows[0].id).done_at = Some(Stamp(1));
        record.step_mut("area/dial/off/pointer").done_at = Some(Stamp(1));
        record.step_mut("clean/S1/work").done_at = Some(Stamp(1));
        let rows = bench_rows(&record, &sheet, &plan, 0);
        assert_eq!(rows.len(), 3);
        assert!(rows.iter().all(|r| r.state == "Done"));
    }
}
