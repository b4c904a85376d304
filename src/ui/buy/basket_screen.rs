//! The basket: what to buy where, for how much, and how that was chosen.

use super::ask::{Asked, aimed, change_stock, kept};
use super::basket::{
    LineView, OrderView, UnservedView, basket_working, covered, orders, proof, summary, unserved,
};
use super::export::{as_csv, as_text};
use super::prices::Prices;
use super::question::{Question, from_drawers};
use crate::bench::stock::KeptAim;
use crate::buying::basket::fill;
use crate::store::exchange::file_name;
use crate::ui::browser::{self, files, now};
use crate::ui::kit::dynamic::{flag, piece};
use crate::ui::kit::{Cautions, Field, TextField, Workings};
use crate::ui::leptos::task::spawn_local;
use crate::ui::route::Route;
use crate::ui::state::{App, app};
use crate::ui::view::prelude::*;
use crate::ui::words::count;
use std::sync::Arc;

/// The basket of the open set, or of all on the bench.
#[component]
pub fn BasketView() -> impl IntoView {
    let app = app();
    let every = Memo::new(move |_| app.bench.with(|b| b.buying.every_set));
    let asked = Asked::about(app, move || if every.get() { None } else { app.open.id.get() });
    let aim = aimed(app);
    let basket = Memo::new(move |_| {
        let aim = aim.get().unwrap_or_default();
        Arc::new(fill(&asked.open.get(), &asked.list.get(), aim))
    });
    let shown = Memo::new(move |_| {
        let (basket, open, list) = (basket.get(), asked.open.get(), asked.list.get());
        let (question, sign) = (asked.question.read(), asked.sign.read());
        Shown {
            orders: orders(&basket, &question, &open, &list, &sign),
            unserved: unserved(&basket, &question, &open, &list),
            summary: summary(&basket, &sign),
            proof: proof(&basket, &sign),
        }
    });
    let has_any = move || !shown.read().orders.is_empty();
    let has_prices = move || !asked.list.read().offers.is_empty();
    view! {
        <div class="basket" data-view="basket">
            <div class="sheet__head">
                <h2 class="sheet__title">"Basket"</h2>
                {exports(app, shown)}
            </div>
            <p class="sheet__lead no-print">
                "What the plan asks for, met at the least cost from the offers you type or paste. "
                <a href=Route::Stock.hash()>"Stock"</a>
                " lies in the drawers; at a "
                <a href=Route::SwapMeet.hash()>"swap meet"</a>
                " type what lies on the table."
            </p>
            {scope(app, every)}
            <Prices asked/>
            <Aims/>
            {piece(move || drawers(app, asked))}
            {piece(move || {
                bought(&asked.question.read(), app)
            })}
            <section class="basket__result" aria-labelledby="basket-title">
                <h3 id="basket-title" class="basket__summary" aria-live="polite" data-count="basket">
                    {piece(move || if has_any() { shown.read().summary.clone() } else { empty(asked) })}
                </h3>
                <p class="basket__proof" data-proof="">{piece(move || shown.read().proof.clone())}</p>
                {piece(move || shown.read().orders.iter().cloned().map(order_view).collect_view())}
                {piece(move || missing(&shown.read().unserved, has_prices()))}
                {piece(move || by_hand(&asked.question.read()))}
                <details class="fold" hidden=flag(move || !has_any())>
                    <summary>"Working and source"</summary>
                    {piece(move || {
                        let aim = aim.get().unwrap_or_default();
                        let working = basket_working(
                            &basket.get(),
                            &asked.open.get(),
                            &asked.list.get(),
                            aim,
                            &asked.sign.read(),
                        );
                        view! { <Workings workings=vec![working]/> }
                    })}
                </details>
            </section>
            <Cautions/>
        </div>
    }
}

/// What the basket shows.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Shown {
    orders: Vec<OrderView>,
    unserved: Vec<UnservedView>,
    summary: String,
    proof: String,
}

fn empty(asked: Asked) -> String {
    if asked.question.read().needs.is_empty() {
        "Nothing to buy yet: it is worked out from the plan.".to_owned()
    } else if asked.open.read().is_empty() {
        "Nothing left to buy: all is fitted, bought or reserved.".to_owned()
    } else if asked.list.read().offers.is_empty() {
        let open = count(asked.open.read().len(), "need is", "needs are");
        format!("{open} open. Type or paste a price list to fill the basket.")
    } else {
        "Nothing on the price list serves what is needed.".to_owned()
    }
}

