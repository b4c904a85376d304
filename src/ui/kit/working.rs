//! The working behind a figure: what goes in, the rule, what comes out, the source.

use crate::plan::types::Working;
use crate::ui::view::prelude::*;
use crate::ui::words;

/// All workings of a part, a hazard or a step.
#[component]
pub fn Workings(
    /// The workings.
    workings: Vec<Working>,
) -> impl IntoView {
    workings.into_iter().map(one).collect_view()
}

fn one(working: Working) -> AnyView {
    let inputs = working
        .inputs
        .into_iter()
        .map(|input| {
            let basis = words::basis(input.basis);
            view! {
                <li>
                    {input.name.into_owned()}": "<b>{input.value.to_string()}</b>" "
                    <span class="basis">{basis}</span>
                </li>
            }
        })
        .collect_view();
    let source = format!("{} ({})", working.source.text, working.source.standing.words());
    view! {
        <section class="working">
            <h4 class="working__of">{words::capital(&working.of)}</h4>
            <ul class="working__inputs">{inputs}</ul>
            <p class="working__rule">{working.rule.into_owned()}</p>
            <p class="working__result">{working.result.to_string()}</p>
            <p class="working__source">"Source: "{source}</p>
        </section>
    }
    .into_any()
}
