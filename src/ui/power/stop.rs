//! Stop now: always at hand, with the steps that discharge this set.

use crate::bench::steps::stop_steps;
use crate::ui::kit::dynamic::piece;
use crate::ui::leptos::web_sys;
use crate::ui::state::app;
use crate::ui::view::prelude::*;

/// The button and what it opens.
#[component]
pub fn StopNow() -> impl IntoView {
    let app = app();
    let dialog: NodeRef<web_sys::HtmlDialogElement> = NodeRef::new();
    let open = move |_| {
        if let Some(dialog) = dialog.get() {
            // Refused only when it is open already.
            let _ = dialog.show_modal();
        }
    };
    let close = move |_| {
        if let Some(dialog) = dialog.get() {
            dialog.close();
        }
    };
    let steps = move || {
        let plan = app.open.plan.get();
        stop_steps(&plan)
            .map(|step| {
                view! {
                    <li>
                        <b>{step.title.clone()}</b>
                        <p>{step.action.clone()}</p>
                        {step.expect.clone().map(|e| view! { <p>"Expect: "{e}</p> })}
                        <ul class="stop-sheet__held">
                            {step
                                .readings
                                .iter()
                                .filter(|r| r.id.starts_with("left-"))
                                .map(|r| view! { <li>{r.what.clone()}</li> })
                                .collect_view()}
                        </ul>
                    </li>
                }
            })
            .collect_view()
    };
    view! {
        <button class="stop no-print" type="button" data-action="stop" on:click=open>
            "Stop now"
        </button>
        <dialog class="stop-sheet" node_ref=dialog aria-labelledby="stop-title" data-dialog="stop">
            <h2 class="stop-sheet__title" id="stop-title">"Stop"</h2>
            <ol class="stop-sheet__steps">
                <li>
                    <b>"Pull the plug out of the wall."</b>
                    <p>"The switch on the set is not enough. Keep hands off the chassis."</p>
                </li>
                {piece(steps)}
            </ol>
            <p>"Treat every point as charged until a meter on it reads near zero."</p>
            <button class="button button--primary" type="button" on:click=close>"Close"</button>
        </dialog>
    }
}
