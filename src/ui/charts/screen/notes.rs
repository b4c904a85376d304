//! What was assumed, and why nothing could be computed.

use crate::ui::kit::dynamic::{flag, piece};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::words;

/// Why the voltages could not be computed, and what to do.
#[component]
pub fn Trouble() -> impl IntoView {
    let app = app();
    let trouble = Memo::new(move |_| app.open.plan.read().circuit.trouble.clone());
    view! {
        <p class="chart-note" data-note="trouble" hidden=flag(move || trouble.read().is_none())>
            <b>"The voltages are not computed: "</b>
            {piece(move || trouble.get())}
            ". What can be told without them is shown. The lines are edited under Parts."
        </p>
    }
}

/// Everything that was taken for want of a figure on the sheet.
#[component]
pub fn Assumed() -> impl IntoView {
    let app = app();
    let assumed = Memo::new(move |_| {
        let mut all = app.open.plan.read().circuit.assumed.clone();
        // Two windings alike are one sentence.
        all.dedup();
        all
    });
    let title = move || {
        let count = words::count(assumed.read().len(), "figure", "figures");
        format!("Assumed: {count} that the sheet does not give")
    };
    let items = move || {
        let all = assumed.get().into_iter();
        all.map(|a| view! { <li>{format!("{} (line {})", a.text, a.line)}</li> }).collect_view()
    };
    view! {
        <section class="chart-assumed" hidden=flag(move || assumed.read().is_empty())>
            <h3 class="chart__title">{piece(title)}</h3>
            <ul class="assumed">{piece(items)}</ul>
        </section>
    }
}
