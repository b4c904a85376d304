//! The steps in their order, or the lamp; the way out below both.

use super::lamp::LampView;
use super::step::StepCard;
use super::stop::StopNow;
use super::stopped::Standing;
use crate::bench::progress::Stage;
use crate::plan::types::Phase;
use crate::ui::browser;
use crate::ui::kit::dynamic::{flag, piece, piece_if};
use crate::ui::kit::{Cautions, HazardList, Tabs, patiently};
use crate::ui::long::{Gap, LongRows};
use crate::ui::route::View;
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::words;
use crate::ui::workshop::worked;

const PHASES: [Phase; 5] =
    [Phase::BeforePower, Phase::SetUp, Phase::Stages, Phase::FullLine, Phase::SwitchOff];

/// About the height of a step, in CSS pixels, until some were drawn.
const ROW: f64 = 200.0;

/// The power-up of the open set.
#[component]
pub fn PowerScreen() -> impl IntoView {
    let (app, worked) = (app(), worked());
    let has_parts = Memo::new(move |_| !app.open.plan.read().parts.is_empty());
    let on_lamp = Memo::new(move |_| app.route.get().view() == Some(View::Lamp));
    let progress = move || {
        let status = worked.status.read();
        format!("{} of {} steps", status.done(), status.standings.len())
    };
    view! {
        <div class="power">
            <div class="sheet__head">
                <h2 class="sheet__title">"Power up"</h2>
                <p class="sheet__count" data-count="steps">{piece(progress)}</p>
                <button class="button no-print" type="button" on:click=move |_| browser::print()>
                    "Print"
                </button>
            </div>
            <Tabs stage=Stage::Power/>
            {piece_if(move || has_parts.get(), || view! { <Standing/> })}
            <Cautions/>
            <HazardList plan=app.open.plan brief=true/>
            <p class="sheet__empty" hidden=flag(move || has_parts.get())>
                "No steps yet. They are worked out from the parts and the supply."
            </p>
            {piece_if(move || has_parts.get() && !on_lamp.get(), || view! {
                {PHASES.map(|phase| view! { <PhaseSection phase/> }).collect_view()}
            })}
            {piece_if(move || has_parts.get() && on_lamp.get(), move || {
                patiently(app.open.lag.is_slow(), || view! { <LampView/> })
            })}
            <StopNow/>
        </div>
    }
}

/// The steps of one phase.
#[component]
fn PhaseSection(
    /// The phase.
    phase: Phase,
) -> impl IntoView {
    let app = app();
    let ids = Memo::new(move |_| {
        let plan = app.open.plan.read();
        plan.power_up.iter().filter(|s| s.phase == phase).map(|s| s.id.clone()).collect::<Vec<_>>()
    });
    let rows = LongRows::new(ids, ROW);
    view! {
        <section class="phase" hidden=flag(move || ids.read().is_empty())>
            <h3 class="phase__title">{words::phase(phase)}</h3>
            <ol class="phase__steps" node_ref=rows.frame on:focusin=move |_| rows.look()>
                {rows.view(Gap::Item, move |id| view! { <StepCard id rows/> })}
            </ol>
        </section>
    }
}
