//! The price list and the currency: typed, pasted, and what was read of them.

use super::ask::Asked;
use crate::buying::list::PriceList;
use crate::buying::money::Sign;
use crate::notation::note::{Choice, Level, Note};
use crate::sheet::edit;
use crate::ui::buy::basket::offer_text;
use crate::ui::kit::dynamic::{flag, piece, text};
use crate::ui::kit::{Field, TextField};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use crate::ui::words::count;

const PLACEHOLDER: &str = "\
seller Hall, postage 4.50
.047 630V polypropylene   .85  10+ .60
.1 600 film               10 for 3.00
47 250V electrolytic      1.20  pack 5
.0047 250VAC Y2           .95";

/// The price list, open where there is none yet.
#[component]
pub fn Prices(
    /// What the screen follows.
    asked: Asked,
) -> impl IntoView {
    let app = app();
    let typed = Memo::new(move |_| app.bench.with(|b| b.buying.prices.clone()));
    let currency = Signal::derive(move || app.bench.with(|b| b.buying.currency.clone()));
    let is_new = typed.get_untracked().trim().is_empty();
    let rows = move || (typed.read().lines().count() + 2).clamp(6, 20).to_string();
    let field = Field {
        id: "currency".into(),
        label: "Sign of your currency".into(),
        data: "currency".into(),
        ..Field::default()
    };
    view! {
        <details class="prices no-print" open=is_new data-fold="prices">
            <summary class="prices__title">
                <h3>"Price list"</h3>
                " "
                <span class="prices__count">{piece(move || told(&asked.list.read()))}</span>
            </summary>
            <p class="field__hint" id="prices-hint">
                "One offer a line: the part, then its price. "
                <code>"10+ .60"</code>" is a price from ten on, "
                <code>"10 for 3.00"</code>" a lot, "<code>"pack 5"</code>" and "
                <code>"least 10"</code>" what must be taken together. Lines below "
                <code>"seller Hall, postage 4.50"</code>" are theirs."
            </p>
            <label class="field__label" for="prices-text">"Offers, one a line"</label>
            <textarea
                class="list-text"
                id="prices-text"
                rows=text(rows)
                wrap="off"
                spellcheck="false"
                autocomplete="off"
                autocapitalize="off"
                placeholder=PLACEHOLDER
                aria-describedby="prices-hint"
                prop:value=text(move || typed.get())
                on:input:target=move |e| {
                    let text = e.target().value();
                    app.change(|bench| bench.buying.prices = text);
                }
            ></textarea>
            <TextField
                field
                value=currency
                on_input=Callback::new(move |text| app.change(|bench| bench.buying.currency = text))
            />
            <ListNotes
                notes=Signal::derive(move || asked.list.read().notes.clone())
                on_fix=Callback::new(move |choice: Choice| {
                    app.change(|bench| {
                        bench.buying.prices = edit::apply(&bench.buying.prices, &choice.edit);
                    });
                })
            />
            {piece(move || readings(&asked.list.read(), &asked.sign.read()))}
        </details>
    }
}

fn told(list: &PriceList) -> String {
    if list.offers.is_empty() {
        return "none yet".to_owned();
    }
    let wrong = list.notes.iter().filter(|n| n.level == Level::Error).count();
    let offers = count(list.offers.len(), "offer", "offers");
    let named = list.sellers.iter().filter(|s| !s.name.is_empty()).count();
    let sellers = if named > 0 {
        format!(" of {}", count(named, "seller", "sellers"))
    } else {
        String::new()
    };
    let mend = if wrong > 0 { format!(", {wrong} to mend") } else { String::new() };
    format!("{offers}{sellers}{mend}")
}

/// What each line was read as.
fn readings(list: &PriceList, sign: &Sign) -> AnyView {
    let rows = list
        .offers
        .iter()
        .map(|offer| {
            let (ware, price) = offer_text(offer, sign);
            view! {
                <tr>
                    <td class="number" data-label="Line">{offer.line}</td>
                    <td data-label="Part">{ware}</td>
                    <td data-label="Price">{price}</td>
                </tr>
            }
        })
        .collect_view();
    view! {
        <details class="fold" hidden=list.offers.is_empty()>
            <summary>"What was read"</summary>
            <table class="table table--buy">
                <caption class="unseen">"What was read of each offer"</caption>
                <thead>
                    <tr>
                        <th scope="col">"Line"</th>
                        <th scope="col">"Part"</th>
                        <th scope="col">"Price"</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
        </details>
    }
    .into_any()
}

/// So many notes are drawn.
const AT_FIRST: usize = 12;

/// Notes on a list, each at its place, with what settles it.
#[component]
pub fn ListNotes(
    /// The notes.
    notes: Signal<Vec<Note>>,
    /// Applies what settles one.
    on_fix: Callback<Choice>,
) -> impl IntoView {
    let shown = move || {
        let all = notes.read();
        let more = all.len().saturating_sub(AT_FIRST);
        let more = (more > 0).then(|| {
            view! { <li class="list-note">{format!("And {more} more.")}</li> }
        });
        let rows = all.iter().take(AT_FIRST).cloned().map(|n| one(n, on_fix)).collect_view();
        view! { {rows}{more} }
    };
    view! {
        <ul class="list-notes" aria-label="Notes on the list" hidden=flag(move || notes.read().is_empty())>
            {piece(shown)}
        </ul>
    }
}

fn one(note: Note, on_fix: Callback<Choice>) -> AnyView {
    let slug = match note.level {
        Level::Error => "error",
        Level::Warning => "warning",
        Level::Reading => "reading",
    };
    let fixes = note
        .choices
        .into_iter()
        .map(|choice| {
            let label = choice.label.clone();
            view! {
                <button
                    class="button button--small"
                    type="button"
                    on:click=move |_| on_fix.run(choice.clone())
                >
                    {label}
                </button>
            }
        })
        .collect_view();
    view! {
        <li class="list-note" data-note=slug data-line=note.line.to_string()>
            <b>{format!("Line {}, column {}: ", note.line, note.column)}</b>
            {note.message}
            " "
            {fixes}
        </li>
    }
    .into_any()
}
