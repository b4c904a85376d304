//! A reason that is written down, and the start from the first stage.

use super::told::limits;
use crate::bench::halt::{self, HaltCause};
use crate::bench::reading::judge;
use crate::ui::browser::now;
use crate::ui::kit::{Field, TextField, VerdictMark};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::workshop::worked;

/// A field for a reason, and the button that goes on with it. Nothing is done
/// without words.
#[component]
pub fn ReasonForm(
    /// Unique on the page.
    id: String,
    /// What the reason is for.
    label: &'static str,
    /// What the button does.
    button: &'static str,
    /// What is done with the reason.
    on_give: Callback<String>,
) -> impl IntoView {
    let words = RwSignal::new(String::new());
    let empty = RwSignal::new(false);
    let field =
        Field { id, label: label.to_owned(), data: "reason".to_owned(), ..Field::default() };
    let error = Signal::derive(move || {
        empty.get().then(|| "Write the reason. Without one it does not go on.".to_owned())
    });
    let type_in = move |typed: String| {
        empty.set(false);
        words.set(typed);
    };
    let give = move |_| {
        let typed = words.get_untracked();
        if typed.trim().is_empty() {
            empty.set(true);
        } else {
            on_give.run(typed);
        }
    };
    view! {
        <div class="reason no-print" data-reason="">
            <TextField field value=words on_input=Callback::new(type_in) error/>
            <button class="button" type="button" on:click=give>{button}</button>
        </div>
    }
}

/// After a stop under power: what was wrong, what is left, and the new start.
#[component]
pub fn Restart(
    /// The step it was stopped at.
    step: String,
    /// The halt, where one is noted already.
    halt: Option<String>,
) -> impl IntoView {
    let (app, worked) = (app(), worked());
    let (words, left) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let refused = RwSignal::new(false);
    let field = |name: &str, label: &str| Field {
        id: format!("restart-{name}-{step}"),
        label: label.to_owned(),
        data: format!("restart-{name}"),
        decimal: name == "left",
        ..Field::default()
    };
    let of_words = field("words", "What was wrong, and what cured it");
    let asked = halt::left(&worked.steps.read_untracked()).cloned();
    let limit = asked.as_ref().map(limits).unwrap_or_default();
    let of_left = field("left", &format!("Highest voltage left, measured ({limit})"));
    let verdict = Memo::new(move |_| match &asked {
        Some(asked) => {
            judge(&left.read(), &asked.unit, asked.least.as_deref(), asked.most.as_deref())
        }
        None => Ok(None),
    });
    let no_words = Signal::derive(move || {
        let is_empty = refused.get() && words.read().trim().is_empty();
        is_empty.then(|| "Write what was wrong, and what cured it.".to_owned())
    });
    let not_left = Signal::derive(move || {
        let is_open = refused.get() && !halt::is_discharged(&worked.steps.read(), &left.read());
        is_open.then(|| format!("Discharge and measure first: {limit}."))
    });
    let start = move |_| {
        let (steps, at) = (worked.steps.get_untracked(), now());
        let (said, volts) = (words.get_untracked(), left.get_untracked());
        if said.trim().is_empty() || !halt::is_discharged(&steps, &volts) {
            refused.set(true);
            return;
        }
        app.change_open(|set| {
            let noted =
                halt.clone().or_else(|| halt::halt(set, &steps, &step, HaltCause::Reading, at));
            if let Some(key) = noted {
                halt::restart(set, &steps, &key, (&said, &volts), at);
            }
        });
    };
    view! {
        <div class="restart no-print" data-restart="">
            <p class="restart__lead">
                <b>"Start again from the first stage. "</b>
                "Plug out, discharged, waited, measured, the cause cured: then all stages are done again. What was done so far stays in the record."
            </p>
            <TextField field=of_left value=left on_input=Callback::new(move |t| left.set(t)) error=not_left>
                <VerdictMark verdict/>
            </TextField>
            <TextField field=of_words value=words on_input=Callback::new(move |t| words.set(t)) error=no_words/>
            <button class="button button--primary" type="button" on:click=start>
                "Start again from the first stage"
            </button>
        </div>
    }
}
