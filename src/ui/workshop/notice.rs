//! What is said until the workshop is there.

use super::{Workshop, fetch};
use crate::ui::browser;
use crate::ui::safe::save_everything;
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

/// Why it did not come, as the page's own script found it.
fn why() -> &'static str {
    match browser::marked("data-late").as_deref() {
        Some("damaged") => {
            "It does not match its build, so it was not used: its copy on the server may not be \
             finished, or something on the way cut it off."
        }
        Some("missing") => {
            "The server does not give it out: a newer version may be on its way there."
        }
        Some("browser") => "It is whole, but this browser could not run it.",
        _ => "It did not arrive: the network or the server did not answer.",
    }
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
                    "Plans, charts and the power-up need the rest of it. "{why()}
                    " Typing and saving work meanwhile."
                </p>
                <div class="banner__buttons">
                    <button
                        class="button button--primary"
                        type="button"
                        on:click=move |_| fetch(app)
                    >
                        "Load the rest"
                    </button>
                    <button
                        class="button"
                        type="button"
                        on:click=move |_| browser::fetch_again()
                    >
                        "Fetch the app again"
                    </button>
                    <button class="button" type="button" on:click=move |_| save_everything(app)>
                        "Download everything"
                    </button>
                </div>
            </div>
        },
    }
}
