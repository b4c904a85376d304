//! Ways to begin a set: a blank sheet, or an example.

use crate::bench::progress::Stage;
use crate::sheet::examples::TOLD;
use crate::ui::browser::{self, now};
use crate::ui::route::Route;
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::NOT_YET;

/// A blank sheet and the examples.
#[component]
pub fn Begin() -> impl IntoView {
    let app = app();
    let open = move |text: &str, stage| {
        let id = app.change(|bench| bench.add(text, now()));
        browser::go(Route::Set(id, stage));
    };
    let open_example = move |id| match app.workshop.get_untracked().example(id) {
        Some(text) => open(text, Stage::Plan),
        None => app.say(NOT_YET, None),
    };
    let examples = TOLD
        .iter()
        .map(|example| {
            view! {
                <li>
                    <button
                        class="begin__choice"
                        type="button"
                        data-example=example.id
                        on:click=move |_| open_example(example.id)
                    >
                        <span class="begin__kind">"Example"</span>
                        <span class="begin__name">{example.title}</span>
                        <span class="begin__about">{example.about}</span>
                    </button>
                </li>
            }
        })
        .collect_view();
    view! {
        <section class="begin" aria-labelledby="begin-title">
            <h2 class="bench__subtitle" id="begin-title">"Begin a set"</h2>
            <ul class="begin__list">
                <li>
                    <button
                        class="begin__choice begin__choice--blank"
                        type="button"
                        data-example="blank"
                        on:click=move |_| open("", Stage::Set)
                    >
                        <span class="begin__kind">"New"</span>
                        <span class="begin__name">"Blank sheet"</span>
                        <span class="begin__about">"One part a line, as the schematic has it."</span>
                    </button>
                </li>
                {examples}
            </ul>
        </section>
    }
}
