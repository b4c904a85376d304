//! Stop now: always in view, and the sheet that it opens: what to do at once,
//! in order, from its first line on.

use super::told::Told;
use crate::bench::halt::{self, HaltCause};
use crate::bench::steps::stop_steps;
use crate::plan::types::PowerStep;
use crate::ui::browser::{in_view, now};
use crate::ui::kit::dynamic::{flag, piece};
use crate::ui::leptos::web_sys::{Element, HtmlDialogElement, HtmlElement};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::worked;

/// The step whose title is the first line of the sheet.
const FIRST: &str = "unplug";

/// The dock with the button, and what it opens.
#[component]
pub fn StopNow() -> impl IntoView {
    let (app, worked) = (app(), worked());
    let dialog: NodeRef<HtmlDialogElement> = NodeRef::new();
    let head: NodeRef<HtmlElement> = NodeRef::new();
    let place = RwSignal::new(in_view::dock());
    in_view::on_change(move || {
        place.try_set(in_view::dock());
    });
    let open = move |_| {
        if let Some(dialog) = dialog.get() {
            // Refused only when it is open already.
            let _ = dialog.show_modal();
            if let Some(head) = head.get() {
                let _ = head.focus();
            }
            let sheet: &Element = &dialog;
            sheet.set_scroll_top(0);
        }
        // The way out first; then the note that it was taken.
        app.change_open(|set| {
            let (status, steps) = (worked.status.get_untracked(), worked.steps.get_untracked());
            let at = status.current.and_then(|at| steps.get(at));
            let step = at.map(|step| step.id.clone()).unwrap_or_default();
            halt::halt(set, &steps, &step, HaltCause::StopNow, now());
        });
    };
    let close = move |_| {
        if let Some(dialog) = dialog.get() {
            dialog.close();
        }
    };
    let said = move || {
        let (status, steps) = (worked.status.read(), worked.steps.read());
        Told { steps: &steps, ahead: app.ahead }.head(&status)
    };
    let bottom =
        move || place.get().map(|p| format!("max(var(--path-room), {}px)", p.bottom.round()));
    let left = move || place.get().map(|p| format!("{}px", p.left));
    let width = move || place.get().map(|p| format!("{}px", p.width));
    view! {
        <div
            class="stop-dock no-print"
            data-dock="stop"
            style:bottom=bottom
            style:left=left
            style:width=width
        >
            <p class="stop-dock__said" aria-hidden="true">{piece(said)}</p>
            <button class="stop" type="button" data-action="stop" on:click=open>
                "Stop now"
            </button>
        </div>
        <dialog class="stop-sheet" node_ref=dialog aria-labelledby="stop-title" data-dialog="stop">
            <h2 class="stop-sheet__title" id="stop-title" tabindex="-1" node_ref=head>
                {piece(move || first(app.open.plan.read().power_up.as_slice()).0)}
            </h2>
            <div class="stop-sheet__body">
                <p class="stop-sheet__first">
                    {piece(move || first(app.open.plan.read().power_up.as_slice()).1)}
                </p>
                <ol class="stop-sheet__steps">
                    {piece(move || {
                        let plan = app.open.plan.get();
                        let rest = stop_steps(&plan).filter(|step| step.id != FIRST);
                        rest.map(step_view).collect_view()
                    })}
                    <li>
                        <b>"Find the cause, and cure it."</b>
                        <p>"Look at the step that was under way: it names what to look at first."</p>
                    </li>
                    <li>
                        <b>"Start again from the first stage."</b>
                        <p hidden=flag(move || halt::open(&app.open.record.read()).is_none())>
                            "This stop is noted. Power up asks what was wrong before anything goes on, and the stages ticked before are to be done again."
                        </p>
                    </li>
                </ol>
                <p>"Treat every point as charged until a meter on it reads near zero."</p>
            </div>
            <div class="stop-sheet__foot">
                <button class="button stop-sheet__close" type="button" on:click=close>"Close"</button>
            </div>
        </dialog>
    }
}

/// The first line, and what stands below it.
fn first(steps: &[PowerStep]) -> (String, String) {
    let step = steps.iter().find(|step| step.id == FIRST);
    step.map(|step| (format!("{}.", step.title), step.action.clone())).unwrap_or_default()
}

fn step_view(step: &PowerStep) -> AnyView {
    let held = step.readings.iter().filter(|r| r.id.starts_with("left-"));
    let held = held.map(|r| view! { <li>{r.what.clone()}</li> }).collect_view();
    let expect = step.expect.clone().map(|e| view! { <p>"Expect: "{e}</p> });
    view! {
        <li>
            <b>{step.title.clone()}"."</b>
            <p>{step.action.clone()}</p>
            {expect}
            <ul class="stop-sheet__held">{held}</ul>
        </li>
    }
    .into_any()
}
