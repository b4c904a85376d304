//! Messages at the edge of the page.

use crate::ui::kit::dynamic::piece;
use crate::ui::state::app;
use crate::ui::view::prelude::*;

/// The place for messages; read out when one comes.
#[component]
pub fn Toasts() -> impl IntoView {
    let app = app();
    let body = move || {
        app.toast.get().map(|toast| {
            let undo = toast.undo.map(|undo| {
                view! {
                    <button
                        class="button button--quiet"
                        type="button"
                        on:click=move |_| app.undo(undo)
                    >
                        "Undo"
                    </button>
                }
            });
            view! {
                <div class="toast" data-toast="">
                    <span>{toast.text}</span>
                    {undo}
                    <button
                        class="button button--quiet"
                        type="button"
                        aria-label="Dismiss this message"
                        on:click=move |_| app.toast.set(None)
                    >
                        "×"
                    </button>
                </div>
            }
        })
    };
    view! { <div class="toasts" role="status" aria-live="polite">{piece(body)}</div> }
}
