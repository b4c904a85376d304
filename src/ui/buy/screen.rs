//! The buying list on the screen and on paper.

use super::basket_screen::BasketView;
use super::model::{Section, as_csv, as_text, had, pieces, sections};
use crate::bench::progress::Stage;
use crate::bench::set::SetId;
use crate::store::exchange::file_name;
use crate::ui::browser::{self, files, now};
use crate::ui::carry::CarryList;
use crate::ui::kit::dynamic::{flag, piece};
use crate::ui::kit::{Cautions, HazardStrip, Tabs, patiently};
use crate::ui::leptos::task::spawn_local;
use crate::ui::route::View;
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::words::count;

/// What to buy for the open set: the list, or the basket.
#[component]
pub fn BuyScreen() -> impl IntoView {
    let app = app();
    let view = Memo::new(move |_| app.route.get().view());
    let slow = move || app.open.lag.is_slow();
    view! {
        <Tabs stage=Stage::Buy/>
        {piece(move || match view.get() {
            Some(View::Basket) => patiently(slow(), || view! { <BasketView/> }),
            Some(View::CarryList) => patiently(slow(), || view! { <CarryList/> }),
            _ => view! { <ListView/> }.into_any(),
        })}
    }
}

/// The list of what to order, by group.
#[component]
fn ListView() -> impl IntoView {
    let app = app();
    let list = Memo::new(move |_| sections(&app.open.plan.read()));
    let had = Memo::new(move |_| {
        let id = app.open.id.get().unwrap_or(SetId(0));
        app.bench.with(|bench| had(bench, id, &app.open.plan.read()))
    });
    let name = move || app.open.record.get_untracked().name();
    let copy = move |_| {
        let text = as_text(&name(), &list.read_untracked());
        spawn_local(async move {
            let words = if files::copy(text).await {
                "The list is on the clipboard."
            } else {
                "The browser did not let the page copy. Download the CSV instead."
            };
            app.say(words, None);
        });
    };
    let csv = move |_| {
        let file = file_name(&name(), &now().iso_day(app.ahead), "csv");
        files::download(&file, "text/csv", &as_csv(&list.read_untracked()));
    };
    let has_any = move || !list.read().is_empty();
    view! {
        <div class="buy">
            <div class="sheet__head">
                <h2 class="sheet__title">"Buying list"</h2>
                <div class="buttons no-print" hidden=flag(move || !has_any())>
                    <button class="button" type="button" on:click=copy>"Copy as text"</button>
                    <button class="button" type="button" on:click=csv>"Download CSV"</button>
                    <button class="button" type="button" on:click=move |_| browser::print()>"Print"</button>
                </div>
            </div>
            <HazardStrip plan=app.open.plan/>
            <p class="sheet__lead" hidden=flag(move || !has_any())>
                {piece(move || count(pieces(&list.read()), "piece", "pieces"))}
                " in "{piece(move || count(list.read().len(), "group", "groups"))}
                ". A higher rating of the same kind serves too; a lower one never does."
            </p>
            <p class="sheet__empty" hidden=flag(has_any)>
                "Nothing to buy yet. It is worked out from the plan."
            </p>
            <table class="table table--buy" data-table="buy" hidden=flag(move || !has_any())>
                <caption class="unseen">"What to buy, by group"</caption>
                <thead>
                    <tr>
                        <th scope="col" class="tick">"Got"</th>
                        <th scope="col">"Pieces"</th>
                        <th scope="col">"Value"</th>
                        <th scope="col">"For"</th>
                    </tr>
                </thead>
                {piece(move || {
                    let had = had.read();
                    list.get().into_iter().map(|s| section_view(s, &had)).collect_view()
                })}
            </table>
            <Cautions/>
        </div>
    }
}

fn section_view(section: Section, had: &[String]) -> AnyView {
    let lines = section
        .lines
        .into_iter()
        .map(|line| {
            let got = line.keys.iter().all(|key| had.contains(key));
            let class = if got { "box box--ticked" } else { "box" };
            view! {
                <tr data-got=if got { "yes" } else { "no" }>
                    <td class="tick">
                        <span class=class aria-hidden="true"></span>
                        {got.then(|| view! { <span class="unseen">"Got"</span> })}
                    </td>
                    <td class="number" data-label="Pieces">{line.pieces}</td>
                    <td data-label="Value"><b>{line.value}</b></td>
                    <td data-label="For">{line.parts}</td>
                </tr>
            }
        })
        .collect_view();
    let class = section.class.map(|class| {
        view! { <span class="safety-class">"Marked "{class}", no other kind"</span> }
    });
    view! {
        <tbody class="buy__group" data-group=section.id>
            <tr>
                <th colspan="4" scope="colgroup" class="buy__title">
                    {section.title}" "{class}
                    <span class="buy__total">{section.total}</span>
                </th>
            </tr>
            {lines}
        </tbody>
    }
    .into_any()
}
