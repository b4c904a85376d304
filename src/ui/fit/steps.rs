//! Steps on an area, checked off.

use crate::plan::work::Step;
use crate::ui::browser::now;
use crate::ui::kit::dynamic::{each, flag, piece};
use crate::ui::state::app;
use crate::ui::view::prelude::*;

/// A list of steps on areas; that one was done is kept under its id.
#[component]
pub fn Steps(
    /// The steps.
    steps: Memo<Vec<Step>>,
) -> impl IntoView {
    let keys = move || {
        let told = |s: Step| (s.id.clone(), words(&s), done(&s));
        steps.get().into_iter().map(told).collect()
    };
    view! {
        <ul class="fit__steps" hidden=flag(move || steps.read().is_empty())>
            {each(keys, |(id, ask, told): (String, String, String)| tick(id, ask, told))}
        </ul>
    }
}

fn words(step: &Step) -> String {
    format!("{}: {} ({})", step.kind.words(), step.what, step.area)
}

/// The same once it is ticked.
fn done(step: &Step) -> String {
    format!("{}: {} ({})", step.kind.done(), step.what, step.area)
}

/// One step to be checked off, kept under its id among the steps of the set:
/// what it asks for, and what it says once it is ticked.
pub fn tick(id: String, ask: String, told: String) -> AnyView {
    let app = app();
    let done = {
        let id = id.clone();
        Memo::new(move |_| app.open.record.read().steps.get(&id).and_then(|s| s.done_at))
    };
    let words = move || if done.get().is_some() { told.clone() } else { ask.clone() };
    let name = id.clone();
    let toggle = move |is_done: bool| {
        let at = is_done.then(now);
        app.change_open(|set| set.step_mut(&id).done_at = at);
    };
    view! {
        <li class="fit__step" data-step=name>
            <label class="tick-label">
                <input
                    class="tick-label__box"
                    type="checkbox"
                    prop:checked=flag(move || done.get().is_some())
                    on:change:target=move |e| toggle(e.target().checked())
                />
                <span>{piece(words)}</span>
                <span class="tick-label__when">
                    {piece(move || done.get().map(|at| at.day(app.ahead)))}
                </span>
            </label>
        </li>
    }
    .into_any()
}