fn exports(app: App, shown: Memo<Shown>) -> AnyView {
    let name = move || app.open.record.get_untracked().name();
    let copy = move |_| {
        let text = {
            let shown = shown.read_untracked();
            as_text(&format!("To buy: {}", name()), &shown.orders, &shown.unserved, &shown.summary)
        };
        spawn_local(async move {
            let words = if files::copy(text).await {
                "The basket is on the clipboard."
            } else {
                "The browser did not let the page copy. Download the CSV instead."
            };
            app.say(words, None);
        });
    };
    let csv = move |_| {
        let file = file_name(&format!("{} basket", name()), &now().iso_day(app.ahead), "csv");
        let shown = shown.read_untracked();
        files::download(&file, "text/csv", &as_csv(&shown.orders, &shown.unserved));
    };
    let none = move || shown.read().orders.is_empty() && shown.read().unserved.is_empty();
    view! {
        <div class="buttons no-print" hidden=flag(none)>
            <button class="button" type="button" on:click=copy>"Copy as text"</button>
            <button class="button" type="button" on:click=csv>"Download CSV"</button>
            <button class="button" type="button" on:click=move |_| browser::print()>"Print"</button>
        </div>
    }
    .into_any()
}

/// One of several, as a row of buttons.
fn segment(
    name: &'static str,
    label: &'static str,
    is_on: impl Fn() -> bool + 'static,
    choose: impl Fn() + 'static,
) -> AnyView {
    view! {
        <label class="segments__item">
            <input
                class="segments__input"
                type="radio"
                name=name
                value=label
                prop:checked=flag(is_on)
                on:change=move |_| choose()
            />
            <span class="segments__label">{label}</span>
        </label>
    }
    .into_any()
}

fn scope(app: App, every: Memo<bool>) -> AnyView {
    let set = move |all: bool| app.change(|bench| bench.buying.every_set = all);
    view! {
        <fieldset class="segments no-print" data-control="scope">
            <legend class="field__label">"Buy for"</legend>
            {segment("scope", "This set", move || !every.get(), move || set(false))}
            {segment("scope", "All sets on the bench", move || every.get(), move || set(true))}
        </fieldset>
    }
    .into_any()
}

/// What is aimed at.
#[component]
fn Aims() -> impl IntoView {
    let app = app();
    let kept = kept(app);
    let aim = aimed(app);
    let set = move |aim: KeptAim| app.change(|bench| bench.buying.aim = aim);
    let is = move |aim: KeptAim| kept.read().aim == aim;
    let field = Field {
        id: "line-worth".into(),
        label: "One line fewer is worth".into(),
        decimal: true,
        data: "line-worth".into(),
        ..Field::default()
    };
    let choice = move |label: &'static str, of: KeptAim| {
        segment("aim", label, move || is(of), move || set(of))
    };
    view! {
        <fieldset class="segments no-print" data-control="aim">
            <legend class="field__label">"Aim at"</legend>
            {choice("Least money", KeptAim::Cheapest)}
            {choice("Between", KeptAim::Between)}
            {choice("Fewest lines", KeptAim::FewestLines)}
        </fieldset>
        <div class="basket__worth no-print" hidden=flag(move || !is(KeptAim::Between))>
            <TextField
                field
                value=Signal::derive(move || kept.read().line_worth.clone())
                on_input=Callback::new(move |text| {
                    app.change(|bench| bench.buying.line_worth = text);
                })
                error=Signal::derive(move || aim.get().err().map(str::to_owned))
            />
        </div>
    }
}

/// What the drawers could meet, to be reserved by one tap.
fn drawers(app: App, asked: Asked) -> AnyView {
    let found = app.bench.with(|b| from_drawers(&asked.question.read(), b, &asked.list.read()));
    if found.is_empty() {
        return ().into_any();
    }
    let words = count(found.len(), "need", "needs");
    let reserve = move |_| {
        let found = found.clone();
        let words = format!("Reserved for {}.", count(found.len(), "need", "needs"));
        change_stock(app, words, |bench| {
            for (line, place, pieces) in found {
                bench.reserve(line, place, pieces);
            }
        });
    };
    view! {
        <p class="basket__drawers no-print">
            "The drawers hold what serves "{words}". "
            <button class="button button--small" type="button" data-action="reserve" on:click=reserve>
                "Reserve it"
            </button>
        </p>
    }
    .into_any()
}

