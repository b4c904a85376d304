//! The swap meet on a phone: one line in hand, judged as it is typed or tapped.

use super::model::{Verdict, judge, keys, lines, table_of, tapped};
use crate::buying::table::Table;
use crate::ui::browser;
use crate::ui::buy::ask::{Asked, change_stock};
use crate::ui::kit::dynamic::{each, flag, piece};
use crate::ui::kit::{Field, TextField};
use crate::ui::route::Route;
use crate::ui::state::{App, app};
use crate::ui::view::prelude::*;
use crate::ui::words::count;

/// The field of the line in hand.
const IN_HAND: &str = "on-the-table";

/// What lies on the table, for all sets.
#[component]
pub fn MeetScreen() -> impl IntoView {
    let app = app();
    let asked = Asked::about(app, || None);
    let table = Memo::new(move |_| app.bench.with(|b| lines(&b.buying.table)));
    let line = Memo::new(move |_| table.read().0.clone());
    let kept = move || table.read().1.clone();
    let write = move |text: String| {
        app.change(|bench| {
            let (_, kept) = lines(&bench.buying.table);
            bench.buying.table = table_of(&text, &kept);
        });
    };
    let keep = move |_| {
        app.change(|bench| {
            let (first, mut kept) = lines(&bench.buying.table);
            if !first.trim().is_empty() {
                kept.insert(0, first.trim().to_owned());
            }
            bench.buying.table = table_of("", &kept);
        });
        browser::focus(IN_HAND);
    };
    let open = move || asked.open.read().len();
    let field = Field {
        id: IN_HAND.into(),
        label: "On the table".into(),
        hint: "As it lies there: .1 600 film, 10 for 3.00",
        data: "table".into(),
        ..Field::default()
    };
    let verdict =
        move |line: String| -> Memo<Option<Verdict>> { Memo::new(move |_| judged(asked, &line)) };
    let in_hand = Memo::new(move |_| judged(asked, &line.read()));
    view! {
        <section class="bench meet" data-screen="swap-meet">
            <h1 class="bench__title">"Swap meet"</h1>
            <p class="bench__hint">
                {piece(move || count(open(), "open need", "open needs"))}
                " of "
                {piece(move || count(asked.question.read().sets.len(), "set", "sets"))}
                ". What you buy goes into "
                <a href=Route::Stock.hash()>"Stock"</a>
                ", reserved. Works without a network."
            </p>
            <div class="meet__hand">
                <TextField field value=line on_input=Callback::new(write)/>
                <div class="buttons">
                    <button class="button" type="button" on:click=keep>"Next part"</button>
                    <button
                        class="button button--quiet"
                        type="button"
                        on:click=move |_| {
                            write(String::new());
                            browser::focus(IN_HAND);
                        }
                    >
                        "Clear"
                    </button>
                </div>
                {piece(move || {
                    keys(&asked.open.read())
                        .into_iter()
                        .map(|row| key_row(row, line, Callback::new(write)))
                        .collect_view()
                })}
            </div>
            <div role="status" data-verdict="in-hand">
                {piece(move || in_hand.get().map(|v| verdict_view(app, v)))}
            </div>
            <h2 class="bench__subtitle" hidden=flag(move || kept().is_empty())>"Seen on this table"</h2>
            <ul class="meet__list">
                {each(kept, move |line| seen(app, verdict(line.clone()), line))}
            </ul>
        </section>
    }
}

fn judged(asked: Asked, line: &str) -> Option<Verdict> {
    let (open, list) = (asked.open.get(), asked.list.get());
    let table = Table::new(&open, &list);
    judge(line, &asked.question.read(), &open, &table, &asked.sign.read())
}

/// Words to tap.
fn key_row(words: Vec<String>, line: Memo<String>, write: Callback<String>) -> AnyView {
    let keys = words
        .into_iter()
        .map(|word| {
            let label = word.clone();
            let tap = move |_| write.run(tapped(&line.get_untracked(), &word));
            view! { <button class="button meet__key" type="button" on:click=tap>{label}</button> }
        })
        .collect_view();
    view! { <div class="meet__keys">{keys}</div> }.into_any()
}

/// A line that was seen.
fn seen(app: App, verdict: Memo<Option<Verdict>>, line: String) -> AnyView {
    let drop_it = {
        let line = line.clone();
        move |_| forget(app, &line)
    };
    let label = format!("Take off: {line}");
    view! {
        <li class="meet__seen">
            <p class="meet__line">
                <code>{line}</code>
                <button class="button button--quiet" type="button" aria-label=label on:click=drop_it>
                    "Take off"
                </button>
            </p>
            {piece(move || verdict.get().map(|v| verdict_view(app, v)))}
        </li>
    }
    .into_any()
}

fn forget(app: App, line: &str) {
    app.change(|bench| {
        let (first, mut kept) = lines(&bench.buying.table);
        if let Some(at) = kept.iter().position(|l| l == line) {
            kept.remove(at);
        }
        bench.buying.table = table_of(&first, &kept);
    });
}

/// So many reasons against are shown at once.
const AGAINST: usize = 4;

fn verdict_view(app: App, verdict: Verdict) -> AnyView {
    let class =
        if verdict.serves { "meet__verdict meet__verdict--serves" } else { "meet__verdict" };
    let mark = if verdict.serves { "✓ " } else { "✗ " };
    let Verdict {
        read,
        head,
        serves,
        parts,
        buy,
        saves,
        test_first,
        against,
        pieces,
        what,
        places,
        notes,
    } = verdict;
    let reason = |(parts, why): (String, String)| {
        view! { <li><b>{parts}</b>": "{why}</li> }
    };
    let mut rest = against;
    let tail = rest.split_off(rest.len().min(AGAINST));
    let none = rest.is_empty();
    let first = rest.into_iter().map(reason).collect_view();
    let more = tail.len();
    let tail = tail.into_iter().map(reason).collect_view();
    let notes =
        notes.into_iter().map(|n| view! { <p class="field__error">{n.message}</p> }).collect_view();
    let label = format!("Bought {pieces} x {what}");
    let buy_it = move |_| {
        let (what, places) = (what.clone(), places.clone());
        let said = format!("{pieces} x {what}: in the drawers.");
        change_stock(app, said, |bench| bench.bought(&what, pieces, &places));
    };
    view! {
        <div class=class data-serves=if serves { "yes" } else { "no" }>
            <p class="meet__read">{read}</p>
            <p class="meet__head"><span aria-hidden="true">{mark}</span>{head}</p>
            {(!parts.is_empty()).then(|| view! { <p class="meet__parts">{parts}</p> })}
            {(!buy.is_empty()).then(|| view! { <p>{buy}</p> })}
            {(!saves.is_empty()).then(|| view! { <p class="meet__saves">{saves}</p> })}
            {test_first.map(|words| view! { <p class="order__test">"Test first. "{words}</p> })}
            {notes}
            {(pieces > 0)
                .then(|| view! {
                    <button class="button button--primary" type="button" aria-label=label on:click=buy_it>
                        {format!("Bought {pieces}")}
                    </button>
                })}
            <div class="meet__against" hidden=none>
                <p><b>{if serves { "Does not serve" } else { "Why not" }}</b></p>
                <ul>{first}</ul>
                <details hidden=more == 0>
                    <summary>{format!("{more} more")}</summary>
                    <ul>{tail}</ul>
                </details>
            </div>
        </div>
    }
    .into_any()
}
