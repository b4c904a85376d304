//! Plan: what can hurt, what to do with each part, and why; beside it the
//! charts of what the circuit says.

use crate::letters::Letters;
mod part;

use super::browser;
use super::charts::{SupplyView, VoltagesView};
use super::kit::{Cautions, HazardList, Tabs, Workings, patiently};
use super::route::View;
use super::state::app;
use super::words;
use crate::bench::progress::Stage;
use crate::plan::types::Decision;
use crate::ui::kit::dynamic::{flag, piece, piece_if, text};
use crate::ui::long::{Gap, GoTo, LongRows, Opened};
use crate::ui::view::prelude::*;
use part::PartRow;

/// About the height of a row, in CSS pixels, until some were drawn.
const ROW: f64 = 62.0;

/// The plan of the open set, in one of its views.
#[component]
pub fn PlanScreen() -> impl IntoView {
    let app = app();
    let current = Memo::new(move |_| app.route.get().view());
    let slow = move || app.open.lag.is_slow();
    let shown = move || match current.get() {
        Some(View::Voltages) => patiently(slow(), || view! { <VoltagesView/> }),
        Some(View::Supply) => patiently(slow(), || view! { <SupplyView/> }),
        _ => view! { <Decisions/> }.into_any(),
    };
    view! {
        <div class="plan">
            <div class="sheet__head">
                <h2 class="sheet__title">{piece(move || title(current.get()))}</h2>
                <button class="button no-print" type="button" on:click=move |_| browser::print()>
                    "Print"
                </button>
            </div>
            <Tabs stage=Stage::Plan/>
            <div data-view=text(move || current.get().map_or("parts", View::slug))>
                {piece(shown)}
            </div>
            <Cautions/>
        </div>
    }
}

/// The heading, which paper keeps.
const fn title(view: Option<View>) -> &'static str {
    match view {
        Some(View::Voltages) => "Plan: voltages and resistances",
        Some(View::Supply) => "Plan: supply and discharge",
        _ => "Plan",
    }
}

/// What can hurt, and what to do with each part.
#[component]
fn Decisions() -> impl IntoView {
    let app = app();
    let is_empty = Memo::new(move |_| app.open.plan.read().parts.is_empty());
    view! {
        <HazardList plan=app.open.plan/>
        {piece_if(move || is_empty.get(), || view! {
            <p class="sheet__empty">"No parts yet. Enter them under Parts; the plan follows."</p>
        })}
        <Supply/>
        <Parts/>
        <Groups/>
    }
}

/// What the plan knows of the supply, and what it assumed.
#[component]
fn Supply() -> impl IntoView {
    let app = app();
    let supply = Memo::new(move |_| app.open.plan.read().supply.clone());
    let facts = move || {
        let found = supply.get();
        let line = format!("{} V, planned up to {} V", found.mains_v, found.high_line_v);
        let peak = found.no_load_peak_v.map(|v| format!("{v:.0} V"));
        let tied = found.line_connected.map(|tied| if tied { "yes" } else { "no" }.to_owned());
        [
            ("Line", Some(line)),
            ("Highest voltage, no load", peak),
            ("Rectifier", found.rectifier),
            ("Chassis or B- tied to the line", tied),
        ]
        .map(|(name, value)| {
            value.map(|value| {
                view! {
                    <div class="facts__row">
                        <dt>{name}</dt>
                        <dd>{value}</dd>
                    </div>
                }
            })
        })
        .collect_view()
    };
    view! {
        <details class="fold supply" hidden=flag(move || app.open.plan.read().parts.is_empty())>
            <summary>"Supply, as planned for"</summary>
            <dl class="facts">{piece(facts)}</dl>
            <ul class="assumed">
                {piece(move || {
                    supply.get().assumed.into_iter().map(|a| view! { <li>{a}</li> }).collect_view()
                })}
            </ul>
            {piece(move || view! { <Workings workings=supply.get().working/> })}
        </details>
    }
}

/// Every part, or those of one decision.
#[component]
fn Parts() -> impl IntoView {
    let app = app();
    let only = RwSignal::new(None::<Decision>);
    let keys = Memo::new(move |_| {
        let plan = app.open.plan.read();
        let wanted = plan.parts.iter().filter(|p| only.get().is_none_or(|d| d == p.decision));
        wanted.map(|p| p.key.clone()).collect::<Vec<_>>()
    });
    let rows = LongRows::new(keys, ROW);
    let opened = Opened::none();
    view! {
        <div class="plan__parts" hidden=flag(move || app.open.plan.read().parts.is_empty())>
            <Filter only/>
            <GoTo keys on_go=Callback::new(move |key: String| rows.go_to(&key))/>
            <table
                class="table table--plan"
                class:table--long=move || rows.is_long()
                data-table="plan"
                aria-rowcount=rows.total(1)
                node_ref=rows.frame
                on:focusin=move |_| rows.look()
            >
                <caption class="unseen">"What to do with each part"</caption>
                <thead>
                    <tr aria-rowindex="1">
                        <th scope="col">"Part"</th>
                        <th scope="col">"Do"</th>
                        <th scope="col">"Old"</th>
                        <th scope="col">"New, or the limits that pass it"</th>
                        <th scope="col">"Role"</th>
                    </tr>
                </thead>
                {rows.view(Gap::Group, move |key| view! { <PartRow key rows opened/> })}
            </table>
        </div>
    }
}

/// Which decisions are shown.
#[component]
fn Filter(
    /// The one shown alone, if any.
    only: RwSignal<Option<Decision>>,
) -> impl IntoView {
    let app = app();
    let count = move |decision: Option<Decision>| {
        let plan = app.open.plan.read();
        plan.parts.iter().filter(|p| decision.is_none_or(|d| d == p.decision)).count()
    };
    let choices = std::iter::once(None).chain(words::DECISIONS.map(Some));
    let items = choices
        .map(|choice| {
            let label = choice.map_or("All", words::decision);
            view! {
                <label class="segments__item" hidden=flag(move || count(choice) == 0)>
                    <input
                        class="segments__input"
                        type="radio"
                        name="plan-filter"
                        value=label.lower()
                        prop:checked=flag(move || only.get() == choice)
                        on:change=move |_| only.set(choice)
                    />
                    <span class="segments__label">
                        {label}" "<b class="segments__count">{piece(move || count(choice))}</b>
                    </span>
                </label>
            }
        })
        .collect_view();
    view! {
        <fieldset class="segments no-print" data-control="plan-filter">
            <legend class="unseen">"Show"</legend>
            {items}
        </fieldset>
    }
}

/// The groups: what is bought, tested and kept together.
#[component]
fn Groups() -> impl IntoView {
    let app = app();
    let groups = Memo::new(move |_| app.open.plan.read().groups.clone());
    let items = move || {
        groups
            .get()
            .into_iter()
            .map(|group| {
                let lines = group
                    .lines
                    .into_iter()
                    .map(|line| {
                        let parts = line.parts.join(", ");
                        view! { <li><b>{line.count}" × "{line.value}</b>" "{parts}</li> }
                    })
                    .collect_view();
                let words = format!("{}: {}", words::decision(group.decision), group.title);
                view! {
                    <section class="group" data-group=group.id>
                        <h4 class="group__title">{words}" ("{group.count}")"</h4>
                        <ul class="group__lines">{lines}</ul>
                    </section>
                }
            })
            .collect_view()
    };
    view! {
        <details class="fold no-print" hidden=flag(move || groups.read().is_empty())>
            <summary>"By group"</summary>
            <div class="groups">{piece(items)}</div>
        </details>
    }
}
