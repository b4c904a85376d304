//! What is said until the workshop is there.

use super::{Workshop, fetch};
use crate::ui::state::app;
use crate::ui::view::prelude::*;

/// In the place of a screen that has not come.
#[component]
pub fn Awaited(
    /// Whether it is still on its way.
    coming: bool,
) -> impl IntoView {
    let (class, words) = if coming {
        (
            "sheet__empty awaited",
            "Still loading what works this out. What was typed is kept, and the parts list can be \
             worked on meanwhile.",
        )
    } else {
        (
            "sheet__empty",
            "What works this out did not load. What was typed is kept, and the parts list can be \
             worked on meanwhile.",
        )
    };
    view! { <p class=class role="status" data-awaited="">{words}</p> }
}

/// Shows on every screen when the workshop could not be fetched.
#[component]
pub fn Notice() -> impl IntoView {
    let app = app();
    move || match app.workshop.get() {
        Workshop::Coming | Workshop::Open(_) => ().into_any(),
        Workshop::Shut => view! {
            <div class="banner" role="alert" data-banner="workshop">
                <p>
                    <b>"Only a part of Firstglow has loaded. "</b>
                    "Plans, charts and the power-up need the rest of it, which did not arrive. \
                     Typing and saving work meanwhile. Check the network; if it keeps failing, open the \
                     page again."
                </p>
                <div class="banner__buttons">
                    <button
                        class="button button--primary"
                        type="button"
                        on:click=move |_| fetch(app)
                    >
                        "Load the rest"
                    </button>
                </div>
            </div>
        },
    }
}
