//! What the screens of the workshop ask for and nobody else.

use super::Workshop;
use crate::bench::power::PowerStatus;
use crate::bench::progress::{self, Progress, Stage};
use crate::bench::set::SetRecord;
use crate::circuit::limiter::NoLoad;
use crate::circuit::wiring::Wiring;
use crate::plan::on_lamp::Study;
use crate::plan::types::{Plan, PowerStep};
use crate::sheet::Sheet;
use crate::ui::open::Open;
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use std::sync::Arc;

/// Worked out from the open set, only while something shows it. These outlive
/// every screen.
#[derive(Debug, Clone, Copy)]
pub struct Worked {
    /// The nodes of its circuit.
    pub wiring: Memo<Arc<Wiring>>,
    /// The set on its lamp.
    pub study: Memo<Arc<Result<Study, NoLoad>>>,
    /// The steps of the power-up, told by the lamp where it is known.
    pub steps: Memo<Arc<Vec<PowerStep>>>,
    /// How the power-up stands.
    pub status: Memo<Arc<PowerStatus>>,
}

impl Worked {
    pub(super) fn of(open: Open) -> Self {
        let watts = Memo::new(move |_| open.record.read().lamp_watts);
        let study = Memo::always_new(move |_| {
            Arc::new(Study::of(&open.sheet.read(), &open.plan.read().power_up, watts.get()))
        });
        let steps = Memo::always_new(move |_| {
            let (plan, study) = (open.plan.get(), study.get());
            Arc::new(match study.as_ref() {
                Ok(study) => study.join(&plan.power_up),
                Err(_) => plan.power_up.clone(),
            })
        });
        let wiring = Memo::always_new(move |_| Arc::new(Wiring::of(&open.sheet.read())));
        let status = Memo::new(move |_| {
            let (steps, plan, record) = (steps.read(), open.plan.read(), open.record.read());
            Arc::new(PowerStatus::of(&steps, &plan, &record))
        });
        Self { wiring, study, steps, status }
    }
}

/// How far a stage has come. `typing`: the set on its lamp, which takes longer
/// than a keystroke may, is not worked out for it, and the steps are those of
/// the plan alone.
pub fn progress(
    stage: Stage,
    record: &SetRecord,
    (sheet, plan): (&Sheet, &Plan),
    worked: Worked,
    typing: bool,
) -> Progress {
    // Before anything is done under power both say the same.
    let by_lamp = matches!(stage, Stage::Power | Stage::Record)
        && !typing
        && record.steps.values().any(|kept| !kept.readings.is_empty());
    if by_lamp {
        return progress::of(stage, record, sheet, plan, &worked.steps.read());
    }
    progress::of(stage, record, sheet, plan, &plan.power_up)
}

/// The same, from any screen of the workshop.
pub fn worked() -> Worked {
    match app().workshop.get_untracked() {
        Workshop::Open(tools) => tools.worked,
        _ => unreachable!("its screens are in it"),
    }
}
