//! The open set: one chain of memos from the bench to the plan.

use super::browser;
use super::lag::{Cost, Lag, Work};
use super::route::Route;
use crate::bench::Bench;
use crate::bench::progress::{Progress, Stage};
use crate::bench::set::{SetId, SetRecord};
use crate::bench::stamp::Stamp;
use crate::plan::types::Plan;
use crate::sheet::{Reading, Sheet};
use crate::ui::view::prelude::*;
use crate::ui::workshop::Workshop;
use std::sync::{Arc, Mutex, PoisonError};

/// The open set, worked out from the bench.
#[derive(Debug, Clone, Copy)]
pub struct Open {
    /// Its id, if there is such a set.
    pub id: Memo<Option<SetId>>,
    /// Its record.
    pub record: Memo<Arc<SetRecord>>,
    /// Its sheet's text.
    pub text: Memo<Arc<str>>,
    /// The text that sheet and plan follow, where it lags behind.
    pub lag: &'static Lag,
    /// What the sheet says.
    pub sheet: Memo<Arc<Sheet>>,
    /// Its plan; its notes alone before the workshop is there.
    pub plan: Memo<Arc<Plan>>,
    route: RwSignal<Route>,
    workshop: RwSignal<Workshop>,
}

impl Open {
    /// Whether it is that set.
    pub fn is(self, id: SetId) -> bool {
        self.id.get_untracked() == Some(id)
    }

    /// The memos over the bench, for the set of the address.
    pub(super) fn new(
        bench: RwSignal<Bench>,
        route: RwSignal<Route>,
        workshop: RwSignal<Workshop>,
    ) -> Self {
        let id = Memo::new(move |_| {
            let id = route.get().set_id()?;
            bench.with(|b| b.set(id).is_some()).then_some(id)
        });
        let record = Memo::new(move |_| {
            let found = id.get().and_then(|id| bench.with(|b| b.set(id).cloned()));
            Arc::new(found.unwrap_or_else(|| SetRecord::new(SetId(0), String::new(), Stamp(0))))
        });
        let text = Memo::new(move |_| record.with(|r| Arc::<str>::from(r.text.as_str())));
        // What reading and planning took last, in milliseconds.
        let cost = Cost::default();
        let lag = Lag::new(id, text, cost.clone());
        let reading = Mutex::new(Reading::default());
        let (of_read, of_plan) = (cost.clone(), cost);
        let sheet = Memo::new(move |_| {
            let text = lag.text.get();
            let read = || {
                let mut before = reading.lock().unwrap_or_else(PoisonError::into_inner);
                workshop.get().read(&mut before, &text)
            };
            let (sheet, ms) = browser::timed("read", read);
            of_read.put(Work::Read, ms);
            Arc::new(sheet)
        });
        let plan = Memo::always_new(move |_| {
            let sheet = sheet.get();
            let (plan, ms) = browser::timed("plan", || Arc::new(workshop.get().plan(&sheet)));
            of_plan.put(Work::Plan, ms);
            plan
        });
        Self { id, record, text, lag, sheet, plan, route, workshop }
    }

    /// How far a stage has come.
    pub fn progress(self, stage: Stage) -> Progress {
        let record = self.record.get();
        let typing = matches!(self.route.get().stage(), Some(Stage::Set | Stage::Parts));
        let told = (&**self.sheet.read(), &**self.plan.read());
        self.workshop.get().progress(stage, &record, told, typing)
    }
}
