//! The views of a stage. They are addresses, so that going back works.

use super::dynamic::{text, word};
use crate::bench::progress::Stage;
use crate::letters::Letters;
use crate::ui::route::{Route, View, first_view};
use crate::ui::state::app;
use crate::ui::view::prelude::*;

/// Links to the views of a stage.
#[component]
pub fn Tabs(
    /// The stage.
    stage: Stage,
) -> impl IntoView {
    let app = app();
    let links = std::iter::once(None)
        .chain(View::of(stage).map(Some))
        .map(|view| {
            let label = view.map_or(first_view(stage), View::label);
            let address = move || {
                let route = app.open.id.get().map_or(Route::Bench, |id| {
                    view.map_or(Route::Set(id, stage), |view| Route::View(id, view))
                });
                route.hash()
            };
            let is_open = move || app.route.get().view() == view;
            view! {
                <li>
                    <a
                        class="tabs__link"
                        href=text(address)
                        aria-current=word(move || is_open().then_some("page"))
                    >
                        {label}
                    </a>
                </li>
            }
        })
        .collect_view();
    view! {
        <nav class="tabs no-print" aria-label=format!("Views of {}", stage.label().lower())>
            <ul class="tabs__list">{links}</ul>
        </nav>
    }
}
