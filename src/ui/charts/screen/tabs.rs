//! The views of the plan. They are addresses, so that going back works.

use crate::bench::progress::Stage;
use crate::ui::kit::dynamic::{text, word};
use crate::ui::route::{PlanView, Route};
use crate::ui::state::app;
use crate::ui::view::prelude::*;

/// Parts, voltages, supply.
#[component]
pub fn Tabs() -> impl IntoView {
    let app = app();
    let views = std::iter::once(None).chain(PlanView::ALL.map(Some));
    let links = views
        .map(|view| {
            let label = view.map_or("Parts", PlanView::label);
            let address = move || {
                let route = app.open.id.get().map_or(Route::Bench, |id| {
                    view.map_or(Route::Set(id, Stage::Plan), |view| Route::View(id, view))
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
        <nav class="tabs no-print" aria-label="Views of the plan">
            <ul class="tabs__list">{links}</ul>
        </nav>
    }
}
