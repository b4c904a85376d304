//! Voltages and resistances of every tube. On the screen one tube is open at a
//! time; on paper all of them are.

use super::notes::{Assumed, Trouble};
use super::tube::TubeSheet;
use crate::ui::charts::tubes;
use crate::ui::kit::dynamic::{each, flag, piece};
use crate::ui::kit::printing;
use crate::ui::state::app;
use crate::ui::view::prelude::*;

/// The chart of the tube that is chosen.
#[component]
pub fn VoltagesView() -> impl IntoView {
    let app = app();
    let chosen = RwSignal::new(None::<String>);
    let printing = printing();
    let all = Memo::new(move |_| tubes::list(&app.open.sheet.read()));
    let open = Memo::new(move |_| {
        let all = all.read();
        let kept = chosen.get().filter(|key| all.iter().any(|(k, _)| k == key));
        kept.or_else(|| all.first().map(|(key, _)| key.clone()))
    });
    let shown = move || {
        if printing.get() {
            all.read().iter().map(|(key, _)| key.clone()).collect()
        } else {
            open.get().into_iter().collect::<Vec<_>>()
        }
    };
    let against = Memo::new(move |_| {
        app.open.plan.read().circuit.reference.clone().unwrap_or_else(|| "the chassis".to_owned())
    });
    view! {
        <p class="sheet__lead">
            "What a good set reads, against "{piece(move || against.get())}
            ", with the range that is well in small figures. Ohms are read with the plug pulled and the filters discharged."
        </p>
        <Trouble/>
        <p class="sheet__empty" hidden=flag(move || !all.read().is_empty())>
            "No tubes yet. Enter them under Parts, each with its type and pins: V2 6SK7 4=T2.3 6=B2."
        </p>
        <Picker all open chosen/>
        {each(shown, |key| view! { <TubeSheet key/> }.into_any())}
        <Assumed/>
    }
}

/// Which tube is shown.
#[component]
fn Picker(
    /// All tubes with their types.
    all: Memo<Vec<(String, Option<String>)>>,
    /// The one shown.
    open: Memo<Option<String>>,
    /// The one chosen.
    chosen: RwSignal<Option<String>>,
) -> impl IntoView {
    let item = move |(key, tube): (String, Option<String>)| {
        let value = key.clone();
        let is_open = {
            let key = key.clone();
            flag(move || open.read().as_ref() == Some(&key))
        };
        view! {
            <label class="segments__item">
                <input
                    class="segments__input"
                    type="radio"
                    name="tube"
                    value=value
                    prop:checked=is_open
                    on:change:target=move |e| chosen.set(Some(e.target().value()))
                />
                <span class="segments__label">
                    <b>{key}</b>
                    <span class="segments__count">{tube.unwrap_or_default()}</span>
                </span>
            </label>
        }
        .into_any()
    };
    view! {
        <fieldset
            class="segments tube-picker no-print"
            data-control="tube"
            hidden=flag(move || all.read().is_empty())
        >
            <legend class="unseen">"Tube"</legend>
            {each(move || all.get(), item)}
        </fieldset>
    }
}