/// What is bought or reserved already.
fn bought(question: &Question, app: App) -> AnyView {
    let rows = app.bench.with(|b| covered(question, &b.buying.stock));
    if rows.is_empty() {
        return ().into_any();
    }
    let rows = rows
        .into_iter()
        .map(|(id, what, parts)| {
            view! {
                <li class="covered" data-stock=id.to_string()>
                    <span aria-hidden="true">"✓ "</span>
                    <b>{what}</b>
                    " for "
                    {parts}
                </li>
            }
        })
        .collect_view();
    view! {
        <section class="basket__covered" aria-labelledby="covered-title">
            <h3 id="covered-title">"In the drawers, reserved"</h3>
            <ul>{rows}</ul>
        </section>
    }
    .into_any()
}

fn order_view(order: OrderView) -> AnyView {
    let lines = order.lines.into_iter().map(line_view).collect_view();
    let caption = format!("To buy from {}", order.seller);
    view! {
        <table class="table table--buy table--order" data-seller=order.seller.clone()>
            <caption class="order__title">
                <b>{order.seller}</b>
                <span class="order__sums">{order.sums}</span>
                <span class="order__total">{order.total}</span>
                <span class="unseen">{caption}</span>
            </caption>
            <thead>
                <tr>
                    <th scope="col">"Pieces"</th>
                    <th scope="col">"Part"</th>
                    <th scope="col">"For"</th>
                    <th scope="col">"Cost"</th>
                    <th scope="col" class="order__buy">"Got"</th>
                </tr>
            </thead>
            <tbody>{lines}</tbody>
        </table>
    }
    .into_any()
}

fn line_view(line: LineView) -> AnyView {
    let app = app();
    let LineView { pieces, spare, what, text, parts, how, cost, test_first, places } = line;
    let spare = (spare > 0).then(|| format!(" ({spare} spare)"));
    let label = format!("Bought: {pieces} x {what}");
    let said = format!("{pieces} x {what}: in the drawers, reserved for {parts}.");
    // What lies in a drawer is the part; its price stays with the seller.
    let stock = what.clone();
    let buy = move |_| {
        let (places, stock, said) = (places.clone(), stock.clone(), said.clone());
        change_stock(app, said, |bench| bench.bought(&stock, pieces, &places));
    };
    view! {
        <tr data-offer=what.clone()>
            <td class="number" data-label="Pieces">{pieces.to_string()}{spare}</td>
            <td data-label="Part">
                <b>{what}</b>
                <span class="order__line">{text}</span>
                {test_first.map(|words| view! { <span class="order__test">"Test first. "{words}</span> })}
            </td>
            <td data-label="For">{parts}</td>
            <td class="order__cost" data-label="Cost">
                <b>{cost}</b>
                <span class="order__line">{how}</span>
            </td>
            <td class="order__buy" data-label="Got">
                <button class="button button--small no-print" type="button" aria-label=label on:click=buy>
                    "Bought"
                </button>
                <span class="box print-only" aria-hidden="true"></span>
            </td>
        </tr>
    }
    .into_any()
}

fn missing(unserved: &[UnservedView], has_prices: bool) -> AnyView {
    if unserved.is_empty() {
        return ().into_any();
    }
    let rows = unserved
        .iter()
        .cloned()
        .map(|need| {
            view! {
                <li class="unserved">
                    <b>{need.parts}</b>
                    ": "
                    {need.wanted}
                    ". "
                    <span class="unserved__why">{need.why}</span>
                </li>
            }
        })
        .collect_view();
    let title = if has_prices { "Not on the list" } else { "Needed" };
    view! {
        <section class="basket__unserved" aria-labelledby="unserved-title" data-section="unserved">
            <h3 id="unserved-title">{title}</h3>
            <ul>{rows}</ul>
        </section>
    }
    .into_any()
}

fn by_hand(question: &Question) -> AnyView {
    if question.by_hand.is_empty() {
        return ().into_any();
    }
    let named = question.sets.len() > 1;
    let rows = question.by_hand.iter().map(|(set, part)| {
        let name = question.sets.get(*set).map_or("", |(_, name)| name);
        if named { format!("{part} of {name}") } else { part.clone() }
    });
    let rows = rows.collect::<Vec<_>>().join(", ");
    view! {
        <p class="basket__by-hand">
            <b>"By hand: "</b>
            {rows}
            ". The plan tells in words what to fit there; choose it yourself."
        </p>
    }
    .into_any()
}
