//! Cleaning and mechanics, checked off.

use super::steps::tick;
use crate::plan::cleaning::{CLEANING_SOURCE, Clean, GROUPS, cleaning};
use crate::ui::kit::dynamic::{each, flag, piece};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use std::sync::Arc;

/// Every step of cleaning, by what it belongs to.
#[component]
pub fn CleaningView() -> impl IntoView {
    let app = app();
    let all = Memo::new(move |_| Arc::new(cleaning(&app.open.sheet.read())));
    let done = move || {
        let record = app.open.record.read();
        let is_done = |id: &String| record.steps.get(id).is_some_and(|s| s.done_at.is_some());
        let all = all.read();
        format!("{} of {} done", all.iter().filter(|s| is_done(&s.id)).count(), all.len())
    };
    let groups = GROUPS
        .map(|group| {
            // What is said of several parts is said once, before their ticks.
            let texts = move || {
                let all = all.read();
                let mut texts: Vec<String> = Vec::new();
                for step in all.iter().filter(|s| s.group == group) {
                    if !texts.contains(&step.what) {
                        texts.push(step.what.clone());
                    }
                }
                texts
            };
            let is_empty = move || all.read().iter().all(|s| s.group != group);
            view! {
                <section class="fit__batch" hidden=flag(is_empty)>
                    <h3 class="fit__title">{group}</h3>
                    {each(texts, move |what: String| said_once(all, group, what))}
                </section>
            }
        })
        .collect_view();
    let source = format!("{} ({})", CLEANING_SOURCE.text, CLEANING_SOURCE.standing.words());
    view! {
        <p class="sheet__lead">
            "Unplugged and discharged. Dry brush and vacuum first; solvent sparingly, never near a flame or a live set, and let it dry before power. "
            <b data-count="cleaning">{piece(done)}</b>
        </p>
        <p class="sheet__empty" hidden=flag(move || !all.read().is_empty())>
            "No switch, control, socket, gang or cord is named on this sheet."
        </p>
        {groups}
        <p class="field__hint">"Source: "{source}</p>
    }
}

fn said_once(all: Memo<Arc<Vec<Clean>>>, group: &'static str, what: String) -> AnyView {
    let words = what.clone();
    let steps = move || {
        let all = all.read();
        let own = all.iter().filter(|s| s.group == group && s.what == what);
        own.map(|s| (s.id.clone(), s.part.clone())).collect()
    };
    view! {
        <div class="clean">
            <p class="clean__what">{words}</p>
            <ul class="clean__parts">
                {each(steps, |(id, part): (String, String)| {
                    let (ask, told) = (format!("Clean {part}"), format!("{part} cleaned"));
                    tick(id, ask, told)
                })}
            </ul>
        </div>
    }
    .into_any()
}
