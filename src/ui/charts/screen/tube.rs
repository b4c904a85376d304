//! The chart of one tube: its base, and a table of its pins.

use crate::ui::charts::tubes::{self, Expect, PinRow, TubeChart};
use crate::ui::draw::Picture;
use crate::ui::kit::dynamic::{piece, text};
use crate::ui::state::app;
use crate::ui::view::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The pin that is marked, with what is written there.
type Marked = RwSignal<Option<(u8, String)>>;

/// One tube, by its key.
#[component]
pub fn TubeSheet(
    /// The key of the tube.
    key: String,
) -> impl IntoView {
    let app = app();
    let marked: Marked = RwSignal::new(None);
    let chart = {
        let key = key.clone();
        Memo::new(move |_| {
            let marks: BTreeMap<u8, String> = marked.get().into_iter().collect();
            let (sheet, plan) = (app.open.sheet.get(), app.open.plan.get());
            tubes::chart(&sheet, &plan, &key, &marks).map(Arc::new)
        })
    };
    let drawing = Memo::new(move |_| chart.get().map(|c| Arc::new(c.drawing.clone())));
    let missing = {
        let key = key.clone();
        move || {
            let sheet = app.open.sheet.read();
            let part = sheet.parts.iter().find(|p| p.key == key)?;
            chart.read().is_none().then(|| tubes::missing(&key, part.tube.as_deref()))
        }
    };
    let title = {
        let key = key.clone();
        move || {
            let what = chart.get().map(|c| format!(", {}", c.title));
            format!("{key}{}", what.unwrap_or_default())
        }
    };
    view! {
        <section class="tube" data-tube=key>
            <h3 class="chart__title">{piece(title)}</h3>
            {piece(move || missing().map(|words| view! { <p class="chart-note">{words}</p> }))}
            <div class="tube__base"><Picture drawing/></div>
            {piece(move || chart.get().map(|chart| pins(&chart, marked)))}
        </section>
    }
}

fn pins(chart: &TubeChart, marked: Marked) -> AnyView {
    let rows = chart.rows.iter().map(|row| pin(row, marked)).collect_view();
    let remarks = chart.remarks.iter().map(|r| view! { <li>{r.clone()}</li> }).collect_view();
    let ohms = format!("Ohms to {}, power off", chart.reference);
    let caption = format!("{}: what to read at each pin", chart.key);
    view! {
        <div class="tube__pins">
            <table class="table table--pins" data-table="pins">
                <caption class="unseen">{caption}</caption>
                <thead>
                    <tr>
                        <th scope="col">"Pin"</th>
                        <th scope="col">"Electrode"</th>
                        <th scope="col">"Volts, running"</th>
                        <th scope="col">{ohms}</th>
                        <th scope="col" class="print-only">"Read V"</th>
                        <th scope="col" class="print-only">"Read Ω"</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
            <ul class="tube__remarks">{remarks}</ul>
        </div>
    }
    .into_any()
}

fn pin(row: &PinRow, marked: Marked) -> AnyView {
    let (pin, name) = (row.pin, row.point.clone().unwrap_or_else(|| "here".to_owned()));
    let is_marked = move || marked.with(|m| m.as_ref().is_some_and(|m| m.0 == pin));
    let toggle = move |_| {
        let next = (!is_marked()).then(|| (pin, name.clone()));
        marked.set(next);
    };
    let meter = row.meter.clone().map(|shown| {
        view! { <span class="reading__meter">{format!("your meter shows {shown}")}</span> }
    });
    let point = row.point.clone().map(|p| view! { <span class="reading__band">{p}</span> });
    view! {
        <tr data-pin=row.number()>
            <th scope="row">
                <button
                    class="pin-button"
                    type="button"
                    aria-pressed=text(move || is_marked().to_string())
                    aria-label=format!("Mark {} on the base", row.number())
                    on:click=toggle
                >
                    {row.number()}
                </button>
            </th>
            <td>{row.electrode.clone()}{point}</td>
            <td>{reading(&row.volts)}{meter}</td>
            <td>{reading(&row.ohms)}</td>
            <td class="print-only pen-box"></td>
            <td class="print-only pen-box"></td>
        </tr>
    }
    .into_any()
}

fn reading(expect: &Expect) -> AnyView {
    match expect {
        Expect::Figure(figure, band) => {
            let band = band.clone().map(|b| view! { <span class="reading__band">{b}</span> });
            view! { <b class="reading">{figure.clone()}</b>{band} }.into_any()
        }
        Expect::Live(words) => {
            view! { <strong class="reading__live">{words.clone()}</strong> }.into_any()
        }
        Expect::Said(words) => {
            view! { <span class="reading__said">{words.clone()}</span> }.into_any()
        }
    }
}
