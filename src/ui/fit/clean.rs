//! Cleaning and mechanics, checked off.

use super::steps::tick;
use crate::plan::cleaning::{CLEANING_SOURCE, GROUPS, cleaning};
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
            let steps = move || {
                let all = all.read();
                let own = all.iter().filter(|s| s.group == group);
                own.map(|s| (s.id.clone(), format!("{}: {}", s.part, s.what))).collect()
            };
            let is_empty = move || all.read().iter().all(|s| s.group != group);
            view! {
                <section class="fit__batch" hidden=flag(is_empty)>
                    <h3 class="fit__title">{group}</h3>
                    <ul class="fit__list">
                        {each(steps, |(id, words): (String, String)| tick(id, words))}
                    </ul>
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
