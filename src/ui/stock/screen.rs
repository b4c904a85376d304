//! The drawers on the screen.

use super::model::{Row, as_text, could_reserve, rows, summary};
use crate::bench::stock::Place;
use crate::buying::ware::whole;
use crate::ui::browser::{self, files};
use crate::ui::buy::ask::{Asked, change_stock};
use crate::ui::buy::question::Question;
use crate::ui::kit::dynamic::{each, flag, piece, text};
use crate::ui::leptos::task::spawn_local;
use crate::ui::leptos::web_sys::HtmlInputElement;
use crate::ui::route::Route;
use crate::ui::state::app;
use crate::ui::view::Targeted;
use crate::ui::view::prelude::*;
use crate::ui::words::count;

/// What lies in the drawers, for all sets.
#[component]
pub fn StockScreen() -> impl IntoView {
    let app = app();
    let asked = Asked::about(app, || None);
    let rows = Memo::new(move |_| app.bench.with(|bench| rows(bench, &asked.question.read())));
    let ids = move || rows.read().iter().map(|r| r.id).collect();
    let copy = move |_| {
        let text = app.bench.with_untracked(|b| as_text(&b.buying.stock));
        spawn_local(async move {
            let words = if files::copy(text).await {
                "The drawers are on the clipboard."
            } else {
                "The browser did not let the page copy."
            };
            app.say(words, None);
        });
    };
    view! {
        <section class="bench stock" data-screen="stock">
            <div class="sheet__head">
                <h1 class="bench__title">"Stock"</h1>
                <div class="buttons no-print" hidden=flag(move || rows.read().is_empty())>
                    <button class="button" type="button" on:click=copy>"Copy as text"</button>
                    <button class="button" type="button" on:click=move |_| browser::print()>"Print"</button>
                </div>
            </div>
            <p class="bench__hint">
                "What lies in the drawers, for all sets. What is reserved for a part is taken out \
                 when the part is ticked off in Fit. "
                <a href=Route::SwapMeet.hash()>"Swap meet"</a>
            </p>
            <AddLines/>
            <h2 class="bench__subtitle" aria-live="polite" data-count="stock">
                {piece(move || if rows.read().is_empty() {
                    "Nothing in the drawers yet".to_owned()
                } else {
                    summary(&rows.read())
                })}
            </h2>
            <ul class="stock__list">
                {each(ids, move |id| line_view(rows, asked.question, id))}
            </ul>
        </section>
    }
}

/// Lines to be added, typed or pasted.
#[component]
fn AddLines() -> impl IntoView {
    let app = app();
    let draft = RwSignal::new(String::new());
    let add = move |_| {
        let typed = draft.get_untracked();
        let lines = typed.lines().filter(|l| !l.trim().is_empty()).count();
        if lines == 0 {
            return;
        }
        let words = format!("{} put into the drawers.", count(lines, "line", "lines"));
        change_stock(app, words, |bench| {
            bench.stock_add(&typed);
        });
        draft.set(String::new());
    };
    view! {
        <div class="stock__add no-print">
            <label class="field__label" for="stock-text">"Put into the drawers, one line a part"</label>
            <textarea
                class="list-text"
                id="stock-text"
                rows="4"
                wrap="off"
                spellcheck="false"
                autocomplete="off"
                autocapitalize="off"
                placeholder="12 x .047 630V film\n5 x 47 250V electrolytic new"
                prop:value=text(move || draft.get())
                on:input:target=move |e| draft.set(e.target().value())
            ></textarea>
            <div class="buttons">
                <button class="button button--primary" type="button" on:click=add>
                    "Put in"
                </button>
            </div>
        </div>
    }
}

fn line_view(rows: Memo<Vec<Row>>, question: Memo<Question>, id: u32) -> AnyView {
    let row = Memo::new(move |_| rows.read().iter().find(|r| r.id == id).cloned());
    view! {
        <li class="stock__line" data-stock=id.to_string()>
            {piece(move || row.get().map(|row| body(row, question)))}
        </li>
    }
    .into_any()
}

fn body(row: Row, question: Memo<Question>) -> AnyView {
    let app = app();
    let Row {
        id,
        text: typed,
        read,
        wrong,
        count: pieces,
        free,
        reserved,
        taken,
        serves,
        test_first,
    } = row;
    let remove = {
        let typed = typed.clone();
        move |_| {
            let words = format!("{typed}: taken off the list.");
            change_stock(app, words, |bench| bench.stock_remove(id));
        }
    };
    let reserve = move |_| {
        let found = app.bench.with_untracked(|b| could_reserve(b, &question.read_untracked(), id));
        let words = format!("Reserved for {}.", count(found.len(), "need", "needs"));
        change_stock(app, words, |bench| {
            for (line, place, pieces) in found {
                bench.reserve(line, place, pieces);
            }
        });
    };
    let could = (!serves.is_empty()).then(|| {
        view! {
            <p class="stock__serves">
                "Would serve "
                <b>{serves}</b>
                " "
                <button
                    class="button button--small no-print"
                    type="button"
                    aria-label=format!("Reserve: {typed}")
                    on:click=reserve
                >
                    "Reserve"
                </button>
            </p>
        }
    });
    let kept =
        reserved.into_iter().map(|(place, words)| reserved_view(place, words)).collect_view();
    view! {
        {counter(id, pieces, &typed)}
        <div class="stock__what">
            <p class="stock__text"><b>{typed.clone()}</b></p>
            <p class="stock__read">
                {read}
                {(free < pieces).then(|| format!(" · {free} free"))}
            </p>
            {(!wrong.is_empty()).then(|| view! { <p class="field__error">{wrong}</p> })}
            {test_first.map(|words| view! { <p class="order__test">"Test first. "{words}</p> })}
            <ul class="stock__reserved">{kept}</ul>
            {(!taken.is_empty()).then(|| view! { <p class="stock__taken">"Fitted: "{taken}</p> })}
            {could}
        </div>
        <button
            class="button button--quiet no-print"
            type="button"
            aria-label=format!("Remove: {typed}")
            on:click=remove
        >
            "Remove"
        </button>
    }
    .into_any()
}

/// How many lie there: by tap or by figure.
fn counter(id: u32, pieces: u32, typed: &str) -> AnyView {
    let app = app();
    let set = move |to: u32| app.change(|bench| bench.stock_count(id, to));
    let typed_count = move |e: Targeted<HtmlInputElement>| {
        if let Some(to) = whole(e.target().value().trim()) {
            set(to);
        }
        let now = app
            .bench
            .with_untracked(|b| b.buying.stock.iter().find(|l| l.id == id).map_or(0, |l| l.count));
        e.target().set_value(&now.to_string());
    };
    view! {
        <div class="stock__count">
            <button
                class="button stock__step no-print"
                type="button"
                aria-label=format!("One less: {typed}")
                on:click=move |_| set(pieces.saturating_sub(1))
            >
                "−"
            </button>
            <input
                class="field__input stock__number"
                type="text"
                inputmode="numeric"
                aria-label=format!("Pieces: {typed}")
                prop:value=pieces.to_string()
                on:change:target=typed_count
            />
            <button
                class="button stock__step no-print"
                type="button"
                aria-label=format!("One more: {typed}")
                on:click=move |_| set(pieces.saturating_add(1))
            >
                "+"
            </button>
        </div>
    }
    .into_any()
}

fn reserved_view(place: Place, words: String) -> AnyView {
    let app = app();
    let label = format!("Release {words}");
    let said = format!("{words}: released.");
    let release = move |_| {
        let place = place.clone();
        change_stock(app, said.clone(), |bench| bench.release(&place));
    };
    view! {
        <li class="stock__kept">
            "Reserved: "
            <b>{words}</b>
            " "
            <button
                class="button button--small no-print"
                type="button"
                aria-label=label
                on:click=release
            >
                "Release"
            </button>
        </li>
    }
    .into_any()
}
